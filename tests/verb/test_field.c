/* boxcall field where no line helps: what it says by the picks alone, what it refuses and how, and that
 * what is refused changes nothing. */
#include <math.h>
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>

#include "field/camera.h"
#include "field/chance.h"
#include "field/solve.h"
#include "paper/field.h"
#include "show/grid.h"
#include "store/store.h"
#include "verb/season.h"

enum { WIDTH = 1280, HEIGHT = 720 };

/* Two seconds of gray; made once. */
static void gray_clip(const char *dir)
{
    static const char *gray;
    if (!gray) {
        gray = path_in(temp_dir(), "gray.mp4");
        assert_int_equal(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i",
                             "color=c=gray:s=1280x720:r=10", "-t", "2", "-c:v", "libx264",
                             "-preset", "ultrafast", "-pix_fmt", "yuv420p", gray, NULL)
                             .status,
                         0);
    }
    assert_int_equal(run("cp", gray, dir, NULL).status, 0);
}

/* b.show: the band, its sets and dots; clip g is gray. */
static struct season season_field(void)
{
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    static char *show;
    static size_t n;
    struct season s = season_empty();
    gray_clip(s.dir);
    if (show) {
        write_bytes(s.dir, "b.show", show, n);
        return s;
    }
    ends(BOX(&s, "new", "b.show", "--field", "high-school"), 0);
    for (size_t i = 0; i < 5; i++) {
        const char *file = arena_printf(test_arena(), BAND "/%s.csv", tables[i]);
        ends(BOX(&s, "add", "b.show", tables[i], file, i < 2 ? "--replace" : NULL, "--yes"), 0);
    }
    ends(BOX(&s, "add", "b.show", "clip", "gray.mp4", "--label", "g"), 0);
    show = read_file(path_in(s.dir, "b.show"), &n);
    return s;
}

/* What a camera in a press box sees of a spot, in a picture of 1280 x 720. */
static struct pixel seen(double x, double depth)
{
    const struct camera c = box_camera(WIDTH);
    const struct field_place at = field_place_of(grid_named("high-school"), x, depth);
    struct pixel p;
    assert_true(camera_sees(&c, at, &p, NULL));
    return p;
}

static const char *at_text(struct pixel p)
{
    return arena_printf(test_arena(), "%.2f,%.2f", p.x, p.y);
}

static const struct {
    double x, depth;
    const char *spot;
} corners[] = {{-16, 0, "side 1, on 40; on front sideline"},
               {16, 0, "side 2, on 40; on front sideline"},
               {-24, 56, "side 1, on 35; on back hash"},
               {24, 56, "side 2, on 35; on back hash"},
               {0, 28, "on 50; on front hash"},
               {8, 84, "side 2, on 45; on back sideline"}};

static void pick_them(const struct season *s, size_t n, double off)
{
    for (size_t i = 0; i < n; i++) {
        struct pixel p = seen(corners[i].x, corners[i].depth);
        p.x += i % 2 ? off : -off;
        p.y += i % 3 ? off : -off;
        ends(BOX(s, "field", "b.show", "g", "pick", "0.5", at_text(p), corners[i].spot), 0);
    }
}

/* --- by the picks alone ----------------------------------------------------------------------------- */

static void without_lines_the_picks_say_it_and_why(void **state)
{
    (void)state;
    struct season s = season_field();
    pick_them(&s, 4, 0.7);
    struct run r = BOX(&s, "field", "b.show", "g", "camera");
    assert_quiet(r);
    assert_contains(r.out, "by the picks alone");
    assert_contains(r.out, "the lines do not help: ");
    assert_contains(r.out, "± ");
    const json_t *o = json_out(BOX(&s, "field", "b.show", "g", "camera", "--as", "json"));
    assert_true(json_is_false(json_at(o, "by_lines")));
    assert_true(json_is_null(json_at(o, "moving")));
    assert_true(json_is_null(json_at(o, "checked_steps")));
    assert_int_equal(json_int(o, "picks"), 4);
    assert_int_equal(json_array_size(json_at(o, "residuals")), 4);
    const double error = json_number_value(json_at(o, "error_steps"));
    if (!(error > 0.1 && error < 5))
        fail_msg("%g steps", error);
}

