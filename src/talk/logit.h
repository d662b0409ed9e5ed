/* What features are worth for a yes, learnt from rows that say yes or no: logistic regression, by stochastic
 * gradients whose steps shrink with what a weight has moved (AdaGrad: Duchi, Hazan and Singer 2011), held
 * small by the square of the weights. The rows are taken in their order, so the same rows give the same
 * weights. Inner to the room. */
#ifndef TALK_LOGIT_H
#define TALK_LOGIT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"

struct logit_row {
    const size_t *features; /* each once */
    size_t n;
    const double *values; /* of the last n_values features; those before are 1 */
    size_t n_values;
    bool yes;
};
struct logit_rows {
    const struct logit_row *at;
    size_t n;
    double held; /* how much each weight is drawn to 0, a row */
};

/* One weight for each feature, logarithms of odds, and behind them the constant; in the arena. */
double *logit_learn(struct arena *a, const struct logit_rows *rows, size_t n_features);

#endif
