#include "command/measuring_mark.h"

#include <stdio.h>

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

void measuring_mark(struct desk *d, const struct measuring *m, const char *text)
{
    struct arena mem = {0};
    struct marked_words w;
    struct err e;
    if (marked_words_read(d, &mem, text, &w, &e))
        make_mark(d, m->at[0].us, w.targets, w.n, w.fault);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}
