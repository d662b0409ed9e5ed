#include "field/track.h"

#include <math.h>
#include <string.h>

static const int64_t shows_us = 500000; /* no frame stands longer than that at a clip's end */

struct camera track_camera(const struct track *t, const struct track_frame *f)
{
    struct camera c = t->fixed;
    for (int k = 0; k < 4; k++)
        c.p[CAMERA_PAN + k] = (double)f->moving[k];
    for (int k = 0; k < BENDS; k++)
        c.bend[k] = (double)f->bend[k];
    return c;
}

/* The last piece that begins at or before a time. */
static const struct track_piece *piece_at(const struct track *t, int64_t us)
{
    size_t low = 0, high = t->n;
    while (low < high) {
        const size_t mid = (low + high) / 2;
        if (t->at[mid].from_us <= us)
            low = mid + 1;
        else
            high = mid;
    }
    return low ? &t->at[low - 1] : NULL;
}

static const struct track_frame *frame_in(const struct track_piece *p, int64_t us)
{
    size_t low = 0, high = p->n;
    while (low < high) {
        const size_t mid = (low + high) / 2;
        if (p->at[mid].us <= us)
            low = mid + 1;
        else
            high = mid;
    }
    return low ? &p->at[low - 1] : NULL;
}

const struct track_frame *track_frame_at(const struct track *t, int64_t us)
{
    const struct track_piece *p = piece_at(t, us);
    const struct track_frame *f = p ? frame_in(p, us) : NULL;
    return f && (t->whole || us - t->to_us < shows_us) ? f : NULL;
}

bool track_at(const struct track *t, int64_t us, struct seen_by *out, bool *held)
{
    const struct track_frame *f = track_frame_at(t, us);
    if (!f)
        return false;
    out->camera = track_camera(t, f);
    memcpy(out->cov, piece_at(t, us)->cov, sizeof out->cov);
    *held = f->held;
    return true;
}

struct track_sum track_sum(const struct track *t)
{
    struct track_sum s = {0};
    double low[4] = {0}, high[4] = {0};
    bool any = false;
    for (size_t i = 0; i < t->n; i++)
        for (size_t k = 0; k < t->at[i].n; k++) {
            const struct track_frame *f = &t->at[i].at[k];
            s.frames++;
            s.lost += !f->held;
            const struct camera c = track_camera(t, f);
            s.bent += f->held && camera_is_bent(&c);
            for (int j = 0; f->held && j < 4; j++) {
                low[j] = any ? fmin(low[j], (double)f->moving[j]) : (double)f->moving[j];
                high[j] = any ? fmax(high[j], (double)f->moving[j]) : (double)f->moving[j];
            }
            any |= f->held;
        }
    s.turned = hypot(high[0] - low[0], high[1] - low[1]);
    s.zoomed = low[3] > 0 ? high[3] / low[3] - 1 : 0;
    return s;
}

void track_extend(struct arena *a, struct track *t, const struct track *by_then,
                  const struct track_piece *p)
{
    t->from_us = by_then->from_us;
    t->to_us = by_then->to_us;
    t->whole = by_then->whole;
    if (!p)
        return;
    struct track_piece *at = arena_alloc(a, (t->n + 1) * sizeof *at), one = *p;
    const size_t first = t->n && p->from_us < t->at[0].from_us ? 1 : 0;
    one.at = arena_alloc(a, p->n * sizeof *one.at);
    memcpy(one.at, p->at, p->n * sizeof *one.at);
    if (t->n)
        memcpy(at + first, t->at, t->n * sizeof *at);
    at[first ? 0 : t->n] = one;
    t->at = at;
    t->n++;
}
