/* The words of a show as a net, and how they sound. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "talk/spoken_band.h"

static struct arena memory;

/* --- how words sound ----------------------------------------------------------------------------- */

static const struct sound_row {
    const char *name, *word, *sounds; /* alternatives with " / "; NULL: it is in no net */
} sounds[] = {
    {"a word of the dictionary", "brass", "B R AE S"},
    {"both ways the dictionary knows", "one", "W AH N / HH W AH N"},
    {"a plural like its singular, voiced", "tubas", "T UW B AH Z"},
    {"a plural after a voiceless sound", "trumpets", "T R AH M P AH T S"},
    {"a plural after a hiss", "slouches", "S L AW CH IH Z"},
    {"a singular like its plural", "contra", "K AA N T R AH"},
    {"a singular of nobody who has a number", "quad", NULL},
    {"two words in one", "drumline", "D R AH M L AY N"},
    {"another word of the column, without its stress", "contras", "K AA N T R AH Z"},
    {"what are no sounds in the column is passed over", "low", "L OW"},
    {"alternatives of the column", "releve", "R EH L AH V EY / R EH L AH V IY"},
    {"a hyphen parts words", "horn", "HH AO R N"},
    {"a word nobody knows", "relevé", NULL},
    {"a section that was removed", "flags", NULL},
    {"a fault that was removed", "old", NULL},
    {"a number that only one who left had", "nine", NULL},
};

static void a_word_sounds(void **state)
{
    const struct sound_row *r = *state;
    const struct grammar g = band_grammar(&memory);
    char got[200] = "";
    bool found = false;
    for (size_t i = 0; i < g.n_words; i++)
        for (size_t k = 0; strcmp(g.words[i].is, r->word) == 0 && k < g.words[i].n_sounds; k++) {
            sprintf(got + strlen(got), "%s%s", k ? " / " : "", g.words[i].sounds[k]);
            found = true;
        }
    assert_int_equal(found, r->sounds != NULL);
    if (r->sounds)
        assert_string_equal(got, r->sounds);
}

/* --- what cannot be heard -------------------------------------------------------------------------- */

static void what_cannot_be_heard_is_named(void **state)
{
    (void)state;
    const struct grammar g = band_grammar(&memory);
    assert_int_equal(g.n_unheard, 2);
    assert_string_equal(g.unheard[0].phrase, "eight th notes");
    assert_string_equal(g.unheard[0].word, "eight");
    assert_false(g.unheard[0].name || g.unheard[0].fault);
    assert_string_equal(g.unheard[1].phrase, "relevé dropped");
    assert_string_equal(g.unheard[1].word, "relevé");
    assert_true(g.unheard[1].fault && !g.unheard[1].name);
    assert_int_equal(g.unheard[1].at, PATH);
}

/* --- the net ------------------------------------------------------------------------------------- */

static void the_chances_that_leave_a_state_are_one(void **state)
{
    (void)state;
    const struct grammar g = band_grammar(&memory);
    for (size_t i = 0; i < g.n_arcs;) {
        double sum = 0;
        const int from = g.arcs[i].from;
        assert_in_range(from, 0, g.n_states - 1);
        for (; i < g.n_arcs && g.arcs[i].from == from; i++) {
            assert_true(g.arcs[i].chance > 0);
            assert_in_range(g.arcs[i].to, 0, g.n_states - 1);
            sum += g.arcs[i].chance;
        }
        assert_true(fabs(sum - 1) < 1e-9);
        assert_true(i == g.n_arcs || g.arcs[i].from > from);
    }
}

/* What two rows are called alike is the first one's alone: a recogniser could not choose. */
static void no_word_means_two_things(void **state)
{
    (void)state;
    const struct grammar g = band_grammar(&memory);
    for (size_t i = 0; i < g.n_arcs; i++)
        for (size_t k = i + 1; k < g.n_arcs; k++)
            if (g.arcs[i].from == g.arcs[k].from && g.arcs[i].word == g.arcs[k].word &&
                g.arcs[i].word >= 0 &&
                (g.arcs[i].says != SAID_NOTHING) == (g.arcs[k].says != SAID_NOTHING))
                fail_msg("'%s' means two things", g.words[g.arcs[i].word].is);
}

/* From every state the end is reached: else a recogniser would search in vain. */
static void every_state_leads_to_the_end(void **state)
{
    (void)state;
    const struct grammar g = band_grammar(&memory);
    bool *leads = arena_alloc(&memory, (size_t)g.n_states);
    leads[g.end] = true;
    for (int round = 0; round < g.n_states; round++)
        for (size_t i = 0; i < g.n_arcs; i++)
            leads[g.arcs[i].from] |= leads[g.arcs[i].to];
    for (size_t i = 0; i < g.n_arcs; i++)
        if (!leads[g.arcs[i].from])
            fail_msg("state %d leads nowhere", g.arcs[i].from);
}

/* A circle of silent arcs would never end; so there is an order of the states along them. */
static void no_circle_is_silent(void **state)
{
    (void)state;
    const struct grammar g = band_grammar(&memory);
    int *depth = arena_alloc(&memory, (size_t)g.n_states * sizeof *depth);
    for (int round = 0; round <= g.n_states; round++)
        for (size_t i = 0; i < g.n_arcs; i++)
            if (g.arcs[i].word < 0 && depth[g.arcs[i].to] <= depth[g.arcs[i].from]) {
                depth[g.arcs[i].to] = depth[g.arcs[i].from] + 1;
                assert_true(depth[g.arcs[i].to] <= g.n_states);
            }
}

static void an_empty_show_says_nothing(void **state)
{
    (void)state;
    const struct show none = {.root = -1};
    const struct sounds dictionary = {band_find, NULL};
    struct grammar g;
    grammar_of(&memory, &none, &dictionary, &g);
    assert_int_equal(g.n_unheard, 0);
    for (size_t i = 0; i < g.n_arcs; i++)
        assert_int_not_equal(g.arcs[i].says, SAID_FAULT);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, sounds, a_word_sounds);
    case_add(&all, "what cannot be heard is named", what_cannot_be_heard_is_named, NULL);
    case_add(&all, "the chances that leave a state are one", the_chances_that_leave_a_state_are_one,
             NULL);
    case_add(&all, "no word means two things", no_word_means_two_things, NULL);
    case_add(&all, "every state leads to the end", every_state_leads_to_the_end, NULL);
    case_add(&all, "no circle is silent", no_circle_is_silent, NULL);
    case_add(&all, "an empty show says nothing", an_empty_show_says_nothing, NULL);
    return cases_run(&all, "grammar");
}
