#include "fuzz/prove_score.h"

#include <math.h>
#include <string.h>

#include "base/utf8.h"
#include "paper/made_sets.h"

static void prove_text(const char *text)
{
    struct arena a = {0};
    char *tame = arena_strdup(&a, text);
    utf8_tame(tame);
    PROVE(strcmp(tame, text) == 0);
    prove_utf8(text, strlen(text));
    arena_free(&a);
}

static void prove_score(const struct score *s)
{
    double at = 0, t = 0;
    PROVE(s->n_measures > 0 && s->n_measures <= SCORE_MEASURES);
    for (size_t i = 0; i < s->n_measures; i++) {
        const struct score_measure *m = &s->measures[i];
        PROVE(m->length > 0 && isfinite(m->length) && fabs(m->at - at) < 1e-6);
        PROVE(m->meter.beats > 0 && m->meter.unit > 0 && *m->number);
        prove_text(m->number);
        at = m->at + m->length;
    }
    PROVE(fabs(at - s->length) < 1e-6);
    for (size_t i = 0; i < s->n_tempos; i++) {
        PROVE(s->tempos[i].bpm > 0 && isfinite(s->tempos[i].bpm) && s->tempos[i].s >= t);
        PROVE(i == 0 ? s->tempos[i].at == 0 : s->tempos[i].at > s->tempos[i - 1].at);
        t = s->tempos[i].s;
    }
    for (size_t i = 0; i < s->n_markers; i++) {
        PROVE(*s->markers[i].text && (i == 0 || s->markers[i].at > s->markers[i - 1].at));
        prove_text(s->markers[i].text);
    }
    prove_text(s->title);
}

/* The table that is printed is one that is read, and says the same. */
static void prove_table(struct arena *a, const struct sets_made *made)
{
    struct buf csv = {0};
    struct set_list back;
    struct err e = {0};
    made_sets_csv(&made->list, &csv);
    PROVE(sets_read(a, &(struct table_text){buf_text(&csv), csv.n, "x.csv", NULL}, &back, &e));
    PROVE(back.n == made->list.n);
    for (size_t i = 0; i < back.n; i++)
        PROVE(back.at[i].counts == made->list.at[i].counts &&
              strcmp(back.at[i].label, made->list.at[i].label) == 0 &&
              fabs(back.at[i].tempo - made->list.at[i].tempo) < 1e-9);
    buf_free(&csv);
}

static void prove_sets(struct arena *a, const struct score *s, const struct sets_wish *wish)
{
    struct sets_made made;
    struct err e = {0};
    struct buf out = {0};
    if (!score_sets(a, s, wish, &made, &e)) {
        prove_error(&e);
        PROVE(e.code == ERR_INPUT);
        return;
    }
    PROVE(made.list.n > 0);
    for (size_t i = 0; i < made.list.n; i++)
        PROVE(made.list.at[i].counts > 0 && made.place[i].seconds >= 0);
    prove_table(a, &made);
    made_sets_text(s, &made, &out);
    prove_utf8(out.p, out.n);
    buf_free(&out);
}

void fuzz_score(score_reader *read, const uint8_t *data, size_t n)
{
    static const struct sets_wish wishes[] = {
        {0}, {.markers = true}, {.every = 3, .beat = BEAT_EIGHTH}, {.beat = BEAT_HALF}};
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    if (read(&a, &(struct table_text){(const char *)data, n, "x", NULL}, &s, &e)) {
        prove_score(&s);
        for (size_t i = 0; i < sizeof wishes / sizeof *wishes; i++)
            prove_sets(&a, &s, &wishes[i]);
    } else {
        prove_error(&e);
        PROVE(e.code == ERR_INPUT);
    }
    arena_free(&a);
}
