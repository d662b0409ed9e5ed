#include "app/plan_ask.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sys/clock.h"
#include "sys/file.h"

#define ROW(name, value, help, many) {name, value, help, many},
const struct plan_field plan_fields[] = {PLAN_FIELDS(ROW){NULL, NULL, NULL, false}};
#undef ROW

const struct plan_field *plan_field_named(const char *name)
{
    for (const struct plan_field *f = plan_fields; f->name; f++)
        if (strcmp(f->name, name) == 0)
            return f;
    return NULL;
}

/* --- the list ----------------------------------------------------------------------------------- */

void plan_ask_add(struct plan_ask *ask, const char *name, const char *value, struct arena *mem)
{
    struct plan_said *at = arena_alloc(mem, (ask->n + 1) * sizeof *at);
    if (ask->n)
        memcpy(at, ask->at, ask->n * sizeof *at);
    at[ask->n] = (struct plan_said){arena_strdup(mem, name), arena_strdup(mem, value)};
    ask->at = at;
    ask->n++;
}

const char *plan_ask_value(const struct plan_ask *ask, const char *name)
{
    for (size_t i = ask->n; i-- > 0;)
        if (strcmp(ask->at[i].name, name) == 0)
            return ask->at[i].value;
    return NULL;
}

static const char **values_of(const struct plan_ask *ask, const char *name, struct arena *mem,
                              size_t *n)
{
    const char **out = arena_alloc(mem, (ask->n + 1) * sizeof *out);
    *n = 0;
    for (size_t i = 0; i < ask->n; i++)
        if (strcmp(ask->at[i].name, name) == 0)
            out[(*n)++] = ask->at[i].value;
    return out;
}

void plan_ask_set(struct plan_ask *ask, const char *name, const char *value, struct arena *mem)
{
    size_t n = 0;
    for (size_t i = 0; i < ask->n; i++)
        if (strcmp(ask->at[i].name, name) != 0)
            ask->at[n++] = ask->at[i];
    ask->n = n;
    if (value)
        plan_ask_add(ask, name, value, mem);
}

const char *plan_ask_text(const struct plan_ask *ask, struct arena *mem)
{
    struct buf text = {0};
    for (const struct plan_field *f = plan_fields; f->name; f++)
        for (size_t i = 0; i < ask->n; i++)
            if (strcmp(ask->at[i].name, f->name) == 0)
                buf_printf(&text, "%s %s\n", f->name, ask->at[i].value);
    const char *kept = arena_strdup(mem, buf_text(&text));
    buf_free(&text);
    return kept;
}

void plan_ask_parse(const char *text, struct arena *mem, struct plan_ask *out)
{
    *out = (struct plan_ask){0};
    while (*text) {
        const size_t n = strcspn(text, "\n");
        char *line = arena_strndup(mem, text, n), *value = line + strcspn(line, " ");
        if (*value)
            *value++ = '\0';
        if (plan_field_named(line))
            plan_ask_add(out, line, value, mem);
        text += n + (text[n] == '\n');
    }
}

/* --- its values --------------------------------------------------------------------------------- */

/* "18:00" -> minutes after midnight */
static bool clock_parse(const char *text, int *out, struct err *e)
{
    int h, m, n = 0;
    if (sscanf(text, "%2d:%2d%n", &h, &m, &n) != 2 || text[n] || h > 23 || m > 59 || h < 0 || m < 0)
        return err_set(e, ERR_USAGE, "plan: '%s' is not a time of day; write 18:00", text);
    *out = h * 60 + m;
    return true;
}

/* Takes ":rest" off the end of what follows the minutes. */
static bool take_rest(char *where)
{
    const size_t n = strlen(where), word = strlen("rest");
    if (n < word || strcmp(where + n - word, "rest") != 0 ||
        (n > word && where[n - word - 1] != ':'))
        return false;
    where[n > word ? n - word - 1 : 0] = '\0';
    return true;
}

