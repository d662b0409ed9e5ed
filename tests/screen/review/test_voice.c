/* A call that is spoken while the clip is watched, into a pipe in place of a microphone. */
#include <stdio.h>
#include <unistd.h>

#include "lib/mic.h"
#include "review/stage.h"

enum { PAUSE_S = 3 };
#define READY "spoken calls are on, from "

static struct mic mic;

/* Stands at frame 90, and somebody may speak. */
static struct stage stage_listening(void)
{
    struct stage s = stage_new();
    mic = mic_open();
    stage_open(&s, &(struct term_setup){.rows = 30, .cols = 140}, "run");
    stage_go(&s, 90);
    stage_line(&s, arena_printf(test_arena(), "voice %s", mic.path));
    term_wait_row(s.t, -1, READY);
    term_wait_row(s.t, 0, "voice on");
    return s;
}

static void press_to_speak(struct stage *s)
{
    term_keys(s->t, "-");
    term_wait_text(s->t, "say the call");
}

static void say(struct stage *s, const char *text)
{
    press_to_speak(s);
    mic_say(&mic, text, PAUSE_S);
}

static void leave(struct stage *s)
{
    stage_quit(s);
    mic_close(&mic);
}

static size_t n_calls(const struct stage *s)
{
    struct call calls[CALLS_MOST];
    return stage_calls(s, "run", calls);
}

/* --- heard, kept, dropped ------------------------------------------------------------------------------ */

static void enter_keeps_what_was_heard(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "tubas two and three, feet apart");
    term_wait_row(s.t, -1, "heard 'tubas two and three feet apart'");
    term_wait_row(s.t, -1, "% sure; Enter keeps it");
    term_wait_text(s.t, "0:03.0 U2, U3,");
    assert_int_equal(n_calls(&s), 0); /* nothing becomes a mark unseen */
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "0:03.0 U2, U3, feet apart at halt");
    const struct call c = stage_only_call(&s);
    assert_string_equal(c.who, "U2,U3");
    assert_string_equal(c.fault, "feet apart at halt");
    assert_int_equal(c.frame, 90);
    assert_int_equal(c.severity, 1);
    assert_false(c.praise);
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
    assert_int_equal(n_calls(&s), 0);
    leave(&s);
}

static void the_moment_is_that_of_the_key(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    press_to_speak(&s);
    stage_go(&s, 300);
    mic_say(&mic, "trumpets, horn angle", PAUSE_S);
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "0:03.0 trumpets, horn angle");
    assert_int_equal(stage_only_call(&s).frame, 90);
    leave(&s);
}

static void while_the_clip_plays_the_lead_is_taken_off(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    stage_play(&s);
    stage_wait_past(&s, 90 + 3 * LEAD_FRAMES);
    const long before = stage_frame(&s);
    press_to_speak(&s);
    const long after = stage_frame(&s);
    mic_say(&mic, "trumpets, horn angle", PAUSE_S);
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    stage_wait_past(&s, after); /* it was not stopped */
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    const struct call c = stage_only_call(&s);
    assert_in_range(c.frame, before - LEAD_FRAMES, after - LEAD_FRAMES + 1);
    stage_halt(&s);
    leave(&s);
}

static void dropped_by(const char *key)
{
    struct stage s = stage_listening();
    say(&s, "trumpets, horn angle");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    term_keys(s.t, key);
    term_wait_gone(s.t, "heard:");
    assert_int_equal(n_calls(&s), 0);
    leave(&s);
}

static void backspace_drops_it(void **state)
{
    (void)state;
    dropped_by("Backspace");
}

static void esc_drops_it(void **state)
{
    (void)state;
    dropped_by("Esc");
}

static void the_next_call_keeps_it(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "trumpets, horn angle");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    stage_go(&s, 150);
    say(&s, "mellophones, great step size");
    term_wait_row(s.t, -1, "heard 'mellophones great step size'");
    const struct call first = stage_only_call(&s);
    assert_string_equal(first.fault, "horn angle");
    assert_int_equal(first.frame, 90);
    term_keys(s.t, "u 1 f"); /* typed: a call as well */
    term_wait_row(s.t, -1, "U1, feet apart at halt");
    struct call calls[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", calls), 3);
    assert_string_equal(calls[1].fault, "step size");
    assert_true(calls[1].praise);
    assert_int_equal(calls[1].frame, 150);
    leave(&s);
}