/* Every place is within its stated error of the truth, here and in another picture. */
static void a_place_is_where_it_is_stated_to_be(void **state)
{
    (void)state;
    static const double places[][2] = {{-8, 28}, {12, 14}, {0, 42}, {20, 56}, {-4, 6}};
    struct season s = season_field();
    pick_them(&s, 6, 0.7);
    for (size_t i = 0; i < 5; i++) {
        struct run r = BOX(&s, "field", "b.show", "g", "at", i % 2 ? "0.5" : "1.2",
                           at_text(seen(places[i][0], places[i][1])), "--as", "json");
        const json_t *o = json_out(r);
        const double across = json_number_value(json_at(o, "across")),
                     depth = json_number_value(json_at(o, "depth")),
                     error = json_number_value(json_at(o, "error_steps"));
        if (hypot(across - places[i][0], depth - places[i][1]) > error || error > 4)
            fail_msg("%.2f %.2f, not %g %g; ± %.2f", across, depth, places[i][0], places[i][1],
                     error);
        assert_contains(r.err, "by the picks alone, good to ");
        if (i % 2)
            assert_lacks(r.err, "as if");
        else
            assert_contains(r.err, "as if the camera stood as at 0:00.5");
    }
}

static void the_way_back_is_the_same_pixel(void **state)
{
    (void)state;
    struct season s = season_field();
    pick_them(&s, 6, 0);
    const struct pixel want = seen(8, 28);
    const json_t *o = json_out(BOX(&s, "field", "b.show", "g", "pixel", "0.5", "side 2, on 45;",
                                   "on front hash", "--as", "json"));
    const double x = json_number_value(json_at(o, "x")), y = json_number_value(json_at(o, "y"));
    if (hypot(x - want.x, y - want.y) > 2)
        fail_msg("%.1f,%.1f, not %.1f,%.1f", x, y, want.x, want.y);
    struct run r =
        BOX(&s, "field", "b.show", "g", "pixel", "0.5", "side 1, on 0; on front sideline");
    assert_exit(r, 0);
    assert_contains(r.err, "outside the picture");
}

static void a_pick_that_disagrees_is_named(void **state)
{
    (void)state;
    struct season s = season_field();
    pick_them(&s, 6, 0.7);
    ends(BOX(&s, "field", "b.show", "g", "unpick", "5"), 0);
    ends(BOX(&s, "field", "b.show", "g", "pick", "0.5", at_text(seen(0, 28)),
             "side 1, on 45; on front hash"),
         0); /* it is the 50: number 6 now */
    struct run r = BOX(&s, "field", "b.show", "g", "at", "0.5", at_text(seen(0, 14)));
    assert_exit(r, 0);
    assert_contains(r.err, "without pick 6, which is ");
}

/* --- what is refused --------------------------------------------------------------------------------- */

#define USAGE 2
#define INPUT 3

static uint64_t print_of(const struct season *s)
{
    struct store *store;
    struct err e;
    uint64_t print;
    if (!store_open(path_in(s->dir, "b.show"), &store, &e) || !store_print(store, &print, &e))
        fail_msg("%s", e.text);
    store_close(store);
    return print;
}

