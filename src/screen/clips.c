/* The clips of the show. */
#include <stdio.h>

#include "app/season.h"
#include "command/clip.h"
#include "count/timecode.h"
#include "screen/draw.h"

enum { HEAD_ROWS = 2, FOOT_ROWS = 1 };

struct lines {
    bool shown; /* what is not shown is let go when the show is read */
    struct arena memory;
    struct clip_sum *sums; /* of the show's clips; NULL when they could not be read */
    size_t line;
    int64_t row; /* of the clip on it, while the show is read again */
};

static void before_read(struct desk *d, void *mine)
{
    struct lines *l = mine;
    l->row = l->line < d->app->clips.n ? d->app->clips.at[l->line].id : 0;
    l->sums = NULL;
}

static void load(struct desk *d, struct lines *l)
{
    struct err e;
    arena_free(&l->memory);
    if (app_season(d->app, &l->memory, &l->sums, &e))
        return;
    l->sums = NULL;
    desk_trouble(d, "%s", e.text);
}

static void after_read(struct desk *d, void *mine)
{
    struct lines *l = mine;
    l->line = 0;
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == l->row)
            l->line = i;
    if (l->shown)
        load(d, l);
}

static void end(struct desk *d, void *mine)
{
    (void)d;
    arena_free(&((struct lines *)mine)->memory);
}

static const struct part part = {
    .size = sizeof(struct lines), .before_read = before_read, .after_read = after_read, .end = end};

static struct lines *lines(const struct desk *d)
{
    return desk_part(d, &part);
}

static size_t *chosen(const struct desk *d)
{
    return &lines(d)->line;
}

static void open(struct desk *d, const char *arg)
{
    (void)arg;
    const struct clip *now = desk_current(d);
    *chosen(d) = now ? (size_t)(now - d->app->clips.at) : 0;
    lines(d)->shown = true;
    screen_show(d, "clips");
    load(d, lines(d));
}

static void left(struct desk *d)
{
    lines(d)->shown = false;
    lines(d)->sums = NULL;
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

static const struct clip_sum *sum_of(const void *row)
{
    return row;
}

static void label(const void *row, struct buf *out)
{
    buf_str(out, sum_of(row)->clip->label);
}

static void date(const void *row, struct buf *out)
{
    buf_str(out, sum_of(row)->clip->date);
}

static void run(const void *row, struct buf *out)
{
    buf_printf(out, "%3d", sum_of(row)->clip->run);
}

static void length(const void *row, struct buf *out)
{
    char text[24];
    time_format_short(sum_of(row)->clip->length_us, text);
    buf_printf(out, "%8s", text);
}

static void marks(const void *row, struct buf *out)
{
    buf_printf(out, "%5lld", (long long)sum_of(row)->marks);
}

static void watched(const void *row, struct buf *out)
{
    buf_printf(out, "%4.0f %%", sum_of(row)->watched * 100);
}

static void tied(const void *row, struct buf *out)
{
    const struct clip_sum *s = sum_of(row);
    if (s->ties)
        buf_printf(out, "%zu tie%s", s->ties, s->ties == 1 ? "" : "s");
    else
        buf_str(out, "not yet");
}

static void by(const void *row, struct buf *out)
{
    buf_printf(out, "%s%s", sum_of(row)->path ? "" : "(no file) ", sum_of(row)->by);
}

static const struct list_column columns[] = {
    {"label", 1, 17, label},     {"date", 19, 10, date},  {"run", 30, 3, run},
    {"  length", 34, 8, length}, {"marks", 43, 5, marks}, {"watched", 49, 7, watched},
    {"tied", 57, 7, tied},       {"by", 65, 0, by},       {NULL, 0, 0, NULL},
};

/* The file of the chosen clip, and where it was left. */
static void draw_chosen(struct canvas *c, int row, const struct clip_sum *s)
{
    char at[24] = "";
    if (s->clip->left_us >= 0)
        time_format_short(s->clip->left_us, at);
    canvas_printf(c, strip(row, 1, c->cols - 2), s->path ? ST_DIM : ST_TROUBLE, "%s%s%s%s",
                  s->path ? s->path : s->clip->link, s->path ? "" : " is not here",
                  *at ? "   left at " : "", at);
}

static void draw(const struct desk *d, struct canvas *c)
{
    char what[64];
    const struct lines *l = lines(d);
    snprintf(what, sizeof what, "%zu clip%s", d->app->clips.n, d->app->clips.n == 1 ? "" : "s");
    draw_title(d, c, what);
    list_head(c, 1, columns);
    int room = c->rows - 1 - HEAD_ROWS - FOOT_ROWS;
    size_t first = list_first(l->line, room);
    for (size_t i = first; l->sums && i < d->app->clips.n && i < first + (size_t)room; i++) {
        const struct clip_sum *s = &l->sums[i];
        int row = HEAD_ROWS + (int)(i - first);
        list_line(c, row, columns, s, s->clip->id == d->clip ? ST_STRONG : ST_NORMAL);
        if (i == l->line)
            canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
    }
    if (l->sums && l->line < d->app->clips.n)
        draw_chosen(c, c->rows - 1 - FOOT_ROWS, &l->sums[l->line]);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    size_t line =
        list_first(*chosen(d), c->rows - 1 - HEAD_ROWS - FOOT_ROWS) + (size_t)(row - HEAD_ROWS);
    if (row < HEAD_ROWS || row >= c->rows - 1 - FOOT_ROWS || line >= d->app->clips.n)
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
    .left = left,
    .click = click,
    .wheel = list_wheel,
};
