/* The language of dot sheets: 'side 1, 2.5 outside 35', '4 in front of front hash'. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "show/grid.h"

enum { WORDS_MOST = 16, STEPS_APART = 8 };
static const double STEPS_PER_YARD = 8.0 / 5.0;

struct words {
    char text[200];
    char *at[WORDS_MOST];
    int n, next;
};

/* Lower-cased words without the filler people write: 'the', 'of', 'yard line', 'steps', commas. */
static bool split(struct words *w, const char *text)
{
    static const char *const filler[] = {"the",   "of",   "yard", "yd",    "line", "ln",
                                         "steps", "step", "yds",  "yards", "at"};
    *w = (struct words){0};
    if (strlen(text) >= sizeof w->text)
        return false;
    for (size_t i = 0; text[i]; i++)
        w->text[i] = (char)(strchr(",:;()", text[i]) ? ' ' : tolower((unsigned char)text[i]));
    for (char *s = strtok(w->text, " \t"); s; s = strtok(NULL, " \t")) {
        bool skip = false;
        for (size_t i = 0; i < sizeof filler / sizeof *filler; i++)
            skip |= strcmp(s, filler[i]) == 0;
        if (skip)
            continue;
        if (w->n == WORDS_MOST)
            return false;
        w->at[w->n++] = s;
    }
    return true;
}

static const char *word(struct words *w)
{
    return w->next < w->n ? w->at[w->next] : "";
}

static bool take(struct words *w, const char *what)
{
    if (strcmp(word(w), what) != 0)
        return false;
    w->next++;
    return true;
}

/* "½", "1/2"; what it is worth, 0 for any other word. */
static double fraction(const char *s)
{
    static const struct {
        const char *text;
        double x;
    } all[] = {{"½", 0.5}, {"¼", 0.25}, {"¾", 0.75}, {"1/2", 0.5}, {"1/4", 0.25}, {"3/4", 0.75}};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (strcmp(s, all[i].text) == 0)
            return all[i].x;
    return 0;
}

/* "2", "2.5", "2½", "2 1/2", "½" */
static bool take_number(struct words *w, double *out)
{
    const char *s = word(w);
    const size_t digits = strspn(s, "0123456789.");
    char *end = NULL;
    *out = digits ? strtod(s, &end) : 0;
    if (digits && end != s + digits)
        return false;
    const double part = fraction(s + digits);
    if (!*s || (s[digits] && part == 0))
        return false;
    w->next++;
    *out += part;
    if (part == 0 && digits && !strchr(s, '.')) { /* a fraction apart */
        const double apart = fraction(word(w));
        w->next += apart > 0;
        *out += apart;
    }
    return true;
}

static int take_side(struct words *w)
{
    if (take(w, "s1") || take(w, "side1") || take(w, "a") || take(w, "left"))
        return 1;
    if (take(w, "s2") || take(w, "side2") || take(w, "b") || take(w, "right"))
        return 2;
    if (!take(w, "side"))
        return 0;
    return take(w, "1") || take(w, "a") ? 1 : take(w, "2") || take(w, "b") ? 2 : -1;
}

static bool take_yard_line(struct words *w, double *yards)
{
    if (take(w, "goal") || take(w, "g")) {
        *yards = 0;
        return true;
    }
    return take_number(w, yards);
}

/* --- across ---------------------------------------------------------------------------------- */

static bool across_wrong(const struct grid *g, const char *text, struct err *e)
{
    return err_set(e, ERR_INPUT, "'%s' is not a place across the %s; write %s", text,
                   g->surface == SURFACE_FLOOR ? "floor" : "field",
                   g->surface == SURFACE_FLOOR ? "'side 1, 12 off center' or 'on center'"
                                               : "'side 1, 2.5 outside 35' or 'on 50'");
}

/* What may be wrong with so many steps from a line. */
static const char *too_far(double steps, char out[40])
{
    if (steps >= 10 && steps < 1000 && steps == (int)steps)
        snprintf(out, 40, "; is a point lost (%.1f)?", steps / 10);
    else
        snprintf(out, 40, "; count from the nearer line");
    return out;
}

bool across_on(const struct grid *g, double x, const char *text, struct err *e)
{
    static const double near = 1e-6, end_zone_in = 360;
    const bool floor = g->surface == SURFACE_FLOOR;
    const double most = (g->side_in + (floor ? 0 : end_zone_in)) / GRID_ACROSS_IN;
    return (fabs(x) <= most + near) ||
           err_set(e, ERR_INPUT, "'%s': off the %s, which ends %.4g steps from the %s", text,
                   floor ? "floor" : "field", most, floor ? "center" : "50");
}

/* So many steps outside (1) or inside (-1) a line, or on it (0); "35" is on it, too. */
struct from_line {
    double steps, yards;
    int outward;
    bool bare; /* the line alone */
};

static bool take_from_line(struct words *w, struct from_line *out)
{
    *out = (struct from_line){0};
    const int first = w->next;
    if (take(w, "on"))
        return take_yard_line(w, &out->yards);
    if (take_number(w, &out->steps)) {
        out->outward = take(w, "outside") || take(w, "out") ? 1
                       : take(w, "inside") || take(w, "in") ? -1
                                                            : 0;
        if (out->outward != 0)
            return take_yard_line(w, &out->yards);
        out->steps = 0;
        w->next = first;
    }
    out->bare = true;
    return take_yard_line(w, &out->yards);
}

