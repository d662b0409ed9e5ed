#include "lp.h"

#include <glpk.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNKS = 3000, BINS = 40 };

/* A chunk with so many reps. */
struct chunk {
    int line, first, last, reps;
    int minutes, seconds;
    double gain;
    int y[BINS]; /* columns; of a group's list the first alone */
};

struct program {
    const struct plan_input *in;
    bool apart;
    glp_prob *lp;
    int *row, *column; /* from 1, as GLPK has it */
    double *value;
    int cells, room;
    struct chunk chunks[CHUNKS];
    int n_chunks;
    int bins[BINS], n_bins; /* minutes */
    double before;          /* price of what is spent before the first bin */
};

static void put(struct program *p, int row, int column, double value)
{
    p->cells++;
    if (p->cells >= p->room) {
        p->room = p->room ? 2 * p->room : 1024;
        p->row = realloc(p->row, (size_t)p->room * sizeof *p->row);
        p->column = realloc(p->column, (size_t)p->room * sizeof *p->column);
        p->value = realloc(p->value, (size_t)p->room * sizeof *p->value);
    }
    p->row[p->cells] = row;
    p->column[p->cells] = column;
    p->value[p->cells] = value;
}

static int add_row(struct program *p, double most)
{
    const int row = glp_add_rows(p->lp, 1);
    glp_set_row_bnds(p->lp, row, GLP_UP, 0, most);
    return row;
}

static int add_column(struct program *p, int kind, double most, double worth)
{
    const int column = glp_add_cols(p->lp, 1);
    glp_set_col_kind(p->lp, column, kind);
    if (kind != GLP_BV)
        glp_set_col_bnds(p->lp, column, most > 0 ? GLP_DB : GLP_FX, 0, most);
    glp_set_obj_coef(p->lp, column, worth);
    return column;
}

/* --- gains ----------------------------------------------------------------------------------- */

static int line_of_item(const struct program *p, const struct plan_item *it)
{
    if (it->group < 0)
        return PLAN_EVERYONE;
    const struct plan_group *g = &p->in->groups[it->group];
    if (!g->attends)
        return -2;
    return p->apart && g->apart && !it->needs_all ? it->group : PLAN_EVERYONE;
}

static bool in_chunk(const struct plan_item *it, int first, int last)
{
    for (size_t k = 0; k < it->n_sets; k++)
        if (it->sets[k] >= first && it->sets[k] <= last)
            return true;
    return false;
}

/* Of the items of the chunk so many are said before a rep. */
static double part_said(const struct program *p, int line, int first, int last)
{
    int n = 0;
    for (size_t i = 0; i < p->in->n_items; i++)
        n += line_of_item(p, &p->in->items[i]) == line && in_chunk(&p->in->items[i], first, last);
    return fmin(1, (double)p->in->rules.say / n);
}

static double gain(const struct program *p, int line, int first, int last, int reps)
{
    const double said = part_said(p, line, first, last);
    double sum = 0;
    for (size_t i = 0; i < p->in->n_items; i++) {
        const struct plan_item *it = &p->in->items[i];
        double shares = 0;
        for (size_t k = 0; k < it->n_sets; k++)
            shares += it->set_shares ? it->set_shares[k] : 1;
        const double usual = line == PLAN_EVERYONE ? p->in->rules.learn : p->in->rules.apart_learn;
        const double learn = said * (it->learn > 0 ? it->learn : usual);
        for (size_t k = 0; k < it->n_sets; k++) {
            const double share = (it->set_shares ? it->set_shares[k] : 1) / shares;
            for (int r = 0; line_of_item(p, it) == line && it->sets[k] >= first &&
                            it->sets[k] <= last && r < reps;
                 r++)
                sum += it->weight * share * learn * pow(1 - learn, r);
        }
    }
    return line == PLAN_EVERYONE ? sum : sum * p->in->rules.apart_worth;
}

/* --- chunks ---------------------------------------------------------------------------------- */

static int round_up(double seconds)
{
    const int whole = (int)ceil(seconds / 5 - 1e-9) * 5;
    return whole > 0 ? whole : 5;
}

