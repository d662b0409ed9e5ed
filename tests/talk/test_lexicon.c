/* The tables of words, signs and examples: what is wrong in them, and what they say. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "talk/band.h"

static struct band band;

static struct table_text text_of(const char *bytes, const char *source)
{
    return (struct table_text){.bytes = bytes, .n = strlen(bytes), .source = source};
}

/* --- what is wrong ------------------------------------------------------------------------------ */

static const struct wrong {
    const char *name, *words, *signs, *said, *error;
} wrongs[] = {
    {"a meaning that is none", "words,means\nbell,ida\n", NULL, NULL,
     "words:2:2: means: 'ida' is no meaning; did you mean 'idea'?"},
    {"an idea without a name", "words,means,of\nbell,idea,\n", NULL, NULL,
     "words:2:3: of: the cell is empty; name which idea"},
    {"a lean that is none", "words,means,of,leans\nbell,idea,horn,up\n", NULL, NULL,
     "words:2:4: leans: 'up' is neither good nor bad"},
    {"a number that is none", "words,means,of\nsix,number,6x\n", NULL, NULL,
     "words:2:3: of: '6x' is no number from 0 to 1000"},
    {"a unit that is none", "words,means,of\nmile,unit,miles\n", NULL, NULL,
     "words:2:3: of: 'miles' is no unit; counts, steps, yards or degrees"},
    {"a sign of an idea that no word means", NULL, "fault,signs\nhorn angle,horn + hrn\n", NULL,
     "signs:2:2: signs: no word means the idea 'hrn'; write one into the table of words"},
    {"a praise that is neither", NULL, NULL, "said,fault,praise\nbells,horn angle,perhaps\n",
     "said:2:3: praise: "},
    {"a table without its column", "word,means\nbell,idea\n", NULL, NULL, "words:1"},
};

static void a_wrong_table_is_named(void **state)
{
    const struct wrong *w = *state;
    struct err e = {0};
    struct lexicon_tables t = band.tables;
    const struct table_text said = text_of(w->said ? w->said : "", "said");
    if (w->words)
        t.words = text_of(w->words, "words");
    if (w->signs)
        t.signs = text_of(w->signs, "signs");
    if (w->said) {
        t.examples = &said;
        t.n_examples = 1;
    }
    assert_null(lexicon_new(&band.memory, &band.show, &t, &e));
    assert_int_equal(e.code, ERR_INPUT);
    if (strncmp(e.text, w->error, strlen(w->error)) != 0)
        fail_msg("%s", e.text);
}

/* --- what they say ------------------------------------------------------------------------------ */

static const char *fault_of(const struct understood *u)
{
    return u->drafts.n == 1 && u->drafts.at[0].fault >= 0
               ? band.show.faults[u->drafts.at[0].fault].name
               : "";
}

/* With these tables alone. */
static void learn(const char *words, const char *signs, const struct table_text *said)
{
    band.tables = (struct lexicon_tables){
        text_of(words, "words"), text_of(signs, "signs"), said, said != NULL, {0}};
    band_learn(&band);
}

static void a_word_that_staff_add_is_understood(void **state)
{
    (void)state;
    const char *talk = "[0:01] Trumpets, those trombleys are wobbish, that is bad.\n";
    struct understood u = band_hear(&band, talk);
    assert_string_not_equal(fault_of(&u), "horn angle");
    learn("words,means,of,leans\ntrombley,idea,horn,\nwobbish,idea,differ,bad\nbad,bad,,\n",
          "fault,signs\nhorn angle,horn + differ\n", NULL);
    u = band_hear(&band, talk);
    assert_string_equal(fault_of(&u), "horn angle");
    assert_false(u.drafts.at[0].praise);
}