static void what_is_said_of_it_keeps_it_first(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "trumpets, horn angle");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    term_keys(s.t, "3");
    term_wait_gone(s.t, "heard:");
    term_wait_row(s.t, -1, "severity 3");
    assert_int_equal(stage_only_call(&s).severity, 3);
    leave(&s);
}

static void what_would_take_the_newest_mark_away_drops_it(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    term_keys(s.t, "t 3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
    for (int i = 0; i < 2; i++) {
        say(&s, "tubas, feet apart");
        term_wait_row(s.t, -1, "heard 'tubas feet apart'");
        term_keys(s.t, i ? "Delete" : "Ctrl-z");
        term_wait_gone(s.t, "heard:");
        assert_string_equal(stage_only_call(&s).fault, "horn angle");
    }
    leave(&s);
}

static void twice_the_key_is_one_call(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    press_to_speak(&s);
    mic_say(&mic, "trumpets, horn angle", 0);
    mic_wait_empty(&mic);
    term_keys(s.t, "-");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    leave(&s);
}

static void repeat_key(void *user)
{
    term_keys(((struct stage *)user)->t, "-");
    term_wait_idle(((struct stage *)user)->t);
}

/* As a keyboard that repeats a held key sends it: a pause within is not the end. */
static void a_held_key_ends_when_it_is_let_go(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    const struct mic_sound whom = mic_record("trumpets", 3.5), what = mic_record("horn angle", 0);
    press_to_speak(&s);
    mic_play(&mic, &whom, repeat_key, &s);
    mic_play(&mic, &what, repeat_key, &s);
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    leave(&s);
}

/* --- no call ------------------------------------------------------------------------------------------ */

static void other_talk_is_no_call(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "what a lovely evening, does anybody want some coffee");
    term_wait_row(s.t, -1, "no call was made out");
    term_wait_row(s.t, -1, "say it again, or type it");
    term_wait_gone(s.t, "say the call");
    term_keys(s.t, "t 3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
    assert_int_equal(n_calls(&s), 1);
    leave(&s);
}

static void silence_is_no_call(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    press_to_speak(&s);
    mic_say(&mic, NULL, 7);
    term_wait_row(s.t, -1, "no call was heard; hold - while you say one");
    leave(&s);
}

static void a_letter_types_instead(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    press_to_speak(&s);
    term_keys(s.t, "t 3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
    assert_int_equal(n_calls(&s), 1);
    term_wait_gone(s.t, "say the call");
    leave(&s);
}

static void other_screens_drop_it(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "trumpets, horn angle");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    term_keys(s.t, "F2");
    term_wait_row(s.t, -1, "the spoken call was dropped");
    term_keys(s.t, "F4");
    term_wait_gone(s.t, "heard:");
    assert_int_equal(n_calls(&s), 0);
    leave(&s);
}

/* --- the microphone -------------------------------------------------------------------------------------- */

static void it_is_off_to_begin_with(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, &(struct term_setup){.rows = 30, .cols = 140}, "run");
    term_keys(s.t, "-");
    term_wait_row(s.t, -1, "spoken calls are off; :voice on turns them on");
    stage_line(&s, "voice");
    term_wait_row(s.t, -1, "voice on turns them on. No sound is kept or sent");
    assert_null(strstr(term_row(s.t, 0), "voice on"));
    stage_quit(&s);
}

static void it_is_turned_off(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    stage_line(&s, "voice off");
    term_wait_row(s.t, -1, "spoken calls are off; the microphone is closed");
    term_wait_gone_row(s.t, 0, "voice on");
    term_keys(s.t, "-");
    term_wait_row(s.t, -1, ":voice on turns them on");
    stage_line(&s, "voice on"); /* the one that was named last */
    term_wait_row(s.t, -1, READY);
    leave(&s);
}

static void it_may_be_on_from_the_start(void **state)
{
    (void)state;
    struct stage s = stage_new();
    mic = mic_open();
    s.options[0] = "--voice";
    s.options[1] = mic.path;
    stage_open(&s, &(struct term_setup){.rows = 30, .cols = 140}, "run");
    term_wait_row(s.t, -1, READY);
    leave(&s);
}

