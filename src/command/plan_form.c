#include "command/plan_form.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/line.h"
#include "command/plan.h"
#include "command/screen.h"
#include "sys/clock.h"

/* Nothing of the show is kept here, only what was typed. */
struct form {
    struct arena memory;
    struct plan_ask ask;
    size_t row;
    bool filled;
};

static void end(struct desk *d, void *mine)
{
    (void)d;
    arena_free(&((struct form *)mine)->memory);
}

static const struct part part = {.size = sizeof(struct form), .end = end};

static struct form *form_of(const struct desk *d)
{
    return desk_part(d, &part);
}

/* --- what it begins with -------------------------------------------------------------------------- */

/* Of the plan on the desk, else of today's stored one; the date is always said. */
static struct plan_ask begin(struct desk *d, const char *date, struct arena *mem)
{
    const struct desk_plan *p = plan_now(d);
    struct plan_ask ask = {0};
    char today[11];
    clock_today(today);
    if (!*date)
        date = p ? p->date : today;
    if (p && p->ask.n > 0 && strcmp(p->date, date) == 0)
        plan_ask_parse(plan_ask_text(&p->ask, mem), mem, &ask);
    else
        ask = plan_day_ask(d, date, mem);
    plan_ask_set(&ask, "date", date, mem);
    return ask;
}

void plan_form_open(struct desk *d, const char *date)
{
    struct form *f = form_of(d);
    arena_free(&f->memory);
    *f = (struct form){.filled = true};
    f->ask = begin(d, date, &f->memory);
    if (!plan_ask_value(&f->ask, "minutes"))
        plan_ask_set(&f->ask, "minutes", "90", &f->memory);
    if (!plan_ask_value(&f->ask, "start"))
        plan_ask_set(&f->ask, "start", "18:00", &f->memory);
    screen_show(d, "plan-form");
}

/* --- a short order -------------------------------------------------------------------------------- */

/* Puts what was typed into the ask. */
static bool read_order(const char *text, struct arena *mem, struct plan_ask *ask, struct err *e)
{
    int h, m, used = 0;
    char *after;
    double f;
    const long minutes = strtol(text, &after, 10);
    const char *s = after + strspn(after, " ");
    if (after == text || (*after && *after != ' ') || minutes < 1 || minutes > PLAN_MINUTES_MOST)
        return err_set(e, ERR_INPUT,
                       "write the minutes (1 to %d) and the start, as in: plan 90 18:00, or with a "
                       "measured reading: plan 90 18:00 88F",
                       PLAN_MINUTES_MOST);
    plan_ask_set(ask, "minutes", arena_printf(mem, "%ld", minutes), mem);
    if (sscanf(s, "%2d:%2d%n", &h, &m, &used) == 2 && (!s[used] || s[used] == ' ')) {
        if (h < 0 || h > 23 || m < 0 || m > 59)
            return err_set(e, ERR_INPUT, "'%.20s' is no time of day; write 18:00", s);
        plan_ask_set(ask, "start", arena_printf(mem, "%d:%02d", h, m), mem);
        s += used + strspn(s + used, " ");
    }
    if (!*s)
        return true;
    if (strcmp(s, "none") != 0 && !heat_parse_wbgt(s, &f, e))
        return err_set(e, ERR_INPUT,
                       "'%.40s' is neither a start nor a reading; write plan 90 18:00 88F, or none "
                       "instead of 88F",
                       s);
    plan_ask_set(ask, "wbgt", s, mem);
    if (strcmp(s, "none") == 0)
        plan_ask_set(ask, "policy", NULL, mem);
    else
        plan_ask_set(ask, "breaks", NULL, mem); /* the policy says when to rest */
    return true;
}

void plan_form_typed(struct desk *d, const char *text)
{
    struct err e = {0};
    struct arena mem = {0};
    struct plan_ask ask = begin(d, "", &mem);
    if (read_order(text, &mem, &ask, &e))
        plan_order(d, &ask);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}

/* --- its rows -------------------------------------------------------------------------------------- */

size_t plan_form_rows(void)
{
    size_t n = 0;
    while (plan_fields[n].name)
        n++;
    return n;
}

size_t plan_form_row(const struct desk *d)
{
    return form_of(d)->row;
}