static bool line_is_there(const struct from_line *l, const char *text, struct err *e)
{
    char hint[40];
    const double yards = l->yards;
    if (yards < 0 || yards > 50 || (int)yards != yards || (int)yards % 5 != 0)
        return err_set(e, ERR_INPUT,
                       "'%s': there is no yard line %g; lines stand every 5 yards, 0 "
                       "to 50",
                       text, yards);
    if (l->steps > STEPS_APART && !(yards == 0 && l->outward > 0)) /* behind the goal is no line */
        return err_set(e, ERR_INPUT, "'%s': %g steps from a line, and the next is %d away%s", text,
                       l->steps, STEPS_APART, too_far(l->steps, hint));
    return (yards != 50 || l->outward >= 0) ||
           err_set(e, ERR_INPUT, "'%s': nothing is inside the 50; write outside", text);
}

/* Steps from the 50, however far; side 0 where none is said. */
static bool across_lines(const struct grid *g, struct words *w, int *side, double *from_50,
                         struct err *e, const char *text)
{
    struct from_line l;
    const bool leaning =
        w->n > 0 && (strcmp(w->at[0], "left") == 0 || strcmp(w->at[0], "right") == 0);
    if (!take_from_line(w, &l) || (l.bare && leaning)) /* "left of 35" is not on it */
        return across_wrong(g, text, e);
    if (*side == 0)
        *side = take_side(w);
    if (w->next != w->n)
        return across_wrong(g, text, e);
    *from_50 = (50 - l.yards) * STEPS_PER_YARD + l.outward * l.steps;
    return line_is_there(&l, text, e);
}

static bool take_center(struct words *w)
{
    return take(w, "center") || take(w, "centre") || take(w, "middle");
}

/* On a floor: "12 off center", "on center". */
static bool across_floor(const struct grid *g, struct words *w, int *side, double *from_50,
                         struct err *e, const char *text)
{
    *from_50 = 0;
    if (!take(w, "on") && isdigit((unsigned char)*word(w)) &&
        !(take_number(w, from_50) && (take(w, "off") || take(w, "from") || take(w, "outside"))))
        return across_wrong(g, text, e);
    if (!take_center(w))
        return across_wrong(g, text, e);
    if (*side == 0)
        *side = take_side(w);
    return w->next == w->n || across_wrong(g, text, e);
}

bool across_parse(const struct grid *g, const char *text, double *x, struct err *e)
{
    struct words w;
    double from_50;
    if (!split(&w, text))
        return across_wrong(g, text, e);
    int side = take_side(&w);
    if (side < 0)
        return err_set(e, ERR_INPUT, "'%s': a field has side 1 and side 2", text);
    if (!(g->surface == SURFACE_FLOOR ? across_floor : across_lines)(g, &w, &side, &from_50, e,
                                                                     text))
        return false;
    if (side <= 0 && from_50 != 0)
        return err_set(e, ERR_INPUT, "'%s': which side? begin with side 1 or side 2", text);
    from_50 = side == 1 ? -from_50 : from_50;
    if (!across_on(g, from_50, text, e))
        return false;
    *x = from_50;
    return true;
}

/* --- in depth -------------------------------------------------------------------------------- */

static bool depth_wrong(const struct grid *g, const char *text, struct err *e)
{
    return err_set(e, ERR_INPUT, "'%s' is not a depth; write %s", text,
                   g->surface == SURFACE_FLOOR
                       ? "'6 behind front edge', '2 in front of center' or 'on back edge'"
                       : "'4 in front of front hash' or 'on front sideline'");
}

bool depth_on(const struct grid *g, double y, const char *text, struct err *e)
{
    static const double near = 1e-6, beside_in = 720;
    const bool floor = g->surface == SURFACE_FLOOR;
    const double inches = grid_depth_in(g, y), off = floor ? 0 : beside_in;
    if (inches >= -off - near && inches <= g->back_sideline_in + off + near)
        return true;
    return floor ? err_set(e, ERR_INPUT, "'%s': off the floor, which is %.4g steps deep", text,
                           g->back_sideline)
                 : err_set(e, ERR_INPUT, "'%s': more than %g ft off the field", text, off / 12);
}

/* "(HS)" behind a hash: false when the show is drilled on another field. */
static bool take_field(struct words *w, const struct grid *grid, const char *text, struct err *e)
{
    static const char *const school[] = {"hs", "high-school"}, *const college[] = {"college",
                                                                                   "ncaa"};
    const struct grid *hs = grid_named("high-school"), *meant = NULL;
    char said[80];
    if (take(w, "high") && !take(w, "school"))
        return depth_wrong(grid, text, e);
    if (w->next > 0 && strcmp(w->at[w->next - 1], "school") == 0)
        meant = hs;
    for (size_t i = 0; i < 2 && !meant; i++)
        meant = take(w, school[i]) ? hs : take(w, college[i]) ? grid_named("college") : NULL;
    if (!meant || grid_same(meant, grid))
        return true;
    grid_said(grid, said);
    return err_set(e, ERR_INPUT, "'%s': that is another field's hash, and this show's field is: %s",
                   text, said);
}

