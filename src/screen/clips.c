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

static void draw(const struct desk *d, struct canvas *c)
{
    char what[64];
    snprintf(what, sizeof what, "%zu clip%s", d->app->clips.n, d->app->clips.n == 1 ? "" : "s");
    draw_title(d, c, what);
    canvas_printf(c, strip(1, 1, c->cols - 2), ST_DIM, "%-24s %-11s %4s %9s %9s  %s", "label",
                  "date", "run", "length", "left at", "file");
    int room = c->rows - 1 - HEAD_ROWS;
    size_t first = list_first(*chosen(d), room);
    for (size_t i = first; i < d->app->clips.n && i < first + (size_t)room; i++) {
        const struct clip *k = &d->app->clips.at[i];
        int row = HEAD_ROWS + (int)(i - first);
        char length[24], place[24] = "-";
        time_format_short(k->length_us, length);
        if (k->left_us >= 0)
            time_format_short(k->left_us, place);
        canvas_text(c, strip(row, 1, 24), k->id == d->clip ? ST_STRONG : ST_NORMAL, k->label);
        int col = canvas_printf(c, strip(row, 26, c->cols - 27), ST_NORMAL, "%-11s %4d %9s %9s  ",
                                k->date, k->run, length, place);
        const char *file = k->link, *name = strrchr(file, '/');
        if (name && utf8_width(file) > c->cols - 1 - col)
            file = name + 1;
        canvas_text(c, strip(row, col, c->cols - 1 - col), ST_NORMAL, file);
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
