/* Fix lists in every format. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "paper/define.h"
#include "paper/season.h"

enum { LATE, STYLE, HORN };
enum { T1, T2, U1 };

static const struct rank_row rows[] = {
    {.fault = HORN, .performer = T1, .clip = 0, .at_us = 5200000, .severity = 1, .set = 1},
    {.fault = HORN, .performer = T2, .clip = 1, .at_us = 6000000, .severity = 3, .set = 0},
    {.fault = STYLE,
     .performer = -1,
     .clip = 1,
     .at_us = 7000000,
     .severity = 1,
     .set = -1,
     .cause = CAUSE_DEFINE},
    {.fault = LATE,
     .performer = T1,
     .clip = 0,
     .at_us = 9000000,
     .severity = 1,
     .set = -1,
     .praise = true},
};
static const struct rank_row group_rows[] = {
    {.fault = LATE, .performer = -1, .clip = 0, .at_us = 1000000, .severity = 2, .set = -1},
};

static struct rank_list rank(struct arena *a, const struct show *show, int section,
                             const struct rank_row *at, size_t n)
{
    struct rank_fold *f = rank_begin(show, (struct rank_clips){2, NULL});
    for (size_t i = 0; i < n; i++) {
        struct rank_row row = at[i];
        row.section = section;
        rank_feed(f, &row);
    }
    return rank_end(f, RANK_FREQUENCY, a);
}

static struct report_part part_of(struct arena *a, const struct show *show, const char *section,
                                  const struct rank_row *at, size_t n)
{
    struct report_part p = {.section = show_section(show, section), .n_moments = n};
    p.list = rank(a, show, p.section, at, n);
    p.moments = arena_alloc(a, n * sizeof *p.moments);
    for (size_t i = 0; i < n; i++)
        p.moments[i] = (struct report_moment){.fault = at[i].fault,
                                              .praise = at[i].praise,
                                              .at = {at[i].clip, at[i].at_us},
                                              .mark = (int64_t)i + 1,
                                              .set = at[i].set,
                                              .count = 3.5,
                                              .note = "watch"};
    return p;
}

/* The trumpets' list over two clips, with one line of all brass. */
static struct fix_report report(struct arena *a, const struct show *show)
{
    static const struct report_clip clips[] = {
        {.label = "tuesday", .link = "tue 1.mp4", .path = "/c/tue 1.mp4", .date = "2026-09-14"},
        {.label = "thursday evening on the practice field",
         .link = "thu.mp4",
         .path = "/c/thu.mp4",
         .date = "2026-09-16"}};
    struct report_part *with = arena_alloc(a, sizeof *with);
    *with = part_of(a, show, "brass", group_rows, 1);
    return (struct fix_report){.show = show,
                               .title = "Larkspur",
                               .section = show_section(show, "trumpets"),
                               .performer = -1,
                               .clips = clips,
                               .n_clips = 2,
                               .n_runs = 2,
                               .own = part_of(a, show, "trumpets", rows, 4),
                               .with = with,
                               .n_with = 1};
}

static const char *text_of(struct arena *a, const struct fix_report *r, int width, bool links)
{
    struct buf b = {0};
    fixes_text(r, &(struct fixes_style){.width = width, .links = links}, &b);
    const char *text = arena_strdup(a, b.p);
    buf_free(&b);
    return text;
}

static void assert_has(const char *text, const char *part)
{
    if (!text || !strstr(text, part))
        fail_msg("no '%s' in:\n%s", part, text ? text : "nothing");
}

static void text_has_praise_first_then_lines_then_the_group_apart(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    const char *text = text_of(&a, &r, 0, false);
    static const char *const parts[] = {
        "Fix list: trumpets   Larkspur\n",
        "2 clips: tuesday (2026-09-14) to thursday evening on the practice field (2026-09-16)\n",
        "Keep late arrival ×1: no set: tuesday 0:09.0\n",
        " 1  horn angle !!!  2 marks in 2 of 2 runs: T1 ×1, T2 ×1\n",
        "    set 1, count 3: thursday evening on the practice field 0:06.0;\n",
        "      set 12A, count 3: tuesday 0:05.2\n",
        "    tuesday 0:05.2 \"watch\"\n",
        "    thursday evening on the practice field 0:06.0 \"watch\"\n",
        "[open since 2026-09-14]\n",
        " 2  style ! (define)  1 mark in 1 of 2 runs: trumpets ×1\n",
        "\nWith all brass:\n",
        " 1  late arrival !!  1 mark in 1 of 2 runs: brass ×1\n",
        "right: On the dot on the last count, even steps. [open since 2026-09-14]\n",
    };
    const char *at = text;
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        assert_has(at, parts[i]);
        at = strstr(at, parts[i]);
    }
    arena_free(&a);
}

