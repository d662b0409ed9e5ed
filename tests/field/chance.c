#include "field/chance.h"

#include <math.h>
#include <string.h>

double between(double from, double to)
{
    static unsigned long long chance = 88172645463325252ULL;
    chance ^= chance << 13;
    chance ^= chance >> 7;
    chance ^= chance << 17;
    return from + (to - from) * (double)(chance >> 11) / 9007199254740992.0;
}

double normal(void)
{
    return sqrt(-2 * log(between(1e-12, 1))) * cos(between(0, 2 * M_PI));
}

double steps_off(const struct camera *truth, const struct camera *c)
{
    double sum = 0;
    int n = 0;
    for (double x = -1080; x <= 1080; x += 90)
        for (double y = 0; y <= 1920; y += 120) {
            const struct field_place at = {x, y};
            struct pixel p;
            struct field_place got;
            if (!camera_sees(truth, at, &p, NULL) || p.x < 0 || p.y < 0 || p.x > truth->width ||
                p.y > truth->height)
                continue;
            if (!camera_place(c, p, &got))
                return INFINITY;
            sum += (pow(got.x - x, 2) + pow(got.y - y, 2)) / (22.5 * 22.5);
            n++;
        }
    return n > 50 ? sqrt(sum / n) : INFINITY;
}

struct camera box_camera(double width)
{
    struct camera c = {.width = width, .height = width * 9 / 16, .half = 80 * 12};
    const double at[3] = {4 * 12, -75 * 12, 45 * 12};
    memcpy(c.p, at, sizeof at);
    c.p[CAMERA_PAN] = -0.05;
    c.p[CAMERA_TILT] = 0.32;
    c.p[CAMERA_ROLL] = 0.012;
    c.p[CAMERA_FOCAL] = width * 0.62;
    return c;
}
