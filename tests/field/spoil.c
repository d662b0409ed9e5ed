/* What happens to a drawn picture behind the lens. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/drawn.h"

static void hide(struct plane *p, double people, unsigned long long *chance)
{
    const int boxes = (int)(people * p->width * p->height / (12 * 40));
    for (int i = 0; i < boxes; i++) {
        const int x0 = (int)(drawn_unit(chance) * (p->width - 12));
        const int y0 = (int)(drawn_unit(chance) * (p->height - 40));
        const double ink = floor(drawn_unit(chance) * 255);
        for (int y = y0; y < y0 + 40; y++)
            for (int x = x0; x < x0 + 12; x++)
                p->at[y * p->width + x] = ink;
    }
}

/* --- blur -------------------------------------------------------------------------------------- */

enum { WIDEST = 60 };

/* One row or column, `apart` values from one to the next; its ends go on. */
static void smooth(double *line, int n, int apart, const double *kernel, int half)
{
    double *was = xcalloc((size_t)n, sizeof *was);
    for (int i = 0; i < n; i++)
        was[i] = line[(size_t)i * (size_t)apart];
    for (int i = 0; i < n; i++) {
        double sum = 0;
        for (int k = -half; k <= half; k++) {
            const int at = i + k < 0 ? 0 : i + k >= n ? n - 1 : i + k;
            sum += kernel[k + half] * was[at];
        }
        line[(size_t)i * (size_t)apart] = sum;
    }
    free(was);
}

static int even(double *kernel, double wide)
{
    const int half = (int)fmin(WIDEST, ceil(wide / 2));
    for (int k = -half; k <= half; k++)
        kernel[k + half] = 1.0 / (2 * half + 1);
    return half;
}

static int bell(double *kernel, double sd)
{
    const int half = (int)fmin(WIDEST, ceil(3 * sd));
    double sum = 0;
    for (int k = -half; k <= half; k++)
        sum += kernel[k + half] = exp(-k * k / (2 * sd * sd));
    for (int k = 0; k <= 2 * half; k++)
        kernel[k] /= sum;
    return half;
}

static void blur(struct plane *p, double sd, double smear)
{
    double kernel[2 * WIDEST + 1];
    if (smear > 0) {
        const int half = even(kernel, smear);
        for (int y = 0; y < p->height; y++)
            smooth(p->at + (size_t)y * (size_t)p->width, p->width, 1, kernel, half);
    }
    if (!(sd > 0))
        return;
    const int half = bell(kernel, sd);
    for (int y = 0; y < p->height; y++)
        smooth(p->at + (size_t)y * (size_t)p->width, p->width, 1, kernel, half);
    for (int x = 0; x < p->width; x++)
        smooth(p->at + x, p->height, p->width, kernel, half);
}

/* --- compression ------------------------------------------------------------------------------- */

enum { SIDE = 8 };

/* to = basis from basis' (or, back, basis' from basis). */
static void transform(double basis[SIDE][SIDE], double from[SIDE][SIDE], bool back,
                      double to[SIDE][SIDE])
{
    double half[SIDE][SIDE];
    for (int i = 0; i < SIDE; i++)
        for (int k = 0; k < SIDE; k++) {
            half[i][k] = 0;
            for (int m = 0; m < SIDE; m++)
                half[i][k] += (back ? basis[m][i] : basis[i][m]) * from[m][k];
        }
    for (int i = 0; i < SIDE; i++)
        for (int k = 0; k < SIDE; k++) {
            to[i][k] = 0;
            for (int m = 0; m < SIDE; m++)
                to[i][k] += half[i][m] * (back ? basis[m][k] : basis[k][m]);
        }
}

/* Coefficients in whole quanta, those of fine detail in coarser ones: what codecs of pictures share. */
static void compress(struct plane *p, double quantum)
{
    double basis[SIDE][SIDE], block[SIDE][SIDE], c[SIDE][SIDE];
    for (int i = 0; i < SIDE; i++)
        for (int k = 0; k < SIDE; k++)
            basis[i][k] = sqrt((i ? 2.0 : 1.0) / SIDE) * cos(M_PI * i * (2 * k + 1) / (2 * SIDE));
    for (int y = 0; y + SIDE <= p->height; y += SIDE)
        for (int x = 0; x + SIDE <= p->width; x += SIDE) {
            double *at = &p->at[(size_t)y * (size_t)p->width + (size_t)x];
            for (int i = 0; i < SIDE; i++)
                memcpy(block[i], at + i * p->width, sizeof block[i]);
            transform(basis, block, false, c);
            for (int i = 0; i < SIDE; i++)
                for (int k = 0; k < SIDE; k++) {
                    const double q = quantum * (1 + (i + k) / 4.0);
                    c[i][k] = q * round(c[i][k] / q);
                }
            transform(basis, c, true, block);
            for (int i = 0; i < SIDE; i++)
                memcpy(at + i * p->width, block[i], sizeof block[i]);
        }
}

/* --- all of it ---------------------------------------------------------------------------------- */

/* Near enough to a normal law: the sum of twelve. */
static double twelve(unsigned long long *chance)
{
    double sum = -6;
    for (int i = 0; i < 3; i++) {
        drawn_unit(chance);
        for (int k = 0; k < 4; k++)
            sum += (double)(*chance >> (16 * k) & 0xffff) / 65536 + 0.5 / 65536;
    }
    return sum;
}

void spoil(struct plane *p, const struct drawing *how, unsigned long long *chance)
{
    hide(p, how->people, chance);
    blur(p, how->blur, how->smear);
    if (how->noise > 0)
        for (size_t i = 0; i < (size_t)p->width * (size_t)p->height; i++)
            p->at[i] += how->noise * twelve(chance);
    if (how->quantum > 0)
        compress(p, how->quantum);
}
