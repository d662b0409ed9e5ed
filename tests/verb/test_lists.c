/* Fix lists, call lists and keys, as a user asks for them. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

/* Marks of this season, from which every expectation below is counted by hand. */
static const char marks[] = "clip,time,target,fault,note,severity,cause,praise\n"
                            "tue,10,T1,horn angle,low bell,1,,\n"
                            "tue,20,T1;T2,horn angle,,3,,\n"
                            "thu,30,trumpets;U1,horn angle,,2,,\n"
                            "tue,40,T2,late,,1,,\n"
                            "thu,50,T2,late,,1,,\n"
                            "tue,60,brass,feet,all of you,2,,\n"
                            "thu,70,ensemble,style,,1,,\n"
                            "tue,80,T1,late,,,,yes\n"
                            "thu,90,winds,horn angle,,,,yes\n"
                            "tue,100,D1,late,,1,define,\n";

static struct season marked_season(void)
{
    static char *show;
    static size_t n;
    struct season s = season_new();
    if (show) {
        write_bytes(s.dir, "a.show", show, n);
        return s;
    }
    struct run_setup in = season_in(&s, marks);
    ends(box(&in, "add", "a.show", "marks", "-", NULL), 0);
    show = read_file(path_in(s.dir, "a.show"), &n);
    return s;
}

/* "horn angle 3 in 2 of 2, worst 3; late arrival 2 ..." */
static const char *told(const json_t *items)
{
    const char *text = "";
    size_t i;
    json_t *item;
    json_array_foreach(items, i, item)
    {
        assert_int_equal(json_int(item, "rank"), i + 1);
        text = arena_printf(test_arena(), "%s%s%s %lld in %lld of %lld, worst %lld", text,
                            i ? "; " : "", json_str(item, "fault"), json_int(item, "marks"),
                            json_int(item, "runs"), json_int(item, "runs_total"),
                            json_int(item, "severity"));
    }
    return text;
}

static const struct list_row {
    const char *name;
    const char *args[6];
    const char *of, *items, *keep, *with; /* with: "brass: items / keep" */
} lists[] = {
    {"everybody's list has every mark once",
     {0},
     "ensemble",
     "horn angle 3 in 2 of 2, worst 3; late arrival 3 in 2 of 2, worst 1; feet apart at halt 1 in "
     "1 of 2, worst 2; style 1 in 1 of 2, worst 1",
     "horn angle 1 in 1 of 2, worst 1; late arrival 1 in 1 of 2, worst 1",
     ""},
    {"a section has its own and, apart, what its groups were told",
     {"--for", "trumpets"},
     "trumpets",
     "horn angle 3 in 2 of 2, worst 3; late arrival 2 in 2 of 2, worst 1",
     "late arrival 1 in 1 of 2, worst 1",
     "brass: feet apart at halt 1 in 1 of 2, worst 2 / ; winds:  / horn angle 1 in 1 of 2, worst "
     "1; ensemble: style 1 in 1 of 2, worst 1 / "},
    {"a section by another of its words",
     {"--for", "Tuba"},
     "tubas",
     "horn angle 1 in 1 of 2, worst 2",
     "",
     "brass: feet apart at halt 1 in 1 of 2, worst 2 / ; winds:  / horn angle 1 in 1 of 2, worst "
     "1; ensemble: style 1 in 1 of 2, worst 1 / "},
    {"a group counts a mark on two of its sections once",
     {"--for", "brass"},
     "brass",
     "horn angle 3 in 2 of 2, worst 3; late arrival 2 in 2 of 2, worst 1; feet apart at halt 1 in "
     "1 of 2, worst 2",
     "late arrival 1 in 1 of 2, worst 1",
     "winds:  / horn angle 1 in 1 of 2, worst 1; ensemble: style 1 in 1 of 2, worst 1 / "},
    {"a performer has their own, and their section's apart",
     {"--for", "t1"},
     "T1",
     "horn angle 2 in 1 of 2, worst 3",
     "late arrival 1 in 1 of 2, worst 1",
     "trumpets: horn angle 1 in 1 of 2, worst 2 / ; brass: feet apart at halt 1 in 1 of 2, worst "
     "2 / ; winds:  / horn angle 1 in 1 of 2, worst 1; ensemble: style 1 in 1 of 2, worst 1 / "},
    {"one clip",
     {"--for", "trumpets", "--clip", "thu"},
     "trumpets",
     "horn angle 1 in 1 of 1, worst 2; late arrival 1 in 1 of 1, worst 1",
     "",
     "winds:  / horn angle 1 in 1 of 1, worst 1; ensemble: style 1 in 1 of 1, worst 1 / "},
    {"two clips, named twice, are two",
     {"--clip", "tue", "--clip", "thu", "--clip=1"},
     "ensemble",
     "horn angle 3 in 2 of 2, worst 3; late arrival 3 in 2 of 2, worst 1; feet apart at halt 1 in "
     "1 of 2, worst 2; style 1 in 1 of 2, worst 1",
     "horn angle 1 in 1 of 2, worst 1; late arrival 1 in 1 of 2, worst 1",
     ""},
    {"clips since a date",
     {"--since", "2026-09-02"},
     "ensemble",
     "horn angle 1 in 1 of 1, worst 2; style 1 in 1 of 1, worst 1; late arrival 1 in 1 of 1, worst "
     "1",
     "horn angle 1 in 1 of 1, worst 1",
     ""},
    {"clips since the day itself",
     {"--since", "2026-09-03", "--for", "U1"},
     "U1",
     "horn angle 1 in 1 of 1, worst 2",
     "",
     "winds:  / horn angle 1 in 1 of 1, worst 1; ensemble: style 1 in 1 of 1, worst 1 / "},
    {"no clip is left", {"--since", "2027-01-01"}, "ensemble", "", "", ""},
    {"a section nobody marked has the groups' only",
     {"--for", "drums"},
     "drums",
     "late arrival 1 in 1 of 2, worst 1",
     "",
     "ensemble: style 1 in 1 of 2, worst 1 / "},
};

