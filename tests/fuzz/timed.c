/* Commentaries with times, from anywhere: what is read is in order, and text that a terminal may show. */
#include <string.h>

#include "base/utf8.h"
#include "fuzz/fuzz.h"
#include "talk/timed.h"

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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct arena a = {0};
    struct buf notes = {0};
    struct timed t;
    struct err e;
    const struct timed_text file = {(const char *)data, n, "talk", &notes};
    if (timed_read(&a, &file, &t, &e))
        prove(&t);
    buf_free(&notes);
    arena_free(&a);
    return 0;
}
