#include "talk/words.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "talk/stems.h"

static const double a_second = 2.6; /* words */

/* --- one cue's text ------------------------------------------------------------------------------ */

/* A right quotation mark is what many write for an apostrophe. */
static bool is_apostrophe(uint32_t c)
{
    return c == '\'' || c == 0x2019;
}

/* Latin-1's signs and Unicode's general punctuation part words; all other signs beyond ASCII are taken
 * for letters. */
static bool is_letter(uint32_t c)
{
    if (c < 0x80)
        return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    return c > 0xBF && !(c >= 0x2000 && c <= 0x206F) && c != UTF8_BAD;
}

struct cutting {
    struct arena *a;
    struct stems *stems;
    struct word *at;
    size_t n, cap;
};

static size_t end_of_word(const char *s, size_t from, size_t n)
{
    size_t end = from;
    for (size_t i = from, took; i < n; i += took) {
        const uint32_t c = utf8_next(s + i, n - i, &took);
        if (is_letter(c))
            end = i + took;
        else if (!is_apostrophe(c))
            break;
    }
    return end;
}

static const char *small(struct arena *a, const char *s, size_t n)
{
    char *out = arena_alloc(a, n + 1);
    size_t len = 0;
    for (size_t i = 0, took; i < n; i += took) {
        const uint32_t c = utf8_next(s + i, n - i, &took);
        if (is_apostrophe(c))
            out[len++] = '\'';
        else if (c >= 'A' && c <= 'Z')
            out[len++] = (char)(c - 'A' + 'a');
        else {
            memcpy(out + len, s + i, took);
            len += took;
        }
    }
    out[len] = '\0';
    return out;
}

static void add(struct cutting *k, const char *text, size_t at, size_t n, size_t cue)
{
    k->at = array_grow(k->at, k->n, &k->cap, sizeof *k->at);
    const char *is = small(k->a, text + at, n);
    k->at[k->n++] =
        (struct word){.is = is, .stem = stems_of(k->stems, k->a, is), .cue = cue, .at = at, .n = n};
}

static void ends(struct word *w, uint32_t c)
{
    if (c == '.' || c == '?' || c == '!' || c == 0x2026)
        w->ends = WORD_STOP;
    else if ((c == ',' || c == ';' || c == ':' || c == 0x2013 || c == 0x2014) &&
             w->ends == WORD_GOES_ON)
        w->ends = WORD_COMMA;
}

/* "3.5" is one word; so the point is no stop. */
static bool within_number(const char *s, size_t at, size_t n)
{
    return s[at] == '.' && at > 0 && at + 1 < n && s[at - 1] >= '0' && s[at - 1] <= '9' &&
           s[at + 1] >= '0' && s[at + 1] <= '9';
}

static void cut(struct cutting *k, const struct timed_cue *cue, size_t number)
{
    const char *s = cue->text;
    const size_t n = strlen(s), first = k->n;
    for (size_t i = 0, took; i < n; i += took) {
        const uint32_t c = utf8_next(s + i, n - i, &took);
        if (is_letter(c)) {
            size_t end = end_of_word(s, i, n);
            while (end < n && within_number(s, end, n))
                end = end_of_word(s, end + 1, n);
            add(k, s, i, end - i, number);
            took = end - i;
        } else if (k->n > first)
            ends(&k->at[k->n - 1], c);
    }
}

/* --- captions that roll ------------------------------------------------------------------------------ */

/* Many captions show the line before once more above the new one: it was said once. Two words may be
 * anything; more of them, or all there were, at the end of one cue and again at the beginning of the
 * next, while that one is hardly gone, are the same words. */
enum { ROLLED_WORDS = 3, ROLLED_MOST = 60, ROLLED_US = 1000000 };

/* How many words at the head of the cue from `first` on were said just before; the cue before it gave
 * those from `before` on. */
static size_t rolled(const struct cutting *k, size_t before, size_t first)
{
    size_t n = k->n - first < first ? k->n - first : first;
    for (n = n < ROLLED_MOST ? n : ROLLED_MOST; n > 1; n--) {
        if (n < ROLLED_WORDS && n != first - before)
            continue;
        size_t i = 0;
        while (i < n && strcmp(k->at[first - n + i].is, k->at[first + i].is) == 0)
            i++;
        if (i == n)
            return n;
    }
    return 0;
}

static bool follows_at_once(const struct timed *t, size_t cue)
{
    return cue > 0 && t->at[cue - 1].to_us >= 0 &&
           t->at[cue].from_us - t->at[cue - 1].to_us <= ROLLED_US &&
           strcmp(t->at[cue].speaker, t->at[cue - 1].speaker) == 0;
}

static void drop_rolled(struct cutting *k, const struct timed *t, size_t before, size_t first)
{
    if (k->n == first || !follows_at_once(t, k->at[first].cue))
        return;
    const size_t n = rolled(k, before, first);
    memmove(k->at + first, k->at + first + n, (k->n - first - n) * sizeof *k->at);
    k->n -= n;
}

/* --- its times ------------------------------------------------------------------------------------- */

/* Words [from, to) evenly over that time. */
static void spread(struct word *w, size_t from, size_t to, const int64_t us[2])
{
    const size_t n = to - from;
    for (size_t i = 0; i < n; i++) {
        w[from + i].from_us = us[0] + (us[1] - us[0]) * (int64_t)i / (int64_t)n;
        w[from + i].to_us = us[0] + (us[1] - us[0]) * (int64_t)(i + 1) / (int64_t)n;
    }
}

static int64_t end_us(const struct timed *t, size_t cue, size_t words)
{
    const struct timed_cue *c = &t->at[cue];
    const int64_t talk = c->from_us + (int64_t)((double)words / a_second * 1e6);
    if (c->to_us > c->from_us)
        return c->to_us;
    for (size_t i = cue + 1; i < t->n; i++)
        if (t->at[i].from_us > c->from_us)
            return t->at[i].from_us < talk ? t->at[i].from_us : talk;
    return talk;
}

static void time_them(const struct timed *t, size_t cue, struct word *w, size_t n)
{
    const struct timed_cue *c = &t->at[cue];
    int64_t us[2] = {c->from_us, 0};
    size_t from = 0;
    for (size_t k = 0; k < c->n_anchors; k++) {
        size_t to = from;
        while (to < n && w[to].at < c->anchors[k].at)
            to++;
        us[1] = c->anchors[k].us;
        spread(w, from, to, us);
        us[0] = us[1];
        from = to;
    }
    us[1] = end_us(t, cue, n);
    if (us[1] < us[0])
        us[1] = us[0];
    spread(w, from, n, us);
}

void words_of(struct arena *a, const struct timed *t, struct words *out)
{
    struct cutting k = {.a = a, .stems = stems_new()};
    for (size_t i = 0, before = 0, first = 0; i < t->n; i++, before = first) {
        first = k.n;
        cut(&k, &t->at[i], i);
        drop_rolled(&k, t, before, first);
        if (k.n > first)
            time_them(t, i, k.at + first, k.n - first);
    }
    stems_free(k.stems);
    struct word *own = arena_alloc(a, (k.n + 1) * sizeof *own);
    if (k.n)
        memcpy(own, k.at, k.n * sizeof *own);
    free(k.at);
    *out = (struct words){own, k.n};
}

const char *word_stem(struct arena *a, const char *word)
{
    struct stems *s = stems_new();
    const char *stem = stems_of(s, a, small(a, word, strlen(word)));
    stems_free(s);
    return stem;
}