static json_t *fixes_json(const struct season *s, const char *const args[6])
{
    return json_out(BOX(s, "fixes", "a.show", "--as", "json", args[0], args[1], args[2], args[3],
                        args[4], args[5]));
}

static void is_listed(void **state)
{
    static struct season s;
    const struct list_row *l = *state;
    if (!s.dir)
        s = marked_season();
    json_t *root = fixes_json(&s, l->args), *part;
    assert_string_equal(json_str(root, "show"), "Larkspur");
    assert_string_equal(json_str(root, "for"), l->of);
    assert_string_equal(told(json_at(root, "items")), l->items);
    assert_string_equal(told(json_at(root, "keep")), l->keep);
    const char *with = "";
    size_t i;
    json_array_foreach(json_at(root, "with"), i, part) with = arena_printf(
        test_arena(), "%s%s%s: %s / %s", with, i ? "; " : "", json_str(part, "section"),
        told(json_at(part, "items")), told(json_at(part, "keep")));
    assert_string_equal(with, l->with);
}

static void a_line_says_what_was_furthest_off_the_beat(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run_setup in = season_in(&s, "clip,time,target,fault,late_counts,late_error\n"
                                        "tue,10,T1,late,0.5,0.1\n"
                                        "tue,20,T1,late,-1.5,0.2\n"
                                        "thu,30,T1,late,1,0.1\n");
    ends(box(&in, "add", "a.show", "marks", "-", NULL), 0);
    json_t *item = json_array_get(json_at(fixes_json(&s, (const char *const[6]){0}), "items"), 0);
    assert_true(json_real_value(json_at(item, "late_counts")) == -1.5);
    assert_true(json_real_value(json_at(item, "late_error")) == 0.2);
}

static void a_line_leads_back_to_every_moment(void **state)
{
    (void)state;
    struct season s = marked_season();
    json_t *root = fixes_json(&s, (const char *const[6]){"--for", "trumpets"}),
           *item = json_array_get(json_at(root, "items"), 0), *moments = json_at(item, "moments"),
           *who = json_at(item, "performers");
    static const struct {
        const char *clip, *link, *note;
        int ms;
    } want[] = {{"tue", "tue.avi#t=8", "low bell", 10000},
                {"tue", "tue.avi#t=18", "", 20000},
                {"thu", "thu.avi#t=28", "", 30000}};
    assert_int_equal(json_array_size(moments), 3);
    for (size_t i = 0; i < 3; i++) {
        json_t *m = json_array_get(moments, i);
        assert_string_equal(json_str(m, "clip"), want[i].clip);
        assert_string_equal(json_str(m, "link"), want[i].link);
        assert_string_equal(json_str(m, "note"), want[i].note);
        assert_int_equal(json_int(m, "ms"), want[i].ms);
        assert_true(json_is_null(json_at(m, "set")) && json_is_null(json_at(m, "count")));
    }
    assert_int_equal(json_array_size(who), 2);
    assert_string_equal(json_str(json_array_get(who, 0), "performer"), "T1");
    assert_string_equal(json_str(json_array_get(who, 0), "name"), "Ada Fenwright");
    assert_int_equal(json_int(json_array_get(who, 0), "marks"), 2);
    assert_string_equal(json_str(item, "cause"), "execute");
    assert_string_equal(json_str(item, "family"), "horns");
    assert_string_equal(json_str(item, "state"), "open");
}

static void a_cause_given_with_one_mark_makes_the_line_the_staffs(void **state)
{
    (void)state;
    struct season s = marked_season();
    json_t *root = fixes_json(&s, (const char *const[6]){"--for", "drums"});
    assert_string_equal(json_str(json_array_get(json_at(root, "items"), 0), "cause"), "define");
}

