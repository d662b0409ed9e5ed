/* Keys of a chord, in any order. Targets and fault stay within the show, a refusal says why, and
 * what the panel offers next is really taken. */
#include <stdlib.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "mark/chord.h"

static void prove_chord(const struct show *show, const struct chord *c)
{
    PROVE(c->n_targets <= CHORD_TARGETS);
    PROVE(c->fault >= -1 && c->fault < (int)show->n_faults);
    PROVE(c->section >= -1 && c->section < (int)show->n_sections);
    for (size_t i = 0; i < c->n_targets; i++) {
        const struct target *t = &c->targets[i];
        PROVE(t->section >= 0 && (size_t)t->section < show->n_sections);
        PROVE(t->performer >= -1 && t->performer < (int)show->n_performers);
        PROVE(t->performer < 0 || show->performers[t->performer].section == t->section);
    }
    PROVE(c->phase != CHORD_DONE || (c->fault >= 0 && c->n_targets > 0));
    PROVE((c->phase == CHORD_WRONG) == (*c->why != '\0'));
    if (c->phase == CHORD_NUMBER)
        PROVE(c->section >= 0);
}

static void prove_offers(const struct show *show, const char *keys, const struct chord *c)
{
    struct chord_option offers[12];
    size_t n = chord_options(show, c, offers, 12), length = strlen(keys);
    PROVE(n <= 12);
    for (size_t i = 0; i < n && length + 8 < CHORD_KEYS; i++) {
        char longer[CHORD_KEYS];
        struct chord next;
        size_t letters = strcspn(offers[i].keys, ".");
        PROVE(*offers[i].what && letters > 0);
        memcpy(longer, keys, length);
        memcpy(longer + length, offers[i].keys, letters);
        longer[length + letters] = '\0';
        chord_read(show, longer, false, &next);
        prove_chord(show, &next);
        PROVE(next.phase != CHORD_WRONG || c->n_targets == CHORD_TARGETS || c->section >= 0);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    const struct show *show = fuzz_band();
    char *s = fuzz_string(data, n);
    for (int finish = 0; finish < 2; finish++) {
        struct chord c;
        chord_read(show, s, finish, &c);
        prove_chord(show, &c);
        if (!finish)
            prove_offers(show, s, &c);
    }
    free(s);
    return 0;
}
