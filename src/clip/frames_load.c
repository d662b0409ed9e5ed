#include "clip/frames_inner.h"

#include <stdlib.h>

#include "base/arena.h"
#include "clip/kind.h"
#include "clip/stream.h"
#include "clip/libav.h"

enum { SIDE_MOST = 16384 };

static bool failed(const char *path, const char *what, int code, struct err *e)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    av_strerror(code, why, sizeof why);
    return err_set(e, ERR_INPUT, "%s: %s: %s", path, what, why);
}

bool frames_open_file(struct frames *f, struct err *e)
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
    f->shown = av_frame_alloc();
    f->given = av_frame_alloc();
    if (!f->codec || !f->packet || !f->frame || !f->shown || !f->given)
        abort();
    int code = avcodec_parameters_to_context(f->codec, f->stream->codecpar);
    f->codec->pkt_timebase = f->stream->time_base;
    f->codec->thread_count = 0; /* one for each core */
    if (code >= 0)
        code = avcodec_open2(f->codec, codec, NULL);
    return code >= 0 || failed(f->path, "its pictures cannot be decoded", code, e);
}

/* Room for a picture of w x h within most x most, in the same shape. */
static void fit(int *w, int *h, int most)
{
    const int longer = *w > *h ? *w : *h;
    if (most <= 0 || longer <= most)
        return;
    *w = (int)av_rescale(*w, most, longer);
    *h = (int)av_rescale(*h, most, longer);
}

/* At least 1; even when it must be, which may add one to what was asked for. */
static int side(int n, enum frames_kind kind)
{
    n = n > 0 ? n : 1;
    return kind == FRAMES_YUV ? n + n % 2 : n;
}

/* The size that is handed out; upright. */
static bool choose_size(struct frames *f, struct err *e)
{
    int w = f->want.width, h = f->want.height;
    struct stream_shape shape = stream_shape(f->file.format, f->stream);
    if (shape.width <= 0 || shape.height <= 0)
        return err_set(e, ERR_INPUT, "%s: its pictures have no size; copy the clip again", f->path);
    if (w <= 0 && h <= 0) {
        w = shape.width, h = shape.height;
        fit(&w, &h, f->want.most);
    } else if (w <= 0) {
        w = (int)av_rescale(h, shape.width, shape.height);
    } else if (h <= 0) {
        h = (int)av_rescale(w, shape.height, shape.width);
    }
    if (w > SIDE_MOST || h > SIDE_MOST)
        return err_set(e, ERR_INPUT, "%s: pictures of %d x %d are larger than can be looked at",
                       f->path, w, h);
    shape.width = side(w, f->want.kind);
    shape.height = side(h, f->want.kind);
    paint_open(&f->paint, f->want.kind, shape, f->stream->codecpar);
    return true;
}

/* May the decoder leave out pictures that no other one refers to? What H.264 and MPEG-2 mark so no
 * picture of any kind refers to. In HEVC a picture of a higher temporal layer may (Rec. ITU-T H.265,
 * 7.4.2.2: "sub-layer non-reference"), so there must be one layer alone: the numTemporalLayers of
 * the hvcC record (ISO/IEC 14496-15, 8.3.3.1.2). */
static bool may_skip(const AVCodecParameters *codec)
{
    enum { VERSION = 0, LAYERS_AT = 21 };
    if (codec->codec_id == AV_CODEC_ID_H264 || codec->codec_id == AV_CODEC_ID_MPEG2VIDEO)
        return true;
    return codec->codec_id == AV_CODEC_ID_HEVC && codec->extradata_size > LAYERS_AT &&
           codec->extradata[VERSION] == 1 && (codec->extradata[LAYERS_AT] >> 3 & 7) == 1;
}

bool frames_load(struct frames *f, struct err *e)
{
    if (!frames_open_file(f, e) || !choose_size(f, e) || !open_codec(f, e))
        return false;
    f->decode_only = kind_is(f->file.format, "avi");
    f->may_skip = !f->decode_only && may_skip(f->stream->codecpar); /* order.h needs them all */
    return true;
}

void frames_close(struct frames *f)
{
    if (!f)
        return;
    paint_close(&f->paint);
    av_frame_free(&f->frame);
    av_frame_free(&f->shown);
    av_frame_free(&f->given);
    av_packet_free(&f->packet);
    avcodec_free_context(&f->codec);
    container_close(&f->file);
    free(f->path);
    free(f);
}
