/* What reps mended, from ticked plans and clips of a show that the program made. */
#include "app/learn.h"

#include "drill/drill.h"

#define near_to(a, b) assert_true(fabs((a) - (b)) < 1e-6)

static const char *show;
static int length; /* of the next clip: no two of a show are the same file */

/* Sets 1 and 2 of a minute each. A clip begins set 1 at 10 s. */
static void season(void)
{
    length = 140;
    show = new_show("set,counts,tempo\n1,120,120\n2,120,120\n", SMALL_BAND);
}

/* A clip of its own length that is tied, watched to there, and has so many marks four seconds apart
 * from 12 s on of slouch by the trumpets, the tubas and the guard. */
struct filmed {
    const char *label, *date;
    int watched_s;
    int times[3];
};

static const char *const who[] = {"trumpets", "tubas", "color guard"};

static void film(const struct filmed *f)
{
    const char *lines = "clip,time,target,fault\n";
    add_clip(show, gray_clip(length++), f->label, f->date);
    box_ok("count", show, f->label, "tie", "10", "1");
    if (f->watched_s)
        box_ok("watched", show, f->label, "0", say("%d", f->watched_s));
    for (size_t i = 0; i < COUNT(who); i++)
        for (int k = 0; k < f->times[i]; k++)
            lines = say("%s%s,%d,%s,slouch\n", lines, f->label, 12 + 4 * k, who[i]);
    if (strchr(lines, '\n')[1])
        add_marks(show, lines);
}

/* Ticks every block of a plan of that date with so many reps; they are all of one kind, "rep" or
 * "sectional". */
static void rehearse(const char *date, const char *kind, const char *reps)
{
    const char *together = strcmp(kind, "rep") == 0 ? "--together" : NULL;
    const json_t *plan = json_of(box("plan", show, "--date", date, "--minutes", "20", "--setup",
                                     "0", "--as", "json", together));
    const json_t *blocks = json_object_get(plan, "blocks");
    size_t ticked = 0;
    for (size_t i = 0; i < json_array_size(blocks); i++) {
        if (strcmp(text_at(row(blocks, i), "kind"), kind) != 0)
            continue;
        const size_t chunks = json_array_size(json_object_get(row(blocks, i), "list"));
        for (size_t k = 0; k < chunks || k == 0; k++)
            box_ok("tick", show, chunks > 1 ? say("%zu.%zu", i + 1, k + 1) : say("%zu", i + 1),
                   reps);
        ticked++;
    }
    assert_true(ticked >= (together ? 1 : COUNT(who)));
}

static struct learn_report learn(int things_said)
{
    struct err e = {0};
    struct app app;
    struct learn_report out;
    if (!app_open(&app, show, &e) || !app_learn(&app, things_said, test_arena(), &out, &e))
        fail_msg("%s", e.text);
    app_close(&app);
    return out;
}

static const struct filmed before = {"before", "2026-08-01", 130, {8, 6, 4}},
                           after = {"after", "2026-08-08", 40, {2, 1, 1}};

/* 18 times in a minute of set 1, then 4 times in half a minute (10 to 40 s): of 22, 4 are after, so
 * theta = 2/11 = f/2 / (1 + f/2), f = 4/9. Two reps of three lines, two things said: s = 2/3 and
 * (1 - 2p/3)^2 = 4/9, p = 1/2. With three said (1 - p)^2 = 4/9, p = 1/3. */
static void by_hand(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "rep", "2");
    film(&after);
    const struct learn_report r = learn(2);
    near_to(r.together.p, 0.5);
    assert_int_equal(r.together.lines, 3);
    assert_int_equal(r.together.used, 3);
    assert_int_equal(r.together.before, 18);
    assert_int_equal(r.together.after, 4);
    assert_int_equal(r.apart.lines, 0);
    assert_int_equal(r.mixed, 0);
    near_to(learn(3).together.p, 1 / 3.0);
    near_to(learn(12).together.p, 1 / 3.0);
}

static void nothing_ticked_is_nothing_known(void **state)
{
    (void)state;
    season();
    assert_int_equal(learn(2).together.lines, 0);
    film(&before);
    box_ok("plan", show, "--minutes", "20", "--date", "2026-08-05", "--together");
    film(&after);
    assert_int_equal(learn(2).together.lines, 0);
    box_ok("tick", show, "1", "2");
    assert_int_equal(learn(2).together.lines, 3);
    box_ok("tick", show, "1", "0");
    assert_int_equal(learn(2).together.lines, 0);
    box_ok("tick", show, "1", "2");
    box_ok("tick", show, "1", "--undo");
    assert_int_equal(learn(2).together.lines, 0);
}

static void what_was_not_watched_again_is_left_out(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "rep", "2");
    assert_int_equal(learn(2).together.unwatched, 3);
    film(&(struct filmed){"unwatched", "2026-08-06", 0, {9, 9, 9}});
    film(&(struct filmed){"only the beginning", "2026-08-07", 8, {9, 9, 9}});
    const struct learned l = learn(2).together;
    assert_int_equal(l.unwatched, 3);
    assert_int_equal(l.used, 0);
    film(&after);
    near_to(learn(2).together.p, 0.5);
}