static void the_same_list_is_written_as_text_and_csv(void **state)
{
    (void)state;
    struct season s = marked_season();
    struct run text = BOX(&s, "fixes", "a.show", "--for", "trumpets"),
               csv = BOX(&s, "fixes", "a.show", "--for", "trumpets", "--as", "csv");
    assert_quiet(text);
    assert_quiet(csv);
    assert_contains(text.out, "Fix list: trumpets   Larkspur\n"
                              "2 clips: tue (2026-09-01) to thu (2026-09-03)\n\n"
                              "Keep late arrival ×1: no set: tue 1:20.0\n");
    assert_contains(text.out,
                    "no set: tue 0:10.0 0:20.0, thu 0:30.0\n    tue 0:10.0 \"low bell\"\n");
    assert_contains(text.out, "right: One angle on every count. [open since 2026-09-01]\n");
    assert_contains(text.out, "\nWith all brass:\n");
    assert_contains(csv.out, "\r\nfix,trumpets,1,horn angle,horns,3,2,2,3,execute,open,");
    assert_contains(csv.out, ",tue,10.000,tue.avi#t=8,tue,20.000,tue.avi#t=18,");
    assert_contains(csv.out, "\r\nkeep,trumpets,1,late arrival,timing,1,1,2,1,execute,open,");
    assert_contains(csv.out, "\r\nwith,brass,1,feet apart at halt,feet & legs,1,");
}

/* 5 marks in 10 minutes: Garwood's interval for 5 is 1.623 to 11.668 (R's poisson.test, rank/stat). */
static void history_goes_from_rehearsal_to_rehearsal(void **state)
{
    (void)state;
    struct season s = season_new();
    const char *env[] = {"BOXCALL_CLOCK=1788582600000", "TZ=UTC", NULL}; /* 2026-09-05 */
    struct run_setup in = season_in(&s, "clip,time,target,fault\ntue,10,T1,late\ntue,20,T1,late\n"
                                        "tue,30,T2,late\ntue,40,T1,late\ntue,50,T1,late\n"
                                        "thu,10,T1,late\nthu,20,U1,late\n");
    ends(box(&in, "add", "a.show", "marks", "-", NULL), 0);
    ends(BOX(&s, "watched", "a.show", "tue", "0", "10:00"), 0);
    s.setup.env = env;
    ends(BOX(&s, "state", "a.show", "trumpets", "late arrival", "clean"), 0);
    struct run text = BOX(&s, "history", "a.show", "--for", "trumpets", "--fault", "late arrival");
    assert_quiet(text);
    assert_contains(text.out,
                    "History: trumpets   Larkspur\n3 rehearsals: 2026-09-01 to 2026-09-05\n");
    assert_contains(text.out, "\n  2026-09-01     5   10.0  0.5 (0.16 to 1.2)     ");
    assert_contains(text.out, "\n  2026-09-03     1      -");
    assert_contains(text.out, "\n  2026-09-05     -      -");
    assert_contains(text.out, " clean\n");
    json_t *items =
               json_at(json_out(BOX(&s, "history", "a.show", "--for", "trumpets", "--as", "json")),
                       "items"),
           *all = json_at(json_array_get(items, 0), "rehearsals");
    assert_int_equal(json_array_size(items), 1);
    assert_int_equal(json_array_size(all), 3);
    const json_t *first = json_array_get(all, 0), *last = json_array_get(all, 2);
    assert_int_equal(json_int(first, "marks"), 5);
    assert_true(json_real_value(json_at(first, "rate")) == 0.5);
    assert_true(fabs(json_real_value(json_at(first, "rate_low")) - 0.16234863901) < 1e-9);
    assert_true(fabs(json_real_value(json_at(first, "rate_high")) - 1.16683320793) < 1e-9);
    assert_true(json_is_null(json_at(json_array_get(all, 1), "rate")));
    assert_true(json_is_null(json_at(last, "marks")));
    assert_string_equal(json_str(last, "state"), "clean");
    assert_string_equal(json_str(last, "state_by"), "D. Whitlow");
    struct run none = BOX(&s, "history", "a.show", "--fault", "lte arrival");
    assert_exit(none, 3);
    assert_contains(none.err, "did you mean 'late arrival'?");
    assert_contains(BOX(&s, "history", "a.show", "--for", "drums").out, "Nothing of it was marked");
}

static void names_can_be_left_out(void **state)
{
    (void)state;
    struct season s = marked_season();
    struct run json = BOX(&s, "fixes", "a.show", "--for", "T1", "--labels-only", "--as", "json"),
               text = BOX(&s, "fixes", "a.show", "--for", "T1", "--labels-only"),
               named = BOX(&s, "fixes", "a.show", "--for", "T1");
    assert_lacks(json.out, "Fenwright");
    assert_lacks(text.out, "Fenwright");
    assert_contains(named.out, "Fix list: T1, Ada Fenwright");
}

