/* Measuring on the field in the picture: a drawn clip of two seconds whose truth is known. The band
 * stands on its dots of set 1 (count 1 at 1.5 s, frame 45). */
#include <jansson.h>
#include <math.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/buf.h"
#include "review/stage.h"

enum { WIDTH = 960, HEIGHT = 540, STEP = WIDTH / 40, AT = 45 };

static struct stage s;
static struct {
    const char *clip, *known, *unknown, *dotless; /* shows: with the field followed, and without */
    json_t *truth;
} made;

struct px {
    double x, y;
};

static const char *say(const char *fmt, ...) __attribute__((format(printf, 1, 2)));
static const char *say(const char *fmt, ...)
{
    va_list ap;
    char text[2000];
    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    return arena_strdup(test_arena(), text);
}

/* --- what is true -------------------------------------------------------------------------------- */

/* Of a place in grid steps. */
static struct px pixel_of(double across, double depth)
{
    const json_t *field = json_object_get(made.truth, "field");
    const json_t *to = json_object_get(json_object_get(made.truth, "camera"), "feet_to_px");
    const double x = across * json_number_value(json_object_get(field, "feet_per_step")),
                 y = depth * json_number_value(json_object_get(field, "feet_per_depth_step"));
    double v[3];
    for (size_t i = 0; i < 3; i++) {
        const json_t *r = json_array_get(to, i);
        v[i] = json_number_value(json_array_get(r, 0)) * x +
               json_number_value(json_array_get(r, 1)) * y +
               json_number_value(json_array_get(r, 3));
    }
    return (struct px){v[0] / v[2] + 0.5, v[1] / v[2] + 0.5};
}

/* Where a performer's feet are at set 1. */
static struct px feet_of(const char *who)
{
    size_t i;
    const json_t *p;
    json_array_foreach(json_object_get(made.truth, "performers"), i, p)
    {
        const json_t *at = json_array_get(json_object_get(p, "at"), 0);
        if (strcmp(json_string_value(json_object_get(p, "label")), who) == 0)
            return pixel_of(json_number_value(json_array_get(at, 0)),
                            json_number_value(json_array_get(at, 1)));
    }
    fail_msg("%s is not in the truth", who);
    return (struct px){0};
}

/* --- the shows ----------------------------------------------------------------------------------- */

static const struct pick {
    double across, depth, off;
    const char *keys, *spot;
} picks[] = {{0, 28, 2, "5 f", "on 50; on front hash"},
             {0, 56, -2, "5 b", "on 50; on back hash"},
             {-32, 28, 3, "3 f", "side 1, on 30; on front hash"},
             {32, 56, -3, "3 b", "side 2, on 30; on back hash"}};

static const char *copy_of(const char *show)
{
    size_t n;
    const char *bytes = read_file(show, &n);
    return write_bytes(temp_dir(), "larkspur.show", bytes, n);
}

static int make(void **state)
{
    (void)state;
    const char *band = getenv("DEMO_BAND"), *dir = temp_dir(), *truth = path_in(dir, "truth.json");
    static const char *const tables[] = {"sections", "faults", "roster", "sets"};
    setenv("BOXCALL_AUTHOR", "The office", 1);
    made.clip = path_in(temp_dir(), "drawn.mp4"); /* beside no show, which would be moved with it */
    must(run("sh", "-c",
             say("exec '%s' --sets 1 --seconds 2 --size %dx%d --no-sound --preset ultrafast --out "
                 "'%s' --truth '%s' 2>&1",
                 getenv("DEMO_CLIP"), WIDTH, HEIGHT, made.clip, truth),
             NULL));
    made.truth = json_load_file(truth, 0, NULL);
    made.unknown = path_in(dir, "unknown.show");
    must(run("boxcall", "new", made.unknown, "--title", "Larkspur", NULL));
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        must(run("boxcall", "add", made.unknown, tables[i], say("%s/%s.csv", band, tables[i]),
                 NULL));
    must(run("boxcall", "add", made.unknown, "clip", made.clip, "--label", "d", "--date",
             "2026-09-14", NULL));
    must(run("boxcall", "add", made.unknown, "clip", clip_stands(), "--date", "2026-09-15", NULL));
    must(run("boxcall", "count", made.unknown, "d", "tie", "1.5", "1", NULL));
    made.dotless = copy_of(made.unknown);
    must(run("boxcall", "add", made.unknown, "dots", say("%s/dots.csv", band), NULL));
    made.known = copy_of(made.unknown);
    for (size_t i = 0; i < sizeof picks / sizeof *picks; i++) {
        const struct px p = pixel_of(picks[i].across, picks[i].depth);
        must(run("boxcall", "field", made.known, "d", "pick", "1.5",
                 say("%.1f,%.1f", p.x + picks[i].off, p.y + picks[i].off), picks[i].spot, NULL));
    }
    must(run("boxcall", "field", made.known, "d", "camera", NULL));
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    return 0;
}

