/* Who it was: the pairing of all against GLPK's linear program, probabilities against how often they
 * are right. */
#include <glpk.h>
#include <math.h>
#include <string.h>

#include "field/chance.h"
#include "field/assign.h"
#include "field/who.h"
#include "lib/cases.h"

/* --- all at once ------------------------------------------------------------------------------- */

enum { MOST = 14 };

/* The same as a linear program, whose corners are whole: a variable for each pair, each row once or
 * alone, each column once at most. */
static double least_cost(const double *cost, int rows, int columns, double alone)
{
    int row[MOST * MOST * 2 + 1], column[MOST * MOST * 2 + 1], n = 0;
    double one[MOST * MOST * 2 + 1];
    glp_prob *lp = glp_create_prob();
    glp_smcp how;
    glp_add_rows(lp, rows + columns);
    glp_add_cols(lp, rows * columns + rows);
    for (int r = 0; r < rows; r++)
        glp_set_row_bnds(lp, r + 1, GLP_FX, 1, 1);
    for (int c = 0; c < columns; c++)
        glp_set_row_bnds(lp, rows + c + 1, GLP_UP, 0, 1);
    for (int r = 0; r < rows; r++)
        for (int c = 0; c <= columns; c++) {
            const bool single = c == columns;
            const int at = single ? rows * columns + r + 1 : r * columns + c + 1;
            glp_set_col_bnds(lp, at, GLP_LO, 0, 0);
            glp_set_obj_coef(lp, at, single ? alone : cost[r * columns + c]);
            row[++n] = r + 1, column[n] = at, one[n] = 1;
            if (!single)
                row[++n] = rows + c + 1, column[n] = at, one[n] = 1;
        }
    glp_load_matrix(lp, n, row, column, one);
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    assert_int_equal(glp_simplex(lp, &how), 0);
    const double least = glp_get_obj_val(lp);
    glp_delete_prob(lp);
    return least;
}

static void no_pairing_costs_less(void **state)
{
    (void)state;
    for (int trial = 0; trial < 400; trial++) {
        const int rows = (int)between(0, MOST), columns = (int)between(0, MOST);
        const double alone = between(0.1, 1.5);
        double cost[MOST * MOST], sum = 0;
        int to[MOST], taken[MOST] = {0};
        for (int i = 0; i < rows * columns; i++) /* ties too */
            cost[i] = trial % 3 ? between(0, 1) : floor(between(0, 4)) / 4;
        assign(cost, (size_t)rows, (size_t)columns, alone, to);
        for (int r = 0; r < rows; r++) {
            assert_true(to[r] >= -1 && to[r] < columns);
            sum += to[r] < 0 ? alone : cost[r * columns + to[r]];
            if (to[r] >= 0)
                assert_int_equal(taken[to[r]]++, 0);
        }
        if (rows > 0 && fabs(sum - least_cost(cost, rows, columns, alone)) > 1e-9)
            fail_msg("%d x %d: %.12f", rows, columns, sum);
    }
}

/* Three dots two steps apart in a row; everybody stands 1.2 steps to the right. One by one the second
 * would be taken for the third's. */
static void neighbours_are_not_taken_for_each_other(void **state)
{
    (void)state;
    double cost[9];
    int to[3];
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++)
            cost[3 * r + c] = pow(2 * r + 1.2 - 2 * c, 2);
    assert_true(cost[3 * 0 + 1] < cost[3 * 0 + 0]);
    assign(cost, 3, 3, 100, to);
    for (int r = 0; r < 3; r++)
        assert_int_equal(to[r], r);
}

/* --- one --------------------------------------------------------------------------------------- */

static void a_tie_is_a_tie(void **state)
{
    (void)state;
    const struct field_place dots[] = {{0, 0}, {45, 0}, {2000, 900}};
    struct candidate who[2];
    const struct who_ask ask = {.at = {22.5, 0},
                                .cov = {{9, 0}, {0, 100}},
                                .usual_sd = WHO_USUAL_SD_IN,
                                .dots = dots,
                                .n = 3};
    assert_int_equal(who_is(&ask, who, 2), 2);
    assert_true(fabs(who[0].probability - 0.5) < 1e-12 && fabs(who[1].probability - 0.5) < 1e-12);
    assert_true(who[0].off == 22.5);
    assert_int_equal(who_is(&(struct who_ask){.dots = dots}, who, 2), 0);
}

/* Dots in a block, clicks whose error is known; of those called 70 % sure, 70 % are right. */
static void probabilities_are_how_often_it_is_right(void **state)
{
    (void)state;
    enum { ROWS = 6, FILES = 8, TRIALS = 20000, BINS = 5 };
    for (int steps = 1; steps <= 2; steps++) {
        struct field_place dots[ROWS * FILES];
        int n[BINS] = {0}, right[BINS] = {0}, sure = 0;
        double claimed[BINS] = {0};
        for (int i = 0; i < ROWS * FILES; i++)
            dots[i] =
                (struct field_place){(i % FILES) * 22.5 * steps, (i / FILES) * 22.857 * steps};
        for (int t = 0; t < TRIALS; t++) {
            const size_t truth = (size_t)between(0, ROWS * FILES);
            const double sd_x = between(1, 5), sd_y = between(2, 14);
            struct candidate who[2];
            struct who_ask ask = {.cov = {{sd_x * sd_x, 0}, {0, sd_y * sd_y}},
                                  .usual_sd = WHO_USUAL_SD_IN,
                                  .dots = dots,
                                  .n = ROWS * FILES};
            ask.at = (struct field_place){dots[truth].x + normal() * hypot(sd_x, ask.usual_sd),
                                          dots[truth].y + normal() * hypot(sd_y, ask.usual_sd)};
            assert_int_equal(who_is(&ask, who, 2), 2);
            const int bin = (int)fmin(BINS - 1, who[0].probability * BINS);
            n[bin]++;
            claimed[bin] += who[0].probability;
            right[bin] += who[0].dot == truth;
            sure += who[0].dot == truth;
        }
        for (int b = 0; b < BINS; b++)
            if (n[b] > 400 && fabs((right[b] - claimed[b]) / n[b]) > 0.05)
                fail_msg("called %.3f, right %.3f of %d", claimed[b] / n[b],
                         (double)right[b] / n[b], n[b]);
        assert_true(steps == 1 || sure > TRIALS * 0.8);
    }
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, no_pairing_costs_less);
    case_test(&all, neighbours_are_not_taken_for_each_other);
    case_test(&all, a_tie_is_a_tie);
    case_test(&all, probabilities_are_how_often_it_is_right);
    return cases_run(&all, "who it was");
}
