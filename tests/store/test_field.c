/* What was pointed at, and the camera that was followed: kept, taken back, made anew, never mixed up
 * with what another program does, and read as nothing when it is damaged. */
#include <errno.h>
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "lib/cases.h"
#include "store/field.h"
#include "store/inside.h"
#include "store/season.h"

/* --- picks ------------------------------------------------------------------------------------- */

static struct field_pick_list picks(struct season *s)
{
    struct field_pick_list l;
    OK(s, store_field_picks(s->store, test_arena(), 1, &l, &s->e));
    return l;
}

static int64_t add_pick(struct season *s, int64_t us, double x)
{
    struct field_pick p = {.at_us = us, .kind = PICK_SPOT, .at = {10.25, 20.5}, .x = x, .y = 28};
    OK(s, store_field_pick_add(s->store, 1, &p, &s->e));
    assert_true(p.id > 0);
    return p.id;
}

static void picks_come_back_as_they_were_made(void **state)
{
    (void)state;
    struct season s = season_new();
    struct field_pick made[3] = {
        {.at_us = 2500000, .kind = PICK_SPOT, .at = {812.125, 430.5}, .x = -24.25, .y = 28},
        {.at_us = 2500000, .kind = PICK_YARD_LINE, .at = {1, 2}, .to = {3, 400.75}, .x = 16},
        {.at_us = 1000000, .kind = PICK_ALONG, .at = {5, 6}, .to = {1200, 8}, .y = 84},
    };
    for (int i = 0; i < 3; i++)
        OK(&s, store_field_pick_add(s.store, 1, &made[i], &s.e));
    season_close(&s);
    season_open(&s);
    const struct field_pick_list l = picks(&s);
    static const int order[3] = {2, 0, 1}; /* by time, then as they were made */
    assert_int_equal(l.n, 3);
    for (int i = 0; i < 3; i++) {
        const struct field_pick *want = &made[order[i]], *got = &l.at[i];
        assert_int_equal(got->id, want->id);
        assert_int_equal(got->at_us, want->at_us);
        assert_int_equal(got->kind, want->kind);
        assert_true(got->at.x == want->at.x && got->at.y == want->at.y);
        assert_true(got->to.x == want->to.x && got->to.y == want->to.y);
        assert_true(got->x == want->x && got->y == want->y);
    }
    struct field_pick_list other;
    OK(&s, store_field_picks(s.store, test_arena(), add_clip(&s, "thursday"), &other, &s.e));
    assert_int_equal(other.n, 0);
    season_close(&s);
}

static void travel(struct season *s, bool back, const char *what)
{
    struct travelled t = {.then = NULL};
    OK(s, back ? store_undo(s->store, &t, &s->e) : store_redo(s->store, &t, &s->e));
    assert_string_equal(t.what, what);
}

static void a_pick_made_and_one_taken_off_are_taken_back_and_done_again(void **state)
{
    (void)state;
    struct season s = season_new();
    const int64_t first = add_pick(&s, 1000000, 8), second = add_pick(&s, 1000000, 16);
    travel(&s, true, "pick");
    assert_int_equal(picks(&s).n, 1);
    travel(&s, false, "pick");
    assert_int_equal(picks(&s).at[1].id, second);
    OK(&s, store_field_pick_remove(s.store, first, &s.e));
    assert_int_equal(picks(&s).n, 1);
    travel(&s, true, "take a pick off");
    const struct field_pick_list l = picks(&s);
    assert_int_equal(l.n, 2);
    assert_true(l.at[0].id == first && l.at[0].x == 8 && l.at[0].at.x == 10.25);
    travel(&s, false, "take a pick off");
    assert_int_equal(picks(&s).at[0].id, second);
    assert_false(store_field_pick_remove(s.store, first, &s.e));
    assert_int_equal(s.e.code, ERR_INPUT);
    assert_string_equal(s.e.text, "that pick is not there any more");
    season_close(&s);
}

