/* The plan against two other ways to the same optimum: GLPK's integer programs (lp.h) and, where
 * sectionals and fixed items meet, the trial of every choice. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "draw.h"
#include "lp.h"

/* Gain less price; a rehearsal too short for any block is worth nothing to the other solvers. */
static double plan_value(const struct plan_input *in, enum plan_wish_kind shape)
{
    struct arena a = {0};
    struct plan plan;
    struct err e = {0};
    const struct plan_wish wish = {.kind = shape};
    struct plan_input asked = *in;
    asked.wishes = &wish;
    asked.n_wishes = 1;
    const double value = plan_make(&asked, &a, &plan, &e) ? plan.gain - plan.price : 0;
    arena_free(&a);
    return value;
}

static void assert_equal_value(double plan, double other, uint32_t seed)
{
    if (!(fabs(plan - other) <= 1e-7 * fmax(1, fabs(other))))
        fail_msg("rehearsal %u: plan %.12g, other %.12g", seed, plan, other);
}

/* A short rehearsal, so that time is scarce, with up to two fixed items. */
static struct draw_size small_size(uint32_t seed)
{
    return (struct draw_size){.sets = 3 + (int)seed % 5,
                              .items = 2 + (int)seed % 6,
                              .groups = 2,
                              .fixed = (int)seed % 3,
                              .minutes = 4 + (int)seed % 9,
                              .chunk_sets = 1 + (int)seed % 3,
                              .most_reps = 3 + (int)seed % 3};
}

static void all_together_equals_the_integer_program(void **state)
{
    (void)state;
    int priced = 0;
    for (uint32_t seed = 1; seed <= 220; seed++) {
        struct draw d;
        const struct draw_size size = small_size(seed);
        draw_rehearsal(&d, seed, &size);
        const double value = plan_value(&d.in, PLAN_TOGETHER);
        assert_equal_value(value, lp_together(&d.in).value, seed);
        d.in.rules.worth = 0;
        priced += plan_value(&d.in, PLAN_TOGETHER) > value + 1e-9;
    }
    assert_in_range(priced, 60, 220); /* the price took something now and then */
}

/* Makes sure that at least one section has something to do apart. */
static void give_sectional(struct draw *d)
{
    d->groups[0].attends = d->groups[0].apart = true;
    d->items[0].group = 0;
    d->items[0].needs_all = false;
}

static void sectionals_equal_the_integer_program(void **state)
{
    (void)state;
    int chosen = 0;
    for (uint32_t seed = 1001; seed <= 1060; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 4 + (int)seed % 3,
                                       .items = 5 + (int)seed % 5,
                                       .groups = 3,
                                       .fixed = (int)seed % 2,
                                       .minutes = 5 + (int)seed % 7,
                                       .chunk_sets = 2,
                                       .most_reps = 3};
        draw_rehearsal(&d, seed, &size);
        give_sectional(&d);
        const double apart = lp_apart(&d.in).value, together = lp_together(&d.in).value;
        struct arena a = {0};
        struct plan plan;
        struct err e = {0};
        const bool made = plan_make(&d.in, &a, &plan, &e);
        assert_equal_value(made ? plan.gain - plan.price : 0, fmax(apart, together), seed);
        if (made && plan.apart)
            assert_equal_value(plan_value(&d.in, PLAN_APART), apart, seed);
        chosen += made && plan.apart;
        arena_free(&a);
    }
    assert_in_range(chosen, 5, 55); /* both shapes were the better one now and then */
}

/* --- every choice, one after the other ------------------------------------------------------ */

struct trial {
    const struct plan_input *in;
    int line;
    int limit; /* minutes of the day; seconds of a section's list */
    bool apart;
};

static int fixed_from(const struct trial *t, size_t i)
{
    return t->in->fixed[i].at_min - t->in->rules.start_min;
}

/* Where somebody is: the clock, work since a rest, hard reps in a row. */
struct here {
    int at, worked, row;
};

