#include "clip/picture.h"

#include <stdlib.h>

#include "clip/libav.h"

enum { STEP = 4 };

static bool refused(const struct frame *rgb, int code, struct err *e)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    av_strerror(code, why, sizeof why);
    return err_set(e, ERR_FAILED, "a picture of %d x %d cannot be made a JPEG: %s; make it smaller",
                   rgb->width, rgb->height, why);
}

/* R G B to the Y'CbCr of JFIF: BT.601's matrix, full range. */
static bool convert(const struct frame *rgb, AVFrame *to)
{
    struct SwsContext *scaler = sws_getCachedContext(
        NULL, rgb->width, rgb->height, AV_PIX_FMT_RGB24, rgb->width, rgb->height,
        AV_PIX_FMT_YUVJ444P, SWS_AREA | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INP, NULL, NULL, NULL);
    if (!scaler)
        return false;
    const int *matrix = sws_getCoefficients(SWS_CS_ITU601);
    sws_setColorspaceDetails(scaler, matrix, 1, matrix, 1, 0, 1 << 16, 1 << 16);
    const uint8_t *const px[4] = {rgb->px};
    const int stride[4] = {3 * rgb->width};
    const bool ok = sws_scale(scaler, px, stride, 0, rgb->height, to->data, to->linesize) > 0;
    sws_freeContext(scaler);
    return ok;
}

static int open_encoder(AVCodecContext *jpeg, const AVCodec *codec, const struct frame *rgb)
{
    jpeg->width = rgb->width;
    jpeg->height = rgb->height;
    jpeg->pix_fmt = AV_PIX_FMT_YUVJ444P;
    jpeg->color_range = AVCOL_RANGE_JPEG;
    jpeg->time_base = (AVRational){1, 25};
    jpeg->sample_aspect_ratio = (AVRational){1, 1};
    jpeg->flags = AV_CODEC_FLAG_QSCALE | AV_CODEC_FLAG_BITEXACT; /* no comment of who made it */
    jpeg->global_quality = STEP * FF_QP2LAMBDA;
    jpeg->thread_count = 1; /* a picture in slices depends on how many there are */
    return avcodec_open2(jpeg, codec, NULL);
}

static int encode(AVCodecContext *jpeg, const struct frame *rgb, AVFrame *frame, AVPacket *packet)
{
    frame->format = jpeg->pix_fmt;
    frame->width = rgb->width;
    frame->height = rgb->height;
    frame->color_range = AVCOL_RANGE_JPEG;
    frame->quality = jpeg->global_quality;
    frame->pts = 0;
    int code = av_frame_get_buffer(frame, 0);
    if (code >= 0 && !convert(rgb, frame))
        code = AVERROR(EINVAL);
    if (code >= 0)
        code = avcodec_send_frame(jpeg, frame);
    return code < 0 ? code : avcodec_receive_packet(jpeg, packet);
}

bool picture_jpeg(const struct frame *rgb, struct buf *out, struct err *e)
{
    if (!libav_load(e))
        return false;
    const AVCodec *codec = avcodec_find_encoder(AV_CODEC_ID_MJPEG);
    if (!codec)
        return refused(rgb, AVERROR_ENCODER_NOT_FOUND, e);
    AVCodecContext *jpeg = avcodec_alloc_context3(codec);
    AVFrame *frame = av_frame_alloc();
    AVPacket *packet = av_packet_alloc();
    if (!jpeg || !frame || !packet)
        abort();
    int code = open_encoder(jpeg, codec, rgb);
    if (code >= 0)
        code = encode(jpeg, rgb, frame, packet);
    if (code >= 0)
        buf_add(out, packet->data, (size_t)packet->size);
    av_packet_free(&packet);
    av_frame_free(&frame);
    avcodec_free_context(&jpeg);
    return code >= 0 || refused(rgb, code, e);
}