static int drop(void **state)
{
    (void)state;
    json_decref(made.truth);
    return 0;
}

static void stand(const char *show)
{
    s = (struct stage){.dir = temp_dir(), .home = temp_dir(), .show = copy_of(show)};
}

/* Standing where the band stands on its dots; wide enough for a message in one row. */
static void open_at(const char *show, const struct term_setup *setup)
{
    static const struct term_setup wide = {.rows = 40, .cols = 120};
    if (show)
        stand(show);
    stage_open(&s, setup ? setup : &wide, "d");
    stage_go(&s, AT);
}

static int open_known(void **state)
{
    (void)state;
    open_at(made.known, NULL);
    return 0;
}

static int open_small(void **state)
{
    (void)state;
    open_at(made.known, &(struct term_setup){.rows = 24, .cols = 80});
    return 0;
}

static int open_unknown(void **state)
{
    (void)state;
    open_at(made.unknown, NULL);
    return 0;
}

static int quit(void **state)
{
    (void)state;
    if (s.t)
        stage_quit(&s);
    return 0;
}

static const char *asked(const char *verb, const char *a, const char *b, const char *c,
                         const char *e)
{
    struct run r = run("boxcall", verb, s.show, "d", a, b, c, e, NULL);
    assert_exit(r, 0);
    return arena_strdup(test_arena(), r.out);
}

static double number_in(const char *json, const char *key)
{
    json_t *o = json_loads(json, 0, NULL);
    const double v = json_number_value(json_object_get(o, key));
    json_decref(o);
    return v;
}

/* In the show file, without a frame that this question followed itself: the picks are of that time. */
static double followed_s(void)
{
    return number_in(asked("field", "camera", "1.5", "--as", "json"), "followed_s");
}

/* --- hands and eyes --------------------------------------------------------------------------------- */

static struct px cross; /* where the crosshair is */

static void open_measuring(const char *title)
{
    term_keys(s.t, "+");
    term_wait_row(s.t, 1, title);
    cross = (struct px){WIDTH / 2.0, HEIGHT / 2.0};
}

static const char *way(const char *less, const char *more, double by)
{
    struct buf keys = {0};
    const int all = (int)lround(fabs(by));
    for (int i = 0; i < all / STEP; i++)
        buf_printf(&keys, "%s ", by < 0 ? less : more);
    for (int i = 0; i < all % STEP; i++)
        buf_printf(&keys, "Shift-%s ", by < 0 ? less : more);
    const char *out = arena_strdup(test_arena(), buf_text(&keys));
    buf_free(&keys);
    return out;
}

static void aim(struct px p)
{
    term_keys(s.t, way("Left", "Right", round(p.x) - cross.x));
    term_keys(s.t, way("Up", "Down", round(p.y) - cross.y));
    cross = (struct px){round(p.x), round(p.y)};
    term_wait_idle(s.t);
}

static void click_feet(const char *who)
{
    aim(feet_of(who));
    term_keys(s.t, "Space");
    term_wait_idle(s.t);
}

static void pick(size_t i)
{
    struct px p = pixel_of(picks[i].across, picks[i].depth);
    p.x += picks[i].off;
    p.y += picks[i].off;
    aim(p);
    term_keys(s.t, picks[i].keys);
    term_wait_row(s.t, -1, say("pick %zu: ", i + 1));
}