static const struct bad {
    const char *name;
    const char *word[8]; /* behind the show and clip g */
    int status;
    const char *said; /* all of the line, or (ending in ...) how it begins */
} bad[] = {
    {"a pick right of the picture",
     {"pick", "0.5", "1281,100", "on 50; on front hash"},
     INPUT,
     "1281,100 is outside the picture, which is 1280 x 720 pixels"},
    {"a pick above the picture",
     {"pick", "0.5", "100,-1", "on 50; on front hash"},
     INPUT,
     "100,-1 is outside the picture, which is 1280 x 720 pixels"},
    {"a pick that is no number",
     {"pick", "0.5", "nan,100", "on 50; on front hash"},
     INPUT,
     "'nan,100' is no pixel; write X,Y as in 812,430"},
    {"a pick without end", {"pick", "0.5", "100,inf", "on 50"}, INPUT, "'100,inf' is no pixel..."},
    {"a pick too large for a number",
     {"pick", "0.5", "1e999,1", "on 50"},
     INPUT,
     "'1e999,1' is..."},
    {"words for a pixel", {"pick", "0.5", "left,top", "on 50"}, INPUT, "'left,top' is no pixel..."},
    {"a pixel with one number", {"pick", "0.5", "812", "on 50"}, INPUT, "'812' is no pixel..."},
    {"a pixel with three", {"pick", "0.5", "1,2,3", "on 50"}, INPUT, "'1,2,3' is no pixel..."},
    {"no spot at all",
     {"pick", "0.5", "812,430"},
     USAGE,
     "field: usage: boxcall field SHOW CLIP..."},
    {"a yard line that is none",
     {"pick", "0.5", "100,100", "on 51; on front hash"},
     INPUT,
     "'on 51': there is no yard line 51; lines stand every 5 yards, 0 to 50"},
    {"half a spot", {"pick", "0.5", "100,100", "on 50"}, INPUT, "'on 50': how deep?..."},
    {"a spot behind the stands",
     {"pick", "0.5", "100,100", "on 50; 32 behind back sideline"},
     INPUT,
     "..."},
    {"a spot beyond the end line",
     {"pick", "0.5", "100,100", "side 1, 20 outside goal line; on front hash"},
     INPUT,
     "'side 1, 20 outside goal line..."},
    {"a time beyond the clip",
     {"pick", "5", "100,100", "on 50; on front hash"},
     INPUT,
     "5 is outside the clip 'g' (0:02.000 long)"},
    {"a time that is none", {"pick", "soon", "100,100", "on 50; on front hash"}, INPUT, "..."},
    {"a time before the clip",
     {"pick", "-1", "100,100", "on 50; on front hash"},
     INPUT,
     "'-1' is..."},
    {"a line of one pixel",
     {"line", "0.5", "100,100", "100,100", "50"},
     INPUT,
     "the two pixels of the line are the same or next to each other; point at two places far apart "
     "on it"},
    {"a line that is none",
     {"line", "0.5", "100,100", "900,100", "the edge"},
     INPUT,
     "'the edge' is no line; write '50', 'side 1, 35', 'front sideline' or 'back hash'"},
    {"a line that ends outside",
     {"line", "0.5", "1,1", "2000,1", "50"},
     INPUT,
     "2000,1 is outside..."},
    {"a pick that is not there",
     {"unpick", "1"},
     INPUT,
     "there is no pick '1'; boxcall field b.show g picks lists them"},
    {"pick zero", {"unpick", "0"}, INPUT, "there is no pick '0'..."},
    {"a pick by a word", {"unpick", "first"}, INPUT, "there is no pick 'first'..."},
    {"a pick by more than a number", {"unpick", "1x"}, INPUT, "there is no pick '1x'..."},
    {"a camera of nothing",
     {"camera"},
     INPUT,
     "nobody has said yet where the field is in clip 'g'; pick four spots: boxcall field SHOW g "
     "pick TIME X,Y 'on 50; on front hash'"},
    {"a place by nothing", {"at", "0.5", "100,100"}, INPUT, "nobody has said yet..."},
    {"a pixel by nothing",
     {"pixel", "0.5", "on 50; on front hash"},
     INPUT,
     "nobody has said yet..."},
    {"somebody by nothing", {"who", "0.5", "100,100"}, INPUT, "nobody has said yet..."},
    {"a form by nothing", {"check", "0.5", "100,100"}, INPUT, "nobody has said yet..."},
    {"one gap of one click", {"gaps", "0.5", "1,1"}, USAGE, "field: usage: boxcall field SHOW..."},
    {"a shape that is none",
     {"fit", "0.5", "curve", "1,1", "2,2"},
     USAGE,
     "field fit: a 'line' or an 'arc', not 'curve'"},
    {"a corner of two", {"corner", "0.5", "1,1", "2,2"}, USAGE, "field: usage: boxcall field..."},
    {"an angle of a point",
     {"angle", "0.5", "1,1", "1,1", "3,4", "5,6"},
     INPUT,
     "an end of one of the two is on its other end"},
    {"an angle beyond the clip",
     {"angle", "3", "1,1", "2,2", "3,4", "5,6"},
     INPUT,
     "3 is outside..."},
    {"a camera beyond the clip", {"camera", "0:03"}, INPUT, "0:03 is outside..."},
    {"an interval that is none",
     {"gaps", "0.5", "1,1", "9,9", "--of", "wide"},
     INPUT,
     "'wide' is no interval; write steps as in --of 2"},
    {"an interval below nothing", {"gaps", "0.5", "1,1", "9,9", "--of", "-2"}, INPUT, "'-2' is..."},
    {"an option that means nothing there",
     {"at", "0.5", "1,1", "--of", "2"},
     USAGE,
     "field at: takes no --of; it is for gaps and pace"},
    {"counts for a place",
     {"at", "0.5", "1,1", "--counts", "2"},
     USAGE,
     "field at: takes no --counts; it is for pace"},
    {"a section for gaps",
     {"gaps", "0.5", "1,1", "2,2", "--for", "flutes"},
     USAGE,
     "field gaps: takes no --for; it is for check"},
    {"a format for a pick", {"pick", "0", "1,1", "on 50", "--as", "json"}, USAGE, "field pick:..."},
    {"a format that is none", {"at", "0.5", "1,1", "--as", "pdf"}, USAGE, "field: cannot write..."},
    {"a word that is none",
     {"gap", "0.5", "1,1", "2,2"},
     USAGE,
     "field: cannot 'gap'; did you mean 'gaps'?"},
    {"a set that is none", {"dots", "99Z"}, INPUT, "..."},
    {"a count that is none",
     {"dots", "1", "99"},
     INPUT,
     "set 1 has 8 counts; there is no count 99"},
    {"a count that is no number", {"dots", "1", "x"}, INPUT, "set 1 has 8 counts; there is no..."},
    {"a time that is not tied", {"dots", "0:01"}, INPUT, "..."},
};