/* Every rep is worth its time, and all of them are. */
static bool worth_it(const struct program *p, int line, int first, int last, const int *end_s)
{
    const double price = p->in->rules.worth / 60;
    for (int r = 2; end_s[r]; r++)
        if (gain(p, line, first, last, r) - gain(p, line, first, last, r - 1) <
            price * (end_s[r] - end_s[r - 1]))
            return false;
    int all = 1;
    while (end_s[all + 1])
        all++;
    return gain(p, line, first, last, all) >= price * end_s[all];
}

/* The most reps that are worth it; whether fewer would be is not asked of those below. */
static int most_reps(const struct program *p, int line, int first, int last, double play)
{
    const struct plan_rules *rules = &p->in->rules;
    const int reset = line == PLAN_EVERYONE ? rules->reset_s : rules->apart_reset_s;
    const int rep = round_up(play + reset), lead = round_up(play + reset + rules->setup_s);
    for (int most = rules->most_reps; most > 0; most--) {
        int end_s[PLAN_REPS_MOST + 2] = {0};
        for (int r = 1; r <= most; r++)
            end_s[r] = lead + (r - 1) * rep;
        if (worth_it(p, line, first, last, end_s))
            return most;
    }
    return 0;
}

static void add_chunk(struct program *p, int line, int first, int last, double play)
{
    const struct plan_rules *rules = &p->in->rules;
    const int reset = line == PLAN_EVERYONE ? rules->reset_s : rules->apart_reset_s;
    const int most = most_reps(p, line, first, last, play);
    for (int r = 1; r <= most; r++) {
        struct chunk *c = &p->chunks[p->n_chunks++];
        const int seconds =
            round_up(play + reset + rules->setup_s) + (r - 1) * round_up(play + reset);
        *c = (struct chunk){.line = line,
                            .first = first,
                            .last = last,
                            .reps = r,
                            .seconds = seconds,
                            .minutes = (int)fmax(rules->least, ceil(seconds / 60.0)),
                            .gain = gain(p, line, first, last, r)};
        const int n = line == PLAN_EVERYONE ? p->n_bins : 1;
        for (int b = 0; b < n; b++)
            c->y[b] = add_column(p, GLP_BV, 1, c->gain);
    }
}

/* All runs of sets that have something open in them. */
static void list_chunks(struct program *p, int line)
{
    const struct plan_input *in = p->in;
    for (int first = 0; first < (int)in->n_sets; first++) {
        double play = 0;
        for (int last = first; last < (int)in->n_sets && last - first < in->rules.chunk_sets;
             last++) {
            if (last > first && in->sets[last].opens)
                break;
            play += in->sets[last].play_s;
            if (gain(p, line, first, last, 1) > 0)
                add_chunk(p, line, first, last, play);
        }
    }
}

static int n_columns(const struct program *p, const struct chunk *c)
{
    return c->line == PLAN_EVERYONE ? p->n_bins : 1;
}

static void one_chunk_for_a_set(struct program *p, int line)
{
    for (int s = 0; s < (int)p->in->n_sets; s++) {
        const int row = add_row(p, 1);
        for (int i = 0; i < p->n_chunks; i++) {
            const struct chunk *c = &p->chunks[i];
            for (int b = 0; c->line == line && c->first <= s && s <= c->last && b < n_columns(p, c);
                 b++)
                put(p, row, c->y[b], 1);
        }
    }
}

/* --- the day ---------------------------------------------------------------------------------- */

/* Free minutes between the fixed items. */
static void find_bins(struct program *p)
{
    int from = 0;
    for (size_t i = 0; i < p->in->n_fixed; i++) {
        const int at = p->in->fixed[i].at_min - p->in->rules.start_min;
        p->bins[p->n_bins++] = at - from;
        from = at + p->in->fixed[i].minutes;
    }
    p->bins[p->n_bins++] = p->in->rules.minutes - from;
}