void plan_form_move(struct desk *d, long by)
{
    struct form *f = form_of(d);
    const long last = (long)plan_form_rows() - 1, row = (long)f->row + by;
    f->row = (size_t)(row < 0 ? 0 : row > last ? last : row);
}

void plan_form_value(const struct desk *d, size_t row, struct buf *out)
{
    const struct form *f = form_of(d);
    const struct plan_field *field = &plan_fields[row];
    size_t n = 0;
    if (!field->many) {
        const char *value = plan_ask_value(&f->ask, field->name);
        buf_str(out, value ? (field->value ? value : "yes") : "");
        return;
    }
    for (size_t i = 0; i < f->ask.n; i++)
        if (strcmp(f->ask.at[i].name, field->name) == 0)
            buf_printf(out, "%s%s", n++ ? "; " : "", f->ask.at[i].value);
}

/* "a; b" of a field of many; "" takes it away. */
static void set_value(struct form *f, const struct plan_field *field, const char *text)
{
    plan_ask_set(&f->ask, field->name, NULL, &f->memory);
    while (*text) {
        const size_t n = field->many ? strcspn(text, ";") : strlen(text);
        const char *begins = text + strspn(text, " ");
        size_t length = (size_t)(text + n - begins);
        while (length > 0 && begins[length - 1] == ' ')
            length--;
        if (begins < text + n)
            plan_ask_add(&f->ask, field->name, arena_strndup(&f->memory, begins, length),
                         &f->memory);
        text += n + (text[n] == ';');
    }
}

/* Says at once what is wrong; it stays, to be put right. */
static void judge(struct desk *d, const struct form *f)
{
    struct arena mem = {0};
    struct plan_choice choice;
    struct err e;
    if (!plan_ask_choice(&f->ask, &mem, &choice, &e))
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}

static void value_typed(struct desk *d, const char *text)
{
    struct form *f = form_of(d);
    set_value(f, &plan_fields[f->row], text);
    judge(d, f);
}

static const struct line_kind value_line = {
    .label = " value:", .offered = true, .done = value_typed};

void plan_form_enter(struct desk *d)
{
    struct form *f = form_of(d);
    const struct plan_field *field = &plan_fields[f->row];
    struct buf value = {0};
    if (!field->value) {
        const bool was = plan_ask_value(&f->ask, field->name) != NULL;
        plan_ask_set(&f->ask, field->name, was ? NULL : "", &f->memory);
        return;
    }
    plan_form_value(d, f->row, &value);
    line_ask(d, &value_line, "%s", buf_text(&value));
    line_about(d, field->name);
    buf_free(&value);
}

/* --- commands -------------------------------------------------------------------------------------- */

void command_plan_form(struct desk *d, const char *arg)
{
    struct err e;
    if (*arg && !date_check(arg, "the day", &e))
        desk_trouble(d, "%s", e.text);
    else
        plan_form_open(d, arg);
}

/* "off": the chosen field; "NAME VALUE", "NAME off" */
void command_ask(struct desk *d, const char *arg)
{
    struct form *f = form_of(d);
    char name[40];
    const size_t n = strcspn(arg, " ");
    const char *value = arg + n + strspn(arg + n, " ");
    if (!f->filled) {
        desk_trouble(d, "open the form first: :plan-form");
        return;
    }
    if (strcmp(arg, "off") == 0) {
        set_value(f, &plan_fields[f->row], "");
        return;
    }
    snprintf(name, sizeof name, "%.*s", (int)(n < sizeof name ? n : sizeof name - 1), arg);
    const struct plan_field *field = plan_field_named(name);
    if (!field)
        desk_trouble(d, "'%s' is no field of the plan's form", name);
    else if (!field->value)
        plan_ask_set(&f->ask, name, strcmp(value, "off") == 0 ? NULL : "", &f->memory);
    else
        set_value(f, field, strcmp(value, "off") == 0 ? "" : value);
}

void command_plan_make(struct desk *d, const char *arg)
{
    struct form *f = form_of(d);
    (void)arg;
    if (f->filled)
        plan_order(d, &f->ask);
    else
        desk_trouble(d, "open the form first: :plan-form");
}
