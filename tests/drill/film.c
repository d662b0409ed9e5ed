#include "drill/film.h"

#include <sqlite3.h>

#include "field/chance.h"
#include "field/solve.h"

/* --- what is true ------------------------------------------------------------------------------ */

static double cell(char **at)
{
    const double x = strtod(*at, at);
    *at += **at == ',';
    return x;
}

static void read_cameras(struct film *f, const char *path)
{
    char *at = strchr(read_file(path, NULL), '\n') + 1;
    for (; *at; at += *at == '\r', at += *at == '\n') {
        struct camera *c = &f->camera[f->n];
        assert_true(f->n < FILM_FRAMES);
        f->ms[f->n++] = cell(&at);
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            c->p[k] = cell(&at);
        c->width = cell(&at);
        c->height = cell(&at);
        c->half = 960;
    }
}

static void read_places(struct film *f, const char *path)
{
    char *at = strchr(read_file(path, NULL), '\n') + 1;
    for (size_t i = 0; *at; i++, at += *at == '\r', at += *at == '\n') {
        const double ms = cell(&at);
        const size_t n = strcspn(at, ",");
        if (i < FILM_PEOPLE && ms == f->ms[0])
            f->who[f->people++] = say("%.*s", (int)n, at);
        assert_true(f->people > 0);
        const size_t frame = i / f->people, who = i % f->people;
        assert_true(frame < f->n && strncmp(f->who[who], at, n) == 0);
        at += n + 1;
        cell(&at), cell(&at);
        const double x = cell(&at), y = cell(&at);
        f->place[frame][who] = (struct field_place){x, y};
    }
}

static struct film *drawn(const char *field, const char *options)
{
    struct film *f = arena_alloc(test_arena(), sizeof *f);
    const char *band = getenv("DEMO_BAND");
    *f = (struct film){.dir = temp_dir(), .grid = grid_named(field)};
    f->show = path_in(f->dir, "a.show");
    f->clip = path_in(f->dir, "t.mp4");
    well(run(
        "sh", "-c",
        say("cd '%s' && exec '%s' --band '%s' --out t.mp4 --cameras c.csv --places p.csv --dots "
            "d.csv --truth t.json --field %s --no-sound --preset ultrafast --faults none %s",
            f->dir, getenv("DEMO_CLIP"), band, field, options),
        NULL));
    read_cameras(f, path_in(f->dir, "c.csv"));
    read_places(f, path_in(f->dir, "p.csv"));
    f->truth = json_load_file(path_in(f->dir, "t.json"), 0, NULL);
    assert_non_null(f->truth);
    return f;
}

/* --- bent as a telephone does that steadies its pictures ------------------------------------------- */

/* Where a corner goes in a picture: pixels, to and fro, each in its own time. */
static const struct corner {
    double x, y, far_x, far_y, frames; /* shares of the picture; pixels; of one swing */
} corners[4] = {{0, 0, 6, -4, 21}, {1, 0, -5, 3, 17}, {0, 1, 4, 5, 26}, {1, 1, -3, -6, 19}};

static double swing(const struct corner *k, size_t frame)
{
    return sin(2 * M_PI * (double)(frame + 1) / k->frames);
}

static void bend_of(size_t frame, struct camera *c)
{
    struct pick at[4];
    struct err e;
    double h[9];
    const double half = c->width / 2, high = c->height / 2;
    for (int i = 0; i < 4; i++) { /* in pixels from the middle */
        const struct corner *k = &corners[i];
        const double x = (2 * k->x - 1) * half, y = (2 * k->y - 1) * high, s = swing(k, frame);
        at[i] = (struct pick){.at = {x + s * k->far_x, y + s * k->far_y}, .on = {x, y}, .sd = 1};
    }
    if (!homography_fit(at, 4, h, &e))
        fail_msg("%s", e.text);
    const double bend[BENDS] = {h[0] - 1, h[1],        h[2] / half, h[3],
                                h[4] - 1, h[5] / half, h[6] * half, h[7] * half};
    memcpy(c->bend, bend, sizeof bend);
}

