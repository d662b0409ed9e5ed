/* Tables added again: rows are matched by name, what marks speak of is kept. */
#include <stdio.h>
#include <stdlib.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"

static void assert_report(struct put_report r, int added, int changed, int same, int removed,
                          int kept)
{
    if (r.added != added || r.changed != changed || r.same != same || r.removed != removed ||
        r.kept != kept)
        fail_msg("%d added, %d changed, %d same, %d removed, %d kept", r.added, r.changed, r.same,
                 r.removed, r.kept);
}

static void the_same_roster_again_changes_nothing(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    int64_t id = s.show.performers[0].id;
    put_roster(&s, "performer,name,section\nT1,Ada,trumpets\nT2,Milo,trumpets\nU1,Pia,tubas\n",
               false, &r);
    assert_report(r, 0, 0, 3, 0, 0);
    assert_int_equal(s.show.n_performers, 3);
    assert_int_equal(s.show.performers[0].id, id);
    season_close(&s);
}

static void a_changed_row_keeps_its_identity_and_its_marks(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    add_mark(&s, "T1", "late", 1000000);
    put_roster(&s, "performer,name,section\nt1,Ada F.,trumpets\nT2,Milo,trumpets\nU1,Pia,tubas\n",
               false, &r);
    assert_report(r, 0, 1, 2, 0, 0);
    assert_string_equal(s.show.performers[0].label, "t1");
    assert_string_equal(s.show.performers[0].name, "Ada F.");
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.at[0].targets[0].performer, 0);
    season_close(&s);
}

static void a_performer_who_left_is_removed_but_kept_when_marks_speak_of_them(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    add_mark(&s, "T1;U1", "late", 1000000);
    put_roster(&s, "performer,name,section\nU1,Pia,tubas\n", false, &r);
    assert_report(r, 0, 0, 1, 1, 1);
    assert_int_equal(show_performer(&s.show, "T2"), -1);
    int t1 = show_performer(&s.show, "T1");
    assert_true(t1 >= 0 && s.show.performers[t1].removed);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.at[0].n_targets, 2);
    assert_int_equal(l.at[0].targets[0].performer, t1);
    season_close(&s);
}

static void a_performer_who_comes_back_is_the_same_one(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    int64_t id = s.show.performers[1].id;
    put_roster(&s, "performer,section\nU1,tubas\n", false, &r);
    put_roster(&s, "performer,section\nU1,tubas\nT2,trumpets\n", false, &r);
    assert_report(r, 1, 0, 1, 0, 0);
    int t2 = show_performer(&s.show, "T2");
    assert_true(t2 >= 0 && !s.show.performers[t2].removed);
    assert_int_equal(s.show.performers[t2].id, id);
    season_close(&s);
}

static void with_keep_the_rows_that_are_not_in_the_table_stay(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    put_roster(&s, "performer,section\nT3,trumpets\n", true, &r);
    assert_report(r, 1, 0, 0, 0, 0);
    assert_int_equal(s.show.n_performers, 4);
    season_close(&s);
}

static void assert_sets(const struct season *s, const char *const *labels, size_t n)
{
    assert_int_equal(s->show.n_sets, n);
    for (size_t i = 0; i < n; i++)
        assert_string_equal(s->show.sets[i].label, labels[i]);
}

static void
new_rows_stand_where_the_table_has_them_and_rows_that_stay_keep_their_order(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    put_sets(&s, "set,counts\n3,8\n2,16\n4,8\n", true, &r); /* lacks 1 */
    assert_report(r, 2, 1, 0, 0, 0);
    assert_sets(&s, (const char *const[]){"1", "3", "2", "4"}, 4);
    put_sets(&s, "set,counts\n5,8\n", true, &r);
    assert_sets(&s, (const char *const[]){"1", "3", "2", "4", "5"}, 5);
    put_sets(&s, "set,counts\n2,16\n2A,8\n", true, &r);
    assert_sets(&s, (const char *const[]){"1", "3", "2", "2A", "4", "5"}, 6);
    put_sets(&s, "set,counts\n1,8\n2,16\n2A,8\n3,8\n4,8\n5,8\n6,8\n", true, &r); /* has all */
    assert_report(r, 1, 1, 5, 0, 0); /* 1 has no tempo any more */
    assert_sets(&s, (const char *const[]){"1", "2", "2A", "3", "4", "5", "6"}, 7);
    season_close(&s);
}