/* The rhythm of breaks; 0: none, as in a section's own list. */
static int work_most(const struct trial *t)
{
    return t->line == PLAN_EVERYONE ? t->in->rules.breaks.work_most_s / 60 : 0;
}

static int pause_of(const struct trial *t)
{
    return (t->in->rules.breaks.break_s + 59) / 60;
}

/* The fixed item that is next; n_fixed when there is none. */
static size_t next_fixed(const struct trial *t, int at)
{
    size_t i = 0;
    while (t->line == PLAN_EVERYONE && i < t->in->n_fixed &&
           fixed_from(t, i) + t->in->fixed[i].minutes <= at)
        i++;
    return t->line == PLAN_EVERYONE ? i : t->in->n_fixed;
}

/* A fixed item of work follows: they come to it rested, or it is short enough, or nothing was done
 * since the one before. */
static bool may_stop(const struct trial *t, const struct here *h)
{
    const size_t i = next_fixed(t, h->at);
    if (i == t->in->n_fixed || work_most(t) == 0 || h->worked == 0)
        return true;
    const int since = i > 0 ? fixed_from(t, i - 1) + t->in->fixed[i - 1].minutes : 0;
    const int gap = fixed_from(t, i) - h->at;
    return h->at == since || gap >= pause_of(t) ||
           h->worked + gap + t->in->fixed[i].minutes <= work_most(t);
}

static bool go_on(const struct trial *t, struct here *h)
{
    const size_t i = next_fixed(t, h->at);
    if (i == t->in->n_fixed || !may_stop(t, h))
        return false;
    const int gap = fixed_from(t, i) - h->at;
    h->worked = (gap >= pause_of(t) ? 0 : h->worked + gap) + t->in->fixed[i].minutes;
    h->at = fixed_from(t, i) + t->in->fixed[i].minutes;
    h->row = 0;
    return true;
}

/* Puts something there; the row is the caller's, but a rest ends it. */
static bool put_there(const struct trial *t, int length, bool rest_first, struct here *h)
{
    const int most = work_most(t), pause = pause_of(t);
    if (most > 0 && length > most)
        return false;
    for (;;) {
        const size_t i = next_fixed(t, h->at);
        const int until = i < t->in->n_fixed ? fixed_from(t, i) : t->limit;
        const bool tired = most > 0 && h->worked > 0 && h->worked + length > most;
        const bool rests = tired || rest_first;
        if ((!rests || most > 0) && h->at + (rests ? pause : 0) + length <= until) {
            h->at += (rests ? pause : 0) + length;
            h->worked = rests ? length : h->worked + length;
            h->row = rests ? 0 : h->row;
            return true;
        }
        if (!go_on(t, h))
            return false;
        rest_first = false;
    }
}

/* Price of the free minutes before this one. */
static double price_until(const struct trial *t, int at)
{
    int spent = at;
    for (size_t i = 0; i < t->in->n_fixed; i++)
        for (int m = 0; m < t->in->fixed[i].minutes; m++)
            spent -= fixed_from(t, i) + m < at;
    return t->line == PLAN_EVERYONE ? t->in->rules.worth * spent : 0;
}

/* Is the item worked on this line? */
static bool on_line(const struct trial *t, const struct plan_item *it)
{
    const struct plan_group *g = it->group < 0 ? NULL : &t->in->groups[it->group];
    const bool apart = g && t->apart && g->apart && !it->needs_all;
    return (!g || g->attends) && t->line == (apart ? it->group : PLAN_EVERYONE);
}

