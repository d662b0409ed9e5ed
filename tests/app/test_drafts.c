/* What is proposed, heard again, accepted, put right; each a step that undo names and takes back. */
#include <stdlib.h>

#include "app/drafts.h"
#include "app/ties.h"
#include "lib/cases.h"
#include "store/drafts.h"

/* The small band of the store's tests, opened by the program as a person does. */
struct stage {
    struct app app;
    struct err e;
    struct draft at[8];
    size_t n;
    struct drafts_report put;
    int64_t source;
};

static struct stage stage_new(void)
{
    struct season s = season_new();
    struct stage st = {0};
    season_close(&s);
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    OK(&st, app_open(&st.app, s.path, &st.e));
    return st;
}

static void propose(struct stage *s, const char *who, const char *fault, double at)
{
    s->at[s->n++] = draft_of(&s->app.show, who, fault, at);
}

static struct draft_source source_of(const char *path, const char *digest)
{
    return (struct draft_source){.clip = 1,
                                 .kind = "commentary",
                                 .name = "tuesday.vtt",
                                 .path = path,
                                 .digest = digest,
                                 .rate = 1};
}

static void hear_from(struct stage *s, struct draft_source src)
{
    const struct draft_list l = {s->at, s->n};
    OK(s, app_drafts_put(&s->app, &src, &l, &s->put, &s->e));
    s->source = src.id;
}

static void hear(struct stage *s)
{
    hear_from(s, source_of("/talk/tuesday.vtt", "d1"));
}

static void assert_put(const struct stage *s, size_t added, size_t renewed, size_t gone,
                       size_t kept)
{
    if (s->put.added != added || s->put.renewed != renewed || s->put.gone != gone ||
        s->put.kept != kept)
        fail_msg("%zu added, %zu renewed, %zu gone, %zu kept", s->put.added, s->put.renewed,
                 s->put.gone, s->put.kept);
}

static struct stored_draft_list drafts(struct stage *s, bool waiting)
{
    struct stored_draft_list l;
    const struct draft_choice choice = {1, 0, waiting};
    OK(s, store_drafts(s->app.store, test_arena(), &choice, &l, &s->e));
    return l;
}

static struct mark_list marks(struct stage *s)
{
    struct mark_list l;
    OK(s, store_marks(s->app.store, test_arena(), 1, &l, &s->e));
    return l;
}

static const char *described(struct stage *s, const struct stored_draft *d)
{
    struct buf b = {0};
    draft_describe(&s->app.show, &d->d, &b);
    const char *text = arena_strdup(test_arena(), buf_text(&b));
    buf_free(&b);
    return text;
}

/* Each as "0:09.4 T1, late", in time order. */
static void assert_waiting(struct stage *s, const char *const *want, size_t n)
{
    struct stored_draft_list l = drafts(s, true);
    for (size_t i = 0; i < n && i < l.n; i++)
        assert_string_equal(described(s, &l.at[i]), want[i]);
    assert_int_equal(l.n, n);
}
#define WAITING(s, ...)                                                                            \
    assert_waiting(s, (const char *const[]){__VA_ARGS__},                                          \
                   sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *))

static void travel(struct stage *s, bool back, const char *what)
{
    char said[100] = "";
    OK(s, app_travel(&s->app, back, said, &s->e));
    assert_string_equal(said, what);
}

static const char *next_undo(struct stage *s)
{
    char what[100];
    bool below;
    OK(s, store_next_undo(s->app.store, what, &below, &s->e));
    return arena_strdup(test_arena(), what);
}

static void accept(struct stage *s, int64_t id)
{
    struct mark now;
    OK(s, app_draft_accept(&s->app, id, test_arena(), &now, &s->e));
}

/* --- heard ----------------------------------------------------------------------------------- */

