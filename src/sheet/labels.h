/* Where labels of dots stand so that none covers another, a dot or what the field says. Inner to the
 * room. */
#ifndef SHEET_LABELS_H
#define SHEET_LABELS_H

#include <stdbool.h>
#include <stddef.h>

struct rect {
    double left, top, wide, high;
};

struct label_line {
    double x1, y1, x2, y2;
};

struct label {
    double x, y;            /* its dot's middle */
    double wide, high;      /* how large it is, with the air that is to be around it */
    struct rect at;         /* out: where it stands */
    bool away;              /* out: so far from its dot that a line is to join them ... */
    struct label_line line; /* out: ... from the dot's edge to the nearest of the label */
    bool out;               /* out: there is no room for it */
};

struct label_ground {
    const double (*dots)[2]; /* middles, x and y */
    size_t n_dots;
    double radius;
    const struct rect *taken; /* where no label may stand */
    size_t n_taken;
    struct rect within; /* no label stands outside */
};

/* Each label stands at the first free of its places, near ones before far ones; where none is free,
 * at the one that covers least, and those it covers make room in the next of a few rounds, as long as these help. What
 * still covers something then is left out. Returns how many are. The order of labels and dots decides ties, so the same
 * chart always comes out. Grows with the square of n + dots. */
size_t labels_place(struct label *labels, size_t n, const struct label_ground *ground);

#endif
