/* A track as the show file keeps it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/track.h"

static void put32(unsigned char *to, uint32_t x)
{
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(x >> 8 * i);
}

static uint32_t take32(const unsigned char *from)
{
    uint32_t x = 0;
    for (int i = 0; i < 4; i++)
        x |= (uint32_t)from[i] << 8 * i;
    return x;
}

static void put_float(unsigned char *to, double x)
{
    const float f = (float)x;
    uint32_t bits;
    memcpy(&bits, &f, sizeof bits);
    put32(to, bits);
}

static bool take_float(const unsigned char *from, float *out)
{
    const uint32_t bits = take32(from);
    memcpy(out, &bits, sizeof *out);
    return isfinite(*out);
}

static const uint32_t hour_us = 3600000000U;
static const int64_t far_us = INT64_MAX / 4; /* no clip's */

void track_frames_put(const struct track_piece *p, unsigned char *out)
{
    for (size_t i = 0; i < p->n; i++, out += TRACK_FRAME_BYTES) {
        put32(out, (uint32_t)(p->at[i].us - p->from_us));
        out[4] = p->at[i].held;
        for (int k = 0; k < 4; k++)
            put_float(out + 5 + 4 * k, (double)p->at[i].moving[k]);
    }
}

bool track_frames_take(const unsigned char *bytes, size_t n, struct track_piece *p)
{
    p->n = n / TRACK_FRAME_BYTES;
    if (llabs(p->from_us) > far_us)
        return false;
    for (size_t i = 0; i < p->n; i++, bytes += TRACK_FRAME_BYTES) {
        struct track_frame *f = &p->at[i];
        const uint32_t after = take32(bytes);
        if (after > hour_us || bytes[4] > 1)
            return false;
        *f = (struct track_frame){.us = p->from_us + after, .held = bytes[4]};
        for (int k = 0; k < 4; k++)
            if (!take_float(bytes + 5 + 4 * k, &f->moving[k]))
                return false;
        if (f->moving[3] <= 0 || (i > 0 && f->us <= f[-1].us))
            return false;
    }
    return p->n > 0 && n % TRACK_FRAME_BYTES == 0;
}

bool track_bent(const struct track_piece *p)
{
    for (size_t i = 0; i < p->n; i++)
        for (int k = 0; k < BENDS; k++)
            if (fabsf(p->at[i].bend[k]) > 0)
                return true;
    return false;
}

void track_bends_put(const struct track_piece *p, unsigned char *out)
{
    for (size_t i = 0; i < p->n; i++)
        for (int k = 0; k < BENDS; k++, out += 4)
            put_float(out, (double)p->at[i].bend[k]);
}

bool track_bends_take(const unsigned char *bytes, size_t n, struct track_piece *p)
{
    if (n == 0)
        return true;
    if (n != p->n * TRACK_BEND_BYTES)
        return false;
    for (size_t i = 0; i < p->n; i++)
        for (int k = 0; k < BENDS; k++, bytes += 4)
            if (!take_float(bytes, &p->at[i].bend[k]) || fabsf(p->at[i].bend[k]) > 1)
                return false;
    return true;
}

void track_cov_put(const struct track_piece *p, unsigned char out[TRACK_COV_BYTES])
{
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        for (int k = i; k < CAMERA_PARAMETERS; k++, out += 4)
            put_float(out, p->cov[i][k]);
}

bool track_cov_take(const unsigned char *bytes, size_t n, struct track_piece *p)
{
    float x;
    if (n != TRACK_COV_BYTES)
        return false;
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        for (int k = i; k < CAMERA_PARAMETERS; k++, bytes += 4) {
            if (!take_float(bytes, &x) || (i == k && x < 0))
                return false;
            p->cov[i][k] = p->cov[k][i] = (double)x;
        }
    return true;
}

/* What is fixed, in the order of its bytes. */
static const int fixed[] = {CAMERA_X, CAMERA_Y, CAMERA_Z, CAMERA_K1, CAMERA_CROWN};

void track_unsure_put(const struct track *t, unsigned char out[TRACK_UNSURE_BYTES])
{
    for (int i = 0; i < 5; i++)
        for (int k = i; k < 5; k++, out += 4)
            put_float(out, t->unsure[fixed[i]][fixed[k]]);
}

bool track_unsure_take(const unsigned char *bytes, size_t n, struct track *t)
{
    float x;
    if (n != TRACK_UNSURE_BYTES)
        return false;
    for (int i = 0; i < 5; i++)
        for (int k = i; k < 5; k++, bytes += 4) {
            if (!take_float(bytes, &x) || (i == k && x < 0))
                return false;
            t->unsure[fixed[i]][fixed[k]] = t->unsure[fixed[k]][fixed[i]] = (double)x;
        }
    return true;
}
