#include "clip/heard.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/number.h"
#include "clip/open.h"
#include "clip/stream.h"
#include "clip/libav.h"

/* Less than this between frames is rounding of their times (as clip/sound.c). */
enum { GAP_US = 30000 };

struct heard {
    const char *path; /* the caller's */
    const atomic_bool *cancel;
    struct container file;
    AVStream *stream;
    AVCodecContext *codec;
    AVPacket *packet;
    AVFrame *frame;
    SwrContext *swr;
    AVChannelLayout layout; /* what the converter was made for, with the next two */
    int format, from_rate;
    int rate, channels;
    int64_t from_us;          /* media time of the first sample that is wanted */
    int64_t made;             /* samples from there on that were put into the queue or dropped */
    float *queue[HEARD_MOST]; /* what is decoded and not read yet */
    int n, cap;
    int64_t silent; /* samples of silence behind the queue */
    bool holding;   /* and the frame behind those, in `frame` */
    int tries;
    bool begun, ended;
    int end_code;
};

/* --- opening ------------------------------------------------------------------------------- */

static bool open_file(struct heard *h, struct err *e)
{
    const int code = container_open(&h->file, h->path, h->cancel);
    if (container_disk_failed(code))
        return container_unreadable(h->path, code, e);
    if (code < 0)
        return err_set(e, ERR_INPUT, "%s: not a clip that can be heard; copy it again", h->path);
    h->stream = stream_pick(h->file.format, AVMEDIA_TYPE_AUDIO);
    for (unsigned i = 0; i < h->file.format->nb_streams; i++)
        if (h->file.format->streams[i] != h->stream)
            h->file.format->streams[i]->discard = AVDISCARD_ALL;
    return true;
}

/* A decoder that heard nothing yet. False: there is none. */
static bool open_decoder(struct heard *h)
{
    avcodec_free_context(&h->codec);
    const AVCodec *codec = h->stream ? avcodec_find_decoder(h->stream->codecpar->codec_id) : NULL;
    if (!codec)
        return false;
    h->codec = avcodec_alloc_context3(codec);
    if (!h->codec)
        abort();
    h->codec->pkt_timebase = h->stream->time_base;
    return avcodec_parameters_to_context(h->codec, h->stream->codecpar) >= 0 &&
           avcodec_open2(h->codec, codec, NULL) >= 0;
}

/* False: there is nothing that can be decoded. */
static bool open_codec(struct heard *h)
{
    if (!open_decoder(h))
        return false;
    h->packet = av_packet_alloc();
    h->frame = av_frame_alloc();
    if (!h->packet || !h->frame)
        abort();
    h->rate = h->stream->codecpar->sample_rate == 44100 ? 44100 : 48000;
    h->channels = h->stream->codecpar->ch_layout.nb_channels == 1 ? 1 : HEARD_MOST;
    return true;
}

bool heard_open(struct heard **out, const char *path, const atomic_bool *cancel, struct err *e)
{
    *out = NULL;
    struct heard *h = xcalloc(1, sizeof *h);
    h->path = path;
    h->cancel = cancel;
    const bool ok = open_file(h, e);
    if (ok && open_codec(h))
        *out = h;
    else
        heard_close(h);
    return ok;
}

void heard_close(struct heard *h)
{
    if (!h)
        return;
    swr_free(&h->swr);
    av_channel_layout_uninit(&h->layout);
    av_frame_free(&h->frame);
    av_packet_free(&h->packet);
    avcodec_free_context(&h->codec);
    container_close(&h->file);
    for (int i = 0; i < HEARD_MOST; i++)
        free(h->queue[i]);
    free(h);
}

int heard_rate(const struct heard *h)
{
    return h->rate;
}

int heard_channels(const struct heard *h)
{
    return h->channels;
}

/* --- going to a moment --------------------------------------------------------------------- */

/* Decoders need a little of what comes before: Opus 80 ms (RFC 7845, 4.6), AAC a frame or two. A
 * seek that lands too late is made again from further back. */