/* One line, the right exit status, nothing on standard output, nothing changed. */
static void assert_refused(struct run r, int status, const char *said)
{
    assert_exit(r, status);
    assert_string_equal(r.out, "");
    const size_t n = strlen(said);
    const bool begins = n >= 3 && strcmp(said + n - 3, "...") == 0;
    const char *end = strchr(r.err, '\n');
    if (!end || end[1])
        fail_msg("'%s' said not one line:\n%s", r.said, r.err);
    if (!begins)
        assert_one_line(r, said);
    else if (strncmp(r.err, "boxcall: ", 9) != 0 || strncmp(r.err + 9, said, n - 3) != 0)
        fail_msg("'%s' said\n%sand not\n%s", r.said, r.err, said);
}

static struct run asked(const struct season *s, const char *const word[8])
{
    return box(&s->setup, "field", "b.show", "g", word[0], word[1], word[2], word[3], word[4],
               word[5], word[6], word[7], NULL);
}

/* One for all that is refused, since nothing changes it; with four good picks or none. */
static struct season season_kept(bool picked)
{
    static struct season kept[2];
    if (!kept[picked].dir) {
        kept[picked] = season_field();
        if (picked)
            pick_them(&kept[picked], 4, 0);
    }
    return kept[picked];
}

static void is_refused(void **state)
{
    const struct bad *b = *state;
    struct season s = season_kept(false);
    const uint64_t before = print_of(&s);
    assert_refused(asked(&s, b->word), b->status, b->said);
    assert_true(print_of(&s) == before);
}