/* Each picture is resampled by another program (libavfilter's perspective), whose frames count from 1. */
static void bend(struct film *f)
{
    const char *to = "", *straight = path_in(f->dir, "straight.mp4");
    for (size_t i = 0; i < f->n; i++)
        bend_of(i, &f->camera[i]);
    for (int i = 0; i < 4; i++) {
        const struct corner *k = &corners[i];
        const char *moved = say("*sin(2*PI*on/%g)", k->frames);
        to = say("%sx%d=%g+(%g)%s:y%d=%g+(%g)%s:", to, i, k->x * f->camera[0].width, k->far_x,
                 moved, i, k->y * f->camera[0].height, k->far_y, moved);
    }
    assert_int_equal(rename(f->clip, straight), 0);
    well(run("ffmpeg", "-nostdin", "-v", "error", "-i", straight, "-vf",
             say("perspective=%ssense=destination:interpolation=cubic:eval=frame", to), "-c:v",
             "libx264", "-preset", "ultrafast", "-crf", "20", f->clip, NULL));
}

static struct film *shown(struct film *f, const char *field)
{
    const char *band = getenv("DEMO_BAND");
    static const char *const tables[] = {"sections", "faults", "roster", "sets"};
    box_ok("new", f->show, "--field", field);
    for (size_t i = 0; i < COUNT(tables); i++)
        well(run("boxcall", "add", f->show, tables[i], say("%s/%s.csv", band, tables[i]),
                 i < 2 ? "--replace" : NULL, "--yes", NULL));
    box_ok("add", f->show, "dots", path_in(f->dir, "d.csv"));
    add_clip(f->show, f->clip, "t", "2026-08-01");
    return f;
}

struct film *film_make(const char *field, const char *options)
{
    return shown(drawn(field, options), field);
}

struct film *film_bent(const char *field, const char *options)
{
    struct film *f = drawn(field, options);
    bend(f);
    return shown(f, field);
}

void film_tie(const struct film *f, const char *set)
{
    const json_t *s = row_with(json_object_get(f->truth, "sets"), "set", set);
    box_ok("count", f->show, "t", "tie", say("%.3f", number_at(s, "start_ms") / 1000), set);
}

struct pixel film_pixel(const struct film *f, size_t frame, struct field_place at)
{
    struct pixel p;
    assert_true(camera_sees(&f->camera[frame], at, &p, NULL));
    return p;
}

struct field_place film_place(const struct film *f, size_t frame, const char *who)
{
    for (size_t i = 0; i < f->people; i++)
        if (strcmp(f->who[i], who) == 0)
            return f->place[frame][i];
    fail_msg("no %s in the band", who);
    return (struct field_place){0, 0};
}

const char *film_feet(const struct film *f, size_t frame, const char *who, double sd)
{
    const struct pixel p = film_pixel(f, frame, film_place(f, frame, who));
    return say("%.2f,%.2f", p.x + sd * normal(), p.y + sd * normal());
}

const char *film_time(const struct film *f, size_t frame)
{
    const double next = frame + 1 < f->n ? f->ms[frame + 1] : f->ms[frame] + 20;
    return say("%.4f", (f->ms[frame] + next) / 2000);
}

/* --- four clicks --------------------------------------------------------------------------------- */

/* The crossing that is nearest to a part of the picture. */
static struct field_place crossing(const struct film *f, size_t frame, double x, double y,
                                   double depth)
{
    const struct camera *c = &f->camera[frame];
    struct field_place best = {0, depth};
    double least = INFINITY;
    for (int yard = -50; yard <= 50; yard += 5) {
        struct pixel p;
        const struct field_place at = {yard * 36, depth};
        if (!camera_sees(c, at, &p, NULL) || p.x < 20 || p.y < 20 || p.x > c->width - 20 ||
            p.y > c->height - 20)
            continue;
        const double far = hypot(p.x - x * c->width, p.y - y * c->height);
        if (far < least) {
            least = far;
            best = at;
        }
    }
    assert_true(isfinite(least));
    return best;
}