static void lines_fit_the_terminal_and_every_moment_stays_whole(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    for (int style = 0; style < 4; style++)
        for (int width = 0; width < 160; width += 10) {
            struct buf b = {0};
            const int most = width > 40 && !(style & 1 && width < 80) ? width : 80;
            fixes_text(
                &r, &(struct fixes_style){.width = width, .brief = style & 1, .numbers = style & 2},
                &b);
            assert_has(b.p, " 0:05.2");
            assert_has(b.p, " 0:06.0");
            for (char *line = strtok(strstr(b.p, "Keep"), "\n"); line; line = strtok(NULL, "\n"))
                if (utf8_width(line) > most)
                    fail_msg("%d columns of %d: %s", utf8_width(line), most, line);
            buf_free(&b);
        }
    arena_free(&a);
}

static void a_brief_list_has_a_line_for_each_fault(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    fixes_text(&r, &(struct fixes_style){.width = 150, .brief = true}, &b);
    assert_has(b.p, "\nKeep: late arrival ×1 (first tuesday 0:09.0)\n");
    assert_has(b.p, "\n1 2     2 of 2 horn angle     !!! T1 ×1, T2 ×1 1 12A tuesday 0:05.2 ");
    assert_has(b.p, "\n2 1     1 of 2 style (define) !   trumpets ×1 ");
    assert_null(strstr(b.p, "right:"));
    assert_null(strstr(b.p, RANK_RULE));
    buf_clear(&b);
    fixes_text(&r, &(struct fixes_style){.width = 150, .brief = true, .numbers = true}, &b);
    assert_has(b.p, RANK_RULE);
    buf_free(&b);
    arena_free(&a);
}

/* OSC 8 as terminals know it: ESC ] 8 ; ; URI ST text ESC ] 8 ; ; ST */
static void on_a_terminal_each_moment_is_a_link(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    const char *text = text_of(&a, &r, 120, true);
    assert_has(text, "\033]8;;file:///c/tue%201.mp4#t=3.2\033\\0:05.2");
    assert_has(text, "\033]8;;file:///c/thu.mp4#t=4\033\\");
    size_t opened = 0, closed = 0;
    for (const char *s = text; (s = strstr(s, "\033]8;;")); s++)
        *(s[5] == '\033' ? &closed : &opened) += 1;
    assert_int_equal(opened, closed);
    assert_int_equal(opened, 5); /* every moment: four of the trumpets, praise too, one of brass */
    arena_free(&a);
}

static void csv_has_a_row_per_line_with_first_and_worst(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    fixes_csv(&r, &b);
    struct csv_rows *t = csv_rows_of(&a, &b);
    static const struct {
        const char *list, *target, *rank, *fault, *marks, *runs, *severity, *cause, *first_link,
            *worst_link;
    } want[] = {
        {"fix", "trumpets", "1", "horn angle", "2", "2", "3", "execute", "tue%201.mp4#t=3.2",
         "thu.mp4#t=4"},
        {"fix", "trumpets", "2", "style", "1", "1", "1", "define", "thu.mp4#t=5", "thu.mp4#t=5"},
        {"keep", "trumpets", "1", "late arrival", "1", "1", "1", "execute", "tue%201.mp4#t=7",
         "tue%201.mp4#t=7"},
        {"with", "brass", "1", "late arrival", "1", "1", "2", "execute", "tue%201.mp4#t=0",
         "tue%201.mp4#t=0"},
    };
    assert_int_equal(t->n, 5);
    for (size_t i = 0; i < 4; i++) {
        assert_string_equal(csv_at(t, i + 1, "list"), want[i].list);
        assert_string_equal(csv_at(t, i + 1, "target"), want[i].target);
        assert_string_equal(csv_at(t, i + 1, "rank"), want[i].rank);
        assert_string_equal(csv_at(t, i + 1, "fault"), want[i].fault);
        assert_string_equal(csv_at(t, i + 1, "marks"), want[i].marks);
        assert_string_equal(csv_at(t, i + 1, "runs"), want[i].runs);
        assert_string_equal(csv_at(t, i + 1, "runs_total"), "2");
        assert_string_equal(csv_at(t, i + 1, "severity"), want[i].severity);
        assert_string_equal(csv_at(t, i + 1, "cause"), want[i].cause);
        assert_string_equal(csv_at(t, i + 1, "first_link"), want[i].first_link);
        assert_string_equal(csv_at(t, i + 1, "worst_link"), want[i].worst_link);
    }
    buf_free(&b);
    arena_free(&a);
}