/* With four good picks, by which the camera is known: clicks in the sky and in the stands. */
static const struct bad off[] = {
    {"a place in the sky", {"at", "0.5", "640,10"}, INPUT, "click 1 (640,10) is on no ground"},
    {"a place in the stands",
     {"at", "0.5", "10,210"},
     INPUT,
     "'10,210': off the field, which ends 96 steps from the 50"},
    {"far behind the field",
     {"at", "0.5", "640,215"},
     INPUT,
     "'640,215': more than 60 ft off the field"},
    {"a gap into the stands",
     {"gaps", "0.5", "640,400", "640,215"},
     INPUT,
     "'640,215': more than..."},
    {"a line into the stands",
     {"fit", "0.5", "line", "640,400", "640,215"},
     INPUT,
     "'640,215': more than..."},
    {"a corner there",
     {"corner", "0.5", "640,400", "600,400", "640,215"},
     INPUT,
     "'640,215': more..."},
    {"a move into them",
     {"pace", "0.5", "640,400", "1", "640,215"},
     INPUT,
     "'640,215': more than..."},
    {"a form in them", {"check", "0.5", "640,400", "640,215"}, INPUT, "..."},
    {"nobody is there", {"who", "0.5", "640,215"}, INPUT, "'640,215': more than..."},
    {"two clicks on one spot",
     {"gaps", "0.5", "640,400", "640,400"},
     INPUT,
     "clicks 1 and 2 are on one spot"},
    {"a corner of one spot",
     {"corner", "0.5", "640,400", "640,400", "600,400"},
     INPUT,
     "two of the clicks are on one spot; a corner needs three"},
    {"a line through one spot",
     {"fit", "0.5", "line", "640,400", "640,400"},
     INPUT,
     "all points are in one place; a line needs two"},
    {"an arc of two",
     {"fit", "0.5", "arc", "640,400", "600,400"},
     INPUT,
     "2 points; an arc needs..."},
    {"a move back in time",
     {"pace", "1", "640,400", "0.5", "600,400"},
     INPUT,
     "the second time must be later than the first"},
    {"a move in no counts",
     {"pace", "0.5", "640,400", "1", "600,400", "--counts", "0"},
     INPUT,
     "'0' is no number of counts"},
    {"somebody in a clip that is not tied",
     {"who", "0.5", "640,400"},
     INPUT,
     "clip 'g' is not tied..."},
    {"a form in it", {"check", "0.5", "640,400"}, INPUT, "clip 'g' is not tied..."},
    {"the same spot again",
     {"pick", "0.5", "600,300", "side 1, on 40; on front sideline"},
     INPUT,
     "pick 1 at that time is this spot already; take it off first, if it is wrong"},
};

static void is_refused_where_the_camera_is_known(void **state)
{
    const struct bad *b = *state;
    struct season s = season_kept(true);
    const uint64_t before = print_of(&s);
    assert_refused(asked(&s, b->word), b->status, b->said);
    assert_true(print_of(&s) == before);
}

static void a_clip_needs_to_be_there_and_have_a_picture(void **state)
{
    (void)state;
    struct season s = season_field();
    assert_refused(BOX(&s, "field", "b.show", "nope", "picks"), INPUT, "...");
    sqlite3 *db; /* as no clip that was added has it */
    assert_int_equal(sqlite3_open(path_in(s.dir, "b.show"), &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "UPDATE clip SET width=0,height=0", NULL, NULL, NULL), 0);
    sqlite3_close(db);
    assert_refused(BOX(&s, "field", "b.show", "g", "picks"), INPUT, "clip 'g' has no picture");
}

static void the_same_pixel_is_not_two_spots(void **state)
{
    (void)state;
    struct season s = season_field();
    pick_them(&s, 1, 0);
    struct run r = BOX(&s, "field", "b.show", "g", "pick", "0.5", at_text(seen(-16, 0)),
                       "side 1, on 30; on front sideline");
    assert_refused(r, INPUT,
                   "pick 1 at that time is this pixel already, as another spot; take it off first, "
                   "if it is wrong");
    /* at another time it may be: the camera turned */
    ends(BOX(&s, "field", "b.show", "g", "pick", "0.7", at_text(seen(-16, 0)),
             "side 1, on 30; on front sideline"),
         0);
}

/* --- picks that make no camera ------------------------------------------------------------------------ */

