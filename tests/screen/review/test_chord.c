/* Chords: what two or three letters say about the band. */
#include "review/stage.h"

static struct stage s;

static const struct row {
    const char *name, *keys, *who, *fault;
} rows[] = {
    {"a section and a fault", "t h", "trumpets", "horn angle"},
    {"a performer and a fault", "t 3 h", "T3", "horn angle"},
    {"performers one by one", "t 3 , 5 h", "T3,T5", "horn angle"},
    {"performers from one to another", "t 3 - 6 h", "T3,T4,T5,T6", "horn angle"},
    {"numbers and ranges together", "t 1 , 3 - 4 , 8 h", "T1,T3,T4,T8", "horn angle"},
    {"a section and a performer of another", "t + m 2 h", "trumpets,M2", "horn angle"},
    {"performers of two sections", "t 1 , 2 + u 3 h", "T1,T2,U3", "horn angle"},
    {"the whole ensemble", "e h", "ensemble", "horn angle"},
    {"a group of sections", "b h", "brass", "horn angle"},
    {"a fault key of two letters", "t a p", "trumpets", "phasing"},
    {"capital letters mean the same", "T 3 H", "T3", "horn angle"},
    {"a performer named twice counts once", "t 3 , 3 h", "T3", "horn angle"},
    {"Backspace takes a number back", "t 3 Backspace 5 h", "T5", "horn angle"},
    {"Backspace takes the first key of a fault back", "t a Backspace h", "trumpets", "horn angle"},
    {"Backspace down to nothing begins anew", "t Backspace m h", "mellophones", "horn angle"},
    {"Esc drops the chord", "t 3 Esc m h", "mellophones", "horn angle"},
    {"a letter that begins no fault is refused, the chord goes on", "t j h", "trumpets",
     "horn angle"},
    {"a second letter that ends no fault is refused", "t a j p", "trumpets", "phasing"},
    {"a number nobody has is refused until it is taken back", "t 9 h Backspace 3 h", "T3",
     "horn angle"},
    {"a number of several is refused until it is taken back", "b 3 h Backspace 7 h", "T7",
     "horn angle"},
    {"a range over a number of several too", "b 5 - 8 h", "T5,T6,T7,T8", "horn angle"},
    {"a letter that is no section is refused", "j t h", "trumpets", "horn angle"},
    {"a range that runs backward is refused", "t 6 - 3 Backspace 7 h", "T6,T7", "horn angle"},
    {"moving keys keep working within a chord", "t Left 3 h", "T3", "horn angle"},
};

static void check_row(void **state)
{
    const struct row *r = *state;
    stage_calm(&s);
    long long last = 0;
    struct call before[CALLS_MOST];
    size_t n = stage_calls(&s, "run", before);
    for (size_t i = 0; i < n; i++)
        last = before[i].id > last ? before[i].id : last;
    term_keys(s.t, r->keys);
    term_wait_row(s.t, -1, r->fault);
    term_wait_row(s.t, 0, arena_printf(test_arena(), " %zu mark", n + 1));
    struct call c = stage_newest_call(&s);
    assert_true(c.id > last);
    assert_string_equal(c.who, r->who);
    assert_string_equal(c.fault, r->fault);
}

static void refused(const char *keys, const char *why)
{
    stage_calm(&s);
    term_keys(s.t, keys);
    term_wait_row(s.t, -1, why);
}

static void a_refused_key_says_why(void **state)
{
    (void)state;
    refused("j", "no section has the key 'j'");
    refused("t j", "no fault has the key 'j'");
    refused("t 9", "no performer 9 in trumpets");
    refused("t ,", "','");
    refused("b 3", "brass has T3 M3 U3: type their section first");
    refused("b 3 h", "that number is refused; Backspace goes on");
    refused("e 4", "ensemble has T4 M4: type their section first");
    refused("t 3 Enter", "not complete");
}

static void the_panel_says_what_each_next_key_means(void **state)
{
    (void)state;
    static const char *const after_section[] = {"0-9",
                                                "h   horn angle",
                                                "l   late arrival",
                                                "a.. ",
                                                "g.. ",
                                                "i.. ",
                                                "k.. ",
                                                "m.. ",
                                                "n.. ",
                                                "q.. ",
                                                "r.. ",
                                                "v.. ",
                                                "y.. ",
                                                "z.. ",
                                                "x   direction change",
                                                "w   off the dot"};
    stage_calm(&s);
    term_keys(s.t, "t");
    term_wait_text(s.t, "trumpets");
    term_wait_row(s.t, -1, "chord: t");
    for (size_t i = 0; i < sizeof after_section / sizeof *after_section; i++)
        term_wait_text(s.t, after_section[i]);
    term_keys(s.t, "a");
    term_wait_text(s.t, "p   phasing");
    term_wait_text(s.t, "l   starts late");
    term_keys(s.t, "Backspace +");
    term_wait_text(s.t, "m   mellophones");
    term_wait_text(s.t, "u   tubas");
    term_keys(s.t, "Esc");
    term_wait_gone(s.t, "m   mellophones");
    term_wait_text(s.t, " time    marks");
}

static void the_panel_offers_no_number_that_would_be_refused(void **state)
{
    (void)state;
    stage_calm(&s);
    term_keys(s.t, "t");
    term_wait_text(s.t, "0-9 + who, and whom");
    term_keys(s.t, "3 -");
    term_wait_text(s.t, "0-9   who");
    term_wait_gone(s.t, "h   horn angle");
    term_keys(s.t, "5");
    term_wait_text(s.t, "h   horn angle");
    term_keys(s.t, "Esc c");
    term_wait_text(s.t, "+     and whom"); /* nobody is in it */
    term_keys(s.t, "Esc");
}

static void the_panel_counts_who_a_chord_means(void **state)
{
    (void)state;
    stage_calm(&s);
    term_keys(s.t, "t 3 , 5");
    term_wait_text(s.t, "T3, T5");
}

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_go(&s, 150);
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, check_row);
    case_test(&all, a_refused_key_says_why);
    case_test(&all, the_panel_says_what_each_next_key_means);
    case_test(&all, the_panel_offers_no_number_that_would_be_refused);
    case_test(&all, the_panel_counts_who_a_chord_means);
    return _cmocka_run_group_tests("chords", all.at, all.n, open_stage, close_stage);
}