/* The sectional period takes the beginning of the first bin that has room; false when none has. */
static bool take_period(struct program *p, int length)
{
    int b = 0;
    for (; b < p->n_bins && p->bins[b] < length; b++)
        p->before += p->in->rules.worth * p->bins[b];
    if (b == p->n_bins)
        return false;
    p->before += p->in->rules.worth * length;
    p->bins[b] -= length;
    memmove(p->bins, p->bins + b, (size_t)(p->n_bins - b) * sizeof *p->bins);
    p->n_bins -= b;
    return true;
}

static void bins_hold_and_cost(struct program *p)
{
    for (int b = 0; b < p->n_bins; b++) {
        const int spent = add_column(p, GLP_CV, p->bins[b], -p->in->rules.worth);
        const int holds = add_row(p, p->bins[b]), costs = add_row(p, 0);
        put(p, costs, spent, -1);
        for (int i = 0; i < p->n_chunks; i++) {
            const struct chunk *c = &p->chunks[i];
            if (c->line != PLAN_EVERYONE)
                continue;
            put(p, holds, c->y[b], c->minutes);
            put(p, costs, c->y[b], c->minutes);
            for (int later = b + 1; later < p->n_bins; later++) {
                const int all = add_row(p, 0);
                put(p, all, c->y[later], p->bins[b]);
                put(p, all, spent, -1);
            }
        }
    }
}

static void bins_follow_the_show(struct program *p)
{
    for (int i = 0; i < p->n_chunks; i++)
        for (int j = 0; j < p->n_chunks; j++) {
            const struct chunk *c = &p->chunks[i], *after = &p->chunks[j];
            if (c->line != PLAN_EVERYONE || after->line != PLAN_EVERYONE || c->last >= after->first)
                continue;
            for (int later = 1; later < p->n_bins; later++) {
                const int row = add_row(p, 1);
                put(p, row, c->y[later], 1);
                for (int earlier = 0; earlier < later; earlier++)
                    put(p, row, after->y[earlier], 1);
            }
        }
}

static void list_of_group(struct program *p, int group, int seconds)
{
    list_chunks(p, group);
    one_chunk_for_a_set(p, group);
    const int row = add_row(p, seconds);
    for (int i = 0; i < p->n_chunks; i++)
        if (p->chunks[i].line == group)
            put(p, row, p->chunks[i].y[0], p->chunks[i].seconds);
}

/* --- solving ---------------------------------------------------------------------------------- */

static double optimum(struct program *p)
{
    glp_load_matrix(p->lp, p->cells, p->row, p->column, p->value);
    glp_iocp how;
    glp_init_iocp(&how);
    how.presolve = GLP_ON;
    how.msg_lev = GLP_MSG_OFF;
    how.mip_gap = 0;
    if (glp_get_num_cols(p->lp) == 0)
        return -p->before;
    return glp_intopt(p->lp, &how) ? NAN : glp_mip_obj_val(p->lp) - p->before;
}

static double solve(const struct plan_input *in, int length, bool *fits)
{
    struct program *p = calloc(1, sizeof *p);
    p->in = in;
    p->apart = length > 0;
    p->lp = glp_create_prob();
    glp_set_obj_dir(p->lp, GLP_MAX);
    find_bins(p);
    *fits = !p->apart || (length * 60 >= in->rules.gather_s && take_period(p, length));
    double best = -INFINITY;
    if (*fits) {
        list_chunks(p, PLAN_EVERYONE);
        one_chunk_for_a_set(p, PLAN_EVERYONE);
        bins_hold_and_cost(p);
        bins_follow_the_show(p);
        for (int g = 0; p->apart && g < (int)in->n_groups; g++)
            list_of_group(p, g, length * 60 - in->rules.gather_s);
        best = optimum(p);
    }
    glp_delete_prob(p->lp);
    free(p->row);
    free(p->column);
    free(p->value);
    free(p);
    return best;
}

struct lp_best lp_together(const struct plan_input *in)
{
    bool fits;
    return (struct lp_best){solve(in, 0, &fits), 1};
}

struct lp_best lp_apart(const struct plan_input *in)
{
    struct lp_best best = {-INFINITY, 0};
    for (int length = in->rules.least; length <= in->rules.minutes; length++) {
        bool fits;
        best.value = fmax(best.value, solve(in, length, &fits));
        best.programs += fits;
    }
    return best;
}
