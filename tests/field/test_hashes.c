/* Whose hash marks a picture shows: of the three rule books (53 ft 4 in, 60 ft and 70 ft 9 in from a
 * sideline, rule 1 of each), drawn from several boxes, clean and worn. */
#include <math.h>

#include "field/chance.h"
#include "field/drawn.h"
#include "field/hashes.h"
#include "lib/cases.h"

static const char *const books[] = {"high-school", "college", "professional"};
enum { BOOKS = sizeof books / sizeof *books };

static struct camera box(double width)
{
    struct camera c = {.width = width, .height = width * 9 / 16, .half = 960};
    c.p[CAMERA_X] = between(-400, 400);
    c.p[CAMERA_Y] = between(-1600, -900);
    c.p[CAMERA_Z] = between(500, 800);
    c.p[CAMERA_PAN] = between(-0.1, 0.1);
    c.p[CAMERA_TILT] = atan2(c.p[CAMERA_Z], 700 - c.p[CAMERA_Y]);
    c.p[CAMERA_FOCAL] = width * between(0.8, 1.1);
    return c;
}

static const struct row {
    const char *name;
    struct drawing how;
    double least, most; /* of the own ones that are seen, and of others' */
} rows[] = {
    {"clean",
     {.sideline_width = 18, .turf = 95, .white = 225, .noise = 3, .people = 0.05},
     0.7,
     0.25},
    {"worn and noisy",
     {.sideline_width = 18, .turf = 110, .white = 190, .noise = 8, .people = 0.1, .faded = 0.3},
     0.4,
     0.3},
};

static void are_told_apart(void **state)
{
    const struct row *r = *state;
    for (int drawn = 0; drawn < BOOKS; drawn++) {
        struct drawing how = r->how;
        const struct camera c = box(1280);
        struct drawn d;
        how.grid = grid_named(books[drawn]);
        how.seed = 7 + (unsigned)drawn;
        draw(&c, &how, &d);
        for (int book = 0; book < BOOKS; book++) {
            const double seen = hashes_seen(&d.luma, &c, grid_named(books[book]));
            if (book == drawn ? seen < r->least : seen > r->most)
                fail_msg("of a %s field drawn, %.2f of %s hashes are seen", books[drawn], seen,
                         books[book]);
        }
        drawn_free(&d);
    }
}

static void a_picture_that_shows_few_says_nothing(void **state)
{
    (void)state;
    struct camera c = box(1280);
    struct drawing how = rows[0].how;
    struct drawn d;
    how.grid = grid_named("high-school");
    draw(&c, &how, &d);
    c.p[CAMERA_TILT] = -0.5; /* the sky */
    assert_true(hashes_seen(&d.luma, &c, how.grid) == 0);
    drawn_free(&d);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, are_told_apart);
    case_test(&all, a_picture_that_shows_few_says_nothing);
    return cases_run(&all, "hash marks");
}
