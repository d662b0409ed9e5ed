/* A clip's camera from its first frame to its last: still, knocked, lost. */
#include <math.h>

#include "app/field.h"
#include "field/still.h"

static size_t count(const struct track *t)
{
    size_t n = 0;
    for (size_t i = 0; i < t->n; i++)
        n += t->at[i].n;
    return n;
}

void app_field_story(const struct field_view *v, struct arena *mem, struct field_story *out)
{
    enum { MOST = 64 };
    const struct track *t = &v->track;
    const size_t all = count(t);
    struct held_at *at = arena_alloc(mem, (all + 1) * sizeof *at);
    size_t n = 0;
    bool lost = false;
    *out = (struct field_story){.bumped = arena_alloc(mem, MOST * sizeof *out->bumped),
                                .lost = arena_alloc(mem, (all + 1) * sizeof *out->lost)};
    for (size_t i = 0; i < t->n; i++)
        for (size_t k = 0; k < t->at[i].n; k++) {
            const struct track_frame *f = &t->at[i].at[k];
            const double pan = t->at[i].cov[CAMERA_PAN][CAMERA_PAN];
            if (f->held)
                at[n++] = (struct held_at){f->us, track_camera(t, f),
                                           sqrt(fmax(0, pan)) * (double)f->moving[3]};
            else if (lost)
                out->lost[out->n_lost - 1].to_us = f->us;
            else
                out->lost[out->n_lost++] = (struct field_lost){f->us, f->us};
            lost = !f->held;
        }
    out->still = n > 1 && still_all(at, n);
    out->n_bumped = still_bumps(at, n, out->bumped, MOST);
}
