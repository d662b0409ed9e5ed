/* The rep plan as a calendar: by its bytes (RFC 5545), by an independent parser (python3-icalendar, in
 * check_calendar.py) and by the system's time zone database. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

static void put(const struct season *s, const char *what, const char *text)
{
    struct run_setup in = season_in(s, text);
    ends(box(&in, "add", "a.show", what, "-", NULL), 0);
}

static struct season marked(void)
{
    struct season s = season_new();
    put(&s, "marks",
        "clip,time,target,fault\ntue,0:05,T1,h\ntue,0:06,trumpets,h\ntue,0:08,brass,late\n"
        "tue,0:09,T2,h\ntue,0:12,U1,f\ntue,0:13,D1,late\n");
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:04", "1"), 0);
    return s;
}

/* The show of the demo, on a clip that shows nothing. */
static struct season demo(void)
{
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    struct season s = season_empty();
    ends(BOX(&s, "new", "a.show"), 0);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        const char *file = arena_printf(test_arena(), BAND "/%s.csv", tables[i]);
        ends(BOX(&s, "add", "a.show", tables[i], file, i < 2 ? "--replace" : NULL, "--yes"), 0);
    }
    ends(BOX(&s, "add", "a.show", "clip", season_clip(&s, "tuesday.avi", 120, 9)), 0);
    ends(BOX(&s, "count", "a.show", "tuesday", "tie", "0:01.5", "1"), 0);
    ends(BOX(&s, "add", "a.show", "marks", BAND "/marks.csv"), 0);
    return s;
}

/* What check_calendar.py says of the day's plan and a calendar of it. */
static const char *by_parser_of(const struct season *s, const char *ics, const char *date,
                                const char *zone, const char *old)
{
    struct run json = BOX(s, "plan", "a.show", "--date", date, "--as", "json");
    assert_exit(json, 0);
    struct run r = run("/usr/bin/python3", CALENDAR_PY, write_file(s->dir, "plan.ics", ics),
                       write_file(s->dir, "plan.json", json.out), zone, old, NULL);
    if (r.status != 0)
        fail_msg("%s %s: %s%s", date, zone, r.out, r.err);
    return r.out;
}

static const char *by_parser(const struct season *s, const char *ics, const char *date,
                             const char *zone)
{
    return by_parser_of(s, ics, date, zone, NULL);
}

static bool have_parser(void)
{
    return run("/usr/bin/python3", "-c", "import icalendar", NULL).status == 0;
}

static const char *ics(const struct season *s, const char *date, const char *zone)
{
    struct run r = BOX(s, "plan", "a.show", "--date", date, "--as", "ics", "--zone", zone);
    assert_exit(r, 0);
    return r.out;
}

/* The unfolded values of a property, in order, with a line end behind each. */
static const char *values(const char *text, const char *name)
{
    struct buf flat = {0}, out = {0};
    for (const char *p = text; *p; p++)
        if (strncmp(p, "\r\n ", 3) == 0)
            p += 2;
        else if (*p != '\r')
            buf_char(&flat, *p);
    const size_t n = strlen(name);
    for (char *rest = flat.p, *line; (line = strsep(&rest, "\n"));)
        if (strncmp(line, name, n) == 0 && (line[n] == ':' || line[n] == ';'))
            buf_printf(&out, "%s\n", line + n + 1);
    const char *kept = arena_strdup(test_arena(), buf_text(&out));
    buf_free(&flat);
    buf_free(&out);
    return kept;
}

/* Every UID of `some` is in `text`. */
static void has_all(const char *text, const char *some)
{
    char *rest = arena_strdup(test_arena(), values(some, "UID"));
    assert_true(*rest);
    for (char *uid; (uid = strsep(&rest, "\n"));)
        assert_non_null(strstr(text, uid));
}

static size_t lines(const char *text)
{
    size_t n = 0;
    for (; *text; text++)
        n += *text == '\n';
    return n;
}

/* --- days and zones ------------------------------------------------------------------------------ */