/* "warm-up:15", "run-through:10:last", "sectional bus:5:19:30", "talk:10:19:00:rest" */
static bool fixed_parse(const char *text, struct arena *mem, struct plan_fixed *out, struct err *e)
{
    char *name = arena_strdup(mem, text), *minutes = strchr(name, ':'), *where, *end;
    if (!minutes || minutes == name)
        return err_set(e, ERR_USAGE,
                       "plan: write --fixed NAME:MINUTES[:first|last|18:30][:rest], not '%s'",
                       text);
    *minutes++ = '\0';
    where = strchr(minutes, ':');
    if (where)
        *where++ = '\0';
    long n = strtol(minutes, &end, 10);
    if (*end || n < 1 || n > PLAN_MINUTES_MOST)
        return err_set(e, ERR_USAGE, "plan: '%s' of --fixed is not a number of minutes", minutes);
    *out = (struct plan_fixed){.name = name, .minutes = (int)n, .where = PLAN_FIRST};
    out->rest = where && take_rest(where);
    if (!where || !*where || strcmp(where, "first") == 0)
        return true;
    if (strcmp(where, "last") == 0) {
        out->where = PLAN_LAST;
        return true;
    }
    out->where = PLAN_AT;
    return clock_parse(where, &out->at_min, e);
}

/* "brass,guard;flutes" */
static const char **words_of(const char *text, struct arena *mem, size_t *n)
{
    const char **out = arena_alloc(mem, (strlen(text) + 1) * sizeof *out);
    char *copy = arena_strdup(mem, text);
    *n = 0;
    for (char *s = strtok(copy, ",;"); s; s = strtok(NULL, ",;")) {
        while (*s == ' ')
            s++;
        if (*s)
            out[(*n)++] = s;
    }
    return out;
}

struct range {
    long least, most;
};

/* Leaves *out as it is when nothing was said. */
static bool whole(const struct plan_ask *ask, const char *name, struct range range, int *out,
                  struct err *e)
{
    const char *text = plan_ask_value(ask, name);
    char *end;
    if (!text)
        return true;
    errno = 0;
    const long n = strtol(text, &end, 10);
    if (end == text || *end || errno || n < range.least || n > range.most)
        return err_set(e, ERR_USAGE, "plan: --%s '%s' is not a whole number from %ld to %ld", name,
                       text, range.least, range.most);
    *out = (int)n;
    return true;
}

static bool number(const struct plan_ask *ask, const char *name, double most, double *out,
                   struct err *e)
{
    const char *text = plan_ask_value(ask, name);
    char *end;
    if (!text)
        return true;
    const double x = strtod(text, &end);
    if (end == text || *end || !(x >= 0 && x <= most))
        return err_set(e, ERR_USAGE, "plan: --%s '%s' is not a number from 0 to %g", name, text,
                       most);
    *out = x;
    return true;
}

/* --- rules -------------------------------------------------------------------------------------- */

static bool read_learn(const struct plan_ask *ask, struct plan_choice *p, struct err *e)
{
    const char *learn = plan_ask_value(ask, "learn");
    char *end;
    if (!learn)
        return true;
    p->learn_history = strcmp(learn, "history") == 0;
    if (p->learn_history)
        return true;
    const double share = strtod(learn, &end);
    if (end == learn || *end || !(share > 0 && share <= 1))
        return err_set(e, ERR_USAGE,
                       "plan: --learn is a share above 0 and up to 1, or history, not '%s'", learn);
    p->rules.learn = p->rules.apart_learn = share;
    return true;
}

static bool read_order(const struct plan_ask *ask, struct plan_rules *rules, struct err *e)
{
    const char *order = plan_ask_value(ask, "order");
    rules->no_run = plan_ask_value(ask, "no-run") != NULL;
    if (!order || strcmp(order, "show") == 0)
        return true;
    rules->order = PLAN_WORST_FIRST;
    return strcmp(order, "worst-first") == 0 ||
           err_set(e, ERR_USAGE, "plan: --order is show or worst-first, not '%s'", order);
}

/* "20:3" */
static bool read_breaks(const struct plan_ask *ask, struct plan_choice *p, struct err *e)
{
    const char *text = plan_ask_value(ask, "breaks");
    int work, rest, n = 0;
    if (!text)
        return true;
    if (sscanf(text, "%3d:%3d%n", &work, &rest, &n) != 2 || text[n] || work < 1 || rest < 1)
        return err_set(e, ERR_USAGE,
                       "plan: write --breaks WORK:REST in minutes, as in 20:3, not '%s'", text);
    if (p->weather.measured)
        return err_set(e, ERR_USAGE,
                       "plan: at a measured temperature the heat policy says when to rest; leave "
                       "--breaks out");
    p->work_min = work;
    p->rest_min = rest;
    return true;
}

