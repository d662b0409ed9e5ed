/* Talk from anywhere is understood or not, but what is proposed of it is of the show, in order, and has its
 * reasons; tables of words from anywhere are read or refused. */
#include <math.h>
#include <string.h>

#include "base/utf8.h"
#include "fuzz/fuzz.h"
#include "lib/cases.h"
#include "talk/band.h"

static struct band band;

static void prove_draft(const struct draft *d, int64_t after_us)
{
    PROVE(d->at_us >= after_us && d->end_us >= d->at_us);
    PROVE(d->n_targets > 0);
    for (size_t i = 0; i < d->n_targets; i++)
        PROVE(d->targets[i].section >= 0 && (size_t)d->targets[i].section < band.show.n_sections &&
              d->targets[i].performer == -1);
    PROVE(d->fault >= -1 && d->fault < (int)band.show.n_faults);
    PROVE(d->severity >= 1 && d->severity <= 3);
    PROVE(d->confidence >= 0 && d->confidence <= 1);
    PROVE(d->unit == DRAFT_NO_SIZE || (d->size > 0 && d->size <= 90));
    PROVE(*d->quote && utf8_check(d->quote, strlen(d->quote)) == strlen(d->quote));
    for (size_t i = 0; i < d->n_words; i++)
        PROVE(strstr(d->words[i], ": ") != NULL);
}

static void understand(struct arena *a, const uint8_t *data, size_t n)
{
    struct timed t;
    struct err e;
    struct understood u;
    const struct timed_text file = {(const char *)data, n, "talk", NULL};
    if (!timed_read(a, &file, &t, &e))
        return;
    talk_understand(a, band.lexicon, &t, &(struct talk_clock){.rate = 1}, &u);
    PROVE(u.n_known <= u.n_words);
    for (size_t i = 0; i < u.drafts.n; i++)
        prove_draft(&u.drafts.at[i], i ? u.drafts.at[i - 1].at_us : 0);
}

static void learn(struct arena *a, const uint8_t *data, size_t n)
{
    const struct table_text text = {.bytes = (const char *)data, .n = n, .source = "table"};
    struct err e = {0};
    struct lexicon_tables t = {.words = text, .signs = band.tables.signs};
    PROVE(lexicon_new(a, &band.show, &t, &e) || e.code == ERR_INPUT);
    t = (struct lexicon_tables){.words = band.tables.words, .signs = text};
    PROVE(lexicon_new(a, &band.show, &t, &e) || e.code == ERR_INPUT);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct arena a = {0};
    if (!band.lexicon)
        band_begin(&band);
    understand(&a, data, n);
    if (n > 0 && data[0] % 8 == 0) /* seldom: making a lexicon takes long */
        learn(&a, data, n);
    arena_free(&a);
    return 0;
}