static const struct no_camera {
    const char *name;
    struct {
        const char *at, *spot;
    } pick[4];
    const char *said;
} no_camera[] = {
    {"three picks",
     {{"366,533", "side 1, on 40; on front sideline"},
      {"922,541", "side 2, on 40; on front sideline"},
      {"471,298", "side 1, on 35; on back hash"}},
     "3 picks; a camera needs four, no three in a line"},
    {"four in a line",
     {{"100,533", "side 1, on 40; on front sideline"},
      {"300,533", "side 1, on 30; on front sideline"},
      {"600,533", "on 50; on front sideline"},
      {"900,533", "side 2, on 30; on front sideline"}},
     "picks 1, 2, 3, 4 lie in one line, which says nothing of the rest; pick spots in front of and "
     "behind it"},
    {"three of four in a line",
     {{"366,533", "side 1, on 40; on front sideline"},
      {"640,537", "on 50; on front sideline"},
      {"922,541", "side 2, on 40; on front sideline"},
      {"471,298", "side 1, on 35; on back hash"}},
     "picks 1, 2, 3 lie in one line..."},
    {"sides interchanged",
     {{"922,533", "side 1, on 40; on front sideline"},
      {"366,533", "side 2, on 40; on front sideline"},
      {"854,298", "side 1, on 35; on back hash"},
      {"471,298", "side 2, on 35; on back hash"}},
     "with these picks the camera would look at the ground from below; are two picks interchanged, "
     "or side 1 and side 2?"},
    {"front and back interchanged",
     {{"366,300", "side 1, on 40; on front sideline"},
      {"922,300", "side 2, on 40; on front sideline"},
      {"471,533", "side 1, on 35; on back hash"},
      {"854,533", "side 2, on 35; on back hash"}},
     "with these picks the camera would look at the ground from below..."},
    {"two picks interchanged",
     {{"100,533", "side 1, on 40; on front sideline"},
      {"1000,533", "side 2, on 40; on back hash"},
      {"100,333", "side 2, on 40; on front sideline"},
      {"1000,300", "side 1, on 40; on back hash"}},
     "with these picks a part of the ground would be behind the camera; is pick 2 where you meant "
     "it?"},
};

static void makes_no_camera(void **state)
{
    const struct no_camera *p = *state;
    struct season s = season_field();
    for (int i = 0; i < 4 && p->pick[i].at; i++)
        ends(BOX(&s, "field", "b.show", "g", "pick", "0.5", p->pick[i].at, p->pick[i].spot), 0);
    const uint64_t before = print_of(&s);
    assert_refused(BOX(&s, "field", "b.show", "g", "camera"), INPUT, p->said);
    assert_refused(BOX(&s, "field", "b.show", "g", "at", "0.5", "640,400"), INPUT, p->said);
    ends(BOX(&s, "field", "b.show", "g", "picks"), 0); /* they can still be looked at */
    assert_true(print_of(&s) == before);
}

static void a_show_without_dots_says_how_to_add_them(void **state)
{
    (void)state;
    struct season s = season_new();
    const struct bad asks[] = {{"", {"who", "0.5", "1,1"}, 0, NULL},
                               {"", {"check", "0.5", "1,1"}, 0, NULL},
                               {"", {"dots"}, 0, NULL}};
    for (size_t i = 0; i < 3; i++) {
        struct run r = box(&s.setup, "field", "a.show", "tue", asks[i].word[0], asks[i].word[1],
                           asks[i].word[2], NULL);
        assert_refused(r, INPUT,
                       "the show has no dots yet; add them: boxcall add a.show dots FILE");
    }
}

/* --- picks made and taken off ---------------------------------------------------------------------------- */

static void picks_are_numbered_by_time_and_taken_back(void **state)
{
    (void)state;
    struct season s = season_field();
    struct run r = BOX(&s, "field", "b.show", "g", "pick", "1", "100,100", "on 50; on front hash");
    assert_string_equal(r.err, "pick 1: on 50; on front hash\n");
    r = BOX(&s, "field", "b.show", "g", "line", "0.5", "100,100", "900,120", "front", "sideline");
    assert_string_equal(r.err, "pick 1: on front sideline\n");
    r = BOX(&s, "field", "b.show", "g", "picks");
    assert_quiet(r);
    assert_string_equal(r.out, "  1  0:00.500      100.0,100.0    on front sideline\n"
                               "  2  0:01.000      100.0,100.0    on 50; on front hash\n");
    ends(BOX(&s, "field", "b.show", "g", "unpick", "1"), 0);
    const json_t *o = json_out(BOX(&s, "field", "b.show", "g", "picks", "--as", "json"));
    assert_int_equal(json_array_size(o), 1);
    assert_int_equal(json_int(json_array_get(o, 0), "pick"), 1);
    assert_string_equal(json_str(json_array_get(o, 0), "what"), "on 50; on front hash");
    ends(BOX(&s, "undo", "b.show"), 0);
    assert_int_equal(
        json_array_size(json_out(BOX(&s, "field", "b.show", "g", "picks", "--as", "json"))), 2);
}

