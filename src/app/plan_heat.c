/* The weather of a plan in the show file: the policy, the reading that a day's plan was made with,
 * and what becomes of a day's plan when the policy closes the field. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan.h"
#include "app/plan_gone.h"
#include "app/share.h"
#include "sys/file.h"

enum { POLICY_LIMIT = 1 << 20 };

bool app_policy(const char *path, struct table_talk *talk, struct arena *mem,
                const struct policy **out, struct err *e)
{
    struct buf bytes = {0};
    struct policy *policy = arena_alloc(mem, sizeof *policy);
    bool ok =
        *path ? file_read(path, POLICY_LIMIT, &bytes, e) : share_read("heat-policy.csv", &bytes, e);
    ok = ok && policy_parse(&(struct table_text){buf_text(&bytes), bytes.n,
                                                 *path ? path : "heat-policy.csv", talk},
                            mem, policy, e);
    buf_free(&bytes);
    *out = policy;
    return ok;
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
    if (!choice->weather.measured && !before.known)
        return true;
    const char *now =
        choice->weather.measured
            ? arena_printf(mem, "%.10g%s%s", choice->weather.wbgt_f, *path ? " " : "", path)
            : "";
    return store_set(a->store, reading_key(choice->date, key), now, e);
}

/* --- a closed field --------------------------------------------------------------------------- */

bool app_plan_ticked(const struct rep_plan *p)
{
    for (size_t i = 0; i < p->n_blocks; i++)
        if (p->blocks[i].reps_made >= 0)
            return true;
    return false;
}

struct dropping {
    const char *date;
    struct arena *mem;
};

static bool drop(struct store *s, void *ctx, struct err *e)
{
    const struct dropping *d = ctx;
    return app_plan_gone_keep(s, d->date, d->mem, e) && store_plan_drop(s, d->date, e);
}

bool app_plan_take_away(struct app *a, const char *date, struct arena *mem, enum plan_taken *out,
                        struct err *e)
{
    struct rep_plan p;
    struct err none;
    *out = PLAN_NOT_THERE;
    const bool there = store_plan(a->store, mem, date, &p, &none);
    if (there && !store_step(a->store, NULL, drop, &(struct dropping){date, mem}, e))
        return false;
    if (there)
        *out = store_plan(a->store, mem, date, &p, &none) && app_plan_ticked(&p) ? PLAN_HAS_TICKS
                                                                                 : PLAN_TAKEN_AWAY;
    return true;
}
