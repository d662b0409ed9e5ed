/* The field in clips whose camera and people are known to the inch: found from four clicks, followed,
 * and measured on. */
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include "drill/film.h"
#include "field/chance.h"

/* --- the camera ------------------------------------------------------------------------------------ */

#define MOVED "--pan 6 --pan-time 4 --zoom 0.15 --sway 0.15 "

static const struct shot {
    const char *name, *field, *options;
    double off, steps;
} shots[] = {
    {"pan, zoom and sway through a lens over a crown", "high-school",
     "--size 1920x1080 --seconds 1.2 " MOVED "--lens -0.03 --crown 20", 15, 0.05},
    {"the same in fewer pixels", "high-school",
     "--size 1280x720 --seconds 1.5 " MOVED "--lens -0.03 --crown 20", 15, 0.05},
    {"a college field from further aside", "college",
     "--size 1280x720 --seconds 1 --across 60 --toward -10 --pan 4 --pan-time 3 --sway 0.2 "
     "--crown 14",
     12, 0.05},
    {"blurred and noisy", "high-school",
     "--size 1280x720 --seconds 1.5 " MOVED
     "--lens -0.02 --crown 12 --blur 1.5 --noise 8 --contrast "
     "0.7",
     15, 0.1},
    {"turned, in another codec, frames that come as they like", "high-school",
     "--size 1280x720 --seconds 1 --pan 6 --pan-time 4 --sway 0.15 --turned 180 --codec hevc "
     "--vfr",
     12, 0.05},
};

static void four_clicks_find_the_camera_of_every_frame(void **state)
{
    const struct shot *s = *state;
    const struct film *f = film_make(s->field, s->options);
    struct film_track t;
    double worst;
    film_pick(f, 3, s->off);
    const json_t *o = box_json("field", f->show, "t", "camera");
    assert_true(json_is_true(json_object_get(o, "by_lines")));
    film_track(f, f->show, &t);
    assert_true(t.whole);
    assert_int_equal(t.n, f->n); /* no frame is left out, none comes twice */
    const double share = film_within(f, &t, s->steps, &worst);
    if (share < 0.99)
        fail_msg("%.1f %% within %.2f step, the worst is %.3f off", share * 100, s->steps, worst);
    /* and what it says of itself is not better than it is by much */
    assert_true(number_at(o, "checked_lines") > 0);
    assert_true(number_at(o, "lost_s") < 0.05);
}

/* Where it stands is found out of pictures of the whole clip; not of those behind a knock that moved it
 * two feet aside. Of seven seconds six are in the two and a half behind the picks, one before the knock. */
static const struct wide {
    const char *name, *options;
    size_t picked; /* frame */
    int least, most;
} wides[] = {
    {"the whole clip tells where it stands", "--pan 6 --pan-time 7 --zoom 0.15", 3, 9, 10},
    {"and before the picks too", "--pan 22 --pan-time 7", 100, 10, 10},
    {"what is behind a knock does not", "--bump 3,1,24", 3, 7, 7},
};

static void the_place_is_found_out_of(void **state)
{
    const struct wide *row = *state;
    const struct film *f =
        film_make("high-school", say("--size 640x360 --seconds 7 %s", row->options));
    struct film_track t;
    film_pick(f, row->picked, 12);
    box_json("field", f->show, "t", "at", film_time(f, row->picked), "320,200");
    film_track(f, f->show, &t);
    if (t.views < row->least || t.views > row->most)
        fail_msg("%d pictures", t.views);
}

/* No camera that stands shows them so; it is said of how many. */
static void pictures_that_a_phone_bent_are_bent_back(void **state)
{
    (void)state;
    const struct film *f =
        film_bent("high-school", "--size 1280x720 --seconds 1.5 --pan 6 --pan-time 4");
    struct film_track t;
    double worst;
    film_pick(f, 3, 12);
    const json_t *o = box_json("field", f->show, "t", "camera");
    film_track(f, f->show, &t);
    const double share = film_within(f, &t, 0.1, &worst);
    if (share < 0.99)
        fail_msg("%.1f %% within 0.1 step, the worst is %.3f off", share * 100, worst);
    assert_true(number_at(o, "bent") > 0.9);
    const struct run r = box("field", f->show, "t", "camera");
    assert_contains(r.out,
                    " % of the pictures fit no camera that stands (a phone steadies them, or "
                    "it was moved); they are bent to the lines\n");
}

/* --- who ---------------------------------------------------------------------------------------------- */

