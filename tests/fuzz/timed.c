/* Commentaries with times, from anywhere: what is read is in order, and text that a terminal may show. */
#include <string.h>

#include "base/utf8.h"
#include "fuzz/fuzz.h"
#include "talk/words.h"

static void prove(const struct timed *t)
{
    for (size_t i = 0; i < t->n; i++) {
        const struct timed_cue *c = &t->at[i];
        const size_t n = strlen(c->text);
        PROVE(n > 0 && utf8_check(c->text, n) == n && c->text[n - 1] != ' ');
        PROVE(c->from_us >= 0 && (i == 0 || c->from_us >= t->at[i - 1].from_us));
        for (size_t k = 0; k < c->n_anchors; k++)
            PROVE(c->anchors[k].at <= n + 1 && c->anchors[k].us > c->from_us);
    }
}

static void prove_words(struct arena *a, const struct timed *t)
{
    struct words w;
    words_of(a, t, &w);
    for (size_t i = 0; i < w.n; i++) {
        const struct word *one = &w.at[i];
        const struct timed_cue *c = &t->at[one->cue];
        PROVE(one->n > 0 && one->at + one->n <= strlen(c->text));
        PROVE(one->from_us >= c->from_us && one->to_us >= one->from_us);
        PROVE(i == 0 || one->cue > w.at[i - 1].cue || one->at >= w.at[i - 1].at + w.at[i - 1].n);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct arena a = {0};
    struct buf notes = {0};
    struct timed t;
    struct err e;
    const struct timed_text file = {(const char *)data, n, "talk", &notes};
    if (timed_read(&a, &file, &t, &e)) {
        prove(&t);
        prove_words(&a, &t);
    }
    buf_free(&notes);
    arena_free(&a);
    return 0;
}
