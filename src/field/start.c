/* The camera of a homography. */
#include <math.h>

#include "field/inside.h"
#include "field/solve.h"

/* Places to pixels, the picture's middle at 0. */
static void centre(const struct camera *c, double h[9])
{
    for (int k = 0; k < 3; k++) {
        h[k] -= h[6 + k] * c->width / 2;
        h[3 + k] -= h[6 + k] * c->height / 2;
    }
}

/* The columns of h are two directions at right angles and of one length once the first two rows are
 * divided by the focal length: two equations that are linear in its square's inverse. Where they say
 * nothing (the camera looks straight along the field or down), a usual lens: as long as the picture
 * is wide. */
static double focal_of(const struct camera *c, const double h[9])
{
    double a[2], b[2], weight = 0, sum = 0;
    a[0] = h[0] * h[1] + h[3] * h[4];
    b[0] = h[6] * h[7];
    a[1] = h[0] * h[0] + h[3] * h[3] - h[1] * h[1] - h[4] * h[4];
    b[1] = h[6] * h[6] - h[7] * h[7];
    for (int i = 0; i < 2; i++) {
        weight += a[i] * a[i];
        sum -= a[i] * b[i];
    }
    const double focal = sum > 0 && weight > 0 ? sqrt(weight / sum) : 0;
    return focal > c->width / 8 && focal < c->width * 30 ? focal : c->width;
}

static void cross(const double a[3], const double b[3], double out[3])
{
    for (int i = 0; i < 3; i++)
        out[i] = a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3];
}

static double length(const double a[3])
{
    return sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2]);
}

static void scale(double a[3], double by)
{
    for (int i = 0; i < 3; i++)
        a[i] *= by;
}

/* The world's axes as the camera has them (right, down, forward), and the origin. */
struct pose {
    double axis[3][3], origin[3];
};

static struct pose pose_of(const double h[9], double focal, double sign)
{
    struct pose p;
    for (int k = 0; k < 3; k++) {
        double *v = k < 2 ? p.axis[k] : p.origin;
        v[0] = h[k] / focal * sign, v[1] = h[3 + k] / focal * sign, v[2] = h[6 + k] * sign;
    }
    const double size = (length(p.axis[0]) + length(p.axis[1])) / 2;
    scale(p.origin, 1 / size);
    /* both equally turned until they are at right angles */
    double sum[3], less[3];
    scale(p.axis[0], 1 / length(p.axis[0]));
    scale(p.axis[1], 1 / length(p.axis[1]));
    for (int i = 0; i < 3; i++) {
        sum[i] = p.axis[0][i] + p.axis[1][i];
        less[i] = p.axis[0][i] - p.axis[1][i];
    }
    scale(sum, M_SQRT1_2 / length(sum));
    scale(less, M_SQRT1_2 / length(less));
    for (int i = 0; i < 3; i++) {
        p.axis[0][i] = sum[i] + less[i];
        p.axis[1][i] = sum[i] - less[i];
    }
    cross(p.axis[0], p.axis[1], p.axis[2]);
    return p;
}

static void take_pose(const struct pose *p, struct camera *c)
{
    double row[3][3]; /* right, down, forward in the world */
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            row[i][k] = p->axis[k][i];
    for (int k = 0; k < 3; k++)
        c->p[CAMERA_X + k] = -(p->axis[k][0] * p->origin[0] + p->axis[k][1] * p->origin[1] +
                               p->axis[k][2] * p->origin[2]);
    const double pan = atan2(row[2][0], row[2][1]), tilt = -asin(fmax(-1, fmin(1, row[2][2])));
    const double right[3] = {cos(pan), -sin(pan), 0};
    double down[3];
    cross(row[2], right, down);
    c->p[CAMERA_PAN] = pan;
    c->p[CAMERA_TILT] = tilt;
    c->p[CAMERA_ROLL] = atan2(row[0][0] * down[0] + row[0][1] * down[1] + row[0][2] * down[2],
                              row[0][0] * right[0] + row[0][1] * right[1] + row[0][2] * right[2]);
}

bool camera_start(const struct pick *picks, size_t n, struct camera *out, struct err *e)
{
    double h[9];
    if (!homography_fit(picks, n, h, e))
        return false;
    centre(out, h);
    double ahead = 0; /* on which side of the camera the spots are */
    for (size_t i = 0; i < n; i++) {
        const double depth = h[6] * picks[i].on.x + h[7] * picks[i].on.y + h[8];
        if (i > 0 && (depth > 0) != (ahead > 0))
            return err_set(e, ERR_INPUT,
                           "with these picks a part of the ground would be behind the camera; is "
                           "pick %d where you meant it?",
                           pick_number(picks, i));
        ahead = depth;
    }
    out->p[CAMERA_FOCAL] = focal_of(out, h);
    out->p[CAMERA_K1] = out->p[CAMERA_CROWN] = 0;
    const struct pose p = pose_of(h, out->p[CAMERA_FOCAL], ahead > 0 ? 1 : -1);
    take_pose(&p, out);
    return out->p[CAMERA_Z] > 0 ||
           err_set(e, ERR_INPUT,
                   "with these picks the camera would look at the ground from below; are two picks "
                   "interchanged, or side 1 and side 2?");
}