static void pick_all(void)
{
    for (size_t i = 0; i < sizeof picks / sizeof *picks; i++)
        pick(i);
}

/* All that stands below the transport line, without its line breaks and double blanks. */
static const char *said(void)
{
    struct buf out = {0};
    for (int row = stage_transport(&s) + 1; row < term_rows(s.t) - 1; row++) {
        const char *text = term_row(s.t, row), *bar = strstr(text, "│");
        for (text = bar ? bar + strlen("│") : text; *text; text++)
            if (*text != ' ' || (out.n && out.p[out.n - 1] != ' '))
                buf_char(&out, *text);
        buf_char(&out, ' ');
    }
    const char *all = arena_strdup(test_arena(), buf_text(&out));
    buf_free(&out);
    return all;
}

static void assert_said(const char *what)
{
    term_wait_idle(s.t);
    if (!strstr(said(), what))
        fail_msg("'%s' is not said:\n%s", what, term_screen(s.t));
}

static void assert_not_said(const char *what)
{
    term_wait_idle(s.t);
    if (strstr(said(), what))
        fail_msg("'%s' is said:\n%s", what, term_screen(s.t));
}

/* --- where the field is ------------------------------------------------------------------------------ */

static void four_picks_by_keys_find_the_field_and_follow_it(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    assert_said("0 of 4 spots picked in this picture");
    pick_all();
    term_wait_row(s.t, -1, "the field is followed through the clip");
    term_wait_text(s.t, "held by its lines");
    const char *camera = asked("field", "camera", "1.5", "--as", "json");
    assert_true(fabs(number_in(camera, "followed_s") - 2) < 0.05);
    assert_true(number_in(camera, "picks") == 4);
    assert_true(number_in(camera, "lost_s") < 0.01);
    assert_true(fabs(number_in(camera, "x_in") - 72) < 12); /* the drawn camera stands 6 ft off */
}

/* The spot in the picture that a name of keys means; Esc and Backspace; the other side; Tab. */
static void a_spot_is_named_in_keys_that_can_be_taken_back(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    term_keys(s.t, "Space");
    term_wait_row(s.t, 1, "which spot is that?");
    term_keys(s.t, "4");
    term_wait_text(s.t, "side 2, the 40_"); /* right of the middle, or on it */
    term_keys(s.t, "5");
    term_wait_text(s.t, "side 2, the 45_");
    term_keys(s.t, "x");
    term_wait_row(s.t, -1, "first the yard line (35)");
    term_wait_text(s.t, "side 2, the 45_");
    term_keys(s.t, "Backspace");
    term_wait_text(s.t, "side 2, the 40_");
    term_keys(s.t, "Tab");
    term_wait_text(s.t, "side 1, the 40_");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, 1, "where is the field?");
    assert_said("0 of 4 spots");
    term_keys(s.t, "4"); /* a digit begins a name where the crosshair is */
    term_wait_text(s.t, "side 2, the 40_");
    term_keys(s.t, "Tab s");
    term_wait_row(s.t, -1, "pick 1: side 1, on 40; on front sideline");
    term_keys(s.t, "Right Space 4 Tab s");
    term_wait_row(s.t, -1, "is this spot already");
}

static void a_spot_is_named_in_words(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    term_keys(s.t, "Space /");
    term_wait_row(s.t, -1, "which spot is that?");
    term_type(s.t, "side 1, 2 outside 35; 4 behind front hash");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "pick 1: side 1, 2 outside 35; 4 behind front hash");
    assert_said("1 of 4 spots");
    term_keys(s.t, "Right Space /");
    term_wait_row(s.t, -1, "which spot is that?");
    term_type(s.t, "side 3, on nowhere");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "✗");
    assert_said("1 of 4 spots");
}

