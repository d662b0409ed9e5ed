#include "rank/list.h"

#include <stdlib.h>
#include <string.h>

/* What is counted apart for marks that are clean and those that are not yet. */
struct side {
    int marks;
    struct when newest;
};

struct total {
    bool used;
    struct rank_item item;
    struct side side[2]; /* not yet clean, clean */
    int *clips;          /* [n_clips] marks */
    int *sets[2];        /* [n_sets] marks, by side */
    int *who[2];         /* [n_performers + n_sections] marks, by side */
};

struct rank_fold {
    const struct show *show;
    struct rank_clips clips;
    struct total *at; /* [n_faults * 2], praise in the odd places */
};

struct rank_fold *rank_begin(const struct show *show, struct rank_clips clips)
{
    struct rank_fold *f = xcalloc(1, sizeof *f);
    f->show = show;
    f->clips = clips;
    f->at = xcalloc(show->n_faults * 2, sizeof *f->at);
    return f;
}

static void open_total(struct rank_fold *f, struct total *t, const struct rank_row *row)
{
    *t = (struct total){
        .used = true,
        .item = {.fault = row->fault,
                 .praise = row->praise,
                 .cause = CAUSE_EXECUTE,
                 .state_by = "",
                 .state_at = ""},
        .clips = xcalloc(f->clips.n, sizeof *t->clips),
    };
    for (int side = 0; side < 2; side++) {
        t->sets[side] = xcalloc(f->show->n_sets, sizeof **t->sets);
        t->who[side] = xcalloc(f->show->n_performers + f->show->n_sections, sizeof **t->who);
    }
    t->item.first = (struct when){row->clip, row->at_us};
}

static int later(struct when a, struct when b)
{
    if (a.clip != b.clip)
        return a.clip < b.clip ? -1 : 1;
    return a.at_us < b.at_us ? -1 : a.at_us > b.at_us;
}

void rank_feed(struct rank_fold *f, const struct rank_row *row)
{
    struct total *t = &f->at[row->fault * 2 + row->praise];
    if (!t->used)
        open_total(f, t, row);
    struct rank_item *i = &t->item;
    const struct when m = {row->clip, row->at_us};
    const int clean = row->state == MARK_CLEAN;
    t->who[clean][row->performer >= 0 ? (size_t)row->performer
                                      : f->show->n_performers + (size_t)row->section]++;
    if (row->again)
        return;
    struct side *side = &t->side[clean];
    if (side->marks++ == 0 || later(m, side->newest) > 0)
        side->newest = m;
    i->repped += row->state == MARK_REPPED;
    t->clips[row->clip]++;
    if (row->set >= 0)
        t->sets[clean][row->set]++;
    if (row->cause == CAUSE_DEFINE && !clean)
        i->cause = CAUSE_DEFINE;
    if (later(m, i->first) < 0)
        i->first = m;
    if (row->severity > i->severity || (row->severity == i->severity && later(m, i->worst) < 0)) {
        i->severity = row->severity;
        i->worst = m;
    }
}

int rank_order(const struct rank_item *a, const struct rank_item *b)
{
    if (a->marks != b->marks)
        return a->marks > b->marks ? -1 : 1;
    if (a->runs != b->runs)
        return a->runs > b->runs ? -1 : 1;
    if (a->severity != b->severity)
        return a->severity > b->severity ? -1 : 1;
    int late = later(b->latest, a->latest);
    return late ? late : (a->fault > b->fault) - (a->fault < b->fault);
}

static int by_rank(const void *a, const void *b)
{
    return rank_order(a, b);
}

static int by_runs(const void *a, const void *b)
{
    const struct rank_item *x = a, *y = b;
    return x->runs != y->runs ? (x->runs > y->runs ? -1 : 1) : rank_order(x, y);
}

int rank_seen(const struct rank_item *i)
{
    return i->marks + i->clean;
}

/* Over the same watched minutes, so that their number does not matter. */
static int by_rate(const void *a, const void *b)
{
    const struct rank_item *x = a, *y = b;
    const int m = rank_seen(x), n = rank_seen(y);
    return m != n ? (m > n ? -1 : 1) : rank_order(x, y);
}

static int by_severity(const void *a, const void *b)
{
    const struct rank_item *x = a, *y = b;
    return x->severity != y->severity ? (x->severity > y->severity ? -1 : 1) : rank_order(x, y);
}

static int by_recent(const void *a, const void *b)
{
    const struct rank_item *x = a, *y = b;
    int late = later(y->latest, x->latest);
    return late ? late : rank_order(x, y);
}

static const struct {
    const char *name, *rule;
    int (*order)(const void *, const void *);
} orders[RANK_ORDERS] = {
    [RANK_FREQUENCY] = {"frequency", RANK_RULE, by_rank},
    [RANK_RUNS] = {"runs",
                   "Order: runs in which it was seen, then marks not yet clean, then "
                   "severity, then the latest.",
                   by_runs},
    [RANK_SEVERITY] = {"severity",
                       "Order: severity, then marks not yet clean, then runs in which "
                       "it was seen, then the latest.",
                       by_severity},
    [RANK_RATE] = {"rate", "Order: marks a watched minute, clean ones too, then as by frequency.",
                   by_rate},
    [RANK_RECENT] = {"recent",
                     "Order: the latest, then marks not yet clean, then runs in which it "
                     "was seen, then severity.",
                     by_recent},
};