static const struct day {
    const char *name, *date, *start, *zone;
} days[] = {
    {"a summer evening in New York", "2026-08-03", "18:00", "America/New_York"},
    {"a winter evening in Chicago", "2026-01-12", "18:30", "America/Chicago"},
    {"a summer evening in Berlin", "2026-07-06", "17:00", "Europe/Berlin"},
    {"a quarter of an hour off in Kathmandu", "2026-08-03", "18:00", "Asia/Kathmandu"},
    {"summer in January in Sydney", "2026-01-12", "18:00", "Australia/Sydney"},
    {"winter in July in Santiago", "2026-07-06", "18:00", "America/Santiago"},
    {"no summer time in UTC", "2026-07-06", "18:00", "Etc/UTC"},
    {"over midnight", "2026-08-03", "23:30", "America/New_York"},
    {"over the end of a year", "2026-12-31", "23:30", "America/Chicago"},
    /* clocks change at 2:00 by the law of 2005, in Europe at 1:00 UTC */
    {"over the hour that is leapt over", "2026-03-08", "01:15", "America/New_York"},
    {"from within the hour that is leapt over", "2007-03-11", "02:30", "America/New_York"},
    {"over the hour that comes twice", "2026-11-01", "00:45", "America/New_York"},
    {"over the hour that comes twice in Berlin", "2026-10-25", "01:45", "Europe/Berlin"},
    {"over the end of summer time in Sydney", "2026-04-05", "01:40", "Australia/Sydney"},
    {"a day long after", "2045-07-06", "18:00", "Europe/Berlin"},
};

static void every_block_is_an_event_of_its_time(void **state)
{
    const struct day *d = *state;
    if (!have_parser())
        skip();
    struct season s = demo();
    ends(BOX(&s, "plan", "a.show", "--minutes", "150", "--start", d->start, "--date", d->date,
             "--fixed", "warm-up:10", "--fixed", "talk:5:last:rest"),
         0);
    const char *said = by_parser(&s, ics(&s, d->date, d->zone), d->date, d->zone);
    assert_true(atoi(said) > 10);
    assert_non_null(strstr(said, " 0 cancelled"));
}

/* RFC 5545, section 3.3.5: 1:30 of that night is the first one, 1194154200 as GNU date has it; the
 * second cannot be said by local times. 2:30 of the night that has none is 3:30 EDT. */
static void the_published_hours_are_these(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--start", "01:30", "--date", "2007-11-04"),
         0);
    const char *zone = "America/New_York", *starts = values(ics(&s, "2007-11-04", zone), "DTSTART");
    assert_non_null(strstr(starts, "TZID=America/New_York:20071104T013000\n"));
    assert_non_null(strstr(starts, "\n20071104T06")); /* 1:00 EST and later */
    assert_null(strstr(starts, "TZID=America/New_York:20071104T02"));
    ends(BOX(&s, "plan", "a.show", "--minutes", "30", "--start", "02:30", "--date", "2007-03-11"),
         0);
    starts = values(ics(&s, "2007-03-11", zone), "DTSTART");
    assert_non_null(strstr(starts, "TZID=America/New_York:20070311T033000\n"));
    assert_null(strstr(starts, "TZID=America/New_York:20070311T02"));
}

static void a_change_during_the_rehearsal_is_told(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--start", "01:30", "--date", "2026-11-01"),
         0);
    struct run r = BOX(&s, "plan", "a.show", "--date", "2026-11-01", "--as", "ics", "--zone",
                       "America/New_York");
    assert_contains(r.err, "the clocks change during this rehearsal");
    r = BOX(&s, "plan", "a.show", "--date", "2026-11-01", "--as", "ics", "--zone", "Asia/Tokyo");
    assert_quiet(r);
}

/* --- which zone ---------------------------------------------------------------------------------- */

static const char *zone_of(const struct season *s, const char *tz, const char *talk)
{
    const char *env[] = {tz, NULL};
    struct run_setup in = s->setup;
    in.env = env;
    struct run r = box(&in, "plan", "a.show", "--date", "2026-09-01", "--as", "ics", NULL);
    assert_exit(r, 0);
    assert_contains(r.err, talk);
    return values(r.out, "TZID");
}