static void undo_takes_a_pick_back_and_the_field_with_it(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    pick_all();
    term_wait_row(s.t, -1, "followed through the clip");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
    term_wait_row(s.t, 1, "where is the field?"); /* it is still pointed at */
    assert_said("3 of 4 spots picked in this picture");
    term_keys(s.t, "Ctrl-y");
    term_wait_row(s.t, -1, "done again");
    term_wait_text(s.t, "held by its lines");
    term_keys(s.t, "Backspace");
    term_wait_row(s.t, -1, "taken off");
    term_wait_text(s.t, "3 of 4 spots picked in this picture");
}

static void another_program_picks_meanwhile(void **state)
{
    (void)state;
    open_measuring("measuring: gaps");
    click_feet("T1");
    assert_said("100 % T1");
    must(run("boxcall", "field", s.show, "d", "unpick", "4", NULL));
    term_wait_text(s.t, "3 of 4 spots picked in this picture");
    assert_not_said("T1");
    const struct px p = pixel_of(picks[3].across, picks[3].depth);
    must(run("boxcall", "field", s.show, "d", "pick", "1.5", say("%.1f,%.1f", p.x, p.y),
             picks[3].spot, NULL));
    term_wait_text(s.t, "100 %  T1"); /* it is looked for by itself, and the click says so again */
}

static void marks_of_another_program_do_not_end_the_following(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    pick_all();
    for (int i = 0; i < 5; i++)
        must(run("boxcall", "mark", s.show, "d", "1", "T1", "horn angle", NULL));
    term_wait_row(s.t, -1, "the field is followed through the clip");
    assert_true(fabs(followed_s() - 2) < 0.05);
}

/* Until the review is done with it. */
static void wait_followed(void)
{
    term_keys(s.t, "+");
    term_wait_idle(s.t);
    if (strstr(term_row(s.t, 1), "measuring"))
        term_keys(s.t, "p");
    term_wait_text(s.t, "held by its lines");
    term_wait_gone(s.t, "following the field");
}

/* Whenever the program ends, what was followed is kept, and the next one goes on to the end. */
static void leaving_while_it_is_followed_loses_nothing(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    pick_all();
    stage_quit(&s);
    s.t = NULL;
    open_at(NULL, NULL);
    wait_followed();
    assert_true(fabs(followed_s() - 2) < 0.05);
}

static void another_clip_is_opened_while_it_is_followed(void **state)
{
    (void)state;
    open_measuring("where is the field?");
    pick_all();
    term_keys(s.t, "F3");
    term_wait_row(s.t, 0, "2 clips");
    term_keys(s.t, "Down Enter");
    term_wait_row(s.t, 0, "stands");
    term_keys(s.t, "(");
    term_wait_row(s.t, -1, "nobody has said yet where the field is");
    term_keys(s.t, "F3");
    term_wait_row(s.t, 0, "2 clips");
    term_keys(s.t, "Up Enter");
    term_wait_row(s.t, 0, " d ");
    stage_go(&s, AT);
    wait_followed();
}

/* --- what is drawn over the picture --------------------------------------------------------------------- */

static void lines_and_dots_are_drawn_and_taken_off(void **state)
{
    (void)state;
    term_keys(s.t, "(");
    term_wait_row(s.t, -1, "the field's lines are drawn over the picture");
    term_keys(s.t, "(");
    term_wait_row(s.t, -1, "no lines are drawn");
    term_keys(s.t, ")");
    term_wait_row(s.t, -1, "where everybody should be now");
    term_keys(s.t, ")");
    term_wait_row(s.t, -1, "dots with their labels");
    term_keys(s.t, ")");
    term_wait_row(s.t, -1, "no dots are drawn");
}

/* --- measures ----------------------------------------------------------------------------------------------- */

/* The same pixel of the same picture, asked of the command line. */
static void a_click_says_what_the_command_line_says(void **state)
{
    (void)state;
    open_measuring("measuring: gaps");
    click_feet("T3");
    const char *at = asked("field", "at", "1.5", say("%.0f,%.0f", cross.x, cross.y), NULL);
    const char *error = strstr(at, "  ±");
    assert_non_null(error);
    assert_said(say("%.*s", (int)(error - at), at));
    assert_said(say("%.*s", (int)strcspn(error + 2, "\n"), error + 2));
    assert_said("100 % T3");
}

