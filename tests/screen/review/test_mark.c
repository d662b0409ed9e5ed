/* What is said about the newest mark, and taking everything back. */
#include "review/stage.h"

static struct stage s; /* one run of the program for all that does not need a fresh show */

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_go(&s, 90);
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

/* A mark of trumpet 3's horn angle where the clip stands. */
static void make_mark(void)
{
    stage_calm(&s);
    term_keys(s.t, "t 3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
}

/* The row of the calls that tells of the newest mark: it is made alone at its time. */
static void make_lone_mark(long frame)
{
    stage_calm(&s);
    stage_go(&s, frame);
    make_mark();
}

static void a_digit_says_how_serious(void **state)
{
    (void)state;
    static const char *const signs[] = {"", " !", " !!", " !!!", " !!!!"};
    make_lone_mark(120);
    assert_int_equal(stage_newest_call(&s).severity, 1);
    for (int severity = 3; severity >= 1; severity--) {
        term_keys(s.t, arena_printf(test_arena(), "%d", severity));
        term_wait_row(s.t, -1, arena_printf(test_arena(), "severity %d", severity));
        stage_wait_call(&s, "0:04.0", signs[severity], signs[severity + 1]);
        assert_int_equal(stage_newest_call(&s).severity, severity);
    }
}

static void the_praise_key_turns_a_fault_into_praise_and_back(void **state)
{
    (void)state;
    make_lone_mark(150);
    term_keys(s.t, "=");
    term_wait_row(s.t, -1, "keep horn angle");
    stage_wait_call(&s, "0:05.0", "keep", NULL);
    assert_true(stage_newest_call(&s).praise);
    struct run fixes = run("boxcall", "fixes", s.show, NULL);
    assert_contains(fixes.out, "horn angle");
    assert_contains(fixes.out, "eep");
    term_keys(s.t, "=");
    term_wait_row(s.t, -1, "a fault again");
    assert_false(stage_newest_call(&s).praise);
}

static void the_cause_key_turns_between_define_and_execute(void **state)
{
    (void)state;
    make_lone_mark(180);
    assert_string_equal(stage_newest_call(&s).cause, "execute");
    term_keys(s.t, "*");
    term_wait_row(s.t, -1, "staff must define it");
    stage_wait_call(&s, "0:06.0", "define", NULL);
    assert_string_equal(stage_newest_call(&s).cause, "define");
    term_keys(s.t, "*");
    term_wait_row(s.t, -1, "performers must do it");
    assert_string_equal(stage_newest_call(&s).cause, "execute");
}

static void note(const char *text)
{
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_type(s.t, text);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
}

static void a_note_holds_any_language(void **state)
{
    (void)state;
    static const char text[] = "Glocke höher – 角度 cafe\xcc\x81";
    make_lone_mark(210);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    assert_true(term_cursor_visible(s.t));
    term_type(s.t, text);
    term_wait_row(s.t, -1, "Glocke höher – 角度 caf");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    term_wait_idle(s.t);
    assert_false(term_cursor_visible(s.t));
    stage_wait_call(&s, "0:07.0", "Glocke", NULL);
    assert_string_equal(stage_newest_call(&s).note, text);
}

static void Esc_leaves_the_note_as_it_was(void **state)
{
    (void)state;
    make_mark();
    note("elbow first");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "elbow first");
    term_type(s.t, " and then some");
    term_wait_row(s.t, -1, "and then some");
    term_keys(s.t, "Esc");
    term_wait_gone_row(s.t, -1, "note:");
    assert_string_equal(stage_newest_call(&s).note, "elbow first");
}

static void an_emptied_note_is_taken_away(void **state)
{
    (void)state;
    make_mark();
    note("elbow");
    term_keys(s.t, "Enter Ctrl-u Enter");
    term_wait_row(s.t, -1, "note taken away");
    assert_string_equal(stage_newest_call(&s).note, "");
}

static void notes_typed_before_come_back_with_the_up_key(void **state)
{
    (void)state;
    make_mark();
    note("first");
    make_mark();
    note("second");
    make_mark();
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_type(s.t, "third");
    term_keys(s.t, "Up");
    term_wait_row(s.t, -1, "note: second");
    term_keys(s.t, "Up");
    term_wait_row(s.t, -1, "note: first");
    term_keys(s.t, "Down Down");
    term_wait_row(s.t, -1, "note: third");
    term_keys(s.t, "Up Up Enter");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_newest_call(&s).note, "first");
}