static void what_is_heard_waits_by_time_and_undo_takes_all_of_it_back(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "trumpets", "horn angle", 4);
    propose(&s, "", "", 20);
    hear(&s);
    assert_put(&s, 3, 0, 0, 0);
    WAITING(&s, "0:03.4 trumpets, horn angle", "0:09.4 T1, late", "0:19.4 ?, ?");
    assert_int_equal(marks(&s).n, 0);
    travel(&s, true, "hear tuesday.vtt");
    assert_int_equal(drafts(&s, false).n, 0);
    travel(&s, false, "hear tuesday.vtt");
    assert_int_equal(drafts(&s, false).n, 3);
    app_close(&s.app);
}

static void the_same_again_writes_nothing(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "tubas", "slouch", 10); /* two of one breath */
    hear(&s);
    hear(&s);
    assert_put(&s, 0, 0, 0, 0);
    assert_int_equal(drafts(&s, false).n, 2);
    travel(&s, true, "hear tuesday.vtt"); /* the first, for there is no second */
    assert_int_equal(drafts(&s, false).n, 0);
    app_close(&s.app);
}

static void what_waits_untouched_is_brought_up_to_date(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "tubas", "slouch", 20);
    propose(&s, "T2", "late", 30);
    hear(&s);
    const int64_t first = drafts(&s, true).at[0].id;
    for (size_t i = 0; i < 2; i++) { /* half a second later in the clip */
        s.at[i].at_us += 500000;
        s.at[i].end_us += 500000;
    }
    s.at[1].fault = show_fault(&s.app.show, "horn angle"); /* another vocabulary */
    s.n = 2;
    struct draft_source src = source_of("/talk/tuesday.vtt", "d1");
    src.offset_us = 500000;
    hear_from(&s, src);
    assert_put(&s, 0, 2, 1, 0);
    WAITING(&s, "0:09.9 T1, late", "0:19.9 tubas, horn angle");
    assert_int_equal(drafts(&s, true).at[0].id, first);
    travel(&s, true, "hear tuesday.vtt");
    WAITING(&s, "0:09.4 T1, late", "0:19.4 tubas, slouch", "0:29.4 T2, late");
    app_close(&s.app);
}

/* Accepted, dropped and changed: each by the talk that it was, whatever it is read as today. */
static void what_somebody_dealt_with_is_not_proposed_again(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "T1", "slouch", 20);
    propose(&s, "T1", "horn angle", 30);
    hear(&s);
    struct stored_draft_list l = drafts(&s, true);
    accept(&s, l.at[0].id);
    OK(&s, app_draft_drop(&s.app, l.at[1].id, &s.e));
    OK(&s, app_draft_change(&s.app, l.at[2].id,
                            &(struct draft_change){.fields = DRAFT_SEVERITY, .severity = 2},
                            "severity 2", &s.e));
    s.at[0].fault = show_fault(&s.app.show, "slouch");
    s.at[1].said_us += 1500000; /* it begins in the middle of what was dropped */
    s.at[1].end_us += 1500000;
    propose(&s, "U1", "late", 32); /* where the changed one ends */
    hear(&s);
    assert_put(&s, 1, 0, 0, 3);
    WAITING(&s, "0:29.4 T1, horn angle", "0:31.4 U1, late");
    assert_int_equal(drafts(&s, true).at[0].d.severity, 2);
    app_close(&s.app);
}

/* What is left of a breath of which one remark was accepted goes on waiting. */
static void the_other_remark_of_a_breath_goes_on_waiting(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "tubas", "slouch", 10);
    hear(&s);
    struct stored_draft_list l = drafts(&s, true);
    accept(&s, l.at[0].id);
    hear(&s);
    assert_put(&s, 0, 0, 0, 1);
    WAITING(&s, "0:09.4 tubas, slouch");
    app_close(&s.app);
}

