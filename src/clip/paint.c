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

void paint_open(struct paint *p, enum frames_kind kind, struct stream_shape shape,
                const AVCodecParameters *stream)
{
    const size_t bytes = (size_t)shape.width * (size_t)shape.height * 3; /* enough for all kinds */
    *p = (struct paint){.kind = kind, .shape = shape};
    p->scaled = xcalloc(bytes, 1);
    p->upright = shape.rotation ? xcalloc(bytes, 1) : p->scaled;
    p->tone = kind == FRAMES_LUMA ? NULL : tone_open(stream);
    p->deep = p->tone ? xcalloc(bytes, sizeof *p->deep) : NULL;
    p->plain = p->tone && kind != FRAMES_RGB ? xcalloc(bytes, 1) : p->scaled;
}

void paint_close(struct paint *p)
{
    if (p->scaler)
        sws_freeContext(p->scaler);
    if (p->recoder)
        sws_freeContext(p->recoder);
    if (p->upright != p->scaled)
        free(p->upright);
    if (p->plain != p->scaled)
        free(p->plain);
    free(p->scaled);
    free(p->deep);
    tone_close(p->tone);
}

static int matrix_of(const struct paint *p, const AVFrame *in)
{
    if (in->colorspace != AVCOL_SPC_UNSPECIFIED && in->colorspace != AVCOL_SPC_RGB)
        return in->colorspace;
    if (p->tone)
        return SWS_CS_BT2020;
    return in->height >= HD_ROWS ? SWS_CS_ITU709 : SWS_CS_ITU601;
}

static enum AVPixelFormat format_of(enum frames_kind kind)
{
    return kind == FRAMES_RGB   ? AV_PIX_FMT_RGB24
           : kind == FRAMES_YUV ? AV_PIX_FMT_YUV420P
                                : AV_PIX_FMT_GRAY8;
}

/* One picture in memory as libswscale sees it. */
struct side {
    int w, h;
    enum AVPixelFormat format;
    const int *matrix;
    bool full; /* the range */
    uint8_t *data[4];
    int stride[4];
};

static bool recode(struct SwsContext **by, const struct side *from, const struct side *to)
{
    const int how = to->w < from->w || to->h < from->h ? SWS_AREA : SWS_BICUBIC;
    *by = sws_getCachedContext(*by, from->w, from->h, from->format, to->w, to->h, to->format,
                               how | SWS_ACCURATE_RND, NULL, NULL, NULL);
    if (!*by)
        return false;
    sws_setColorspaceDetails(*by, from->matrix, from->full, to->matrix, to->full, 0, 1 << 16,
                             1 << 16);
    return sws_scale(*by, (const uint8_t *const *)from->data, from->stride, 0, from->h, to->data,
                     to->stride) > 0;
}

/* p->scaled, as the clip lies; of the clip's own matrix where nothing else is wanted. */
static struct side scaled_side(struct paint *p, const int *matrix)
{
    const bool swap = p->shape.rotation % 180 != 0, yuv = p->kind == FRAMES_YUV;
    struct side to = {.w = swap ? p->shape.height : p->shape.width,
                      .h = swap ? p->shape.width : p->shape.height,
                      .format = format_of(p->kind),
                      .matrix = yuv ? sws_getCoefficients(SWS_CS_ITU709) : matrix,
                      .full = !yuv};
    struct plane planes[PLANES];
    for (int i = planes_of(p->kind, to.w, to.h, planes); i-- > 0;) {
        to.data[i] = p->scaled + planes[i].at;
        to.stride[i] = planes[i].w * (int)planes[i].bytes;
    }
    return to;
}

/* Written from its lowest row on. Below the first plane there are half as many rows. */
static void put_upside_down(struct side *to)
{
    for (int i = 0; i < 4 && to->data[i]; i++) {
        to->data[i] += (i > 0 ? to->h / 2 - 1 : to->h - 1) * (ptrdiff_t)to->stride[i];
        to->stride[i] = -to->stride[i];
    }
}

/* By way of R G B: made small first, since that is the cheapest. */
static bool scale_toned(struct paint *p, const struct side *from, const struct side *to)
{
    struct side deep = {.w = to->w,
                        .h = to->h,
                        .format = AV_PIX_FMT_RGB48,
                        .matrix = from->matrix,
                        .full = true,
                        .data = {(uint8_t *)p->deep},
                        .stride = {to->w * 3 * (int)sizeof *p->deep}},
                plain = {.w = to->w,
                         .h = to->h,
                         .format = AV_PIX_FMT_RGB24,
                         .matrix = to->matrix,
                         .full = true,
                         .data = {p->plain},
                         .stride = {to->w * 3}};
    if (p->shape.mirrored)
        put_upside_down(&deep);
    if (!recode(&p->scaler, from, &deep))
        return false;
    tone_apply(p->tone, p->deep, p->plain, (size_t)to->w * (size_t)to->h);
    return p->plain == p->scaled || recode(&p->recoder, &plain, to);
}

/* Scaled as the clip lies, into p->scaled. */
static bool scale(struct paint *p, const AVFrame *in)
{
    struct side from = {.w = in->width,
                        .h = in->height,
                        .format = in->format,
                        .matrix = sws_getCoefficients(matrix_of(p, in)),
                        .full = in->color_range == AVCOL_RANGE_JPEG};
    memcpy(from.data, in->data, sizeof from.data);
    memcpy(from.stride, in->linesize, sizeof from.stride);
    struct side to = scaled_side(p, from.matrix);
    if (p->tone)
        return scale_toned(p, &from, &to);
    if (p->shape.mirrored)
        put_upside_down(&to);
    return recode(&p->scaler, &from, &to);
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
