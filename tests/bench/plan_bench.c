/* How long the rep plan takes: beside GLPK on the same question, and alone at full size.
 *   plan_bench            prints one line for each size
 * Times differ from machine to machine; the ratio of the two is the figure to look at. */
#include <math.h>
#include <stdio.h>

#include "bench.h"
#include "draw.h"
#include "lp.h"

static double now_ms(void)
{
    return bench_now() * 1e3;
}

static double plan_ms(const struct plan_input *in, double *value)
{
    const int rounds = 5;
    double best = INFINITY;
    for (int i = 0; i < rounds; i++) {
        struct arena a = {0};
        struct plan plan;
        struct err e = {0};
        const double from = now_ms();
        *value = plan_make(in, &a, &plan, &e) ? plan.gain - plan.price : NAN;
        best = fmin(best, now_ms() - from);
        arena_free(&a);
    }
    return best;
}

/* How many times as long GLPK takes. Nobody works apart and nobody rests: that is one program. */
static double beside_glpk(const struct draw_size *size, uint32_t seed)
{
    static struct draw d;
    double value;
    draw_rehearsal(&d, seed, size);
    for (int g = 0; g < size->groups; g++)
        d.groups[g].apart = false;
    const double plan = plan_ms(&d.in, &value), from = now_ms();
    const double other = lp_together(&d.in).value, glpk = now_ms() - from;
    printf("%2d sets, %3d min: plan %7.2f ms, GLPK %8.2f ms, ratio 1:%.0f\n", size->sets,
           size->minutes, plan, glpk, glpk / plan);
    if (!(fabs(value - other) < 1e-6))
        bench_holds("gains less price are equal", false);
    return glpk / plan;
}

/* Sections apart or not, breaks, and moves that are hard on the body. */
static void alone(const char *what, int hard)
{
    static struct draw d;
    const struct draw_size size = {
        .sets = 50, .items = 80, .groups = 4, .minutes = 180, .chunk_sets = 4, .most_reps = 8};
    double value;
    draw_rehearsal(&d, 1, &size);
    d.in.rules.least = 5;
    for (int s = 0; s < size.sets; s++) {
        d.sets[s].opens = false;
        d.sets[s].step_in = s % 10 < hard ? 40 : 0;
    }
    d.in.rules.breaks = heat_breaks_default();
    const double ms = plan_ms(&d.in, &value);
    printf("50 sets, some 200 chunks, 3 h, 8 reps, sectionals, breaks, %s: gain less price %.1f\n",
           what, value);
    bench_at_most("a plan of that size", ms, 50, "ms");
}

int main(void)
{
    const struct draw_size sizes[] = {
        {.sets = 6, .items = 8, .groups = 2, .minutes = 8, .chunk_sets = 3, .most_reps = 6},
        {.sets = 12, .items = 16, .groups = 2, .minutes = 15, .chunk_sets = 3, .most_reps = 6},
        {.sets = 20, .items = 30, .groups = 2, .minutes = 30, .chunk_sets = 3, .most_reps = 8},
        {.sets = 50, .items = 80, .groups = 2, .minutes = 180, .chunk_sets = 4, .most_reps = 8},
    };
    double least = INFINITY;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        for (uint32_t seed = 1; seed <= 3; seed++)
            least = fmin(least, beside_glpk(&sizes[i], seed));
    bench_at_least("GLPK / plan, the least of these", least, 1, "");
    alone("no hard moves", 0);
    alone("every fifth set hard", 2);
    return bench_end();
}
