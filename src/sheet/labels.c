#include "sheet/labels.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/arena.h"

enum { WAYS = 8, RINGS = 3, SWEEPS = 4 };

/* Straight above its dot nobody takes a label for another's; at a corner they may. */
static const double ways[WAYS][2] = {{0, -1}, {0, 1},  {1, 0}, {-1, 0},
                                     {1, -1}, {-1, 1}, {1, 1}, {-1, -1}};

/* Square points of cover that a place further from its dot, or at a corner, is worth. */
enum { PER_RING = 5, PER_CORNER = 3 };

static double shared(double a, double a_long, double b, double b_long)
{
    return fmax(0, fmin(a + a_long, b + b_long) - fmax(a, b));
}

/* At a corner it touches the dot's circle where the diagonal does. */
static void stand(struct label *l, int place, double radius)
{
    const int ring = place / WAYS;
    const double *way = ways[place % WAYS],
                 away = (way[0] != 0 && way[1] != 0 ? 0.71 * radius : radius + 0.8) +
                        ring * (l->high + 1);
    l->left = l->x + way[0] * (away + l->wide / 2) - l->wide / 2;
    l->top = l->y + way[1] * (away + l->high / 2) - l->high / 2;
    l->away = ring > 0;
}

static double costs_to_stand(int place)
{
    return PER_RING * (place / WAYS) + (place % WAYS >= 4 ? PER_CORNER : 0) + 0.01 * place;
}

/* What it covers there; another label counts more than a dot. */
static double cost(const struct label *labels, size_t n, size_t me, const bool *placed,
                   const struct label_dots *dots)
{
    const struct label *l = &labels[me];
    double all = 0;
    for (size_t i = 0; i < n; i++)
        if (i != me && placed[i])
            all += 4 * shared(l->left, l->wide, labels[i].left, labels[i].wide) *
                   shared(l->top, l->high, labels[i].top, labels[i].high);
    for (size_t i = 0; i < dots->n; i++)
        all += shared(l->left, l->wide, dots->at[i][0] - dots->radius, 2 * dots->radius) *
               shared(l->top, l->high, dots->at[i][1] - dots->radius, 2 * dots->radius);
    return all;
}

static void choose(struct label *labels, size_t n, size_t me, const bool *placed,
                   const struct label_dots *dots)
{
    enum { PLACES = WAYS * RINGS };
    struct label best = labels[me];
    double least = INFINITY;
    for (int place = 0; place < PLACES; place++) {
        stand(&labels[me], place, dots->radius);
        const double costs = cost(labels, n, me, placed, dots) + costs_to_stand(place);
        if (costs < least) {
            least = costs;
            best = labels[me];
        }
    }
    labels[me] = best;
}

void labels_place(struct label *labels, size_t n, const struct label_dots *dots)
{
    bool *placed = xcalloc(n + 1, sizeof *placed);
    for (int sweep = 0; sweep < SWEEPS; sweep++)
        for (size_t i = 0; i < n; i++) {
            choose(labels, n, i, placed, dots);
            placed[i] = true;
        }
    free(placed);
}