/* The first clip and day are not asked: the nearest on either side are. */
static void the_nearest_dates_are_compared(void **state)
{
    (void)state;
    season();
    film(&(struct filmed){"long ago", "2026-07-01", 130, {15, 15, 15}});
    film(&before);
    rehearse("2026-08-05", "rep", "2");
    film(&after);
    film(&(struct filmed){"later", "2026-08-09", 130, {0, 0, 0}});
    near_to(learn(2).together.p, 0.5);
}

/* Of clips of the rehearsal's own day only one that stood in the show when the plan was made is known
 * to be before it: there 4 + 3 + 2 = 9 in a minute; 4 of 13 after, f = 8/9 = (1 - 2p/3)^2. */
static void of_the_same_day_only_what_was_there_for_the_plan_counts(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "rep", "2");
    film(&(struct filmed){"that day", "2026-08-05", 130, {11, 0, 14}});
    film(&after);
    near_to(learn(2).together.p, 0.5);
    season();
    film(&before);
    film(&(struct filmed){"that morning", "2026-08-05", 130, {4, 3, 2}});
    rehearse("2026-08-05", "rep", "2");
    film(&after);
    near_to(learn(2).together.p, 1.5 * (1 - sqrt(8 / 9.0)));
}

/* Another camera's clip of that run may come into the show later: the run was before the plan. */
static void a_run_is_as_old_as_its_first_clip(void **state)
{
    (void)state;
    season();
    film(&before);
    film(&(struct filmed){"that morning", "2026-08-05", 130, {4, 3, 2}});
    rehearse("2026-08-05", "rep", "2");
    add_clip(show, gray_clip(length), "side", "2026-08-05");
    box_ok("add", show, "clip", gray_clip(length++), "--label", "side", "--run", "1");
    film(&after);
    near_to(learn(2).together.p, 1.5 * (1 - sqrt(8 / 9.0)));
}

/* Nine times in set 2 too, and two in half a minute of it (70 to 100 s) after: of 11, 2 are after, as
 * in set 1. All that was said is mended alike, whatever blocks the sets are in: (1 - p)^2 = 4/9. */
static void sets_are_compared_one_by_one(void **state)
{
    (void)state;
    const char *lines = "clip,time,target,fault\n";
    season();
    film(&before);
    for (int i = 0; i < 9; i++)
        lines = say("%sbefore,%d,trumpets,slouch\n", lines, 72 + 4 * i);
    add_marks(show, lines);
    rehearse("2026-08-05", "rep", "2");
    film(&after);
    add_marks(show, "clip,time,target,fault\nafter,80,T1,slouch\nafter,90,T1,slouch\n");
    near_to(learn(12).together.p, 1 / 3.0); /* of set 1 alone: 2 was not watched */
    assert_int_equal(learn(12).together.before, 18);
    box_ok("watched", show, "after", "70", "100");
    const struct learned l = learn(12).together;
    near_to(l.p, 1 / 3.0);
    assert_int_equal(l.before, 18 + 9);
    assert_int_equal(l.after, 4 + 2);
    assert_int_equal(l.lines, 3);
}

/* A rep on each of two days, and nothing but the second day's film between: two reps. */
static void reps_between_two_clips_add_up(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "rep", "1");
    rehearse("2026-08-06", "rep", "1");
    film(&(struct filmed){"that day", "2026-08-06", 130, {11, 0, 14}});
    film(&after);
    near_to(learn(2).together.p, 0.5);
}

/* By 2026-08-05: 18 to 8 in a minute each, f = 4/9; then 8 to 3.5 would be as much again, and 7 in two
 * minutes are that: two clips. So p is 1/2 both times, and together. */
static void each_rehearsal_tells_for_itself(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "rep", "2");
    film(&(struct filmed){"between", "2026-08-06", 130, {4, 2, 2}});
    rehearse("2026-08-07", "rep", "2");
    film(&(struct filmed){"after 1", "2026-08-08", 130, {2, 1, 1}});
    film(&(struct filmed){"after 2", "2026-08-08", 130, {1, 1, 1}});
    const struct learned l = learn(2).together;
    assert_int_equal(l.lines, 3);
    assert_int_equal(l.before, 18 + 8);
    assert_int_equal(l.after, 8 + 7);
    assert_true(fabs(l.p - 0.5) < 0.01);
}

/* What would be counted if praise, another fault, another section's mark, another set, a second mark
 * within three seconds or a second camera were; and what a mark's state does not change. */