static void gaps_and_a_line_are_said_and_clicks_taken_back(void **state)
{
    (void)state;
    open_measuring("measuring: gaps");
    click_feet("T1");
    click_feet("T2");
    click_feet("T3");
    assert_said("steps T1 to T2");
    assert_said("steps T2 to T3");
    assert_said("mean 4.0"); /* their dots are four steps apart (demo/band/dots.csv) */
    term_keys(s.t, "l");
    term_wait_row(s.t, 1, "measuring: line");
    assert_said("a line at ");
    term_keys(s.t, "Backspace");
    term_wait_gone(s.t, "T3");
    assert_said("steps T1 to T2"); /* two clicks are no line yet */
    term_keys(s.t, "x");
    term_wait_text(s.t, "click where feet meet the ground");
    term_keys(s.t, "p");
    term_wait_row(s.t, 1, "where is the field?");
    term_keys(s.t, "p Esc");
    term_wait_row(s.t, -1, "letters mark:");
    assert_false(term_has(s.t, "measuring:"));
}

/* The measure of the newest mark. */
static json_t *newest(json_t *marks)
{
    assert_true(json_array_size(marks) > 0);
    return json_array_get(marks, json_array_size(marks) - 1);
}

static void enter_makes_a_mark_of_it(void **state)
{
    (void)state;
    open_measuring("measuring: gaps");
    click_feet("T1");
    click_feet("T2");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "mark whom, and what: T1;T2 closed interval");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "closed interval");
    term_wait_row(s.t, -1, "interval 4.");
    json_t *marks = json_loads(asked("calls", "--as", "json", NULL, NULL), 0, NULL),
           *m = newest(marks), *is = json_object_get(m, "measure");
    assert_string_equal(json_string_value(json_object_get(is, "kind")), "interval");
    assert_true(fabs(json_number_value(json_object_get(is, "value")) - 4) < 0.5);
    assert_true(json_number_value(json_object_get(is, "error")) > 0.05);
    assert_int_equal(json_array_size(json_object_get(m, "targets")), 2);
    assert_int_equal(json_integer_value(json_object_get(m, "ms")), 1500);
    assert_true(fabs(json_number_value(json_object_get(m, "across")) + 6) < 0.5);
    assert_string_equal(json_string_value(json_object_get(m, "set")), "1");
    json_decref(marks);
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: mark what was measured");
    term_wait_row(s.t, 1, "measuring: gaps"); /* and the clicks still stand */
    assert_said("steps T1 to T2");
    assert_int_equal(stage_calls(&s, "d", (struct call[CALLS_MOST]){{0}}), 0);
}

/* --- who ------------------------------------------------------------------------------------------------------ */

static void a_chord_asks_who_stands_there(void **state)
{
    (void)state;
    term_keys(s.t, "t @");
    term_wait_row(s.t, 1, "who is it?");
    cross = (struct px){WIDTH / 2.0, HEIGHT / 2.0};
    click_feet("T3");
    term_wait_row(s.t, -1, "chord: t3");
    term_keys(s.t, "h");
    term_wait_row(s.t, -1, "T3, ");
    term_keys(s.t, "t @");
    term_wait_row(s.t, 1, "who is it?");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, -1, "chord: t");
    term_keys(s.t, "Esc");
    static struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "d", rows), 1);
    assert_string_equal(rows[0].who, "T3");
    assert_int_equal(rows[0].ms, 1500); /* halted: no lead */
}

static const struct cannot {
    const char *name, *const *show;
    bool untied;
    const char *says;
} cannot[] = {
    {"no dots", &made.dotless, false, "the show has no dots yet"},
    {"no ties", &made.known, true, "the clip is not tied to the drill"},
    {"no field", &made.unknown, false, "the field is not known in this picture"},
};

static void a_chord_that_cannot_ask_says_why(void **state)
{
    const struct cannot *c = *state;
    stand(*c->show);
    if (c->untied)
        must(run("boxcall", "count", s.show, "d", "untie", "1.5", NULL));
    open_at(NULL, NULL);
    term_keys(s.t, "t @");
    term_wait_row(s.t, -1, c->says);
    term_wait_row(s.t, -1, "chord: t"); /* and it goes on */
    term_keys(s.t, "3 h");
    term_wait_row(s.t, -1, "T3, ");
    stage_quit(&s);
}

