#include "clip/film.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/frames_inner.h"
#include "clip/libav.h"

/* Chosen once, for a marching field at 640 x 360: by the quality, but never beyond what makes 5 s
 * some 400 KB, which a camera that never stands still would. */
static const char crf[] = "26", preset[] = "faster";
enum { BITS_MOST = 530000, QUANTISER = 5, KEY_US = 500000, OFTEN = 600 };
static const AVRational microseconds = {1, 1000000};

static void describe(AVCodecContext *codec, const struct frames *f)
{
    const AVCodecParameters *clip = f->stream->codecpar;
    const struct stream_shape *shape = &f->paint.shape;
    codec->width = shape->width;
    codec->height = shape->height;
    codec->pix_fmt = AV_PIX_FMT_YUV420P;
    codec->sample_aspect_ratio = (AVRational){1, 1};
    codec->color_range = AVCOL_RANGE_MPEG;
    codec->colorspace = AVCOL_SPC_BT709; /* of FRAMES_YUV */
    codec->color_primaries = AVCOL_PRI_BT709;
    codec->color_trc = AVCOL_TRC_BT709;
    if (!f->paint.tone && clip->color_primaries != AVCOL_PRI_UNSPECIFIED)
        codec->color_primaries = clip->color_primaries;
    if (!f->paint.tone && clip->color_trc != AVCOL_TRC_UNSPECIFIED)
        codec->color_trc = clip->color_trc;
    codec->chroma_sample_location = AVCHROMA_LOC_LEFT;
}

/* The encoder counts pictures, as if they came evenly; film.h's times are put on again behind it. Told
 * of two pictures a microsecond apart it would leave nothing for the second one. */
static AVRational rate_of(const AVStream *clip)
{
    enum { USUAL = 30, RATE_MOST = 240 };
    const AVRational r = clip->avg_frame_rate;
    const int64_t rate = r.num > 0 && r.den > 0 ? av_rescale(1, r.num, r.den) : 0;
    return (AVRational){rate > 0 && rate <= RATE_MOST ? (int)rate : USUAL, 1};
}

static int open_codec(struct film *m, const AVCodec *codec, const struct frames *f)
{
    AVDictionary *options = NULL;
    const bool x264 = codec->id == AV_CODEC_ID_H264;
    describe(m->codec, f);
    m->codec->framerate = rate_of(f->stream);
    m->codec->time_base = (AVRational){m->codec->framerate.den, m->codec->framerate.num};
    m->codec->gop_size = OFTEN;
    m->codec->thread_count = 1; /* with more, the same cut is not always the same file */
    m->codec->max_b_frames = 0;
    m->codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    if (x264) {
        av_dict_set(&options, "preset", preset, 0);
        av_dict_set(&options, "crf", crf, 0);
        av_dict_set(&options, "forced-idr", "1", 0);
        m->codec->rc_max_rate = BITS_MOST;
        m->codec->rc_buffer_size = BITS_MOST; /* of a second */
    } else {
        m->codec->flags |= AV_CODEC_FLAG_QSCALE;
        m->codec->global_quality = QUANTISER * FF_QP2LAMBDA;
    }
    const int code = avcodec_open2(m->codec, codec, &options);
    av_dict_free(&options);
    return code;
}

bool film_open(struct film *m, struct output *o, const struct frames *f, struct err *e)
{
    *m = (struct film){.key_us = INT64_MIN};
    const AVCodec *codec = avcodec_find_encoder_by_name("libx264");
    if (!codec)
        codec = avcodec_find_encoder(AV_CODEC_ID_MPEG4);
    if (!codec)
        return output_failed(o, AVERROR_ENCODER_NOT_FOUND, e);
    m->codec = avcodec_alloc_context3(codec);
    m->frame = av_frame_alloc();
    m->packet = av_packet_alloc();
    m->to = avformat_new_stream(o->mux, NULL);
    if (!m->codec || !m->frame || !m->packet || !m->to)
        abort();
    int code = open_codec(m, codec, f);
    if (code >= 0)
        code = avcodec_parameters_from_context(m->to->codecpar, m->codec);
    m->to->time_base = microseconds;
    m->to->sample_aspect_ratio = m->codec->sample_aspect_ratio;
    m->frame->format = m->codec->pix_fmt;
    m->frame->width = m->codec->width;
    m->frame->height = m->codec->height;
    if (code >= 0)
        code = av_frame_get_buffer(m->frame, 0);
    return code >= 0 || output_failed(o, code, e);
}

void film_close(struct film *m)
{
    if (!m->codec)
        return;
    avcodec_free_context(&m->codec);
    av_frame_free(&m->frame);
    av_packet_free(&m->packet);
    free(m->times);
}

/* Writes what the encoder has ready. None is reordered, so that each has the next time. */
static bool write_ready(struct film *m, struct output *o, struct err *e)
{
    int code;
    while ((code = avcodec_receive_packet(m->codec, m->packet)) >= 0) {
        if (m->written == m->n)
            return output_failed(o, AVERROR_BUG, e);
        const struct film_time *t = &m->times[m->written++];
        m->packet->pts = m->packet->dts = t->at_us;
        m->packet->duration = t->long_us;
        m->packet->stream_index = m->to->index;
        if (!output_packet(o, m->packet, microseconds, e))
            return false;
    }
    return code == AVERROR(EAGAIN) || code == AVERROR_EOF || output_failed(o, code, e);
}

/* Encodes the picture that waits, now that the next one is known to come at `next_us`. */
static bool encode(struct film *m, struct output *o, int64_t next_us, struct err *e)
{
    const bool key = m->key_us == INT64_MIN || next_us - m->key_us > KEY_US;
    if (key)
        m->key_us = m->at_us;
    m->frame->pict_type = key ? AV_PICTURE_TYPE_I : AV_PICTURE_TYPE_NONE;
    m->frame->pts = (int64_t)m->n;
    m->times = array_grow(m->times, m->n, &m->cap, sizeof *m->times);
    m->times[m->n++] = (struct film_time){m->at_us, next_us - m->at_us};
    m->waiting = false;
    const int code = avcodec_send_frame(m->codec, m->frame);
    return code >= 0 ? write_ready(m, o, e) : output_failed(o, code, e);
}

static void fill_plane(AVFrame *to, int plane, const uint8_t *from, int w, int h)
{
    for (int y = 0; y < h; y++)
        memcpy(to->data[plane] + (ptrdiff_t)y * to->linesize[plane], from + (size_t)y * (size_t)w,
               (size_t)w);
}

bool film_add(struct film *m, struct output *o, const struct frame *f, int64_t at_us, struct err *e)
{
    if (m->waiting && !encode(m, o, at_us, e))
        return false;
    const int code = av_frame_make_writable(m->frame); /* the encoder may still look at it */
    if (code < 0)
        return output_failed(o, code, e);
    const size_t n = (size_t)f->width * (size_t)f->height;
    fill_plane(m->frame, 0, f->px, f->width, f->height);
    fill_plane(m->frame, 1, f->px + n, f->width / 2, f->height / 2);
    fill_plane(m->frame, 2, f->px + n + n / 4, f->width / 2, f->height / 2);
    m->at_us = at_us;
    m->waiting = true;
    return true;
}

bool film_end(struct film *m, struct output *o, int64_t end_us, struct err *e)
{
    if (m->waiting && !encode(m, o, end_us, e))
        return false;
    const int code = avcodec_send_frame(m->codec, NULL);
    return code >= 0 ? write_ready(m, o, e) : output_failed(o, code, e);
}