void film_pick(const struct film *f, size_t frame, double off)
{
    static const double where[4][2] = {{.15, .8}, {.85, .8}, {.2, .3}, {.8, .3}};
    const double depth[4] = {0, 0, f->grid->back_hash_in, f->grid->back_hash_in};
    const struct camera *c = &f->camera[frame];
    for (int i = 0; i < 4; i++) {
        const struct field_place at = crossing(f, frame, where[i][0], where[i][1], depth[i]);
        const double turn = between(0, 2 * M_PI), far = off * c->height / 1080;
        struct pixel p = film_pixel(f, frame, at);
        p.x = fmin(fmax(p.x + far * cos(turn), 0), c->width);
        p.y = fmin(fmax(p.y + far * sin(turn), 0), c->height);
        char spot[2 * SPOT_TEXT];
        double x, y;
        field_place_steps(f->grid, at, &x, &y);
        spot_text(f->grid, x, y, spot);
        box_ok("field", f->show, "t", "pick", film_time(f, frame), say("%.2f,%.2f", p.x, p.y),
               spot);
    }
}

/* --- what is followed ------------------------------------------------------------------------------ */

static void take(struct film_track *t, const struct camera *fixed, sqlite3_stmt *q)
{
    struct track_frame at[FILM_FRAMES];
    struct track_piece p = {.from_us = sqlite3_column_int64(q, 0), .at = at};
    const size_t n = (size_t)sqlite3_column_bytes(q, 1);
    assert_true(n / TRACK_FRAME_BYTES + t->n <= FILM_FRAMES);
    assert_true(track_frames_take(sqlite3_column_blob(q, 1), n, &p));
    assert_true(
        track_bends_take(sqlite3_column_blob(q, 2), (size_t)sqlite3_column_bytes(q, 2), &p));
    for (size_t i = 0; i < p.n; i++) {
        assert_true(t->n == 0 || at[i].us > t->us[t->n - 1]);
        t->camera[t->n] = track_camera(&(struct track){.fixed = *fixed}, &at[i]);
        t->held[t->n] = at[i].held;
        t->us[t->n++] = at[i].us;
    }
    t->pieces++;
}

void film_track(const struct film *f, const char *show, struct film_track *out)
{
    sqlite3 *db;
    sqlite3_stmt *q;
    struct camera fixed = {.half = f->camera[0].half};
    *out = (struct film_track){0};
    assert_int_equal(sqlite3_open_v2(show, &db, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    sqlite3_busy_timeout(db, 20000);
    assert_int_equal(
        sqlite3_prepare_v2(db, "SELECT width,height,x,y,z,k1,crown,whole,views FROM camera_track",
                           -1, &q, NULL),
        SQLITE_OK);
    if (sqlite3_step(q) == SQLITE_ROW) {
        fixed.width = sqlite3_column_double(q, 0);
        fixed.height = sqlite3_column_double(q, 1);
        for (int k = 0; k < 3; k++)
            fixed.p[CAMERA_X + k] = sqlite3_column_double(q, 2 + k);
        fixed.p[CAMERA_K1] = sqlite3_column_double(q, 5);
        fixed.p[CAMERA_CROWN] = sqlite3_column_double(q, 6);
        out->whole = sqlite3_column_int(q, 7) != 0;
        out->views = sqlite3_column_int(q, 8);
    }
    sqlite3_finalize(q);
    assert_int_equal(
        sqlite3_prepare_v2(db, "SELECT from_us,frames,bends FROM camera_piece ORDER BY from_us", -1,
                           &q, NULL),
        SQLITE_OK);
    while (sqlite3_step(q) == SQLITE_ROW)
        take(out, &fixed, q);
    sqlite3_finalize(q);
    sqlite3_close(db);
}

double film_within(const struct film *f, const struct film_track *t, double steps, double *worst)
{
    size_t good = 0;
    double most = 0;
    for (size_t i = 0; i < f->n; i++)
        for (size_t k = 0; k < t->n; k++) {
            if (fabs(f->ms[i] - (double)t->us[k] / 1000) > 2)
                continue;
            struct camera c = t->camera[k];
            c.p[CAMERA_FOCAL] *= f->camera[i].width / c.width;
            c.width = f->camera[i].width;
            c.height = f->camera[i].height;
            const double off = t->held[k] ? steps_off(&f->camera[i], &c) : INFINITY;
            most = fmax(most, off);
            good += off <= steps;
            break;
        }
    if (worst)
        *worst = most;
    return (double)good / (double)f->n;
}
