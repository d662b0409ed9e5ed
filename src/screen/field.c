/* The field: where everybody should be now, who is chosen and what the move asks of them, and where
 * the marks are. */
#include "screen/field.h"

#include <math.h>
#include <stdio.h>

#include "app/app.h"
#include "base/shell.h"

enum { BELOW = 5, PANEL = 26 }; /* rows below the field's numbers; columns of an open chord */

/* --- what is in sight -------------------------------------------------------------------------- */

/* A show file may say anything; no table has a dot further away (show/dots.c). */
static bool sane(const struct dot *d)
{
    enum { FAR = 400 };
    return fabs(d->x) <= FAR && fabs(d->y) <= FAR;
}

static void widen(struct extent *e, const struct dot *d)
{
    e->left = fmin(e->left, d->x);
    e->right = fmax(e->right, d->x);
    e->front = fmin(e->front, d->y);
    e->back = fmax(e->back, d->y);
}

/* Out to the next painted line, so that one knows where it is. */
static void reach_lines(const struct grid *g, struct extent *e)
{
    enum { YARD_LINE = 8 };
    struct grid_line lines[GRID_LINES];
    const double front = e->front, back = e->back;
    e->left = floor(e->left / YARD_LINE) * YARD_LINE;
    e->right = ceil(e->right / YARD_LINE) * YARD_LINE;
    for (size_t i = grid_lines(g, lines); i-- > 0;)
        if (lines[i].depth >= back)
            e->back = lines[i].depth;
    for (size_t i = 0, n = grid_lines(g, lines); i < n; i++)
        if (lines[i].depth <= front)
            e->front = lines[i].depth;
    e->front -= 1;
    e->back += 1;
}

static struct extent extent_of(const struct desk *d, struct set_count when)
{
    const struct show *show = &d->app->show;
    const double half = grid_half(&show->grid);
    const enum field_reach reach = field_reach(d);
    struct extent e = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    if (reach == FIELD_ALL)
        e = (struct extent){-half, half, 0, show->grid.back_sideline};
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *dot = &show->dots[i];
        const bool of_move = dot->set == when.set || dot->set == when.set - 1;
        if (sane(dot) && (reach != FIELD_MOVE || of_move))
            widen(&e, dot);
    }
    if (e.left > e.right)
        e = (struct extent){-half, half, 0, show->grid.back_sideline};
    reach_lines(&show->grid, &e);
    return e;
}

static struct sight sight_now(const struct desk *d, const struct canvas *c, struct set_count when)
{
    const struct rect area = {1, 0, c->rows - 1 - BELOW - 1, c->cols};
    const struct extent e = extent_of(d, when);
    return sight_of(&d->app->show.grid, area, &e);
}

/* --- the screen -------------------------------------------------------------------------------- */

/* The tables that are missing, in the order in which they can be added. */
static void draw_nothing(const struct desk *d, struct canvas *c)
{
    const struct {
        const char *table;
        bool missing;
    } tables[] = {{"roster", d->app->show.n_performers == 0},
                  {"sets", d->app->show.n_sets == 0},
                  {"dots", true}};
    const struct shell_word show = shell_word(store_path(d->app->store));
    int row = 9;
    canvas_text(c, strip(3, 3, c->cols - 4), ST_STRONG, "This show has no dots yet.");
    draw_lines(c, (struct rect){5, 3, 3, c->cols - 4}, ST_NORMAL,
               "Bring the dot sheets as a table, a row for each performer and set:\n"
               "  performer,set,across,depth\n"
               "  T1,1,\"side 1, 2.5 outside 35\",4 behind front hash\n");
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        if (tables[i].missing)
            canvas_printf(c, strip(row++, 3, c->cols - 4), ST_NORMAL, "boxcall add %s %s FILE",
                          show.text, tables[i].table);
}

static void title(const struct desk *d, struct canvas *c, struct set_count when)
{
    const struct show *show = &d->app->show;
    const struct set *set = &show->sets[when.set];
    struct target t;
    char what[200];
    if (!field_chosen(d, &t))
        snprintf(what, sizeof what, "field  set %.20s  %.60s", set->label, set->name);
    else if (t.performer < 0)
        snprintf(what, sizeof what, "field  %.60s", show->sections[t.section].name);
    else
        snprintf(what, sizeof what, "field  %.20s  %.60s, %.40s",
                 show->performers[t.performer].label, show->performers[t.performer].name,
                 show->sections[t.section].name);
    draw_title(d, c, what);
}

/* While a chord is open, its keys stand over the left of the field. */
static void draw_chord(const struct desk *d, struct canvas *c)
{
    const struct review_layout l = {
        .rail = {1, 0, c->rows - 2, PANEL},
        .calls = {c->rows - BELOW, PANEL + 1, BELOW - 1, c->cols - PANEL - 2}};
    canvas_fill(c, (struct rect){1, 0, c->rows - 2, PANEL + 1}, ST_NORMAL);
    canvas_fill(c, l.calls, ST_NORMAL);
    draw_panel(d, c, &l);
}