bool rank_by_named(const char *name, enum rank_by *out)
{
    for (int i = 0; i < RANK_ORDERS; i++)
        if (strcmp(orders[i].name, name) == 0) {
            *out = (enum rank_by)i;
            return true;
        }
    return false;
}

const char *rank_by_name(enum rank_by by)
{
    return orders[by].name;
}

const char *rank_rule(enum rank_by by)
{
    return orders[by].rule;
}

static int by_marks(const void *a, const void *b)
{
    const struct rank_who *x = a, *y = b;
    if (x->marks != y->marks)
        return x->marks > y->marks ? -1 : 1;
    if (x->performer != y->performer)
        return x->performer ? -1 : 1;
    return (x->position > y->position) - (x->position < y->position);
}

static void close_sides(struct total *t)
{
    struct rank_item *i = &t->item;
    const struct side *open = &t->side[0], *clean = &t->side[1];
    i->marks = open->marks;
    i->clean = clean->marks;
    i->newest_open = open->newest;
    i->newest_clean = clean->newest;
    i->back = i->clean && i->marks && later(i->newest_open, i->newest_clean) > 0;
    i->latest = i->marks && (!i->clean || i->back) ? i->newest_open : i->newest_clean;
    i->state = i->marks > i->repped ? MARK_OPEN : i->marks ? MARK_REPPED : MARK_CLEAN;
}

static int runs_of(const struct rank_clips *clips, const int *marks)
{
    int n = 0, last = -1;
    for (size_t k = 0; k < clips->n; k++) {
        const int run = clips->run ? clips->run[k] : (int)k;
        n += marks[k] > 0 && run != last;
        last = marks[k] > 0 ? run : last;
    }
    return n;
}

static void close_sets(struct rank_item *i, const int *marks, size_t n_sets, struct arena *a)
{
    size_t n = 0;
    for (size_t k = 0; k < n_sets; k++)
        i->n_sets += marks[k] > 0;
    int *sets = arena_alloc(a, i->n_sets * sizeof *sets);
    for (size_t k = 0; k < n_sets; k++)
        if (marks[k])
            sets[n++] = (int)k;
    i->sets = sets;
}

static void close_who(struct rank_item *i, const int *marks, const struct show *show,
                      struct arena *a)
{
    const size_t people = show->n_performers, all = people + show->n_sections;
    size_t n = 0;
    for (size_t k = 0; k < all; k++)
        i->n_who += marks[k] > 0;
    struct rank_who *who = arena_alloc(a, i->n_who * sizeof *who);
    for (size_t k = 0; k < all; k++)
        if (marks[k])
            who[n++] = (struct rank_who){
                .position = (int)(k < people ? k : k - people),
                .performer = k < people,
                .marks = marks[k],
            };
    qsort(who, n, sizeof *who, by_marks);
    i->who = who;
}

static void close_total(const struct rank_fold *f, struct total *t, struct arena *a)
{
    close_sides(t);
    struct rank_item *i = &t->item;
    const int side = i->marks == 0;
    i->runs = runs_of(&f->clips, t->clips);
    int *per_clip = arena_alloc(a, f->clips.n * sizeof *per_clip);
    memcpy(per_clip, t->clips, f->clips.n * sizeof *per_clip);
    i->per_clip = per_clip;
    close_sets(i, t->sets[side], f->show->n_sets, a);
    close_who(i, t->who[side], f->show, a);
    free(t->clips);
    for (int k = 0; k < 2; k++) {
        free(t->sets[k]);
        free(t->who[k]);
    }
}

struct rank_list rank_end(struct rank_fold *f, enum rank_by by, struct arena *a)
{
    struct rank_list l = {.by = by};
    size_t n = f->show->n_faults * 2;
    for (size_t k = 0; k < n; k++)
        *(k % 2 ? &l.n_keep : &l.n_items) += f->at[k].used;
    l.items = arena_alloc(a, l.n_items * sizeof *l.items);
    l.keep = arena_alloc(a, l.n_keep * sizeof *l.keep);
    size_t items = 0, keep = 0;
    for (size_t k = 0; k < n; k++) {
        if (!f->at[k].used)
            continue;
        close_total(f, &f->at[k], a);
        *(k % 2 ? &l.keep[keep++] : &l.items[items++]) = f->at[k].item;
    }
    qsort(l.items, l.n_items, sizeof *l.items, orders[by].order);
    qsort(l.keep, l.n_keep, sizeof *l.keep, by_rank);
    for (size_t k = 0; k < l.n_items; k++)
        l.items[k].rank = (int)k + 1;
    for (size_t k = 0; k < l.n_keep; k++)
        l.keep[k].rank = (int)k + 1;
    free(f->at);
    free(f);
    return l;
}
