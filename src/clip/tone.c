#include "clip/tone.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

enum { STEPS = 4096, COLOURS = 3 };

/* Light is counted in reference whites. */
static const double white = 203, peak = 1000 / 203.0, gamma_of_screens = 2.4;

struct tone {
    bool hlg;
    float light[STEPS]; /* of a signal 0 .. 1; of HLG the scene's, 1 its most */
    float to_709[COLOURS][COLOURS];
    float darker[STEPS];   /* the curve's factor, of the brightest colour 0 .. peak */
    uint8_t signal[STEPS]; /* of the square root of light 0 .. 1 */
};

/* Rec. ITU-R BT.2100-2, table 5: the inverse OETF of HLG. */
static double hlg_light(double signal)
{
    const double a = 0.17883277, b = 1 - 4 * a, c = 0.5 - a * log(4 * a);
    return signal <= 0.5 ? signal * signal / 3 : (exp((signal - c) / a) + b) / 12;
}

/* The same, table 4: the EOTF of PQ and its inverse, of 10,000 cd/m². */
static const double m1 = 2610 / 16384.0, m2 = 2523 / 32.0, c1 = 3424 / 4096.0, c2 = 2413 / 128.0,
                    c3 = 2392 / 128.0;

static double pq_light(double signal)
{
    const double v = pow(signal, 1 / m2);
    return pow(fmax(v - c1, 0) / (c2 - c3 * v), 1 / m1);
}

static double pq_signal(double light)
{
    const double v = pow(light, m1);
    return pow((c1 + c2 * v) / (1 + c3 * v), m2);
}

/* Report ITU-R BT.2390, 5.4.1: the EETF from `peak` down to one white, black staying black. */
static double curve(double light)
{
    const double most = pq_signal(peak * white / 10000);
    const double in = pq_signal(light * white / 10000) / most;
    const double white_in = pq_signal(white / 10000) / most, knee = 1.5 * white_in - 0.5;
    if (in <= knee)
        return light;
    const double t = (in - knee) / (1 - knee), tt = t * t, ttt = tt * t;
    const double out = (2 * ttt - 3 * tt + 1) * knee + (ttt - 2 * tt + t) * (1 - knee) +
                       (3 * tt - 2 * ttt) * white_in;
    return pq_light(out * most) * 10000 / white;
}

/* Linear light to BT.709: from BT.2020 as in Report ITU-R BT.2407, 2.2; from P3 with the white of
 * D65 reckoned from the primaries of SMPTE RP 431-2. */
static const float same[COLOURS][COLOURS] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
                   from_2020[COLOURS][COLOURS] = {{1.6605f, -0.5876f, -0.0728f},
                                                  {-0.1246f, 1.1329f, -0.0083f},
                                                  {-0.0182f, -0.1006f, 1.1187f}},
                   from_p3[COLOURS][COLOURS] = {{1.2249f, -0.2249f, 0},
                                                {-0.0421f, 1.0421f, 0},
                                                {-0.0196f, -0.0786f, 1.0983f}};

static bool is_high(const AVCodecParameters *stream)
{
    return stream->color_trc == AVCOL_TRC_ARIB_STD_B67 || stream->color_trc == AVCOL_TRC_SMPTE2084;
}

static bool is_usual(const AVCodecParameters *stream)
{
    return stream->color_trc == AVCOL_TRC_BT709 || stream->color_trc == AVCOL_TRC_BT2020_10 ||
           stream->color_trc == AVCOL_TRC_BT2020_12 || stream->color_trc == AVCOL_TRC_UNSPECIFIED;
}

static const float (*matrix_of(const AVCodecParameters *stream))[COLOURS]
{
    switch (stream->color_primaries) {
    case AVCOL_PRI_BT2020:
        return from_2020;
    case AVCOL_PRI_SMPTE432:
        return from_p3;
    case AVCOL_PRI_UNSPECIFIED:
        return is_high(stream) ? from_2020 : same;
    default:
        return same;
    }
}

static void fill(struct tone *t, const AVCodecParameters *stream)
{
    const bool high = is_high(stream), pq = high && stream->color_trc == AVCOL_TRC_SMPTE2084;
    t->hlg = high && !pq;
    for (int i = 0; i < STEPS; i++) {
        const double at = i / (STEPS - 1.0);
        t->light[i] = (float)(t->hlg ? hlg_light(at)
                              : pq   ? pq_light(at) * 10000 / white
                                     : pow(at, gamma_of_screens));
        t->darker[i] = high && i > 0 ? (float)(curve(at * peak) / (at * peak)) : 1;
        t->signal[i] = (uint8_t)lround(255 * pow(at, 2 / gamma_of_screens));
    }
}

struct tone *tone_open(const AVCodecParameters *stream)
{
    const float(*matrix)[COLOURS] = matrix_of(stream);
    if (!is_high(stream) && !(is_usual(stream) && matrix != same))
        return NULL;
    struct tone *t = xcalloc(1, sizeof *t);
    memcpy(t->to_709, matrix, sizeof t->to_709);
    fill(t, stream);
    return t;
}

void tone_close(struct tone *t)
{
    free(t);
}

static int step(float part)
{
    return part < 1 ? (int)(part * (STEPS - 1) + 0.5f) : STEPS - 1;
}

/* BT.2100-2, table 5: the OOTF of HLG for a screen of 1000 cd/m². */
static float screen_of_hlg(const float scene[COLOURS])
{
    const float y = 0.2627f * scene[0] + 0.6780f * scene[1] + 0.0593f * scene[2];
    return (float)peak * powf(y, 0.2f);
}

static void bring(const struct tone *t, const uint16_t *from, uint8_t *to)
{
    float in[COLOURS], out[COLOURS], top = 0;
    for (int c = 0; c < COLOURS; c++)
        in[c] = t->light[from[c] >> 4];
    const float scene = t->hlg ? screen_of_hlg(in) : 1;
    for (int c = 0; c < COLOURS; c++) {
        const float *m = t->to_709[c];
        out[c] = fmaxf((m[0] * in[0] + m[1] * in[1] + m[2] * in[2]) * scene, 0);
        top = fmaxf(top, out[c]);
    }
    const float darker = t->darker[step(top / (float)peak)];
    for (int c = 0; c < COLOURS; c++)
        to[c] = t->signal[step(sqrtf(out[c] * darker))];
}

void tone_apply(const struct tone *t, const uint16_t *from, uint8_t *to, size_t pixels)
{
    for (size_t i = 0; i < pixels; i++)
        bring(t, from + COLOURS * i, to + COLOURS * i);
}