/* Read another way today, though it lies in talk of which a part was dealt with. */
static void the_other_remark_of_a_breath_is_brought_up_to_date(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "tubas", "slouch", 10);
    hear(&s);
    accept(&s, drafts(&s, true).at[0].id);
    s.at[1].fault = show_fault(&s.app.show, "horn angle");
    hear(&s);
    assert_put(&s, 0, 1, 0, 1);
    WAITING(&s, "0:09.4 tubas, horn angle");
    s.n = 1; /* and what is not heard any more does not become what was accepted */
    hear(&s);
    assert_put(&s, 0, 0, 1, 1);
    assert_int_equal(drafts(&s, true).n, 0);
    app_close(&s.app);
}

static void what_has_no_name_is_never_the_same(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    hear_from(&s, source_of("", ""));
    s.at[0].quote = "something else";
    hear_from(&s, source_of("", ""));
    assert_put(&s, 1, 0, 0, 0);
    assert_int_equal(drafts(&s, true).n, 2);
    app_close(&s.app);
}

static const struct again {
    const char *name, *path, *digest;
    bool same;
} again[] = {
    {"the same file", "/talk/tuesday.vtt", "d1", true},
    {"the file, written over", "/talk/tuesday.vtt", "d2", true},
    {"the same content elsewhere", "/talk/copy.vtt", "d1", true},
    {"another file", "/talk/wednesday.vtt", "d2", false},
    {"neither path nor content", "", "", false},
};

static void is_the_same_source_or_another(void **state)
{
    const struct again *x = *state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    hear(&s);
    const int64_t first = s.source;
    hear_from(&s, source_of(x->path, x->digest));
    assert_int_equal(s.source == first, x->same);
    assert_put(&s, 0, 0, 0, 0); /* the same words at that moment */
    assert_int_equal(s.put.twice, !x->same);
    s.at[0].quote = "other words";
    hear_from(&s, source_of(x->path, x->digest));
    assert_put(&s, !x->same, x->same, 0, 0);
    app_close(&s.app);
}

static void another_clip_is_another_source(void **state)
{
    (void)state;
    struct stage s = stage_new();
    struct clip c = {.label = "wednesday",
                     .path = "/clips/w",
                     .date = "2026-09-15",
                     .run = 1,
                     .length_us = 600000000,
                     .sha256 = "w",
                     .head_tail = ""};
    OK(&s, store_clip_put(s.app.store, &c, &s.e));
    propose(&s, "T1", "late", 10);
    hear(&s);
    struct draft_source src = source_of("/talk/tuesday.vtt", "d1");
    src.clip = c.id;
    hear_from(&s, src);
    assert_put(&s, 1, 0, 0, 0);
    assert_int_equal(drafts(&s, true).n, 1);
    app_close(&s.app);
}

/* --- accepted -------------------------------------------------------------------------------- */

static void a_draft_becomes_a_mark_in_its_set_with_its_quote(void **state)
{
    (void)state;
    struct stage s = stage_new();
    struct tie tie = {.at_us = 8000000, .set = 0, .count = 1};
    OK(&s, app_tie(&s.app, &s.app.clips.at[0], &tie, NULL, &s.e));
    propose(&s, "T1;tubas", "late", 10);
    s.at[0].severity = 3;
    s.at[0].praise = true;
    s.at[0].cause = CAUSE_DEFINE;
    hear(&s);
    accept(&s, drafts(&s, true).at[0].id);
    struct mark_list l = marks(&s);
    assert_int_equal(l.n, 1);
    assert_int_equal(l.at[0].at_us, 9400000);
    assert_int_equal(l.at[0].end_us, -1);
    assert_int_equal(l.at[0].n_targets, 2);
    assert_int_equal(l.at[0].set, 0);
    assert_true(l.at[0].count > 4 && l.at[0].count < 5); /* 1.4 s at 132 a minute: 3.08 counts */
    assert_int_equal(l.at[0].severity, 3);
    assert_true(l.at[0].praise);
    assert_int_equal(l.at[0].cause, CAUSE_DEFINE);
    assert_string_equal(l.at[0].note, "bells up trumpets please");
    assert_string_equal(l.at[0].author, "Ana Quill");
    assert_false(l.at[0].timed);
    struct stored_draft d = drafts(&s, false).at[0];
    assert_int_equal(d.state, DRAFT_ACCEPTED);
    assert_int_equal(d.mark, l.at[0].id);
    assert_false(app_draft_accept(&s.app, d.id, test_arena(), &(struct mark){0}, &s.e));
    assert_string_equal(s.e.text, "that draft was accepted already");
    assert_int_equal(marks(&s).n, 1);
    travel(&s, true, "accept 0:09.4 T1, tubas, keep late");
    assert_int_equal(marks(&s).n, 0);
    WAITING(&s, "0:09.4 T1, tubas, keep late");
    travel(&s, false, "accept 0:09.4 T1, tubas, keep late");
    assert_int_equal(marks(&s).n, 1);
    app_close(&s.app);
}

