/* A draft that is put right proposes a word, a key takes it up, and what waits is heard in it. The
 * sentences are ours. */
#include "app/app.h"
#include "lib/files.h"
#include "review/stage.h"

/* Faults that only this show has: no table of share/ says anything of them. */
static const char faults[] = "fault,key,words\nburnt toast,jb,\nwet flannel,jw,damp cloth\n",
                  talk[] = "[0:02] Trumpets, burnt toast spigots.\n"
                           "[0:07] Tubas, burnt toast spigots.\n"
                           "[0:12] Gonkers, burnt toast.\n";

#define OWN "damp cloth" /* what the table says of wet flannel */

static struct stage stage_heard(void)
{
    struct stage s = stage_new();
    must(run_in(faults, "boxcall", "add", s.show, "faults", "-", NULL));
    must(run("boxcall", "hear", s.show, "run", write_file(s.dir, "talk.txt", talk), NULL));
    stage_open(&s, &(struct term_setup){.rows = 24, .cols = 140}, "run");
    term_keys(s.t, "\"");
    term_wait_row(s.t, 0, "3 of 3 wait");
    return s;
}

/* What the show file has in the column now. */
static const char *words_of(const struct stage *s, bool section, const char *name)
{
    struct app app;
    struct err e;
    if (!app_open(&app, s->show, &e))
        fail_msg("%s", e.text);
    const int of = section ? show_section(&app.show, name) : show_fault(&app.show, name);
    assert_true(of >= 0);
    const char *words = arena_strdup(test_arena(), section ? app.show.sections[of].words
                                                           : app.show.faults[of].words);
    app_close(&app);
    return words;
}

struct wanted {
    struct stage *s;
    const char *time, *has;
};

static bool line_is_so(void *user)
{
    const struct wanted *w = user;
    for (int row = 2; row < term_rows(w->s->t) - 1; row++) {
        const char *text = term_row(w->s->t, row);
        if (strncmp(text + 1, w->time, strlen(w->time)) == 0)
            return strstr(text, w->has) != NULL;
    }
    return false;
}

static void wait_line(struct stage *s, const char *time, const char *has)
{
    struct wanted w = {s, time, has};
    term_wait_until(s->t, line_is_so, &w, arena_printf(test_arena(), "%s with '%s'", time, has));
}

static void a_key_takes_up_the_word_and_what_waits_is_heard_in_it(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    assert_false(line_is_so(&(struct wanted){&s, "0:06.4", "wet flannel"}));
    term_keys(s.t, "' j w");
    term_wait_row(s.t, -1, "now wet flannel (Ctrl-z takes it back); & learns 'spigots'");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN); /* nobody asked for it yet */
    term_keys(s.t, "&");
    term_wait_row(s.t, -1,
                  "wet flannel learns 'spigots': 1 heard another way (Ctrl-z takes it back)");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN ";spigots");
    wait_line(&s, "0:06.4", "wet flannel");
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "no word is proposed; write teach WORDS");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: teach 'spigots' for wet flannel");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN);
    assert_false(line_is_so(&(struct wanted){&s, "0:06.4", "wet flannel"}));
    wait_line(&s, "0:01.4", "wet flannel"); /* the correction is a step of its own */
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "wet flannel learns 'spigots': 1 heard another way (Ctrl");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN ";spigots");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: teach 'spigots'");
    term_keys(s.t, "Ctrl-y");
    term_wait_row(s.t, -1, "done again: teach 'spigots'");
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "no word is proposed; write teach WORDS");
    stage_quit(&s);
}

static void other_words_are_taken_by_a_line(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    stage_line(&s, "teach taps");
    term_wait_row(s.t, -1, "no draft was put right just now: there is nothing to learn from");
    term_keys(s.t, "' j w");
    term_wait_row(s.t, -1, "& learns 'spigots'");
    stage_line(&s, "teach late arrival");
    term_wait_row(s.t, -1, "'late arrival' means late arrival already; one word cannot mean both");
    stage_line(&s, "teach ugly spigots");
    term_wait_row(s.t, -1,
                  "wet flannel learns 'ugly spigots': nothing that waits is heard another");
    term_keys(s.t, "&"); /* it was answered in other words */
    term_wait_row(s.t, -1, "no word is proposed; write teach WORDS");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN ";ugly spigots");
    stage_line(&s, "teach taps");
    term_wait_row(s.t, -1, "wet flannel learns 'taps': ");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN ";ugly spigots;taps");
    stage_quit(&s);
}

static void a_section_learns_how_it_is_called(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    term_keys(s.t, "Down Down u Enter");
    term_wait_row(s.t, -1, "now tubas (Ctrl-z takes it back); & learns 'gonkers'");
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "tubas learns 'gonkers'");
    assert_string_equal(words_of(&s, true, "tubas"), "tuba;sousaphones;sousas;contras;gonkers");
    stage_quit(&s);
}

static void a_correction_that_is_taken_back_teaches_nothing(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    term_keys(s.t, "' j w");
    term_wait_row(s.t, -1, "& learns 'spigots'");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: draft 0:01.4");
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "no draft was put right just now");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN);
    stage_quit(&s);
}

static void a_file_that_is_another_now_is_not_heard(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    write_file(s.dir, "talk.txt", "[0:02] Tubas, wet flannel.\n");
    term_keys(s.t, "' j w");
    term_wait_row(s.t, -1, "& learns 'spigots'");
    term_keys(s.t, "&");
    term_wait_row(s.t, -1, "wet flannel learns 'spigots'; hear talk.txt again to use it (Ctrl-z");
    assert_string_equal(words_of(&s, false, "wet flannel"), OWN ";spigots");
    term_wait_row(s.t, 0, "3 of 3 wait");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    case_test(&all, a_key_takes_up_the_word_and_what_waits_is_heard_in_it);
    case_test(&all, other_words_are_taken_by_a_line);
    case_test(&all, a_section_learns_how_it_is_called);
    case_test(&all, a_correction_that_is_taken_back_teaches_nothing);
    case_test(&all, a_file_that_is_another_now_is_not_heard);
    return cases_run(&all, "words learnt in the review");
}
