#include "lp.h"

#include <glpk.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CELLS = 400000, CHUNKS = 400, BINS = 8 };

struct chunk {
    int line, first, last, rep, lead; /* seconds */
    int y;                            /* column of y for one rep; more reps follow */
    int in_bin[BINS], use_bin[BINS];  /* columns */
};

struct program {
    const struct plan_input *in;
    bool apart;
    glp_prob *lp;
    int row[CELLS + 1], column[CELLS + 1];
    double value[CELLS + 1];
    int cells;
    struct chunk chunks[CHUNKS];
    int n_chunks;
    int bins[BINS], n_bins; /* seconds */
};

static void put(struct program *p, int row, int column, double value)
{
    p->cells++;
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
        glp_set_col_bnds(p->lp, column, GLP_DB, 0, most);
    glp_set_obj_coef(p->lp, column, worth);
    return column;
}

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
    return sum;
}

static int round_up(double seconds)
{
    const int whole = (int)ceil(seconds / 5 - 1e-9) * 5;
    return whole > 0 ? whole : 5;
}

/* All runs of sets, whether they are worth anything or not. */
static void list_chunks(struct program *p, int line)
{
    const struct plan_input *in = p->in;
    const int reset = line == PLAN_EVERYONE ? in->rules.reset_s : in->rules.apart_reset_s;
    for (int first = 0; first < (int)in->n_sets; first++) {
        double play = 0;
        for (int last = first; last < (int)in->n_sets && last - first < in->rules.chunk_sets;
             last++) {
            if (last > first && in->sets[last].opens)
                break;
            play += in->sets[last].play_s;
            struct chunk *c = &p->chunks[p->n_chunks++];
            *c = (struct chunk){.line = line,
                                .first = first,
                                .last = last,
                                .rep = round_up(play + reset),
                                .lead = round_up(play + reset + in->rules.setup_s)};
            for (int r = 1; r <= in->rules.most_reps; r++) {
                const int y = add_column(p, GLP_BV, 1, gain(p, line, first, last, r));
                c->y = r == 1 ? y : c->y;
            }
        }
    }
}

static void one_chunk_for_a_set(struct program *p, int line)
{
    for (int s = 0; s < (int)p->in->n_sets; s++) {
        const int row = add_row(p, 1);
        for (int i = 0; i < p->n_chunks; i++) {
            const struct chunk *c = &p->chunks[i];
            for (int r = 0;
                 c->line == line && c->first <= s && s <= c->last && r < p->in->rules.most_reps;
                 r++)
                put(p, row, c->y + r, 1);
        }
    }
}

/* Time of a line's reps, less one column (0 = none), is at most this. */
static void time_of_line(struct program *p, int line, double most, int column, double value)
{
    const int row = add_row(p, most);
    if (column)
        put(p, row, column, value);
    for (int i = 0; i < p->n_chunks; i++) {
        const struct chunk *c = &p->chunks[i];
        for (int r = 0; c->line == line && r < p->in->rules.most_reps; r++)
            put(p, row, c->y + r, c->lead + r * c->rep);
    }
}

static void reps_go_into_bins(struct program *p)
{
    const int most = p->in->rules.most_reps;
    for (int i = 0; i < p->n_chunks; i++) {
        struct chunk *c = &p->chunks[i];
        const int row = add_row(p, 0);
        glp_set_row_bnds(p->lp, row, GLP_FX, 0, 0);
        for (int r = 0; r < most; r++)
            put(p, row, c->y + r, r + 1);
        for (int b = 0; b < p->n_bins; b++) {
            c->in_bin[b] = add_column(p, GLP_IV, most, 0);
            c->use_bin[b] = add_column(p, GLP_BV, 1, 0);
            put(p, row, c->in_bin[b], -1);
            const int link = add_row(p, 0);
            put(p, link, c->in_bin[b], 1);
            put(p, link, c->use_bin[b], -most);
        }
    }
    for (int b = 0; b < p->n_bins; b++) {
        const int row = add_row(p, p->bins[b]);
        for (int i = 0; i < p->n_chunks; i++)
            put(p, row, p->chunks[i].in_bin[b], p->chunks[i].rep);
    }
}

static void bins_follow_the_show(struct program *p)
{
    for (int i = 0; i < p->n_chunks; i++)
        for (int j = 0; j < p->n_chunks; j++)
            for (int later = 1; p->chunks[i].last < p->chunks[j].first && later < p->n_bins;
                 later++)
                for (int earlier = 0; earlier < later; earlier++) {
                    const int row = add_row(p, 1);
                    put(p, row, p->chunks[i].use_bin[later], 1);
                    put(p, row, p->chunks[j].use_bin[earlier], 1);
                }
}

/* Free seconds between the fixed items, which stand at their times in order. */
static void find_bins(struct program *p)
{
    int from = 0;
    for (size_t i = 0; i < p->in->n_fixed; i++) {
        const int at = (p->in->fixed[i].at_min - p->in->rules.start_min) * 60;
        p->bins[p->n_bins++] = at - from;
        from = at + p->in->fixed[i].minutes * 60;
    }
    p->bins[p->n_bins++] = p->in->rules.minutes * 60 - from;
}

static double optimum(struct program *p)
{
    glp_load_matrix(p->lp, p->cells, p->row, p->column, p->value);
    glp_iocp how;
    glp_init_iocp(&how);
    how.presolve = GLP_ON;
    how.msg_lev = GLP_MSG_OFF;
    how.mip_gap = 0;
    const int failed = glp_intopt(p->lp, &how);
    const double best = failed ? NAN : glp_mip_obj_val(p->lp);
    glp_delete_prob(p->lp);
    free(p);
    return best;
}

static struct program *begin(const struct plan_input *in, bool apart)
{
    struct program *p = calloc(1, sizeof *p);
    p->in = in;
    p->apart = apart;
    p->lp = glp_create_prob();
    glp_set_obj_dir(p->lp, GLP_MAX);
    return p;
}

double lp_together(const struct plan_input *in)
{
    struct program *p = begin(in, false);
    list_chunks(p, PLAN_EVERYONE);
    one_chunk_for_a_set(p, PLAN_EVERYONE);
    find_bins(p);
    if (p->n_bins == 1) {
        time_of_line(p, PLAN_EVERYONE, p->bins[0], 0, 0);
    } else {
        reps_go_into_bins(p);
        bins_follow_the_show(p);
    }
    return optimum(p);
}

double lp_apart(const struct plan_input *in)
{
    struct program *p = begin(in, true);
    const int most = in->rules.minutes * 60;
    const int length = add_column(p, GLP_CV, most, 0);
    glp_set_col_bnds(p->lp, length, GLP_DB, PLAN_STEP_S, most);
    list_chunks(p, PLAN_EVERYONE);
    one_chunk_for_a_set(p, PLAN_EVERYONE);
    const int gather = in->rules.gather_s ? round_up(in->rules.gather_s) : 0;
    time_of_line(p, PLAN_EVERYONE, most - gather, length, 1);
    for (int g = 0; g < (int)in->n_groups; g++) {
        list_chunks(p, g);
        one_chunk_for_a_set(p, g);
        time_of_line(p, g, 0, length, -1);
    }
    return optimum(p);
}