static void the_zone_is_the_options_else_the_shows_else_the_laptops(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "30", "--date", "2026-09-01"), 0);
    assert_string_equal(zone_of(&s, "TZ=Asia/Tokyo", "those of Asia/Tokyo, as this laptop's"),
                        "Asia/Tokyo\n");
    assert_string_equal(zone_of(&s, "TZ=:Asia/Tokyo", ""), "Asia/Tokyo\n");
    assert_string_equal(zone_of(&s, "TZ=/usr/share/zoneinfo/Asia/Tokyo", ""), "Asia/Tokyo\n");
    assert_string_equal(zone_of(&s, "TZ=ABC3", "the time zone of this laptop cannot be told"), "");
    ends(BOX(&s, "setting", "a.show", "zone", "Europe/Berlin"), 0);
    assert_string_equal(zone_of(&s, "TZ=Asia/Tokyo", ""), "Europe/Berlin\n");
    assert_string_equal(values(ics(&s, "2026-09-01", "America/Chicago"), "TZID"),
                        "America/Chicago\n");
    ends(BOX(&s, "setting", "a.show", "zone", ""), 0);
    assert_string_equal(zone_of(&s, "TZ=Asia/Tokyo", ""), "Asia/Tokyo\n");
}

static void without_a_zone_times_are_local_ones(void **state)
{
    (void)state;
    if (!have_parser())
        skip();
    const char *env[] = {"TZ=ABC3", NULL};
    struct season s = marked();
    s.setup.env = env;
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", "2026-09-01"), 0);
    struct run r = BOX(&s, "plan", "a.show", "--date", "2026-09-01", "--as", "ics");
    assert_exit(r, 0);
    assert_contains(r.out, "DTSTART:20260901T180000\r\n");
    by_parser(&s, r.out, "2026-09-01", "-");
}

static const struct refused {
    const char *name;
    const char *args[8];
    int status;
    const char *line;
} refused[] = {
    {"a zone nearly right",
     {"plan", "a.show", "--date", "2026-09-01", "--as", "ics", "--zone", "Europe/Berlni"},
     3,
     "plan: --zone: no time zone 'Europe/Berlni'; did you mean 'Europe/Berlin'?"},
    {"a city",
     {"plan", "a.show", "--date", "2026-09-01", "--as", "ics", "--zone", "new york"},
     3,
     "plan: --zone: no time zone 'new york'; did you mean 'America/New_York'?"},
    {"a path out of the database",
     {"setting", "a.show", "zone", "../../../etc/passwd"},
     3,
     "no time zone '../../../etc/passwd'; write it as America/New_York, as timedatectl "
     "list-timezones names them"},
    {"a file of the database that is no zone",
     {"setting", "a.show", "zone", "zone.tab"},
     3,
     "no time zone 'zone.tab'; write it as America/New_York, as timedatectl list-timezones names "
     "them"},
    {"a zone for no calendar",
     {"plan", "a.show", "--zone", "Europe/Berlin"},
     2,
     "plan: --zone is for a calendar; say --as ics too"},
    {"a plan that is not stored",
     {"plan", "a.show", "--minutes", "30", "--try", "--as", "ics"},
     2,
     "plan: a calendar follows the plan that is stored; leave --try out"},
    {"a day without a plan",
     {"plan", "a.show", "--date", "2026-09-09", "--as", "ics"},
     3,
     "no plan of 2026-09-09 is stored; make one: boxcall plan SHOW --minutes 90"},
};

static void is_refused_in_one_line(void **state)
{
    const struct refused *x = *state;
    struct season s = marked();
    const char *const *w = x->args;
    ends(BOX(&s, "plan", "a.show", "--minutes", "30", "--date", "2026-09-01"), 0);
    struct run r = box(&s.setup, w[0], w[1], w[2], w[3], w[4], w[5], w[6], w[7], NULL);
    assert_exit(r, x->status);
    assert_one_line(r, x->line);
    assert_int_equal(r.out_n, 0);
}

/* --- from one export to the next ------------------------------------------------------------------ */

#define DAY "2026-09-01"

static void the_same_plan_is_the_same_calendar(void **state)
{
    (void)state;
    struct season s = marked(), other = season_empty();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    const char *first = ics(&s, DAY, "Europe/Berlin");
    put(&s, "marks", /* the plan knows nothing of them */
        "clip,time,target,fault\ntue,0:05.5,T3,h\ntue,0:09.1,D1,late\ntue,0:09.2,D1,late\n"
        "tue,0:09.3,U1,f\ntue,0:09.4,U1,f\ntue,0:09.5,U1,f\ntue,0:09.6,U1,late\n");
    assert_string_equal(ics(&s, DAY, "Europe/Berlin"), first);
    size_t n;
    const char *bytes = read_file(path_in(s.dir, "a.show"), &n);
    write_bytes(other.dir, "a.show", bytes, n); /* somebody else's laptop */
    assert_string_equal(ics(&other, DAY, "Europe/Berlin"), first);
}