/* Tied where a set begins in it. */
static const struct film *part(const char *options, const char *set)
{
    const struct film *f = film_make("high-school", options);
    film_pick(f, 3, 12);
    film_tie(f, set);
    return f;
}

/* Inches from somebody's dot to the nearest other. */
static double alone_by(const json_t *dots, const char *who)
{
    const json_t *mine = row_with(dots, "performer", who);
    double least = INFINITY;
    for (size_t i = 0; i < json_array_size(dots); i++)
        if (row(dots, i) != mine)
            least = fmin(least, hypot(number_at(row(dots, i), "x_in") - number_at(mine, "x_in"),
                                      number_at(row(dots, i), "y_in") - number_at(mine, "y_in")));
    return least;
}

static bool named(const json_t *all, const char *who)
{
    const double first = number_at(row(all, 0), "probability");
    for (size_t i = 0; i < json_array_size(all); i++)
        if (number_at(row(all, i), "probability") > 0.5 * first &&
            strcmp(text_at(row(all, i), "performer"), who) == 0)
            return true;
    return false;
}

static void who_is_right_or_a_tie(void **state)
{
    (void)state;
    const struct film *f =
        part("--size 1280x720 --from 12.3 --seconds 1.5 --sway 0.1 --pan 2", "3");
    size_t asked = 0, right = 0, first = 0;
    const size_t frames[] = {5, f->n - 4}; /* set 3 has just begun; on the way */
    for (size_t k = 0; k < 2; k++) {
        const char *time = film_time(f, frames[k]);
        const json_t *dots = box_json("field", f->show, "t", "dots", time);
        assert_true(json_array_size(dots) > 60);
        for (size_t i = 0; i < json_array_size(dots); i += k ? 3 : 1) {
            const char *who = text_at(row(dots, i), "performer");
            if (alone_by(dots, who) < 2 * 22.5)
                continue;
            const json_t *all =
                box_json("field", f->show, "t", "who", time, film_feet(f, frames[k], who, 1));
            asked++;
            right += named(all, who);
            first += strcmp(text_at(row(all, 0), "performer"), who) == 0;
        }
    }
    assert_true(asked > 40);
    if ((double)right < 0.98 * (double)asked || (double)first < 0.9 * (double)asked)
        fail_msg("%zu of %zu, %zu of them first", right, asked, first);
}

/* --- gaps, lines, forms -------------------------------------------------------------------------------- */

/* The answer for a row of people, clicked from the first to the last. */
static const json_t *clicked(const struct film *f, const char *sub, const char *more, size_t frame,
                             const char *const *who, size_t n)
{
    const char *words = "";
    for (size_t i = 0; i < n; i++)
        words = say("%s %s", words, film_feet(f, frame, who[i], 1));
    return json_of(run("sh", "-c",
                       say("exec '%s' field '%s' t %s %s %s %s --as json", getenv("BOXCALL"),
                           f->show, sub, film_time(f, frame), more, words),
                       NULL));
}

static double apart(const struct film *f, size_t frame, const char *a, const char *b)
{
    const struct field_place p = film_place(f, frame, a), q = film_place(f, frame, b);
    return hypot(p.x - q.x, p.y - q.y) / 22.5;
}

/* The end of a set, with the faults of demo/band/injected.csv: the first counts of the next one. */
static const struct film *faulty(int set)
{
    static const struct film *two, *three;
    if (set == 2)
        return two ? two
                   : (two = part("--size 1920x1080 --from 12.3 --seconds 0.4 --faults all", "3"));
    return three ? three
                 : (three = part("--size 1920x1080 --from 19.6 --seconds 0.4 --faults all", "4"));
}

enum { THEN = 5 }; /* frame in which the set has just begun */

static void gaps_are_the_true_ones_and_the_closed_interval_is_found(void **state)
{
    (void)state;
    static const char *const rank[] = {"T2", "T1", "T4", "T3", "T6", "T5"}, *const injected[] = {
                                                                                "T3", "T6", "T5"};
    const struct film *f = faulty(2);
    const json_t *o = clicked(f, "gaps", "--of 2", THEN, rank, COUNT(rank)),
                 *gaps = json_object_get(o, "gaps");
    assert_int_equal(json_array_size(gaps), COUNT(rank) - 1);
    for (size_t i = 0; i < json_array_size(gaps); i++) {
        const json_t *g = row(gaps, i);
        const double want = apart(f, THEN, rank[i], rank[i + 1]), got = number_at(g, "steps");
        if (fabs(got - want) > 0.2 || number_at(g, "error") > 0.5)
            fail_msg("%s to %s: %.2f ± %.2f, not %.2f", rank[i], rank[i + 1], got,
                     number_at(g, "error"), want);
    }
    const json_t *closes = row(gaps, (size_t)number_at(o, "closes") - 1);
    bool first = false, second = false;
    for (size_t i = 0; i < COUNT(injected); i++) {
        first |= strcmp(text_at(closes, "performer"), injected[i]) == 0;
        second |= strcmp(text_at(closes, "next"), injected[i]) == 0;
    }
    assert_true(first && second);
}