/* The number of a pick that is off might be asked for again: by undo, while another picks. */
static void a_number_is_never_given_twice(void **state)
{
    (void)state;
    struct season s = season_new();
    const int64_t a = add_pick(&s, 1000000, 8);
    travel(&s, true, "pick");
    const int64_t b = add_pick(&s, 1000000, 16);
    assert_true(b > a);
    OK(&s, store_field_pick_remove(s.store, b, &s.e));
    store_author(s.store, "R. Pell"); /* on another laptop's keyboard */
    const int64_t c = add_pick(&s, 1000000, 24);
    assert_true(c > b);
    store_author(s.store, "D. Whitlow");
    travel(&s, true, "take a pick off");
    const struct field_pick_list l = picks(&s);
    assert_int_equal(l.n, 2);
    assert_true(l.at[0].id == b && l.at[1].id == c);
    season_close(&s);
}

/* --- the track ------------------------------------------------------------------------------------ */

enum { FRAMES = 4, MS = 1000 };

/* Frames at from, from + 40 ms ... whose pan says which program followed them. */
struct followed {
    struct track track;
    struct track_piece piece;
    struct track_frame frame[FRAMES];
};

static void follow(struct followed *f, int64_t from_us, double pan)
{
    *f = (struct followed){
        .track = {.fixed = {.width = 1280, .height = 720},
                  .unsure = {[CAMERA_X] = {[CAMERA_X] = 0.5}, [CAMERA_K1] = {[CAMERA_K1] = 2}},
                  .sideline_width = 72,
                  .from_us = from_us,
                  .to_us = from_us + 40 * MS * (FRAMES - 1),
                  .checked = 0.0625,
                  .checked_lines = 7},
        .piece = {.from_us = from_us, .at = f->frame, .n = FRAMES}};
    const double fixed[] = {72.5, -1260, 720, 0, 0, 0, 0, -0.0125, 12};
    memcpy(f->track.fixed.p, fixed, sizeof fixed);
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            f->piece.cov[i][k] = i == k ? 0.5 : 0.125;
    for (int i = 0; i < FRAMES; i++)
        f->frame[i] = (struct track_frame){.us = from_us + 40 * MS * i,
                                           .held = i != 2,
                                           .bend = {[3] = i == 1 ? 0.015625F : 0},
                                           .moving = {(float)pan, 0.5F, 0.03125F, 1200}};
}

static bool add_piece(struct season *s, const struct track_key *key, const struct followed *f)
{
    const struct track_pieces all = {&f->track, &f->piece, 1};
    bool kept;
    OK(s, store_track_add(s->store, key, &all, &kept, &s->e));
    return kept;
}

static struct track track_now(struct season *s, const struct track_key *key)
{
    struct track t;
    OK(s, store_track(s->store, test_arena(), key, &t, &s->e));
    return t;
}

static const struct track_key ours = {1, 0xfedcba9876543210u}, others = {1, 77};

/* A track of one piece from a second on. */
static struct season season_followed(struct followed *f)
{
    struct season s = season_new();
    follow(f, 1000 * MS, 0.25);
    OK(&s, store_track_begin(s.store, &ours, &f->track, &s.e));
    assert_int_equal(track_now(&s, &ours).n, 0); /* and nothing is followed */
    assert_true(add_piece(&s, &ours, f));
    return s;
}

static void a_track_comes_back_as_it_went(void **state)
{
    (void)state;
    struct followed f;
    struct season s = season_followed(&f);
    season_close(&s);
    season_open(&s);
    const struct track t = track_now(&s, &ours);
    assert_int_equal(t.n, 1);
    assert_true(t.fixed.width == 1280 && t.fixed.height == 720);
    assert_memory_equal(t.fixed.p, f.track.fixed.p, sizeof t.fixed.p);
    assert_memory_equal(t.unsure, f.track.unsure, sizeof t.unsure);
    assert_true(t.sideline_width == 72 && t.checked == 0.0625 && t.checked_lines == 7 && !t.whole);
    assert_true(t.from_us == 1000 * MS && t.to_us == 1120 * MS);
    assert_int_equal(t.at[0].n, FRAMES);
    assert_memory_equal(t.at[0].cov, f.piece.cov, sizeof f.piece.cov);
    for (int i = 0; i < FRAMES; i++) {
        assert_true(t.at[0].at[i].us == f.frame[i].us && t.at[0].at[i].held == f.frame[i].held);
        assert_memory_equal(t.at[0].at[i].moving, f.frame[i].moving, sizeof f.frame[i].moving);
        assert_memory_equal(t.at[0].at[i].bend, f.frame[i].bend, sizeof f.frame[i].bend);
    }
    season_close(&s);
}

