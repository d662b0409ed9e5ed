/* Words that were heard, read as calls. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "talk/said_call.h"
#include "talk/spoken_band.h"

static struct arena memory;

static const struct call_row {
    const char *name, *words, *means; /* NULL: no call */
} rows[] = {
    {"a section and a fault", "trumpets horn angle", "trumpets: horn angle"},
    {"a name with another letter case", "brass path", "Brass: path"},
    {"another word for the section", "trumps open", "trumpets: open"},
    {"another word for the fault", "tubas horn angles", "tubas: horn angle"},
    {"a word that two faults have is the first one's", "tubas angles", "tubas: horn angle"},
    {"words of two words", "low horns feet apart", "tubas: feet apart at halt"},
    {"the longer name is the longer name", "trumpets horns up late", "trumpets: horns up late"},
    {"what it begins with may be said alone", "trumpets horns up", "trumpets: horns up late"},
    {"one of them", "trumpet three horn angle", "T3: horn angle"},
    {"two with and", "trumpets two and three open", "T2 T3: open"},
    {"two without", "trumpets two three open", "T2 T3: open"},
    {"three", "trumpets one two and five open", "T1 T2 T5: open"},
    {"a number of two words", "trumpet twenty two open", "T22: open"},
    {"what a longer number begins with", "trumpet twenty open", "T20: open"},
    {"that number as two, where nobody has it", "tubas twenty two open", "U20 U2: open"},
    {"from through to passes over who is not there", "trumpets two through five open",
     "T2 T3 T5: open"},
    {"through and another", "trumpets one through three and five open", "T1 T2 T3 T5: open"},
    {"the same number twice counts once", "trumpets two and two open", "T2: open"},
    {"two sections", "trumpets and tubas feet", "trumpets tubas: feet apart at halt"},
    {"two sections without and", "trumpets tubas feet", "trumpets tubas: feet apart at halt"},
    {"some of two sections", "trumpets two and three and tuba two feet",
     "T2 T3 U2: feet apart at halt"},
    {"numbers, then a whole section", "tubas two and trumpets feet",
     "U2 trumpets: feet apart at halt"},
    {"a section named twice counts once", "trumpets and trumpets feet",
     "trumpets: feet apart at halt"},
    {"articles", "the trumpets and the tubas feet", "trumpets tubas: feet apart at halt"},
    {"praise", "trumpets good horn angle", "trumpets: good horn angle"},
    {"severity", "trumpets serious horn angle", "trumpets: horn angle 3"},
    {"small", "everybody small path", "ensemble: path"},
    {"nothing", "", NULL},
    {"a section alone", "trumpets", NULL},
    {"a fault alone", "horn angle", NULL},
    {"numbers without a fault", "trumpets two and three", NULL},
    {"and without another", "trumpets and feet", NULL},
    {"a number and without another", "trumpets two and feet", NULL},
    {"a number that nobody has", "tubas three open", NULL},
    {"a number of who left", "trumpets nine open", NULL},
    {"a number of the brass that two have", "brass two open", NULL},
    {"a number of the brass that one has, where others are two's", "brass five open", NULL},
    {"one of a section without numbers", "quad open", NULL},
    {"through backwards", "trumpets five through two open", NULL},
    {"through the same", "trumpets two through two open", NULL},
    {"a word more", "trumpets horn angle late", NULL},
    {"a word between", "trumpets feet the apart", NULL},
    {"a word of no grammar", "trumpets dinner", NULL},
    {"a section that was removed", "flags open", NULL},
    {"a fault that was removed", "trumpets old", NULL},
};

static void tell(const struct said_call *c, char *out)
{
    for (size_t i = 0; i < c->n_targets; i++)
        out += sprintf(out, "%s%s", i ? " " : "",
                       c->targets[i].performer >= 0 ? band_performers[c->targets[i].performer].label
                                                    : band_sections[c->targets[i].section].name);
    out += sprintf(out, ": %s%s", c->praise ? "good " : "", band_faults[c->fault].name);
    if (c->severity != 1)
        sprintf(out, " %d", c->severity);
}

static struct said_words words_in(const char *text)
{
    const char **at = arena_alloc(&memory, (strlen(text) + 1) * sizeof *at);
    size_t n = 0;
    for (char *p = strtok(arena_strdup(&memory, text), " "); p; p = strtok(NULL, " "))
        at[n++] = p;
    return (struct said_words){at, n};
}

static void words_are_a_call(void **state)
{
    const struct call_row *r = *state;
    const struct grammar g = band_grammar(&memory);
    const struct said_words words = words_in(r->words);
    struct said_call c;
    char got[400] = "";
    const bool is = said_call_read(&g, &band_show, &words, &c);
    assert_int_equal(is, r->means != NULL);
    if (is)
        tell(&c, got);
    if (is)
        assert_string_equal(got, r->means);
}

/* Every walk through the net is a call, unless numbers run backwards or are too many. */
static void whatever_the_net_says_is_read(void **state)
{
    (void)state;
    const struct grammar g = band_grammar(&memory);
    unsigned chance = 1;
    for (int round = 0; round < 2000; round++) {
        const char *said[200];
        size_t n = 0;
        bool through = false;
        for (int at = g.start; at != g.end && n < 200;) {
            size_t first = 0, many = 0;
            while (g.arcs[first].from != at)
                first++;
            while (first + many < g.n_arcs && g.arcs[first + many].from == at)
                many++;
            chance = chance * 1664525U + 1013904223U;
            const struct grammar_arc *a = &g.arcs[first + (chance >> 16) % many];
            through |= a->says == SAID_THROUGH;
            if (a->word >= 0)
                said[n++] = g.words[a->word].is;
            at = a->to;
        }
        struct said_call c;
        if (through || n > 40)
            continue;
        if (!said_call_read(&g, &band_show, &(struct said_words){said, n}, &c))
            fail_msg("round %d: %zu words from '%s' to '%s' are no call", round, n, said[0],
                     said[n - 1]);
        assert_in_range(c.fault, 0, band_show.n_faults - 1);
        assert_true(c.n_targets > 0);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, words_are_a_call);
    case_add(&all, "whatever the net says is read", whatever_the_net_says_is_read, NULL);
    return cases_run(&all, "said calls");
}
