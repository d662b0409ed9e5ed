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

static double plan_ms(const struct plan_input *in, double *gain)
{
    const int rounds = 5;
    double best = INFINITY;
    for (int i = 0; i < rounds; i++) {
        struct arena a = {0};
        struct plan plan;
        struct err e = {0};
        const struct plan_wish together = {.kind = PLAN_TOGETHER};
        struct plan_input asked = *in;
        asked.wishes = &together;
        asked.n_wishes = 1;
        const double from = now_ms();
        *gain = plan_make(&asked, &a, &plan, &e) ? plan.gain : NAN;
        best = fmin(best, now_ms() - from);
        arena_free(&a);
    }
    return best / 2; /* with a wish the optimum without it is found as well */
}

/* How many times as long GLPK takes. */
static double beside_glpk(const struct draw_size *size, uint32_t seed)
{
    static struct draw d;
    double gain;
    draw_rehearsal(&d, seed, size);
    const double plan = plan_ms(&d.in, &gain), from = now_ms();
    const double other = lp_together(&d.in), glpk = now_ms() - from;
    printf("%2d sets, %3d min: plan %7.2f ms, GLPK %8.2f ms, ratio 1:%.0f\n", size->sets,
           size->minutes, plan, glpk, glpk / plan);
    if (!(fabs(gain - other) < 1e-6))
        bench_holds("gains are equal", false);
    return glpk / plan;
}

static void alone(void)
{
    static struct draw d;
    const struct draw_size size = {
        .sets = 50, .items = 80, .groups = 4, .minutes = 180, .chunk_sets = 4, .most_reps = 12};
    double gain;
    draw_rehearsal(&d, 1, &size);
    for (int s = 0; s < size.sets; s++)
        d.sets[s].opens = false;
    d.in.rules.breaks = heat_breaks_default();
    const double ms = plan_ms(&d.in, &gain);
    printf("50 sets, some 200 chunks, 3 h at 5 s, 12 reps, breaks: gain %.1f\n", gain);
    bench_at_most("a plan of that size", ms, 50, "ms");
}

int main(void)
{
    const struct draw_size sizes[] = {
        {.sets = 6, .items = 8, .groups = 2, .minutes = 8, .chunk_sets = 3, .most_reps = 6},
        {.sets = 12, .items = 16, .groups = 2, .minutes = 15, .chunk_sets = 3, .most_reps = 6},
        {.sets = 20, .items = 30, .groups = 2, .minutes = 30, .chunk_sets = 3, .most_reps = 8},
    };
    double least = INFINITY;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        for (uint32_t seed = 1; seed <= 3; seed++)
            least = fmin(least, beside_glpk(&sizes[i], seed));
    bench_at_least("GLPK / plan, the least of these", least, 1, "");
    alone();
    return bench_end();
}
