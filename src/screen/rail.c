/* The rail at the left: the clip's half-minutes with their marks, the playhead's row lit. */
#include <stdio.h>

#include "count/timecode.h"
#include "screen/screen.h"

enum { ROW_US = 30 * 1000000 };

static int rail_rows(const struct desk *d)
{
    return d->play.length_us > 0 ? (int)((d->play.length_us - 1) / ROW_US) + 1 : 0;
}

/* The first row shown: the playhead's row stays in sight, in the middle when there is more. */
static int first_row(const struct desk *d, int room)
{
    int n = rail_rows(d), now = (int)(d->play.at_us / ROW_US), first = now - room / 2;
    if (first > n - room)
        first = n - room;
    return first < 0 ? 0 : first;
}

int64_t rail_time(const struct desk *d, struct rect r, int row)
{
    int i = first_row(d, r.rows - 1) + row - r.row - 1;
    return row > r.row && i < rail_rows(d) ? (int64_t)i * ROW_US : -1;
}

static int marks_in(const struct desk *d, int64_t from, int64_t to)
{
    int n = 0;
    for (size_t i = 0; i < d->n_marks && d->marks[i].at_us < to; i++)
        n += d->marks[i].at_us >= from && desk_shows(d, &d->marks[i]);
    return n;
}

static void draw_row(const struct desk *d, struct canvas *c, struct rect r, int row, int i)
{
    bool now = d->play.at_us / ROW_US == i;
    char time[24];
    int64_t from = (int64_t)i * ROW_US;
    long long s = from / 1000000;
    snprintf(time, sizeof time, "%lld:%02lld", s / 60, s % 60);
    int n = marks_in(d, from, from + ROW_US), room = r.cols - 11;
    canvas_printf(c, row, r.col, 7, now ? ST_NOW : ST_NORMAL, "%6s ", time);
    for (int k = 0; k < n && k < room; k++)
        canvas_text(c, row, r.col + 7 + k, 1, ST_NORMAL, glyph(c, "▪", "#"));
    if (n)
        canvas_printf(c, row, r.col + r.cols - 4, 4, ST_DIM, "%3d", n);
    if (now)
        canvas_paint(c, (struct rect){row, r.col, 1, r.cols}, ST_NOW);
}

void draw_rail(const struct desk *d, struct canvas *c, struct rect r)
{
    int room = r.rows - 1, first = first_row(d, room), n = rail_rows(d);
    canvas_text(c, r.row, r.col, r.cols, ST_DIM, "  time marks");
    for (int i = 0; i < room && first + i < n; i++)
        draw_row(d, c, r, r.row + 1 + i, first + i);
}