static void a_plan_made_anew_takes_the_place_of_the_one_before(void **state)
{
    (void)state;
    const char *env[] = {"BOXCALL_CLOCK=1788000000000", NULL}; /* no time goes by */
    struct season s = marked();
    s.setup.env = env;
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "warm-up:10"), 0);
    const char *first = ics(&s, DAY, "Europe/Berlin");
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "warm-up:5",
             "--start", "19:00"),
         0);
    const char *second = ics(&s, DAY, "Europe/Berlin");
    assert_int_equal(lines(values(second, "UID")), lines(values(first, "UID")));
    has_all(second, first);
    assert_true(atoi(values(second, "SEQUENCE")) > atoi(values(first, "SEQUENCE")));
    assert_string_not_equal(values(second, "DTSTART"), values(first, "DTSTART"));
    assert_null(strstr(second, "CANCELLED"));
}

static void what_an_earlier_plan_had_is_cancelled_until_it_comes_back(void **state)
{
    (void)state;
    if (!have_parser())
        skip();
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "warm-up:10",
             "--fixed", "talk:5:last"),
         0);
    const char *all = ics(&s, DAY, "Europe/Berlin");
    for (int i = 0; i < 2; i++) /* made twice without it, it is still known */
        ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "warm-up:10"),
             0);
    const char *less = ics(&s, DAY, "Europe/Berlin");
    const char *said = by_parser(&s, less, DAY, "Europe/Berlin");
    assert_non_null(strstr(said, " 1 cancelled"));
    assert_non_null(strstr(values(less, "SUMMARY"), "talk\n"));
    has_all(less, all);
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "warm-up:10",
             "--fixed", "talk:5:last"),
         0);
    assert_null(strstr(ics(&s, DAY, "Europe/Berlin"), "CANCELLED"));
}

static void what_was_done_is_not_cancelled(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "warm-up:10",
             "--fixed", "talk:5"),
         0);
    ends(BOX(&s, "tick", "a.show", "1", "--date", DAY), 0);
    ends(BOX(&s, "plan", "a.show", "--minutes", "40", "--date", DAY, "--start", "19:00"), 0);
    const char *text = ics(&s, DAY, "Europe/Berlin");
    assert_null(strstr(values(text, "SUMMARY"), "warm-up"));
    assert_non_null(strstr(values(text, "SUMMARY"), "talk\n"));
    assert_non_null(strstr(text, "STATUS:CANCELLED"));
}

static void a_plan_that_is_taken_away_is_cancelled_whole(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    const char *all = values(ics(&s, DAY, "Europe/Berlin"), "UID");
    struct run r = BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--wbgt", "95F",
                       "--as", "ics", "--zone", "Europe/Berlin");
    assert_exit(r, 0);
    assert_contains(r.err, "is taken away");
    assert_int_equal(lines(values(r.out, "STATUS")), lines(all));
    assert_null(strstr(r.out, "CONFIRMED"));
    assert_string_equal(ics(&s, DAY, "Europe/Berlin"), r.out);
}

static void a_closed_field_is_in_nobodys_calendar(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    ends(BOX(&s, "tick", "a.show", "1", "--date", DAY), 0);
    struct run r =
        BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--wbgt", "95F", "--as", "ics");
    assert_exit(r, 1);
    assert_contains(r.err, "no calendar is written: NO OUTDOOR ACTIVITY");
    assert_int_equal(r.out_n, 0);
}

/* --- the whole rehearsal -------------------------------------------------------------------------- */

/* The event that begins with what is given, up to its end. */
static const char *event_of(const char *text, const char *line)
{
    const char *at = strstr(text, line), *from = text;
    assert_non_null(at);
    for (const char *p = text; p && p < at; p = strstr(p + 1, "BEGIN:VEVENT"))
        from = p;
    return arena_strndup(test_arena(), from, (size_t)(strstr(at, "END:VEVENT") - from));
}

/* Heat, near meetings, hard moves, rests: by the parser. */
static void a_block_has_its_cautions_and_the_rehearsal_has_all(void **state)
{
    (void)state;
    if (!have_parser())
        skip();
    struct season s = demo();
    ends(BOX(&s, "plan", "a.show", "--minutes", "120", "--start", "18:00", "--date", DAY, "--fixed",
             "warm-up:15", "--fixed", "talk:5:last:rest", "--wbgt", "84F", "--with",
             "winds,color guard"),
         0);
    by_parser(&s, ics(&s, DAY, "Europe/Berlin"), DAY, "Europe/Berlin");
    const char *next = "2026-09-02";
    ends(BOX(&s, "plan", "a.show", "--minutes", "120", "--date", next, "--breaks", "50:5"), 0);
    by_parser(&s, ics(&s, next, "Europe/Berlin"), next, "Europe/Berlin");
}