static const struct sized {
    const char *name;
    double size;
    enum draft_unit unit;
    const char *quote, *note;
} sized[] = {
    {"counts", 2, DRAFT_COUNTS, "two counts late", "2 counts: two counts late"},
    {"one", 1, DRAFT_STEPS, "a step wide", "1 step: a step wide"},
    {"early", -0.5, DRAFT_COUNTS, "early", "-0.5 counts: early"},
    {"degrees without a quote", 10, DRAFT_DEGREES, "", "10 degrees"},
    {"none", 7, DRAFT_NO_SIZE, "late", "late"},
};

static void says_its_size_in_the_note(void **state)
{
    const struct sized *x = *state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    s.at[0].size = x->size;
    s.at[0].unit = x->unit;
    s.at[0].quote = x->quote;
    hear(&s);
    accept(&s, drafts(&s, true).at[0].id);
    assert_string_equal(marks(&s).at[0].note, x->note);
    app_close(&s.app);
}

static void one_who_is_not_named_becomes_a_mark_on_the_section(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "trumpets", "late", 10);
    s.at[0].one = true;
    hear(&s);
    WAITING(&s, "0:09.4 one of trumpets, late");
    accept(&s, drafts(&s, true).at[0].id);
    assert_int_equal(marks(&s).at[0].n_targets, 1);
    assert_int_equal(marks(&s).at[0].targets[0].performer, -1);
    app_close(&s.app);
}

static void without_a_fault_or_anybody_it_is_no_mark(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "", 10);
    propose(&s, "", "late", 20);
    propose(&s, "T2", "slouch", 30);
    hear(&s);
    struct stored_draft_list l = drafts(&s, true);
    assert_false(app_draft_accept(&s.app, l.at[0].id, test_arena(), &(struct mark){0}, &s.e));
    assert_string_equal(s.e.text,
                        "0:09.4 T1, ?: no fault of the show is meant yet; say which first");
    assert_false(app_draft_accept(&s.app, l.at[1].id, test_arena(), &(struct mark){0}, &s.e));
    assert_string_equal(s.e.text, "0:19.4 ?, late: nobody of the show is meant yet; say who first");
    struct fault_list faults; /* a fault that left the table is none either */
    struct put_report r;
    static const char table[] = "fault,key\nlate,l\n";
    OK(&s, faults_read(test_arena(), &(struct table_text){table, strlen(table), "f", NULL}, &faults,
                       &s.e));
    OK(&s, store_put_faults(s.app.store, &faults, false, &r, &s.e));
    OK(&s, app_reload(&s.app, &s.e));
    assert_false(app_draft_accept(&s.app, l.at[2].id, test_arena(), &(struct mark){0}, &s.e));
    assert_int_equal(marks(&s).n, 0);
    assert_int_equal(drafts(&s, true).n, 3);
    app_close(&s.app);
}

