/* Every key, printed from the key table and from the show: sections, faults, tools. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/tools.h"
#include "screen/draw.h"

extern const struct screen screen_help;

struct top {
    size_t line;
};

static const struct part part = {.size = sizeof(struct top)};

/* The first line shown. */
static size_t *first(const struct desk *d)
{
    return &((struct top *)desk_part(d, &part))->line;
}

struct page {
    const struct desk *d;
    struct canvas *c;
    int line; /* of the whole text */
};

static int row_of(const struct page *p)
{
    int row = 1 + p->line - (int)*first(p->d);
    return row >= 1 && row < p->c->rows - 1 ? row : -1;
}

static void heading(struct page *p, const char *text)
{
    if (p->line)
        p->line++;
    int row = row_of(p);
    if (row > 0)
        canvas_text(p->c, strip(row, 1, p->c->cols - 2), ST_STRONG, text);
    p->line++;
}

/* Three columns of keys with names. */
static void grid(struct page *p, size_t n,
                 void (*item)(const struct desk *, size_t, const char **, const char **))
{
    int columns = p->c->cols >= 120 ? 4 : 3, width = (p->c->cols - 2) / columns;
    size_t put = 0;
    for (size_t i = 0; i < n; i++) {
        const char *key, *name;
        item(p->d, i, &key, &name);
        if (!*key)
            continue;
        int row = row_of(p), col = 1 + (int)(put % (size_t)columns) * width;
        if (row > 0) {
            canvas_text(p->c, strip(row, col, 5), ST_KEY, key);
            canvas_text(p->c, strip(row, col + 5, width - 6), ST_NORMAL, name);
        }
        if (++put % (size_t)columns == 0)
            p->line++;
    }
    p->line += put % (size_t)columns != 0;
}

static void section(const struct desk *d, size_t i, const char **key, const char **name)
{
    *key = d->app->show.sections[i].removed ? "" : d->app->show.sections[i].key;
    *name = d->app->show.sections[i].name;
}

static void fault(const struct desk *d, size_t i, const char **key, const char **name)
{
    *key = d->app->show.faults[i].removed ? "" : d->app->show.faults[i].key;
    *name = d->app->show.faults[i].name;
}

static void tools(struct page *p, const struct key_table *table)
{
    for (size_t i = 0; i < p->d->keys.n; i++) {
        const struct binding *b = &p->d->keys.at[i];
        if (strcmp(b->table, table->name) != 0 || !*b->command)
            continue;
        int row = row_of(p);
        if (row > 0) {
            canvas_text(p->c, strip(row, 1, 14), ST_KEY, b->key);
            canvas_text(p->c, strip(row, 16, p->c->cols - 17), ST_NORMAL,
                        keymap_help(&p->d->keys, b));
        }
        p->line++;
    }
}

static void keys_of(struct page *p, const struct key_table *t)
{
    char title[80];
    snprintf(title, sizeof title, "%c%s", toupper((unsigned char)*t->title), t->title + 1);
    heading(p, title);
    tools(p, t);
}

/* First what holds where it was asked; in the review that is the letters. */
static void draw(const struct desk *d, struct canvas *c)
{
    struct page p = {.d = d, .c = c};
    const struct screen *asked = screen_covered(d);
    const struct key_table *first = asked && asked != d->tools->screens[0] ? asked->keys : NULL;
    draw_title(d, c, "every key");
    if (first)
        keys_of(&p, first);
    heading(&p, "A mark: section, performer numbers if any, fault (t3,5h  t3-6h  t+m2h)");
    heading(&p, "Sections");
    grid(&p, d->app->show.n_sections, section);
    heading(&p, "Faults");
    grid(&p, d->app->show.n_faults, fault);
    const struct key_table *t;
    for (size_t i = 0; (t = key_table_nth(d->tools, i)) != NULL; i++)
        if (t != first)
            keys_of(&p, t);
}

static void wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "list -3" : "list +3");
}

/* To where it was asked. */
static void back(struct desk *d)
{
    const struct screen *asked = screen_covered(d);
    const char *again = asked ? asked->again : NULL;
    if (again)
        desk_run(d, again);
    if (d->screen == &screen_help)
        screen_show(d, asked && !again ? asked->open.name : "review");
}

static void open(struct desk *d, const char *arg)
{
    (void)arg;
    *first(d) = 0;
    if (d->screen == &screen_help)
        back(d);
    else
        screen_cover(d, "help");
}

static void move(struct desk *d, long by)
{
    enum { LINES_MOST = 400 };
    *first(d) = list_moved(*first(d), LINES_MOST, by);
}

static const struct key_row keys_rows[] = {
    {"Up", "list -1", "One line up"},
    {"Down", "list +1", "One line down"},
    {"PageUp", "list -10", "Ten lines up"},
    {"PageDown", "list +10", "Ten lines down"},
    {"Esc", "help", "Back to where it was asked"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"help", "while every key is listed", keys_rows};

const struct screen screen_help = {
    .open = {"help", "", "What every key does", open},
    .keys = &keys,
    .hint = " arrows and Page keys move   {help} back",
    .draw = draw,
    .move = move,
    .wheel = wheel,
};
