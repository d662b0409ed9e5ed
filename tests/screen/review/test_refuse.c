/* Nothing is silent: what a line or a key cannot do is said, and nothing is done. */
#include "review/stage.h"

static struct stage s;

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_mark(&s, "2", "T1", "h");
    stage_mark(&s, "2", "M2", "h");
    stage_mark(&s, "2", "U1", "f");
    stage_mark(&s, "5", "T3", "h");
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

static const struct row {
    const char *name, *line, *said;
} rows[] = {
    {"move without a number", "move", "write: move +N"},
    {"move by a word", "move x", "write: move +N"},
    {"move by what begins as a number", "move 2x", "write: move +N"},
    {"move by no number", "move nan", "write: move +N"},
    {"step without a number", "step", "write: step +N"},
    {"step by half a frame", "step 0.5", "write: step +N"},
    {"seek without a time", "seek", "write: seek TIME"},
    {"speed that is no number", "speed nan", "speed is from 0.25 to 2"},
    {"speed in words", "speed fast", "speed is from 0.25 to 2"},
    {"speed out of reach", "speed 20", "speed is from 0.25 to 2"},
    {"volume in words", "volume loud", "volume is from 0 to 100"},
    {"volume without a number", "volume", "volume is from 0 to 100"},
    {"a view that is none", "view foo", "write: view window, or view pane"},
    {"a call that is none", "call over", "write: call next, or call prev"},
    {"a row that is none", "rail up", "write: rail next, or rail prev"},
    {"a severity that is none", "severity x", "severity is 1, 2 or 3"},
};

static void is_refused(void **state)
{
    const struct row *r = *state;
    stage_calm(&s);
    if (strncmp(r->line, "severity", 8) == 0)
        term_keys(s.t, "Up");
    stage_line(&s, r->line);
    term_wait_row(s.t, -1, r->said);
    stage_calm(&s);
    stage_go(&s, 150);
}

static void a_chord_left_open_is_dropped_and_told(void **state)
{
    (void)state;
    static const char *const away[] = {"F2", "F3", "?"};
    const char *before = stage_json(&s);
    for (size_t i = 0; i < sizeof away / sizeof *away; i++) {
        stage_calm(&s);
        term_keys(s.t, "t 3");
        term_wait_row(s.t, -1, "chord: t3");
        term_keys(s.t, away[i]);
        term_wait_text(s.t, "the chord t3 was dropped");
        term_keys(s.t, "F4");
        term_wait_row(s.t, 0, "4 marks");
        term_keys(s.t, "h"); /* would have been the fault */
        term_wait_row(s.t, -1, "no section has the key 'h'");
    }
    assert_string_equal(stage_json(&s), before);
}

/* On the fix list the same letters choose a section's list; none of them is left for a chord. */
static void a_key_half_typed_on_the_fix_list_is_no_chord(void **state)
{
    (void)state;
    struct stage shared = s;
    s = stage_new();
    struct run r =
        run_in("section,parent,key\nensemble,,e\nbrass,ensemble,b\ntrumpets,brass,t\n"
               "mellophones,brass,m\ntubas,brass,u\nwest,ensemble,xa\neast,ensemble,xb\n",
               "boxcall", "add", s.show, "sections", "-", NULL);
    assert_exit(r, 0);
    stage_open(&s, NULL, "stands");
    term_keys(s.t, "F2");
    term_wait_row(s.t, 0, "fix list:");
    term_keys(s.t, "x");
    term_wait_row(s.t, -1, "chord: x");
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "the chord x was dropped");
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    stage_quit(&s);
    s = shared;
}

static void a_letter_behind_the_fix_list_key_chooses_a_list(void **state)
{
    (void)state;
    stage_calm(&s);
    term_keys(s.t, "t F2 b");
    term_wait_text(s.t, "brass");
    term_wait_row(s.t, 0, "fix list:");
    term_keys(s.t, "F4");
}

static void the_words_of_a_call_find_every_call_of_a_frame(void **state)
{
    (void)state;
    static const char *const want[] = {"0:02.0  T1", "0:02.0  M2", "0:05.0  T3", "0:02.0  T1"};
    stage_calm(&s);
    term_keys(s.t, "Home");
    stage_wait_frame(&s, 0);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        term_keys(s.t, "/");
        term_wait_row(s.t, -1, " find:");
        if (i == 0)
            term_type(s.t, "horn");
        term_keys(s.t, "Enter");
        stage_wait_frame(&s, i == 2 ? 150 : 60);
        term_wait_idle(s.t);
        int row, col;
        assert_true(term_find(s.t, want[i], &row, &col));
        if (!term_cell(s.t, row, col).reverse)
            fail_msg("%s is not the one found\n%s", want[i], term_screen(s.t));
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, is_refused);
    case_test(&all, a_chord_left_open_is_dropped_and_told);
    case_test(&all, a_key_half_typed_on_the_fix_list_is_no_chord);
    case_test(&all, a_letter_behind_the_fix_list_key_chooses_a_list);
    case_test(&all, the_words_of_a_call_find_every_call_of_a_frame);
    return _cmocka_run_group_tests("refused in words", all.at, all.n, open_stage, close_stage);
}