static void no_microphone(const char *name, const char *why)
{
    struct stage s = stage_new();
    stage_open(&s, &(struct term_setup){.rows = 30, .cols = 200}, "run");
    stage_line(&s, arena_printf(test_arena(), "voice %s", name));
    term_wait_row(s.t, -1, "no microphone: ");
    term_wait_row(s.t, -1, why);
    term_wait_row(s.t, -1, ":voice NAME opens another");
    term_keys(s.t, "t 3 h"); /* all else goes on */
    term_wait_row(s.t, -1, "T3, horn angle");
    stage_quit(&s);
}

static void one_that_is_not_there_is_said(void **state)
{
    (void)state;
    no_microphone("nosuch", "there is none called nosuch here; arecord -L lists their names");
}

static void a_recording_is_none(void **state)
{
    (void)state;
    no_microphone(clip_run(), "run.mp4 is no named pipe");
}

static void one_that_is_lost_while_somebody_speaks_is_said(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    press_to_speak(&s);
    mic_say(&mic, "trumpets", 0);
    mic_close(&mic);
    term_wait_row(s.t, -1, "is gone while you spoke: the sound ended; type the call");
    term_wait_gone_row(s.t, 0, "voice on");
    term_keys(s.t, "t 3 h");
    term_wait_row(s.t, -1, "T3, horn angle");
    assert_int_equal(n_calls(&s), 1);
    stage_quit(&s);
}

static void a_call_that_was_heard_outlives_its_microphone(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "trumpets, horn angle");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    mic_close(&mic);
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "is gone: the sound ended");
    assert_string_equal(stage_only_call(&s).fault, "horn angle");
    stage_quit(&s);
}

/* It is said, the call waits on, and is kept where there is room for it. */
static void a_call_that_cannot_be_saved_waits(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    say(&s, "trumpets, horn angle");
    term_wait_row(s.t, -1, "heard 'trumpets horn angle'");
    assert_int_equal(rename(s.show, path_in(s.dir, "moved.show")), 0);
    term_wait_text(s.t, "was deleted or renamed while it was open");
    term_keys(s.t, "-");
    term_wait_text(s.t, "NOT SAVED: ");
    assert_true(term_has(s.t, "heard:"));
    stage_line(&s, arena_printf(test_arena(), "copy %s", path_in(s.dir, "copy.show")));
    term_wait_text(s.t, "the review goes on in");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "0:03.0 trumpets, horn angle");
    term_wait_gone(s.t, "heard:");
    s.show = path_in(s.dir, "copy.show");
    assert_string_equal(stage_only_call(&s).fault, "horn angle");
    leave(&s);
}

/* What another program adds may be said at once. */
static void a_new_word_is_heard(void **state)
{
    (void)state;
    struct stage s = stage_listening();
    stage_calm(&s);
    must(run_in("fault,key\nsleepy,jz\n", "boxcall", "add", s.show, "faults", "-", NULL));
    term_wait_row(s.t, -1, READY);
    say(&s, "trumpets, sleepy");
    term_wait_row(s.t, -1, "heard 'trumpets sleepy'");
    leave(&s);
}

int main(void)
{
    struct cases all = {0};
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    case_test(&all, enter_keeps_what_was_heard);
    case_test(&all, the_moment_is_that_of_the_key);
    case_test(&all, while_the_clip_plays_the_lead_is_taken_off);
    case_test(&all, backspace_drops_it);
    case_test(&all, esc_drops_it);
    case_test(&all, the_next_call_keeps_it);
    case_test(&all, what_is_said_of_it_keeps_it_first);
    case_test(&all, what_would_take_the_newest_mark_away_drops_it);
    case_test(&all, twice_the_key_is_one_call);
    case_test(&all, a_held_key_ends_when_it_is_let_go);
    case_test(&all, other_talk_is_no_call);
    case_test(&all, silence_is_no_call);
    case_test(&all, a_letter_types_instead);
    case_test(&all, other_screens_drop_it);
    case_test(&all, it_is_off_to_begin_with);
    case_test(&all, it_is_turned_off);
    case_test(&all, it_may_be_on_from_the_start);
    case_test(&all, one_that_is_not_there_is_said);
    case_test(&all, a_recording_is_none);
    case_test(&all, one_that_is_lost_while_somebody_speaks_is_said);
    case_test(&all, a_call_that_was_heard_outlives_its_microphone);
    case_test(&all, a_call_that_cannot_be_saved_waits);
    case_test(&all, a_new_word_is_heard);
    return cases_run(&all, "spoken calls in the review");
}
