#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/opt.h>
#include <stdlib.h>
#include <string.h>

#include "demo/movie.h"

struct track {
    AVCodecContext *codec;
    AVStream *stream;
    AVFrame *frame;
};

struct movie {
    struct movie_want want;
    AVFormatContext *file;
    AVPacket *packet;
    struct track video, sound;
    int64_t samples; /* sound written so far */
    bool begun;      /* the header is in the file */
};

static bool failed(const struct movie *m, struct err *e, const char *what, int code)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "not built into this libavcodec";
    if (code < 0)
        av_strerror(code, why, sizeof why);
    return err_set(e, ERR_FAILED, "%s: cannot %s: %s", m->want.path, what, why);
}

static bool open_track(struct movie *m, struct track *t, const AVCodec *codec, struct err *e)
{
    AVCodecContext *c = t->codec;
    c->flags |= AV_CODEC_FLAG_BITEXACT; /* the same options give the same bytes */
    if (m->file->oformat->flags & AVFMT_GLOBALHEADER)
        c->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    const int code = avcodec_open2(c, codec, NULL);
    t->stream = avformat_new_stream(m->file, NULL);
    t->frame = av_frame_alloc();
    if (code < 0 || !t->stream || !t->frame ||
        avcodec_parameters_from_context(t->stream->codecpar, c) < 0)
        return failed(m, e, "set up an encoder", code < 0 ? code : AVERROR(ENOMEM));
    t->stream->time_base = c->time_base;
    return true;
}

static void set_x264(const struct movie_want *w, AVCodecContext *c)
{
    av_opt_set(c->priv_data, "preset", w->preset, 0);
    av_opt_set_int(c->priv_data, "crf", w->quality, 0);
    /* Small bodies on a still field: a plain search gives the same size in less time. */
    av_opt_set(c->priv_data, "x264-params", "me=dia:subme=1:8x8dct=0", 0);
}

static void set_x265(const struct movie_want *w, AVCodecContext *c)
{
    av_opt_set(c->priv_data, "preset", w->preset, 0);
    av_opt_set_double(c->priv_data, "crf", w->quality, 0);
    av_opt_set(c->priv_data, "x265-params", "log-level=none:info=0", 0);
    c->codec_tag = MKTAG('h', 'v', 'c', '1'); /* as phones name it */
}

/* The matrix of ISO 14496-12 that a player turns the picture by. */
static bool set_turn(struct movie *m, struct err *e)
{
    if (m->want.turned == 0)
        return true;
    const size_t size = 9 * sizeof(int32_t);
    uint8_t *matrix = av_stream_new_side_data(m->video.stream, AV_PKT_DATA_DISPLAYMATRIX, size);
    if (!matrix)
        return failed(m, e, "turn the picture", AVERROR(ENOMEM));
    av_display_rotation_set((int32_t *)(void *)matrix, m->want.turned);
    return true;
}

static void set_picture(const struct movie_want *w, AVCodecContext *c)
{
    const bool aside = w->turned % 180 != 0;
    c->width = aside ? w->height : w->width;
    c->height = aside ? w->width : w->height;
    c->pix_fmt = AV_PIX_FMT_YUV420P;
    c->time_base = (AVRational){w->tick_num, w->tick_den};
    c->framerate = (AVRational){w->fps_num, w->fps_den};
    c->gop_size = w->gop;
    c->max_b_frames = w->bframes;
    c->thread_count = w->threads;
    c->colorspace = AVCOL_SPC_BT709;
    c->color_primaries = AVCOL_PRI_BT709;
    c->color_trc = AVCOL_TRC_BT709;
    c->color_range = AVCOL_RANGE_MPEG;
}

static bool open_video(struct movie *m, struct err *e)
{
    const struct movie_want *w = &m->want;
    const char *name = w->hevc ? "libx265" : "libx264";
    const AVCodec *codec = avcodec_find_encoder_by_name(name);
    AVCodecContext *c = m->video.codec = codec ? avcodec_alloc_context3(codec) : NULL;
    if (!c)
        return failed(m, e, w->hevc ? "encode with libx265" : "encode with libx264", 0);
    set_picture(w, c);
    if (w->hevc)
        set_x265(w, c);
    else
        set_x264(w, c);
    if (!open_track(m, &m->video, codec, e) || !set_turn(m, e))
        return false;
    m->video.stream->avg_frame_rate = c->framerate;
    AVFrame *f = m->video.frame;
    f->format = c->pix_fmt;
    f->width = c->width;
    f->height = c->height;
    const int code = av_frame_get_buffer(f, 0);
    return code >= 0 || failed(m, e, "set up the picture", code);
}

static bool open_sound(struct movie *m, struct err *e)
{
    const AVCodec *codec = avcodec_find_encoder_by_name("aac");
    AVCodecContext *c = m->sound.codec = codec ? avcodec_alloc_context3(codec) : NULL;
    if (!c)
        return failed(m, e, "encode AAC", 0);
    c->sample_rate = SOUND_RATE;
    c->sample_fmt = AV_SAMPLE_FMT_FLTP;
    c->bit_rate = 96000;
    c->time_base = (AVRational){1, SOUND_RATE};
    av_channel_layout_default(&c->ch_layout, 1);
    if (!open_track(m, &m->sound, codec, e))
        return false;
    AVFrame *f = m->sound.frame;
    f->format = c->sample_fmt;
    f->sample_rate = c->sample_rate;
    f->nb_samples = c->frame_size;
    av_channel_layout_copy(&f->ch_layout, &c->ch_layout);
    const int code = av_frame_get_buffer(f, 0);
    return code >= 0 || failed(m, e, "set up the sound", code);
}