static json_t *json_report(const struct fix_report *r, bool labels_only)
{
    struct buf b = {0};
    fixes_json(r, &(struct fixes_style){.labels_only = labels_only}, &b);
    json_t *root = json_of(&b);
    buf_free(&b);
    return root;
}

static void json_has_every_moment_and_performer(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    json_t *root = json_report(&r, false), *items = json_object_get(root, "items"),
           *item = json_array_get(items, 0);
    assert_string_equal(json_str(root, "show"), "Larkspur");
    assert_string_equal(json_str(root, "for"), "trumpets");
    assert_int_equal(json_array_size(json_object_get(root, "clips")), 2);
    assert_int_equal(json_array_size(json_object_get(root, "keep")), 1);
    assert_int_equal(json_array_size(items), 2);
    assert_int_equal(json_int(item, "rank"), 1);
    assert_string_equal(json_str(item, "fault"), "horn angle");
    assert_string_equal(json_str(item, "family"), "horns");
    assert_int_equal(json_int(item, "marks"), 2);
    assert_int_equal(json_int(item, "runs"), 2);
    assert_int_equal(json_int(item, "runs_total"), 2);
    assert_int_equal(json_int(item, "severity"), 3);
    assert_string_equal(json_str(item, "state"), "open");
    assert_int_equal(json_array_size(json_object_get(item, "sets")), 2);
    json_t *who = json_array_get(json_object_get(item, "performers"), 0);
    assert_string_equal(json_str(who, "performer"), "T1");
    assert_string_equal(json_str(who, "name"), "Ada Fenwright");
    assert_int_equal(json_int(who, "marks"), 1);
    json_t *moments = json_object_get(item, "moments"), *m = json_array_get(moments, 1);
    assert_int_equal(json_array_size(moments), 2);
    assert_string_equal(json_str(m, "clip"), "thursday evening on the practice field");
    assert_int_equal(json_int(m, "ms"), 6000);
    assert_string_equal(json_str(m, "set"), "1");
    assert_string_equal(json_str(m, "link"), "thu.mp4#t=4");
    assert_string_equal(json_str(m, "note"), "watch");
    json_t *with = json_array_get(json_object_get(root, "with"), 0);
    assert_string_equal(json_str(with, "section"), "brass");
    assert_int_equal(json_array_size(json_object_get(with, "items")), 1);
    json_decref(root);
    arena_free(&a);
}

static void a_line_has_the_moments_to_mend_and_praise_those_to_keep(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    struct rank_row both[] = {rows[0], rows[0]};
    both[1].praise = true;
    both[1].at_us = 8000000;
    r.own = part_of(&a, &show, "trumpets", both, 2);
    json_t *root = json_report(&r, false),
           *line = json_array_get(json_object_get(root, "items"), 0),
           *moments = json_object_get(line, "moments");
    assert_int_equal(json_array_size(moments), 1);
    assert_int_equal(json_int(json_array_get(moments, 0), "ms"), 5200);
    json_decref(root);
    arena_free(&a);
}

static void what_waits_for_a_decision_has_no_moment_of_praise(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    struct rank_row both[] = {rows[2], rows[2]};
    both[1].praise = true;
    both[1].at_us = 8000000;
    r.own = part_of(&a, &show, "trumpets", both, 2);
    const char **days = arena_alloc(&a, show.n_faults * sizeof *days);
    define_text(&(struct define_report){.asked = r, .decided = r, .days = days, .only = -1}, &b);
    assert_has(b.p, "0:07.0");
    assert_null(strstr(b.p, "0:08.0"));
    buf_free(&b);
    arena_free(&a);
}

static void names_of_people_can_be_left_out(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    json_t *root = json_report(&r, true);
    char *text = json_dumps(root, 0);
    assert_null(strstr(text, "Fenwright"));
    free(text);
    json_decref(root);
    struct buf b = {0};
    r.performer = T1;
    fixes_text(&r, &(struct fixes_style){.labels_only = true}, &b);
    assert_null(strstr(b.p, "Fenwright"));
    buf_clear(&b);
    fixes_text(&r, &(struct fixes_style){0}, &b);
    assert_non_null(strstr(b.p, "Fix list: T1, Ada Fenwright"));
    buf_free(&b);
    arena_free(&a);
}

static void an_empty_list_says_so(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    struct show show = season(&a);
    struct fix_report r = {.show = &show, .title = "Larkspur", .performer = -1};
    const char *text = text_of(&a, &r, 0, false);
    assert_has(text, "no clips\n");
    assert_has(text, "Nothing to fix in these clips.\n");
    fixes_csv(&r, &b);
    assert_int_equal(csv_rows_of(&a, &b)->n, 1);
    json_t *root = json_report(&r, false);
    assert_int_equal(json_array_size(json_object_get(root, "items")), 0);
    assert_true(json_is_array(json_object_get(root, "with")));
    json_decref(root);
    buf_free(&b);
    arena_free(&a);
}