static void only_sightings_of_the_line_in_its_sets_count(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "rep", "2");
    film(&after);
    box_ok("watched", show, "after", "80", "130");
    add_marks(show, "clip,time,target,fault\nafter,14,T1,slouch\nafter,90,trumpets,slouch\n"
                    "after,25,trumpets,bounce\nafter,25,ensemble,slouch\nafter,25,U1,lean\n");
    box_ok("mark", show, "after", "30", "tubas", "slouch", "--praise");
    box_ok("state", show, "tubas", "slouch", "clean");
    near_to(learn(2).together.p, 0.5);
    add_clip(show, gray_clip(length), "side", "2026-08-08");
    box_ok("add", show, "clip", gray_clip(length), "--label", "side", "--run", "1");
    box_ok("count", show, "side", "tie", "5", "1");
    box_ok("watched", show, "side", "0", "35"); /* the same half minute, from 5 s on */
    add_marks(show, "clip,time,target,fault\nside,7,trumpets,slouch\nside,11,T2,slouch\n");
    near_to(learn(2).together.p, 0.5);
    /* One more of a performer counts: 5 of 23. */
    add_marks(show, "clip,time,target,fault\nafter,30,T2,slouch\n");
    near_to(learn(2).together.p, 1.5 * (1 - sqrt(2 * 5 / 18.0)));
}

/* Each section for itself and one thing to say: s = 1, (1 - p)^2 = 4/9. */
static void reps_in_sectionals_are_told_for_themselves(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "sectional", "2");
    film(&after);
    const struct learn_report r = learn(2);
    near_to(r.apart.p, 1 / 3.0);
    assert_int_equal(r.apart.used, 3);
    assert_int_equal(r.together.lines, 0);
    const char *text = flat(box_ok("plan", show, "--minutes", "20", "--try").out);
    assert_lacks(text, "No reps are ticked yet"); /* some are */
    assert_contains(text, "in a sectional mends");
}

/* After reps of both kinds neither can say which it was. */
static void reps_of_both_kinds_tell_of_neither(void **state)
{
    (void)state;
    season();
    film(&before);
    rehearse("2026-08-05", "sectional", "1");
    rehearse("2026-08-06", "rep", "1");
    film(&after);
    const struct learn_report r = learn(2);
    assert_int_equal(r.mixed, 3);
    assert_int_equal(r.apart.lines + r.together.lines, 0);
}

static void other_faults(const char *clip, int times)
{
    static const char *const faults[] = {"horn angle", "head down"};
    const char *lines = "clip,time,target,fault\n";
    for (size_t i = 0; i < COUNT(who); i++)
        for (size_t f = 0; f < COUNT(faults); f++)
            for (int k = 0; k < times; k++)
                lines = say("%s%s,%d,%s,%s\n", lines, clip, 12 + 4 * k, who[i], faults[f]);
    add_marks(show, lines);
}

/* What is told below a plan, and used when that is asked for; a share for sectionals is told for
 * itself, and stays what is assumed. */
static void a_plan_tells_it_and_uses_it_when_asked(void **state)
{
    (void)state;
    season();
    refused(box("plan", show, "--minutes", "20", "--try", "--learn", "history"), 3,
            "No reps are ticked yet");
    film(&(struct filmed){"before", "2026-08-01", 130, {14, 14, 14}});
    other_faults("before", 14);
    rehearse("2026-08-05", "rep", "3");
    film(&(struct filmed){"after", "2026-08-08", 130, {7, 6, 7}});
    other_faults("after", 7);
    const struct learned l = learn(2).together; /* 9 lines: each is said before 2 of 9 reps */
    if (!l.enough || !(l.p > 0.2))
        fail_msg("%d lines, %.2f (%.2f to %.2f)", l.used, l.p, l.low, l.high);
    const char *text = box_ok("plan", show, "--minutes", "20", "--try").out;
    assert_contains(flat(text), say("a rep mended %.0f %% of what was said", 100 * l.p));
    assert_contains(flat(text), "the rep mends 30 % of that; 40 % in a sectional");
    text = box_ok("plan", show, "--minutes", "20", "--try", "--learn", "history").out;
    assert_contains(flat(text), say("the rep mends %.0f %% of that as this show's own rehearsals "
                                    "did; 40 %% in a sectional, where",
                                    100 * l.p));
    const json_t *assumed = json_object_get(
        box_json("plan", show, "--minutes", "20", "--try", "--learn", "history"), "assumed");
    near_to(number_at(assumed, "learn"), l.p);
    near_to(number_at(assumed, "learn_sectional"), 0.4);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, by_hand);
    case_test(&all, nothing_ticked_is_nothing_known);
    case_test(&all, what_was_not_watched_again_is_left_out);
    case_test(&all, the_nearest_dates_are_compared);
    case_test(&all, of_the_same_day_only_what_was_there_for_the_plan_counts);
    case_test(&all, a_run_is_as_old_as_its_first_clip);
    case_test(&all, sets_are_compared_one_by_one);
    case_test(&all, reps_between_two_clips_add_up);
    case_test(&all, each_rehearsal_tells_for_itself);
    case_test(&all, only_sightings_of_the_line_in_its_sets_count);
    case_test(&all, reps_in_sectionals_are_told_for_themselves);
    case_test(&all, reps_of_both_kinds_tell_of_neither);
    case_test(&all, a_plan_tells_it_and_uses_it_when_asked);
    return cases_run(&all, "what a rep mends");
}
