/* A show file may have been put together elsewhere: any number may stand in it. Every list is then
 * written or refused in one line; the sanitizers see what overflows on the way. */
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>

#include "verb/season.h"

static void alter(const struct season *s, const char *sql)
{
    sqlite3 *db;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path_in(s->dir, "a.show"), &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s: %s", sql, why);
    sqlite3_close(db);
}

static struct season tied_season(void)
{
    struct season s = season_new();
    ends(BOX(&s, "count", "a.show", "tue", "tie", "10", "1"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "12", "T1", "horn angle", "--note", "n"), 0);
    ends(BOX(&s, "state", "a.show", "trumpets", "horn angle", "repped"), 0);
    ends(BOX(&s, "watched", "a.show", "tue", "0", "60"), 0);
    return s;
}

static const struct altered {
    const char *name, *sql, *shown; /* what `calls --as csv` has, or NULL */
} alterations[] = {
    {"the latest moment", "UPDATE mark SET at_us=9223372036854775807", ",9223372036854.775807,"},
    {"the earliest moment", "UPDATE mark SET at_us=-9223372036854775808",
     ",-9223372036854.775808,"},
    {"a count beyond all", "UPDATE mark SET count=1e300", ",2,1.000,"},
    {"a count before all", "UPDATE mark SET count=-1e300", ",1,1.000,"},
    {"a lateness beyond all", "UPDATE mark SET late_counts=1e300, late_error=1e-300",
     ",1e+300,1e-300,"},
    {"a state of no year", "UPDATE item_state SET made_at=9223372036854775807", ",12.000,"},
    {"a state before all years", "UPDATE item_state SET made_at=-9223372036854775808", NULL},
    {"watching from end to end",
     "UPDATE watched SET from_us=-9223372036854775808, to_us=9223372036854775807", NULL},
    {"a clip without end", "UPDATE clip SET length_us=9223372036854775807", NULL},
    {"a clip of less than nothing", "UPDATE clip SET length_us=-9223372036854775808", NULL},
    {"a rate of frames", "UPDATE clip SET fps_num=2147483647, fps_den=-2147483648", NULL},
};

static void every_list_is_written_or_refused_in_one_line(void **state)
{
    static const char *const commands[][7] = {
        {"calls", "a.show", "tue"},
        {"calls", "a.show", "tue", "--timecode"},
        {"calls", "a.show", "tue", "--as", "json"},
        {"calls", "a.show", "tue", "--as", "vtt"},
        {"calls", "a.show", "tue", "--as", "annotations"},
        {"calls", "a.show", "tue", "--as", "chapters"},
        {"fixes", "a.show", "--for", "trumpets"},
        {"fixes", "a.show", "--as", "csv"},
        {"fixes", "a.show", "--as", "json"},
        {"fixes", "a.show", "--brief", "--numbers"},
        {"define", "a.show", "--as", "json"},
        {"history", "a.show"},
        {"history", "a.show", "--for", "trumpets", "--as", "csv"},
        {"compare", "a.show", "--from-clip", "tue", "--to-clip", "thu"},
        {"count", "a.show", "tue", "at", "12"},
        {"count", "a.show", "tue", "ties"},
        {"count", "a.show", "tue", "untie", "500"},
        {"watched", "a.show", "tue"},
    };
    const struct altered *x = *state;
    struct season s = tied_season();
    alter(&s, x->sql);
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        const char *const *w = commands[i];
        struct run r = box(&s.setup, w[0], w[1], w[2], w[3], w[4], w[5], w[6], NULL);
        if (r.status < 0 || r.status > 4)
            fail_msg("%s: status %d: %s", r.said, r.status, r.err);
        if (r.status != 0 && (strncmp(r.err, "boxcall: ", 9) != 0 || r.out_n != 0))
            fail_msg("%s: %s", r.said, r.err);
    }
    struct run csv = BOX(&s, "calls", "a.show", "tue", "--as", "csv");
    assert_quiet(csv);
    if (x->shown)
        assert_contains(csv.out, x->shown);
}

static void a_tie_that_rests_already_keeps_no_set_list_out(void **state)
{
    (void)state;
    struct season s = tied_season();
    alter(&s, "UPDATE anchor SET count=1000");
    struct run_setup in = season_in(&s, "set,counts\n99,8\n");
    ends(box(&in, "add", "a.show", "sets", "-", "--keep", NULL), 0);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, alterations, every_list_is_written_or_refused_in_one_line);
    case_test(&all, a_tie_that_rests_already_keeps_no_set_list_out);
    return cases_run(&all, "numbers beyond all");
}
