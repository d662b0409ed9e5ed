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

static double plan_gain(const struct plan_input *in, enum plan_wish_kind shape)
{
    struct arena a = {0};
    struct plan plan;
    struct err e = {0};
    const struct plan_wish wish = {.kind = shape};
    struct plan_input asked = *in;
    asked.wishes = &wish;
    asked.n_wishes = 1;
    /* a rehearsal too short for any rep is worth nothing to the other solvers */
    const double gain = plan_make(&asked, &a, &plan, &e) ? plan.gain : 0;
    arena_free(&a);
    return gain;
}

static void assert_equal_gain(double plan, double other, uint32_t seed)
{
    if (!(fabs(plan - other) <= 1e-7 * fmax(1, other)))
        fail_msg("rehearsal %u: plan %.12g, other %.12g", seed, plan, other);
}

static void all_together_equals_the_integer_program(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 130; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 3 + (int)seed % 5,
                                       .items = 2 + (int)seed % 6,
                                       .groups = 2,
                                       .minutes = 2 + (int)seed % 6,
                                       .chunk_sets = 1 + (int)seed % 3,
                                       .most_reps = 3 + (int)seed % 3};
        draw_rehearsal(&d, seed, &size);
        assert_equal_gain(plan_gain(&d.in, PLAN_TOGETHER), lp_together(&d.in), seed);
    }
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
    for (uint32_t seed = 1001; seed <= 1050; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 4 + (int)seed % 3,
                                       .items = 5 + (int)seed % 5,
                                       .groups = 3,
                                       .minutes = 3 + (int)seed % 4,
                                       .chunk_sets = 2,
                                       .most_reps = 3};
        draw_rehearsal(&d, seed, &size);
        give_sectional(&d);
        const double apart = lp_apart(&d.in), together = lp_together(&d.in);
        struct arena a = {0};
        struct plan plan;
        struct err e = {0};
        assert_true(plan_make(&d.in, &a, &plan, &e));
        assert_equal_gain(plan.gain, fmax(apart, together), seed);
        assert_equal_gain(plan_gain(&d.in, PLAN_APART), apart, seed);
        chosen += plan.apart;
        arena_free(&a);
    }
    assert_in_range(chosen, 3, 47); /* both shapes were the better one now and then */
}

static void fixed_items_equal_the_integer_program(void **state)
{
    (void)state;
    for (uint32_t seed = 2001; seed <= 2040; seed++) {
        struct draw d;
        const struct draw_size size = {.sets = 3 + (int)seed % 2,
                                       .items = 3 + (int)seed % 3,
                                       .groups = 1,
                                       .fixed = 1 + (int)seed % 2,
                                       .minutes = 6 + (int)seed % 5,
                                       .chunk_sets = 2,
                                       .most_reps = 3};
        draw_rehearsal(&d, seed, &size);
        assert_equal_gain(plan_gain(&d.in, PLAN_TOGETHER), lp_together(&d.in), seed);
    }
}

/* --- every choice, one after the other ------------------------------------------------------ */

struct trial {
    const struct plan_input *in;
    int line, limit_s;
    bool apart;
};

static int end_of(const struct trial *t, int at, int length)
{
    for (size_t i = 0; i < t->in->n_fixed; i++) {
        const int from = (t->in->fixed[i].at_min - t->in->rules.start_min) * 60;
        const int to = from + t->in->fixed[i].minutes * 60;
        if (at < to && at + length > from)
            at = to;
    }
    return at + length;
}

/* Is the item worked on this line? */
static bool on_line(const struct trial *t, const struct plan_item *it)
{
    const struct plan_group *g = it->group < 0 ? NULL : &t->in->groups[it->group];
    const bool apart = g && t->apart && g->apart && !it->needs_all;
    return (!g || g->attends) && t->line == (apart ? it->group : PLAN_EVERYONE);
}

/* The end of the next fixed item, far away when there is none. */
static int rested_at(const struct trial *t, int at)
{
    for (size_t i = 0; i < t->in->n_fixed; i++) {
        const int to =
            (t->in->fixed[i].at_min - t->in->rules.start_min + t->in->fixed[i].minutes) * 60;
        if (to > at)
            return to;
    }
    return 1000000;
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
    return sum;
}

/* row: hard reps since somebody last rested or did something else. */
static double try_all(const struct trial *t, int set, int at, int row)
{
    enum { HARD_MOST = 6 };
    const struct plan_input *in = t->in;
    bool hard = false;
    if (set >= (int)in->n_sets)
        return 0;
    const int reset = t->line == PLAN_EVERYONE ? in->rules.reset_s : in->rules.apart_reset_s;
    double best = try_all(t, set + 1, at, row), play = 0;
    for (int last = set; last < (int)in->n_sets && last - set < in->rules.chunk_sets; last++) {
        if (last > set && in->sets[last].opens)
            break;
        play += in->sets[last].play_s;
        hard |= in->sets[last].step_in >= 36;
        const int rep_s = (int)ceil((play + reset) / 5 - 1e-9) * 5;
        double gained = 0;
        int now = at, hards = row;
        for (int rep = 1; rep <= in->rules.most_reps; rep++) {
            const bool rested = end_of(t, now, rep_s) - rep_s != now;
            hards = hard ? 1 + (rested ? 0 : hards) : 0;
            if (hards > HARD_MOST)
                now = rested_at(t, now), hards = 1;
            now = end_of(t, now, rep_s);
            if (now > t->limit_s)
                break;
            gained += part_gain(t, set, last, rep);
            best = fmax(best, gained + try_all(t, last + 1, now, hards));
        }
    }
    return best;
}

static double try_every_length(const struct plan_input *in)
{
    const int all = in->rules.minutes * 60;
    double best = 0;
    for (int length = 5; length <= all; length += 5) {
        double sum = 0;
        for (int g = 0; g < (int)in->n_groups; g++)
            sum += try_all(&(struct trial){in, g, length, true}, 0, 0, 0);
        const struct trial full = {in, PLAN_EVERYONE, all, true};
        const int from =
            in->rules.gather_s ? end_of(&full, length, (in->rules.gather_s + 4) / 5 * 5) : length;
        best = from <= all ? fmax(best, sum + try_all(&full, 0, from, 0)) : best;
    }
    return best;
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
                                       .minutes = 4 + (int)seed % 3,
                                       .chunk_sets = 2,
                                       .most_reps = 3};
        draw_rehearsal(&d, seed, &size);
        give_sectional(&d);
        assert_equal_gain(plan_gain(&d.in, PLAN_APART), try_every_length(&d.in), seed);
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
        const double easy = plan_gain(&d.in, PLAN_APART);
        for (int s = 0; s < size.sets; s++)
            d.sets[s].step_in = (seed >> s) % 3 ? 40 : 20;
        const double gain = plan_gain(&d.in, PLAN_APART);
        assert_equal_gain(gain, try_every_length(&d.in), seed);
        binds += gain < easy - 1e-9;
    }
    assert_in_range(binds, 5, 40); /* the rows were too long without the rule */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_together_equals_the_integer_program),
        cmocka_unit_test(sectionals_equal_the_integer_program),
        cmocka_unit_test(fixed_items_equal_the_integer_program),
        cmocka_unit_test(sectionals_around_fixed_items_equal_the_trial_of_every_choice),
        cmocka_unit_test(rows_of_hard_reps_equal_the_trial_of_every_choice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