/* Who set a state is a person too. */
static void names_of_the_staff_can_be_left_out(void **state)
{
    (void)state;
    static const char *const as[] = {"text", "csv", "json"};
    struct season s = marked_season();
    ends(BOX(&s, "state", "a.show", "trumpets", "horn angle", "clean"), 0);
    ends(BOX(&s, "state", "a.show", "trumpets", "late arrival", "repped"), 0);
    for (size_t i = 0; i < sizeof as / sizeof *as; i++) {
        struct run named = BOX(&s, "fixes", "a.show", "--for", "trumpets", "--as", as[i]),
                   less = BOX(&s, "fixes", "a.show", "--for", "trumpets", "--labels-only", "--as",
                              as[i]);
        assert_contains(named.out, "Whitlow");
        assert_exit(less, 0);
        assert_lacks(less.out, "Whitlow");
    }
}

/* Late in the evening it is tomorrow in Greenwich. Whole and half hours from UTC. */
static void who_set_a_state_did_so_on_their_own_day(void **state)
{
    (void)state;
    static const struct {
        const char *zone, *day, *at;
    } rows[] = {
        {"TZ=CST6", "2026-09-04", "2026-09-04T22:30:00-06:00"},
        {"TZ=UTC", "2026-09-05", "2026-09-05T04:30:00Z"},
        {"TZ=<+0930>-9:30", "2026-09-05", "2026-09-05T14:00:00+09:30"},
    };
    struct season s = marked_season();
    const char *env[] = {"BOXCALL_CLOCK=1788582600000", NULL, NULL}; /* 2026-09-05 04:30 UTC */
    s.setup.env = env;
    ends(BOX(&s, "state", "a.show", "trumpets", "horn angle", "clean"), 0);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        env[1] = rows[i].zone;
        struct run text = BOX(&s, "fixes", "a.show", "--for", "trumpets"),
                   json = BOX(&s, "fixes", "a.show", "--for", "trumpets", "--as", "json");
        assert_contains(
            text.out,
            arena_printf(test_arena(), "Came clean horn angle ×3 (%s, D. Whitlow)", rows[i].day));
        assert_contains(json.out, arena_printf(test_arena(), "\"state_at\": \"%s\"", rows[i].at));
    }
}

/* What a section leader rehearses from: who, where in the drill, notes, what was measured, what right
 * looks like, state; in that order, on the sheet and in the tables. */
static void a_line_says_all_that_a_section_rehearses_from(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:08", "1"), 0);
    struct run_setup in = season_in(&s, "clip,time,target,fault,note,late_counts,late_error,"
                                        "measure,measure_value,measure_error,measure_of\n"
                                        "tue,8.6,T1,horn angle,low bell,,,interval,1.6,0.2,2\n"
                                        "tue,10.1,T1;T2,horn angle,,-2.1,0.3,interval,1.4,0.2,2\n"
                                        "tue,500,trumpets,horn angle,\"after the end, "
                                        "too\",,,speed,5.2,0.1,\n");
    ends(box(&in, "add", "a.show", "marks", "-", NULL), 0);
    struct run text = BOX(&s, "fixes", "a.show", "--for", "trumpets"),
               csv = BOX(&s, "fixes", "a.show", "--for", "trumpets", "--as", "csv");
    assert_quiet(text);
    assert_contains(
        text.out, "\n 1  horn angle !  3 marks in 1 of 2 runs: T1 ×2, T2 ×1, trumpets ×1\n"
                  "    set 1, count 2–5: tue 0:08.6 0:10.1; no set: tue 8:20.0\n"
                  "    tue 0:08.6 \"low bell\"\n"
                  "    tue 8:20.0 \"after the end, too\"\n"
                  "    early by 2.1 ± 0.3 counts at tue 0:10.1 and interval 1.4 ± 0.2 of 2 at tue\n"
                  "      0:10.1 (the furthest off of 2) and 5.2 ± 0.1 feet a second at tue 8:20.0\n"
                  "    right: One angle on every count. [open since 2026-09-01]\n");
    assert_contains(csv.out, ",\"T1 ×2, T2 ×1\",trumpets ×1,");
    assert_contains(csv.out,
                    ",\"tue 0:08.6 \"\"low bell\"\"; tue 8:20.0 \"\"after the end, too\"\"\",");
    json_t *item = json_array_get(
        json_at(fixes_json(&s, (const char *const[6]){"--for", "trumpets"}), "items"), 0);
    assert_string_equal(json_str(item, "notes"),
                        "tue 0:08.6 \"low bell\"; tue 8:20.0 \"after the end, too\"");
    static const char *const same[] = {"measured", "since", "state", "right"};
    for (size_t i = 0; i < sizeof same / sizeof *same; i++)
        assert_contains(csv.out, json_str(item, same[i]));
}

