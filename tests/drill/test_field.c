/* The field in clips whose camera and people are known to the inch: found from four clicks, followed,
 * and measured on. */
#include <signal.h>
#include <sqlite3.h>
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
     "--size 1920x1080 --seconds 1.5 " MOVED "--lens -0.03 --crown 20", 15, 0.05},
    {"the same in fewer pixels", "high-school",
     "--size 1280x720 --seconds 1.5 " MOVED "--lens -0.03 --crown 20", 15, 0.05},
    {"a college field from further aside", "college",
     "--size 1280x720 --seconds 1.5 --across 60 --toward -10 --pan 4 --pan-time 3 --sway 0.2 "
     "--crown 14",
     12, 0.05},
    {"blurred and noisy", "high-school",
     "--size 1280x720 --seconds 1.5 " MOVED
     "--lens -0.02 --crown 12 --blur 1.5 --noise 8 --contrast "
     "0.7",
     15, 0.1},
    {"turned, in another codec, frames that come as they like", "high-school",
     "--size 1280x720 --seconds 1.5 --pan 6 --pan-time 4 --sway 0.15 --turned 180 --codec hevc "
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
        words = say("%s '%s'", words, film_feet(f, frame, who[i], 1));
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

static void the_closed_interval_is_found(void **state)
{
    (void)state;
    static const char *const rank[] = {"T2", "T1", "T4", "T3", "T6", "T5", "T7"};
    const struct film *f = faulty(2);
    const json_t *o = clicked(f, "gaps", "", THEN, rank, COUNT(rank));
    puts(json_dumps(o, JSON_INDENT(1)));
    for (size_t i = 0; i + 1 < COUNT(rank); i++)
        print_message("%s-%s %.3f\n", rank[i], rank[i + 1], apart(f, THEN, rank[i], rank[i + 1]));
}
static void the_bent_line_is_found(void **state)
{
    (void)state;
    static const char *const arm[] = {"BR1", "BR2", "BR3", "BR4", "BR6", "BR5"};
    const struct film *f = faulty(3);
    for (int i = 0; i < 6; i++)
        print_message("%s %.1f %.1f\n", arm[i], film_place(f, THEN, arm[i]).x / 22.5,
                      film_place(f, THEN, arm[i]).y / 22.5);
    const json_t *o = clicked(f, "fit", "line", THEN, arm, COUNT(arm));
    puts(json_dumps(o, JSON_INDENT(1)));
    o = clicked(f, "check", "", THEN, arm, COUNT(arm));
    puts(json_dumps(o, JSON_INDENT(1)));
    o = clicked(f, "check --for baritones", "", THEN, arm, COUNT(arm));
    puts(json_dumps(o, JSON_INDENT(1)));
}

int main(void)
{
    struct cases all = {0};
    if (!getenv("QUICK"))
        cases_of(&all, shots, four_clicks_find_the_camera_of_every_frame);
    case_test(&all, who_is_right_or_a_tie);
    case_test(&all, the_closed_interval_is_found);
    case_test(&all, the_bent_line_is_found);
    return cases_run(&all, "the field in drawn clips");
}