/* --- the mouse ------------------------------------------------------------------------------------------------ */

/* The cell that a pixel of the picture is shown in, when cells are twice as high as wide. */
static void cell_of(struct px p, int *row, int *col)
{
    const int left = term_cols(s.t) >= 110 ? 27 : 21, cols = term_cols(s.t) - left - 1,
              rows = stage_transport(&s) - 1;
    const double scale = fmin(cols / (double)WIDTH, 2.0 * rows / HEIGHT);
    *col = left + (int)((cols - WIDTH * scale) / 2 + p.x * scale);
    *row = 1 + (int)((rows - HEIGHT * scale / 2) / 2 + p.y * scale / 2);
}

static struct px of_cell(int row, int col)
{
    const int left = term_cols(s.t) >= 110 ? 27 : 21, cols = term_cols(s.t) - left - 1,
              rows = stage_transport(&s) - 1;
    const double scale = fmin(cols / (double)WIDTH, 2.0 * rows / HEIGHT);
    return (struct px){(col + 0.5 - left - (cols - WIDTH * scale) / 2) / scale,
                       (row + 0.5 - 1 - (rows - HEIGHT * scale / 2) / 2) * 2 / scale};
}

static const struct size {
    const char *name;
    int rows, cols;
} sizes[] = {{"80 x 24", 24, 80}, {"120 x 40", 40, 120}, {"200 x 40, bars beside", 40, 200}};

/* The place that is said lies in the cell. */
static void a_click_of_the_mouse_measures_its_cell(void **state)
{
    const struct size *z = *state;
    int row, col;
    open_at(made.known, &(struct term_setup){.rows = z->rows, .cols = z->cols});
    open_measuring("measuring: gaps");
    term_wait_idle(s.t);
    cell_of(feet_of("T3"), &row, &col);
    term_click(s.t, row, col, 1);
    term_wait_text(s.t, "±");
    const char *all = said(), *end = strstr(all, " ±");
    double x, y;
    const struct px middle = of_cell(row, col);
    assert_int_equal(
        sscanf(asked("field", "pixel", "1.5", say("%.*s", (int)(end - all), all), NULL), "%lf,%lf",
               &x, &y),
        2);
    if (fabs(x - middle.x) > 2 || fabs(y - middle.y) > 2)
        fail_msg("a click on %g,%g measured %g,%g\n%s", middle.x, middle.y, x, y, term_screen(s.t));
    stage_quit(&s);
}

/* A cell is higher than people stand apart here: of the trumpets it is T3. */
static void a_click_in_a_chord_says_who(void **state)
{
    (void)state;
    int row, col;
    open_at(made.known, NULL);
    term_keys(s.t, "t");
    term_wait_row(s.t, -1, "chord: t");
    cell_of(feet_of("T3"), &row, &col);
    term_click(s.t, row, col, 1);
    term_wait_row(s.t, -1, "chord: t3");
    stage_quit(&s);
}

static void a_click_beside_the_picture_is_no_click_on_it(void **state)
{
    (void)state;
    open_at(made.known, &(struct term_setup){.rows = 40, .cols = 200});
    open_measuring("measuring: gaps");
    term_wait_idle(s.t);
    term_click(s.t, 10, 28, 1); /* in the bar at the left */
    term_wait_idle(s.t);
    assert_said("click where feet meet the ground");
    stage_quit(&s);
}

/* --- small terminals ------------------------------------------------------------------------------------------- */

