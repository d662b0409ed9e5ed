#include "plan/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "plan/line.h"

static bool check_ranges(const struct plan_rules *r, struct err *e)
{
    const struct {
        const char *name;
        int value, least, most;
    } rows[] = {
        {"minutes of rehearsal", r->minutes, 1, PLAN_MINUTES_MOST},
        {"start (minutes after midnight)", r->start_min, 0, 24 * 60 - 1},
        {"minutes of a block", r->least, 1, PLAN_LEAST_MOST},
        {"reset seconds", r->reset_s, 0, 600},
        {"reset seconds apart", r->apart_reset_s, 0, 600},
        {"set-up seconds", r->setup_s, 0, 600},
        {"seconds to gather", r->gather_s, 0, 1800},
        {"sets in a chunk", r->chunk_sets, 1, 12},
        {"reps of a chunk", r->most_reps, 1, PLAN_REPS_MOST},
        {"things said before a rep", r->say, 1, PLAN_SAY_MOST},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].value < rows[i].least || rows[i].value > rows[i].most)
            return err_set(e, ERR_INPUT, "%s: %d is outside %d to %d", rows[i].name, rows[i].value,
                           rows[i].least, rows[i].most);
    const double learn[2] = {r->learn, r->apart_learn};
    for (int i = 0; i < 2; i++)
        if (!(learn[i] > 0 && learn[i] <= 1))
            return err_set(e, ERR_INPUT, "learn p: %g is not above 0 and at most 1", learn[i]);
    if (!(r->apart_worth >= 0 && r->apart_worth <= 1))
        return err_set(e, ERR_INPUT, "worth of sectionals: %g is outside 0 to 1", r->apart_worth);
    if (!(r->worth >= 0 && r->worth <= 100))
        return err_set(e, ERR_INPUT, "worth of a minute: %g is outside 0 to 100", r->worth);
    return true;
}

static bool check_breaks(const struct plan_rules *r, struct err *e)
{
    const struct heat_breaks *b = &r->breaks;
    if (b->work_most_s && (b->work_most_s < PLAN_MINUTE_S || b->break_s < PLAN_STEP_S))
        return err_set(e, ERR_INPUT,
                       "breaks: %d s of work and %d s of rest; at least %d s and %d s are needed",
                       b->work_most_s, b->break_s, PLAN_MINUTE_S, PLAN_STEP_S);
    if (b->longest_s && r->minutes * 60 > b->longest_s)
        return err_set(
            e, ERR_INPUT,
            "%d min are longer than the %d min allowed (%s); shorten the rehearsal. " HEAT_REMINDER,
            r->minutes, b->longest_s / 60, b->source);
    return true;
}

static bool check_sets(const struct plan_input *in, struct err *e)
{
    if (in->n_sets > PLAN_SETS_MOST)
        return err_set(e, ERR_INPUT, "%zu sets; a plan takes at most %d", in->n_sets,
                       PLAN_SETS_MOST);
    for (size_t i = 0; i < in->n_sets; i++)
        if (in->sets[i].play_s > 3600)
            return err_set(e, ERR_INPUT,
                           "set %s: %.0f s of playing time; a set lasts at most an "
                           "hour",
                           in->sets[i].label, in->sets[i].play_s);
    return true;
}

static bool check_item(const struct plan_input *in, const struct plan_item *it, struct err *e)
{
    if (it->group != PLAN_EVERYONE && (it->group < 0 || (size_t)it->group >= in->n_groups))
        return err_set(e, ERR_INPUT, "%s: it belongs to no section of the plan", it->name);
    if (!isfinite(it->weight) || it->weight < 0)
        return err_set(e, ERR_INPUT, "%s: weight %g is not a number of 0 or more", it->name,
                       it->weight);
    if (!(it->learn >= 0 && it->learn <= 1))
        return err_set(e, ERR_INPUT, "%s: learn p %g is outside 0 to 1", it->name, it->learn);
    if (it->n_sets == 0)
        return err_set(e, ERR_INPUT,
                       "%s: no set is known for it; tie the clip to its sets or name "
                       "the set",
                       it->name);
    double shares = 0;
    for (size_t k = 0; k < it->n_sets; k++) {
        if (it->sets[k] < 0 || (size_t)it->sets[k] >= in->n_sets)
            return err_set(e, ERR_INPUT, "%s: it names a set that the show does not have",
                           it->name);
        const double share = it->set_shares ? it->set_shares[k] : 1;
        if (!isfinite(share) || share < 0)
            return err_set(e, ERR_INPUT, "%s: share %g of set %s is not a number of 0 or more",
                           it->name, share, in->sets[it->sets[k]].label);
        shares += share;
    }
    return shares > 0 || err_set(e, ERR_INPUT, "%s: the shares of its sets are all 0", it->name);
}

static bool check_items(const struct plan_input *in, struct err *e)
{
    bool open = false;
    for (size_t i = 0; i < in->n_items; i++) {
        if (in->items[i].weight == 0)
            continue;
        open = true;
        if (!check_item(in, &in->items[i], e))
            return false;
    }
    return open || err_set(e, ERR_INPUT,
                           "no open fixes: there is nothing to plan; mark a clip, or "
                           "choose clips with open marks");
}

static bool check_fixed(const struct plan_input *in, struct err *e)
{
    for (size_t i = 0; i < in->n_fixed; i++) {
        const struct plan_fixed *f = &in->fixed[i];
        if (f->minutes < 1 || f->minutes > PLAN_MINUTES_MOST)
            return err_set(e, ERR_INPUT, "%s: %d min is outside 1 to %d", f->name, f->minutes,
                           PLAN_MINUTES_MOST);
        if (f->where == PLAN_AT && (f->at_min < 0 || f->at_min >= 24 * 60))
            return err_set(e, ERR_INPUT, "%s: its time is not a time of day", f->name);
    }
    return true;
}

