#include <math.h>

#include "demo/shot.h"
#include "demo/stance.h"

static const double RADIAN = M_PI / 180, INCHES = 12, HALF_IN = 960;

bool shot_moves(const struct shot *s)
{
    return s->pan_deg != 0 || s->zoom != 0 || s->sway_deg != 0 || s->bump_s > 0;
}

bool shot_plain(const struct shot *s)
{
    return !shot_moves(s) && s->crown_in == 0 && s->k1 == 0 && s->roll_deg == 0;
}

enum { SWAY_PAN, SWAY_TILT, SWAY_ROLL };

/* Between -1 and 1. A hand's sway: slow, quick and quicker at once (frequencies: common practice, no
 * source). */
static double hand(const struct shot *s, double at_s, int axis)
{
    static const struct {
        double hz, share;
    } part[] = {{0.7, 0.55}, {1.7, 0.3}, {3.1, 0.15}};
    double sum = 0;
    for (uint64_t i = 0; i < sizeof part / sizeof *part; i++) {
        const double phase = scatter_unit(s->seed, 40 + (uint64_t)axis, i);
        sum += part[i].share * sin(2 * M_PI * (part[i].hz * at_s + phase));
    }
    return sum;
}

/* 0 before the knock, then 1 with a little ringing. */
static double knocked(const struct shot *s, double at_s)
{
    const double since = at_s - s->bump_s;
    if (s->bump_s <= 0 || since < 0)
        return 0;
    return 1 - exp(-since / 0.12) * cos(2 * M_PI * 5 * since);
}

struct camera shot_camera(const struct shot *s, double at_s)
{
    const double dx = s->aim.x - s->at.x, dy = s->aim.y - s->at.y;
    const double hit = knocked(s, at_s), turn = 2 * M_PI * at_s / s->pan_s;
    struct camera c = {.width = s->width, .height = s->height, .half = HALF_IN};
    const double pan = s->pan_deg * sin(turn) + s->sway_deg * hand(s, at_s, SWAY_PAN);
    const double tilt = s->sway_deg * hand(s, at_s, SWAY_TILT);
    const double roll = s->roll_deg + 0.4 * s->sway_deg * hand(s, at_s, SWAY_ROLL);
    c.p[CAMERA_X] = s->at.x * INCHES + hit * s->bump_in;
    c.p[CAMERA_Y] = s->at.y * INCHES;
    c.p[CAMERA_Z] = s->at.z * INCHES;
    c.p[CAMERA_PAN] = atan2(dx, dy) + RADIAN * (pan + hit * s->bump_deg);
    c.p[CAMERA_TILT] = atan2(s->at.z, hypot(dx, dy)) + RADIAN * (tilt - 0.6 * hit * s->bump_deg);
    c.p[CAMERA_ROLL] = RADIAN * (roll + 0.8 * hit * s->bump_deg);
    c.p[CAMERA_FOCAL] = s->focal_px * (1 + s->zoom * (0.5 - 0.5 * cos(turn / 0.85)));
    c.p[CAMERA_K1] = s->k1;
    c.p[CAMERA_CROWN] = s->crown_in;
    return c;
}

struct view shot_view(const struct shot *s, double at_s)
{
    const struct camera lens = shot_camera(s, at_s);
    struct view w = shot_plain(s) ? view_plain(s->width, s->height, s->focal_px, s->at, s->aim)
                                  : view_through(&lens);
    w.shade_x = s->shade_x;
    w.shade_y = s->shade_y;
    return w;
}