static void all_that_are_sure_are_accepted_in_one_step(void **state)
{
    (void)state;
    struct stage s = stage_new();
    struct drafts_accepted r;
    propose(&s, "T1", "late", 10);
    propose(&s, "T1", "", 20);
    propose(&s, "T2", "slouch", 30);
    propose(&s, "U1", "late", 40);
    s.at[0].confidence = 0.9;
    s.at[1].confidence = 1;
    s.at[2].confidence = 0.89;
    s.at[3].confidence = 0.95;
    hear(&s);
    OK(&s, app_drafts_accept(&s.app, 1, 0.9, &r, &s.e));
    assert_int_equal(r.accepted, 2);
    assert_int_equal(r.lacking, 1);
    assert_int_equal(r.below, 1);
    assert_int_equal(marks(&s).n, 2);
    WAITING(&s, "0:19.4 T1, ?", "0:29.4 T2, slouch");
    travel(&s, true, "accept drafts");
    assert_int_equal(marks(&s).n, 0);
    assert_int_equal(drafts(&s, true).n, 4);
    app_close(&s.app);
}

/* --- put right ------------------------------------------------------------------------------- */

static void a_new_fault_brings_its_cause_unless_another_was_given(void **state)
{
    (void)state;
    struct stage s = stage_new();
    const int late = show_fault(&s.app.show, "late"), angle = show_fault(&s.app.show, "horn angle");
    propose(&s, "T1", "", 10);
    hear(&s);
    const int64_t id = drafts(&s, true).at[0].id;
    s.app.show.faults[late].cause = s.app.show.faults[angle].cause = CAUSE_DEFINE;
    OK(&s,
       app_draft_change(&s.app, id, &(struct draft_change){.fields = DRAFT_FAULT, .fault = late},
                        "corrected", &s.e));
    assert_int_equal(drafts(&s, true).at[0].d.cause, CAUSE_DEFINE);
    assert_string_equal(next_undo(&s), "draft 0:09.4 T1, ?: corrected");
    OK(&s, app_draft_change(&s.app, id,
                            &(struct draft_change){.fields = DRAFT_CAUSE, .cause = CAUSE_EXECUTE},
                            "performers must do it", &s.e));
    OK(&s,
       app_draft_change(&s.app, id, &(struct draft_change){.fields = DRAFT_FAULT, .fault = angle},
                        "corrected", &s.e));
    struct stored_draft d = drafts(&s, true).at[0];
    assert_int_equal(d.d.cause, CAUSE_EXECUTE);
    assert_int_equal(d.heard_fault, -1);
    app_close(&s.app);
}

static void assert_joined(struct stage *s, int64_t id, const char *what)
{
    struct buf both = {0};
    OK(s, app_draft_join(&s->app, id, &both, &s->e));
    assert_string_equal(buf_text(&both), what);
    buf_free(&both);
}

/* The first that waits with the next. */
static void assert_not_joined(struct stage *s, const char *why)
{
    struct buf both = {0};
    assert_false(app_draft_join(&s->app, drafts(s, true).at[0].id, &both, &s->e));
    assert_string_equal(s->e.text, why);
    assert_int_equal(both.n, 0);
}

static void several_targets_are_split_into_one_draft_each(void **state)
{
    (void)state;
    struct stage s = stage_new();
    size_t parts;
    propose(&s, "T1;T2;tubas", "late", 10);
    hear(&s);
    const int64_t id = drafts(&s, true).at[0].id;
    OK(&s, app_draft_split(&s.app, id, -1, &parts, &s.e));
    assert_int_equal(parts, 3);
    WAITING(&s, "0:09.4 T1, late", "0:09.4 T2, late", "0:09.4 tubas, late");
    struct stored_draft_list l = drafts(&s, true);
    assert_int_equal(l.at[0].id, id);
    assert_string_equal(l.at[2].d.quote, "bells up trumpets please");
    assert_int_equal(l.at[1].n_heard, 1);
    assert_int_equal(l.at[1].heard[0].performer, show_performer(&s.app.show, "T2"));
    hear(&s);
    assert_put(&s, 0, 0, 0, 1);
    travel(&s, true, "draft 0:09.4 T1, T2, tubas, late: split");
    WAITING(&s, "0:09.4 T1, T2, tubas, late");
    /* and what was split is joined as it was */
    OK(&s, app_draft_split(&s.app, id, -1, &parts, &s.e));
    assert_joined(&s, id, "0:09.4 T1, late and 0:09.4 T2, late");
    assert_joined(&s, id, "0:09.4 T1, T2, late and 0:09.4 tubas, late");
    WAITING(&s, "0:09.4 T1, T2, tubas, late");
    assert_string_equal(drafts(&s, true).at[0].d.quote, "bells up trumpets please");
    app_close(&s.app);
}