static void the_rehearsal_is_one_event_from_plan_to_plan(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    const char *first = event_of(ics(&s, DAY, "Europe/Berlin"), "SUMMARY:Rehearsal: ");
    ends(BOX(&s, "plan", "a.show", "--minutes", "90", "--start", "19:00", "--date", DAY), 0);
    const char *all = ics(&s, DAY, "Europe/Berlin");
    const char *second = event_of(all, "SUMMARY:Rehearsal: ");
    assert_string_equal(values(second, "UID"), values(first, "UID"));
    assert_true(atoi(values(second, "SEQUENCE")) > atoi(values(first, "SEQUENCE")));
    assert_string_equal(values(second, "DTSTART"), "TZID=Europe/Berlin:20260901T190000\n");
    assert_string_equal(values(second, "DTEND"), "TZID=Europe/Berlin:20260901T203000\n");
    const char *said = values(second, "DESCRIPTION");
    assert_true(strncmp(said, "19:00 Sectional: ", 17) == 0);
    assert_non_null(strstr(said, "\\n20:30 end\\n"));
    struct run r = BOX(&s, "plan", "a.show", "--date", DAY, "--as", "ics", "--for", "trumpets",
                       "--zone", "Europe/Berlin");
    assert_exit(r, 0);
    const char *theirs = event_of(r.out, "SUMMARY:Rehearsal: ");
    assert_string_equal(values(theirs, "UID"), values(first, "UID"));
    assert_true(strncmp(values(theirs, "DESCRIPTION"), "19:00 Sectional: trumpets\\n", 27) == 0);
}

/* It does not come back as long as the day has no plan, and books nobody. */
static void a_rehearsal_that_is_taken_away_is_cancelled(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    const char *uid = values(event_of(ics(&s, DAY, "Europe/Berlin"), "SUMMARY:Rehearsal"), "UID");
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--wbgt", "95F"), 0);
    const char *gone = event_of(ics(&s, DAY, "Europe/Berlin"), "SUMMARY:Rehearsal");
    assert_string_equal(values(gone, "UID"), uid);
    assert_string_equal(values(gone, "STATUS"), "CANCELLED\n");
    assert_string_equal(values(gone, "TRANSP"), "TRANSPARENT\n");
    assert_string_equal(values(gone, "DTEND"), "TZID=Europe/Berlin:20260901T190000\n");
}

/* --- show files of older versions ----------------------------------------------------------------- */

/* The file as a program of that version left it: without the columns that came later, which DROP COLUMN
 * takes from the rows too. */
static void make_older(const struct season *s, int version)
{
    static const char *const later[] = {
        [7] = "DROP TABLE draft_target; DROP TABLE draft; DROP TABLE draft_source;"
              "ALTER TABLE section DROP COLUMN say; ALTER TABLE fault DROP COLUMN say;"
              "DROP TABLE field_pick; DROP TABLE camera_track; DROP TABLE camera_piece;"
              "ALTER TABLE drill_set DROP COLUMN path; ALTER TABLE mark DROP COLUMN measured;"
              "ALTER TABLE mark DROP COLUMN measured_value;"
              "ALTER TABLE mark DROP COLUMN measured_error;"
              "ALTER TABLE mark DROP COLUMN measured_of;",
        [6] = "ALTER TABLE rep_block DROP COLUMN cautions;",
        [5] = "ALTER TABLE rep_plan DROP COLUMN asked; ALTER TABLE rep_plan DROP COLUMN wishes;"
              "ALTER TABLE rep_plan DROP COLUMN cautions;"
              "ALTER TABLE rep_plan DROP COLUMN open_weight;"
              "ALTER TABLE rep_block DROP COLUMN block; ALTER TABLE rep_block DROP COLUMN part;"
              "ALTER TABLE rep_block DROP COLUMN begins_s;"
              "ALTER TABLE rep_block DROP COLUMN works_s; ALTER TABLE rep_block DROP COLUMN rep_s;"
              "ALTER TABLE rep_block DROP COLUMN setup_s; ALTER TABLE rep_block DROP COLUMN walk_s;"
              "ALTER TABLE rep_block DROP COLUMN counts; ALTER TABLE rep_block DROP COLUMN bpm_low;"
              "ALTER TABLE rep_block DROP COLUMN bpm_high; ALTER TABLE rep_block DROP COLUMN gain;"
              "ALTER TABLE rep_block DROP COLUMN kept;",
    };
    sqlite3 *db;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path_in(s->dir, "a.show"), &db), SQLITE_OK);
    for (int v = 7; v >= version; v--)
        if (sqlite3_exec(db, later[v], NULL, NULL, &why) != SQLITE_OK)
            fail_msg("%s", why);
    sqlite3_exec(db, arena_printf(test_arena(), "PRAGMA user_version=%d", version), NULL, NULL,
                 NULL);
    sqlite3_close(db);
}

