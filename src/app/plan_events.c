#include "app/plan_events.h"

#include <stdlib.h>
#include <string.h>

#include "app/plan_gone.h"
#include "base/zone.h"

static void drop(struct plan_known *k, const char *uid)
{
    size_t kept = 0;
    for (size_t i = 0; i < k->n; i++)
        if (strcmp(k->at[i].uid, uid) != 0)
            k->at[kept++] = k->at[i];
    k->n = kept;
}

static void drop_those_there(struct plan_known *k, const char *show_uuid,
                             const struct plan_report *r)
{
    for (size_t i = 0; i <= r->plan.n_blocks; i++) {
        char uid[EVENT_UID];
        const struct plan_event event =
            i < r->plan.n_blocks ? plan_event_of(r, i) : plan_event_frame();
        plan_event_uid(show_uuid, r->date, &event, uid);
        drop(k, uid);
    }
}

/* Plans that were ticked off stay stored beside a newer one. */
static void add_earlier(struct store *s, const char *show_uuid, const struct rep_plan *p,
                        struct plan_known *k, struct arena *mem)
{
    struct err none;
    struct rep_plan now = *p, before;
    while (store_plan_before(s, mem, &now, &before, &none)) {
        plan_known_add(k, show_uuid, &before, mem);
        now = before;
    }
}

static bool has_sound_times(const struct plan_report *r, struct err *e)
{
    int64_t day;
    bool ok = civil_seconds(r->date, &day);
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        ok &= plan_in_a_rehearsal(r->plan.start_min, r->plan.blocks[i].start_s,
                                  r->plan.blocks[i].seconds);
    return ok || err_set(e, ERR_INPUT,
                         "the plan of %s has times that are in no rehearsal; make it anew: boxcall "
                         "plan SHOW --minutes 90",
                         r->date);
}

struct reading {
    struct app *app;
    const char *date;
    struct arena *mem;
    struct plan_day *out;
};

static bool read_all(struct store *s, void *ctx, struct err *e)
{
    struct reading *g = ctx;
    struct birth show;
    struct rep_plan rows;
    struct err none;
    if (!store_show_birth(s, &show, e))
        return false;
    struct plan_known k = plan_known_read(s, g->date, g->mem);
    const bool there = store_plan(s, g->mem, g->date, &rows, &none);
    if (there ? !app_plan_stored(g->app, g->date, g->mem, &g->out->report, e)
              : k.n == 0 && !store_plan(s, g->mem, g->date, &rows, e)) {
        free(k.at);
        return false;
    }
    if (there) {
        add_earlier(s, show.uuid, &rows, &k, g->mem);
        drop_those_there(&k, show.uuid, &g->out->report);
        k.sequence = plan_later(k.sequence, plan_sequence_at(rows.made_at));
    } else {
        g->out->report = (struct plan_report){.show = plan_report_show(&g->app->show, g->mem),
                                              .title = arena_strdup(g->mem, g->app->title),
                                              .date = arena_strdup(g->mem, g->date),
                                              .heat_words = "",
                                              .learned = ""};
    }
    g->out->events = (struct plan_events){.show_uuid = arena_strdup(g->mem, show.uuid),
                                          .made_ms = there ? rows.made_at : k.made_ms,
                                          .sequence = k.sequence,
                                          .n_gone = k.n};
    g->out->events.gone = arena_take(g->mem, k.at, k.n * sizeof *k.at);
    return has_sound_times(&g->out->report, e);
}

bool app_plan_events(struct app *a, const char *date, struct arena *mem, struct plan_day *out,
                     struct err *e)
{
    struct reading g = {a, date, mem, out};
    return store_reading(a->store, read_all, &g, e);
}
