/* The words of a commentary, their moments and their stems. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "talk/words.h"

static struct arena memory;

static struct words words_in(const char *text)
{
    struct timed t;
    struct words out;
    struct err e;
    const struct timed_text file = {text, strlen(text), "talk", NULL};
    if (!timed_read(&memory, &file, &t, &e))
        fail_msg("%s", e.text);
    words_of(&memory, &t, &out);
    for (size_t i = 0; i < out.n; i++) { /* the place is that of the word */
        const struct word *w = &out.at[i];
        assert_true(w->at + w->n <= strlen(t.at[w->cue].text) && w->n > 0);
        assert_true(w->from_us >= t.at[w->cue].from_us && w->to_us >= w->from_us);
    }
    return out;
}

/* "word from" of each, milliseconds; a comma or a point behind it as it ends. */
static const char *told(const struct words *w)
{
    struct buf b = {0};
    for (size_t i = 0; i < w->n; i++)
        buf_printf(&b, "%s%s%s %lld", i ? " " : "", w->at[i].is,
                   w->at[i].ends == WORD_STOP    ? "."
                   : w->at[i].ends == WORD_COMMA ? ","
                                                 : "",
                   (long long)w->at[i].from_us / 1000);
    const char *own = arena_strdup(&memory, buf_text(&b));
    buf_free(&b);
    return own;
}

static const struct said {
    const char *name, *text, *told;
} said[] = {
    {"words evenly over a cue", "WEBVTT\n\n00:01.000 --> 00:05.000\nTubas, feet apart. Again\n",
     "tubas, 1000 feet 2000 apart. 3000 again 4000"},
    {"between the times inside it",
     "WEBVTT\n\n00:01.000 --> 00:09.000\nset four <00:07.000>is early\n",
     "set 1000 four 4000 is 7000 early 8000"},
    {"apostrophes of both kinds, hyphens, numbers, dashes",
     "WEBVTT\n\n00:00.000 --> 00:08.000\nDon\xe2\x80\x99t do that - half-step, 'bout 3.5 T3!\n",
     "don't 0 do 1000 that 2000 half 3000 step, 4000 bout 5000 3.5 6000 t3. 7000"},
    {"captions that roll show what was said once more",
     "1\n00:00:01,000 --> 00:00:03,000\ntrumpets your bells\n\n2\n00:00:03,000 --> 00:00:05,000\n"
     "trumpets your bells\nare low again\n\n3\n00:00:05,000 --> 00:00:08,000\nare low again\ntubas "
     "too "
     "yes\n",
     "trumpets 1000 your 1666 bells 2333 are 3000 low 3666 again 4333 tubas 5000 too 6000 yes "
     "7000"},
    {"but what is said twice is said twice",
     "1\n00:00:01,000 --> 00:00:02,000\nfeet together\n\n2\n00:00:09,000 --> 00:00:10,000\nfeet "
     "together\n\n3\n00:00:10,000 --> 00:00:11,000\nagain\n\n4\n00:00:11,000 --> "
     "00:00:12,000\nagain\n",
     "feet 1000 together 1500 feet 9000 together 9500 again 10000 again 11000"},
    {"letters of other alphabets",
     "WEBVTT\n\n00:00.000 --> 00:02.000\n\xc2\xbfqu\xc3\xa9 tal\xe2\x80\xa6\n",
     "qu\xc3\xa9 0 tal. 1000"},
    {"2.6 a second in stamped text that goes on for long",
     "[0:10] one two three four five six seven eight nine ten eleven twelve thirteen\n[1:00] x\n",
     "one 10000 two 10384 three 10769 four 11153 five 11538 six 11923 seven 12307 eight 12692 nine "
     "13076 ten 13461 eleven 13846 twelve 14230 thirteen 14615 x 60000"},
    {"faster where the next one comes", "[0:10] one two three four five\n[0:11] x\n",
     "one 10000 two 10200 three 10400 four 10600 five 10800 x 11000"},
    {"cues that begin at once, and end before they begin",
     "1\n00:00:05,000 --> 00:00:01,000\none\n\n2\n00:00:05,000 --> 00:00:06,000\ntwo\n",
     "one 5000 two 5000"},
};

static void is_told_as(void **state)
{
    const struct said *s = *state;
    const struct words w = words_in(s->text);
    assert_string_equal(told(&w), s->told);
}

/* The sample of the vocabulary on the Snowball project's page of the English (Porter 2) stemmer; from
 * memory. */
static const struct stemmed {
    const char *name, *stem;
} stemmed[] = {
    {"consign", "consign"},
    {"consigned", "consign"},
    {"consignment", "consign"},
    {"consistency", "consist"},
    {"consistently", "consist"},
    {"consolation", "consol"},
    {"consolatory", "consolatori"},
    {"console", "consol"},
    {"consolidating", "consolid"},
    {"consolingly", "consol"},
    {"consonant", "conson"},
    {"knackeries", "knackeri"},
    {"knaves", "knave"},
    {"knavish", "knavish"},
    {"kneading", "knead"},
    {"kneeling", "kneel"},
    {"knightly", "knight"},
    {"knitted", "knit"},
    {"knives", "knive"},
    {"knocking", "knock"},
};

static void has_the_published_stem(void **state)
{
    const struct stemmed *s = *state;
    assert_string_equal(word_stem(&memory, s->name), s->stem);
}

static void words_of_one_stem_are_one(void **state)
{
    (void)state;
    const struct words w = words_in("[0:01] Rushing, rushed RUSH rushes\n");
    for (size_t i = 0; i < w.n; i++)
        assert_string_equal(w.at[i].stem, "rush");
    assert_int_equal(w.n, 4);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, said, is_told_as);
    cases_of(&all, stemmed, has_the_published_stem);
    case_test(&all, words_of_one_stem_are_one);
    const int failed = cases_run(&all, "words");
    arena_free(&memory);
    return failed;
}