/* Nothing in the rail is cut, whatever is asked; '~' is what a cut ends in. */
static void the_rail_is_not_cut(void **state)
{
    (void)state;
    static const char *const ways[] = {"+", "p", "Space", "Esc", "p", "Esc", "t", "@"};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        term_keys(s.t, ways[i]);
        term_wait_idle(s.t);
        for (int row = 1; row < term_rows(s.t) - 1 && strcmp(ways[i], "t") != 0; row++) {
            const char *text = term_row(s.t, row), *bar = strstr(text, "│");
            assert_non_null(bar);
            if (memchr(text, '~', (size_t)(bar - text)))
                fail_msg("cut after %s:\n%s", ways[i], term_screen(s.t));
        }
        assert_null(strchr(term_row(s.t, -1), '~'));
    }
    term_keys(s.t, "Esc Esc");
}

/* Errors and moves stand at the ends of lines: they go on in the next one; a rank that is longer than
 * the room says how much more there is. */
static void results_are_not_cut(void **state)
{
    (void)state;
    static const char *const rank[] = {"T1", "T2", "T3", "S4", "S3", "S2", "S1"};
    open_measuring("measuring: gaps");
    click_feet("T3");
    assert_said("steps (95 %)");
    assert_said("behind front hash");
    assert_not_said("~");
    term_keys(s.t, "x");
    for (size_t i = 0; i < sizeof rank / sizeof *rank; i++)
        click_feet(rank[i]);
    term_keys(s.t, "f");
    term_wait_text(s.t, "more lines");
    assert_not_said("~");
    term_resize(s.t, 50, 120);
    term_wait_text(s.t, "S1");
    assert_not_said("more lines");
}

/* --- a floor ------------------------------------------------------------------------------------------------------ */

static void a_floor_has_words_and_no_yard_lines(void **state)
{
    (void)state;
    stand(made.unknown);
    must(run("boxcall", "setting", s.show, "field", "floor 90x60 ft", NULL));
    open_at(NULL, NULL);
    open_measuring("where is the field?");
    term_keys(s.t, "Space");
    term_wait_row(s.t, 1, "which spot is that?");
    assert_null(strstr(term_row(s.t, 3), "its yard line"));
    term_keys(s.t, "3");
    term_wait_row(s.t, -1, "a floor has no yard lines; / writes the spot in words");
    term_keys(s.t, "/");
    term_wait_row(s.t, -1, "which spot is that?");
    term_type(s.t, "side 1, 12 off center; 6 behind front edge");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "pick 1: side 1, 12 off center; 6 behind front edge");
    stage_quit(&s);
}

#define opened(c, by, fn)                                                                          \
    ((c)->at[(c)->n++] = (struct CMUnitTest){                                                      \
         .name = #fn, .test_func = fn, .setup_func = by, .teardown_func = quit})
#define known(c, fn)   opened(c, open_known, fn)
#define unknown(c, fn) opened(c, open_unknown, fn)

int main(void)
{
    static struct cases all;
    unknown(&all, four_picks_by_keys_find_the_field_and_follow_it);
    unknown(&all, a_spot_is_named_in_keys_that_can_be_taken_back);
    unknown(&all, a_spot_is_named_in_words);
    unknown(&all, undo_takes_a_pick_back_and_the_field_with_it);
    known(&all, another_program_picks_meanwhile);
    unknown(&all, marks_of_another_program_do_not_end_the_following);
    unknown(&all, leaving_while_it_is_followed_loses_nothing);
    unknown(&all, another_clip_is_opened_while_it_is_followed);
    known(&all, lines_and_dots_are_drawn_and_taken_off);
    known(&all, a_click_says_what_the_command_line_says);
    known(&all, gaps_and_a_line_are_said_and_clicks_taken_back);
    known(&all, enter_makes_a_mark_of_it);
    known(&all, a_chord_asks_who_stands_there);
    cases_of(&all, cannot, a_chord_that_cannot_ask_says_why);
    cases_of(&all, sizes, a_click_of_the_mouse_measures_its_cell);
    case_test(&all, a_click_in_a_chord_says_who);
    case_test(&all, a_click_beside_the_picture_is_no_click_on_it);
    opened(&all, open_small, the_rail_is_not_cut);
    opened(&all, open_small, results_are_not_cut);
    case_test(&all, a_floor_has_words_and_no_yard_lines);
    return _cmocka_run_group_tests("measuring", all.at, all.n, make, drop);
}