static void other_picks_have_no_track_until_theirs_takes_its_place(void **state)
{
    (void)state;
    struct followed f;
    struct season s = season_followed(&f);
    assert_int_equal(track_now(&s, &others).n, 0);
    assert_int_equal(track_now(&s, &ours).n, 1);
    OK(&s, store_track_begin(s.store, &others, &f.track, &s.e));
    assert_int_equal(track_now(&s, &ours).n, 0);
    assert_false(add_piece(&s, &ours, &f)); /* that of the picks that are gone */
    assert_int_equal(track_now(&s, &others).n, 0);
    assert_true(add_piece(&s, &others, &f));
    assert_int_equal(track_now(&s, &others).n, 1);
    season_close(&s);
}

static void the_end_is_said_without_a_piece(void **state)
{
    (void)state;
    struct followed f, more;
    struct season s = season_followed(&f);
    f.track.whole = true;
    bool kept;
    OK(&s, store_track_add(s.store, &ours, &(struct track_pieces){&f.track, NULL, 0}, &kept, &s.e));
    assert_true(kept && track_now(&s, &ours).whole);
    follow(&more, 1160 * MS, 0.5); /* who has not seen it yet does not take that back */
    assert_true(add_piece(&s, &ours, &more));
    assert_true(track_now(&s, &ours).whole);
    season_close(&s);
}

/* Two programs found the field from the same picks, and each follows on. */
static void what_two_follow_at_once_is_one_track(void **state)
{
    (void)state;
    struct followed f, a, b;
    struct season s = season_followed(&f);
    follow(&a, 1160 * MS, 0.5);
    follow(&b, 1240 * MS, 0.75); /* begins within a's */
    OK(&s,
       store_track_begin(s.store, &ours, &f.track, &s.e)); /* the other's start keeps the first's */
    assert_int_equal(track_now(&s, &ours).n, 1);
    assert_true(add_piece(&s, &ours, &f)); /* and its piece is there */
    a.track.from_us = b.track.from_us = 1000 * MS;
    assert_true(add_piece(&s, &ours, &b));
    assert_true(add_piece(&s, &ours, &a));
    const struct track t = track_now(&s, &ours);
    int64_t last = 0;
    size_t frames = 0;
    for (size_t i = 0; i < t.n; i++)
        for (size_t k = 0; k < t.at[i].n; k++, frames++) {
            assert_true(t.at[i].at[k].us > last);
            last = t.at[i].at[k].us;
        }
    assert_true(t.from_us == 1000 * MS && t.to_us == b.track.to_us && last == b.track.to_us);
    assert_true(frames >= FRAMES * 2); /* a's lay before b's: they were followed by b already */
    season_close(&s);
}

/* One who goes backwards from the first frame, one who goes on from the last. */
static void pieces_before_and_behind_are_both_kept(void **state)
{
    (void)state;
    struct followed f, before, behind;
    struct season s = season_followed(&f);
    follow(&before, 840 * MS, 0.5);
    follow(&behind, 1160 * MS, 0.75);
    before.track.to_us = f.track.to_us;
    behind.track.from_us = f.track.from_us;
    assert_true(add_piece(&s, &ours, &before));
    assert_true(add_piece(&s, &ours, &behind));
    assert_true(add_piece(&s, &ours, &before)); /* once more changes nothing */
    const struct track t = track_now(&s, &ours);
    assert_int_equal(t.n, 3);
    assert_true(t.from_us == 840 * MS && t.to_us == behind.track.to_us);
    assert_true(t.at[0].at[0].us == 840 * MS && t.at[2].at[0].us == 1160 * MS);
    season_close(&s);
}

/* --- nobody else's business ------------------------------------------------------------------------ */