static bool begin(struct movie *m, struct err *e)
{
    int code = avformat_alloc_output_context2(&m->file, NULL, NULL, m->want.path);
    if (code < 0)
        return failed(m, e, "write this kind of file; name it .mp4, .mkv or .mov", code);
    m->file->flags |= AVFMT_FLAG_BITEXACT;
    m->packet = av_packet_alloc();
    if (!m->packet)
        return failed(m, e, "begin", AVERROR(ENOMEM));
    if (!open_video(m, e) || (m->want.sound && !open_sound(m, e)))
        return false;
    code = avio_open(&m->file->pb, m->want.path, AVIO_FLAG_WRITE);
    if (code >= 0)
        code = avformat_write_header(m->file, NULL);
    m->begun = code >= 0;
    return m->begun || failed(m, e, "open the file", code);
}

static void free_track(struct track *t)
{
    avcodec_free_context(&t->codec);
    av_frame_free(&t->frame);
}

static void drop(struct movie *m)
{
    free_track(&m->video);
    free_track(&m->sound);
    av_packet_free(&m->packet);
    if (m->file)
        avio_closep(&m->file->pb);
    avformat_free_context(m->file);
    free(m);
}

struct movie *movie_open(const struct movie_want *want, struct err *e)
{
    struct movie *m = xcalloc(1, sizeof *m);
    m->want = *want;
    av_log_set_level(AV_LOG_QUIET); /* what fails is said once, by err */
    if (begin(m, e))
        return m;
    drop(m);
    return NULL;
}

/* frame NULL: no more will come. */
static bool encode(struct movie *m, struct track *t, const AVFrame *frame, struct err *e)
{
    int code = avcodec_send_frame(t->codec, frame);
    while (code >= 0) {
        code = avcodec_receive_packet(t->codec, m->packet);
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return true;
        if (code < 0)
            break;
        av_packet_rescale_ts(m->packet, t->codec->time_base, t->stream->time_base);
        m->packet->stream_index = t->stream->index;
        code = av_interleaved_write_frame(m->file, m->packet);
    }
    return failed(m, e, "write", code);
}

static bool sound_until(struct movie *m, double end_s, struct err *e)
{
    const struct track *t = &m->sound;
    const int64_t end = (int64_t)(end_s * SOUND_RATE + 0.5);
    if (!m->want.sound)
        return true;
    while (m->samples < end) {
        const int64_t left = end - m->samples;
        if (av_frame_make_writable(t->frame) < 0)
            return failed(m, e, "write sound", AVERROR(ENOMEM));
        t->frame->nb_samples = left < t->codec->frame_size ? (int)left : t->codec->frame_size;
        t->frame->pts = m->samples;
        sound_samples(m->want.sound, m->samples, t->frame->nb_samples,
                      (float *)(void *)t->frame->data[0]);
        m->samples += t->frame->nb_samples;
        if (!encode(m, &m->sound, t->frame, e))
            return false;
    }
    return true;
}

struct plane {
    const uint8_t *at;
    int width, height;
};

static void copy_plane(AVFrame *f, int plane, struct plane p)
{
    for (int y = 0; y < p.height; y++)
        memcpy(f->data[plane] + (ptrdiff_t)f->linesize[plane] * y, p.at + (ptrdiff_t)p.width * y,
               (size_t)p.width);
}

/* Counterclockwise: by 90 what is at the right comes to the top. */
static void turn_plane(AVFrame *f, int plane, struct plane p, int turned)
{
    const int w = turned % 180 ? p.height : p.width, h = turned % 180 ? p.width : p.height;
    for (int y = 0; y < h; y++) {
        uint8_t *row = f->data[plane] + (ptrdiff_t)f->linesize[plane] * y;
        for (int x = 0; x < w; x++) {
            const int from_x = turned == 90 ? p.width - 1 - y : turned == 180 ? p.width - 1 - x : y;
            const int from_y = turned == 90    ? x
                               : turned == 180 ? p.height - 1 - y
                                               : p.height - 1 - x;
            row[x] = p.at[(ptrdiff_t)p.width * from_y + from_x];
        }
    }
}

static void put_plane(const struct movie *m, AVFrame *f, int plane, const uint8_t *at)
{
    const int part = plane == 0 ? 1 : 2;
    const struct plane p = {at, m->want.width / part, m->want.height / part};
    if (m->want.turned == 0)
        copy_plane(f, plane, p);
    else
        turn_plane(f, plane, p, m->want.turned);
}

bool movie_frame(struct movie *m, const struct planes *p, int64_t ticks, struct err *e)
{
    AVFrame *f = m->video.frame;
    /* Whole AAC frames only, so that none but the last is short. */
    const int64_t due = ticks * m->want.tick_num * SOUND_RATE / m->want.tick_den;
    if (!sound_until(m, (double)(due / 1024 * 1024) / SOUND_RATE, e))
        return false;
    if (av_frame_make_writable(f) < 0)
        return failed(m, e, "write a picture", AVERROR(ENOMEM));
    put_plane(m, f, 0, p->y);
    put_plane(m, f, 1, p->u);
    put_plane(m, f, 2, p->v);
    f->pts = ticks;
    return encode(m, &m->video, f, e);
}

bool movie_close(struct movie *m, double end_s, struct err *e)
{
    if (!m)
        return true;
    bool ok = sound_until(m, end_s, e) && encode(m, &m->video, NULL, e) &&
              (!m->want.sound || encode(m, &m->sound, NULL, e));
    const int code = av_write_trailer(m->file);
    if (ok && code < 0)
        ok = failed(m, e, "finish the file", code);
    drop(m);
    return ok;
}