/* The same events, which another program has in its calendar already; each says every caution. */
static void a_plan_of_version_6_is_the_same_events(void **state)
{
    (void)state;
    if (!have_parser())
        skip();
    struct season s = demo();
    ends(BOX(&s, "plan", "a.show", "--minutes", "120", "--date", DAY, "--wbgt", "84F"), 0);
    const char *now = ics(&s, DAY, "Europe/Berlin");
    make_older(&s, 6);
    struct run r =
        BOX(&s, "plan", "a.show", "--date", DAY, "--as", "ics", "--zone", "Europe/Berlin");
    assert_exit(r, 0);
    read_file(path_in(s.dir, "a.show.v6"), &(size_t){0});
    by_parser_of(&s, r.out, DAY, "Europe/Berlin", "old");
    assert_string_equal(values(r.out, "UID"), values(now, "UID"));
    assert_string_equal(values(r.out, "SUMMARY"), values(now, "SUMMARY"));
    assert_string_equal(values(r.out, "SEQUENCE"), values(now, "SEQUENCE"));
    assert_string_equal(values(r.out, "DTSTART"), values(now, "DTSTART"));
}

/* Version 5 kept no chunk of its own, no cautions and nothing of what was asked: what it had is there
 * at its time, and who decides is said. The next plan takes its place and cancels what it has not. */
static void a_plan_of_version_5_is_in_the_calendar_too(void **state)
{
    (void)state;
    if (!have_parser())
        skip();
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--fixed", "talk:5",
             "--together"),
         0);
    const char *now = ics(&s, DAY, "Europe/Berlin");
    make_older(&s, 5);
    const char *old = ics(&s, DAY, "Europe/Berlin");
    read_file(path_in(s.dir, "a.show.v5"), &(size_t){0});
    assert_non_null(strstr(by_parser_of(&s, old, DAY, "Europe/Berlin", "old"), " 0 cancelled"));
    assert_string_equal(values(old, "UID"), values(now, "UID"));
    assert_string_equal(values(old, "DTSTART"), values(now, "DTSTART"));
    assert_non_null(strstr(values(old, "DESCRIPTION"), "athletic trainer"));
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--together"), 0);
    const char *next = ics(&s, DAY, "Europe/Berlin");
    has_all(next, old);
    assert_string_equal(values(event_of(next, "SUMMARY:talk"), "STATUS"), "CANCELLED\n");
    assert_true(atoi(values(next, "SEQUENCE")) > atoi(values(old, "SEQUENCE")));
}

/* --- whose it is ---------------------------------------------------------------------------------- */

static void a_section_gets_what_it_does(void **state)
{
    (void)state;
    struct season s = marked();
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--wbgt", "84F"), 0);
    struct run r = BOX(&s, "plan", "a.show", "--date", DAY, "--as", "ics", "--for", "trumpets",
                       "--zone", "Europe/Berlin");
    assert_exit(r, 0);
    const char *titles = values(r.out, "SUMMARY"), *all = ics(&s, DAY, "Europe/Berlin");
    assert_non_null(strstr(titles, "Sectional: trumpets\n"));
    assert_null(strstr(titles, "Sectional: tubas"));
    assert_non_null(strstr(values(all, "SUMMARY"), "Sectional: tubas"));
    has_all(all, r.out);                                             /* the same events */
    assert_null(strstr(values(r.out, "DESCRIPTION"), "feet apart")); /* the tubas' */
    const char *said = values(r.out, "DESCRIPTION");
    assert_non_null(strstr(said, "WBGT 84.0 F"));
    assert_non_null(strstr(said, "athletic trainer"));
    assert_null(strstr(said, "Fenwright")); /* nobody's name */
}