static void a_note_is_edited_in_its_middle(void **state)
{
    (void)state;
    make_mark();
    term_keys(s.t, "Enter");
    term_type(s.t, "horns up lade");
    term_keys(s.t, "Left Backspace");
    term_type(s.t, "t");
    term_keys(s.t, "Home");
    term_type(s.t, "all ");
    term_keys(s.t, "End");
    term_type(s.t, " again");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_newest_call(&s).note, "all horns up late again");
}

static void pasted_text_fills_a_note_and_makes_no_marks(void **state)
{
    (void)state;
    make_mark();
    size_t marks = strlen(stage_json(&s));
    stage_calm(&s);
    term_paste(s.t, "t3h\rm h\n1 2 3\x1b[A");
    term_wait_row(s.t, -1, "pasted text does nothing here");
    term_wait_idle(s.t);
    assert_int_equal(strlen(stage_json(&s)), marks);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_paste(s.t, "bells\r\nh\xc3\xb6her\tnow");
    term_wait_row(s.t, -1, "note: bells  h\xc3\xb6her now");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_newest_call(&s).note, "bells  h\xc3\xb6her now");
}

/* Of two bytes each: neither the line nor the file keeps a part of it. */
static void a_very_long_note_is_kept_whole(void **state)
{
    (void)state;
    enum { LONG = 30000 };
    static char text[2 * LONG + 1];
    for (size_t i = 0; i < LONG; i++)
        memcpy(text + 2 * i, "é", 2);
    make_mark();
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_paste(s.t, text);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_newest_call(&s).note, text);
    /* And it is edited whole. */
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_type(s.t, "!");
    term_keys(s.t, "Home");
    term_type(s.t, "!");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_newest_call(&s).note, arena_printf(test_arena(), "!%s!", text));
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_keys(s.t, "Ctrl-u Enter");
    term_wait_row(s.t, -1, "note taken away");
}

static void a_note_beyond_the_line_is_refused_in_words(void **state)
{
    (void)state;
    static char text[70001];
    memset(text, 'x', sizeof text - 1);
    make_mark();
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    term_paste(s.t, text);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "full; shorten it");
    term_wait_idle(s.t);
    assert_string_equal(stage_newest_call(&s).note, "");
    term_keys(s.t, "Ctrl-u o k Enter");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_newest_call(&s).note, "ok");
}

/* A line belongs to its mark: a click on another call while it is open chooses nothing. */
static void a_click_while_a_line_is_open_does_nothing(void **state)
{
    (void)state;
    struct stage shared = s;
    s = stage_new();
    stage_mark(&s, "2", "T1", "h");
    stage_mark(&s, "4", "M2", "h");
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "Down");
    stage_wait_frame(&s, 60);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, " note:");
    int row, col;
    assert_true(term_find(s.t, "0:04.0", &row, &col));
    term_click(s.t, row, col, 1);
    term_wheel(s.t, 5, 30, 1);
    term_type(s.t, "bells");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    struct call calls[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", calls), 2);
    assert_string_equal(calls[0].note, "bells");
    assert_string_equal(calls[1].note, "");
    assert_int_equal(stage_frame(&s), 60);
    stage_quit(&s);
    s = shared;
}

static void letters_of_a_note_begin_no_chord(void **state)
{
    (void)state;
    make_mark();
    note("t3h 123 =*'?");
    struct call c = stage_newest_call(&s);
    assert_string_equal(c.note, "t3h 123 =*'?");
    assert_int_equal(c.severity, 1);
}

static void the_repeat_key_says_the_same_of_now(void **state)
{
    (void)state;
    term_keys(s.t, "t 1 , 2 h 3");
    term_wait_row(s.t, -1, "severity 3");
    stage_go(&s, 240);
    term_keys(s.t, "'");
    term_wait_row(s.t, -1, "0:08.0 T1, T2, horn angle");
    struct call c = stage_newest_call(&s);
    assert_string_equal(c.who, "T1,T2");
    assert_string_equal(c.fault, "horn angle");
    assert_int_equal(c.frame, 240);
}

static void with_nothing_said_yet_the_keys_of_a_mark_say_so(void **state)
{
    (void)state;
    struct stage shared = s;
    s = stage_new();
    stage_open(&s, NULL, NULL);
    static const char *const keys[] = {"1", "=", "*", "Enter", "Delete"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        stage_calm(&s);
        term_keys(s.t, keys[i]);
        term_wait_row(s.t, -1, "no mark to speak about");
    }
    term_keys(s.t, "'");
    term_wait_row(s.t, -1, "nothing to repeat");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "nothing to take back");
    term_keys(s.t, "Ctrl-y");
    term_wait_row(s.t, -1, "nothing to do again");
    stage_quit(&s);
    s = shared;
}

