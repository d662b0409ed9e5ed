#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "count/timecode.h"
#include "screen/screen.h"

enum { HEAD_ROWS = 2 };

static size_t first_line(const struct desk *d, int room)
{
    return d->clip_line >= (size_t)room ? d->clip_line - (size_t)room + 1 : 0;
}

static void draw(const struct desk *d, struct canvas *c)
{
    char what[64];
    snprintf(what, sizeof what, "%zu clip%s", d->app->clips.n, d->app->clips.n == 1 ? "" : "s");
    draw_title(d, c, what);
    canvas_printf(c, 1, 1, c->cols - 2, ST_DIM, "%-24s %-11s %4s %9s %9s  %s", "label", "date",
                  "run", "length", "left at", "file");
    int room = c->rows - 1 - HEAD_ROWS;
    size_t first = first_line(d, room);
    for (size_t i = first; i < d->app->clips.n && i < first + (size_t)room; i++) {
        const struct clip *k = &d->app->clips.at[i];
        int row = HEAD_ROWS + (int)(i - first);
        char length[24], place[24] = "-";
        time_format_short(k->length_us, length);
        if (k->place_us >= 0)
            time_format_short(k->place_us, place);
        canvas_text(c, row, 1, 24, k->id == d->clip ? ST_STRONG : ST_NORMAL, k->label);
        int col = canvas_printf(c, row, 26, c->cols - 27, ST_NORMAL, "%-11s %4d %9s %9s  ", k->date,
                                k->run, length, place);
        const char *file = k->link, *name = strrchr(file, '/');
        if (name && utf8_width(file) > c->cols - 1 - col)
            file = name + 1;
        canvas_text(c, row, col, c->cols - 1 - col, ST_NORMAL, file);
        if (i == d->clip_line)
            canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
    }
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    size_t line = first_line(d, c->rows - 1 - HEAD_ROWS) + (size_t)(row - HEAD_ROWS);
    if (row < HEAD_ROWS || line >= d->app->clips.n)
        return;
    if (line == d->clip_line)
        desk_run(d, "open");
    d->clip_line = line;
}

static void wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "list -1" : "list +1");
}

const struct screen_ops screen_clips = {
    .title = "clips",
    .hint = " arrows choose   {open} opens the clip   {review} back to the review",
    .draw = draw,
    .click = click,
    .wheel = wheel,
};
