/* 'Did you mean ...': the nearest of some words to one that was mistyped. */
#ifndef BASE_NEAR_H
#define BASE_NEAR_H

#include <stddef.h>

/* Optimal string alignment distance (insert, delete, replace, swap of neighbours), bytes,
 * letter case ignored. Strings over 63 bytes count as far (255). */
int near_distance(const char *a, const char *b);

struct near {
    const char *word; /* what was typed */
    const char *best; /* NULL while nothing is near enough */
    int distance;
};

/* Feed candidates one by one; best is then the nearest within a third of the word's length
 * (at least 1, at most 3 edits). The candidate must outlive the struct. */
void near_offer(struct near *n, const char *candidate);

struct near_said {
    char text[160];
};

/* "; did you mean 'trumpets'?" for the end of a message, or `otherwise` when nothing is near. */
struct near_said near_said(const struct near *n, const char *otherwise);

#endif
