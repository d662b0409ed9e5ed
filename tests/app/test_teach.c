/* A word that the show learns: added to what stands in the file, refused where it is another's, and what
 * waits heard again. The sentences are ours. */
#include <stdio.h>
#include <stdlib.h>

#include "app/hear.h"
#include "app/teach.h"
#include "app/ties.h"
#include "lib/cases.h"
#include "store/season.h"

/* Faults that only this show has: no table of share/ says anything of them. */
static const char faults[] = "fault,key\nlate,l\nslouch,k\nhorn angle,h\nburnt toast,b\n"
                             "wet flannel,w\n",
                  talk[] = "[0:10] Trumpets, burnt toast spigots.\n"
                           "[0:30] Tubas, burnt toast spigots.\n"
                           "[0:50] Gonkers, burnt toast.\n";

struct stage {
    struct app app;
    struct err e;
    const char *show, *dir, *file;
};

static struct stage stage_new(void)
{
    struct season s = season_new();
    struct put_report r;
    put_faults(&s, faults, true, &r);
    struct stage st = {.show = s.path, .dir = temp_dir()};
    st.file = write_file(st.dir, "talk.txt", talk);
    season_close(&s);
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    OK(&st, app_open(&st.app, s.path, &st.e));
    return st;
}

static void hear(struct stage *s, int64_t lead_us)
{
    struct arena mem = {0};
    struct heard_talk h;
    struct drafts_report r;
    const struct hear_choice how = {
        .clip = &s->app.clips.at[0],
        .file = {talk, strlen(talk), "talk.txt", NULL},
        .path = s->file,
        .clock = {.offset_us = 5000000, .rate = 1.01, .lead_us = lead_us},
    };
    OK(s, app_hear(&s->app, &mem, &how, &h, &s->e));
    OK(s, app_hear_keep(&s->app, &how, &h, &r, &s->e));
    assert_int_equal(r.added, 3);
    arena_free(&mem);
}

static struct stored_draft nth(struct stage *s, size_t i)
{
    struct stored_draft_list l;
    const struct draft_choice all = {s->app.clips.at[0].id, 0, false};
    OK(s, store_drafts(s->app.store, test_arena(), &all, &l, &s->e));
    assert_true(i < l.n);
    return l.at[i];
}

static int fault(struct stage *s, const char *name)
{
    const int of = show_fault(&s->app.show, name);
    assert_true(of >= 0);
    return of;
}

static void correct(struct stage *s, size_t i, const char *to)
{
    OK(s, app_draft_change(&s->app, nth(s, i).id,
                           &(struct draft_change){.fields = DRAFT_FAULT, .fault = fault(s, to)},
                           "corrected", &s->e));
}

static struct draft_source source(struct stage *s)
{
    struct draft_source_list l;
    OK(s, store_draft_sources(s->app.store, test_arena(), s->app.clips.at[0].id, &l, &s->e));
    assert_int_equal(l.n, 1);
    return l.at[0];
}

static bool teach(struct stage *s, const char *name, const char *words)
{
    const struct teach t = {false, fault(s, name), words};
    const bool ok = app_teach(&s->app, &t, &s->e);
    struct err e;
    assert_true(app_reload(&s->app, &e));
    return ok;
}

static struct heard_again teach_hear(struct stage *s, const char *name, const char *words)
{
    const struct draft_source src = source(s);
    const struct teach t = {false, fault(s, name), words};
    struct heard_again again;
    OK(s, app_teach_hear(&s->app, &t, &src, &again, &s->e));
    OK(s, app_reload(&s->app, &s->e));
    return again;
}

static const char *words(struct stage *s, const char *name)
{
    return s->app.show.faults[fault(s, name)].words;
}

static void travel(struct stage *s, bool back, const char *what)
{
    char said[100] = "";
    OK(s, app_travel(&s->app, back, said, &s->e));
    assert_string_equal(said, what);
}

/* --- proposed -------------------------------------------------------------------------------- */

static struct lessons lessons(struct stage *s)
{
    struct corrections c;
    struct lessons l;
    OK(s, app_corrections(&s->app, test_arena(), &c, &s->e));
    const struct lexicon *known = app_lexicon(&s->app, test_arena(), &s->e);
    OK(s, known);
    teach_lessons(test_arena(), known, &c, &l);
    return l;
}

static void corrections_of_the_show_propose_what_they_share(void **state)
{
    (void)state;
    struct stage s = stage_new();
    hear(&s, 600000);
    assert_int_equal(lessons(&s).n, 0); /* nobody put anything right */
    correct(&s, 0, "wet flannel");
    correct(&s, 1, "wet flannel");
    const struct lessons l = lessons(&s);
    assert_int_equal(l.n, 1);
    assert_string_equal(l.at[0].words, "spigots");
    assert_int_equal(l.at[0].n, 2);
    assert_int_equal(l.at[0].of, fault(&s, "wet flannel"));
    assert_false(l.at[0].section);
    assert_string_equal(l.at[0].quote, "Trumpets, burnt toast spigots.");
    OK(&s, app_draft_drop(&s.app, nth(&s, 1).id, &s.e));
    assert_int_equal(lessons(&s).at[0].n, 1); /* what was dropped is no remark */
    assert_true(teach(&s, "wet flannel", "spigots"));
    assert_int_equal(lessons(&s).n, 0); /* it is known now */
    app_close(&s.app);
}

/* --- taken up -------------------------------------------------------------------------------- */

