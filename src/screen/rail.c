/* The rail at the left: one row per set of the clip, with counts, tempo and marks, and the
 * playhead's row lit while its count runs. Until the clip is tied to sets, rows are half-minutes.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/calls.h"
#include "count/timecode.h"
#include "screen/draw.h"

enum { ROW_US = 30 * 1000000 };

/* What one row speaks of: a set of a stretch, time between stretches, or half a minute. */
struct row {
    int64_t from_us, to_us;
    const struct map_span *span; /* NULL: no set */
};

struct rows {
    struct row *at;
    size_t n;
};

static void add(struct rows *r, size_t *cap, int64_t from, int64_t to, const struct map_span *span)
{
    r->at = array_grow(r->at, r->n, cap, sizeof *r->at);
    r->at[r->n++] = (struct row){from, to, span};
}

/* Rows of the whole clip; free() them. */
static struct rows rail_rows(const struct desk *d)
{
    struct rows r = {0};
    size_t cap = 0, n = 0;
    const struct map_span *spans = d->map ? map_spans(d->map, &n) : NULL;
    int64_t end = d->play.length_us, at = 0;
    for (size_t i = 0; i < n; i++) {
        if (spans[i].from_us > at + 500000)
            add(&r, &cap, at, spans[i].from_us, NULL);
        add(&r, &cap, spans[i].from_us, spans[i].to_us, &spans[i]);
        at = spans[i].to_us;
    }
    if (n && end > at + 500000)
        add(&r, &cap, at, end, NULL);
    for (; !n && at < end; at += ROW_US)
        add(&r, &cap, at, at + ROW_US < end ? at + ROW_US : end + 1, NULL);
    return r;
}

/* At the end of a set, and in a hold, the count is one more than the set has. */
void count_text(const struct spot *s, const struct set *set, char out[24])
{
    int count = s->count < set->counts + 1 ? (int)s->count : set->counts;
    snprintf(out, 24, s->in_hold ? "hold" : "%d/%d", count, set->counts);
}

static size_t row_now(const struct desk *d, const struct rows *r)
{
    size_t now = 0;
    for (size_t i = 0; i < r->n; i++)
        if (r->at[i].from_us <= d->play.at_us)
            now = i;
    return now;
}

/* The first row shown: the playhead's row stays in sight, in the middle when there is more. */
static size_t first_row(const struct desk *d, const struct rows *r, int room)
{
    long first = (long)row_now(d, r) - room / 2, most = (long)r->n - room;
    first = first > most ? most : first;
    return first < 0 ? 0 : (size_t)first;
}

int64_t rail_time(const struct desk *d, struct rect rect, int row)
{
    struct rows r = rail_rows(d);
    size_t i = first_row(d, &r, rect.rows - 1) + (size_t)(row - rect.row - 1);
    int64_t at = row > rect.row && i < r.n ? r.at[i].from_us : -1;
    free(r.at);
    return at;
}

static int marks_in(const struct desk *d, int64_t from, int64_t to)
{
    return (int)(calls_before(d, to) - calls_before(d, from));
}

static bool tied_in(const struct desk *d, const struct row *row)
{
    for (size_t i = 0; i < d->ties.n; i++)
        if (d->ties.at[i].at_us >= row->from_us && d->ties.at[i].at_us < row->to_us && row->span &&
            d->ties.at[i].set == row->span->set)
            return true;
    return false;
}

/* "14  5/16 152" : label, counts (running in the lit row), tempo; '!' where the tempo is off. */
static int draw_set(const struct desk *d, struct canvas *c, struct rect r, int row,
                    const struct row *x, bool now)
{
    const struct set *s = &d->app->show.sets[x->span->set];
    struct spot spot;
    char counts[24];
    if (now && desk_spot(d, &spot) && spot.set == x->span->set)
        count_text(&spot, s, counts);
    else
        snprintf(counts, sizeof counts, "%d", s->counts);
    canvas_text(c, strip(row, r.col, 1), ST_STRONG, tied_in(d, x) ? glyph(c, "◆", "*") : " ");
    canvas_printf(c, strip(row, r.col + 1, 4), ST_STRONG, "%s", s->label);
    canvas_printf(c, strip(row, r.col + 5, 6), ST_NORMAL, "%5s", counts);
    if (s->tempo > 0)
        canvas_printf(c, strip(row, r.col + 11, 5), ST_DIM, "%3.0f%s", s->tempo * x->span->ratio,
                      x->span->off_tempo         ? "!"
                      : s->tempo_end != s->tempo ? "~"
                                                 : "");
    return r.col + 16;
}

static int draw_time(struct canvas *c, struct rect r, int row, const struct row *x, bool sets)
{
    long long s = x->from_us / 1000000;
    canvas_printf(c, strip(row, r.col, 9), sets ? ST_DIM : ST_NORMAL, "%s%lld:%02lld",
                  sets ? "- " : " ", s / 60, s % 60);
    return r.col + 8;
}

static void draw_row(const struct desk *d, struct canvas *c, struct rect r, int row,
                     const struct row *x, bool now)
{
    int col = x->span ? draw_set(d, c, r, row, x, now) : draw_time(c, r, row, x, d->ties.n > 0);
    int n = marks_in(d, x->from_us, x->to_us), room = r.col + r.cols - 4 - col;
    for (int k = 0; k < n && k < room; k++)
        canvas_text(c, strip(row, col + k, 1), ST_NORMAL, glyph(c, "▪", "#"));
    if (n)
        canvas_printf(c, strip(row, r.col + r.cols - 4, 4), ST_DIM, "%3d", n);
    if (now)
        canvas_paint(c, (struct rect){row, r.col, 1, r.cols}, ST_NOW);
}

void draw_rail(const struct desk *d, struct canvas *c, struct rect rect)
{
    struct rows r = rail_rows(d);
    size_t first = first_row(d, &r, rect.rows - 1), now = row_now(d, &r);
    canvas_text(c, strip(rect.row, rect.col, rect.cols), ST_DIM,
                d->ties.n ? " set  count  bpm" : " time    marks");
    for (size_t i = first; i < r.n && i < first + (size_t)(rect.rows - 1); i++)
        draw_row(d, c, rect, rect.row + 1 + (int)(i - first), &r.at[i], i == now);
    free(r.at);
}