/* Every name of a column of CSV is a member of JSON, and the other way round. */
static void tables_have_the_same_columns(void **state)
{
    (void)state;
    struct season s = marked_season();
    static const char *const verbs[] = {"fixes", "define"};
    for (size_t v = 0; v < 2; v++) {
        struct run csv = BOX(&s, verbs[v], "a.show", "--as", "csv");
        const json_t *items =
            json_at(json_out(BOX(&s, verbs[v], "a.show", "--as", "json")), "items");
        char *head = arena_strdup(test_arena(), csv.out);
        size_t n = 0;
        head[strcspn(head, "\r")] = '\0';
        for (char *name = strtok(head, ","); name; name = strtok(NULL, ","), n++) {
            const char *key = strcmp(name, "for") == 0 ? "who" : name; /* a list there */
            if (!json_object_get(json_array_get(items, 0), key))
                fail_msg("%s: no '%s' in JSON", verbs[v], name);
        }
        assert_int_equal(n, json_object_size(json_array_get(items, 0)));
    }
}

static const char *first_link(struct run r)
{
    return json_str(json_array_get(json_at(json_out(r), "items"), 0), "first_link");
}

static void links_begin_where_the_list_lies(void **state)
{
    (void)state;
    struct season s = marked_season();
    write_bytes(s.dir, "lists/all.csv", "", 0);
    assert_string_equal(first_link(BOX(&s, "fixes", "a.show", "--as", "json")), "tue.avi#t=8");
    assert_string_equal(
        first_link(BOX(&s, "fixes", "a.show", "--as", "json", "--link-from", "lists")),
        "../tue.avi#t=8");
    /* Written into a file there, by the shell. */
    struct run_setup to = s.setup;
    to.out_to = path_in(s.dir, "lists/all.csv");
    ends(box(&to, "fixes", "a.show", "--as", "csv", NULL), 0);
    size_t n;
    assert_contains(read_file(to.out_to, &n), ",../tue.avi#t=8,");
    ends(box(&to, "calls", "a.show", "tue", "--as", "csv", NULL), 0);
    assert_contains(read_file(to.out_to, &n), ",../tue.avi#t=8\r\n");
    struct run none = BOX(&s, "fixes", "a.show", "--link-from", "nowhere"),
               file = BOX(&s, "define", "a.show", "--link-from", "tue.avi");
    assert_exit(none, 3);
    assert_contains(none.err, "--link-from nowhere: there is no such folder");
    assert_exit(file, 3);
    assert_contains(file.err, "--link-from tue.avi: is no folder");
}

/* One mark that asks does not make the others of its fault ask; a decision answers those that were
 * there, and a later one asks again. */
static void only_marks_that_ask_wait_for_a_decision(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "mark", "a.show", "tue", "10", "T1", "horn angle"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "20", "T2", "horn angle", "--cause", "define", "--note",
             "how high?"),
         0);
    struct run list = BOX(&s, "define", "a.show");
    assert_contains(list.out, "\n  horn angle  1 mark in 1 of 2 runs: T2 ×1\n"
                              "    no set: tue 0:20.0\n"
                              "    tue 0:20.0 \"how high?\"\n"
                              "    so far: One angle on every count.\n");
    assert_lacks(list.out, "Decided");
    assert_contains(BOX(&s, "fixes", "a.show").out, "horn angle ! (define)");
    ends(BOX(&s, "define", "a.show", "horn angle", "--decide", "Ten degrees up."), 0);
    list = BOX(&s, "define", "a.show");
    assert_contains(list.out,
                    "\nNothing waits for a decision.\n\nDecided\n\n  horn angle\n    D. Whitlow, ");
    assert_contains(list.out,
                    ": Ten degrees up.\n    it was asked by 1 mark in 1 of 2 runs: T2 ×1\n");
    struct run fixes = BOX(&s, "fixes", "a.show");
    assert_lacks(fixes.out, "(define)");
    assert_contains(fixes.out, "decided: Ten degrees up. [open since");
    ends(BOX(&s, "mark", "a.show", "tue", "30", "T3", "horn angle", "--cause", "define"), 0);
    list = BOX(&s, "define", "a.show");
    assert_contains(list.out, "\n  horn angle  1 mark in 1 of 2 runs: T3 ×1\n");
    assert_contains(list.out, "\nDecided\n\n  horn angle\n");
    assert_contains(BOX(&s, "fixes", "a.show").out, "horn angle ! (define)");
    /* What came clean asks no more, and a line of clean marks still says whose they were. */
    ends(BOX(&s, "state", "a.show", "trumpets", "horn angle", "clean"), 0);
    assert_contains(BOX(&s, "define", "a.show").out, "Nothing waits for a decision.");
    json_t *item = json_array_get(
        json_at(fixes_json(&s, (const char *const[6]){"--for", "trumpets"}), "items"), 0);
    assert_string_equal(json_str(item, "cause"), "execute");
    assert_int_equal(json_array_size(json_at(item, "performers")), 3);
    ends(BOX(&s, "mark", "a.show", "thu", "10", "T2", "horn angle"), 0);
    item = json_array_get(
        json_at(fixes_json(&s, (const char *const[6]){"--for", "trumpets"}), "items"), 0);
    assert_int_equal(json_array_size(json_at(item, "performers")), 1); /* of what is open again */
    assert_string_equal(json_str(item, "cause"), "execute");
}

