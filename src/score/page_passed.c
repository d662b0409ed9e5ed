/* What a score says in words for those who play it, and not for a program: it is not played, and told. */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "score/page_inner.h"

enum { NAMED = 8, LETTERS = 40 };

/* In letters alone, as they begin. */
static const char *const jumps[] = {"ds", "dc", "dalsegno", "dacapo", "tocoda", "alcoda", "fine"};
static const char *const tempos[] = {
    "rit",    "rall",   "accel",     "atempo",   "tempoprimo", "tempoi",   "largo",
    "lento",  "adagio", "andante",   "moderato", "allegro",    "allegret", "vivo",
    "vivace", "presto", "menomosso", "piumosso", "doppio",     "grave",    "stringendo"};

static const char *letters_of(const char *text, char out[LETTERS])
{
    size_t n = 0;
    for (const char *s = text; *s && n + 1 < LETTERS; s++)
        if (isalpha((unsigned char)*s))
            out[n++] = (char)tolower((unsigned char)*s);
    out[n] = '\0';
    return out;
}

static bool begins(const char *word, const char *const *with, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strncmp(word, with[i], strlen(with[i])) == 0)
            return true;
    return false;
}

/* 'D.S. al Coda', and no word that begins so. */
static bool is_jump(const char *letters)
{
    static const size_t initials = 2; /* of the list */
    for (size_t i = 0; i < initials; i++)
        if (strncmp(letters, jumps[i], 2) == 0 &&
            (!letters[2] || strncmp(letters + 2, "al", 2) == 0))
            return true;
    return begins(letters, jumps + initials, sizeof jumps / sizeof *jumps - initials);
}

bool page_pass(struct page_reading *r, enum page_passed kind, const char *text)
{
    struct page *p = r->page;
    p->passed = array_grow(p->passed, p->n_passed, &p->cap_passed, sizeof *p->passed);
    p->passed[p->n_passed++] =
        (struct page_pass){r->measure - 1, kind, draft_text(p->a, text, strlen(text))};
    return true;
}

bool page_end_words(struct page_reading *r, const char *text, struct err *e)
{
    char letters[LETTERS];
    (void)e;
    if (r->page->n_passed >= SCORE_MARKERS)
        return true;
    letters_of(text, letters);
    if (is_jump(letters))
        return page_pass(r, PASSED_JUMP, text);
    if (begins(letters, tempos, sizeof tempos / sizeof *tempos))
        return page_pass(r, PASSED_TEMPO, text);
    return true;
}

/* --- what of it is not said to programs too ---------------------------------------------------- */

static bool jumps_in(const struct page_measure *m)
{
    return m->dacapo || m->fine || m->segno || m->coda || m->dalsegno || m->tocoda;
}

/* In the measure or one of the two behind it, as a ritardando that is written out begins. */
static bool tempo_near(const struct page *p, size_t measure)
{
    for (size_t i = 0; i < p->n_events; i++)
        if (p->events[i].bpm > 0 && p->events[i].measure >= measure &&
            p->events[i].measure <= measure + 2)
            return true;
    return false;
}

static bool is_played(const struct page *p, const struct page_pass *x)
{
    return x->kind == PASSED_JUMP ? jumps_in(&p->measures[x->measure]) : tempo_near(p, x->measure);
}

const char *page_passed_said(const struct page *p)
{
    static const char *const said[] = {
        [PASSED_JUMP] = "stands there for players alone, and is not played",
        [PASSED_TEMPO] = "has no tempo behind it, and changes none",
        [PASSED_RELATION] = "is a relation of two notes without a tempo, and changes none",
    };
    struct buf out = {0};
    size_t n = 0;
    for (size_t i = 0; i < p->n_passed; i++) {
        const struct page_pass *x = &p->passed[i];
        if (is_played(p, x) || n++ >= NAMED)
            continue;
        buf_printf(&out, "measure %s: '%s' %s\n", p->measures[x->measure].number, x->text,
                   said[x->kind]);
    }
    if (n > NAMED)
        buf_printf(&out, "and %zu more words like these\n", n - NAMED);
    const char *kept = arena_strdup(p->a, buf_text(&out));
    buf_free(&out);
    return kept;
}