static void a_word_joins_those_that_are_there_and_undo_names_it(void **state)
{
    (void)state;
    struct stage s = stage_new();
    const char *was = arena_strdup(test_arena(), words(&s, "horn angle"));
    assert_true(teach(&s, "horn angle", "spigots"));
    assert_true(teach(&s, "horn angle", "brass taps"));
    assert_string_equal(words(&s, "horn angle"),
                        *was ? arena_printf(test_arena(), "%s;spigots;brass taps", was)
                             : "spigots;brass taps");
    travel(&s, true, "teach 'brass taps' for horn angle");
    travel(&s, true, "teach 'spigots' for horn angle");
    assert_string_equal(words(&s, "horn angle"), was);
    app_close(&s.app);
}

static void what_another_program_wrote_meanwhile_stays(void **state)
{
    (void)state;
    struct stage s = stage_new();
    struct app other;
    OK(&s, app_open(&other, s.show, &s.e));
    const struct teach theirs = {false, fault(&s, "horn angle"), "gimbals"},
                       same = {false, fault(&s, "late"), "gimbal"};
    OK(&s, app_teach(&other, &theirs, &s.e));
    app_close(&other);
    assert_null(strstr(words(&s, "horn angle"), "gimbals")); /* this one has not read it yet */
    assert_false(app_teach(&s.app, &same, &s.e));
    assert_string_equal(s.e.text, "'gimbal' means horn angle already; one word cannot mean both");
    assert_true(teach(&s, "horn angle", "spigots"));
    assert_non_null(strstr(words(&s, "horn angle"), "gimbals;spigots"));
    app_close(&s.app);
}

static void a_fault_that_went_meanwhile_learns_nothing(void **state)
{
    (void)state;
    struct stage s = stage_new();
    struct season other = {.path = s.show};
    struct put_report r;
    season_open(&other);
    put_faults(&other, "fault,key\nlate,l\n", false, &r);
    season_close(&other);
    assert_false(teach(&s, "horn angle", "spigots"));
    assert_string_equal(s.e.text, "'horn angle' is not in the show any more");
    app_close(&s.app);
}

static void a_section_learns_too(void **state)
{
    (void)state;
    struct stage s = stage_new();
    const int tubas = show_section(&s.app.show, "tubas");
    const struct teach t = {true, tubas, "gonkers"};
    OK(&s, app_teach(&s.app, &t, &s.e));
    OK(&s, app_reload(&s.app, &s.e));
    assert_non_null(strstr(s.app.show.sections[tubas].words, "gonkers"));
    assert_false(teach(&s, "late", "gonker"));
    assert_string_equal(s.e.text, "'gonker' means tubas already; one word cannot mean both");
    travel(&s, true, "teach 'gonkers' for tubas");
    app_close(&s.app);
}

/* --- heard again ----------------------------------------------------------------------------- */

static void what_waits_is_heard_again_in_the_same_step(void **state)
{
    (void)state;
    struct stage s = stage_new();
    hear(&s, 250000); /* not the lead of who sits here */
    correct(&s, 0, "wet flannel");
    const struct stored_draft second = nth(&s, 1), third = nth(&s, 2);
    assert_int_not_equal(second.d.fault, fault(&s, "wet flannel"));
    const struct heard_again again = teach_hear(&s, "wet flannel", "spigots");
    assert_true(again.done);
    assert_int_equal(again.report.renewed, 1);
    assert_int_equal(again.report.added + again.report.gone, 0);
    assert_int_equal(nth(&s, 1).d.fault, fault(&s, "wet flannel"));
    assert_int_equal(nth(&s, 1).d.at_us, second.d.at_us); /* the clock and the lead are the same */
    assert_int_equal(nth(&s, 2).changed_at, third.changed_at);
    assert_true(nth(&s, 0).touched);
    travel(&s, true, "teach 'spigots' for wet flannel");
    assert_int_equal(nth(&s, 1).d.fault, second.d.fault);
    assert_null(strstr(words(&s, "wet flannel"), "spigots"));
    app_close(&s.app);
}

static void a_file_that_is_another_or_gone_is_not_heard(void **state)
{
    (void)state;
    struct stage s = stage_new();
    hear(&s, 600000);
    const int was = nth(&s, 1).d.fault;
    write_file(s.dir, "talk.txt", "[0:10] Tubas, late.\n");
    assert_false(teach_hear(&s, "wet flannel", "spigots").done);
    assert_int_equal(nth(&s, 1).d.fault, was);
    assert_non_null(strstr(words(&s, "wet flannel"), "spigots")); /* it is learnt all the same */
    remove(s.file);
    assert_false(teach_hear(&s, "wet flannel", "gimbals").done);
    assert_non_null(strstr(words(&s, "wet flannel"), "gimbals"));
    app_close(&s.app);
}

static void a_word_that_is_refused_changes_no_draft(void **state)
{
    (void)state;
    struct stage s = stage_new();
    hear(&s, 600000);
    assert_true(teach(&s, "late", "spigots"));
    const struct draft_source src = source(&s);
    const struct teach t = {false, fault(&s, "wet flannel"), "spigot"};
    const int was = nth(&s, 1).d.fault;
    struct heard_again again;
    assert_false(app_teach_hear(&s.app, &t, &src, &again, &s.e));
    assert_string_equal(s.e.text, "'spigot' means late already; one word cannot mean both");
    assert_int_equal(nth(&s, 1).d.fault, was);
    travel(&s, true, "teach 'spigots' for late");
    app_close(&s.app);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, corrections_of_the_show_propose_what_they_share);
    case_test(&all, a_word_joins_those_that_are_there_and_undo_names_it);
    case_test(&all, what_another_program_wrote_meanwhile_stays);
    case_test(&all, a_fault_that_went_meanwhile_learns_nothing);
    case_test(&all, a_section_learns_too);
    case_test(&all, what_waits_is_heard_again_in_the_same_step);
    case_test(&all, a_file_that_is_another_or_gone_is_not_heard);
    case_test(&all, a_word_that_is_refused_changes_no_draft);
    return cases_run(&all, "words that the show learns");
}