/* Two cameras at one run are one run. */
static void two_clips_of_one_run_count_once(void **state)
{
    (void)state;
    struct season s = season_new();
    season_clip(&s, "side.avi", 20, 9);
    struct run added =
        BOX(&s, "add", "a.show", "clip", "side.avi", "--date", "2026-09-01", "--run", "1");
    assert_exit(added, 0);
    assert_contains(added.err,
                    "2026-09-01 run 1 is that of clip tue too: lists count the two as one "
                    "run; if it is another, add it again with --run 2\n");
    ends(BOX(&s, "mark", "a.show", "tue", "10", "T1", "horn angle"), 0);
    ends(BOX(&s, "mark", "a.show", "side", "10", "T1", "horn angle"), 0);
    struct run list = BOX(&s, "fixes", "a.show");
    assert_contains(list.out, "2 marks in 1 of 2 runs");
    assert_contains(list.out, "no set: side 0:10.0, tue 0:10.0");
    /* Another run of the same date is another run; its minutes are the rehearsal's. */
    ends(BOX(&s, "add", "a.show", "clip", "side.avi", "--run", "2"), 0);
    assert_contains(BOX(&s, "fixes", "a.show").out, "2 marks in 2 of 3 runs");
    ends(BOX(&s, "watched", "a.show", "tue", "0", "10:00"), 0);
    ends(BOX(&s, "watched", "a.show", "side", "0", "20"), 0);
    assert_contains(BOX(&s, "history", "a.show").out, "\n  2026-09-01     2   10.3 ");
}

/* A list that was written is the list that is read. */
static void calls_written_as_csv_are_the_same_marks_when_added(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "mark", "a.show", "tue", "12.345678", "T1", "horn angle", "--note", "=1+1"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "12.3456", "T1", "horn angle", "--note", "'=1"), 0);
    struct run csv = BOX(&s, "calls", "a.show", "tue", "--as", "csv");
    struct run_setup in = season_in(&s, csv.out);
    struct run r = box(&in, "add", "a.show", "marks", "-", NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "0 added, 2 ");
    assert_string_equal(BOX(&s, "calls", "a.show", "tue", "--as", "csv").out, csv.out);
}

/* On the list and in a message: two names that look the same are the same. */
static void what_is_not_seen_in_a_name_is_shown(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run_setup in = season_in(&s, "performer,name,section\nT1,Ada\xe2\x80\x8b Fenwright,"
                                        "trumpets\nT\xc2\xad"
                                        "1,Ada Fenwright,trumpets\n");
    ends(box(&in, "add", "a.show", "roster", "-", NULL), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T1", "horn angle"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "6",
             "T\xc2\xad"
             "1",
             "horn angle"),
         0);
    struct run text = BOX(&s, "fixes", "a.show", "--for", "T1"),
               list = BOX(&s, "fixes", "a.show", "--for", "trumpets"),
               none = BOX(&s, "fixes", "a.show", "--for", "Zoe\xe2\x80\x8f");
    assert_contains(text.out, "T1, Ada??? Fenwright");
    assert_contains(list.out, "T??1 ×1");
    assert_contains(none.err, "no section or performer 'Zoe?"
                              "?"
                              "?'");
}

/* --- call lists ---------------------------------------------------------------------------------
 */

static void the_calls_of_a_clip_stand_in_time_order(void **state)
{
    (void)state;
    struct season s = marked_season();
    json_t *list = json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json")), *m;
    long long last = -1;
    size_t i;
    assert_int_equal(json_array_size(list), 6);
    json_array_foreach(list, i, m)
    {
        assert_string_equal(json_str(m, "clip"), "tue");
        assert_true(json_int(m, "ms") > last);
        last = json_int(m, "ms");
        assert_true(json_int(m, "id") > 0);
        assert_string_equal(json_str(m, "author"), "D. Whitlow");
        assert_string_equal(json_str(m, "state"), "open");
        assert_true(json_is_boolean(json_at(m, "praise")));
    }
    m = json_array_get(list, 1);
    assert_string_equal(json_string_value(json_array_get(json_at(m, "targets"), 0)), "T1");
    assert_string_equal(json_string_value(json_array_get(json_at(m, "targets"), 1)), "T2");
}