static const int64_t run_up[] = {300000, 2000000, 8000000, INT64_MAX};
enum { TRIES = sizeof run_up / sizeof *run_up };

static void forget(struct heard *h)
{
    swr_free(&h->swr);
    av_frame_unref(h->frame);
    h->made = h->silent = h->n = 0;
    h->begun = h->ended = h->holding = false;
}

/* A flush would leave some state behind (the noise that AAC makes up), and the same cut would not
 * always be the same file. */
static bool renew(struct heard *h, struct err *e)
{
    return open_decoder(h) || err_set(e, ERR_INPUT,
                                      "%s: its sound cannot be decoded any more; copy "
                                      "the clip again",
                                      h->path);
}

static bool seek(struct heard *h, struct err *e)
{
    const int64_t before = run_up[h->tries++];
    const int64_t from = before < h->from_us ? h->from_us - before : 0;
    forget(h);
    if (from > 0) {
        const int64_t at =
            av_rescale_q(us_sum(from, h->file.start_us), AV_TIME_BASE_Q, h->stream->time_base);
        if (av_seek_frame(h->file.format, h->stream->index, at, AVSEEK_FLAG_BACKWARD) >= 0) {
            av_packet_free(&h->file.held);
            return renew(h, e);
        }
    }
    h->tries = TRIES;
    container_close(&h->file);
    return open_file(h, e) && renew(h, e);
}

bool heard_seek(struct heard *h, int64_t from_us, struct err *e)
{
    h->from_us = from_us;
    h->tries = 0;
    return seek(h, e);
}

/* --- from the decoder into the queue ------------------------------------------------------- */

static void make_room(struct heard *h, int more)
{
    if (h->n + more <= h->cap)
        return;
    h->cap = h->n + more + 8192;
    for (int i = 0; i < h->channels; i++)
        h->queue[i] = xrealloc(h->queue[i], (size_t)h->cap * sizeof *h->queue[i]);
}

static void add_silence(struct heard *h, int n)
{
    make_room(h, n);
    for (int i = 0; i < h->channels; i++)
        memset(h->queue[i] + h->n, 0, (size_t)n * sizeof *h->queue[i]);
    h->n += n;
    h->made += n;
}

/* Before from_us `made` is negative: those samples are dropped again. */
static void drop_early(struct heard *h, int added)
{
    const int64_t early = h->made < 0 ? -h->made : 0;
    const int drop = early < added ? (int)early : added;
    h->made += added;
    h->n += added - drop;
    for (int i = 0; i < h->channels && drop > 0; i++)
        memmove(h->queue[i] + h->n - (added - drop), h->queue[i] + h->n - (added - drop) + drop,
                (size_t)(added - drop) * sizeof *h->queue[i]);
}

/* NULL empties the converter. */
static bool convert(struct heard *h, const AVFrame *f)
{
    const int most =
        f ? swr_get_out_samples(h->swr, f->nb_samples) : (int)swr_get_delay(h->swr, h->rate) + 16;
    if (most <= 0)
        return true;
    make_room(h, most);
    uint8_t *planes[HEARD_MOST] = {0};
    for (int i = 0; i < h->channels; i++)
        planes[i] = (uint8_t *)(h->queue[i] + h->n);
    const int n = swr_convert(h->swr, planes, most, f ? (const uint8_t **)f->extended_data : NULL,
                              f ? f->nb_samples : 0);
    if (n > 0)
        drop_early(h, n);
    return n >= 0;
}

/* The converter for this kind of frame; a stream may change its kind midway. */
static bool converter(struct heard *h, const AVFrame *f)
{
    if (h->swr && f->format == h->format && f->sample_rate == h->from_rate &&
        av_channel_layout_compare(&f->ch_layout, &h->layout) == 0)
        return true;
    if (h->swr)
        convert(h, NULL);
    swr_free(&h->swr);
    AVChannelLayout from, to;
    av_channel_layout_default(&to, h->channels);
    av_channel_layout_uninit(&h->layout);
    av_channel_layout_copy(&h->layout, &f->ch_layout);
    h->format = f->format;
    h->from_rate = f->sample_rate;
    from = h->layout;
    if (f->ch_layout.order == AV_CHANNEL_ORDER_UNSPEC)
        av_channel_layout_default(&from, f->ch_layout.nb_channels);
    return swr_alloc_set_opts2(&h->swr, &to, AV_SAMPLE_FMT_FLTP, h->rate, &from, f->format,
                               f->sample_rate, 0, NULL) >= 0 &&
           swr_init(h->swr) >= 0;
}

