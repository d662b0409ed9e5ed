/* Leaving, wanted or not, and clips that are not as they were. */
#include <signal.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "review/stage.h"

static const struct leave_row {
    const char *name, *keys; /* NULL: a signal */
    int signal, status;
} ways[] = {
    {"Ctrl-q leaves", "Ctrl-q", 0, 0},
    {"F10 leaves", "F10", 0, 0},
    {"the quit line leaves", ": q u i t Enter", 0, 0},
    {"Ctrl-q leaves out of the fix list", "F2 Ctrl-q", 0, 0},
    {"SIGTERM leaves", NULL, SIGTERM, 0},
    {"SIGHUP leaves", NULL, SIGHUP, 0},
    {"SIGINT leaves", NULL, SIGINT, 0},
    {"SIGSEGV gives the terminal back and is told in the status", NULL, SIGSEGV, -SIGSEGV},
    {"SIGABRT gives the terminal back and is told in the status", NULL, SIGABRT, -SIGABRT},
};

static void leave(void **state)
{
    const struct leave_row *r = *state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    assert_true(term_alternate_screen(s.t));
    stage_play(&s);
    stage_wait_past(&s, 20);
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    if (r->keys)
        term_keys(s.t, r->keys);
    else
        term_signal(s.t, r->signal);
    assert_int_equal(term_wait_exit(s.t), r->status);
    term_assert_restored(s.t);
    if (r->status == 0) /* else the shell would take the answers to the picture for typing */
        assert_true(term_taken(s.t));
    stage_close(&s);
    assert_string_equal(stage_only_call(&s).who, "trumpets");
}

static const struct type_row {
    const char *name, *setting, *said;
} types[] = {
    {"a terminal type that is not known is named", "TERM=nosuch",
     "the terminal type 'nosuch' is not known here; set TERM"},
    {"an empty terminal type too", "TERM=", "TERM is not set"},
    {"a missing terminal type too", "TERM", "TERM is not set"},
};

static void an_unknown_type_is_told(void **state)
{
    const struct type_row *r = *state;
    const char *const env[] = {r->setting, NULL};
    struct stage s = stage_new();
    stage_start(&s, &(struct term_setup){.env = env, .cols = 120}, NULL);
    assert_int_equal(term_wait_exit(s.t), 1);
    term_wait_text(s.t, r->said);
    term_assert_restored(s.t);
    stage_close(&s);
}

static void a_closed_window_ends_the_review_and_keeps_the_place(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_go(&s, 240);
    term_hangup(s.t);
    term_wait_exit(s.t);
    stage_close(&s);
    stage_open(&s, NULL, NULL);
    stage_wait_frame(&s, 240);
    stage_quit(&s);
}

/* A shell with job control, as a person has: kill -TSTP from another window, then fg. */
static int start_as_job(struct stage *s, const char *picture)
{
    size_t n;
    const char *pid = path_in(s->dir, "pid");
    static const char script[] =
        "set -m; sh -c 'echo $$ >\"$2\"; exec \"$0\" \"$1\" --silent --picture \"$3\"' "
        "\"$0\" \"$1\" \"$2\" \"$3\";"
        "stty -a | grep -q ' echo ' && echo stopped here; read x; fg >/dev/null; echo left with $?";
    s->t = term_start(&(struct term_setup){.home = s->home}, "sh", "-c", script,
                      program_path("boxcall"), s->show, pid, picture, NULL);
    term_wait_text(s->t, "1x f0");
    return atoi(read_file(pid, &n));
}

static void leave_job(struct stage *s)
{
    term_keys(s->t, "Ctrl-q");
    term_wait_text(s->t, "left with 0");
    assert_int_equal(term_wait_exit(s->t), 0);
    stage_close(s);
}

