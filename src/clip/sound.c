#include "clip/sound.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "clip/open.h"
#include "clip/stream.h"
#include "sys/file.h"
#include "clip/libav.h"

/* Less than this between frames is rounding of their times; more than that is no hole in the sound
 * of one take, but a clip whose times are wrong (common practice, no source). */
static const int64_t gap_us = 30000, gap_most_us = INT64_C(600) * 1000000;

struct decoder {
    const char *path, *instead;
    int to_rate;
    struct container file;
    AVCodecContext *codec;
    SwrContext *swr;
    AVPacket *packet;
    AVFrame *frame;
    AVStream *stream;
    int64_t length_us; /* of the clip; what sounds behind it is not listened to */
    bool begun;
    int64_t first_us, samples; /* time of sample 0, how many were handed over */
    float *out;
    int cap;
    /* What the converter was made for. */
    AVChannelLayout layout;
    int sample_format, rate;
    sound_sink sink;
    void *user;
    struct err *e;
};

static bool failed(struct decoder *d, const char *what, int code)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    av_strerror(code, why, sizeof why);
    return err_set(d->e, ERR_INPUT, "%s: %s: %s", d->path, what, why);
}

/* --- opening ------------------------------------------------------------------------------- */

static bool open_clip(struct decoder *d)
{
    const int code = container_open(&d->file, d->path, NULL);
    if (container_disk_failed(code))
        return container_unreadable(d->path, code, d->e);
    return code >= 0 || failed(d, "not a clip that can be heard", code);
}

static bool open_codec(struct decoder *d)
{
    d->stream = stream_pick(d->file.format, AVMEDIA_TYPE_AUDIO);
    if (!d->stream)
        return err_set(d->e, ERR_INPUT, "%s: the clip has no sound; %s", d->path, d->instead);
    const AVCodec *codec = avcodec_find_decoder(d->stream->codecpar->codec_id);
    if (!codec)
        return failed(d, "its sound is of a kind that cannot be decoded",
                      AVERROR_DECODER_NOT_FOUND);
    for (unsigned i = 0; i < d->file.format->nb_streams; i++)
        if (d->file.format->streams[i] != d->stream)
            d->file.format->streams[i]->discard = AVDISCARD_ALL;
    d->codec = avcodec_alloc_context3(codec);
    if (!d->codec)
        return failed(d, "its sound cannot be decoded", AVERROR(ENOMEM));
    int code = avcodec_parameters_to_context(d->codec, d->stream->codecpar);
    d->codec->pkt_timebase = d->stream->time_base;
    if (code >= 0)
        code = avcodec_open2(d->codec, codec, NULL);
    return code >= 0 || failed(d, "its sound cannot be decoded", code);
}

/* --- handing over -------------------------------------------------------------------------- */

static int64_t time_of(const struct decoder *d, int64_t sample)
{
    return d->first_us + av_rescale(sample, 1000000, d->to_rate);
}

static bool hand_over(struct decoder *d, const float *samples, int n)
{
    if (n <= 0)
        return true;
    const int64_t length = d->file.format->duration;
    const int64_t at = time_of(d, d->samples);
    const struct sound_chunk chunk = {
        .samples = samples,
        .n = (size_t)n,
        .at_us = at,
        .part = length > 0 ? fmin(fmax((double)at / (double)length, 0), 1) : 0,
    };
    d->samples += n;
    return d->sink(d->user, &chunk);
}

static bool too_long(struct decoder *d, int64_t us)
{
    const long long from = time_of(d, d->samples) / 1000000, minutes = us / 60000000;
    return err_set(d->e, ERR_INPUT,
                   "%s: its sound stops at %lld:%02lld and goes on %lld minutes later: the clip's "
                   "times are damaged; copy it again, or %s",
                   d->path, from / 60, from % 60, minutes - from / 60, d->instead);
}

static bool silence_until(struct decoder *d, int64_t us)
{
    if (us - time_of(d, d->samples) > gap_most_us)
        return too_long(d, us);
    static const float quiet[4096];
    int64_t n = av_rescale(us - time_of(d, d->samples), d->to_rate, 1000000);
    for (; n > 0; n -= 4096)
        if (!hand_over(d, quiet, n < 4096 ? (int)n : 4096))
            return false;
    return true;
}

/* Empties the converter. */
static bool flush(struct decoder *d)
{
    if (!d->swr)
        return true;
    const int64_t left = swr_get_delay(d->swr, d->to_rate) + 16;
    if (left > d->cap) {
        d->cap = (int)left;
        d->out = xrealloc(d->out, (size_t)d->cap * sizeof *d->out);
    }
    uint8_t *planes[] = {(uint8_t *)d->out};
    const int n = swr_convert(d->swr, planes, d->cap, NULL, 0);
    swr_free(&d->swr);
    return hand_over(d, d->out, n);
}

