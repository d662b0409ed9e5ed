/* The clips of the show. */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "base/utf8.h"
#include "command/clip.h"
#include "count/timecode.h"
#include "screen/draw.h"

enum { HEAD_ROWS = 2 };

struct lines {
    size_t line;
    int64_t row; /* of the clip on it, while the show is read again */
};

static void before_read(struct desk *d, void *mine)
{
    struct lines *l = mine;
    l->row = l->line < d->app->clips.n ? d->app->clips.at[l->line].id : 0;
}

static void after_read(struct desk *d, void *mine)
{
    struct lines *l = mine;
    l->line = 0;
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == l->row)
            l->line = i;
}

static const struct part part = {
    .size = sizeof(struct lines), .before_read = before_read, .after_read = after_read};

static size_t *chosen(const struct desk *d)
{
    return &((struct lines *)desk_part(d, &part))->line;
}

static void open(struct desk *d, const char *arg)
{
    (void)arg;
    const struct clip *now = desk_current(d);
    *chosen(d) = now ? (size_t)(now - d->app->clips.at) : 0;
    screen_show(d, "clips");
}

static void move(struct desk *d, long by)
{
    *chosen(d) = list_moved(*chosen(d), d->app->clips.n, by);
}

static void enter(struct desk *d)
{
    struct err e;
    if (*chosen(d) >= d->app->clips.n || desk_clip(d, &d->app->clips.at[*chosen(d)], -1, false, &e))
        screen_show(d, "review");
    else
        desk_trouble(d, "%s", e.text);
}

/* A clip, and how many columns are left for its file. */
struct line {
    const struct clip *k;
    int room;
};

static void label(const void *row, struct buf *out)
{
    buf_str(out, ((const struct line *)row)->k->label);
}

static void date(const void *row, struct buf *out)
{
    buf_str(out, ((const struct line *)row)->k->date);
}

static void run(const void *row, struct buf *out)
{
    buf_printf(out, "%4d", ((const struct line *)row)->k->run);
}

static void length(const void *row, struct buf *out)
{
    char text[24];
    time_format_short(((const struct line *)row)->k->length_us, text);
    buf_printf(out, "%9s", text);
}

static void left_at(const void *row, struct buf *out)
{
    const struct clip *k = ((const struct line *)row)->k;
    char text[24] = "-";
    if (k->left_us >= 0)
        time_format_short(k->left_us, text);
    buf_printf(out, "%9s", text);
}

/* Without its folders where there is no room for them. */
static void file(const void *row, struct buf *out)
{
    const struct line *l = row;
    const char *name = strrchr(l->k->link, '/');
    buf_str(out, name && utf8_width(l->k->link) > l->room ? name + 1 : l->k->link);
}

enum { FILE_COL = 64 };

static const struct list_column columns[] = {
    {"label", 1, 24, label},      {"date", 26, 11, date},        {" run", 38, 4, run},
    {"   length", 43, 9, length}, {"  left at", 53, 9, left_at}, {"file", FILE_COL, 0, file},
    {NULL, 0, 0, NULL},
};

static void draw(const struct desk *d, struct canvas *c)
{
    char what[64];
    snprintf(what, sizeof what, "%zu clip%s", d->app->clips.n, d->app->clips.n == 1 ? "" : "s");
    draw_title(d, c, what);
    list_head(c, 1, columns);
    int room = c->rows - 1 - HEAD_ROWS;
    size_t first = list_first(*chosen(d), room);
    for (size_t i = first; i < d->app->clips.n && i < first + (size_t)room; i++) {
        const struct line l = {&d->app->clips.at[i], c->cols - 1 - FILE_COL};
        int row = HEAD_ROWS + (int)(i - first);
        list_line(c, row, columns, &l, l.k->id == d->clip ? ST_STRONG : ST_NORMAL);
        if (i == *chosen(d))
            canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
    }
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    size_t line = list_first(*chosen(d), c->rows - 1 - HEAD_ROWS) + (size_t)(row - HEAD_ROWS);
    if (row < HEAD_ROWS || line >= d->app->clips.n)
        return;
    if (line == *chosen(d))
        desk_run(d, "open");
    *chosen(d) = line;
}

const struct screen screen_clips = {
    .open = {"clips", "", "The clips of the show", open},
    .keys = &keys_lists,
    .hint = " arrows choose   {open} opens the clip   {review} back to the review",
    .draw = draw,
    .move = move,
    .enter = enter,
    .click = click,
    .wheel = list_wheel,
};