static void stopped_from_outside_it_gives_the_terminal_back_and_takes_it_again(void **state)
{
    (void)state;
    struct stage s = stage_new();
    int pid = start_as_job(&s, "cells");
    stage_play(&s);
    stage_wait_past(&s, 20);
    assert_int_equal(kill(pid, SIGTSTP), 0);
    term_wait_text(s.t, "stopped here");
    assert_true(term_taken(s.t)); /* no answer to a picture is left to the shell */
    assert_false(term_mode(s.t, 1000));
    assert_false(term_mode(s.t, 2004));
    assert_false(term_alternate_screen(s.t));
    assert_true(term_cursor_visible(s.t));
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "1x f");
    assert_true(term_mode(s.t, 1000));
    assert_true(term_mode(s.t, 2004));
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    leave_job(&s);
    assert_string_equal(stage_only_call(&s).who, "trumpets");
}

/* The program stands in a write, since the terminal takes nothing more. */
static bool is_writing(int pid)
{
    size_t n;
    const char *call = read_file(arena_printf(test_arena(), "/proc/%d/syscall", pid), &n);
    return strtol(call, NULL, 10) == SYS_write;
}

/* Curses ignores the signal while it paints, unless it finds it taken when it begins. */
static void stopped_in_the_middle_of_painting_it_stops_all_the_same(void **state)
{
    (void)state;
    struct stage s = stage_new();
    int pid = start_as_job(&s, "none"); /* which never waits for the terminal */
    term_wait_row(s.t, -1, "letters mark:");
    term_speed(s.t, TERM_FROZEN);
    while (!is_writing(pid) || term_taken(s.t))
        if (term_taken(s.t))
            term_keys(s.t, "Ctrl-l");
    assert_int_equal(kill(pid, SIGTSTP), 0);
    term_speed(s.t, TERM_FULL_SPEED);
    term_wait_text(s.t, "stopped here");
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "1x f0");
    leave_job(&s);
}

static void a_line_half_typed_does_not_hold_up_leaving(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t h Enter");
    term_wait_row(s.t, -1, "note:");
    term_signal(s.t, SIGTERM);
    assert_int_equal(term_wait_exit(s.t), 0);
    term_assert_restored(s.t);
    stage_close(&s);
}

static void the_place_is_kept_on_leaving(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_play(&s);
    stage_wait_past(&s, 40);
    long frame = stage_frame(&s);
    stage_quit(&s);
    stage_open(&s, NULL, NULL);
    assert_in_range(stage_frame(&s), frame, frame + 90);
    stage_quit(&s);
}

static void without_display_and_sound_device_the_clip_plays_in_the_terminal(void **state)
{
    (void)state;
    struct stage s = stage_new();
    s.t = term_start(&(struct term_setup){.home = s.home}, "boxcall", s.show, NULL);
    term_wait_text(s.t, "1x f0");
    stage_play(&s);
    stage_wait_past(&s, 30);
    stage_quit(&s);
    s.options[0] = "--video";
    s.options[1] = "window";
    stage_start(&s, NULL, NULL);
    assert_int_equal(term_wait_exit(s.t), 1);
    term_wait_raw(s.t, "no display");
    stage_close(&s);
}

/* --- the clip -------------------------------------------------------------------------------- */

/* A stage whose clip "gone" is its own copy, in another folder than the show. */
static struct stage with_own_clip(const char **clip)
{
    struct stage s = stage_new();
    size_t n;
    const char *bytes = read_file(clip_stands(), &n);
    *clip = write_bytes(temp_dir(), "gone.mp4", bytes, n);
    struct run r = run("boxcall", "add", s.show, "clip", *clip, NULL);
    assert_exit(r, 0);
    return s;
}

static void a_clip_moved_beside_the_show_is_found(void **state)
{
    (void)state;
    const char *clip;
    struct stage s = with_own_clip(&clip);
    assert_int_equal(rename(clip, path_in(s.dir, "gone.mp4")), 0);
    stage_open(&s, NULL, "gone");
    term_wait_text(s.t, "/ 0:06.0");
    stage_quit(&s);
}