/* Gaps of many ranks, wherever they stand: every two who should stand within four steps of each other. */
static void every_gap_is_within_its_error(void **state)
{
    (void)state;
    const struct film *f = faulty(2);
    size_t asked = 0, good = 0;
    for (size_t i = 0; i + 2 < f->people; i++) {
        const char *const three[] = {f->who[i], f->who[i + 1], f->who[i + 2]};
        if (apart(f, THEN, three[0], three[1]) > 5 || apart(f, THEN, three[1], three[2]) > 5)
            continue;
        const json_t *gaps = json_object_get(clicked(f, "gaps", "", THEN, three, 3), "gaps");
        for (size_t k = 0; k < 2; k++) {
            const double want = apart(f, THEN, three[k], three[k + 1]),
                         off = fabs(number_at(row(gaps, k), "steps") - want);
            asked++;
            good += off <= number_at(row(gaps, k), "error");
            if (off > 0.5)
                fail_msg("%s to %s is off by %.2f", three[k], three[k + 1], off);
        }
    }
    assert_true(asked > 60);
    if ((double)good < 0.9 * (double)asked)
        fail_msg("%zu of %zu within their errors", good, asked);
}

/* The arm of six bows out by 1.8 steps in its middle. Clicked alone, a line through it has both ends off
 * to one side and the middle to the other; */
static void the_bent_line_is_found(void **state)
{
    (void)state;
    static const char *const arm[] = {"BR1", "BR2", "BR3", "BR4", "BR6", "BR5"};
    const struct film *f = faulty(3);
    const json_t *all =
        json_object_get(clicked(f, "fit", "line", THEN, arm, COUNT(arm)), "performers");
    for (size_t i = 0; i < COUNT(arm); i++) {
        const json_t *p = row(all, i);
        assert_string_equal(text_at(p, "performer"), arm[i]);
        const bool end = i == 0 || i == 5, middle = i == 2 || i == 3;
        if (end || middle)
            assert_true(number_at(p, "off_steps") > number_at(p, "error"));
        if (end || middle) /* it bows to the back and to side 1 */
            assert_true((number_at(p, "off_depth") > 0) == middle);
    }
    /* an arc fits it */
    const json_t *arc = clicked(f, "fit", "arc", THEN, arm, COUNT(arm));
    assert_true(number_at(arc, "rms_steps") < 0.2);
    /* and among everybody the four in its middle are those who are off */
    const json_t *form = clicked(f, "check", "", THEN, f->who, f->people),
                 *off = json_object_get(form, "performers");
    assert_true(json_array_size(off) > 70);
    for (size_t i = 0; i < json_array_size(off); i++) {
        const json_t *p = row(off, i);
        const char *who = text_at(p, "performer");
        bool bent = false;
        for (size_t k = 1; k + 1 < COUNT(arm); k++)
            bent |= strcmp(who, arm[k]) == 0;
        if ((number_at(p, "off_steps") > number_at(p, "error")) != bent)
            fail_msg("%s is %.2f ± %.2f off", who, number_at(p, "off_steps"),
                     number_at(p, "error"));
    }
}

/* --- a form that stands a step back, and somebody who is off it ------------------------------------------- */

