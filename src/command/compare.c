#include "command/compare.h"

#include <stdio.h>
#include <string.h>

#include "app/compare.h"
#include "command/command.h"
#include "paper/compare.h"

static void read_again(struct desk *d, void *mine);

static void end(struct desk *d, void *mine)
{
    (void)d;
    arena_free(&((struct comparing *)mine)->memory);
}

static const struct part part = {
    .size = sizeof(struct comparing), .after_read = read_again, .end = end};

static struct comparing *comparing(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct comparing *comparing_now(const struct desk *d)
{
    return comparing(d);
}

void comparing_shown(struct desk *d, bool shown)
{
    comparing(d)->shown = shown;
}

void comparing_all(struct desk *d, bool all)
{
    comparing(d)->all = all;
    comparing(d)->line = 0;
}

void command_compare_all(struct desk *d, const char *arg)
{
    (void)arg;
    if (comparing(d)->shown)
        comparing_all(d, !comparing(d)->all);
}

void comparing_choose(struct desk *d, size_t line)
{
    comparing(d)->line = line;
}

static void forget(struct comparing *c)
{
    arena_free(&c->memory);
    c->report = (struct comparison){0};
    c->line = 0;
}

/* The rehearsals' dates, oldest first. */
static size_t dates(const struct desk *d, const char **out)
{
    size_t n = 0;
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (n == 0 || strcmp(out[n - 1], d->app->clips.at[i].date) != 0)
            out[n++] = d->app->clips.at[i].date;
    return n;
}

static bool newest_two(const struct desk *d, struct arena *mem, const char **from, const char **to)
{
    const char **days = arena_alloc(mem, (d->app->clips.n + 1) * sizeof *days);
    const size_t n = dates(d, days);
    if (n < 2)
        return false;
    *from = days[n - 2];
    *to = days[n - 1];
    return true;
}

bool comparing_load(struct desk *d, const char *from, const char *to)
{
    struct comparing *c = comparing(d);
    struct arena fresh = {0};
    struct comparison r;
    struct err e = {0};
    if (!*from && !newest_two(d, &fresh, &from, &to)) {
        arena_free(&fresh);
        desk_trouble(d, "there are not two rehearsals to compare; add a clip of another date");
        return false;
    }
    const struct compare_choice choice = {.from = {.date = from}, .to = {.date = to}};
    bool ok = app_compare(d->app, &choice, &fresh, &r, &e);
    if (ok && (r.from.n_clips == 0 || r.to.n_clips == 0))
        ok = err_set(&e, ERR_INPUT, "no clip of %s in the show", r.from.n_clips ? to : from);
    if (!ok) {
        arena_free(&fresh);
        forget(c);
        desk_trouble(d, "%s", e.text);
        return false;
    }
    char days[2][12];
    snprintf(days[0], sizeof days[0], "%s", from);
    snprintf(days[1], sizeof days[1], "%s", to);
    arena_free(&c->memory);
    c->memory = fresh;
    c->report = r;
    memcpy(c->from, days[0], sizeof c->from);
    memcpy(c->to, days[1], sizeof c->to);
    const size_t n = comparing_lines(d);
    c->line = c->line < n ? c->line : n ? n - 1 : 0;
    return true;
}

void comparing_turn(struct desk *d, bool after, int by)
{
    struct comparing *c = comparing(d);
    struct arena mem = {0};
    const char **days = arena_alloc(&mem, (d->app->clips.n + 1) * sizeof *days);
    const size_t n = dates(d, days);
    long at = 0;
    while (at + 1 < (long)n && strcmp(days[at], after ? c->to : c->from) < 0)
        at++;
    do
        at += by;
    while (at >= 0 && at < (long)n && strcmp(days[at], after ? c->from : c->to) == 0);
    if (at < 0 || at >= (long)n)
        desk_trouble(d, "there is no %s rehearsal", by < 0 ? "earlier" : "later");
    else if (after)
        comparing_load(d, c->from, days[at]);
    else
        comparing_load(d, days[at], c->to);
    arena_free(&mem);
}

const struct change *comparing_line(const struct desk *d, size_t n, const struct compared **of)
{
    const struct comparing *c = comparing(d);
    for (size_t i = 0; i < c->report.n_parts; i++)
        for (size_t k = 0; k < c->report.parts[i].n; k++)
            if ((c->all || compare_changed(&c->report.parts[i].changes[k])) && n-- == 0) {
                *of = &c->report.parts[i];
                return &c->report.parts[i].changes[k];
            }
    return NULL;
}

size_t comparing_lines(const struct desk *d)
{
    const struct compared *ignored;
    size_t n = 0;
    while (comparing_line(d, n, &ignored))
        n++;
    return n;
}

/* The dates may be gone with their clips. */
static void read_again(struct desk *d, void *mine)
{
    struct comparing *c = mine;
    char from[12], to[12];
    memcpy(from, c->from, sizeof from);
    memcpy(to, c->to, sizeof to);
    if (!c->shown)
        forget(c);
    else if (!comparing_load(d, from, to))
        comparing_load(d, "", "");
}