static void keys_speak_about_the_call_that_was_chosen(void **state)
{
    (void)state;
    struct stage shared = s;
    s = stage_new();
    stage_mark(&s, "2", "T1", "h");
    stage_mark(&s, "4", "T2", "h");
    stage_mark(&s, "6", "T3", "h");
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "Down Down");
    stage_wait_frame(&s, 120);
    term_keys(s.t, "3");
    term_wait_row(s.t, -1, "T2, horn angle");
    struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", rows), 3);
    assert_int_equal(rows[0].severity, 1);
    assert_int_equal(rows[1].severity, 3);
    assert_int_equal(rows[2].severity, 1);
    term_keys(s.t, "Delete");
    term_wait_row(s.t, 0, "2 marks");
    term_wait_row(s.t, -1, "Ctrl-z takes it back");
    assert_int_equal(stage_calls(&s, "run", rows), 2);
    assert_string_equal(rows[1].who, "T3");
    stage_quit(&s);
    s = shared;
}

/* --- taking back ----------------------------------------------------------------------------- */

static const struct step {
    const char *name, *keys, *said;
} steps[] = {
    {"a mark is taken back and done again", "m h", "mellophones, horn angle"},
    {"a severity is taken back and done again", "3", "severity 3"},
    {"praise is taken back and done again", "=", "praise"},
    {"a cause is taken back and done again", "*", "staff must define"},
    {"a note is taken back and done again", "Enter o n e Enter", "noted"},
    {"a removal is taken back and done again", "Delete", "remove"},
    {"a repeated mark is taken back and done again", "'", "T3, horn angle"},
    {"a tie is taken back and done again", ";", "tie 0:08.000 to set 1"},
};

static void step_back_and_again(void **state)
{
    const struct step *step = *state;
    make_mark();
    const char *before = stage_json(&s);
    term_keys(s.t, step->keys);
    term_wait_row(s.t, -1, step->said);
    term_wait_idle(s.t);
    const char *after = stage_json(&s);
    assert_string_not_equal(before, after);
    for (int i = 0; i < 2; i++) {
        term_keys(s.t, "Ctrl-z");
        term_wait_row(s.t, -1, "taken back: ");
        assert_string_equal(stage_json(&s), before);
        term_keys(s.t, "Ctrl-y");
        term_wait_row(s.t, -1, "done again: ");
        assert_string_equal(stage_json(&s), after);
    }
}

static void many_steps_are_taken_back_in_turn(void **state)
{
    (void)state;
    enum { STEPS = 8 };
    stage_calm(&s);
    const char *nothing = stage_json(&s);
    term_keys(s.t, "t 3 h 2 = * ; m l Delete _");
    term_wait_row(s.t, -1, "untie");
    term_wait_idle(s.t);
    const char *all = stage_json(&s);
    for (int i = 0; i < STEPS; i++)
        term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: 0:0");
    term_wait_idle(s.t);
    assert_string_equal(stage_json(&s), nothing);
    for (int i = 0; i < STEPS; i++)
        term_keys(s.t, "Ctrl-y");
    term_wait_row(s.t, -1, "done again: untie");
    term_wait_idle(s.t);
    assert_string_equal(stage_json(&s), all);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_digit_says_how_serious);
    case_test(&all, the_praise_key_turns_a_fault_into_praise_and_back);
    case_test(&all, the_cause_key_turns_between_define_and_execute);
    case_test(&all, a_note_holds_any_language);
    case_test(&all, Esc_leaves_the_note_as_it_was);
    case_test(&all, an_emptied_note_is_taken_away);
    case_test(&all, notes_typed_before_come_back_with_the_up_key);
    case_test(&all, a_note_is_edited_in_its_middle);
    case_test(&all, pasted_text_fills_a_note_and_makes_no_marks);
    case_test(&all, a_very_long_note_is_kept_whole);
    case_test(&all, a_note_beyond_the_line_is_refused_in_words);
    case_test(&all, a_click_while_a_line_is_open_does_nothing);
    case_test(&all, letters_of_a_note_begin_no_chord);
    case_test(&all, the_repeat_key_says_the_same_of_now);
    case_test(&all, with_nothing_said_yet_the_keys_of_a_mark_say_so);
    case_test(&all, keys_speak_about_the_call_that_was_chosen);
    cases_of(&all, steps, step_back_and_again);
    case_test(&all, many_steps_are_taken_back_in_turn);
    return _cmocka_run_group_tests("the newest mark", all.at, all.n, open_stage, close_stage);
}
