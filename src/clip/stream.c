#include "clip/stream.h"

#include <limits.h>
#include <math.h>
#include <stdbool.h>

#include "base/number.h"
#include "clip/libav.h"

AVStream *stream_pick(AVFormatContext *file, enum AVMediaType type)
{
    AVStream *first = NULL;
    for (unsigned i = 0; i < file->nb_streams; i++) {
        AVStream *s = file->streams[i];
        if (s->codecpar->codec_type != type || s->disposition & AV_DISPOSITION_ATTACHED_PIC)
            continue;
        if (s->disposition & AV_DISPOSITION_DEFAULT)
            return s;
        first = first ? first : s;
    }
    return first;
}

/* The four numbers of the display matrix that turn and mirror: x' = ax + cy, y' = bx + dy
 * (libavutil/display.h, 16.16 fixed point). */
static const int32_t *matrix_of(const AVStream *s)
{
    size_t n = 0;
    const uint8_t *matrix = av_stream_get_side_data(s, AV_PKT_DATA_DISPLAYMATRIX, &n);
    return matrix && n >= 9 * sizeof(int32_t) ? (const int32_t *)(const void *)matrix : NULL;
}

static int rotation_of(const AVStream *s)
{
    const int32_t *matrix = matrix_of(s);
    if (!matrix)
        return 0;
    double ccw = av_display_rotation_get(matrix);
    if (isnan(ccw))
        return 0;
    int quarter = (int)lround(-ccw / 90);
    return ((quarter % 4) + 4) % 4 * 90;
}

static bool is_mirrored(const AVStream *s)
{
    const int32_t *m = matrix_of(s);
    return m && (double)m[0] * m[4] < (double)m[1] * m[3];
}

struct stream_shape stream_shape(AVFormatContext *file, AVStream *s)
{
    int64_t w = s->codecpar->width, h = s->codecpar->height;
    const AVRational sar = av_guess_sample_aspect_ratio(file, s, NULL);
    if (sar.num > sar.den && sar.den > 0)
        w = w * sar.num / sar.den;
    else if (sar.num > 0 && sar.num < sar.den)
        h = h * sar.den / sar.num;
    const int rotation = rotation_of(s);
    const bool swap = rotation % 180 != 0;
    return (struct stream_shape){.width = int_within((double)(swap ? h : w), 0, INT_MAX),
                                 .height = int_within((double)(swap ? w : h), 0, INT_MAX),
                                 .rotation = rotation,
                                 .mirrored = is_mirrored(s)};
}
