/* What is written beside a clip, frame by frame: who stood where, in two units, and the dots. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "demo/watch.h"
#include "field/camera.h"
#include "lib/run.h"

#define TINY "--size 64x64 --fps 1 --no-sound --preset ultrafast "

struct row {
    double ms, across, depth;
    struct field_place at;
    char who[16];
};

/* The n-th row of somebody in the CSV of places, from 0. */
static struct row place_of(const char *path, const char *who, size_t n)
{
    struct row r = {0};
    const char *line = read_file(path, NULL);
    while ((line = strchr(line, '\n')) && line[1]) {
        line++;
        assert_int_equal(sscanf(line, "%lf,%15[^,],%lf,%lf,%lf,%lf", &r.ms, r.who, &r.across,
                                &r.depth, &r.at.x, &r.at.y),
                         6);
        if (strcmp(r.who, who) == 0 && n-- == 0)
            return r;
    }
    fail_msg("no row %zu of %s", n, who);
    return r;
}

static void places_are_those_of_the_truth_in_steps_and_in_inches(void **state)
{
    (void)state;
    const struct made m = make_clip(TINY "--seconds 30 --tempo-scale 0.9090909090909091");
    const json_t *t7 = json_row(json_object_get(m.json, "performers"), "label", "T7");
    const json_t *beats = json_object_get(m.json, "beats"), *at = json_object_get(t7, "at");
    size_t met = 0; /* 120 bpm from 1.5 s on: a beat on every half second, a frame on every whole */
    for (size_t i = 0; i < json_array_size(beats); i++) {
        const double ms = json_number_at(json_array_get(beats, i), "ms");
        if (fabs(ms - 1000 * round(ms / 1000)) > 0.01 || ms > 29000)
            continue;
        const struct row r = place_of(m.places, "T7", (size_t)lround(ms / 1000));
        const json_t *steps = json_array_get(at, i);
        assert_true(fabs(r.ms - ms) < 0.01);
        assert_true(fabs(r.across - json_number_value(json_array_get(steps, 0))) < 0.001);
        assert_true(fabs(r.depth - json_number_value(json_array_get(steps, 1))) < 0.001);
        /* 8 to 5, and 84 steps on 160 ft. */
        assert_true(fabs(r.at.x - r.across * 22.5) < 0.02);
        assert_true(fabs(r.at.y - r.depth * 1920 / 84) < 0.02);
        met++;
    }
    assert_true(met >= 20);
}

static void a_clip_may_begin_later_in_the_drill(void **state)
{
    (void)state;
    const struct made whole = make_clip(TINY "--seconds 25");
    const struct made later = make_clip(TINY "--seconds 5 --from 19");
    static const char *const who[] = {"T7", "BR3", "F1"};
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 5; k++) {
            const struct row a = place_of(whole.places, who[i], 19 + k);
            const struct row b = place_of(later.places, who[i], k);
            assert_true(fabs(a.ms - 19000 - b.ms) < 0.001);
            assert_true(fabs(a.at.x - b.at.x) < 0.002 && fabs(a.at.y - b.at.y) < 0.002);
        }
    /* The bow in set 3 is under way; what went wrong before is not listed. */
    const json_t *faults = json_object_get(later.json, "faults");
    const json_t *bow = json_row(faults, "fault", "bent line");
    assert_true(bow && json_number_at(bow, "end_ms") > 0);
    assert_null(json_row(faults, "fault", "horns up late"));
}

/* Unquotes the cell that begins at s; returns what is behind its comma or the line's end. */
static const char *cell(const char *s, char *out)
{
    const bool quoted = *s == '"';
    s += quoted;
    while (quoted ? *s != '"' : *s != ',' && *s != '\n')
        *out++ = *s++;
    *out = '\0';
    return s + 1 + quoted;
}

static void dots_are_the_same_ground_in_every_field_s_words(void **state)
{
    (void)state;
    static const char *const levels[] = {"high-school", "college", "professional"};
    const char *line[3];
    for (size_t k = 0; k < 3; k++) {
        char options[120];
        snprintf(options, sizeof options, TINY "--seconds 1 --field %s", levels[k]);
        line[k] = read_file(make_clip(options).dots, NULL);
    }
    size_t rows = 0, reworded = 0;
    for (; line[0] && line[0][strcspn(line[0], "\n")] && strchr(line[0], '\n')[1]; rows++) {
        double y[3];
        char words[3][4][SPOT_TEXT];
        for (size_t k = 0; k < 3; k++) {
            double steps, x;
            struct err e = {0};
            const struct grid *g = grid_named(levels[k]);
            const char *s = strchr(line[k], '\n') + 1;
            line[k] = s - 1;
            for (size_t i = 0; i < 4; i++)
                s = cell(s, words[k][i]);
            line[k] = s - 1;
            assert_true(across_parse(g, words[k][2], &x, &e));
            assert_true(depth_parse(g, words[k][3], &steps, &e));
            y[k] = grid_depth_in(g, steps);
            assert_string_equal(words[k][2], words[0][2]);
            assert_true(fabs(y[k] - y[0]) < 0.25); /* words have hundredths of a step */
        }
        reworded += strcmp(words[0][3], words[1][3]) != 0;
    }
    assert_true(rows > 900 && reworded > 500);
}

static void the_camera_that_stands_still_has_the_same_row_throughout(void **state)
{
    (void)state;
    const char *rows = read_file(make_clip(TINY "--seconds 3 --camera 70,120,60").cameras, NULL);
    const char *first = strchr(strchr(rows, '\n'), ','), *second = strchr(strchr(first, '\n'), ',');
    assert_memory_equal(first, second, strcspn(first, "\n"));
    /* 6 ft to side 2, 120 before the sideline, 70 up, towards (0, 60). */
    double p[9];
    assert_int_equal(sscanf(first, ",%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf,%lf", p, p + 1, p + 2, p + 3,
                            p + 4, p + 5, p + 6, p + 7, p + 8),
                     9);
    const double due[9] = {72, -1440, 840, atan2(-6, 180), atan2(70, hypot(6, 180)), 0, 64, 0, 0};
    for (size_t i = 0; i < 9; i++)
        assert_true(fabs(p[i] - due[i]) < 1e-9);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_are_those_of_the_truth_in_steps_and_in_inches),
        cmocka_unit_test(a_clip_may_begin_later_in_the_drill),
        cmocka_unit_test(dots_are_the_same_ground_in_every_field_s_words),
        cmocka_unit_test(the_camera_that_stands_still_has_the_same_row_throughout),
    };
    demo_clip = argc > 1 ? argv[1] : "demo-clip";
    return cmocka_run_group_tests(tests, NULL, NULL);
}
