#include "talk/logit.h"

#include <math.h>

enum { ROUNDS = 12 };
static const double step = 0.30;

struct learner {
    double held;
    double *weight, *moved; /* of each feature; moved: sum of the squares of its gradients */
};

static void move(struct learner *g, size_t feature, double gradient)
{
    gradient += g->held * g->weight[feature];
    g->moved[feature] += gradient * gradient;
    g->weight[feature] -= step * gradient / sqrt(1e-6 + g->moved[feature]);
}

static double value(const struct logit_row *r, size_t i)
{
    const size_t plain = r->n - r->n_values;
    return i < plain ? 1 : r->values[i - plain];
}

static void learn(struct learner *g, const struct logit_row *r, size_t constant)
{
    double x = g->weight[constant];
    for (size_t i = 0; i < r->n; i++)
        x += g->weight[r->features[i]] * value(r, i);
    const double wrong = 1 / (1 + exp(-x)) - r->yes;
    for (size_t i = 0; i < r->n; i++)
        move(g, r->features[i], wrong * value(r, i));
    move(g, constant, wrong);
}

double *logit_learn(struct arena *a, const struct logit_rows *rows, size_t n_features)
{
    struct learner g = {rows->held, arena_alloc(a, (n_features + 1) * sizeof *g.weight),
                        arena_alloc(a, (n_features + 1) * sizeof *g.moved)};
    for (size_t round = 0; round < ROUNDS; round++)
        for (size_t i = 0; i < rows->n; i++)
            learn(&g, &rows->at[i], n_features);
    return g.weight;
}
