#include "command/measuring_mark.h"

#include <stdio.h>
#include <stdlib.h>

#include "app/field_marks.h"
#include "command/clip.h"
#include "command/measuring_say.h"
#include "command/new_mark.h"

/* The faults that a measure is usually about, the first that the show has (common practice, no
 * source). */
static int fault_of(const struct desk *d, enum measuring_as as)
{
    static const char *const usual[MEASURING_WAYS][4] = {
        [MEASURING_GAPS] = {"closed interval", "interval", "gap"},
        [MEASURING_LINE] = {"bent line", "dress", "line"},
        [MEASURING_ARC] = {"flat arc", "arc", "form"},
        [MEASURING_FORM] = {"off the dot", "dot", "form"},
        [MEASURING_ANGLE] = {"horn angle", "angle"},
    };
    for (int i = 0; i < 4 && usual[as][i]; i++) {
        const int fault = show_fault(&d->app->show, usual[as][i]);
        if (fault >= 0 && !d->app->show.faults[fault].removed)
            return fault;
    }
    return -1;
}

void measuring_offer(const struct desk *d, const struct measuring *m, struct buf *out)
{
    struct arena mem = {0};
    const enum measuring_as as = m->n == 1 && m->as == MEASURING_GAPS ? MEASURING_FORM : m->as;
    const int fault = fault_of(d, as);
    bool any = false;
    for (size_t i = 0; i < m->n; i++) {
        const int who = measuring_who(d, m, i, &mem);
        if (who < 0 || !measuring_about(m, i))
            continue;
        buf_printf(out, "%s%s", any ? ";" : "", d->app->show.performers[who].label);
        any = true;
    }
    if (fault >= 0)
        buf_printf(out, "%s%s", any ? " " : "ensemble ", d->app->show.faults[fault].name);
    arena_free(&mem);
}

/* --- the marks ----------------------------------------------------------------------------------- */

struct making {
    struct desk *desk;
    const struct measuring *m;
    struct arena memory;
    struct mark marks[MEASURING_MOST];
    size_t n;
    struct marked_words words;
};

static void put_place(struct making *k, struct mark *mark, size_t click)
{
    if (k->m->measured.n != k->m->n)
        return;
    mark->on_field = true;
    field_place_steps(&k->desk->app->show.grid, k->m->measured.at[click], &mark->x, &mark->y);
}

static struct mark *new_one(struct making *k, const struct target *targets, size_t n)
{
    struct mark *mark = &k->marks[k->n++];
    *mark = (struct mark){.clip = k->desk->clip,
                          .at_us = k->m->at[0].us,
                          .end_us = -1,
                          .targets = targets,
                          .n_targets = n,
                          .fault = k->words.fault,
                          .severity = SEVERITY_LEAST,
                          .cause = k->desk->app->show.faults[k->words.fault].cause,
                          .note = "",
                          .set = -1};
    return mark;
}

/* The click on a performer who was named; false: on nobody of them. */
static bool click_of(struct making *k, const struct target *t, size_t *click)
{
    for (size_t i = 0; t->performer >= 0 && i < k->m->n; i++)
        if (k->m->each[i].kind != MEASURE_NONE &&
            measuring_who(k->desk, k->m, i, &k->memory) == t->performer) {
            *click = i;
            return true;
        }
    return false;
}

/* Who was measured each for himself gets a mark with his number; the others share one. */
static void make(struct making *k)
{
    struct target *others = arena_alloc(&k->memory, (k->words.n + 1) * sizeof *others);
    size_t n = 0, click = 0;
    for (size_t i = 0; i < k->words.n && k->n + 1 < MEASURING_MOST; i++) {
        if (click_of(k, &k->words.targets[i], &click)) {
            struct mark *one = new_one(k, &k->words.targets[i], 1);
            one->measure = k->m->each[click];
            put_place(k, one, click);
        } else
            others[n++] = k->words.targets[i];
    }
    if (n == 0)
        return;
    struct mark *rest = new_one(k, others, n);
    rest->measure = k->m->whole;
    for (size_t i = 0; i < k->m->n; i++)
        if (measuring_about(k->m, i)) {
            put_place(k, rest, i);
            break;
        }
}

static void say_made(struct desk *d, const struct making *k)
{
    struct buf what = {0};
    mark_describe(d, &k->marks[0], &what);
    if (k->marks[0].measure.kind != MEASURE_NONE) {
        buf_str(&what, "  ");
        measure_text(&k->marks[0].measure, &what);
    }
    if (k->n > 1)
        buf_printf(&what, "  and %zu more", k->n - 1);
    desk_say(d, "%s", buf_text(&what));
    buf_free(&what);
}

void measuring_mark(struct desk *d, const struct measuring *m, const char *text)
{
    struct making *k = xcalloc(1, sizeof *k);
    struct err e;
    char what[100];
    k->desk = d;
    k->m = m;
    bool ok = marked_words_read(d, &k->memory, text, &k->words, &e);
    if (ok) {
        make(k);
        for (size_t i = 0; i < k->n; i++)
            app_place_mark(d->map, &k->marks[i]);
        snprintf(what, sizeof what, "mark what was measured: %.60s", text);
        ok = app_mark_all(d->app, desk_current(d), &(struct mark_list){k->marks, k->n}, what, &e);
    }
    if (ok) {
        desk_wrote(d);
        ok = marks_read(d, &e);
    }
    if (ok)
        say_made(d, k);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&k->memory);
    free(k);
}