static bool read_rules(const struct plan_ask *ask, struct plan_choice *p, struct err *e)
{
    struct plan_rules *r = &p->rules;
    const char *start = plan_ask_value(ask, "start");
    *r = plan_rules_default();
    if (!plan_ask_value(ask, "minutes"))
        return err_set(e, ERR_USAGE, "plan: how long? give --minutes, as in --minutes 90");
    if (!whole(ask, "minutes", (struct range){1, PLAN_MINUTES_MOST}, &r->minutes, e) ||
        !whole(ask, "least", (struct range){1, PLAN_LEAST_MOST}, &r->least, e) ||
        !whole(ask, "reset", (struct range){0, 600}, &r->reset_s, e) ||
        !whole(ask, "setup", (struct range){0, 600}, &r->setup_s, e) ||
        !whole(ask, "most-reps", (struct range){1, PLAN_REPS_MOST}, &r->most_reps, e) ||
        !whole(ask, "say", (struct range){1, PLAN_SAY_MOST}, &r->say, e) ||
        !number(ask, "worth", 100, &r->worth, e) ||
        !number(ask, "sectional", 1, &r->apart_worth, e) || !read_learn(ask, p, e) ||
        !read_order(ask, r, e) || (start && !clock_parse(start, &r->start_min, e)))
        return false;
    if (plan_ask_value(ask, "reset"))
        r->apart_reset_s = r->reset_s;
    r->least_firm = plan_ask_value(ask, "least") != NULL;
    return true;
}

/* --- heat --------------------------------------------------------------------------------------- */

static bool read_index(const struct plan_ask *ask, struct plan_choice *p, struct err *e)
{
    const char *temp = plan_ask_value(ask, "temp"), *humidity = plan_ask_value(ask, "humidity");
    p->weather.indexed = temp || humidity;
    if (p->weather.indexed && (!temp || !humidity))
        return err_set(e, ERR_USAGE, "plan: the heat index needs both --temp and --humidity");
    return !temp || (heat_parse_temp(temp, &p->weather.temp_f, e) &&
                     heat_parse_humidity(humidity, &p->weather.humidity, e));
}

static bool read_heat(const struct plan_ask *ask, struct arena *mem, struct plan_choice *p,
                      struct err *e)
{
    const char *wbgt = plan_ask_value(ask, "wbgt"), *path = plan_ask_value(ask, "policy");
    p->indoors = p->weather.indoors = plan_ask_value(ask, "indoors") != NULL;
    p->weather.measured = wbgt && strcmp(wbgt, "none") != 0;
    if (!read_index(ask, p, e))
        return false;
    if (!p->weather.measured && path)
        return err_set(e, ERR_USAGE,
                       "plan: --policy says what to do at a measured temperature; give that with "
                       "it, as --wbgt 88F");
    if (!p->weather.measured)
        return true;
    char *absolute = path && *path ? file_absolute(path, e) : NULL;
    if (path && *path && !absolute)
        return false;
    p->policy_path = arena_strdup(mem, absolute ? absolute : "");
    free(absolute);
    return heat_parse_wbgt(wbgt, &p->weather.wbgt_f, e) &&
           app_policy(path ? path : "", ask->talk, mem, &p->weather.policy, e);
}

/* --- all of it ---------------------------------------------------------------------------------- */

static bool read_fixed(const struct plan_ask *ask, struct arena *mem, struct plan_choice *p,
                       struct err *e)
{
    const char **fixed = values_of(ask, "fixed", mem, &p->n_fixed);
    struct plan_fixed *at = arena_alloc(mem, (p->n_fixed + 1) * sizeof *at);
    for (size_t i = 0; i < p->n_fixed; i++)
        if (!fixed_parse(fixed[i], mem, &at[i], e))
            return false;
    p->fixed = at;
    return true;
}

bool plan_ask_choice(const struct plan_ask *ask, struct arena *mem, struct plan_choice *p,
                     struct err *e)
{
    char today[11];
    const char *with = plan_ask_value(ask, "with");
    *p = (struct plan_choice){.date = plan_ask_value(ask, "date"), .asked = ask};
    clock_today(today);
    if (p->date && !date_check(p->date, "date", e))
        return false;
    if (!p->date)
        p->date = arena_strdup(mem, today);
    if (with)
        p->who.with = words_of(with, mem, &p->who.n_with);
    p->who.together = plan_ask_value(ask, "together") != NULL;
    p->clips = values_of(ask, "clip", mem, &p->n_clips);
    p->since = plan_ask_value(ask, "since");
    p->seconds = values_of(ask, "seconds", mem, &p->n_seconds);
    return read_fixed(ask, mem, p, e) && read_rules(ask, p, e) && read_heat(ask, mem, p, e) &&
           read_breaks(ask, p, e);
}
