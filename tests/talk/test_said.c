/* Commentaries of invented speakers (said/), labelled by hand with what a careful listener would mark:
 * each label's words are where it says, at the moment that it says. auto, terse, designer, second-run, patient
 * and evaluator are to judge by (tests/bench/talk_bench.c), the others to learn from. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "talk/words.h"

static const struct said {
    const char *name; /* of the file */
} all_said[] = {
    {"two-voices.vtt"},  {"auto.srt"},       {"notes.txt"},   {"weather.txt"},
    {"high-box.vtt"},    {"terse.srt"},      {"kind.txt"},    {"sideline.txt"},
    {"to-the-band.txt"}, {"to-tape.srt"},    {"blunt.txt"},   {"guest.vtt"},
    {"designer.txt"},    {"second-run.srt"}, {"patient.vtt"}, {"evaluator.txt"},
};

static struct arena memory;

static const char *text_of(const char *name, size_t *n)
{
    return read_file(arena_printf(&memory, SAID "/%s", name), n);
}

/* The quote's words, as they are cut out of a cue of their own. */
static struct words cut(const char *quote)
{
    const struct timed_cue cue = {.text = quote, .speaker = ""};
    const struct timed t = {TIMED_STAMPS, &cue, 1};
    struct words w;
    words_of(&memory, &t, &w);
    return w;
}

/* Where they stand one after the other, nearest to that moment; w->n: nowhere. */
static size_t place_of(const struct words *w, const struct words *quote, int64_t us)
{
    size_t best = w->n;
    for (size_t i = 0; i + quote->n <= w->n; i++) {
        size_t k = 0;
        while (k < quote->n && strcmp(w->at[i + k].is, quote->at[k].is) == 0)
            k++;
        if (k == quote->n &&
            (best == w->n || llabs(w->at[i].from_us - us) < llabs(w->at[best].from_us - us)))
            best = i;
    }
    return best;
}

static void words_are_where_the_labels_say(void **state)
{
    const struct said *s = *state;
    struct timed t;
    struct words w;
    struct err e;
    struct buf notes = {0};
    struct timed_text file = {.source = s->name, .notes = &notes};
    file.bytes = text_of(s->name, &file.n);
    if (!timed_read(&memory, &file, &t, &e))
        fail_msg("%s", e.text);
    assert_string_equal(buf_text(&notes), "");
    words_of(&memory, &t, &w);
    size_t n;
    const char *stem = arena_strndup(&memory, s->name, strcspn(s->name, "."));
    const char *json = text_of(arena_printf(&memory, "%s.json", stem), &n);
    json_t *labels = json_loadb(json, n, 0, NULL);
    assert_true(json_array_size(labels) >= 25);
    for (size_t i = 0; i < json_array_size(labels); i++) {
        const json_t *l = json_array_get(labels, i);
        const char *quote = json_string_value(json_object_get(l, "quote"));
        const int64_t ms = json_integer_value(json_object_get(l, "ms"));
        const struct words q = cut(quote);
        const size_t at = place_of(&w, &q, ms * 1000);
        assert_true(q.n > 0);
        if (at == w.n)
            fail_msg("'%s' is not said", quote);
        if (llabs(w.at[at].from_us - ms * 1000) > 1000000)
            fail_msg("'%s' is said at %lld ms, not %lld", quote, (long long)w.at[at].from_us / 1000,
                     (long long)ms);
    }
    json_decref(labels);
    buf_free(&notes);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, all_said, words_are_where_the_labels_say);
    const int failed = cases_run(&all, "what was said");
    arena_free(&memory);
    return failed;
}