/* Most steps between two lines that run along the field. */
static double widest(const struct grid *g)
{
    if (g->surface == SURFACE_FLOOR) /* nothing is painted between its edges */
        return g->back_sideline;
    double most = g->front_hash;
    most = g->back_hash - g->front_hash > most ? g->back_hash - g->front_hash : most;
    return g->back_sideline - g->back_hash > most ? g->back_sideline - g->back_hash : most;
}

/* Behind the front edge of a floor there is one line: its middle. */
static bool take_floor_line(const struct grid *g, struct words *w, double *line)
{
    if (take_center(w)) {
        *line = g->front_hash;
        return true;
    }
    const bool front = take(w, "front");
    if (!front && !take(w, "back"))
        return false;
    *line = front ? 0 : g->back_sideline;
    return take(w, "edge") || take(w, "sideline");
}

/* The line from which the steps are counted. */
static bool take_line(const struct grid *g, struct words *w, double *line, const char *text,
                      struct err *e)
{
    if (g->surface == SURFACE_FLOOR)
        return take_floor_line(g, w, line) || depth_wrong(g, text, e);
    const bool front = take(w, "front") || take(w, "home");
    if (!front && !take(w, "back") && !take(w, "visitor"))
        return depth_wrong(g, text, e);
    if (take(w, "hash")) {
        *line = front ? g->front_hash : g->back_hash;
        return take_field(w, g, text, e);
    }
    *line = front ? 0 : g->back_sideline;
    return take(w, "sideline") || take(w, "side") || depth_wrong(g, text, e);
}

/* "on", "4 behind", "4 in front": the steps with their sign. "front hash" alone is on it. */
static bool take_away(struct words *w, double *steps)
{
    const int first = w->next;
    *steps = 0;
    if (take(w, "on") || !take_number(w, steps)) {
        *steps = 0;
        return w->next > first || isalpha((unsigned char)*word(w));
    }
    if (take(w, "behind"))
        return true;
    *steps = -*steps;
    return take(w, "in") && take(w, "front");
}

bool depth_parse(const struct grid *grid, const char *text, double *y, struct err *e)
{
    struct words w;
    double steps, line = 0;
    char hint[40];
    if (!split(&w, text) || !take_away(&w, &steps))
        return depth_wrong(grid, text, e);
    if (!take_line(grid, &w, &line, text, e))
        return false;
    if (w.next != w.n)
        return depth_wrong(grid, text, e);
    if (fabs(steps) > widest(grid))
        return err_set(e, ERR_INPUT, "'%s': %g steps from a line, and at most %g lie between two%s",
                       text, fabs(steps), widest(grid), too_far(fabs(steps), hint));
    if (!depth_on(grid, line + steps, text, e))
        return false;
    *y = line + steps;
    return true;
}

/* --- both ------------------------------------------------------------------------------------ */

static bool no_spot(const struct grid *g, const char *text, struct err *e)
{
    const bool floor = g->surface == SURFACE_FLOOR;
    double x;
    struct err none;
    if (across_parse(g, text, &x, &none))
        return err_set(e, ERR_INPUT, "'%s': how deep? write it behind that: '; %s'", text,
                       floor ? "6 behind front edge" : "4 behind front hash");
    if (depth_parse(g, text, &x, &none))
        return err_set(e, ERR_INPUT, "'%s': where across? write it before that: '%s; '", text,
                       floor ? "side 1, 12 off center" : "side 1, 2.5 outside 35");
    return err_set(e, ERR_INPUT, "'%s' is not a spot; write where across and how deep: '%s'", text,
                   floor ? "side 1, 12 off center; 6 behind front edge"
                         : "side 1, 2.5 outside 35; 4 behind front hash");
}

/* Parted at one of the characters; *half: one of the two is a place, and e says what is wrong with the
 * other. */
static bool parted_at(const struct grid *g, const char *text, const char *at, double *x, double *y,
                      bool *half, struct err *e)
{
    char across[200];
    double there;
    *half = false;
    for (const char *s = text; *s && strlen(text) < sizeof across; s++) {
        struct err why;
        if (!strchr(at, *s))
            continue;
        const char *depth = s + 1 + strspn(s + 1, " ");
        snprintf(across, sizeof across, "%.*s", (int)(s - text), text);
        const bool begins = across_parse(g, across, &there, *half ? &why : e);
        if (begins && depth_parse(g, depth, y, e)) {
            *x = there;
            return true;
        }
        *half |= begins || depth_parse(g, depth, y, &why);
    }
    return false;
}

bool spot_parse(const struct grid *g, const char *text, double *x, double *y, struct err *e)
{
    struct err none;
    bool half, ignored;
    if (parted_at(g, text, ",;/", x, y, &half, e) || parted_at(g, text, " ", x, y, &ignored, &none))
        return true;
    return half ? false : no_spot(g, text, e);
}
