/* Drafts in the show file: they come back as they went in, one state after the other, and every
 * change of them can be taken back. */
#include <sqlite3.h>
#include <unistd.h>

#include "lib/cases.h"
#include "store/drafts.h"
#include "store/inside.h"

static int64_t add_source(struct season *s, const char *name)
{
    struct draft_source src = {.clip = 1,
                               .kind = "commentary",
                               .name = name,
                               .path = arena_printf(test_arena(), "/talk/%s", name),
                               .digest = name,
                               .offset_us = -1500000,
                               .rate = 1.001};
    OK(s, store_draft_source_put(s->store, &src, &s->e));
    return src.id;
}

static int64_t add_draft(struct season *s, const char *who, const char *fault, double at)
{
    struct draft_source_list l;
    OK(s, store_draft_sources(s->store, test_arena(), 1, &l, &s->e));
    struct stored_draft d = {.clip = 1,
                             .source = l.n ? l.at[0].id : add_source(s, "tuesday.vtt"),
                             .d = draft_of(&s->show, who, fault, at)};
    d.heard = d.d.targets;
    d.n_heard = d.d.n_targets;
    d.heard_fault = d.d.fault;
    d.said_end_us = d.d.said_us + 2000000;
    OK(s, store_draft_add(s->store, &s->show, &d, &s->e));
    return d.id;
}

static struct stored_draft one(struct season *s, int64_t id)
{
    struct stored_draft d = {0};
    OK(s, store_draft_one(s->store, test_arena(), id, &d, &s->e));
    return d;
}

static struct stored_draft_list waiting(struct season *s)
{
    struct stored_draft_list l;
    const struct draft_choice choice = {1, 0, true};
    OK(s, store_drafts(s->store, test_arena(), &choice, &l, &s->e));
    return l;
}

static void travel(struct season *s, bool back)
{
    struct travelled t = {.then = NULL};
    OK(s, (back ? store_undo : store_redo)(s->store, &t, &s->e));
    season_load(s);
}

static void assert_said(const struct season *s, const char *said)
{
    if (!strstr(s->e.text, said))
        fail_msg("'%s'", s->e.text);
}

static void drafts_come_back_as_they_went_in(void **state)
{
    (void)state;
    struct season s = season_new();
    struct draft_source_list sources;
    const int64_t source = add_source(&s, "tuesday.vtt");
    struct stored_draft d = {.clip = 1, .source = source, .heard_fault = 1, .said_end_us = 15};
    d.d = draft_of(&s.show, "T2;tubas", "late", 10);
    d.d.one = d.d.praise = true;
    d.d.cause = CAUSE_DEFINE;
    d.d.severity = 3;
    d.d.size = 2.5;
    d.d.unit = DRAFT_STEPS;
    d.heard = d.d.targets + 1;
    d.n_heard = 1;
    OK(&s, store_draft_add(s.store, &s.show, &d, &s.e));
    season_close(&s);
    season_open(&s);
    struct stored_draft x = one(&s, d.id);
    assert_int_equal(x.clip, 1);
    assert_int_equal(x.source, source);
    assert_int_equal(x.state, DRAFT_WAITS);
    assert_false(x.touched);
    assert_int_equal(x.mark, 0);
    assert_int_equal(x.d.at_us, 9400000);
    assert_int_equal(x.d.end_us, 12000000);
    assert_int_equal(x.d.said_us, 10000000);
    assert_int_equal(x.said_end_us, 15);
    assert_true(x.d.one && x.d.praise);
    assert_int_equal(x.d.cause, CAUSE_DEFINE);
    assert_int_equal(x.d.severity, 3);
    assert_true(x.d.size == 2.5 && x.d.unit == DRAFT_STEPS && x.d.confidence == 0.75);
    assert_string_equal(x.d.quote, "bells up trumpets please");
    assert_int_equal(x.d.n_words, 2);
    assert_string_equal(x.d.words[1], "trumpets: trumpets");
    assert_int_equal(x.d.fault, 0);
    assert_int_equal(x.heard_fault, 1);
    assert_int_equal(x.d.n_targets, 2);
    assert_int_equal(x.d.targets[0].performer, show_performer(&s.show, "T2"));
    assert_int_equal(x.d.targets[1].performer, -1);
    assert_int_equal(x.n_heard, 1);
    assert_int_equal(x.heard[0].section, show_section(&s.show, "tubas"));
    assert_string_equal(x.author, "D. Whitlow");
    OK(&s, store_draft_sources(s.store, test_arena(), 1, &sources, &s.e));
    assert_int_equal(sources.n, 1);
    assert_string_equal(sources.at[0].kind, "commentary");
    assert_string_equal(sources.at[0].path, "/talk/tuesday.vtt");
    assert_int_equal(sources.at[0].offset_us, -1500000);
    assert_true(sources.at[0].rate == 1.001);
    season_close(&s);
}