static void a_shifted_form_is_told_from_single_errors(void **state)
{
    (void)state;
    enum { N = 10 };
    static const double back = 24, aside = 36; /* inches: all of them; T3 more, to side 2 */
    const struct film *f = faulty(2);
    const json_t *dots = box_json("field", f->show, "t", "dots", film_time(f, THEN));
    const char *words = "";
    for (int i = N; i > 0; i--) { /* in any order */
        const json_t *d = row_with(dots, "performer", say("T%d", i));
        struct field_place at = {number_at(d, "x_in"), number_at(d, "y_in") + back};
        if (i == 3)
            at.x += aside;
        const struct pixel p = film_pixel(f, THEN, at);
        words = say("%s %.2f,%.2f", words, p.x + normal(), p.y + normal());
    }
    const json_t *o = json_of(run("sh", "-c",
                                  say("exec '%s' field '%s' t check %s %s --for trumpets --as json",
                                      getenv("BOXCALL"), f->show, film_time(f, THEN), words),
                                  NULL)),
                 *shift = json_object_get(o, "shift"), *all = json_object_get(o, "performers");
    if (fabs(number_at(shift, "depth") - back / 22.5) > 0.3 ||
        fabs(number_at(shift, "across")) > 0.3)
        fail_msg("%.2f %.2f", number_at(shift, "across"), number_at(shift, "depth"));
    assert_true(number_at(shift, "depth") > number_at(shift, "error"));
    assert_int_equal(json_array_size(all), N);
    for (int i = 1; i <= N; i++) {
        const json_t *p = row_with(all, "performer", say("T%d", i));
        const double off = number_at(p, "off_across");
        if (fabs(off - (i == 3 ? aside / 22.5 : 0)) > 0.35 || fabs(number_at(p, "off_depth")) > 0.6)
            fail_msg("T%d is off by %.2f %.2f", i, off, number_at(p, "off_depth"));
        if (i == 3)
            assert_true(number_at(p, "off_steps") > number_at(p, "error"));
    }
    struct run r = run("sh", "-c",
                       say("exec '%s' field '%s' t check %s %s --for trumpets", getenv("BOXCALL"),
                           f->show, film_time(f, THEN), words),
                       NULL);
    assert_exit(r, 0);
    assert_contains(r.out, "the form stands ");
    assert_contains(r.out, " steps back (± ");
    assert_contains(r.out, "T3 is 1.");
}

/* --- work that takes long ------------------------------------------------------------------------------- */

/* A clip of which the camera takes a while, pointed at; a copy of its show for each test. */
static const struct film *longer(void)
{
    static struct film *f;
    if (!f) {
        f = film_make("high-school", "--size 1280x720 --seconds 4 " MOVED);
        film_pick(f, 60, 12); /* in its middle: both ways are to be followed */
    }
    return f;
}

static const char *copy_of(const struct film *f, const char *name)
{
    const char *show = path_in(f->dir, name);
    well(run("cp", f->show, show, NULL));
    return show;
}

/* `field SHOW t camera`, its standard error in a file. */
static pid_t start(const struct film *f, const char *show)
{
    const pid_t pid = fork();
    if (pid != 0)
        return pid;
    const char *line = say("exec '%s' field '%s' t camera >'%s.out' 2>'%s.err'", getenv("BOXCALL"),
                           show, show, show);
    const char *argv[] = {"sh", "-c", line, NULL};
    child_exec(argv, child_env(NULL, NULL), f->dir);
}

static int ended(pid_t pid)
{
    int status;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    return child_status(status);
}

/* Waits until something beyond the first picture is kept. */
static void wait_for_pieces(const struct film *f, const char *show, pid_t pid, size_t n)
{
    struct film_track t = {0};
    while (t.pieces < n) {
        int status;
        if (waitpid(pid, &status, WNOHANG) == pid)
            fail_msg("it ended with %zu pieces kept: %s", t.pieces,
                     read_file(say("%s.err", show), NULL));
        film_track(f, show, &t);
        usleep(1000);
    }
}

/* Cameras of the same frames that are the same within what a frame's own noise does. */
static void assert_same_track(const struct film *f, const char *show, const struct film_track *one)
{
    struct film_track t;
    film_track(f, show, &t);
    assert_int_equal(t.n, one->n);
    assert_true(t.whole && one->whole);
    for (size_t i = 0; i < t.n; i++) {
        assert_int_equal(t.us[i], one->us[i]);
        assert_int_equal(t.held[i], one->held[i]);
        const double off = steps_off(&one->camera[i], &t.camera[i]);
        if (off > 0.005)
            fail_msg("frame %zu is %.4f step off", i, off);
    }
}

static const struct film_track *in_one_go(const struct film *f)
{
    static struct film_track t;
    if (t.n == 0) {
        const char *show = copy_of(f, "one.show");
        box_ok("field", show, "t", "camera");
        film_track(f, show, &t);
        assert_int_equal(t.n, f->n);
    }
    return &t;
}