static const struct divided {
    const char *name;
    int64_t at_us;
    const char *first, *second;
    int64_t second_us; /* seen */
} divided[] = {
    {"in its middle", -1, "bells up", "trumpets please", 10400000},
    {"where the clip stands", 11600000, "bells up trumpets", "please", 11000000},
    {"where the clip stands, early", 10300000, "bells", "up trumpets please", 9700000},
    {"the clip stands before the talk", 9900000, "bells up", "trumpets please", 10400000},
    {"the clip stands behind the talk", 12100000, "bells up", "trumpets please", 10400000},
};

/* Said from 10 s to 12 s, 24 letters; seen 0.6 s before. */
static void one_target_divides_the_quote(void **state)
{
    const struct divided *x = *state;
    struct stage s = stage_new();
    size_t parts;
    propose(&s, "T1", "late", 10);
    hear(&s);
    OK(&s, app_draft_split(&s.app, drafts(&s, true).at[0].id, x->at_us, &parts, &s.e));
    struct stored_draft_list l = drafts(&s, true);
    assert_int_equal(l.n, 2);
    assert_string_equal(l.at[0].d.quote, x->first);
    assert_string_equal(l.at[1].d.quote, x->second);
    assert_int_equal(l.at[0].d.at_us, 9400000);
    assert_int_equal(l.at[1].d.at_us, x->second_us);
    assert_int_equal(l.at[0].said_end_us, l.at[1].d.said_us);
    assert_int_equal(l.at[1].said_end_us, 12000000);
    assert_string_equal(s.app.show.faults[l.at[1].d.fault].name, "late");
    app_close(&s.app);
}

static void one_word_is_not_divided(void **state)
{
    (void)state;
    struct stage s = stage_new();
    size_t parts;
    propose(&s, "T1", "late", 10);
    s.at[0].quote = "late";
    hear(&s);
    assert_false(app_draft_split(&s.app, drafts(&s, true).at[0].id, -1, &parts, &s.e));
    assert_string_equal(s.e.text, "'late' is one word; there is nothing to divide");
    WAITING(&s, "0:09.4 T1, late");
    app_close(&s.app);
}

static void two_are_joined(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "", 10);
    propose(&s, "T1;tubas", "late", 12);
    s.at[1].praise = true;
    s.at[1].severity = 2;
    s.at[1].quote = "and the tubas";
    hear(&s);
    const int64_t id = drafts(&s, true).at[0].id;
    assert_joined(&s, id, "0:09.4 T1, ? and 0:11.4 T1, tubas, keep late");
    WAITING(&s, "0:09.4 T1, tubas, keep late");
    struct stored_draft d = drafts(&s, true).at[0];
    assert_int_equal(d.id, id);
    assert_string_equal(d.d.quote, "bells up trumpets please and the tubas");
    assert_int_equal(d.d.n_words, 2); /* each once */
    assert_true(d.touched);
    assert_int_equal(d.d.severity, 2);
    assert_int_equal(d.said_end_us, 14000000);
    assert_string_equal(s.app.show.faults[d.heard_fault].name, "late");
    assert_not_joined(&s, "no draft waits behind this one");
    travel(&s, true, "draft 0:09.4 T1, ?: joined with the next");
    WAITING(&s, "0:09.4 T1, ?", "0:11.4 T1, tubas, keep late");
    app_close(&s.app);
}

static void what_was_heard_elsewhere_is_not_joined(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    hear(&s);
    s.at[0].at_us += 1000000;
    s.at[0].quote = "something else";
    hear_from(&s, source_of("/talk/other.vtt", "d9"));
    assert_not_joined(&s, "the next draft was heard in something else");
    app_close(&s.app);
}