static void they_stand_by_time_and_those_that_wait_alone_when_asked(void **state)
{
    (void)state;
    struct season s = season_new();
    const int64_t late = add_draft(&s, "T1", "late", 20), early = add_draft(&s, "", "", 5),
                  dropped = add_draft(&s, "tubas", "slouch", 9);
    struct stored_draft_list all;
    struct draft_counts n;
    OK(&s, store_draft_settle(s.store, dropped, DRAFT_DROPPED, 0, &s.e));
    struct stored_draft_list l = waiting(&s);
    assert_int_equal(l.n, 2);
    assert_int_equal(l.at[0].id, early);
    assert_int_equal(l.at[0].d.fault, -1);
    assert_int_equal(l.at[0].d.n_targets, 0);
    assert_int_equal(l.at[1].id, late);
    OK(&s, store_drafts(s.store, test_arena(), &(struct draft_choice){1, 0, false}, &all, &s.e));
    assert_int_equal(all.n, 3);
    assert_int_equal(all.at[1].state, DRAFT_DROPPED);
    OK(&s, store_draft_counts(s.store, 1, &n, &s.e));
    assert_int_equal(n.waiting, 2);
    assert_int_equal(n.dropped, 1);
    assert_int_equal(n.accepted, 0);
    OK(&s, store_draft_counts(s.store, 2, &n, &s.e));
    assert_int_equal(n.waiting, 0);
    season_close(&s);
}

static void only_what_is_changed_changes_and_it_is_taken_back(void **state)
{
    (void)state;
    struct season s = season_new();
    const int64_t id = add_draft(&s, "T1", "late", 10);
    struct draft who = {0};
    draft_whom(&s.show, "T2;U1", &who);
    OK(&s,
       store_draft_change(s.store, &s.show, id,
                          &(struct draft_change){.fields = DRAFT_SEVERITY, .severity = 3}, &s.e));
    assert_int_equal(one(&s, id).d.severity, 3);
    assert_true(one(&s, id).touched);
    OK(&s, store_draft_change(s.store, &s.show, id,
                              &(struct draft_change){.fields = DRAFT_WHO | DRAFT_FAULT,
                                                     .targets = who.targets,
                                                     .n_targets = 2,
                                                     .fault = show_fault(&s.show, "horn angle")},
                              &s.e));
    struct stored_draft x = one(&s, id);
    assert_int_equal(x.d.n_targets, 2);
    assert_int_equal(x.d.severity, 3);
    assert_string_equal(s.show.faults[x.d.fault].name, "horn angle");
    assert_string_equal(s.show.faults[x.heard_fault].name, "late"); /* what was heard stays */
    assert_int_equal(x.n_heard, 1);
    assert_string_equal(x.d.quote, "bells up trumpets please");
    travel(&s, true);
    x = one(&s, id);
    assert_int_equal(x.d.n_targets, 1);
    assert_string_equal(s.show.faults[x.d.fault].name, "late");
    travel(&s, true);
    assert_int_equal(one(&s, id).d.severity, 1);
    assert_false(one(&s, id).touched);
    travel(&s, false);
    assert_int_equal(one(&s, id).d.severity, 3);
    season_close(&s);
}

static void a_draft_that_waits_no_more_is_not_changed(void **state)
{
    (void)state;
    struct season s = season_new();
    const int64_t dropped = add_draft(&s, "T1", "late", 10),
                  taken = add_draft(&s, "T1", "late", 20);
    const struct draft_change c = {.fields = DRAFT_PRAISE, .praise = true};
    OK(&s, store_draft_settle(s.store, dropped, DRAFT_DROPPED, 0, &s.e));
    OK(&s, store_draft_settle(s.store, taken, DRAFT_ACCEPTED, add_mark(&s, "T1", "late", 1), &s.e));
    assert_false(store_draft_change(s.store, &s.show, dropped, &c, &s.e));
    assert_said(&s, "was dropped already");
    assert_false(store_draft_settle(s.store, taken, DRAFT_DROPPED, 0, &s.e));
    assert_said(&s, "was accepted already");
    assert_false(store_draft_change(s.store, &s.show, 99, &c, &s.e));
    assert_said(&s, "is not there any more");
    assert_false(one(&s, dropped).d.praise);
    assert_int_equal(one(&s, taken).mark, 1);
    season_close(&s);
}

/* Another program, which has the file open too. */
static void of_two_who_settle_a_draft_the_second_is_told(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    const int64_t id = add_draft(&s, "T1", "late", 10);
    season_open(&other);
    store_author(other.store, "Ana Quill");
    OK(&other, store_draft_settle(other.store, id, DRAFT_DROPPED, 0, &other.e));
    assert_false(
        store_draft_settle(s.store, id, DRAFT_ACCEPTED, add_mark(&s, "T1", "late", 1), &s.e));
    assert_said(&s, "was dropped already");
    assert_int_equal(one(&s, id).state, DRAFT_DROPPED);
    travel(&other, true);
    assert_int_equal(one(&s, id).state, DRAFT_WAITS);
    season_close(&other);
    season_close(&s);
}