static void the_calls_of_a_clip_are_text_and_captions(void **state)
{
    (void)state;
    struct season s = marked_season();
    struct run text = BOX(&s, "calls", "a.show", "tue"),
               vtt = BOX(&s, "calls", "a.show", "tue", "--as", "vtt");
    assert_quiet(text);
    assert_quiet(vtt);
    assert_contains(text.out, "Calls: tue (2026-09-01)   Larkspur\n6 marks\n\n"
                              "0:10.000 T1    horn angle         !    low bell\n");
    assert_contains(text.out, "\n1:20.000 T1    late arrival       keep\n");
    assert_true(strncmp(vtt.out, "WEBVTT\n\n", 8) == 0);
    assert_contains(vtt.out, "\n00:00:08.000 --> 00:00:13.000\nT1: horn angle\nlow bell\n");
    assert_contains(vtt.out, "\n00:01:18.000 --> 00:01:23.000\nT1: keep late arrival\n");
}

/* --- one mark ------------------------------------------------------------------------------------
 */

static void a_mark_from_a_script_takes_every_option(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = BOX(&s, "mark", "a.show", "tue", "0:05:58.200", "T3;T1", "bell angle", "--note",
                       "so", "--severity=2", "--cause", "define", "--author", "I. Marrow");
    assert_exit(r, 0);
    assert_string_equal(r.out, "");
    assert_string_equal(r.err, "mark 1: 5:58.200 T3, T1, horn angle\n");
    json_t *m = json_array_get(json_out(BOX(&s, "calls", "a.show", "1", "--as", "json")), 0);
    assert_int_equal(json_int(m, "ms"), 358200);
    assert_int_equal(json_int(m, "severity"), 2);
    assert_string_equal(json_str(m, "cause"), "define");
    assert_string_equal(json_str(m, "note"), "so");
    assert_string_equal(json_str(m, "author"), "I. Marrow");
    r = BOX(&s, "mark", "a.show", "tue", "600", "ensemble", "qs", "--praise", "--severity=1");
    assert_string_equal(r.err, "mark 2: 10:00.000 ensemble, keep style\n");
}

/* --- keys ----------------------------------------------------------------------------------------
 */

static void no_key_of_a_kind_begins_another(void **state)
{
    (void)state;
    struct season s = season_empty();
    ends(BOX(&s, "new", "a.show"), 0);
    json_t *list = json_out(BOX(&s, "keys", "a.show", "--as", "json")), *a, *b;
    size_t i, k, sections = 0, faults = 0, tools = 0;
    double section_letters = 0, fault_letters = 0;
    json_array_foreach(list, i, a)
    {
        const char *kind = json_str(a, "kind"), *keys = json_str(a, "keys");
        bool section = strcmp(kind, "section") == 0, fault = strcmp(kind, "fault") == 0;
        assert_true(*keys && *json_str(a, "what"));
        sections += section;
        faults += fault;
        tools += strcmp(kind, "tool") == 0;
        section_letters += section ? (double)strlen(keys) : 0;
        fault_letters += fault ? (double)strlen(keys) : 0;
        json_array_foreach(list, k, b) if (k != i && (section || fault) &&
                                           strcmp(kind, json_str(b, "kind")) == 0)
            assert_false(strncmp(json_str(b, "keys"), keys, strlen(keys)) == 0);
    }
    assert_int_equal(sections, 22);
    assert_int_equal(faults, 79);
    assert_true(tools > 20);
    assert_true(section_letters / 22 + fault_letters / 79 <= 3);
}

static void the_keys_are_the_shows_own(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run text = BOX(&s, "keys", "a.show"), csv = BOX(&s, "keys", "a.show", "--as", "csv");
    assert_contains(text.out, "section keys\n  e            ensemble\n");
    assert_contains(text.out, "fault keys\n  l            late arrival\n");
    assert_contains(csv.out, "keys,what,kind,where\r\ne,ensemble,section,review\r\n");
    assert_contains(csv.out, "\r\nqs,style,fault,review\r\n");
}

/* --- a show that went through much --------------------------------------------------------------
 */

static void check_names_a_clip_that_is_gone_and_numbers_that_are_double(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run_setup in =
        season_in(&s, "performer,section\nT1,trumpets\nTp-1,trumpets\nU1,tubas\n");
    ends(box(&in, "add", "a.show", "roster", "-", NULL), 0);
    assert_int_equal(remove(path_in(s.dir, "thu.avi")), 0);
    struct run r = BOX(&s, "check", "a.show");
    assert_exit(r, 0);
    assert_contains(r.err,
                    "note: T1 and Tp-1 of trumpets have the same number 1; a chord finds T1");
    assert_contains(r.err, "thu.avi: the clip 'thu' is not there any more");
    assert_contains(r.err, "boxcall add ");
    r = BOX(&s, "fixes", "a.show"); /* lists need no clip files */
    assert_exit(r, 0);
}

