/* The rep plan as JSON. */
#include <math.h>

#include "paper/json.h"
#include "paper/plan_inner.h"
#include "paper/table.h"
#include "plan/gather.h"

static void leave(json_t *list, const struct plan_report *r, const struct plan_target *t,
                  const char *why)
{
    json_t *o = plan_target_json(r, t, t->marks);
    json_object_set_new(o, "why", json_text(why));
    json_array_append_new(list, o);
}

static json_t *left_list(const struct plan_report *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->plan.n_items; i++) {
        const char *why = plan_left_text(r->plan.outcomes[i].left);
        if (*why)
            leave(list, r, &r->targets[i], why);
    }
    for (size_t i = 0; i < r->n_unplaced; i++)
        leave(list, r, &r->unplaced[i], "its moments are not tied to a set");
    return list;
}

/* What the staff must decide before anybody can rehearse it. */
static json_t *decide_list(const struct plan_report *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->n_decide; i++)
        json_array_append_new(list, plan_target_json(r, &r->decide[i], r->decide[i].marks));
    return list;
}

static json_t *heat_object(const struct plan_heat *h)
{
    if (!h->indexed && !h->measured)
        return json_null();
    json_t *o = json_object();
    json_object_set_new(o, "index_f",
                        h->indexed && !isnan(h->index_f) ? json_real(h->index_f) : json_null());
    json_object_set_new(o, "category", h->indexed ? json_text(h->category) : json_null());
    json_object_set_new(o, "wbgt_f", h->measured ? json_real(h->wbgt_f) : json_null());
    json_object_set_new(o, "policy", h->measured ? json_text(h->policy) : json_null());
    json_object_set_new(o, "outdoors", h->measured ? json_boolean(!h->closed) : json_null());
    return o;
}

static json_t *assumed_object(const struct plan_rules *rules)
{
    json_t *o = json_object();
    json_object_set_new(o, "say", json_integer(rules->say));
    json_object_set_new(o, "learn", json_real(rules->learn));
    json_object_set_new(o, "learn_from_history", json_boolean(rules->learn_seen));
    json_object_set_new(o, "learn_sectional_from_history", json_boolean(rules->apart_learn_seen));
    json_object_set_new(o, "learn_sectional", json_real(rules->apart_learn));
    json_object_set_new(o, "reset_s", json_integer(rules->reset_s));
    json_object_set_new(o, "reset_sectional_s", json_integer(rules->apart_reset_s));
    json_object_set_new(o, "setup_s", json_integer(rules->setup_s));
    json_object_set_new(o, "gather_s", json_integer(rules->gather_s));
    json_object_set_new(o, "least_min", json_integer(rules->least));
    json_object_set_new(o, "sectional", json_real(rules->apart_worth));
    json_object_set_new(o, "worth", json_real(rules->worth));
    json_object_set_new(o, "repped_counts", json_real(PLAN_REPPED_COUNTS));
    return o;
}

static json_t *block_list(const struct plan_paper *p)
{
    json_t *blocks = json_array();
    for (size_t i = 0; i < p->r->plan.n_blocks; i++) {
        const struct plan_block *b = &p->r->plan.blocks[i];
        const struct plan_line line = {p->r, i, b, b->n_list ? &b->list[0] : NULL};
        if (plan_on_paper(p, b))
            json_array_append_new(
                blocks,
                table_json(b->kind == PLAN_SECTIONAL ? plan_sectional_columns : plan_columns,
                           &line));
    }
    return blocks;
}

void plan_json(const struct plan_paper *p, struct buf *out)
{
    const struct plan_report *r = p->r;
    json_t *root = json_object();
    struct buf caution = {0};
    char start[24];
    for (size_t i = 0; i < r->plan.n_cautions; i++)
        buf_printf(&caution, "%s%s", i ? " " : "", r->plan.cautions[i]);
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "date", json_text(r->date));
    json_object_set_new(root, "start", json_text(plan_clock(r->plan.start_min, 0, start)));
    json_object_set_new(root, "minutes", json_integer(r->plan.seconds / 60));
    json_object_set_new(root, "gain", json_real(r->plan.gain));
    json_object_set_new(root, "weight", json_real(r->plan.weight));
    json_object_set_new(root, "open_weight", json_real(r->open_weight));
    json_object_set_new(root, "assumed", assumed_object(&r->in.rules));
    json_object_set_new(root, "learned", json_text(r->learned));
    json_object_set_new(root, "blocks", block_list(p));
    json_object_set_new(root, "decide", decide_list(r));
    json_object_set_new(root, "left", left_list(r));
    json_object_set_new(root, "heat", heat_object(&r->heat));
    json_object_set_new(root, "caution", json_text(buf_text(&caution)));
    buf_free(&caution);
    json_put(root, out);
}
