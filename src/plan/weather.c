#include "plan/weather.h"

#include <math.h>

#include "base/buf.h"

#define DANGER_F 103.0 /* where HEAT_CATEGORY_SOURCE begins to say danger */

bool plan_weather_put(const struct plan_weather *w, struct arena *mem, struct plan_report *out,
                      struct err *e)
{
    struct plan_heat *h = &out->heat;
    struct buf words = {0};
    h->category = h->policy = "";
    if (w->indexed) {
        const bool beyond = heat_where(w->temp_f, w->humidity) == HEAT_BEYOND;
        h->indexed = true;
        h->index_f = heat_index(w->temp_f, w->humidity);
        h->category = heat_category(beyond ? INFINITY : h->index_f);
        if (h->index_f >= DANGER_F && !w->measured)
            buf_printf(&words,
                       "HEAT INDEX %s, %s: do not plan work outdoors by this list. Measure the "
                       "wet-bulb globe temperature on site (--wbgt) and follow the local policy.\n",
                       beyond ? "beyond the chart" : arena_printf(mem, "%.0f F", h->index_f),
                       h->category);
        h->index_f = beyond ? NAN : h->index_f;
        heat_caution(w->temp_f, w->humidity, &words);
    }
    out->in.rules.breaks = heat_breaks_default();
    bool ok = true;
    if (w->measured) {
        const struct policy_row *row = policy_at(w->policy, w->wbgt_f);
        h->measured = true;
        h->wbgt_f = w->wbgt_f;
        h->closed = !row->outdoors;
        h->policy = arena_printf(mem, "%s (%s)", row->guidance, row->source);
        h->reading = policy_reading(w->policy, w->wbgt_f, mem);
        if (h->closed && w->indoors)
            buf_printf(&words,
                       "INDOORS: this plan is for a rehearsal inside; outdoors nothing may be done "
                       "at WBGT %s F.\n",
                       h->reading);
        buf_printf(&words, "WBGT %s F: %s. %s\n", h->reading, h->policy, HEAT_REMINDER);
        if (row->outdoors)
            ok = policy_breaks(w->policy, (struct policy_stay){w->wbgt_f, out->in.rules.minutes},
                               mem, &out->in.rules.breaks, e);
    }
    out->heat_words = arena_strdup(mem, buf_text(&words));
    buf_free(&words);
    return ok;
}

void plan_weather_closed(struct arena *mem, struct plan_report *out)
{
    const char **cautions = arena_alloc(mem, 2 * sizeof *cautions);
    cautions[0] = arena_printf(mem,
                               "NO OUTDOOR ACTIVITY at WBGT %s F by this policy: no block is "
                               "planned (--indoors plans a rehearsal inside).",
                               out->heat.reading);
    cautions[1] = HEAT_REMINDER;
    out->plan = (struct plan){.start_min = out->in.rules.start_min,
                              .seconds = out->in.rules.minutes * 60,
                              .cautions = cautions,
                              .n_cautions = 2};
    out->plan.outcomes = arena_alloc(mem, (out->in.n_items + 1) * sizeof *out->plan.outcomes);
    out->plan.n_items = out->in.n_items;
    for (size_t i = 0; i < out->in.n_items; i++)
        out->plan.outcomes[i].left = PLAN_LEFT_HEAT;
}
