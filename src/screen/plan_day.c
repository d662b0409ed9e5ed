#include "screen/plan_day.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SLOTS_MOST = 8, SECTION_COLS = 15, ACROSS = 14 };
enum {
    TICK_COL = 1,
    NUMBER_COL = 5,
    TIME_COL = 8,
    LENGTH_COL = 14,
    WHO_COL = 19,
    SET_COL = 33,
    REPS_COL = 50,
    WHY_COL = 81, /* where there is room */
    WHY_LEAST = 20
};

/* Lines of the day: of a row of the plan, or of the sectional period's table. */
enum line_kind_of { ROW, HEAD, SLOT };
struct day_line {
    enum line_kind_of kind;
    size_t row; /* of the plan; the first of the period */
    int slot;
};

struct day {
    const struct desk_plan *p;
    struct day_line *at;
    size_t n;
    size_t from, to; /* rows of the sectional period */
    int slots, slot_s;
    int cols;         /* of the table */
    int across;       /* sections that have room */
    size_t first;     /* section shown first */
    size_t *sections; /* [n_sections]: first row of each */
    size_t n_sections;
};

static const struct rep_block *row_of(const struct desk_plan *p, size_t i)
{
    return &p->kept.blocks[i];
}

/* --- the period ----------------------------------------------------------------------------------- */

static void find_period(struct day *d)
{
    const struct desk_plan *p = d->p;
    d->sections = xcalloc(p->kept.n_blocks + 1, sizeof *d->sections);
    while (d->from < p->kept.n_blocks && row_of(p, d->from)->kind != PLAN_SECTIONAL)
        d->from++;
    d->to = d->from;
    for (; d->to < p->kept.n_blocks && row_of(p, d->to)->kind == PLAN_SECTIONAL; d->to++)
        if (d->to == d->from || row_of(p, d->to)->block != row_of(p, d->to - 1)->block)
            d->sections[d->n_sections++] = d->to;
    if (d->to == d->from)
        return;
    const int minutes = row_of(p, d->from)->seconds / 60;
    const int each = (minutes + SLOTS_MOST - 1) / SLOTS_MOST;
    d->slot_s = (each > 0 ? each : 1) * 60;
    d->slots = (row_of(p, d->from)->seconds + d->slot_s - 1) / d->slot_s;
}

static size_t section_of(const struct day *d, size_t row)
{
    size_t s = 0;
    while (s + 1 < d->n_sections && d->sections[s + 1] <= row)
        s++;
    return s;
}

static size_t section_end(const struct day *d, size_t section)
{
    return section + 1 < d->n_sections ? d->sections[section + 1] : d->to;
}

static bool in_period(const struct day *d, size_t row)
{
    return row >= d->from && row < d->to;
}

/* As many sections as have room, the chosen one among them. */
static void spread(struct day *d, int cols)
{
    const int room = cols - ACROSS - 1;
    const int most = room / SECTION_COLS > 0 ? room / SECTION_COLS : 1;
    d->across = (int)d->n_sections < most ? (int)d->n_sections : most;
    d->cols = d->across > 0 ? room / d->across : room;
    const size_t chosen = in_period(d, d->p->line) ? section_of(d, d->p->line) : 0;
    d->first = chosen >= (size_t)d->across ? chosen - (size_t)d->across + 1 : 0;
}

/* In which slot a row of the period stands: its time's, but behind the rows before it; the last one
 * when there are more rows than slots. */
static int slot_of(const struct day *d, size_t row)
{
    int slot = -1;
    for (size_t i = d->sections[section_of(d, row)]; i <= row; i++) {
        const struct rep_block *b = row_of(d->p, i);
        const int due = (b->begins_s - b->start_s) / d->slot_s;
        slot = due > slot ? due : slot + 1;
    }
    return slot < d->slots ? slot : d->slots - 1;
}

/* --- lines ---------------------------------------------------------------------------------------- */

static struct day day_of(const struct desk_plan *p, int cols)
{
    struct day d = {.p = p};
    find_period(&d);
    spread(&d, cols);
    d.at = xcalloc(p->kept.n_blocks + SLOTS_MOST + 2, sizeof *d.at);
    for (size_t i = 0; i < p->kept.n_blocks; i++) {
        if (!in_period(&d, i)) {
            d.at[d.n++] = (struct day_line){ROW, i, 0};
        } else if (i == d.from) {
            d.at[d.n++] = (struct day_line){HEAD, i, 0};
            for (int s = 0; s < d.slots; s++)
                d.at[d.n++] = (struct day_line){SLOT, i, s};
        }
    }
    return d;
}

