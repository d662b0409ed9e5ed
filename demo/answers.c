#include <stdio.h>
#include <stdlib.h>

#include "demo/answers.h"
#include "show/grid.h"
#include "sys/file.h"

enum { INCHES = 12 };

static bool finish(const char *path, FILE *f, char **text, size_t *n, struct err *e)
{
    const bool written = fclose(f) == 0;
    const bool ok = written ? file_write(path, *text, *n, e)
                            : err_set(e, ERR_FAILED, "%s: no memory for it", path);
    free(*text);
    return ok;
}

static FILE *begin(const char *path, char **text, size_t *n, struct err *e)
{
    FILE *f = open_memstream(text, n);
    if (!f)
        err_set(e, ERR_FAILED, "%s: no memory for it", path);
    return f;
}

static double frame_ms(const struct answers *a, size_t frame)
{
    return (double)a->frame_us[frame] / 1000;
}

bool answers_cameras(const char *path, const struct answers *a, struct err *e)
{
    char *text;
    size_t n;
    FILE *f = begin(path, &text, &n, e);
    if (!f)
        return false;
    fputs("ms,x_in,y_in,z_in,pan,tilt,roll,focal_px,k1,crown_in,width,height\n", f);
    for (size_t i = 0; i < a->n_frames; i++) {
        const struct camera c = shot_camera(a->shot, (double)a->frame_us[i] / 1e6);
        fprintf(f, "%.3f", frame_ms(a, i));
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            fprintf(f, ",%.12g", c.p[k]);
        fprintf(f, ",%g,%g\n", c.width, c.height);
    }
    return finish(path, f, &text, &n, e);
}

/* What the demo's paper calls a place in steps, on the painted field: the same spot of ground. */
static struct field_place inches_of(struct point steps)
{
    return (struct field_place){steps.x * FEET_PER_STEP * INCHES,
                                steps.y * FEET_PER_DEPTH_STEP * INCHES};
}

bool answers_places(const char *path, const struct answers *a, struct err *e)
{
    char *text;
    size_t n;
    FILE *f = begin(path, &text, &n, e);
    if (!f)
        return false;
    fputs("ms,performer,across,depth,x_in,y_in\n", f);
    for (size_t i = 0; i < a->n_frames; i++)
        for (size_t p = 0; p < a->drill->n_performers; p++) {
            const double at_s = (double)a->frame_us[i] / 1e6;
            const struct field_place at = inches_of(company_steps(a->company, p, at_s));
            double across, depth;
            field_place_steps(a->grid, at, &across, &depth);
            fprintf(f, "%.3f,%s,%.4f,%.4f,%.3f,%.3f\n", frame_ms(a, i),
                    a->drill->performers[p].label, across, depth, at.x, at.y);
        }
    return finish(path, f, &text, &n, e);
}

bool answers_dots(const char *path, const struct answers *a, struct err *e)
{
    char *text, words[2][SPOT_TEXT];
    size_t n;
    FILE *f = begin(path, &text, &n, e);
    if (!f)
        return false;
    fputs("performer,set,across,depth\n", f);
    for (size_t p = 0; p < a->drill->n_performers; p++)
        for (size_t s = 0; s < a->drill->n_sets; s++) {
            double across, depth;
            field_place_steps(a->grid, inches_of(*drill_dot(a->drill, p, s)), &across, &depth);
            across_text(a->grid, across, words[0]);
            depth_text(a->grid, depth, words[1]);
            fprintf(f, "%s,%s,\"%s\",%s\n", a->drill->performers[p].label, a->drill->sets[s].label,
                    words[0], words[1]);
        }
    return finish(path, f, &text, &n, e);
}