static void an_example_that_staff_add_is_understood(void **state)
{
    (void)state;
    const char *talk = "[0:01] Trumpets, your trombleys go wobbish, that is bad.\n";
    struct understood u = band_hear(&band, talk);
    assert_string_not_equal(fault_of(&u), "horn angle");
    struct table_text all[BAND_EXAMPLES + 1];
    memcpy(all, band.examples, sizeof band.examples);
    all[BAND_EXAMPLES] = text_of("said,fault,praise\nthose trombleys are wobbish,horn angle,\n"
                                 "look at the wobbish trombleys,horn angle,\n"
                                 "wobbish trombleys in the back,horn angle,\n",
                                 "said");
    band.tables.examples = all;
    band.tables.n_examples = BAND_EXAMPLES + 1;
    band_learn(&band);
    u = band_hear(&band, talk);
    assert_string_equal(fault_of(&u), "horn angle");
}

/* The staff's word for a fault is worth more than what everybody means by it. */
static void a_word_that_everybody_knows_can_be_the_staffs_own(void **state)
{
    (void)state;
    const char *talk =
        "[0:01] Trumpets, the plumbing is sagging.\n[0:20] Tubas, your feet are apart.\n";
    struct understood u = band_hear(&band, talk);
    assert_int_equal(u.drafts.n, 2);
    assert_int_not_equal(u.drafts.at[0].fault, show_fault(&band.show, "horn angle"));
    struct fault *f = &band.show.faults[show_fault(&band.show, "horn angle")];
    const char *shipped = f->words;
    f->words = arena_printf(&band.memory, "%s;sagging", shipped);
    size_t n;
    const char *faults = read_file(SHARE "/faults.csv", &n);
    band.tables.faults = (struct table_text){.bytes = faults, .n = n, .source = "faults.csv"};
    band_learn(&band);
    u = band_hear(&band, talk);
    assert_int_equal(u.drafts.n, 2);
    assert_int_equal(u.drafts.at[0].fault, show_fault(&band.show, "horn angle"));
    assert_int_equal(u.drafts.at[1].fault, show_fault(&band.show, "feet apart at halt"));
    f->words = arena_printf(&band.memory, "%s;not;the", shipped); /* says nothing */
    band_learn(&band);
    u = band_hear(&band, talk);
    assert_int_not_equal(u.drafts.at[0].fault, show_fault(&band.show, "horn angle"));
    assert_int_equal(u.drafts.at[1].fault, show_fault(&band.show, "feet apart at halt"));
    assert_false(lexicon_says(band.lexicon, &band.memory, "not the"));
    assert_true(lexicon_says(band.lexicon, &band.memory, "the plumbing"));
}

static void a_form_that_stands_alone_is_that_form(void **state)
{
    (void)state;
    /* 'winds' is a section; 'the wind' is the weather. */
    const struct understood u =
        band_hear(&band, "[0:01] That was the wind, it was windy.\n"
                         "[0:20] Winds, your feet are apart at the halt.\n");
    assert_int_equal(u.drafts.n, 1);
    assert_int_equal(u.drafts.at[0].at_us, 20000000);
}

static void signs_of_faults_that_the_show_lacks_are_passed_over(void **state)
{
    (void)state;
    learn("words,means,of\nbell,idea,horn\n", "fault,signs\nno such fault,horn\n", NULL);
    assert_non_null(band.lexicon);
}

static int begin(void **state)
{
    (void)state;
    band_begin(&band);
    return 0;
}

static int end(void **state)
{
    (void)state;
    band_end(&band);
    return 0;
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, wrongs, a_wrong_table_is_named);
    case_test(&all, a_word_that_staff_add_is_understood);
    case_test(&all, an_example_that_staff_add_is_understood);
    case_test(&all, a_word_that_everybody_knows_can_be_the_staffs_own);
    case_test(&all, a_form_that_stands_alone_is_that_form);
    case_test(&all, signs_of_faults_that_the_show_lacks_are_passed_over);
    for (size_t i = 0; i < all.n; i++) {
        all.at[i].setup_func = begin;
        all.at[i].teardown_func = end;
    }
    return cases_run(&all, "what words mean");
}