static void day_free(struct day *d)
{
    free(d->at);
    free(d->sections);
}

static size_t chosen_line(const struct day *d)
{
    const size_t row = d->p->line;
    for (size_t i = 0; i < d->n; i++) {
        const struct day_line *l = &d->at[i];
        if ((l->kind == ROW && l->row == row) ||
            (l->kind == SLOT && in_period(d, row) && l->slot == slot_of(d, row)))
            return i;
    }
    return 0;
}

/* --- drawing -------------------------------------------------------------------------------------- */

static void draw_time(const struct day *d, struct canvas *c, int row, int at_s)
{
    char clock[24];
    canvas_text(c, strip(row, TIME_COL, 6), ST_NORMAL,
                plan_clock(d->p->kept.start_min, at_s, clock));
}

/* "8 reps of 0:35, walk 1st kept" */
static void draw_reps(struct canvas *c, int row, const struct rep_block *b)
{
    struct buf text = {0};
    buf_printf(&text, "%d rep%s", b->reps, b->reps == 1 ? "" : "s");
    if (b->rep_s)
        buf_printf(&text, " of %d:%02d", b->rep_s / 60, b->rep_s % 60);
    buf_str(&text, b->walk_s ? ", walk 1st" : "");
    buf_str(&text, b->kept ? " kept" : "");
    canvas_text(c, strip(row, REPS_COL, c->cols - REPS_COL - 1), ST_NORMAL, buf_text(&text));
    buf_free(&text);
}

static void draw_row(const struct day *d, struct canvas *c, int row, size_t i)
{
    const struct rep_block *b = row_of(d->p, i);
    canvas_printf(c, strip(row, TICK_COL, 4), ST_STRONG, "[%c]", b->reps_made >= 0 ? 'x' : ' ');
    canvas_printf(c, strip(row, NUMBER_COL, TIME_COL - NUMBER_COL), ST_NORMAL, "%2d", b->block + 1);
    draw_time(d, c, row, b->start_s);
    canvas_printf(c, strip(row, LENGTH_COL, 4), ST_NORMAL, "%4d", b->seconds / 60);
    if (b->kind == PLAN_REP) {
        canvas_text(c, strip(row, WHO_COL, SET_COL - WHO_COL - 1), ST_NORMAL, b->who);
        canvas_printf(c, strip(row, SET_COL, REPS_COL - SET_COL - 1), ST_STRONG, "set %s", b->sets);
        draw_reps(c, row, b);
        if (c->cols >= WHY_COL + WHY_LEAST && d->p->words[i].n > 0)
            canvas_text(c, strip(row, WHY_COL, c->cols - WHY_COL - 1), ST_DIM,
                        d->p->words[i].fix[0]);
    } else {
        canvas_text(c, strip(row, WHO_COL, c->cols - WHO_COL - 1), ST_DIM, b->what);
    }
    if (i == d->p->line)
        canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
}

static int table_col(const struct day *d, size_t section)
{
    return ACROSS + (int)(section - d->first) * d->cols;
}

static bool shown(const struct day *d, size_t section)
{
    return section >= d->first && section < d->first + (size_t)d->across;
}

static void draw_names(const struct day *d, struct canvas *c, int row)
{
    const size_t more = d->n_sections - (size_t)d->across;
    for (size_t s = 0; s < d->n_sections; s++)
        if (shown(d, s))
            canvas_text(c, strip(row, table_col(d, s), d->cols - 1), ST_STRONG,
                        row_of(d->p, d->sections[s])->who);
    if (more > 0)
        canvas_printf(c, strip(row, TICK_COL, ACROSS - 2), ST_DIM, "%zu more %s", more,
                      glyph(c, "↔", "<>"));
}