static bool covers(const struct plan_wish *w, int set)
{
    return set >= w->first_set && set <= w->last_set;
}

static bool wished(const struct plan_input *in, enum plan_wish_kind kind)
{
    for (size_t i = 0; i < in->n_wishes; i++)
        if (in->wishes[i].kind == kind)
            return true;
    return false;
}

/* Could a plan, with sectionals or without, work this item at this set? */
static bool worked_at(const struct plan_input *in, size_t item, int set)
{
    const struct plan_item *it = &in->items[item];
    bool there = false;
    for (size_t k = 0; k < it->n_sets; k++)
        there |= it->sets[k] == set && plan_line_weight(it, k) > 0;
    for (int apart = 0; there && apart < 2; apart++) {
        int group;
        if (wished(in, apart ? PLAN_TOGETHER : PLAN_APART))
            continue;
        if (plan_line_of(in, item, apart, &group) == PLAN_WORKED &&
            !plan_line_left_out(in, it, group, set))
            return true;
    }
    return false;
}

static bool needed(const struct plan_input *in, int set)
{
    for (size_t i = 0; i < in->n_wishes; i++)
        if (in->wishes[i].kind == PLAN_KEEP && covers(&in->wishes[i], set))
            return true;
    for (size_t i = 0; i < in->n_items; i++)
        if (in->items[i].weight > 0 && worked_at(in, i, set))
            return true;
    return false;
}

/* Asks for the seconds of every needed set that has none. */
static bool check_seconds(const struct plan_input *in, struct err *e)
{
    char labels[200] = "";
    size_t used = 0;
    for (size_t s = 0; s < in->n_sets; s++) {
        if (in->sets[s].play_s >= 0 || !needed(in, (int)s))
            continue;
        if (used + strlen(in->sets[s].label) + 8 > sizeof labels) {
            strcat(labels, " ...");
            break;
        }
        used += (size_t)snprintf(labels + used, sizeof labels - used, "%s%s", used ? ", " : "",
                                 in->sets[s].label);
    }
    if (!used)
        return true;
    return err_set(e, ERR_INPUT,
                   "set %s: no tempo and no seconds, so a rep's length is not known; give the "
                   "tempo in the set list or the seconds",
                   labels);
}

static bool check_wish_group(const struct plan_input *in, const struct plan_wish *w, struct err *e)
{
    if (w->group == PLAN_EVERYONE)
        return true;
    if (w->group < 0 || (size_t)w->group >= in->n_groups)
        return err_set(e, ERR_INPUT, "a wish names a section that the plan does not have");
    const struct plan_group *g = &in->groups[w->group];
    if (w->kind == PLAN_KEEP && !(g->attends && g->apart))
        return err_set(e, ERR_INPUT, "%s: %s, so no block of theirs can be kept", g->name,
                       g->attends ? "they do not work apart" : "nobody attends");
    return true;
}

static bool check_pair(const struct plan_input *in, const struct plan_wish *a,
                       const struct plan_wish *b, struct err *e)
{
    const bool keeps = a->kind == PLAN_KEEP || b->kind == PLAN_KEEP;
    const bool binds = (a->kind == PLAN_KEEP || a->kind == PLAN_LEAVE) &&
                       (b->kind == PLAN_KEEP || b->kind == PLAN_LEAVE);
    if (!keeps || !binds || a->group != b->group || a->last_set < b->first_set ||
        b->last_set < a->first_set)
        return true;
    return err_set(e, ERR_INPUT, "sets %s-%s and %s-%s: one wish keeps what the other %s; drop one",
                   in->sets[a->first_set].label, in->sets[a->last_set].label,
                   in->sets[b->first_set].label, in->sets[b->last_set].label,
                   a->kind == b->kind ? "keeps in another block" : "leaves out");
}

static bool check_wish(const struct plan_input *in, const struct plan_wish *w, struct err *e)
{
    if (w->kind == PLAN_TOGETHER || w->kind == PLAN_APART)
        return true;
    if (!check_wish_group(in, w, e))
        return false;
    if (w->first_set < 0 || w->last_set < w->first_set || (size_t)w->last_set >= in->n_sets)
        return err_set(e, ERR_INPUT, "a wish names sets that the show does not have");
    if (w->kind == PLAN_KEEP && (w->reps < 1 || w->reps > PLAN_REPS_MOST))
        return err_set(e, ERR_INPUT, "sets %s-%s: %d reps are outside 1 to %d",
                       in->sets[w->first_set].label, in->sets[w->last_set].label, w->reps,
                       PLAN_REPS_MOST);
    return true;
}

static bool check_wishes(const struct plan_input *in, struct err *e)
{
    bool together = false, apart = false;
    for (size_t i = 0; i < in->n_wishes; i++) {
        if (!check_wish(in, &in->wishes[i], e))
            return false;
        for (size_t j = 0; j < i; j++)
            if (!check_pair(in, &in->wishes[j], &in->wishes[i], e))
                return false;
        together |= in->wishes[i].kind == PLAN_TOGETHER;
        apart |= in->wishes[i].kind == PLAN_APART ||
                 (in->wishes[i].kind == PLAN_KEEP && in->wishes[i].group != PLAN_EVERYONE);
    }
    if (together && apart)
        return err_set(e, ERR_INPUT,
                       "one wish is for all together, another for sectionals; drop "
                       "one");
    return true;
}

bool plan_check(const struct plan_input *in, struct err *e)
{
    return check_ranges(&in->rules, e) && check_breaks(&in->rules, e) && check_sets(in, e) &&
           check_items(in, e) && check_fixed(in, e) && check_wishes(in, e) && check_seconds(in, e);
}