static void what_would_lose_a_fault_is_not_joined(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "T2", "horn angle", 12);
    propose(&s, "tubas", "horn angle", 14);
    s.at[2].praise = true;
    hear(&s);
    assert_not_joined(&s, "'late' and 'horn angle' are two remarks; put one of them right first, "
                          "or leave them apart");
    OK(&s, app_draft_drop(&s.app, drafts(&s, true).at[0].id, &s.e));
    assert_not_joined(&s, "'horn angle' and 'keep horn angle' are two remarks; put one of them "
                          "right first, or leave them apart");
    WAITING(&s, "0:11.4 T2, horn angle", "0:13.4 tubas, keep horn angle");
    app_close(&s.app);
}

static void what_is_far_apart_is_not_joined(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    propose(&s, "T2", "late", 40);
    propose(&s, "tubas", "late", 70.001);
    hear(&s);
    const int64_t id = drafts(&s, true).at[0].id;
    OK(&s, app_draft_drop(&s.app, id, &s.e));
    assert_not_joined(&s, "the next draft is 31 s later, another moment; at most 30 s can be "
                          "joined, so leave them apart");
    travel(&s, true, "draft 0:09.4 T1, late: dropped");
    assert_joined(&s, id, "0:09.4 T1, late and 0:39.4 T2, late"); /* thirty seconds */
    assert_not_joined(&s, "the next draft is 61 s later, another moment; at most 30 s can be "
                          "joined, so leave them apart");
    app_close(&s.app);
}

static void a_dropped_draft_comes_back(void **state)
{
    (void)state;
    struct stage s = stage_new();
    propose(&s, "T1", "late", 10);
    hear(&s);
    const int64_t id = drafts(&s, true).at[0].id;
    OK(&s, app_draft_drop(&s.app, id, &s.e));
    assert_int_equal(drafts(&s, true).n, 0);
    assert_false(app_draft_split(&s.app, id, -1, &(size_t){0}, &s.e));
    assert_string_equal(s.e.text, "that draft was dropped already");
    travel(&s, true, "draft 0:09.4 T1, late: dropped");
    WAITING(&s, "0:09.4 T1, late");
    app_close(&s.app);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, what_is_heard_waits_by_time_and_undo_takes_all_of_it_back);
    case_test(&all, the_same_again_writes_nothing);
    case_test(&all, what_waits_untouched_is_brought_up_to_date);
    case_test(&all, what_somebody_dealt_with_is_not_proposed_again);
    case_test(&all, the_other_remark_of_a_breath_goes_on_waiting);
    case_test(&all, the_other_remark_of_a_breath_is_brought_up_to_date);
    case_test(&all, what_has_no_name_is_never_the_same);
    cases_of(&all, again, is_the_same_source_or_another);
    case_test(&all, another_clip_is_another_source);
    case_test(&all, a_draft_becomes_a_mark_in_its_set_with_its_quote);
    cases_of(&all, sized, says_its_size_in_the_note);
    case_test(&all, one_who_is_not_named_becomes_a_mark_on_the_section);
    case_test(&all, without_a_fault_or_anybody_it_is_no_mark);
    case_test(&all, all_that_are_sure_are_accepted_in_one_step);
    case_test(&all, a_new_fault_brings_its_cause_unless_another_was_given);
    case_test(&all, several_targets_are_split_into_one_draft_each);
    cases_of(&all, divided, one_target_divides_the_quote);
    case_test(&all, one_word_is_not_divided);
    case_test(&all, two_are_joined);
    case_test(&all, what_was_heard_elsewhere_is_not_joined);
    case_test(&all, what_would_lose_a_fault_is_not_joined);
    case_test(&all, what_is_far_apart_is_not_joined);
    case_test(&all, a_dropped_draft_comes_back);
    return cases_run(&all, "drafts heard, accepted and put right");
}
