#include "clip/paint.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/libav.h"

enum { HD_ROWS = 720, PLANES = 3 };

/* The planes of a picture of w x h: where each begins, its size, the bytes of one of its pixels. */
struct plane {
    size_t at, bytes;
    int w, h;
};

static int planes_of(enum frames_kind kind, int w, int h, struct plane out[PLANES])
{
    const size_t n = (size_t)w * (size_t)h;
    out[0] = (struct plane){0, kind == FRAMES_RGB ? 3 : 1, w, h};
    if (kind != FRAMES_YUV)
        return 1;
    out[1] = (struct plane){n, 1, w / 2, h / 2};
    out[2] = (struct plane){n + n / 4, 1, w / 2, h / 2};
    return PLANES;
}

void paint_open(struct paint *p, enum frames_kind kind, struct stream_shape shape)
{
    const size_t bytes = (size_t)shape.width * (size_t)shape.height * 3; /* enough for all kinds */
    *p = (struct paint){.kind = kind, .shape = shape};
    p->scaled = xcalloc(bytes, 1);
    p->upright = shape.rotation ? xcalloc(bytes, 1) : p->scaled;
}

void paint_close(struct paint *p)
{
    if (p->scaler)
        sws_freeContext(p->scaler);
    if (p->upright != p->scaled)
        free(p->upright);
    free(p->scaled);
}

static int matrix_of(const AVFrame *in)
{
    if (in->colorspace != AVCOL_SPC_UNSPECIFIED && in->colorspace != AVCOL_SPC_RGB)
        return in->colorspace;
    return in->height >= HD_ROWS ? SWS_CS_ITU709 : SWS_CS_ITU601;
}

static enum AVPixelFormat format_of(enum frames_kind kind)
{
    return kind == FRAMES_RGB   ? AV_PIX_FMT_RGB24
           : kind == FRAMES_YUV ? AV_PIX_FMT_YUV420P
                                : AV_PIX_FMT_GRAY8;
}

/* Scaled as the clip lies, into p->scaled. */
static bool scale(struct paint *p, const AVFrame *in)
{
    const bool swap = p->shape.rotation % 180 != 0;
    const int w = swap ? p->shape.height : p->shape.width,
              h = swap ? p->shape.width : p->shape.height;
    const int how = w < in->width || h < in->height ? SWS_AREA : SWS_BICUBIC;
    p->scaler = sws_getCachedContext(p->scaler, in->width, in->height, in->format, w, h,
                                     format_of(p->kind), how | SWS_ACCURATE_RND, NULL, NULL, NULL);
    if (!p->scaler)
        return false;
    const int *from = sws_getCoefficients(matrix_of(in));
    const bool yuv = p->kind == FRAMES_YUV;
    sws_setColorspaceDetails(p->scaler, from, in->color_range == AVCOL_RANGE_JPEG,
                             yuv ? sws_getCoefficients(SWS_CS_ITU709) : from, !yuv, 0, 1 << 16,
                             1 << 16);
    struct plane planes[PLANES];
    uint8_t *to[4] = {0};
    int stride[4] = {0};
    for (int i = planes_of(p->kind, w, h, planes); i-- > 0;) {
        to[i] = p->scaled + planes[i].at;
        stride[i] = planes[i].w * (int)planes[i].bytes;
    }
    return sws_scale(p->scaler, (const uint8_t *const *)in->data, in->linesize, 0, in->height, to,
                     stride) > 0;
}

/* `to` is the plane as it is handed out, `from` as the clip lies. */
static void turn_plane(struct paint *p, const struct plane *from, const struct plane *to)
{
    const size_t n = to->bytes;
    const int degrees = p->shape.rotation;
    for (int y = 0; y < to->h; y++)
        for (int x = 0; x < to->w; x++) {
            const int fx = degrees == 90 ? y : degrees == 180 ? from->w - 1 - x : from->w - 1 - y;
            const int fy = degrees == 90 ? from->h - 1 - x : degrees == 180 ? from->h - 1 - y : x;
            memcpy(p->upright + to->at + ((size_t)y * (size_t)to->w + (size_t)x) * n,
                   p->scaled + from->at + ((size_t)fy * (size_t)from->w + (size_t)fx) * n, n);
        }
}

static void turn(struct paint *p)
{
    const bool swap = p->shape.rotation % 180 != 0;
    const int w = p->shape.width, h = p->shape.height;
    struct plane from[PLANES], to[PLANES];
    planes_of(p->kind, swap ? h : w, swap ? w : h, from);
    for (int i = planes_of(p->kind, w, h, to); i-- > 0;)
        turn_plane(p, &from[i], &to[i]);
}

bool paint_frame(struct paint *p, const AVFrame *in)
{
    if (!scale(p, in))
        return false;
    if (p->shape.rotation)
        turn(p);
    return true;
}