static void the_camera_is_no_change_of_the_show_and_no_step(void **state)
{
    (void)state;
    struct season s = season_new();
    struct followed f;
    uint64_t before, after, picked;
    struct travelled t = {.then = NULL};
    OK(&s, store_print(s.store, &before, &s.e));
    follow(&f, 1000 * MS, 0.25);
    OK(&s, store_track_begin(s.store, &ours, &f.track, &s.e));
    assert_true(add_piece(&s, &ours, &f));
    OK(&s, store_print(s.store, &after, &s.e));
    assert_true(before == after);
    assert_false(store_undo(s.store, &t, &s.e));
    assert_int_equal(s.e.code, ERR_NONE); /* there is nothing to take back */
    add_pick(&s, 1000000, 8);
    OK(&s, store_print(s.store, &picked, &s.e));
    assert_true(picked != before);
    travel(&s, true, "pick");
    assert_int_equal(track_now(&s, &ours).n,
                     1); /* taking a pick back leaves the track to its key */
    season_close(&s);
}

/* --- damage ----------------------------------------------------------------------------------------- */

static void spoil(const char *path, const char *sql)
{
    sqlite3 *db;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s: %s", sql, why);
    assert_true(sqlite3_changes(db) > 0);
    sqlite3_close(db);
}

static const struct damage {
    const char *name, *sql;
} damages[] = {
    {"frames cut short", "UPDATE camera_piece SET frames=substr(frames,1,40)"},
    {"no frames", "UPDATE camera_piece SET frames=x''"},
    {"frames that are text", "UPDATE camera_piece SET frames='frames'"},
    {"a focal length of nothing",
     "UPDATE camera_piece SET frames=CAST(substr(frames,1,17)||x'00000000' AS BLOB)"},
    {"a covariance cut short", "UPDATE camera_piece SET cov=substr(cov,1,100)"},
    {"bends of another length", "UPDATE camera_piece SET bends=x'00000000'"},
    {"an unsureness of another length", "UPDATE camera_track SET unsure=x'00'"},
    {"an unsureness that is no number",
     "UPDATE camera_track SET unsure=x'"
     "00000000000000000000000000000000000000000000000000000000"
     "000000000000000000000000000000000000000000000000000000000000c07f'"},
    {"no width", "UPDATE camera_track SET width=0"},
    {"a camera without end", "UPDATE camera_track SET x=9e999"},
    {"a crown without end", "UPDATE camera_track SET crown=-9e999"},
    {"a piece at no time", "UPDATE camera_piece SET from_us=9223372036854775807"},
    {"a piece twice",
     "INSERT INTO camera_piece SELECT clip_id,from_us+40000,frames,cov,bends FROM camera_piece"},
};

static void reads_as_no_track_and_is_made_anew(void **state)
{
    const struct damage *d = *state;
    struct followed f;
    struct season s = season_followed(&f);
    season_close(&s);
    spoil(s.path, d->sql);
    season_open(&s);
    const struct track t = track_now(&s, &ours);
    assert_int_equal(t.n, 0);
    assert_true(t.fixed.width == 0);
    OK(&s, store_track_begin(s.store, &ours, &f.track, &s.e));
    assert_true(add_piece(&s, &ours, &f));
    assert_int_equal(track_now(&s, &ours).n, 1);
    season_close(&s);
}

/* --- a disk that refuses ------------------------------------------------------------------------------ */

static int calls_left; /* until the fault, 0: none comes */
static bool came;

static ssize_t failing_pwrite(int fd, const void *p, size_t n, off_t at)
{
    if (came || calls_left == 0 || --calls_left > 0)
        return pwrite(fd, p, n, at);
    came = true;
    errno = ENOSPC;
    return -1;
}

static void replace_calls(bool replace)
{
    sqlite3_vfs *v = sqlite3_vfs_find("unix");
    static const char *const writes[] = {"pwrite", "pwrite64"};
    for (int i = 0; i < 2; i++)
        v->xSetSystemCall(v, writes[i],
                          replace ? (sqlite3_syscall_ptr)failing_pwrite : (sqlite3_syscall_ptr)0);
}