/* Whatever a name says: everything but the links is tame. */
static void a_name_can_do_no_harm(void **state)
{
    (void)state;
    struct arena a = {0};
    for (int i = 0; i < HARM; i++) {
        struct show show = season(&a);
        struct fix_report r = report(&a, &show);
        struct report_clip clips[2] = {r.clips[0], r.clips[1]};
        struct buf b = {0};
        clips[0].label = clips[0].link = r.title = harm[i];
        r.clips = clips;
        show.faults[HORN].name = show.faults[LATE].right = show.faults[LATE].name = harm[i];
        show.sections[r.section].name = show.performers[T1].label = harm[i];
        show.sets[1].label = show.sections[r.with->section].name = harm[i];
        fixes_text(&r, &(struct fixes_style){0}, &b);
        assert_tame(b.p, b.n);
        buf_clear(&b);
        fixes_csv(&r, &b);
        assert_int_equal(csv_rows_of(&a, &b)->n, 5);
        buf_clear(&b);
        fixes_json(&r, &(struct fixes_style){0}, &b);
        assert_tame(b.p, b.n);
        json_t *j = json_of(&b);
        assert_string_equal(json_str(j, "for"), harm[i]);
        json_decref(j);
        buf_free(&b);
    }
    arena_free(&a);
}

/* Of each kind the one that is furthest off; of what nobody said a target for, the first. */
static void a_line_says_what_is_furthest_off(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = season(&a);
    struct fix_report r = report(&a, &show);
    static const struct measure of[][2] = {
        {{MEASURE_INTERVAL, 1.8, 0.1, 2}, {MEASURE_INTERVAL, 1.4, 0.2, 2}},
        {{MEASURE_LINE, 0.8, 0.1, NAN}, {MEASURE_LINE, 0.6, 0.1, NAN}},
        {{MEASURE_SPEED, 5, 0.1, NAN}, {MEASURE_SPEED, 6, 0.1, NAN}},
        {{MEASURE_SPEED, 5, 0.1, NAN}, {MEASURE_SPEED, 6, 0.1, 5}},
        {{MEASURE_INTERVAL, 1.8, 0.1, 2}, {MEASURE_PLACE, 0.6, 0.1, NAN}},
        {{MEASURE_NONE, 1.8, 0.1, 2}, {MEASURE_PLACE, 0.6, 0.1, NAN}},
    };
    static const char *const said[] = {
        "    interval 1.4 ± 0.2 of 2 at thu 0:06.0 (the furthest off of 2)\n",
        "    off the line 0.8 ± 0.1 steps at tue 0:05.2 (the furthest off of 2)\n",
        "    5.0 ± 0.1 feet a second at tue 0:05.2 (the first of 2)\n",
        "    6.0 ± 0.1 feet a second (of 5) at thu 0:06.0 (the furthest off of 2)\n",
        "    interval 1.8 ± 0.1 of 2 at tue 0:05.2 and out of place by 0.6 ± 0.1 steps at thu "
        "0:06.0\n",
        "    out of place by 0.6 ± 0.1 steps at thu 0:06.0\n",
    };
    struct report_clip clips[] = {r.clips[0], r.clips[1]};
    clips[0].label = "tue";
    clips[1].label = "thu";
    r.clips = clips;
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        for (size_t k = 0; k < 2; k++)
            r.own.moments[k].measure = of[i][k];
        assert_has(text_of(&a, &r, 100, false), said[i]);
    }
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, text_has_praise_first_then_lines_then_the_group_apart);
    case_test(&all, lines_fit_the_terminal_and_every_moment_stays_whole);
    case_test(&all, on_a_terminal_each_moment_is_a_link);
    case_test(&all, csv_has_a_row_per_line_with_first_and_worst);
    case_test(&all, a_brief_list_has_a_line_for_each_fault);
    case_test(&all, json_has_every_moment_and_performer);
    case_test(&all, a_line_has_the_moments_to_mend_and_praise_those_to_keep);
    case_test(&all, what_waits_for_a_decision_has_no_moment_of_praise);
    case_test(&all, a_line_says_what_is_furthest_off);
    case_test(&all, names_of_people_can_be_left_out);
    case_test(&all, an_empty_list_says_so);
    case_test(&all, a_name_can_do_no_harm);
    return cases_run(&all, "fix lists on paper");
}
