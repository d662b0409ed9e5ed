/* What stands below the field: the time, who is chosen and what the move asks of them, or how many
 * marks each set has. */
#include <math.h>
#include <stdio.h>

#include "app/app.h"
#include "base/utf8.h"
#include "count/timecode.h"
#include "screen/field.h"
#include "show/path.h"

/* --- when and what ------------------------------------------------------------------- */

static const struct set *set_of(const struct desk *d, struct set_count when)
{
    return &d->app->show.sets[when.set];
}

static void when_text(const struct desk *d, struct set_count when, char out[60])
{
    const struct set *set = set_of(d, when);
    const int count = (int)floor(when.count + 1e-9);
    if (count > set->counts)
        snprintf(out, 60, "set %.20s", set->label);
    else
        snprintf(out, 60, "set %.20s count %d of %d", set->label, count, set->counts);
}

static int draw_clock(const struct desk *d, struct canvas *c, int row, enum field_time how)
{
    char now[24], length[24];
    if (!d->clip || how == FIELD_LEAFING)
        return canvas_text(c, strip(row, 1, c->cols - 1), ST_DIM,
                           d->clip ? "the clip is not tied to the sets" : "no clip");
    time_format_short(d->play.at_us, now);
    time_format_short(d->play.length_us, length);
    const char *sign = d->play.playing ? glyph(c, "▶", ">") : glyph(c, "■", "#");
    int col = canvas_printf(c, strip(row, 1, 22), ST_STRONG, "%s %s / %s", sign, now, length);
    if (d->play.speed != 1)
        col = canvas_printf(c, strip(row, col, 8), ST_NORMAL, "  %gx", d->play.speed);
    if (how == FIELD_OUTSIDE)
        col = canvas_text(c, strip(row, col, c->cols - col), ST_DIM, "  no drill here");
    return col;
}

static void marks_text(const struct desk *d, const struct canvas *c, struct set_count when,
                       bool brief, char out[100])
{
    const struct field_marks *m = field_marks(d);
    const int here = m->by_set ? m->by_set[when.set] : 0;
    const char *many = m->all == 1 ? "" : "s", *shades = glyph(c, "░1 ▒2 ▓3 █5+", ".1 :2 *3 #5+");
    if (field_marking(d) == MARKS_BY_PLACE && brief)
        snprintf(out, 100, "%s", shades);
    else if (field_marking(d) == MARKS_BY_PLACE)
        snprintf(out, 100, "%zu of %zu mark%s by place %s", m->standing, m->all, many, shades);
    else if (field_marking(d) == MARKS_BY_SET)
        snprintf(out, 100, "%zu mark%s by set", m->all, many);
    else
        snprintf(out, 100, "%d mark%s in this move %s", here, here == 1 ? "" : "s",
                 here ? glyph(c, "×", "x") : "");
}

/* At the right, as much as there is room for. */
static void draw_marks_text(const struct desk *d, struct canvas *c, struct strip where,
                            struct set_count when)
{
    char text[100];
    for (int brief = 0; d->clip && brief < 2; brief++) {
        marks_text(d, c, when, brief, text);
        const int n = utf8_width(text) + 1;
        if (n > where.cols)
            continue;
        canvas_text(c, strip(where.row, c->cols - n, n), ST_DIM, text);
        return;
    }
}

static void draw_status(const struct desk *d, struct canvas *c, int row, struct set_count when,
                        enum field_time how)
{
    char place[60];
    int col = draw_clock(d, c, row, how);
    when_text(d, when, place);
    col = canvas_printf(c, strip(row, col + 2, 40), ST_STRONG, "%s", place);
    draw_marks_text(d, c, strip(row, col + 2, c->cols - col - 2), when);
}

/* --- who is chosen ----------------------------------------------------------------------------- */

/* To the nearest quarter of a step: what a dot sheet says, and what an eye can follow. */
static double quarter(double steps)
{
    return round(steps * 4) / 4;
}