/* A pick, a track and a piece with the nth write failing: each is there or not, and said so. */
static bool on_failing_disk(int nth)
{
    struct season s = season_new();
    struct followed f;
    struct field_pick p = {.at_us = 1, .at = {1, 2}, .x = 8, .y = 28};
    bool kept = false;
    follow(&f, 1000 * MS, 0.25);
    came = false;
    calls_left = nth;
    const bool pick = store_field_pick_add(s.store, 1, &p, &s.e);
    const bool begun = store_track_begin(s.store, &ours, &f.track, &s.e);
    const bool added =
        store_track_add(s.store, &ours, &(struct track_pieces){&f.track, &f.piece, 1}, &kept, &s.e);
    calls_left = 0;
    if (came && pick && begun && added)
        fail_msg("write %d failed, and all was said to be kept", nth);
    if (!added)
        assert_false(kept);
    season_close(&s);
    season_open(&s);
    assert_int_equal(picks(&s).n, pick);
    assert_int_equal(track_now(&s, &ours).n, begun && added && kept);
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
    return came;
}

static void each_write_that_fails_is_said_and_leaves_it_whole(void **state)
{
    (void)state;
    int n = 1;
    season_close(&(struct season[]){season_new()}[0]); /* made while the disk is whole */
    replace_calls(true);
    while (on_failing_disk(n))
        n++;
    replace_calls(false);
    assert_true(n > 6); /* or this test would prove nothing */
}

/* --- a show of before ------------------------------------------------------------------------------------ */

static void a_show_of_version_7_gets_the_tables_and_keeps_what_it_has(void **state)
{
    (void)state;
    const char *path = path_in(temp_dir(), "seven.show");
    struct season s = {.path = path};
    struct followed f;
    sqlite3 *db;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_exec(db, "PRAGMA journal_mode=WAL", NULL, NULL, NULL);
    for (int v = 0; v < 7; v++)
        if (sqlite3_exec(db, store_schema[v], NULL, NULL, &why) != SQLITE_OK)
            fail_msg("%d: %s", v, why);
    static const char rows[] =
        "INSERT INTO setting VALUES('title','Larkspur');"
        "INSERT INTO clip(id,uid,path,label,date,run,length_us,size_bytes,width,height,fps_num,"
        "fps_den,sha256,head_tail,author,made_at,changed_at) VALUES(1,randomblob(16),"
        "'/clips/t.mp4','t','2026-09-14',1,9000000,1,1280,720,30,1,'','','',0,0);"
        "PRAGMA user_version=7; PRAGMA application_id=0x6278636c";
    if (sqlite3_exec(db, rows, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s", why);
    sqlite3_close(db);
    season_open(&s);
    assert_int_equal(picks(&s).n, 0);
    add_pick(&s, 1000000, 8);
    follow(&f, 1000 * MS, 0.25);
    OK(&s, store_track_begin(s.store, &ours, &f.track, &s.e));
    assert_true(add_piece(&s, &ours, &f));
    assert_int_equal(picks(&s).n, 1);
    travel(&s, true, "pick");
    season_close(&s);
    assert_int_equal(access(arena_printf(test_arena(), "%s.v7", path), F_OK), 0);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, picks_come_back_as_they_were_made);
    case_test(&all, a_pick_made_and_one_taken_off_are_taken_back_and_done_again);
    case_test(&all, a_number_is_never_given_twice);
    case_test(&all, a_track_comes_back_as_it_went);
    case_test(&all, other_picks_have_no_track_until_theirs_takes_its_place);
    case_test(&all, the_end_is_said_without_a_piece);
    case_test(&all, what_two_follow_at_once_is_one_track);
    case_test(&all, pieces_before_and_behind_are_both_kept);
    case_test(&all, the_camera_is_no_change_of_the_show_and_no_step);
    cases_of(&all, damages, reads_as_no_track_and_is_made_anew);
    case_test(&all, each_write_that_fails_is_said_and_leaves_it_whole);
    case_test(&all, a_show_of_version_7_gets_the_tables_and_keeps_what_it_has);
    return cases_run(&all, "the field in the show file");
}
