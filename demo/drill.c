#include <stdlib.h>
#include <string.h>

#include "demo/drill.h"
#include "demo/table.h"

/* The faults that the generator knows how to make visible. */
static const struct {
    const char *fault;
    enum effect effect;
    double sign;
} kinds[] = {
    {"late arrival", EFFECT_ARRIVE, 1},
    {"early arrival", EFFECT_ARRIVE, -1},
    {"starts late", EFFECT_START, 1},
    {"starts early", EFFECT_START, -1},
    {"closed interval", EFFECT_SPREAD, -1},
    {"open interval", EFFECT_SPREAD, 1},
    {"bent line", EFFECT_BOW, 1},
    {"dress", EFFECT_DEPTH, 1},
    {"cover", EFFECT_ACROSS, 1},
    {"off the dot", EFFECT_ACROSS, 1},
    {"direction change", EFFECT_TURN, 1},
    {"step size", EFFECT_LAG, 1},
    {"path", EFFECT_BULGE, 1},
    {"extra step", EFFECT_SHUFFLE, 1},
    {"out of step", EFFECT_STEP, 1},
    {"phasing", EFFECT_STEP, 1},
    {"feet apart at halt", EFFECT_FEET, 1},
    {"horn angle", EFFECT_HORN_ANGLE, 1},
    {"horns up late", EFFECT_CUE_LATE, 1},
    {"horns down late", EFFECT_CUE_LATE, 1},
    {"flag late", EFFECT_CUE_LATE, 1},
    {"flag angle", EFFECT_FLAG_ANGLE, 1},
    {"drop", EFFECT_DROP, 1},
    {"lean", EFFECT_LEAN, 1},
};

static const char *const cue_words[CUE_KINDS] = {
    [CUE_HORNS_UP] = "horns up", [CUE_HORNS_DOWN] = "horns down", [CUE_FLAG_LOW] = "flag low",
    [CUE_FLAG_UP] = "flag up",   [CUE_FLAG_RIGHT] = "flag right", [CUE_FLAG_LEFT] = "flag left",
};

static int section_named(const struct drill *d, const char *name)
{
    for (size_t i = 0; i < d->n_sections; i++)
        if (strcmp(d->sections[i].name, name) == 0)
            return (int)i;
    return -1;
}

static int performer_labelled(const struct drill *d, const char *label)
{
    for (size_t i = 0; i < d->n_performers; i++)
        if (strcmp(d->performers[i].label, label) == 0)
            return (int)i;
    return -1;
}

static int set_labelled(const struct drill *d, const char *label)
{
    for (size_t i = 0; i < d->n_sets; i++)
        if (strcmp(d->sets[i].label, label) == 0)
            return (int)i;
    return -1;
}

static bool read_sections(struct arena *a, const char *dir, struct drill *d, struct err *e)
{
    struct table t;
    if (!table_read(a, dir, "sections.csv", "section,parent,key,words", &t, e))
        return false;
    d->sections = arena_alloc(a, t.n * sizeof *d->sections);
    for (size_t i = 0; i < t.n; i++) {
        const char *const *c = t.row[i];
        const int up = section_named(d, c[1]);
        if (c[1][0] && up < 0)
            return table_error(&t, i, e, "no section '%s' above this row", c[1]);
        d->sections[d->n_sections++] = (struct section){c[0], c[1], c[2], up};
    }
    return true;
}

static bool read_roster(struct arena *a, const char *dir, struct drill *d, struct err *e)
{
    struct table t;
    if (!table_read(a, dir, "roster.csv", "performer,name,section", &t, e))
        return false;
    d->performers = arena_alloc(a, t.n * sizeof *d->performers);
    for (size_t i = 0; i < t.n; i++) {
        const char *const *c = t.row[i];
        const int section = section_named(d, c[2]);
        if (section < 0)
            return table_error(&t, i, e, "no section '%s'", c[2]);
        if (performer_labelled(d, c[0]) >= 0)
            return table_error(&t, i, e, "performer '%s' is there twice", c[0]);
        d->performers[d->n_performers++] = (struct performer){c[0], c[1], section};
    }
    return true;
}

