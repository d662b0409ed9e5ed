/* Power is lost at every write and sync of a session that makes marks: no mark that was
 * acknowledged is lost, and the file is sound. With weaker settings than ours the same test finds
 * losses, so it can fail. */
#include <sqlite3.h>
#include <stdio.h>

#include "lib/cases.h"
#include "store/crash_vfs.h"
#include "store/inside.h"
#include "store/season.h"

enum { MARKS = 5 };

static struct {
    const char *image;
    int acknowledged; /* marks of which we were told that they are on the disk */
    int images, lost, damaged, invented;
} seen;

static void look_at_image(void)
{
    sqlite3 *db;
    sqlite3_stmt *q;
    int marks = -1;
    bool sound = false;
    sqlite3_open_v2(seen.image, &db, SQLITE_OPEN_READWRITE, "unix");
    sqlite3_db_config(db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    sqlite3_exec(db, "PRAGMA synchronous=OFF", NULL, NULL, NULL);
    if (sqlite3_prepare_v2(db, "PRAGMA integrity_check(1)", -1, &q, NULL) == SQLITE_OK)
        sound = sqlite3_step(q) == SQLITE_ROW &&
                strcmp((const char *)sqlite3_column_text(q, 0), "ok") == 0;
    sqlite3_finalize(q);
    if (sqlite3_prepare_v2(db, "SELECT count(*) FROM mark", -1, &q, NULL) == SQLITE_OK &&
        sqlite3_step(q) == SQLITE_ROW)
        marks = sqlite3_column_int(q, 0);
    sqlite3_finalize(q);
    sqlite3_close(db);
    seen.images++;
    seen.damaged += !sound || marks < 0;
    seen.lost += sound && marks < seen.acknowledged;
    seen.invented += sound && marks > seen.acknowledged + 1;
}

static void lose_power(void)
{
    for (int kind = 0; kind < CRASH_KINDS; kind++) {
        crash_image((enum crash_kind)kind, seen.image);
        look_at_image();
    }
}

static void session(const char *synchronous)
{
    struct season s = season_new();
    season_close(&s);
    memset(&seen, 0, sizeof seen);
    seen.image = path_in(temp_dir(), "image.show");
    crash_disk_start(s.path, lose_power);
    season_open(&s);
    if (synchronous)
        OK(&s, st_run(s.store, synchronous, &s.e));
    OK(&s, st_run(s.store, "PRAGMA wal_autocheckpoint=14", &s.e)); /* so that some come up */
    for (int i = 0; i < MARKS; i++) {
        OK(&s, step_open(s.store, "mark", &s.e));
        add_mark(&s, "T1;tubas", "late", i * 1000000);
        OK(&s, step_close(s.store, true, &s.e));
        seen.acknowledged++;
        lose_power();
    }
    season_close(&s);
    crash_disk_stop();
    print_message("%d images: %d damaged, %d with a lost mark\n", seen.images, seen.damaged,
                  seen.lost);
}

static void no_acknowledged_mark_is_lost_and_the_file_is_sound(void **state)
{
    (void)state;
    session(NULL);
    assert_true(seen.images > 100);
    assert_int_equal(seen.damaged, 0);
    assert_int_equal(seen.lost, 0);
    assert_int_equal(seen.invented, 0);
}

static void with_normal_synchronisation_this_test_finds_lost_marks(void **state)
{
    (void)state;
    session("PRAGMA synchronous=NORMAL");
    assert_int_equal(seen.damaged, 0);
    assert_true(seen.lost > 0);
}

static void without_synchronisation_this_test_finds_damage(void **state)
{
    (void)state;
    session("PRAGMA synchronous=OFF");
    assert_true(seen.damaged > 0);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, no_acknowledged_mark_is_lost_and_the_file_is_sound);
    case_test(&all, with_normal_synchronisation_this_test_finds_lost_marks);
    case_test(&all, without_synchronisation_this_test_finds_damage);
    return cases_run(&all, "loss of power");
}