/* What --help tells and what the first line of the CSV says come from one table. */
static const struct written_row {
    const char *name, *args[10], *heading;
} written[] = {
    {"fixes", {"fixes", "a.show", "--as", "csv"}, "Columns of --as csv:"},
    {"calls", {"calls", "a.show", "tue", "--as", "csv"}, "Columns of --as csv:"},
    {"compare",
     {"compare", "a.show", "--from-clip", "tue", "--to-clip", "thu", "--as", "csv"},
     "Columns of --as csv:"},
    {"define", {"define", "a.show", "--as", "csv"}, "Columns of --as csv:"},
    {"keys", {"keys", "a.show", "--as", "csv"}, "Columns of --as csv:"},
    {"ties", {"count", "a.show", "tue", "ties", "--as", "csv"}, "Columns of --as csv, ties:"},
    {"at",
     {"count", "a.show", "tue", "at", "5", "--as", "csv"},
     "Columns of --as csv, at and when:"},
};

static void every_column_that_is_written_is_told(void **state)
{
    const struct written_row *r = *state;
    struct season s = marked_season();
    const char *const *a = r->args;
    struct run csv = BOX(&s, a[0], a[1], a[2], a[3], a[4], a[5], a[6], a[7], a[8], a[9]);
    assert_exit(csv, 0);
    struct run help = BOX(&s, a[0], "--help");
    const char *told = strstr(help.out, r->heading);
    assert_non_null(told);
    const char *line = told;
    for (char *name = strtok(arena_strndup(test_arena(), csv.out, strcspn(csv.out, "\r")), ",");
         name; name = strtok(NULL, ",")) { /* in the same order */
        line = strstr(line, arena_printf(test_arena(), "\n  %s ", name));
        if (!line)
            fail_msg("'%s' is not told in its place in\n%s", name, told);
    }
}

static void a_season_of_many_rows_is_listed_right(void **state)
{
    (void)state;
    enum { MARKS = 3000 };
    struct season s = season_new();
    struct buf b = {0};
    int late = 0;
    buf_str(&b, "clip,time,target,fault\n");
    for (int i = 0; i < MARKS; i++) {
        buf_printf(&b, "%s,%d.%d,%s,%s\n", i % 3 ? "tue" : "thu", i % 300, i % 10,
                   i % 2 ? "T1;T2" : "U1", i % 5 ? "late" : "h");
        late += i % 5 != 0 && i % 2;
    }
    struct run_setup in = season_in(&s, b.p);
    struct run r = box(&in, "add", "a.show", "marks", "-", NULL);
    assert_string_equal(r.err, "marks: 3000 added\n");
    buf_free(&b);
    json_t *item = json_array_get(
        json_at(fixes_json(&s, (const char *const[6]){"--for", "trumpets"}), "items"), 0);
    assert_string_equal(json_str(item, "fault"), "late arrival");
    assert_int_equal(json_int(item, "marks"), late);
    assert_int_equal(json_array_size(json_at(item, "moments")), late);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, who_set_a_state_did_so_on_their_own_day);
    case_test(&all, calls_written_as_csv_are_the_same_marks_when_added);
    case_test(&all, what_is_not_seen_in_a_name_is_shown);
    cases_of(&all, lists, is_listed);
    case_test(&all, a_line_says_what_was_furthest_off_the_beat);
    case_test(&all, a_line_leads_back_to_every_moment);
    case_test(&all, a_cause_given_with_one_mark_makes_the_line_the_staffs);
    case_test(&all, the_same_list_is_written_as_text_and_csv);
    case_test(&all, a_line_says_all_that_a_section_rehearses_from);
    case_test(&all, tables_have_the_same_columns);
    case_test(&all, links_begin_where_the_list_lies);
    case_test(&all, only_marks_that_ask_wait_for_a_decision);
    case_test(&all, two_clips_of_one_run_count_once);
    case_test(&all, history_goes_from_rehearsal_to_rehearsal);
    case_test(&all, names_can_be_left_out);
    case_test(&all, names_of_the_staff_can_be_left_out);
    case_test(&all, the_calls_of_a_clip_stand_in_time_order);
    case_test(&all, the_calls_of_a_clip_are_text_and_captions);
    case_test(&all, a_mark_from_a_script_takes_every_option);
    case_test(&all, no_key_of_a_kind_begins_another);
    case_test(&all, the_keys_are_the_shows_own);
    case_test(&all, check_names_a_clip_that_is_gone_and_numbers_that_are_double);
    cases_of(&all, written, every_column_that_is_written_is_told);
    case_test(&all, a_season_of_many_rows_is_listed_right);
    return cases_run(&all, "lists");
}
