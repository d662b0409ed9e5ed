#include "clip/frames.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/guard.h"
#include "clip/open.h"
#include "clip/stream.h"
#include "clip/libav.h"

enum { SIDE_MOST = 16384, HD_ROWS = 720 };

struct frames {
    struct frames_want want;
    char *path;
    struct container file;
    AVStream *stream;
    AVCodecContext *codec;
    AVPacket *packet;
    AVFrame *frame;
    struct SwsContext *scaler;
    struct stream_shape shape; /* upright, as it is handed out */
    uint8_t *scaled, *upright; /* as the clip lies; turned. The same without a rotation */
    int64_t key_us;            /* of the first keyframe: nothing before it can be decoded */
    int64_t last_us;
    int tries;   /* of the seek to the beginning */
    bool landed; /* a picture at or before the beginning was seen: none is missing */
    bool ended;  /* the file has no more packets, the decoder may hold pictures */
    int end_code;
};

static bool failed(const char *path, const char *what, int code, struct err *e)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    av_strerror(code, why, sizeof why);
    return err_set(e, ERR_INPUT, "%s: %s: %s", path, what, why);
}

/* --- opening ------------------------------------------------------------------------------- */

static bool open_file(struct frames *f, struct err *e)
{
    const int code = container_open(&f->file, f->path, f->want.cancel);
    if (container_disk_failed(code))
        return container_unreadable(f->path, code, e);
    if (code < 0)
        return failed(f->path, "not a clip that can be seen", code, e);
    f->stream = stream_pick(f->file.format, AVMEDIA_TYPE_VIDEO);
    if (!f->stream)
        return err_set(e, ERR_INPUT, "%s: the clip has sound only, no picture", f->path);
    for (unsigned i = 0; i < f->file.format->nb_streams; i++)
        if (f->file.format->streams[i] != f->stream)
            f->file.format->streams[i]->discard = AVDISCARD_ALL;
    return true;
}

static bool open_codec(struct frames *f, struct err *e)
{
    const AVCodec *codec = avcodec_find_decoder(f->stream->codecpar->codec_id);
    if (!codec)
        return failed(f->path, "its pictures are of a kind that cannot be decoded",
                      AVERROR_DECODER_NOT_FOUND, e);
    f->codec = avcodec_alloc_context3(codec);
    f->packet = av_packet_alloc();
    f->frame = av_frame_alloc();
    if (!f->codec || !f->packet || !f->frame)
        abort();
    int code = avcodec_parameters_to_context(f->codec, f->stream->codecpar);
    f->codec->pkt_timebase = f->stream->time_base;
    f->codec->thread_count = 0; /* one for each core */
    if (code >= 0)
        code = avcodec_open2(f->codec, codec, NULL);
    return code >= 0 || failed(f->path, "its pictures cannot be decoded", code, e);
}

/* The size that is handed out; upright. */
static bool choose_size(struct frames *f, struct err *e)
{
    int w = f->want.width, h = f->want.height;
    f->shape = stream_shape(f->file.format, f->stream);
    if (f->shape.width <= 0 || f->shape.height <= 0)
        return err_set(e, ERR_INPUT, "%s: its pictures have no size; copy the clip again", f->path);
    if (w <= 0 && h <= 0)
        w = f->shape.width, h = f->shape.height;
    else if (w <= 0)
        w = (int)av_rescale(h, f->shape.width, f->shape.height);
    else if (h <= 0)
        h = (int)av_rescale(w, f->shape.height, f->shape.width);
    if (w > SIDE_MOST || h > SIDE_MOST)
        return err_set(e, ERR_INPUT, "%s: pictures of %d x %d are larger than can be looked at",
                       f->path, w, h);
    f->shape.width = w > 0 ? w : 1;
    f->shape.height = h > 0 ? h : 1;
    const size_t n =
        (size_t)f->shape.width * (size_t)f->shape.height * (f->want.kind == FRAMES_RGB ? 3 : 1);
    f->scaled = xcalloc(n, 1);
    f->upright = f->shape.rotation ? xcalloc(n, 1) : f->scaled;
    return true;
}

/* How far before the wanted time reading begins. Where a clip has no index (MPEG streams), a seek
 * may land behind it: then again with more run-up, and at last from the beginning. */
static const int64_t run_up[] = {0, 2000000, 8000000, INT64_MAX};
enum { TRIES = sizeof run_up / sizeof *run_up };

static void seek(struct frames *f)
{
    const int64_t before = run_up[f->tries++];
    const int64_t from = before < f->want.from_us ? f->want.from_us - before : 0;
    const int64_t at = av_rescale_q(from + f->file.start_us, AV_TIME_BASE_Q, f->stream->time_base);
    if (av_seek_frame(f->file.format, f->stream->index, at, AVSEEK_FLAG_BACKWARD) >= 0)
        av_packet_free(&f->file.held);
    avcodec_flush_buffers(f->codec);
    f->key_us = f->last_us = INT64_MIN;
    f->ended = false;
}

bool frames_open(struct frames **out, const struct frames_want *want, struct err *e)
{
    *out = NULL;
    if (!clip_guard(want->path, e) || !libav_load(e))
        return false;
    struct frames *f = xcalloc(1, sizeof *f);
    f->want = *want;
    f->path = xstrdup(want->path);
    f->key_us = f->last_us = INT64_MIN;
    if (!open_file(f, e) || !choose_size(f, e) || !open_codec(f, e)) {
        frames_close(f);
        return false;
    }
    if (f->want.from_us > 0)
        seek(f);
    else
        f->landed = true;
    *out = f;
    return true;
}