static void draw(const struct desk *d, struct canvas *c)
{
    struct set_count when;
    enum field_time how;
    if (!field_when(d, &when, &how) || !d->app->show.n_dots) {
        draw_title(d, c, "field");
        draw_nothing(d, c);
    } else {
        const struct sight s = sight_now(d, c, when);
        const int below = s.area.row + s.area.rows + 1;
        title(d, c, when);
        draw_ground(c, &s);
        if (field_marking(d) == MARKS_BY_PLACE)
            draw_patches(d, c, &s);
        draw_way_ahead(d, c, &s, when);
        if (field_marking(d) == MARKS_STANDING)
            draw_standing_marks(d, c, &s, when);
        const int people = draw_people(d, c, &s, when);
        draw_below(d, c, below, &(struct below){when, how, people});
    }
    if (chord_open(d))
        draw_chord(d, c);
}

/* --- hands ------------------------------------------------------------------------------------- */

static void move(struct desk *d, long by)
{
    field_next_performer(d, by);
}

static void turn(struct desk *d, int by)
{
    field_next_section(d, by < 0 ? -1 : 1);
}

static void enter(struct desk *d)
{
    const struct show *show = &d->app->show;
    struct target t;
    char line[300];
    if (!field_chosen(d, &t)) {
        desk_trouble(d, "nobody is chosen");
        return;
    }
    snprintf(line, sizeof line, "fixes %.250s",
             t.performer >= 0 ? show->performers[t.performer].label
                              : show->sections[t.section].name);
    desk_run(d, line);
}

/* Whoever is nearest on the screen, within a few cells. */
static int nearest(const struct desk *d, const struct sight *s, struct set_count when, int row,
                   int col)
{
    enum { REACH = 8, HALF_ROW = 2, ROW = 4, COL = 2 };
    const int y = (row - s->area.row) * ROW + HALF_ROW, x = (col - s->area.col) * COL + 1;
    double best = REACH;
    int found = -1;
    struct dot_place at;
    for (size_t i = 0; i < d->app->show.n_performers; i++) {
        if (!field_place(d, (int)i, when, &at))
            continue;
        const struct point p = sight_point(s, at);
        const double off = hypot(p.row - y, p.col - x);
        if (off < best) {
            best = off;
            found = (int)i;
        }
    }
    return found;
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    struct set_count when;
    enum field_time how;
    if (!field_when(d, &when, &how) || !d->app->show.n_dots)
        return;
    const struct sight s = sight_now(d, c, when);
    const int below = s.area.row + s.area.rows + 1;
    if (row >= s.area.row && row < s.area.row + s.area.rows)
        field_choose(d, nearest(d, &s, when, row, col));
    else if (row == below)
        desk_run(d, "play");
    else if (row > below && field_marking(d) == MARKS_BY_SET && set_on_bar(d, c, when, col) >= 0)
        field_go_to_set(d, set_on_bar(d, c, when, col));
}

static void wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "field -1" : "field +1");
}

static const struct key_row keys_rows[] = {
    {"Space", "play", "The clip plays or halts, and the dots with it"},
    {"Left", "field -1", "One count back"},
    {"Right", "field +1", "One count on"},
    {"Shift-Left", "step -1", "One frame back"},
    {"Shift-Right", "step +1", "One frame on"},
    {"PageUp", "field prev", "To the set before"},
    {"PageDown", "field next", "To the next set"},
    {"Home", "seek 0", "To the beginning of the clip"},
    {"End", "seek end", "To the end of the clip"},
    {"<", "speed slower", "Slower"},
    {">", "speed faster", "Faster"},
    {"Up", "list -1", "The performer before"},
    {"Down", "list +1", "The next performer"},
    {"Shift-Up", "list <", "The section before"},
    {"Shift-Down", "list >", "The next section"},
    {"+", "field nearer", "Nearer: where the show is drilled, where the move is"},
    {"-", "field wider", "More of the field"},
    {"%", "field marks", "Marks of the move, of the clip by place, by set"},
    {"Enter", "open", "The fix list of who is chosen"},
    {"'", "repeat", NULL},
    {"1", "severity 1", "Newest mark: small"},
    {"2", "severity 2", "Newest mark: middling"},
    {"3", "severity 3", "Newest mark: serious"},
    {"=", "praise", NULL},
    {"Tab", "review", "Back to the review"},
    {"Esc", "review", "Back to the review"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"field", "on the field", keys_rows};

const struct screen screen_field = {
    .open = {"field", "[WHOM|next|prev|+1|-1|nearer|wider|marks]",
             "The field: where everybody should be now", command_field},
    .keys = &keys,
    .hint = " {list -1} {list +1} who   {field marks} marks   {field nearer} {field wider} nearer, "
            "wider   {play} plays   {help} every key",
    .draw = draw,
    .key = chord_begin,
    .move = move,
    .turn = turn,
    .enter = enter,
    .click = click,
    .wheel = wheel,
};
