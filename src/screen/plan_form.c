/* The form of the rep plan: everything it is asked for with. */
#include <string.h>

#include "command/plan_form.h"
#include "screen/draw.h"

enum { HEAD_ROWS = 3, HELP_ROWS = 4, NAME_COLS = 14 };

static int room(const struct canvas *c)
{
    return c->rows - 1 - HEAD_ROWS - HELP_ROWS;
}

static void draw_field(const struct desk *d, struct canvas *c, int row, size_t i)
{
    const struct plan_field *f = &plan_fields[i];
    struct buf value = {0};
    plan_form_value(d, i, &value);
    canvas_text(c, strip(row, 2, NAME_COLS), ST_NORMAL, f->name);
    if (value.n)
        canvas_text(c, strip(row, 3 + NAME_COLS, c->cols - NAME_COLS - 4), ST_STRONG, value.p);
    else
        canvas_text(c, strip(row, 3 + NAME_COLS, c->cols - NAME_COLS - 4), ST_DIM,
                    f->value ? "-" : "no");
    if (i == plan_form_row(d))
        canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
    buf_free(&value);
}

/* What the chosen field is, and how it is written. */
static void draw_help(const struct desk *d, struct canvas *c, int row)
{
    const struct plan_field *f = &plan_fields[plan_form_row(d)];
    struct buf text = {0};
    for (int col = 0; col < c->cols; col++)
        canvas_text(c, strip(row, col, 1), ST_DIM, glyph(c, "─", "-"));
    buf_printf(&text, "%s%s%s: %s%s", f->name, f->value ? " " : "", f->value ? f->value : "",
               f->help, f->many ? "; several are separated by ;" : "");
    draw_wrapped(c, row + 1, row + HELP_ROWS - 1, ST_NORMAL, buf_text(&text));
    buf_free(&text);
}

static void draw(const struct desk *d, struct canvas *c)
{
    draw_title(d, c, "a rep plan is asked for");
    draw_keys(d, c, strip(1, 1, c->cols - 2), ST_DIM,
              "{open} change a row   {ask off} leave it out   {plan-make} make the plan");
    const size_t first = list_first(plan_form_row(d), room(c));
    for (size_t i = first; i < plan_form_rows() && i < first + (size_t)room(c); i++)
        draw_field(d, c, HEAD_ROWS + (int)(i - first), i);
    draw_help(d, c, c->rows - 1 - HELP_ROWS);
}

static void move(struct desk *d, long by)
{
    plan_form_move(d, by);
}

static void enter(struct desk *d)
{
    plan_form_enter(d);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    if (row >= HEAD_ROWS && row < HEAD_ROWS + room(c)) {
        const size_t first = list_first(plan_form_row(d), room(c));
        plan_form_move(d, (long)first + row - HEAD_ROWS - (long)plan_form_row(d));
    }
}

static const struct key_row keys_rows[] = {
    {"Up", "list -1", "One row up"},
    {"Down", "list +1", "One row down"},
    {"PageUp", "list -10", "Ten rows up"},
    {"PageDown", "list +10", "Ten rows down"},
    {"Enter", "open", "Change the row"},
    {"Delete", "ask off", "Leave it out"},
    {"=", "plan-make", NULL},
    {"Esc", "plan", "Back to the plan"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"plan-form", "in the plan's form", keys_rows};

const struct screen screen_plan_form = {
    .open = {"plan-form", "[YYYY-MM-DD]", "Everything a rep plan is asked for with",
             command_plan_form},
    .keys = &keys,
    .hint = " arrows choose   {plan} back to the plan",
    .draw = draw,
    .move = move,
    .enter = enter,
    .click = click,
    .wheel = list_wheel,
};