static void place_text(const struct desk *d, struct dot_place at, bool exact,
                       char out[2 * SPOT_TEXT])
{
    spot_text(&d->app->show.grid, exact ? at.x : quarter(at.x), exact ? at.y : quarter(at.y), out);
}

static void feet_text(double inches, char out[32])
{
    const long whole = lround(inches);
    snprintf(out, 32, "%ld ft %ld in", whole / 12, whole % 12);
}

/* "12.5 steps (23 ft 5 in) in 16 counts: 10.2-to-5, each 17.6 in" */
static void pace_text(const struct desk *d, int performer, int set, char out[200])
{
    const struct path *path = &field_ghosts(d)->paths[set];
    struct ghost_pace p;
    char feet[32];
    if (!ghost_pace(field_ghosts(d), performer, set, &p)) {
        snprintf(out, 200, "no dot to come from");
        return;
    }
    feet_text(p.inches, feet);
    int n = p.inches < 0.5
                ? snprintf(out, 200, "stays")
                : snprintf(out, 200, "%.4g steps (%s) in %g counts: %.3g-to-5, each %.3g in",
                           p.steps, feet, p.counts, pace_to_five(&p), p.inches / p.counts);
    if (p.follows)
        n += snprintf(out + n, 200 - (size_t)n, ", behind the leader");
    if (path->hold && p.inches >= 0.5)
        n += snprintf(out + n, 200 - (size_t)n, ", holds %d first", path->hold);
    if (path->halt && p.inches >= 0.5)
        snprintf(out + n, 200 - (size_t)n, ", there %d early", path->halt);
}

static void draw_way(const struct desk *d, struct canvas *c, int row, int performer,
                     struct set_count when)
{
    enum { WORD = 10 };
    const int next = field_next_set(d, when);
    char text[2 * SPOT_TEXT], pace[200];
    struct dot_place at;
    canvas_text(c, strip(row, 1, WORD), ST_DIM, "now");
    if (field_place(d, performer, when, &at)) {
        place_text(d, at, false, text);
        canvas_text(c, strip(row, WORD, c->cols - WORD), ST_NORMAL, text);
    } else {
        canvas_text(c, strip(row, WORD, c->cols - WORD), ST_NORMAL, "no dot");
    }
    canvas_printf(c, strip(row + 1, 1, WORD - 2), ST_DIM, "set %s", d->app->show.sets[next].label);
    if (!ghost_dot(field_ghosts(d), performer, next, &at)) {
        canvas_text(c, strip(row + 1, WORD, c->cols - WORD), ST_NORMAL, "no dot");
        return;
    }
    place_text(d, at, true, text);
    canvas_text(c, strip(row + 1, WORD, c->cols - WORD), ST_NORMAL, text);
    pace_text(d, performer, next, pace);
    canvas_text(c, strip(row + 2, WORD, c->cols - WORD), ST_NORMAL, pace);
}

static void draw_nobody(const struct desk *d, struct canvas *c, int row, int people)
{
    char grid[80];
    grid_said(&d->app->show.grid, grid);
    canvas_printf(c, strip(row, 1, c->cols - 1), ST_NORMAL, "%d on the field; nobody is chosen",
                  people);
    draw_keys(d, c, strip(row + 1, 1, c->cols - 1), ST_DIM,
              "{list +1} {list -1} choose one, {list >} {list <} a section; or click");
    canvas_text(c, strip(row + 2, 1, c->cols - 1), ST_DIM, grid);
}

/* Who of a section has the longest way to a set; -1: nobody has one. */
static int longest_way(const struct desk *d, int section, int set)
{
    const struct show *show = &d->app->show;
    struct ghost_pace p;
    double most = 0;
    int who = -1;
    for (size_t i = 0; i < show->n_performers; i++)
        if (section_within(show, show->performers[i].section, section) &&
            ghost_pace(field_ghosts(d), (int)i, set, &p) && p.inches > most) {
            most = p.inches;
            who = (int)i;
        }
    return who;
}