static bool read_sets(struct arena *a, const char *dir, struct drill *d, struct err *e)
{
    struct table t;
    if (!table_read(a, dir, "sets.csv", "set,counts,tempo,tempo_end,hold,measures,name", &t, e))
        return false;
    d->sets = arena_alloc(a, t.n * sizeof *d->sets);
    for (size_t i = 0; i < t.n; i++) {
        struct set *s = &d->sets[d->n_sets];
        double counts, measures;
        if (!table_number(&t, i, 1, 0, &counts, e) || !table_number(&t, i, 2, 0, &s->tempo, e) ||
            !table_number(&t, i, 3, s->tempo, &s->tempo_end, e) ||
            !table_number(&t, i, 4, 0, &s->hold_s, e) || !table_number(&t, i, 5, 0, &measures, e))
            return false;
        if (counts < 1 || s->tempo <= 0 || s->tempo_end <= 0 || s->hold_s < 0)
            return table_error(&t, i, e, "counts and tempo must be above 0");
        s->label = t.row[i][0];
        s->name = t.row[i][6];
        s->counts = (int)counts;
        s->measures = (int)measures;
        d->n_sets++;
    }
    return d->n_sets > 0 || err_set(e, ERR_INPUT, "%s: no set", t.path);
}

static bool read_dots(struct arena *a, const char *dir, struct drill *d, struct err *e)
{
    struct table t;
    if (!table_read(a, dir, "dots.csv", "performer,set,across,depth", &t, e))
        return false;
    const size_t n = d->n_performers * d->n_sets;
    d->dot_sets = d->n_sets;
    bool *seen = arena_alloc(a, n * sizeof *seen);
    d->dots = arena_alloc(a, n * sizeof *d->dots);
    for (size_t i = 0; i < t.n; i++) {
        const char *const *c = t.row[i];
        const int p = performer_labelled(d, c[0]), s = set_labelled(d, c[1]);
        if (p < 0 || s < 0)
            return table_error(&t, i, e, "no performer '%s' or no set '%s'", c[0], c[1]);
        const size_t at = (size_t)p * d->n_sets + (size_t)s;
        if (!dot_across(c[2], &d->dots[at].x) || !dot_depth(c[3], &d->dots[at].y))
            return table_error(&t, i, e, "cannot read the dot '%s', '%s'", c[2], c[3]);
        seen[at] = true;
    }
    for (size_t i = 0; i < n; i++)
        if (!seen[i])
            return err_set(e, ERR_INPUT, "%s: no dot for %s in set %s", t.path,
                           d->performers[i / d->n_sets].label, d->sets[i % d->n_sets].label);
    return true;
}

static bool read_moves(struct arena *a, const char *dir, struct drill *d, struct err *e)
{
    struct table t;
    if (!table_read(a, dir, "moves.csv", "set,count,section,move", &t, e))
        return false;
    d->cues = arena_alloc(a, t.n * sizeof *d->cues);
    for (size_t i = 0; i < t.n; i++) {
        struct cue *q = &d->cues[d->n_cues++];
        const char *const *c = t.row[i];
        int kind = 0;
        while (kind < CUE_KINDS && strcmp(cue_words[kind], c[3]) != 0)
            kind++;
        *q = (struct cue){set_labelled(d, c[0]), section_named(d, c[2]), 0, (enum cue_kind)kind};
        if (q->set < 0 || q->section < 0 || kind == CUE_KINDS)
            return table_error(&t, i, e, "no such set, section or move");
        if (!table_number(&t, i, 1, 1, &q->c, e))
            return false;
        q->c -= 1;
    }
    return true;
}

static bool read_who(struct arena *a, struct drill *d, const struct table *t, size_t row,
                     struct slip *s, struct err *e)
{
    const char **label;
    s->n_who = table_split(a, t->row[row][3], ';', &label);
    s->who = arena_alloc(a, s->n_who * sizeof *s->who);
    for (size_t i = 0; i < s->n_who; i++) {
        s->who[i] = performer_labelled(d, label[i]);
        if (s->who[i] < 0)
            return table_error(t, row, e, "no performer '%s'", label[i]);
    }
    return s->n_who > 0 || table_error(t, row, e, "nobody is named");
}