static const char *changed_at(struct season *s)
{
    const char *text = "";
    sqlite3_stmt *q;
    assert_int_equal(
        sqlite3_prepare_v2(s->store->db, "SELECT changed_at FROM performer", -1, &q, NULL), 0);
    while (sqlite3_step(q) == SQLITE_ROW)
        text = arena_printf(test_arena(), "%s %s", text, sqlite3_column_text(q, 0));
    sqlite3_finalize(q);
    return text;
}

/* Or a table that was only looked at again would win over somebody else's change in a merge. */
static void a_row_that_is_the_same_does_not_become_newer(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    const char *before = changed_at(&s);
    setenv("BOXCALL_CLOCK", "4000000000000", 1);
    put_roster(&s, "performer,name,section\nT1,Ada,trumpets\nT2,Milo,trumpets\nU1,Pia,tubas\n",
               false, &r);
    assert_string_equal(changed_at(&s), before);
    put_roster(&s, "performer,name,section\nt1,Ada,trumpets\nT2,Milo,trumpets\nU1,Pia,tubas\n",
               false, &r);
    unsetenv("BOXCALL_CLOCK");
    assert_report(r, 0, 1, 2, 0, 0);
    assert_string_equal(s.show.performers[0].label, "t1");
    season_close(&s);
}

static void how_a_section_and_a_fault_are_said_is_kept_and_taken_back(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    struct travelled t = {0};
    put_sections(&s,
                 "section,parent,key,say\nensemble,,e,\nbrass,ensemble,b,\ntrumpets,brass,t,\n"
                 "tubas,brass,u,T UW B AH Z;CH UW B AH Z\n",
                 false, &r);
    assert_report(r, 0, 1, 3, 0, 0);
    put_faults(&s, "fault,key,say\nslouch,k,S L AW CH\n", true, &r);
    assert_report(r, 0, 1, 0, 0, 0);
    assert_string_equal(s.show.sections[show_section(&s.show, "tubas")].say,
                        "T UW B AH Z;CH UW B AH Z");
    assert_string_equal(s.show.sections[show_section(&s.show, "trumpets")].say, "");
    assert_string_equal(s.show.faults[show_fault(&s.show, "slouch")].say, "S L AW CH");
    put_faults(&s, "fault,key,say\nslouch,k,S L AW CH\n", true, &r);
    assert_report(r, 0, 0, 1, 0, 0);
    store_author(s.store, "D. Whitlow");
    put_faults(&s, "fault,key,say\nslouch,k,S L UW CH\n", true, &r);
    assert_report(r, 0, 1, 0, 0, 0);
    OK(&s, store_undo(s.store, &t, &s.e));
    season_load(&s);
    assert_string_equal(s.show.faults[show_fault(&s.show, "slouch")].say, "S L AW CH");
    season_close(&s);
}

static bool count_row(void *ctx, const struct seen_row *row)
{
    (void)row;
    ++*(int *)ctx;
    return true;
}

static int rows_of_section(struct season *s, const char *section)
{
    int n = 0, at = show_section(&s->show, section);
    struct seen_choice c = {.sections = &at, .n_sections = 1, .performer = -1};
    OK(s, store_each_seen(s->store, &c, count_row, &n, &s->e));
    return n;
}

static void marks_follow_a_performer_to_another_section(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    add_mark(&s, "T1", "late", 1000000);
    put_roster(&s, "performer,section\nT1,tubas\nT2,trumpets\nU1,tubas\n", false, &r);
    assert_int_equal(rows_of_section(&s, "trumpets"), 0);
    assert_int_equal(rows_of_section(&s, "tubas"), 1);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.at[0].targets[0].section, show_section(&s.show, "tubas"));
    season_close(&s);
}

