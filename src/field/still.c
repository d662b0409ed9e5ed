#include "field/still.h"

#include <math.h>
#include <string.h>

static const double near_px = 1, by_sd = 4;
static const int64_t least_us = 1000000, soon_us = 3000000;
enum { PARTS = 4, PASSED_OVER = 3, STRETCHES_MOST = 256 };

/* Where it looks, as pixels: aim, roll at the picture's edge, zoom at the picture's edge. */
static void look_of(const struct camera *c, double out[PARTS])
{
    out[0] = c->p[CAMERA_PAN] * c->p[CAMERA_FOCAL];
    out[1] = c->p[CAMERA_TILT] * c->p[CAMERA_FOCAL];
    out[2] = c->p[CAMERA_ROLL] * c->width / 2;
    out[3] = log(c->p[CAMERA_FOCAL]) * c->width / 2;
}

/* Of two cameras, with the focal length of the one; so that zoom does not count as pan. */
static double pixels_apart(const struct camera *a, const struct camera *b)
{
    double one[PARTS], other[PARTS], sum = 0;
    struct camera same = *b;
    same.p[CAMERA_FOCAL] = a->p[CAMERA_FOCAL];
    look_of(a, one);
    look_of(&same, other);
    other[3] = log(b->p[CAMERA_FOCAL]) * b->width / 2;
    for (int k = 0; k < PARTS; k++)
        sum += (one[k] - other[k]) * (one[k] - other[k]);
    return sqrt(sum);
}

static bool is_near(const struct held_at *mean, const struct held_at *at)
{
    return pixels_apart(&mean->camera, &at->camera) <= fmax(near_px, by_sd * at->sd_px);
}

/* The mean with one more of n: what moves. */
static void take_in(struct held_at *mean, const struct held_at *at, size_t n)
{
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        mean->camera.p[k] += (at->camera.p[k] - mean->camera.p[k]) / (double)n;
}

/* The last frame of the stretch that begins with `from`. */
static size_t last_of(const struct held_at *at, size_t n, size_t from)
{
    struct held_at mean = at[from];
    size_t last = from, in = 1;
    for (size_t i = from + 1; i < n && i - last <= PASSED_OVER; i++)
        if (is_near(&mean, &at[i])) {
            take_in(&mean, &at[i], ++in);
            last = i;
        }
    return last;
}

size_t still_stretches(const struct held_at *at, size_t n, struct still_stretch *out, size_t most)
{
    size_t found = 0;
    for (size_t i = 0; i < n && found < most;) {
        const size_t last = last_of(at, n, i);
        const bool all = i == 0 && last + 1 == n; /* a clip may be shorter than a second */
        if (all || at[last].us - at[i].us >= least_us) {
            out[found++] = (struct still_stretch){i, last};
            i = last + 1;
        } else {
            i++;
        }
    }
    return found;
}

bool still_all(const struct held_at *at, size_t n)
{
    struct still_stretch s[1];
    return n > 1 && still_stretches(at, n, s, 1) == 1 && s[0].from == 0 &&
           s[0].to + PASSED_OVER >= n - 1;
}

size_t still_bumps(const struct held_at *at, size_t n, int64_t *us, size_t most)
{
    struct still_stretch s[STRETCHES_MOST];
    const size_t many = still_stretches(at, n, s, STRETCHES_MOST);
    size_t found = 0;
    for (size_t i = 0; i + 1 < many && found < most; i++)
        if (at[s[i + 1].from].us - at[s[i].to].us <= soon_us)
            us[found++] = at[s[i].to + 1].us;
    return found;
}