static void what_was_followed_is_kept_when_it_is_interrupted_and_gone_on_from(void **state)
{
    (void)state;
    const struct film *f = longer();
    const char *show = copy_of(f, "stopped.show");
    struct film_track t, after;
    const pid_t pid = start(f, show);
    wait_for_pieces(f, show, pid, 2);
    kill(pid, SIGINT);
    const int status = ended(pid);
    film_track(f, show, &t);
    assert_false(t.whole);
    assert_true(t.n > 1 && t.n < f->n);
    (void)status;
    /* what lies within is there at once, and nothing more is followed for it */
    box_ok("field", show, "t", "at", say("%.4f", (double)t.us[t.n / 2] / 1e6), "640,400");
    film_track(f, show, &after);
    assert_int_equal(after.n, t.n);
    box_ok("field", show, "t", "camera");
    assert_same_track(f, show, in_one_go(f));
}

static void two_programs_follow_at_once_and_make_one_track(void **state)
{
    (void)state;
    const struct film *f = longer();
    const char *show = copy_of(f, "two.show");
    const pid_t one = start(f, show), other = start(f, show);
    const int first = ended(one), second = ended(other);
    if (first || second)
        fail_msg("%d and %d: %s", first, second, read_file(say("%s.err", show), NULL));
    assert_same_track(f, show, in_one_go(f));
}

static void picks_changed_meanwhile_end_it_with_one_line(void **state)
{
    (void)state;
    const struct film *f = longer();
    const char *show = copy_of(f, "changed.show");
    const pid_t pid = start(f, show);
    wait_for_pieces(f, show, pid, 1);
    box_ok("field", show, "t", "pick", film_time(f, 60), "640,360", "on 50; on front hash");
    const int status = ended(pid);
    const char *said = read_file(say("%s.err", show), NULL);
    if (status != 1)
        fail_msg("%d: %s", status, said);
    assert_contains(said,
                    "boxcall: the picks were changed meanwhile; ask again, and it is followed from "
                    "those\n");
    assert_int_equal(json_array_size(box_json("field", show, "t", "picks")), 5);
}

/* Under another name beside it, it is found (clip/find.h); elsewhere it is not. */
static void a_clip_that_is_gone_is_one_line(void **state)
{
    (void)state;
    const struct film *f = longer();
    const char *show = copy_of(f, "gone.show"), *away = path_in(temp_dir(), "x.mp4");
    well(run("mv", f->clip, away, NULL));
    struct run at = box("field", show, "t", "at", "1", "640,400"),
               camera = box("field", show, "t", "camera");
    well(run("mv", away, f->clip, NULL));
    refused(at, 3, "t.mp4");
    refused(camera, 3, "t.mp4");
    struct film_track t;
    film_track(f, show, &t);
    assert_int_equal(t.n, 0);
    const char *beside = path_in(f->dir, "renamed.mp4");
    well(run("mv", f->clip, beside, NULL));
    struct run found = box("field", show, "t", "at", "2.5", "640,400");
    well(run("mv", beside, f->clip, NULL));
    assert_exit(found, 0);
}

/* A place that is followed already needs no picture. */
static void what_is_followed_is_measured_without_the_clip(void **state)
{
    (void)state;
    const struct film *f = longer();
    const char *show = copy_of(f, "kept.show"), *away = path_in(temp_dir(), "x.mp4");
    box_ok("field", show, "t", "camera");
    const json_t *before = box_json("field", show, "t", "at", "1", "640,400");
    well(run("mv", f->clip, away, NULL));
    const json_t *after = box_json("field", show, "t", "at", "1", "640,400");
    well(run("mv", away, f->clip, NULL));
    assert_true(json_equal(before, after));
}

int main(void)
{
    struct cases all = {0};

    cases_of(&all, shots, four_clicks_find_the_camera_of_every_frame);
    case_test(&all, who_is_right_or_a_tie);
    case_test(&all, gaps_are_the_true_ones_and_the_closed_interval_is_found);
    case_test(&all, every_gap_is_within_its_error);
    case_test(&all, the_bent_line_is_found);
    case_test(&all, a_shifted_form_is_told_from_single_errors);
    case_test(&all, what_was_followed_is_kept_when_it_is_interrupted_and_gone_on_from);
    case_test(&all, two_programs_follow_at_once_and_make_one_track);
    case_test(&all, picks_changed_meanwhile_end_it_with_one_line);
    case_test(&all, a_clip_that_is_gone_is_one_line);
    case_test(&all, what_is_followed_is_measured_without_the_clip);
    case_test(&all, pictures_that_a_phone_bent_are_bent_back);
    cases_of(&all, wides, the_place_is_found_out_of);
    return cases_run(&all, "the field in drawn clips");
}