static void a_section_with_marks_is_kept_and_its_marks_stay_in_the_lists_above(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    add_mark(&s, "tubas", "late", 1000000);
    put_sections(&s, "section,parent,key\nensemble,,e\nbrass,ensemble,b\ntrumpets,brass,t\n", false,
                 &r);
    assert_report(r, 0, 0, 3, 0, 1);
    int tubas = show_section(&s.show, "tubas");
    assert_true(tubas >= 0 && s.show.sections[tubas].removed);
    assert_true(section_within(&s.show, tubas, show_section(&s.show, "brass")));
    season_close(&s);
}

static void a_fault_with_marks_is_kept(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    add_mark(&s, "T1", "late", 1000000);
    put_faults(&s, "fault,key\nhorn angle,h\nstyle,q\n", false, &r);
    assert_report(r, 1, 0, 1, 1, 1);
    assert_int_equal(show_fault(&s.show, "slouch"), -1);
    struct mark_list l = marks_of(&s);
    assert_string_equal(s.show.faults[l.at[0].fault].name, "late");
    season_close(&s);
}

static void sets_keep_the_order_of_the_table(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    put_sets(&s, "set,counts,tempo\n2,16,132\n1A,4,132\n1,8,140\n", false, &r);
    assert_report(r, 1, 1, 1, 0, 0);
    assert_string_equal(s.show.sets[0].label, "2");
    assert_string_equal(s.show.sets[1].label, "1A");
    assert_true(s.show.sets[2].tempo == 140);
    season_close(&s);
}

static void dots_are_updated_by_performer_and_set(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    put_dots(&s, "performer,set,x,y\nT1,1,3,4\nT1,2,5,4\nT2,1,7,4\n", false, &r);
    assert_report(r, 3, 0, 0, 0, 0);
    put_dots(&s, "performer,set,x,y\nT1,1,3,4\nT1,2,6,4\nU1,1,0,0\n", false, &r);
    assert_report(r, 1, 1, 1, 1, 0);
    assert_int_equal(s.show.n_dots, 3);
    put_dots(&s, "performer,set,x,y\nT2,2,1,1\n", true, &r);
    assert_int_equal(s.show.n_dots, 4);
    season_close(&s);
}

/* A chain of tables by chance: what is loaded is what was put last, plus what marks speak of. */
static void a_roster_added_often_is_always_the_last_one(void **state)
{
    (void)state;
    struct season s = season_new();
    unsigned chance = 3;
    add_mark(&s, "T1", "late", 1000000);
    for (int round = 0; round < 25; round++) {
        char text[600] = "performer,section\n";
        bool in[12] = {false};
        for (int i = 0; i < 12; i++) {
            chance = chance * 1103515245u + 12345u;
            in[i] = chance >> 16 & 1 || i == 11;
            if (in[i])
                sprintf(text + strlen(text), "T%d,%s\n", i + 1,
                        chance >> 18 & 1 ? "tubas" : "trumpets");
        }
        struct put_report r;
        put_roster(&s, text, false, &r);
        for (int i = 0; i < 12; i++) {
            char label[8];
            sprintf(label, "T%d", i + 1);
            int at = show_performer(&s.show, label);
            assert_int_equal(at >= 0 && !s.show.performers[at].removed, in[i]);
            assert_true(i > 0 || at >= 0);
        }
    }
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
}

/* --- clips ----------------------------------------------------------------------------------- */

static struct clip_list clips_of(struct season *s)
{
    struct clip_list l;
    OK(s, store_clips(s->store, test_arena(), &l, &s->e));
    return l;
}

static const struct named {
    const char *name, *text, *label, *said; /* label, or the message */
} named[] = {
    {"by label", "tuesday", "tuesday", NULL},
    {"by label in capitals", "TUESDAY", "tuesday", NULL},
    {"by path", "/clips/wednesday", "wednesday", NULL},
    {"by id", "1", "tuesday", NULL},
    {"a label that is a number comes before the id", "2", "2", NULL},
    {"a typo is asked about", "tusday", NULL, "no clip 'tusday'; did you mean 'tuesday'?"},
    {"something else names the first", "friday night", NULL,
     "no clip 'friday night'; the first one is '2'"},
};