static bool fault_listed(const struct table *faults, const char *name)
{
    for (size_t i = 0; i < faults->n; i++)
        if (strcmp(faults->row[i][0], name) == 0)
            return true;
    return false;
}

static bool read_slips(struct arena *a, const char *dir, struct drill *d, struct err *e)
{
    struct table t, faults;
    if (!table_read(a, dir, "faults.csv", "fault,family,key,cause,right,words,together", &faults,
                    e) ||
        !table_read(a, dir, "injected.csv", "set,count,until,performers,fault,amount,unit,note", &t,
                    e))
        return false;
    d->slips = arena_alloc(a, t.n * sizeof *d->slips);
    for (size_t i = 0; i < t.n; i++) {
        struct slip *s = &d->slips[d->n_slips++];
        const char *const *c = t.row[i];
        size_t k = 0;
        while (k < sizeof kinds / sizeof *kinds && strcmp(kinds[k].fault, c[4]) != 0)
            k++;
        if (k == sizeof kinds / sizeof *kinds || !fault_listed(&faults, c[4]))
            return table_error(&t, i, e, "the generator knows no fault '%s'", c[4]);
        *s = (struct slip){.set = set_labelled(d, c[0]),
                           .fault = kinds[k].fault,
                           .effect = kinds[k].effect,
                           .unit = c[6],
                           .note = c[7]};
        if (s->set < 0)
            return table_error(&t, i, e, "no set '%s'", c[0]);
        if (!table_number(&t, i, 1, 1, &s->c, e) || !table_number(&t, i, 2, 1, &s->until, e) ||
            !table_number(&t, i, 5, 1, &s->given, e) || !read_who(a, d, &t, i, s, e))
            return false;
        s->c -= 1;
        s->until -= 1;
        s->amount = s->given * kinds[k].sign;
    }
    return true;
}

bool drill_read(struct arena *a, const char *dir, struct drill *out, struct err *e)
{
    *out = (struct drill){0};
    return read_sections(a, dir, out, e) && read_roster(a, dir, out, e) &&
           read_sets(a, dir, out, e) && read_dots(a, dir, out, e) && read_moves(a, dir, out, e) &&
           read_slips(a, dir, out, e);
}

bool drill_within(const struct drill *d, int section, int above)
{
    while (section >= 0 && section != above)
        section = d->sections[section].up;
    return section >= 0;
}

const struct point *drill_dot(const struct drill *d, size_t performer, size_t set)
{
    return &d->dots[performer * d->dot_sets + set];
}

static bool chosen(const struct slip *s, size_t row, const char *const *words, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(words[i], s->fault) == 0 || strtoul(words[i], NULL, 10) == row)
            return true;
    return false;
}

bool drill_choose(struct arena *a, struct drill *d, const char *choice, struct err *e)
{
    const char **words;
    size_t kept = 0;
    if (strcmp(choice, "all") == 0)
        return true;
    const size_t n = strcmp(choice, "none") == 0 ? 0 : table_split(a, choice, ',', &words);
    for (size_t i = 0; i < d->n_slips && n > 0; i++)
        if (chosen(&d->slips[i], i + 1, words, n))
            d->slips[kept++] = d->slips[i];
    d->n_slips = kept;
    return n == 0 || kept > 0 ||
           err_set(e, ERR_USAGE,
                   "--faults %s: no row of injected.csv is meant; try 'all', 'none' or "
                   "fault names",
                   choice);
}

void drill_cut(struct drill *d, size_t n)
{
    size_t cues = 0, slips = 0;
    if (n >= d->n_sets)
        return;
    d->n_sets = n;
    for (size_t i = 0; i < d->n_cues; i++)
        if (d->cues[i].set < (int)n)
            d->cues[cues++] = d->cues[i];
    for (size_t i = 0; i < d->n_slips; i++)
        if (d->slips[i].set < (int)n)
            d->slips[slips++] = d->slips[i];
    d->n_cues = cues;
    d->n_slips = slips;
}