/* A pick is a line of paint: on another rule book's field it is the same line, elsewhere. */
static void picks_on_a_hash_go_with_the_field(void **state)
{
    (void)state;
    static const char *const on[] = {"on 50; on front hash", "side 2, on 40; on back hash",
                                     "side 1, on 40; on back sideline",
                                     "on 50; 4 behind front sideline"};
    struct season s = season_field();
    for (int i = 0; i < 4; i++)
        ends(BOX(&s, "field", "b.show", "g", "pick", i < 2 ? "1" : "2",
                 i % 2 ? "100,100" : "300,300", on[i]),
             0);
    ends(BOX(&s, "setting", "b.show", "field", "college"), 0);
    const json_t *o = json_out(BOX(&s, "field", "b.show", "g", "picks", "--as", "json"));
    assert_int_equal(json_array_size(o), 4);
    for (int i = 0; i < 4; i++)
        assert_string_equal(json_str(json_array_get(o, (size_t)i), "what"), on[i]);
}

/* --- heads ------------------------------------------------------------------------------------------------- */

static const struct head {
    const char *name;
    const char *word[8];
    const struct column *columns;
    const char *plain; /* where there is no table of columns */
} heads[] = {
    {"picks", {"picks"}, field_picks_columns, NULL},
    {"camera", {"camera"}, field_camera_columns, NULL},
    {"at", {"at", "0.5", "640,400"}, field_place_columns, NULL},
    {"pixel", {"pixel", "0.5", "on 50; on front hash"}, NULL, "x,y"},
    {"who", {"who", "0.5", "640,400"}, field_who_columns, NULL},
    {"gaps", {"gaps", "0.5", "640,400", "600,400"}, field_gaps_columns, NULL},
    {"fit", {"fit", "0.5", "line", "640,400", "600,400"}, field_off_columns, NULL},
    {"check", {"check", "0.5", "640,400"}, field_off_columns, NULL},
    {"pace", {"pace", "0.5", "640,400", "1", "600,400"}, field_pace_columns, NULL},
    {"dots", {"dots", "2"}, field_dots_columns, NULL},
    {"corner", {"corner", "0.5", "640,400", "600,400", "600,420"}, NULL, "angle,error"},
    {"angle", {"angle", "0.5", "1,1", "50,9", "3,4", "5,6"}, NULL, "picture_angle,error"},
};

static void csv_begins_with_its_columns(void **state)
{
    static struct season s;
    const struct head *h = *state;
    struct buf want = {0};
    if (!s.dir) {
        s = season_field();
        pick_them(&s, 4, 0);
        ends(BOX(&s, "count", "b.show", "g", "tie", "0", "2"), 0);
    }
    for (const struct column *c = h->columns; c && c->name; c++)
        if (c->where & IN_CSV)
            buf_printf(&want, "%s%s", want.n ? "," : "", c->name);
    if (h->plain)
        buf_str(&want, h->plain);
    buf_str(&want, "\r\n");
    struct run r = box(&s.setup, "field", "b.show", "g", "--as", "csv", h->word[0], h->word[1],
                       h->word[2], h->word[3], h->word[4], h->word[5], NULL);
    assert_exit(r, 0);
    if (strncmp(r.out, buf_text(&want), want.n) != 0)
        fail_msg("'%s' printed\n%sinstead of\n%s", r.said, r.out, buf_text(&want));
    assert_non_null(strchr(r.out + want.n, '\n')); /* and a row */
    buf_free(&want);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, without_lines_the_picks_say_it_and_why);
    case_test(&all, a_place_is_where_it_is_stated_to_be);
    case_test(&all, the_way_back_is_the_same_pixel);
    case_test(&all, a_pick_that_disagrees_is_named);
    cases_of(&all, bad, is_refused);
    cases_of(&all, off, is_refused_where_the_camera_is_known);
    case_test(&all, a_clip_needs_to_be_there_and_have_a_picture);
    case_test(&all, the_same_pixel_is_not_two_spots);
    cases_of(&all, no_camera, makes_no_camera);
    case_test(&all, a_show_without_dots_says_how_to_add_them);
    case_test(&all, picks_are_numbered_by_time_and_taken_back);
    case_test(&all, picks_on_a_hash_go_with_the_field);
    cases_of(&all, heads, csv_begins_with_its_columns);
    return cases_run(&all, "the field by the picks alone");
}
