/* Measuring: its keys in the rail's room, what the clicks say in that of the calls. */
#include "command/measuring.h"

#include <stdio.h>
#include <string.h>

#include "command/ground.h"
#include "command/spot_keys.h"
#include "screen/draw.h"

struct hint {
    const char *key, *what;
};

static const struct hint measure_ways[] = {
    {"Space", "click on feet"},
    {"arrows", "move"},
    {"Shift", "by a pixel"},
    {"z", "look closer"},
    {"g", "gaps of a rank"},
    {"l", "a line"},
    {"a", "an arc"},
    {"f", "the form"},
    {"n", "an angle"},
    {"Enter", "mark it"},
    {"Back", "last click back"},
    {"x", "all clicks off"},
    {", .", "a frame back, on"},
    {"p", "where the field is"},
    {"Esc", "leave"},
};

static const struct hint point_ways[] = {
    {"Space", "this is a spot"},
    {"arrows", "move"},
    {"Shift", "by a pixel"},
    {"z", "look closer"},
    {"Tab", "to one that helps"},
    {"Back", "newest off"},
    {", .", "a frame back, on"},
    {"p", "measure"},
    {"Esc", "leave"},
};

static const struct hint name_ways[] = {
    {"35", "its yard line"}, {"s", "front sideline"},   {"n", "front numbers"},
    {"f", "front hash"},     {"b", "back hash"},        {"m", "back numbers"},
    {"k", "back sideline"},  {"Tab", "the other side"}, {"/", "in words"},
    {"Esc", "not this one"},
};

static const struct hint who_ways[] = {
    {"Space", "who is there"}, {"arrows", "move"}, {"z", "look closer"}, {"Esc", "type it"}};

static int draw_ways(struct canvas *c, struct rect r, int row, const struct hint *w, size_t n)
{
    for (size_t i = 0; i < n && row < r.row + r.rows; i++, row++) {
        canvas_text(c, strip(row, r.col, 7), ST_KEY, w[i].key);
        canvas_text(c, strip(row, r.col + 7, r.cols - 7), ST_NORMAL, w[i].what);
    }
    return row;
}

#define DRAW_WAYS(c, r, row, ways) draw_ways(c, r, row, ways, sizeof ways / sizeof *ways)

static void draw_keys_of(const struct measuring *m, struct canvas *c, struct rect r)
{
    const int row = r.row + 2;
    canvas_text(c, strip(r.row, r.col, r.cols), ST_STRONG,
                m->naming     ? "which spot is that?"
                : m->whom     ? "who is it?"
                : m->pointing ? "where is the field?"
                              : "measuring");
    if (m->naming)
        DRAW_WAYS(c, r, row, name_ways);
    else if (m->whom)
        DRAW_WAYS(c, r, row, who_ways);
    else if (m->pointing)
        DRAW_WAYS(c, r, row, point_ways);
    else
        DRAW_WAYS(c, r, row, measure_ways);
}

static void say_naming(const struct desk *d, const struct measuring *m, struct buf *out)
{
    char said[48], spot[2 * SPOT_TEXT];
    spot_keys_said(m->keys, m->side, said);
    buf_printf(out, "%s_\n", said);
    if (m->offered && !*m->keys) {
        spot_text(&d->app->show.grid, m->offer_x, m->offer_y, spot);
        buf_printf(out, "Enter: %s\n", spot);
    }
}

static void say_field(const struct desk *d, const struct measuring *m, struct buf *out)
{
    const struct field_view *v = ground_view(d);
    size_t here = 0;
    for (size_t i = 0; v && i < v->picks.n; i++)
        here += v->picks.at[i].at_us == d->play.at_us;
    if (!v || v->by == FIELD_UNKNOWN)
        buf_printf(out, "%zu of 4 spots picked in this picture\n", here);
    else if (v->by == FIELD_ALONE)
        buf_printf(out, "%zu spots here; the field is known by the picks alone, good to %.1f px\n",
                   here, v->alone.sd);
    else if (m->pointing)
        buf_printf(out, "%zu spots here; the field is held by its lines: ( draws them\n", here);
    else if (m->n == 0)
        buf_str(out, "click where feet meet the ground, along a rank from one end to the other\n");
    if (ground_followed(d) >= 0)
        buf_printf(out, "following the field through the clip: %.0f %%\n",
                   ground_followed(d) * 100);
}

void draw_measuring(const struct desk *d, struct canvas *c, const struct review_layout *l)
{
    const struct measuring *m = measuring_open(d);
    struct buf said = {0};
    draw_keys_of(m, c, l->rail);
    if (m->naming)
        say_naming(d, m, &said);
    else {
        say_field(d, m, &said);
        if (!m->pointing)
            buf_str(&said, buf_text(&m->said));
    }
    draw_lines(c, l->calls, ST_NORMAL, buf_text(&said));
    buf_free(&said);
}
