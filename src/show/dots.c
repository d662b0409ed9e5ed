/* Dot sheets: 'side 1, 2.5 outside 35 / 4 in front of front hash'. Eight steps cover five yards
 * across; in depth the painted lines are divided as drill paper does (struct grid). */
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "show/show.h"
#include "show/table.h"

enum { PERFORMER, SET, ACROSS, DEPTH, X, Y };

const struct table_column dots_columns[] = {
    [PERFORMER] = {.name = "performer", .required = true, .help = "their label in the roster"},
    [SET] = {.name = "set", .required = true, .help = "its label in the sets"},
    [ACROSS] = {.name = "across", .help = "side 1 (left, as the audience sees it), 2.5 outside 35"},
    [DEPTH] = {.name = "depth", .help = "4 in front of front hash"},
    [X] = {.name = "x", .help = "or steps from the 50, side 2 positive"},
    [Y] = {.name = "y", .help = "and steps from the front sideline"},
    {.name = NULL},
};

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

static bool across_wrong(const char *text, struct err *e)
{
    return err_set(
        e, ERR_INPUT,
        "'%s' is not a place across the field; write 'side 1, 2.5 outside 35' or 'on 50'", text);
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

bool across_parse(const char *text, double *x, struct err *e)
{
    struct words w;
    double steps = 0, yards, outward = 0;
    char hint[40];
    if (!split(&w, text))
        return across_wrong(text, e);
    int side = take_side(&w);
    if (side < 0)
        return err_set(e, ERR_INPUT, "'%s': a field has side 1 and side 2", text);
    if (!take(&w, "on")) {
        if (!take_number(&w, &steps))
            return across_wrong(text, e);
        outward = take(&w, "outside") || take(&w, "out") ? 1
                  : take(&w, "inside") || take(&w, "in") ? -1
                                                         : 0;
        if (outward == 0)
            return across_wrong(text, e);
    }
    if (!take_yard_line(&w, &yards))
        return across_wrong(text, e);
    if (side == 0)
        side = take_side(&w);
    if (w.next != w.n)
        return across_wrong(text, e);
    if (yards < 0 || yards > 50 || (int)yards != yards || (int)yards % 5 != 0)
        return err_set(e, ERR_INPUT,
                       "'%s': there is no yard line %g; lines stand every 5 yards, 0 "
                       "to 50",
                       text, yards);
    if (steps > STEPS_APART && !(yards == 0 && outward > 0)) /* behind the goal is no next line */
        return err_set(e, ERR_INPUT, "'%s': %g steps from a line, and the next is %d away%s", text,
                       steps, STEPS_APART, too_far(steps, hint));
    if (yards == 50 && outward < 0)
        return err_set(e, ERR_INPUT, "'%s': nothing is inside the 50; write outside", text);
    if (side <= 0 && (yards != 50 || steps > 0))
        return err_set(e, ERR_INPUT, "'%s': which side? begin with side 1 or side 2", text);
    double from_50 = (50 - yards) * STEPS_PER_YARD + outward * steps;
    *x = side == 1 ? -from_50 : from_50;
    return true;
}

static bool depth_wrong(const char *text, struct err *e)
{
    return err_set(e, ERR_INPUT,
                   "'%s' is not a depth; write '4 in front of front hash' or 'on front sideline'",
                   text);
}

static bool same_hashes(const struct grid *a, const struct grid *b)
{
    return a->front_hash == b->front_hash && a->back_hash == b->back_hash;
}

/* "(HS)" behind a hash: false when the show is drilled on another field. */
static bool take_field(struct words *w, const struct grid *grid, const char *text, struct err *e)
{
    static const char *const school[] = {"hs", "high-school"}, *const college[] = {"college",
                                                                                   "ncaa"};
    const struct grid *hs = grid_named("high-school"), *meant = NULL;
    if (take(w, "high") && !take(w, "school"))
        return depth_wrong(text, e);
    if (w->next > 0 && strcmp(w->at[w->next - 1], "school") == 0)
        meant = hs;
    for (size_t i = 0; i < 2 && !meant; i++)
        meant = take(w, school[i]) ? hs : take(w, college[i]) ? grid_named("college") : NULL;
    if (!meant || same_hashes(meant, grid))
        return true;
    return err_set(e, ERR_INPUT,
                   "'%s': that is another field's hash, and this show is drilled on %s", text,
                   same_hashes(hs, grid) ? "a high school's" : "a college's");
}

/* Most steps between two lines that run along the field. */
static double widest(const struct grid *g)
{
    double most = g->front_hash;
    most = g->back_hash - g->front_hash > most ? g->back_hash - g->front_hash : most;
    return g->back_sideline - g->back_hash > most ? g->back_sideline - g->back_hash : most;
}

bool depth_parse(const struct grid *grid, const char *text, double *y, struct err *e)
{
    struct words w;
    double steps = 0, line, sign = 0;
    char hint[40];
    if (!split(&w, text))
        return depth_wrong(text, e);
    if (!take(&w, "on")) {
        if (!take_number(&w, &steps))
            return depth_wrong(text, e);
        if (take(&w, "behind"))
            sign = 1;
        else if (take(&w, "in")) {
            if (!take(&w, "front"))
                return depth_wrong(text, e);
            sign = -1;
        }
        if (sign == 0)
            return depth_wrong(text, e);
    }
    bool front = take(&w, "front") || take(&w, "home");
    if (!front && !take(&w, "back") && !take(&w, "visitor"))
        return depth_wrong(text, e);
    if (take(&w, "hash")) {
        line = front ? grid->front_hash : grid->back_hash;
        if (!take_field(&w, grid, text, e))
            return false;
    } else if (take(&w, "sideline") || take(&w, "side"))
        line = front ? 0 : grid->back_sideline;
    else
        return depth_wrong(text, e);
    if (w.next != w.n)
        return depth_wrong(text, e);
    if (steps > widest(grid))
        return err_set(e, ERR_INPUT, "'%s': %g steps from a line, and at most %g lie between two%s",
                       text, steps, widest(grid), too_far(steps, hint));
    *y = line + sign * steps;
    return true;
}

struct reading {
    const struct show *show;
    struct dot *at;
    size_t n, cap;
    int *lines; /* [performer * n_sets + set] -> line of the row that gave it */
};

static bool find_performer(const struct reading *r, const struct table_row *row, struct dot *d,
                           struct err *e)
{
    struct near near = {.word = row->cell[PERFORMER]};
    d->performer = show_performer(r->show, row->cell[PERFORMER]);
    if (d->performer >= 0)
        return true;
    for (size_t i = 0; i < r->show->n_performers; i++)
        near_offer(&near, r->show->performers[i].label);
    return table_error(row, PERFORMER, e, "no performer '%s'%s", row->cell[PERFORMER],
                       near_said(&near, "; add the roster first").text);
}

static bool find_set(const struct reading *r, const struct table_row *row, struct dot *d,
                     struct err *e)
{
    d->set = show_set(r->show, row->cell[SET]);
    return d->set >= 0 || table_error(row, SET, e, "no set '%s'%s", row->cell[SET],
                                      r->show->n_sets ? "; its label must be in the sets table"
                                                      : "; add the sets first");
}

/* One dot for a performer and a set. */
static bool is_first(struct reading *r, const struct table_row *row, const struct dot *d,
                     struct err *e)
{
    int *line = &r->lines[(size_t)d->performer * r->show->n_sets + (size_t)d->set];
    if (*line)
        return table_error(row, PERFORMER, e, "'%s' has a dot for set %s already (line %d)",
                           row->cell[PERFORMER], row->cell[SET], *line);
    *line = row->line;
    return true;
}

/* A comma between digits is a decimal comma where the table has them, unless that makes no place. */
static bool read_across(const struct table_row *row, double *x, struct err *e)
{
    struct table_points points;
    struct err why;
    const char *text = row->cell[ACROSS];
    return across_parse(table_points(row, text, &points), x, &why) || across_parse(text, x, &why) ||
           table_error(row, ACROSS, e, "%s", why.text);
}

static bool read_depth(const struct reading *r, const struct table_row *row, double *y,
                       struct err *e)
{
    struct table_points points;
    struct err why;
    const char *text = row->cell[DEPTH];
    return depth_parse(&r->show->grid, table_points(row, text, &points), y, &why) ||
           depth_parse(&r->show->grid, text, y, &why) || table_error(row, DEPTH, e, "%s", why.text);
}

static bool read_place(const struct reading *r, const struct table_row *row, struct dot *d,
                       struct err *e)
{
    const struct table_range field = {-400, 400, 0};
    bool ok;
    if (*row->cell[ACROSS] || *row->cell[DEPTH]) {
        ok = read_across(row, &d->x, e);
        return read_depth(r, row, &d->y, e) && ok;
    }
    if (!*row->cell[X] || !*row->cell[Y])
        return table_error(row, *row->cell[X] ? Y : X, e,
                           "no place; give across and depth, or x and y in steps");
    ok = table_number(row, X, field, &d->x, e);
    return table_number(row, Y, field, &d->y, e) && ok;
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    struct dot d;
    bool ok = find_performer(r, row, &d, e);
    ok &= find_set(r, row, &d, e);
    ok = ok && is_first(r, row, &d, e);
    ok &= read_place(r, row, &d, e);
    if (!ok)
        return false;
    r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
    r->at[r->n++] = d;
    return true;
}

bool dots_read(struct arena *a, const struct show *show, const struct table_text *text,
               struct dot_list *out, struct err *e)
{
    struct reading r = {.show = show};
    r.lines = xcalloc(show->n_performers * show->n_sets + 1, sizeof *r.lines);
    bool ok = table_read(text, dots_columns, on_row, &r, e);
    *out = (struct dot_list){show, arena_take(a, r.at, r.n * sizeof *r.at), r.n};
    free(r.lines);
    return ok;
}