/* How many samples lie between from_us and this media time. */
static int64_t samples_to(const struct heard *h, int64_t us)
{
    return av_rescale(us - h->from_us, h->rate, 1000000);
}

/* Does the frame follow what was decoded before? Otherwise what is missing becomes silence. */
static void keep_time(struct heard *h, int64_t at)
{
    const int64_t waiting = h->swr ? swr_get_delay(h->swr, h->rate) : 0;
    const bool gap = at - waiting - h->made > (int64_t)h->rate * GAP_US / 1000000;
    if (h->begun && !gap)
        return;
    if (h->swr)
        convert(h, NULL);
    swr_free(&h->swr);
    if (!h->begun || h->made < 0)
        h->made = at < 0 ? at : 0;
    h->silent = at > h->made ? at - h->made : 0;
    h->begun = true;
}

static void take(struct heard *h)
{
    h->begun = true;
    h->holding = false;
    if (converter(h, h->frame))
        convert(h, h->frame);
    av_frame_unref(h->frame);
}

/* A frame came out of the decoder: into the queue, or kept until the silence before it is read. */
static bool receive(struct heard *h, struct err *e)
{
    int64_t us;
    if (h->frame->nb_samples <= 0 || h->frame->sample_rate <= 0)
        return true;
    if (container_time(h->stream, h->frame->best_effort_timestamp, &us)) {
        const int64_t at = samples_to(h, us - h->file.start_us);
        if (!h->begun && at > 0 && h->tries < TRIES)
            return seek(h, e); /* there may be an earlier one */
        keep_time(h, at);
    }
    if (h->silent > 0)
        h->holding = true;
    else
        take(h);
    return true;
}

static void feed(struct heard *h)
{
    while ((h->end_code = container_read(&h->file, h->packet)) >= 0) {
        const bool ours = h->packet->stream_index == h->stream->index;
        if (ours)
            avcodec_send_packet(h->codec, h->packet); /* damaged: its time shows as a gap */
        av_packet_unref(h->packet);
        if (ours)
            return;
    }
    h->ended = true;
    avcodec_send_packet(h->codec, NULL);
}

/* More sound, of which at most n samples are silence, into the queue; false at the end. */
static bool more(struct heard *h, int n, struct err *e)
{
    if (h->silent > 0) {
        const int quiet = h->silent < n ? (int)h->silent : n;
        h->silent -= quiet;
        add_silence(h, quiet);
        return true;
    }
    if (h->holding) {
        take(h);
        return true;
    }
    for (;;) {
        const int code = avcodec_receive_frame(h->codec, h->frame);
        if (code >= 0)
            return receive(h, e);
        if (code != AVERROR(EAGAIN) && h->ended)
            return false;
        feed(h);
    }
}

bool heard_read(struct heard *h, float *const channels[HEARD_MOST], int n, struct err *e)
{
    e->code = ERR_NONE;
    while (h->n < n && more(h, n - h->n, e))
        ;
    if (e->code != ERR_NONE || (h->ended && !container_ended(&h->file, h->end_code, e)))
        return false;
    if (h->n < n && h->swr) {
        convert(h, NULL);
        swr_free(&h->swr);
    }
    if (h->n < n)
        add_silence(h, n - h->n);
    for (int i = 0; i < h->channels; i++) {
        memcpy(channels[i], h->queue[i], (size_t)n * sizeof *channels[i]);
        memmove(h->queue[i], h->queue[i] + n, (size_t)(h->n - n) * sizeof *channels[i]);
    }
    h->n -= n;
    return true;
}