void frames_close(struct frames *f)
{
    if (!f)
        return;
    sws_freeContext(f->scaler);
    av_frame_free(&f->frame);
    av_packet_free(&f->packet);
    avcodec_free_context(&f->codec);
    container_close(&f->file);
    if (f->upright != f->scaled)
        free(f->upright);
    free(f->scaled);
    free(f->path);
    free(f);
}

/* --- one picture --------------------------------------------------------------------------- */

static int matrix_of(const AVFrame *in)
{
    if (in->colorspace != AVCOL_SPC_UNSPECIFIED && in->colorspace != AVCOL_SPC_RGB)
        return in->colorspace;
    return in->height >= HD_ROWS ? SWS_CS_ITU709 : SWS_CS_ITU601;
}

/* Scaled as the clip lies, into f->scaled. */
static bool scale(struct frames *f, const AVFrame *in)
{
    const bool swap = f->shape.rotation % 180 != 0, rgb = f->want.kind == FRAMES_RGB;
    const int w = swap ? f->shape.height : f->shape.width,
              h = swap ? f->shape.width : f->shape.height;
    const int how = w < in->width || h < in->height ? SWS_AREA : SWS_BICUBIC;
    f->scaler = sws_getCachedContext(f->scaler, in->width, in->height, in->format, w, h,
                                     rgb ? AV_PIX_FMT_RGB24 : AV_PIX_FMT_GRAY8,
                                     how | SWS_ACCURATE_RND, NULL, NULL, NULL);
    if (!f->scaler)
        return false;
    const int *matrix = sws_getCoefficients(matrix_of(in));
    sws_setColorspaceDetails(f->scaler, matrix, in->color_range == AVCOL_RANGE_JPEG, matrix, 1, 0,
                             1 << 16, 1 << 16);
    uint8_t *const to[4] = {f->scaled};
    const int stride[4] = {rgb ? 3 * w : w};
    return sws_scale(f->scaler, (const uint8_t *const *)in->data, in->linesize, 0, in->height, to,
                     stride) > 0;
}

static void turn(struct frames *f)
{
    const size_t n = f->want.kind == FRAMES_RGB ? 3 : 1;
    const int degrees = f->shape.rotation, w = f->shape.width, h = f->shape.height;
    const int from_w = degrees % 180 ? h : w, from_h = degrees % 180 ? w : h;
    for (int y = 0; y < h; y++)
        for (int x = 0; x < w; x++) {
            const int fx = degrees == 90 ? y : degrees == 180 ? from_w - 1 - x : from_w - 1 - y;
            const int fy = degrees == 90 ? from_h - 1 - x : degrees == 180 ? from_h - 1 - y : x;
            memcpy(f->upright + ((size_t)y * (size_t)w + (size_t)x) * n,
                   f->scaled + ((size_t)fy * (size_t)from_w + (size_t)fx) * n, n);
        }
}

/* --- one after the other ------------------------------------------------------------------- */

/* Sends the next packet of the stream, or that there are no more. */
static void feed(struct frames *f)
{
    while ((f->end_code = container_read(&f->file, f->packet)) >= 0) {
        const bool ours = f->packet->stream_index == f->stream->index;
        int64_t us;
        if (ours && f->key_us == INT64_MIN && f->packet->flags & AV_PKT_FLAG_KEY &&
            container_time(f->stream, f->packet->pts, &us))
            f->key_us = us - f->file.start_us;
        if (ours)
            avcodec_send_packet(f->codec, f->packet); /* damaged: its picture is left out */
        av_packet_unref(f->packet);
        if (ours)
            return;
    }
    f->ended = true;
    avcodec_send_packet(f->codec, NULL);
}

/* Can it be decoded rightly, and does it come behind the one before? Its time is *us then. */
static bool is_next(struct frames *f, int64_t *us)
{
    if (!container_time(f->stream, f->frame->best_effort_timestamp, us))
        return false;
    *us -= f->file.start_us;
    if (*us < f->key_us || *us <= f->last_us)
        return false;
    f->last_us = *us;
    return true;
}

/* The first picture after a seek may lie behind what is wanted: then the seek is made again. */
static bool has_landed(struct frames *f, int64_t us)
{
    f->landed |= us <= f->want.from_us || f->tries == TRIES;
    if (!f->landed)
        seek(f);
    return f->landed;
}

static bool end(struct frames *f, struct err *e)
{
    e->code = ERR_NONE;
    e->text[0] = '\0';
    const bool cancelled = f->want.cancel && atomic_load(f->want.cancel);
    if (!cancelled && f->ended)
        container_ended(&f->file, f->end_code, e);
    return false;
}

/* The next picture of the file; false at its end. */
static bool receive(struct frames *f)
{
    for (;;) {
        const int code = avcodec_receive_frame(f->codec, f->frame);
        if (code >= 0)
            return true;
        if (code == AVERROR(EAGAIN) || !f->ended)
            feed(f);
        else if (f->landed || f->tries == TRIES)
            return false;
        else
            seek(f);
    }
}

bool frames_next(struct frames *f, struct frame *out, struct err *e)
{
    int64_t us;
    do {
        if (!receive(f))
            return end(f, e);
        if (!is_next(f, &us) || !has_landed(f, us))
            us = INT64_MIN;
        else if (f->want.to_us > 0 && us >= f->want.to_us)
            return end(f, e);
    } while (us < f->want.from_us || !scale(f, f->frame));
    if (f->shape.rotation)
        turn(f);
    *out = (struct frame){f->upright, f->shape.width, f->shape.height, us};
    return true;
}

bool frames_seek(struct frames *f, int64_t from_us, struct err *e)
{
    (void)from_us;
    return err_set(e, ERR_FAILED, "%s: cannot be gone on from elsewhere yet", f->path);
}
