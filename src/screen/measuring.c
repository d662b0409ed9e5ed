/* Measuring: its keys in the rail's room, what the clicks say in that of the calls. */
#include "command/measuring.h"

#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "command/ground.h"
#include "command/spot_keys.h"
#include "paper/flow.h"
#include "screen/draw.h"

struct hint {
    const char *key, *what;
};

/* A key and what it does fit the rail of a small terminal: twenty columns. */
static const struct hint measure_ways[] = {
    {"Space", "click on feet"},
    {"arrows", "move"},
    {"Shift", "by a pixel"},
    {"z", "look closer"},
    {"g", "a rank's gaps"},
    {"l", "a line"},
    {"a", "an arc"},
    {"f", "the form"},
    {"n", "an angle"},
    {"Enter", "mark it"},
    {"Back", "last one off"},
    {"x", "clear clicks"},
    {", .", "a frame"},
    {"p", "set the field"},
    {"Esc", "leave"},
};

static const struct hint point_ways[] = {
    {"arrows", "to a crossing"},
    {"Shift", "by a pixel"},
    {"z", "look closer"},
    {"35f", "the 35,"},
    {"", "front hash"},
    {"Space", "every name"},
    {"Tab", "a likely one"},
    {"Back", "newest off"},
    {", .", "a frame"},
    {"p", "measure"},
    {"Esc", "leave"},
};

static const struct hint name_ways[] = {
    {"35", "its yard line"},  {"s", "front sideline"},   {"n", "front numbers"},
    {"f", "front hash"},      {"b", "back hash"},        {"m", "back numbers"},
    {"k", "back sideline"},   {"Tab", "the other side"}, {"/", "in words"},
    {"Back", "last key off"}, {"Esc", "not this one"},
};

/* A floor has no lines to name. */
static const struct hint word_ways[] = {{"/", "in words"}, {"Esc", "not this one"}};

static const struct hint who_ways[] = {{"Space", "who is there"},
                                       {"arrows", "move"},
                                       {"Shift", "by a pixel"},
                                       {"z", "look closer"},
                                       {"Esc", "type it"}};

/* The window's picture is as large as the person makes the window: nothing is looked at closer there. */
static bool has(const struct desk *d, const struct hint *w)
{
    return strcmp(w->key, "z") != 0 || d->view == PLAYER_PANE;
}

static void draw_ways(const struct desk *d, struct canvas *c, struct rect r, const struct hint *w,
                      size_t n)
{
    int row = r.row + 2;
    int keys = 0;
    for (size_t i = 0; i < n; i++)
        keys = (int)strlen(w[i].key) >= keys ? (int)strlen(w[i].key) + 1 : keys;
    for (size_t i = 0; i < n && row < r.row + r.rows; i++) {
        if (!has(d, &w[i]))
            continue;
        canvas_text(c, strip(row, r.col, keys), ST_KEY, w[i].key);
        canvas_text(c, strip(row++, r.col + keys, r.cols - keys), ST_NORMAL, w[i].what);
    }
}

#define DRAW_WAYS(ways) draw_ways(d, c, r, ways, sizeof ways / sizeof *ways)

static void draw_keys_of(const struct desk *d, const struct measuring *m, struct canvas *c,
                         struct rect r)
{
    if (m->naming || m->whom || m->pointing)
        canvas_text(c, strip(r.row, r.col, r.cols), ST_STRONG,
                    m->naming ? "which spot is that?"
                    : m->whom ? "who is it?"
                              : "where is the field?");
    else
        canvas_printf(c, strip(r.row, r.col, r.cols), ST_STRONG, "measuring: %s",
                      measuring_name(m->as));
    if (m->naming && d->app->show.grid.surface == SURFACE_FLOOR)
        DRAW_WAYS(word_ways);
    else if (m->naming)
        DRAW_WAYS(name_ways);
    else if (m->whom)
        DRAW_WAYS(who_ways);
    else if (m->pointing)
        DRAW_WAYS(point_ways);
    else
        DRAW_WAYS(measure_ways);
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
        buf_printf(out, "%zu spots here; the field is held by its lines%s\n", here,
                   ground_shown(d)->lines ? "" : ": ( draws them");
    else if (m->n == 0)
        buf_str(out, "click where feet meet the ground, along a rank from one end to the other\n");
    if (ground_followed(d) >= 0)
        buf_printf(out, "following the field through the clip: %.0f %%\n",
                   ground_followed(d) * 100);
}

/* Lines that are too long go on below, a little to the right. */
static void fitted(const char *text, int cols, struct buf *out)
{
    enum { INDENT = 4 };
    struct buf line = {0};
    while (*text) {
        const size_t n = strcspn(text, "\n");
        buf_clear(&line);
        buf_add(&line, text, n);
        if (utf8_width(buf_text(&line)) <= cols)
            buf_printf(out, "%s\n", buf_text(&line));
        else {
            struct flow f = flow_from(out, cols, 0, INDENT);
            flow_text(&f, buf_text(&line));
            flow_end(&f);
        }
        text += n + (text[n] == '\n');
    }
    buf_free(&line);
}

static int lines_of(const char *text)
{
    int n = 0;
    for (; *text; text++)
        n += *text == '\n';
    return n;
}

static void draw_said(struct canvas *c, struct rect r, const char *text)
{
    struct buf all = {0};
    fitted(text, r.cols, &all);
    const int more = lines_of(buf_text(&all)) - r.rows;
    draw_lines(c, r, ST_NORMAL, buf_text(&all));
    if (more > 0) {
        const int last = r.row + r.rows - 1;
        for (int col = r.col; col < r.col + r.cols; col++)
            canvas_text(c, strip(last, col, 1), ST_NORMAL, " ");
        canvas_printf(c, strip(last, r.col, r.cols), ST_DIM,
                      "... %d more lines, in a higher window", more + 1);
    }
    buf_free(&all);
}

void draw_measuring(const struct desk *d, struct canvas *c, const struct review_layout *l)
{
    const struct measuring *m = measuring_open(d);
    struct buf said = {0};
    draw_keys_of(d, m, c, l->rail);
    if (m->naming)
        say_naming(d, m, &said);
    else {
        say_field(d, m, &said);
        if (!m->pointing)
            buf_str(&said, buf_text(&m->said));
    }
    draw_said(c, l->calls, buf_text(&said));
    buf_free(&said);
}