static void draw_section(const struct desk *d, struct canvas *c, int row, int section,
                         struct set_count when)
{
    const struct show *show = &d->app->show;
    const int next = field_next_set(d, when), who = longest_way(d, section, next);
    struct dot_place at;
    char pace[200];
    int n = 0;
    for (size_t i = 0; i < show->n_performers; i++)
        n += section_within(show, show->performers[i].section, section) &&
             field_place(d, (int)i, when, &at);
    canvas_printf(c, strip(row, 1, c->cols - 1), ST_STRONG, "%s, %d on the field",
                  show->sections[section].name, n);
    if (who < 0) {
        canvas_printf(c, strip(row + 1, 1, c->cols - 1), ST_NORMAL, "to set %s: all stay",
                      show->sets[next].label);
        return;
    }
    pace_text(d, who, next, pace);
    canvas_printf(c, strip(row + 1, 1, c->cols - 1), ST_NORMAL, "to set %s, the longest way: %s",
                  show->sets[next].label, show->performers[who].label);
    canvas_text(c, strip(row + 2, 1, c->cols - 1), ST_NORMAL, pace);
}

static void draw_chosen(const struct desk *d, struct canvas *c, int row, struct set_count when,
                        int people)
{
    struct target t;
    if (!field_chosen(d, &t)) {
        draw_nobody(d, c, row, people);
        return;
    }
    if (t.performer < 0) {
        draw_section(d, c, row, t.section, when);
        return;
    }
    draw_way(d, c, row, t.performer, when);
}

/* --- marks by set ------------------------------------------------------------------------------ */

enum { BAR_COLS = 5 };

/* The first set that is shown, so that the running one is in sight. */
static int first_bar(const struct desk *d, const struct canvas *c, int running)
{
    const int n = (int)d->app->show.n_sets, room = (c->cols - 2) / BAR_COLS;
    int first = running - room / 2;
    first = first > n - room ? n - room : first;
    return first < 0 ? 0 : first;
}

int set_on_bar(const struct desk *d, const struct canvas *c, struct set_count when, int col)
{
    const int set = first_bar(d, c, when.set) + (col - 1) / BAR_COLS;
    return col >= 1 && set < (int)d->app->show.n_sets ? set : -1;
}

static const char *bar(const struct canvas *c, int n, int most)
{
    static const char *const bars[] = {" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"},
                             *const plain[] = {" ", ".", ".", "-", "-", "=", "=", "#", "#"};
    const int at = n && most ? 1 + (int)lround(7.0 * n / most) : 0;
    return glyph(c, bars[at > 8 ? 8 : at], plain[at > 8 ? 8 : at]);
}

static void draw_bars(const struct desk *d, struct canvas *c, int row, struct set_count when)
{
    const struct field_marks *m = field_marks(d);
    const int n = (int)d->app->show.n_sets, first = first_bar(d, c, when.set);
    int most = 0;
    for (int i = 0; m->by_set && i < n; i++)
        most = m->by_set[i] > most ? m->by_set[i] : most;
    for (int i = first; m->by_set && i < n; i++) {
        const int col = 1 + (i - first) * BAR_COLS, marks = m->by_set[i];
        if (col + BAR_COLS > c->cols)
            break;
        if (marks)
            canvas_printf(c, strip(row, col, BAR_COLS - 1), ST_NORMAL, "%d", marks);
        for (int k = 0; k < BAR_COLS - 2; k++)
            canvas_text(c, strip(row + 1, col + k, 1), ST_SERIOUS, bar(c, marks, most));
        canvas_printf(c, strip(row + 2, col, BAR_COLS - 1), i == when.set ? ST_NOW : ST_DIM, "%s",
                      d->app->show.sets[i].label);
    }
}

void draw_below(const struct desk *d, struct canvas *c, int row, const struct below *b)
{
    draw_status(d, c, row, b->when, b->how);
    if (field_marking(d) == MARKS_BY_SET)
        draw_bars(d, c, row + 1, b->when);
    else
        draw_chosen(d, c, row + 1, b->when, b->people);
}