/* What follows a section's list stands behind it, at its minute: 18:20 and 1:00 + 6 x 0:35; 18:20 and
 * 1:00 + 6 x 0:30 + 1:00 + 4 x 0:35. */
static void then_comes_behind_what_it_follows(void **state)
{
    (void)state;
    struct season s = demo();
    ends(BOX(&s, "plan", "a.show", "--minutes", "120", "--start", "18:00", "--date", DAY, "--fixed",
             "warm-up:15", "--wbgt", "84F"),
         0);
    const char *said = values(ics(&s, DAY, "Europe/Berlin"), "DESCRIPTION");
    assert_null(strstr(said, "\nthen "));
    assert_null(strstr(said, "\\nthen "));
    assert_true(strncmp(said, "then ", 5) != 0);
    assert_non_null(strstr(said,
                           "18:20 block 8: set 8A\\, 16 counts at 160\\, 6 reps of 0:35\\nTo mend: "
                           "step size\\n18:24 then its choice"));
    assert_non_null(strstr(said, "lean\\n18:27 then least clean sets: 3"));
}

/* --- hostile names --------------------------------------------------------------------------------- */

#define NASTY                                                                                      \
    "a;b,c\\\\d\\n: \"\"x\"\" \u202e\u00e9\U0001F3BA\x1b[31m\tEND:VCALENDAR\r\nEND:VEVENT\r\nX"
#define TEN "\u00e9\u4e2d456789 \U0001F3BA\u00e90123456789"

static void hostile_and_long_names_stay_text(void **state)
{
    (void)state;
    if (!have_parser())
        skip();
    struct season s = marked();
    put(&s, "faults",
        "fault\n\"" NASTY "\"\n\"" TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN
        "\"\n");
    put(&s, "sections", "section,parent\n\"" NASTY "\",brass\n");
    put(&s, "marks",
        "clip,time,target,fault\ntue,0:05,\"" NASTY "\",\"" NASTY "\"\n"
        "tue,0:06,\"" NASTY "\",\"" TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN
        "\"\n");
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY, "--together", "--fixed",
             "warm; \\,\x1b[0m up:10"),
         0);
    const char *text = ics(&s, DAY, "Europe/Berlin");
    by_parser(&s, text, DAY, "Europe/Berlin");
    assert_non_null(strstr(text, "SUMMARY:warm\\; \\\\\\,?[0m up\r\n")); /* 3.3.11 */
    ends(BOX(&s, "plan", "a.show", "--minutes", "60", "--date", DAY), 0);
    text = ics(&s, DAY, "Europe/Berlin"); /* with what is cancelled, and sectionals */
    by_parser(&s, text, DAY, "Europe/Berlin");
    assert_non_null(strstr(text, "STATUS:CANCELLED"));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, days, every_block_is_an_event_of_its_time);
    cases_of(&all, refused, is_refused_in_one_line);
    case_test(&all, the_published_hours_are_these);
    case_test(&all, a_change_during_the_rehearsal_is_told);
    case_test(&all, the_zone_is_the_options_else_the_shows_else_the_laptops);
    case_test(&all, without_a_zone_times_are_local_ones);
    case_test(&all, the_same_plan_is_the_same_calendar);
    case_test(&all, a_plan_made_anew_takes_the_place_of_the_one_before);
    case_test(&all, what_an_earlier_plan_had_is_cancelled_until_it_comes_back);
    case_test(&all, what_was_done_is_not_cancelled);
    case_test(&all, a_plan_that_is_taken_away_is_cancelled_whole);
    case_test(&all, a_closed_field_is_in_nobodys_calendar);
    case_test(&all, a_block_has_its_cautions_and_the_rehearsal_has_all);
    case_test(&all, the_rehearsal_is_one_event_from_plan_to_plan);
    case_test(&all, a_rehearsal_that_is_taken_away_is_cancelled);
    case_test(&all, a_plan_of_version_6_is_the_same_events);
    case_test(&all, a_plan_of_version_5_is_in_the_calendar_too);
    case_test(&all, a_section_gets_what_it_does);
    case_test(&all, then_comes_behind_what_it_follows);
    case_test(&all, hostile_and_long_names_stay_text);
    return cases_run(&all, "a calendar");
}