static void is_named(void **state)
{
    const struct named *r = *state;
    struct season s = season_new();
    add_clip(&s, "wednesday");
    add_clip(&s, "2");
    struct clip_list l = clips_of(&s);
    const struct clip *c = clip_named(&l, r->text, &s.e);
    assert_string_equal(c ? c->label : s.e.text, r->label ? r->label : r->said);
    season_close(&s);
}

static void clips_stand_by_date_and_run(void **state)
{
    (void)state;
    struct season s = season_new();
    static const struct {
        const char *label, *date;
        int run;
    } rows[] = {{"c", "2026-09-14", 3},
                {"b", "2026-09-14", 2},
                {"a", "2026-10-01", 1},
                {"d", "2026-09-01", 9}};
    for (size_t i = 0; i < 4; i++) {
        struct clip c = {.label = rows[i].label,
                         .path = path_in("/clips", rows[i].label),
                         .date = rows[i].date,
                         .run = rows[i].run,
                         .sha256 = "",
                         .head_tail = ""};
        OK(&s, store_clip_put(s.store, &c, &s.e));
    }
    struct clip_list l = clips_of(&s);
    char order[40] = "";
    for (size_t i = 0; i < l.n; i++)
        strcat(strcat(order, l.at[i].label), " ");
    assert_string_equal(order, "d tuesday b c a ");
    season_close(&s);
}

/* The folder of the show is carried to another laptop with the clips in it. */
static void a_clip_beside_the_show_is_found_where_the_folder_is_carried(void **state)
{
    (void)state;
    struct season s = season_new();
    const char *folder = arena_strndup(test_arena(), s.path, strlen(s.path) - 14);
    struct clip c = {.label = "beside",
                     .path = path_in(folder, "run 1/clip.mp4"),
                     .date = "2026-09-15",
                     .run = 1,
                     .sha256 = "",
                     .head_tail = ""};
    OK(&s, store_clip_put(s.store, &c, &s.e));
    season_close(&s);
    size_t n;
    char *bytes = read_file(s.path, &n);
    const char *elsewhere = temp_dir();
    s.path = write_bytes(elsewhere, "carried.show", bytes, n);
    season_open(&s);
    struct clip_list l = clips_of(&s);
    assert_string_equal(l.at[1].path, path_in(elsewhere, "run 1/clip.mp4"));
    assert_string_equal(l.at[1].link, "run 1/clip.mp4");
    assert_string_equal(l.at[0].link, "/clips/tuesday");
    season_close(&s);
}

static void where_a_clip_was_left_is_remembered(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_int_equal(clips_of(&s).at[0].left_us, -1);
    OK(&s, store_clip_left(s.store, 1, 5000000, &s.e));
    OK(&s, store_clip_left(s.store, 1, 7000000, &s.e));
    season_close(&s);
    season_open(&s);
    assert_int_equal(clips_of(&s).at[0].left_us, 7000000);
    season_close(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, how_a_section_and_a_fault_are_said_is_kept_and_taken_back);
    case_test(&all, the_same_roster_again_changes_nothing);
    case_test(&all, a_changed_row_keeps_its_identity_and_its_marks);
    case_test(&all, a_performer_who_left_is_removed_but_kept_when_marks_speak_of_them);
    case_test(&all, a_performer_who_comes_back_is_the_same_one);
    case_test(&all, with_keep_the_rows_that_are_not_in_the_table_stay);
    case_test(&all, new_rows_stand_where_the_table_has_them_and_rows_that_stay_keep_their_order);
    case_test(&all, a_row_that_is_the_same_does_not_become_newer);
    case_test(&all, marks_follow_a_performer_to_another_section);
    case_test(&all, a_section_with_marks_is_kept_and_its_marks_stay_in_the_lists_above);
    case_test(&all, a_fault_with_marks_is_kept);
    case_test(&all, sets_keep_the_order_of_the_table);
    case_test(&all, dots_are_updated_by_performer_and_set);
    case_test(&all, a_roster_added_often_is_always_the_last_one);
    cases_of(&all, named, is_named);
    case_test(&all, clips_stand_by_date_and_run);
    case_test(&all, a_clip_beside_the_show_is_found_where_the_folder_is_carried);
    case_test(&all, where_a_clip_was_left_is_remembered);
    return cases_run(&all, "staff tables and clips in the show file");
}
