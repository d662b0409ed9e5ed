/* Which sets are drawn, and who is lit in them. */
#include <string.h>

#include "base/near.h"
#include "verb/sheets.h"

struct drawing {
    struct call *c;
    struct app *app;
    bool *lit;   /* of each performer */
    bool *asked; /* of each set */
    bool *there; /* the set has dots */
    const char *date;
    struct buf who;
};

static void light(struct drawing *g, const struct fix_report *r)
{
    const struct show *show = &g->app->show;
    for (size_t i = 0; i < show->n_performers; i++)
        if (r->performer >= 0 ? (int)i == r->performer
                              : section_within(show, show->performers[i].section, r->section))
            g->lit[i] = true;
    for (size_t i = 0; i < r->own.n_moments; i++) {
        const struct report_moment *m = &r->own.moments[i];
        if (m->set >= 0 && m->state != MARK_CLEAN && !m->praise)
            g->asked[m->set] = true;
    }
}

/* --for; without it everybody is lit, and every set is drawn. */
static bool read_whom(struct drawing *g, struct err *e)
{
    size_t n;
    const char **whom = call_values(g->c, "for", &n);
    for (size_t i = 0; i < (n ? n : 1); i++) {
        struct fix_report r;
        const struct fix_choice choice = {.for_whom = n ? whom[i] : NULL, .moments = n > 0};
        if (!app_fixes(g->app, &choice, &g->c->memory, &r, e))
            return false;
        light(g, &r);
        g->date = r.n_clips ? r.clips[r.n_clips - 1].date : "";
        if (n)
            buf_printf(&g->who, "%s%s", g->who.n ? ", " : "", report_for(&r));
    }
    return true;
}

static bool no_set(const struct show *show, const char *label, struct err *e)
{
    struct near near = {.word = label};
    for (size_t i = 0; i < show->n_sets; i++)
        near_offer(&near, show->sets[i].label);
    return err_set(e, ERR_INPUT, "no set '%s' in the show%s", label,
                   near_said(&near, "; see boxcall count --help").text);
}

static bool read_sets(struct drawing *g, struct err *e)
{
    size_t n;
    const struct show *show = &g->app->show;
    const char **labels = call_values(g->c, "set", &n);
    if (n)
        memset(g->asked, 0, show->n_sets * sizeof *g->asked);
    for (size_t i = 0; i < n; i++) {
        const int set = show_set(show, labels[i]);
        if (set < 0)
            return no_set(show, labels[i], e);
        if (!g->there[set])
            return err_set(e, ERR_INPUT, "set %s has no dots; add them: boxcall add SHOW dots FILE",
                           labels[i]);
        g->asked[set] = true;
    }
    return true;
}

/* Those wanted that have dots. */
static size_t choose(const struct drawing *g, const bool *wanted, int *sets)
{
    size_t n = 0;
    for (size_t i = 0; i < g->app->show.n_sets; i++)
        if (wanted[i] && g->there[i])
            sets[n++] = (int)i;
    return n;
}

bool sheets_chart(struct call *c, struct app *a, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e)
{
    const struct show *show = &a->show;
    struct arena *mem = &c->memory;
    struct drawing g = {.c = c,
                        .app = a,
                        .lit = arena_alloc(mem, show->n_performers + 1),
                        .asked = arena_alloc(mem, show->n_sets + 1),
                        .there = arena_alloc(mem, show->n_sets + 1)};
    for (size_t i = 0; i < show->n_dots; i++)
        g.there[show->dots[i].set] = true;
    bool ok = show->n_dots > 0 ||
              err_set(e, ERR_INPUT, "the show has no dots; add them: boxcall add SHOW dots FILE");
    ok = ok && read_whom(&g, e) && read_sets(&g, e);
    int *sets = arena_alloc(mem, (show->n_sets + 1) * sizeof *sets);
    size_t n = ok ? choose(&g, g.asked, sets) : 0;
    if (ok && n == 0)
        n = choose(&g, g.there, sets);
    ok = ok && sheet_chart(&(struct sheet_chart){.show = show,
                                                 .title = a->title,
                                                 .who = buf_text(&g.who),
                                                 .date = g.date,
                                                 .sets = sets,
                                                 .n_sets = n,
                                                 .lit = g.lit},
                           style, out, e);
    buf_free(&g.who);
    return ok;
}