static void what_was_taken_away_comes_back_with_its_number(void **state)
{
    (void)state;
    struct season s = season_new();
    const int64_t id = add_draft(&s, "T1;T2", "late", 10);
    OK(&s, store_draft_remove(s.store, id, &s.e));
    assert_int_equal(waiting(&s).n, 0);
    assert_false(store_draft_one(s.store, test_arena(), id, &(struct stored_draft){0}, &s.e));
    assert_int_equal(s.e.code, ERR_INPUT);
    store_author(s.store, "Ana Quill");
    assert_int_not_equal(add_draft(&s, "U1", "late", 11), id);
    store_author(s.store, "D. Whitlow");
    travel(&s, true);
    assert_int_equal(one(&s, id).d.n_targets, 2);
    assert_int_equal(waiting(&s).n, 2);
    season_close(&s);
}

/* As marks: who or what leaves the table stays readable while a draft that waits speaks of it. */
static void what_drafts_speak_of_is_kept_when_it_leaves_the_tables(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    const int64_t id = add_draft(&s, "T1;tubas", "slouch", 10);
    put_roster(&s, "performer,name,section\nT2,Milo,trumpets\n", false, &r);
    assert_int_equal(r.kept, 1);
    put_faults(&s, "fault,key\nlate,l\nhorn angle,h\n", false, &r);
    assert_int_equal(r.kept, 1);
    put_sections(&s, "section,parent,key\nensemble,,e\nbrass,ensemble,b\ntrumpets,brass,t\n", false,
                 &r);
    assert_int_equal(r.kept, 1);
    struct stored_draft x = one(&s, id);
    assert_int_equal(x.d.n_targets, 2);
    assert_true(s.show.performers[x.d.targets[0].performer].removed);
    assert_true(s.show.sections[x.d.targets[1].section].removed);
    assert_true(s.show.faults[x.d.fault].removed);
    season_close(&s);
    /* one that was dropped keeps nobody */
    s = season_new();
    OK(&s, store_draft_settle(s.store, add_draft(&s, "T1", "slouch", 10), DRAFT_DROPPED, 0, &s.e));
    put_faults(&s, "fault,key\nlate,l\nhorn angle,h\n", false, &r);
    put_roster(&s, "performer,name,section\nT2,Milo,trumpets\n", false, &r);
    assert_int_equal(r.kept, 0);
    season_close(&s);
}

static void drafts_follow_performers_to_their_section(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    const int64_t id = add_draft(&s, "T1", "late", 10);
    put_roster(&s, "performer,name,section\nT1,Ada,tubas\nT2,Milo,trumpets\nU1,Pia,tubas\n", false,
               &r);
    assert_int_equal(one(&s, id).d.targets[0].section, show_section(&s.show, "tubas"));
    season_close(&s);
}

static void a_show_of_version_9_gets_the_tables_and_keeps_what_it_has(void **state)
{
    (void)state;
    const char *path = path_in(temp_dir(), "nine.show");
    struct season s = {.path = path};
    sqlite3 *db;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_exec(db, "PRAGMA journal_mode=WAL", NULL, NULL, NULL);
    for (int v = 0; v < 9; v++)
        if (sqlite3_exec(db, store_schema[v], NULL, NULL, &why) != SQLITE_OK)
            fail_msg("%d: %s", v, why);
    static const char rows[] =
        "INSERT INTO setting VALUES('title','Larkspur');"
        "INSERT INTO section(id,uid,name,parent,key,words,place,author,made_at,changed_at) "
        "VALUES(1,randomblob(16),'tubas','','u','',0,'',0,0);"
        "INSERT INTO clip(id,uid,path,label,date,run,length_us,size_bytes,width,height,fps_num,"
        "fps_den,sha256,head_tail,author,made_at,changed_at) VALUES(1,randomblob(16),"
        "'/clips/t.mp4','t','2026-09-14',1,9000000,1,1280,720,30,1,'','','',0,0);"
        "PRAGMA user_version=9; PRAGMA application_id=0x6278636c";
    if (sqlite3_exec(db, rows, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s", why);
    sqlite3_close(db);
    season_open(&s);
    assert_string_equal(s.show.sections[0].say, "");
    assert_int_equal(waiting(&s).n, 0);
    add_draft(&s, "tubas", "", 3);
    assert_int_equal(waiting(&s).n, 1);
    travel(&s, true);
    assert_int_equal(waiting(&s).n, 0);
    season_close(&s);
    assert_int_equal(access(arena_printf(test_arena(), "%s.v9", path), F_OK), 0);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, drafts_come_back_as_they_went_in);
    case_test(&all, they_stand_by_time_and_those_that_wait_alone_when_asked);
    case_test(&all, only_what_is_changed_changes_and_it_is_taken_back);
    case_test(&all, a_draft_that_waits_no_more_is_not_changed);
    case_test(&all, of_two_who_settle_a_draft_the_second_is_told);
    case_test(&all, what_was_taken_away_comes_back_with_its_number);
    case_test(&all, what_drafts_speak_of_is_kept_when_it_leaves_the_tables);
    case_test(&all, drafts_follow_performers_to_their_section);
    case_test(&all, a_show_of_version_9_gets_the_tables_and_keeps_what_it_has);
    return cases_run(&all, "drafts");
}