static double part_gain(const struct trial *t, int first, int last, int rep)
{
    double sum = 0, items = 0;
    for (size_t i = 0; i < t->in->n_items; i++) {
        const struct plan_item *it = &t->in->items[i];
        bool here = false;
        for (size_t k = 0; k < it->n_sets; k++)
            here |= it->sets[k] >= first && it->sets[k] <= last;
        items += here && on_line(t, it);
    }
    for (size_t i = 0; i < t->in->n_items; i++) {
        const struct plan_item *it = &t->in->items[i];
        double shares = 0;
        for (size_t k = 0; k < it->n_sets; k++)
            shares += it->set_shares ? it->set_shares[k] : 1;
        const double usual =
            t->line == PLAN_EVERYONE ? t->in->rules.learn : t->in->rules.apart_learn;
        const double p =
            (it->learn > 0 ? it->learn : usual) * fmin(1, (double)t->in->rules.say / items);
        for (size_t k = 0; k < it->n_sets; k++)
            if (on_line(t, it) && it->sets[k] >= first && it->sets[k] <= last)
                sum += it->weight * (it->set_shares ? it->set_shares[k] : 1) / shares * p *
                       pow(1 - p, rep - 1);
    }
    return t->line == PLAN_EVERYONE ? sum : sum * t->in->rules.apart_worth;
}

enum { HARD_MOST = 6 };

/* A run of sets, begun at set `first`. */
struct stretch {
    int first, last;
    double play;
    bool hard;
};

static int seconds_of(const struct trial *t, const struct stretch *s, int reps)
{
    const struct plan_rules *r = &t->in->rules;
    const int reset = t->line == PLAN_EVERYONE ? r->reset_s : r->apart_reset_s;
    const int rep = (int)ceil((s->play + reset) / 5 - 1e-9) * 5;
    return (int)ceil((s->play + reset + r->setup_s) / 5 - 1e-9) * 5 + (reps - 1) * rep;
}

static int length_of(const struct trial *t, const struct stretch *s, int reps)
{
    const int seconds = seconds_of(t, s, reps), least = t->in->rules.least;
    if (t->line != PLAN_EVERYONE)
        return seconds;
    return (seconds + 59) / 60 > least ? (seconds + 59) / 60 : least;
}

static double gain_of(const struct trial *t, const struct stretch *s, int reps)
{
    double sum = 0;
    for (int r = 1; r <= reps; r++)
        sum += part_gain(t, s->first, s->last, r);
    return sum;
}

/* So many reps are the most that are worth it: the last one, and all of them. */
static bool worth_it(const struct trial *t, const struct stretch *s, int reps)
{
    const double price = t->in->rules.worth / 60;
    const double last = part_gain(t, s->first, s->last, reps);
    if (reps > 1 && last < price * (seconds_of(t, s, reps) - seconds_of(t, s, reps - 1)))
        return false;
    return reps > 1 || gain_of(t, s, 1) > 0;
}

static int most_reps(const struct trial *t, const struct stretch *s)
{
    int most = t->in->rules.most_reps;
    most = s->hard && most > HARD_MOST ? HARD_MOST : most;
    while (most > 1 && !worth_it(t, s, most))
        most--;
    return gain_of(t, s, most) < t->in->rules.worth / 60 * seconds_of(t, s, most) ? 0 : most;
}

static double try_all(const struct trial *t, int set, struct here h)
{
    const struct plan_input *in = t->in;
    if (set >= (int)in->n_sets)
        return may_stop(t, &h) ? -price_until(t, h.at) : -INFINITY;
    double best = try_all(t, set + 1, h);
    struct stretch s = {.first = set, .last = set};
    for (; s.last < (int)in->n_sets && s.last - set < in->rules.chunk_sets; s.last++) {
        if (s.last > set && in->sets[s.last].opens)
            break;
        s.play += in->sets[s.last].play_s;
        s.hard |= in->sets[s.last].step_in >= 36;
        for (int reps = most_reps(t, &s); reps > 0; reps--) {
            struct here next = h;
            const bool too_many = s.hard && h.row > 0 && h.row + reps > HARD_MOST;
            if (!put_there(t, length_of(t, &s, reps), too_many, &next))
                continue;
            next.row = s.hard ? next.row + reps : 0;
            best = fmax(best, gain_of(t, &s, reps) + try_all(t, s.last + 1, next));
        }
    }
    return best;
}