/* "x:08 7 8 ×3": the minute it begins, which may be within its slot */
static void draw_chunk(const struct day *d, struct canvas *c, int row, size_t i)
{
    const struct rep_block *b = row_of(d->p, i);
    const int col = table_col(d, section_of(d, i));
    const struct rect cell = {row, col - 1, 1, d->cols};
    if (*b->sets)
        canvas_printf(c, strip(row, col, d->cols - 1), ST_NORMAL, "%s:%02d %s %s%d%s%s",
                      b->reps_made >= 0 ? "x" : "", (d->p->kept.start_min + b->begins_s / 60) % 60,
                      b->sets, glyph(c, "×", "x"), b->reps, b->walk_s ? " walk" : "",
                      b->kept ? " kept" : "");
    else
        canvas_printf(c, strip(row, col, d->cols - 1), ST_DIM, "%s%s",
                      b->reps_made >= 0 ? "x " : "", b->what);
    if (i == d->p->line)
        canvas_paint(c, cell, ST_CHOSEN);
}

static void draw_slot(const struct day *d, struct canvas *c, int row, int slot)
{
    const struct rep_block *b = row_of(d->p, d->from);
    draw_time(d, c, row, b->start_s + slot * d->slot_s);
    for (size_t i = d->from; i < d->to; i++)
        if (shown(d, section_of(d, i)) && slot_of(d, i) == slot)
            draw_chunk(d, c, row, i);
}

void plan_day_draw(const struct desk_plan *p, struct canvas *c, struct rect r)
{
    struct day d = day_of(p, c->cols);
    const size_t first = list_first(chosen_line(&d), r.rows);
    for (size_t i = first; i < d.n && i < first + (size_t)r.rows; i++) {
        const int row = r.row + (int)(i - first);
        if (d.at[i].kind == ROW)
            draw_row(&d, c, row, d.at[i].row);
        else if (d.at[i].kind == HEAD)
            draw_names(&d, c, row);
        else
            draw_slot(&d, c, row, d.at[i].slot);
    }
    day_free(&d);
}

/* --- finding -------------------------------------------------------------------------------------- */

/* The row of a section that stands in a slot, or the last one before it. */
static size_t in_slot(const struct day *d, size_t section, int slot)
{
    size_t best = d->sections[section];
    for (size_t i = best; i < section_end(d, section); i++)
        if (slot_of(d, i) <= slot)
            best = i;
    return best;
}

size_t plan_day_row_at(const struct desk_plan *p, struct rect r, int row, int col)
{
    struct day d = day_of(p, r.cols);
    const size_t i = list_first(chosen_line(&d), r.rows) + (size_t)(row - r.row);
    size_t found = p->kept.n_blocks;
    if (row >= r.row && row < r.row + r.rows && i < d.n) {
        const size_t section = d.first + (size_t)((col > ACROSS ? col - ACROSS : 0) / d.cols);
        if (d.at[i].kind == ROW)
            found = d.at[i].row;
        else if (section < d.n_sections)
            found = in_slot(&d, section, d.at[i].slot);
    }
    day_free(&d);
    return found;
}

size_t plan_day_beside(const struct desk_plan *p, int by)
{
    struct day d = day_of(p, LEAST_COLS);
    size_t found = p->line;
    if (in_period(&d, p->line)) {
        const size_t section = section_of(&d, p->line);
        if (by < 0 ? section > 0 : section + 1 < d.n_sections)
            found = in_slot(&d, by < 0 ? section - 1 : section + 1, slot_of(&d, p->line));
    }
    day_free(&d);
    return found;
}

static size_t one_down(const struct day *d, size_t row)
{
    const size_t next =
        in_period(d, row) && row + 1 == section_end(d, section_of(d, row)) ? d->to : row + 1;
    return next < d->p->kept.n_blocks ? next : row;
}

static size_t one_up(const struct day *d, size_t row)
{
    if (in_period(d, row) && row == d->sections[section_of(d, row)])
        return d->from > 0 ? d->from - 1 : row;
    if (row == d->to && d->to > d->from)
        return section_end(d, d->first) - 1;
    return row > 0 ? row - 1 : row;
}

size_t plan_day_moved(const struct desk_plan *p, long by)
{
    struct day d = day_of(p, LEAST_COLS);
    size_t row = p->line;
    for (; by > 0; by--)
        row = one_down(&d, row);
    for (; by < 0; by++)
        row = one_up(&d, row);
    day_free(&d);
    return row;
}
