/* The weather of a plan: what a reading asks, which one a day's plan was made with, and what
 * becomes of a day's plan when the policy closes the field. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan_parts.h"
#include "app/share.h"
#include "sys/file.h"

enum { POLICY_LIMIT = 1 << 20 };
#define DANGER_F 103.0 /* where HEAT_CATEGORY_SOURCE begins to say danger */

bool app_policy(const char *path, struct arena *mem, const struct policy **out, struct err *e)
{
    struct buf bytes = {0};
    struct policy *policy = arena_alloc(mem, sizeof *policy);
    bool ok =
        *path ? file_read(path, POLICY_LIMIT, &bytes, e) : share_read("heat-policy.csv", &bytes, e);
    ok = ok && policy_parse(&(struct table_text){buf_text(&bytes), bytes.n,
                                                 *path ? path : "heat-policy.csv"},
                            mem, policy, e);
    buf_free(&bytes);
    *out = policy;
    return ok;
}

bool part_heat(const struct plan_choice *choice, struct arena *mem, struct plan_report *out,
               struct err *e)
{
    struct plan_heat *h = &out->heat;
    struct buf words = {0};
    h->category = h->policy = "";
    if (choice->indexed) {
        const bool beyond = heat_where(choice->temp_f, choice->humidity) == HEAT_BEYOND;
        h->indexed = true;
        h->index_f = heat_index(choice->temp_f, choice->humidity);
        h->category = heat_category(beyond ? INFINITY : h->index_f);
        if (h->index_f >= DANGER_F && !choice->measured)
            buf_printf(&words,
                       "HEAT INDEX %s, %s: do not plan work outdoors by this list. Measure the "
                       "wet-bulb globe temperature on site (--wbgt) and follow the local policy.\n",
                       beyond ? "beyond the chart" : arena_printf(mem, "%.0f F", h->index_f),
                       h->category);
        h->index_f = beyond ? NAN : h->index_f;
        heat_caution(choice->temp_f, choice->humidity, &words);
    }
    out->in.rules.breaks = heat_breaks_default();
    bool ok = true;
    if (choice->measured) {
        const struct policy_row *row = policy_at(choice->policy, choice->wbgt_f);
        h->measured = true;
        h->wbgt_f = choice->wbgt_f;
        h->closed = !row->outdoors;
        h->policy = arena_printf(mem, "%s (%s)", row->guidance, row->source);
        h->reading = policy_reading(choice->policy, choice->wbgt_f, mem);
        buf_printf(&words, "WBGT %s F: %s. %s\n", h->reading, h->policy, HEAT_REMINDER);
        if (row->outdoors)
            ok = policy_breaks(choice->policy,
                               (struct policy_stay){choice->wbgt_f, choice->rules.minutes}, mem,
                               &out->in.rules.breaks, e);
    }
    out->heat_words = arena_strdup(mem, buf_text(&words));
    buf_free(&words);
    return ok;
}

void part_closed(const struct plan_choice *choice, struct arena *mem, struct plan_report *out)
{
    const char **cautions = arena_alloc(mem, 2 * sizeof *cautions);
    cautions[0] = arena_printf(mem,
                               "NO OUTDOOR ACTIVITY at WBGT %s F by this policy: no block is "
                               "planned (--indoors plans a rehearsal inside).",
                               out->heat.reading);
    cautions[1] = HEAT_REMINDER;
    out->plan = (struct plan){.start_min = choice->rules.start_min,
                              .seconds = choice->rules.minutes * 60,
                              .cautions = cautions,
                              .n_cautions = 2};
    out->plan.outcomes = arena_alloc(mem, (out->in.n_items + 1) * sizeof *out->plan.outcomes);
    out->plan.n_items = out->in.n_items;
    for (size_t i = 0; i < out->in.n_items; i++)
        out->plan.outcomes[i].left = PLAN_LEFT_HEAT;
}

/* --- the reading that a day's plan was made with ---------------------------------------------- */

static const char *reading_key(const char *date, char key[40])
{
    snprintf(key, 40, "wbgt %.10s", date);
    return key;
}

struct plan_reading app_plan_reading(struct app *a, const char *date, struct arena *mem)
{
    char key[40];
    const char *kept = store_setting(a->store, mem, reading_key(date, key));
    struct plan_reading out = {.held = true, .policy_path = ""};
    char *end = NULL;
    out.wbgt_f = kept ? strtod(kept, &end) : 0;
    out.known = kept && end != kept && isfinite(out.wbgt_f);
    if (out.known && *end == ' ')
        out.policy_path = end + 1;
    return out;
}

bool app_plan_keep_reading(struct app *a, const struct plan_choice *choice, struct arena *mem,
                           struct err *e)
{
    char key[40];
    const struct plan_reading before = app_plan_reading(a, choice->date, mem);
    const char *path = choice->policy_path ? choice->policy_path : "";
    if (!choice->measured && !before.known)
        return true;
    const char *now = choice->measured
                          ? arena_printf(mem, "%.10g%s%s", choice->wbgt_f, *path ? " " : "", path)
                          : "";
    return store_set(a->store, reading_key(choice->date, key), now, e);
}

/* --- a closed field --------------------------------------------------------------------------- */

static bool has_ticks(const struct rep_plan *p)
{
    for (size_t i = 0; i < p->n_blocks; i++)
        if (p->blocks[i].reps_made >= 0)
            return true;
    return false;
}

bool app_plan_take_away(struct app *a, const char *date, struct arena *mem, enum plan_taken *out,
                        struct err *e)
{
    struct rep_plan p;
    struct err none;
    *out = PLAN_NOT_THERE;
    const bool there = store_plan(a->store, mem, date, &p, &none);
    if (there && !store_plan_drop(a->store, date, e))
        return false;
    if (there)
        *out = store_plan(a->store, mem, date, &p, &none) && has_ticks(&p) ? PLAN_HAS_TICKS
                                                                           : PLAN_TAKEN_AWAY;
    return true;
}