/* The converter for this kind of frame; a stream may change its kind midway. */
static bool converter(struct decoder *d, const AVFrame *f)
{
    if (d->swr && f->format == d->sample_format && f->sample_rate == d->rate &&
        av_channel_layout_compare(&f->ch_layout, &d->layout) == 0)
        return true;
    if (!flush(d))
        return false;
    AVChannelLayout from, mono = AV_CHANNEL_LAYOUT_MONO;
    av_channel_layout_uninit(&d->layout);
    av_channel_layout_copy(&d->layout, &f->ch_layout);
    d->sample_format = f->format;
    d->rate = f->sample_rate;
    if (f->ch_layout.order == AV_CHANNEL_ORDER_UNSPEC)
        av_channel_layout_default(&from, f->ch_layout.nb_channels);
    else
        from = d->layout;
    int code = swr_alloc_set_opts2(&d->swr, &mono, AV_SAMPLE_FMT_FLT, d->to_rate, &from, f->format,
                                   f->sample_rate, 0, NULL);
    if (code >= 0)
        code = swr_init(d->swr);
    return code >= 0 || failed(d, "its sound cannot be converted", code);
}

/* Where the frame belongs: the first one sets the clock, a later one beyond it shows a gap. */
static bool keep_time(struct decoder *d, const AVFrame *f)
{
    int64_t us;
    if (!container_time(d->stream, f->best_effort_timestamp, &us)) {
        d->begun = true;
        return true;
    }
    us -= d->file.start_us;
    if (!d->begun) {
        d->begun = true;
        d->first_us = us;
        return true;
    }
    const int64_t waiting = d->swr ? swr_get_delay(d->swr, 1000000) : 0;
    if (us - waiting - time_of(d, d->samples) <= gap_us)
        return true;
    return flush(d) && silence_until(d, us);
}

static bool take_frame(struct decoder *d, const AVFrame *f)
{
    if (f->nb_samples <= 0 || f->sample_rate <= 0)
        return true;
    if (!keep_time(d, f) || !converter(d, f))
        return false;
    const int most = swr_get_out_samples(d->swr, f->nb_samples);
    if (most > d->cap) {
        d->cap = most;
        d->out = xrealloc(d->out, (size_t)d->cap * sizeof *d->out);
    }
    uint8_t *planes[] = {(uint8_t *)d->out};
    const int n =
        swr_convert(d->swr, planes, d->cap, (const uint8_t **)f->extended_data, f->nb_samples);
    return hand_over(d, d->out, n);
}

/* Sends a packet (NULL: no more) and takes what comes out. False when the sink stopped. */
static bool decode(struct decoder *d, const AVPacket *packet)
{
    if (avcodec_send_packet(d->codec, packet) < 0)
        return true; /* damaged: its time shows as a gap */
    while (avcodec_receive_frame(d->codec, d->frame) >= 0) {
        const bool on = take_frame(d, d->frame);
        av_frame_unref(d->frame);
        if (!on)
            return false;
    }
    return true;
}

static bool read_on(struct decoder *d, int *code)
{
    while ((*code = container_read(&d->file, d->packet)) >= 0) {
        const bool ours = d->packet->stream_index == d->stream->index;
        const bool over = ours && d->file.at_us >= d->length_us;
        const bool on = !ours || over || decode(d, d->packet);
        av_packet_unref(d->packet);
        if (over)
            *code = AVERROR_EOF;
        if (!on || over)
            return on;
    }
    return true;
}

static bool run(struct decoder *d)
{
    int code;
    if (!open_clip(d) || !open_codec(d))
        return false;
    d->packet = av_packet_alloc();
    d->frame = av_frame_alloc();
    if (!d->packet || !d->frame)
        return failed(d, "its sound cannot be read", AVERROR(ENOMEM));
    return read_on(d, &code) && container_ended(&d->file, code, d->e) && decode(d, NULL) &&
           flush(d);
}

bool sound_decode_as(const struct sound_want *want, sound_sink sink, void *user, struct err *e)
{
    if (!file_is_regular(want->path, e) || !libav_load(e))
        return false;
    e->code = ERR_NONE;
    e->text[0] = '\0';
    struct decoder d = {.path = want->path,
                        .instead = want->instead,
                        .to_rate = want->rate,
                        .length_us = want->length_us > 0 ? want->length_us : INT64_MAX,
                        .sink = sink,
                        .user = user,
                        .e = e};
    const bool ok = run(&d);
    swr_free(&d.swr);
    av_channel_layout_uninit(&d.layout);
    av_frame_free(&d.frame);
    av_packet_free(&d.packet);
    avcodec_free_context(&d.codec);
    container_close(&d.file);
    free(d.out);
    return ok;
}

bool sound_decode(const char *path, int64_t length_us, sound_sink sink, void *user, struct err *e)
{
    const struct sound_want want = {path, length_us, SOUND_RATE, "tap the beat instead"};
    return sound_decode_as(&want, sink, user, e);
}
