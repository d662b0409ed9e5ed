/* Where labels of dots stand so that they cover neither each other nor a dot, as far as that can be.
 * Inner to the room. */
#ifndef SHEET_LABELS_H
#define SHEET_LABELS_H

#include <stdbool.h>
#include <stddef.h>

struct label {
    double x, y;       /* its dot's middle */
    double wide, high; /* how large it is */
    double left, top;  /* out: its upper left corner */
    bool away;         /* out: so far from its dot that a line is to join them */
};

struct label_dots {
    const double (*at)[2]; /* middles, x and y */
    size_t n;
    double radius;
};

/* Each stands at one of 24 places around its dot; the one that covers least, looked for greedily and
 * again a few times, as the others have moved. The order of labels and dots decides ties, so the
 * same chart always comes out. Grows with n times (n + dots). */
void labels_place(struct label *labels, size_t n, const struct label_dots *dots);

#endif