static double try_every_length(const struct plan_input *in)
{
    const struct trial full = {in, PLAN_EVERYONE, in->rules.minutes, true};
    double best = -INFINITY;
    for (int length = in->rules.least; length <= in->rules.minutes; length++) {
        const int list = length * 60 - in->rules.gather_s;
        struct here h = {0, 0, 0};
        double sum = 0;
        if (list < 0 || !put_there(&full, length, false, &h))
            continue;
        h.row = 0;
        for (int g = 0; g < (int)in->n_groups; g++)
            sum += try_all(&(struct trial){in, g, list, true}, 0, (struct here){0, 0, 0});
        best = fmax(best, sum + try_all(&full, 0, h));
    }
    return best;
}

/* Returns gain less price. */
static double assert_apart_equals_trial(const struct draw *d, uint32_t seed)
{
    const double value = plan_value(&d->in, PLAN_APART), other = try_every_length(&d->in);
    assert_equal_value(value, other, seed);
    return value;
}

static void sectionals_around_fixed_items_equal_the_trial_of_every_choice(void **state)
{
    (void)state;
    for (uint32_t seed = 3001; seed <= 3030; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 3,
                                       .items = 4 + (int)seed % 3,
                                       .groups = 2,
                                       .fixed = 1,
                                       .minutes = 6 + (int)seed % 3,
                                       .chunk_sets = 2,
                                       .most_reps = 3};
        draw_rehearsal(&d, seed, &size);
        give_sectional(&d);
        d.in.rules.worth /= 10; /* so that the section has something that is worth it */
        assert_apart_equals_trial(&d, seed);
    }
}

static void rows_of_hard_reps_equal_the_trial_of_every_choice(void **state)
{
    (void)state;
    int binds = 0;
    for (uint32_t seed = 4001; seed <= 4040; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 3 + (int)seed % 2,
                                       .items = 4 + (int)seed % 3,
                                       .groups = 2,
                                       .fixed = (int)seed % 2,
                                       .minutes = 8,
                                       .chunk_sets = 2,
                                       .most_reps = 8};
        draw_rehearsal(&d, seed, &size);
        give_sectional(&d);
        d.in.rules.setup_s = 0;
        d.in.rules.worth = 0;
        const double easy = plan_value(&d.in, PLAN_APART);
        for (int s = 0; s < size.sets; s++)
            d.sets[s].step_in = (seed >> s) % 3 ? 40 : 20;
        binds += assert_apart_equals_trial(&d, seed) < easy - 1e-9;
    }
    assert_in_range(binds, 5, 40); /* the rows were too long without the rule */
}

/* A rhythm short enough to be kept in a few minutes, and fixed items that it must be kept around. */
static void breaks_between_blocks_equal_the_trial_of_every_choice(void **state)
{
    (void)state;
    int binds = 0;
    for (uint32_t seed = 5001; seed <= 5060; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 4 + (int)seed % 2,
                                       .items = 5 + (int)seed % 3,
                                       .groups = 2,
                                       .fixed = (int)seed % 3,
                                       .minutes = 10 + (int)seed % 5,
                                       .chunk_sets = 2,
                                       .most_reps = 4};
        draw_rehearsal(&d, seed, &size);
        give_sectional(&d);
        d.in.rules.worth = 0;
        d.in.rules.least = 1;
        for (int s = 0; s < size.sets; s++)
            d.sets[s].step_in = (seed >> s) % 4 ? 20 : 40;
        const double easy = plan_value(&d.in, PLAN_APART);
        d.in.rules.breaks = (struct heat_breaks){.work_most_s = 60 * (3 + (int)seed % 3),
                                                 .break_s = 60 + 60 * (seed % 2)};
        binds += assert_apart_equals_trial(&d, seed) < easy - 1e-9;
    }
    assert_in_range(binds, 20, 60); /* the rhythm took something */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_together_equals_the_integer_program),
        cmocka_unit_test(sectionals_equal_the_integer_program),
        cmocka_unit_test(sectionals_around_fixed_items_equal_the_trial_of_every_choice),
        cmocka_unit_test(rows_of_hard_reps_equal_the_trial_of_every_choice),
        cmocka_unit_test(breaks_between_blocks_equal_the_trial_of_every_choice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
