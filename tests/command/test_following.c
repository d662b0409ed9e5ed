/* The field that is followed while somebody works, on a disk that is full for a while, and with the
 * thread ended at any moment: what is followed has no hole, and it is said once what went wrong. */
#include <poll.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "command/clip.h"
#include "command/ground.h"
#include "command/run.h"
#include "command/session.h"
#include "command/stage.h"
#include "lib/cases.h"
#include "lib/full_disk.h"
#include "lib/run.h"
#include "screen/screens.h"

enum { FPS = 30, SECONDS = 2, EDGE = 2 };

static struct app app;
static struct desk d;

static void must(struct run r)
{
    assert_exit(r, 0);
}

static struct picked {
    double across, depth;
    const char *spot;
} picked[] = {{0, 28, "on 50; on front hash"},
              {0, 56, "on 50; on back hash"},
              {-32, 28, "side 1, on 30; on front hash"},
              {32, 56, "side 2, on 30; on back hash"}};

static void pixel_of(const json_t *truth, const struct picked *p, double at[2])
{
    const json_t *to = json_object_get(json_object_get(truth, "camera"), "ground_steps_to_px");
    double v[3];
    for (size_t i = 0; i < 3; i++) {
        const json_t *r = json_array_get(to, i);
        v[i] = json_number_value(json_array_get(r, 0)) * p->across +
               json_number_value(json_array_get(r, 1)) * p->depth +
               json_number_value(json_array_get(r, 2));
    }
    at[0] = v[0] / v[2] + 0.5;
    at[1] = v[1] / v[2] + 0.5;
}

static void make_show(const char *path)
{
    const char *dir = temp_dir(), *clip = path_in(dir, "drawn.mp4"),
               *truth = path_in(dir, "truth.json");
    must(run("boxcall", "new", path, NULL));
    must(run("sh", "-c",
             arena_printf(test_arena(),
                          "exec '%s' --sets 1 --seconds %d --size 640x360 --no-sound --preset "
                          "ultrafast --out '%s' --truth '%s' 2>&1",
                          getenv("DEMO_CLIP"), SECONDS, clip, truth),
             NULL));
    must(run("boxcall", "add", path, "clip", clip, "--label", "d", NULL));
    json_t *t = json_load_file(truth, 0, NULL);
    assert_non_null(t);
    for (size_t i = 0; i < sizeof picked / sizeof *picked; i++) {
        double at[2];
        pixel_of(t, &picked[i], at);
        must(run("boxcall", "field", path, "d", "pick", "0",
                 arena_printf(test_arena(), "%.1f,%.1f", at[0], at[1]), picked[i].spot, NULL));
    }
    json_decref(t);
}

static void turn(void)
{
    desk_poll(&d);
    poll(NULL, 0, 1);
}

static bool followed(void)
{
    const struct field_view *v = ground_view(&d);
    return v && v->by == FIELD_LINES && v->track.whole;
}

static void until(bool (*is)(void), const char *what)
{
    const long long end = now_ms() + DEADLINE_MS;
    while (!is()) {
        turn();
        if (now_ms() > end)
            fail_msg("%s does not come; it says '%s'", what, d.message);
    }
}

static bool in_trouble(void)
{
    return d.trouble && *d.message;
}

static bool nobody_works(void)
{
    return ground_followed(&d) < 0;
}

/* Every frame of the clip, asked of the show file by another program. */
static void assert_no_hole(void)
{
    struct err e;
    struct seen_by by;
    const struct field_view *v = ground_view(&d);
    assert_non_null(v);
    assert_true(v->track.whole);
    size_t frames = 0;
    for (size_t i = 0; i < v->track.n; i++)
        frames += v->track.at[i].n;
    assert_int_equal(frames, FPS * SECONDS);
    for (int i = EDGE; i < FPS * SECONDS - EDGE; i++)
        if (!app_field_seen(v, (int64_t)i * 1000000 / FPS + 1000, &by, NULL, &e))
            fail_msg("frame %d: %s", i, e.text);
}

static void end(void)
{
    struct run r = run("boxcall", "check", stage_show(), NULL);
    assert_exit(r, 0);
    desk_close(&d);
    app_close(&app);
}

/* The disk is full after so many bytes more of the show's. */
static const struct room {
    const char *name;
    size_t bytes;
} rooms[] = {{"at once", 0},
             {"in the camera that was found", 3000},
             {"in the first piece", 12000},
             {"in the pieces", 18000}};

static void a_full_disk_is_said_once_and_leaves_no_hole(void **state)
{
    const struct room *r = *state;
    full_disk(NULL, 0);
    stage_open_made(&d, &app, make_show);
    full_disk("a.show", r->bytes);
    desk_run(&d, "grid");
    until(in_trouble, "trouble");
    assert_non_null(strstr(d.message, "full"));
    assert_null(strchr(d.message, '\n'));
    assert_true(full_disk_hits() > 0);
    assert_true(nobody_works());
    d.message[0] = '\0';
    full_disk(NULL, 0);
    for (int i = 0; i < 50; i++)
        turn();
    assert_string_equal(d.message, ""); /* it is not begun again by itself, nor said again */
    desk_run(&d, "measure");
    until(followed, "the end");
    assert_no_hole();
    end();
}

/* Only for as long as one write takes. */
static void a_disk_that_was_full_for_a_moment_leaves_no_hole(void **state)
{
    const struct room *r = *state;
    full_disk(NULL, 0);
    stage_open_made(&d, &app, make_show);
    full_disk("a.show", r->bytes);
    desk_run(&d, "grid");
    until(in_trouble, "trouble");
    full_disk(NULL, 0);
    desk_run(&d, "measure");
    until(followed, "the end");
    assert_no_hole();
    end();
}

static void the_program_ended_at_any_moment_goes_on_there(void **state)
{
    (void)state;
    full_disk(NULL, 0);
    stage_open_made(&d, &app, make_show);
    struct err e;
    const long long until_ms = now_ms() + 3 * DEADLINE_MS;
    for (int turns = 0; !followed(); turns = 2 * turns + 5) {
        assert_true(now_ms() < until_ms);
        desk_run(&d, "measure");
        for (int i = 0; i < turns && !followed(); i++)
            turn();
        desk_close(&d);
        app_close(&app);
        if (!app_open(&app, stage_show(), &e) || !desk_open(&d, &app, &review_tools, &e) ||
            !desk_clip(&d, &app.clips.at[0], 0, false, &e))
            fail_msg("%s", e.text);
        stage_settle(&d);
    }
    assert_no_hole();
    end();
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rooms, a_full_disk_is_said_once_and_leaves_no_hole);
    cases_of(&all, rooms, a_disk_that_was_full_for_a_moment_leaves_no_hole);
    case_test(&all, the_program_ended_at_any_moment_goes_on_there);
    return cases_run(&all, "the field followed");
}