static void a_clip_moved_and_renamed_is_found_by_what_it_holds(void **state)
{
    (void)state;
    const char *clip;
    struct stage s = with_own_clip(&clip);
    assert_int_equal(rename(clip, path_in(s.dir, "evening.mp4")), 0);
    stage_open(&s, NULL, "gone");
    term_wait_text(s.t, "/ 0:06.0");
    stage_quit(&s);
}

static void a_clip_that_is_gone_is_named_in_the_review(void **state)
{
    (void)state;
    const char *clip;
    struct stage s = with_own_clip(&clip);
    unlink(clip);
    stage_start(&s, &(struct term_setup){.cols = 200}, "gone");
    term_wait_text(s.t, "gone.mp4");
    term_wait_text(s.t, "not there any more");
    term_wait_text(s.t, "no clip is open");
    term_keys(s.t, "Ctrl-q");
    assert_int_equal(term_wait_exit(s.t), 0);
    term_assert_restored(s.t);
    stage_close(&s);
}

static void a_clip_that_went_away_does_not_end_the_running_review(void **state)
{
    (void)state;
    const char *clip;
    struct stage s = with_own_clip(&clip);
    stage_open(&s, NULL, "run");
    unlink(clip);
    term_keys(s.t, "F3");
    term_wait_row(s.t, 0, "3 clips");
    term_keys(s.t, "Up Up Up");
    for (int i = 0; i < 3; i++) {
        term_wait_idle(s.t);
        int row, col;
        assert_true(term_find(s.t, "gone", &row, &col));
        if (term_cell(s.t, row, 1).reverse)
            break;
        term_keys(s.t, "Down");
    }
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "not there any more");
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "/ 0:20.0");
    stage_quit(&s);
}

static void of_a_truncated_clip_the_rest_is_shown_or_refused_in_words(void **state)
{
    (void)state;
    const char *clip;
    struct stage s = with_own_clip(&clip);
    struct stat st;
    assert_int_equal(stat(clip, &st), 0);
    assert_int_equal(truncate(clip, st.st_size / 2), 0);
    stage_start(&s, NULL, "gone");
    term_wait_row(s.t, 0, "gone");
    term_wait_gone(s.t, "opening the clip");
    term_wait_idle(s.t);
    term_keys(s.t, "t h"); /* a mark, or a line why there is none */
    term_wait_idle(s.t);
    term_wait_gone(s.t, "opening the clip");
    stage_quit(&s);
}

static void what_is_no_clip_any_more_is_said_in_the_review(void **state)
{
    (void)state;
    const char *clip;
    struct stage s = with_own_clip(&clip);
    const char *dir = arena_strndup(test_arena(), clip, strlen(clip) - strlen("/gone.mp4"));
    write_file(dir, "gone.mp4", "not a clip");
    stage_start(&s, &(struct term_setup){.cols = 200}, "gone");
    term_wait_text(s.t, "not a clip");
    term_keys(s.t, "Ctrl-q");
    assert_int_equal(term_wait_exit(s.t), 0);
    term_assert_restored(s.t);
    stage_close(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, ways, leave);
    cases_of(&all, types, an_unknown_type_is_told);
    case_test(&all, a_closed_window_ends_the_review_and_keeps_the_place);
    case_test(&all, stopped_from_outside_it_gives_the_terminal_back_and_takes_it_again);
    case_test(&all, stopped_in_the_middle_of_painting_it_stops_all_the_same);
    case_test(&all, a_line_half_typed_does_not_hold_up_leaving);
    case_test(&all, the_place_is_kept_on_leaving);
    case_test(&all, without_display_and_sound_device_the_clip_plays_in_the_terminal);
    case_test(&all, a_clip_moved_beside_the_show_is_found);
    case_test(&all, a_clip_moved_and_renamed_is_found_by_what_it_holds);
    case_test(&all, a_clip_that_is_gone_is_named_in_the_review);
    case_test(&all, a_clip_that_went_away_does_not_end_the_running_review);
    case_test(&all, of_a_truncated_clip_the_rest_is_shown_or_refused_in_words);
    case_test(&all, what_is_no_clip_any_more_is_said_in_the_review);
    return cases_run(&all, "leaving");
}
