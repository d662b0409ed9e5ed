#include "app/compare.h"

#include <stdlib.h>
#include <string.h>

#include "app/one_run.h"
#include "app/ties.h"

/* A clip of one side, with what places its marks and who made them. */
struct side_clip {
    enum compare_side side;
    const struct report_clip *clip;
    size_t position; /* within its side */
    const struct map *map;
    struct run_clock clock; /* of the first clip of the same run that is tied */
    size_t lead;            /* that clip's place in gather.clips */
    struct mark_authors authors;
    struct reviewed_list watched;
};

/* So much of a run was watched by a reviewer, on the lead's clock. */
struct seen_stretch {
    size_t lead;
    int reviewer;
    struct stretch at;
};

struct gather {
    struct app *app;
    struct arena *mem;
    struct comparison *out;
    const int *part; /* of each section; -1: not asked for */
    struct side_clip *clips;
    size_t n_clips;
    const char **reviewers;
    size_t n_reviewers, cap_reviewers;
    struct seen_stretch *seen;
    size_t n_seen, cap_seen;
    size_t seen_lead; /* of the stretches that are being added */
    int seen_reviewer;
    struct compare_watched *watched;
    size_t n_watched, cap_watched;
    struct compare_mark *marks;
    size_t n_marks, cap_marks;
};

static int reviewer_of(struct gather *g, const char *name)
{
    for (size_t i = 0; i < g->n_reviewers; i++)
        if (strcmp(g->reviewers[i], name) == 0)
            return (int)i;
    g->reviewers = array_grow(g->reviewers, g->n_reviewers, &g->cap_reviewers, sizeof(char *));
    g->reviewers[g->n_reviewers++] = name;
    return (int)g->n_reviewers - 1;
}

/* --- minutes --------------------------------------------------------------------------------- */

static void add_minutes(struct gather *g, const struct side_clip *c, int reviewer, int set,
                        double us)
{
    g->watched = array_grow(g->watched, g->n_watched, &g->cap_watched, sizeof *g->watched);
    g->watched[g->n_watched++] = (struct compare_watched){
        .side = c->side, .reviewer = reviewer, .set = set, .minutes = us / 60e6};
}

/* A watched stretch, cut at the sets that the clip's ties place. */
static void add_stretch(struct gather *g, const struct side_clip *c, int reviewer,
                        const struct stretch *at)
{
    size_t n;
    const struct map_span *spans = map_spans(c->map, &n);
    double rest = (double)at->to_us - (double)at->from_us;
    for (size_t i = 0; i < n; i++) {
        const int64_t from = spans[i].from_us > at->from_us ? spans[i].from_us : at->from_us;
        const int64_t to = spans[i].to_us < at->to_us ? spans[i].to_us : at->to_us;
        if (to <= from)
            continue;
        add_minutes(g, c, reviewer, spans[i].set, (double)(to - from));
        rest -= (double)(to - from);
    }
    if (rest > 0)
        add_minutes(g, c, reviewer, -1, rest);
}

/* Has anybody whose watching is stored made one of the marks? If nobody has, somebody entered for
 * others that the clips were watched. */
static bool watchers_mark(const struct gather *g)
{
    for (size_t i = 0; i < g->n_clips; i++)
        for (size_t k = 0; k < g->clips[i].watched.n; k++)
            for (size_t j = 0; j < g->n_clips; j++)
                for (size_t m = 0; m < g->clips[j].authors.n; m++)
                    if (strcmp(g->clips[i].watched.at[k].reviewer,
                               g->clips[j].authors.at[m].author) == 0)
                        return true;
    return false;
}

static void add_seen(void *ctx, const struct stretch *piece)
{
    struct gather *g = ctx;
    g->seen = array_grow(g->seen, g->n_seen, &g->cap_seen, sizeof *g->seen);
    g->seen[g->n_seen++] = (struct seen_stretch){g->seen_lead, g->seen_reviewer, *piece};
}

static void note_stretch(struct gather *g, const struct side_clip *c, int reviewer,
                         const struct stretch *at)
{
    g->seen_lead = c->lead;
    g->seen_reviewer = reviewer;
    run_stretch(&c->clock, at, add_seen, g);
}

static int by_reviewer(const void *a, const void *b)
{
    const struct seen_stretch *x = a, *y = b;
    if (x->lead != y->lead)
        return x->lead < y->lead ? -1 : 1;
    if (x->reviewer != y->reviewer)
        return x->reviewer < y->reviewer ? -1 : 1;
    return (x->at.from_us > y->at.from_us) - (x->at.from_us < y->at.from_us);
}

/* A run is watched once, from however many places. */
static void add_minutes_seen(struct gather *g)
{
    if (g->n_seen)
        qsort(g->seen, g->n_seen, sizeof *g->seen, by_reviewer);
    for (size_t i = 0, end; i < g->n_seen; i = end) {
        struct seen_stretch whole = g->seen[i];
        for (end = i + 1;
             end < g->n_seen && g->seen[end].lead == whole.lead &&
             g->seen[end].reviewer == whole.reviewer && g->seen[end].at.from_us <= whole.at.to_us;
             end++)
            if (g->seen[end].at.to_us > whole.at.to_us)
                whole.at.to_us = g->seen[end].at.to_us;
        add_stretch(g, &g->clips[whole.lead], whole.reviewer, &whole.at);
    }
}

/* What anybody watched counts for everybody who made marks. */
static bool minutes_of_all(struct gather *g, struct err *e)
{
    for (size_t i = 0; i < g->n_clips; i++) {
        struct stretch_list all;
        if (!store_watched(g->app->store, g->mem, g->clips[i].clip->id, &all, e))
            return false;
        for (size_t r = 0; r < g->n_reviewers; r++)
            for (size_t k = 0; k < all.n; k++)
                note_stretch(g, &g->clips[i], (int)r, &all.at[k]);
    }
    return true;
}

static bool gather_minutes(struct gather *g, struct err *e)
{
    for (size_t i = 0; i < g->n_clips; i++)
        for (size_t k = 0; k < g->clips[i].authors.n; k++)
            reviewer_of(g, g->clips[i].authors.at[k].author);
    if (!watchers_mark(g))
        return minutes_of_all(g, e);
    for (size_t i = 0; i < g->n_clips; i++)
        for (size_t k = 0; k < g->clips[i].watched.n; k++) {
            const struct reviewed *r = &g->clips[i].watched.at[k];
            note_stretch(g, &g->clips[i], reviewer_of(g, r->reviewer), &r->at);
        }
    return true;
}

/* --- marks ----------------------------------------------------------------------------------- */

static int by_mark(const void *key, const void *row)
{
    const int64_t a = *(const int64_t *)key, b = ((const struct mark_author *)row)->mark;
    return (a > b) - (a < b);
}

static void add_mark(struct gather *g, const struct side_clip *c, const struct seen_row *s)
{
    const struct mark_author *by =
        c->authors.n ? bsearch(&s->mark, c->authors.at, c->authors.n, sizeof *by, by_mark) : NULL;
    struct spot spot = {.set = -1};
    int64_t at_us = s->at_us;
    if (!by)
        return;
    const bool same_clock = run_time(&c->clock, s->at_us, &at_us);
    g->marks = array_grow(g->marks, g->n_marks, &g->cap_marks, sizeof *g->marks);
    g->marks[g->n_marks++] = (struct compare_mark){
        .side = c->side,
        .reviewer = reviewer_of(g, by->author),
        .set = map_at(c->map, s->at_us, &spot) ? spot.set : -1,
        .part = g->part[s->section],
        .fault = s->fault,
        .clip = same_clock ? g->clips[c->lead].position : c->position,
        .at_us = at_us,
    };
}

static bool on_seen(void *ctx, const struct seen_row *s)
{
    struct gather *g = ctx;
    if (s->praise || s->again || g->part[s->section] < 0)
        return true;
    for (size_t i = 0; i < g->n_clips; i++)
        if (g->clips[i].clip->id == s->clip)
            add_mark(g, &g->clips[i], s);
    return true;
}

/* Sections that are parts of their own are asked for one by one: a mark on two of them counts in
 * both. */
static bool gather_marks(struct gather *g, int performer, struct err *e)
{
    const size_t n = g->app->show.n_sections;
    int *sections = arena_alloc(g->mem, (n + 1) * sizeof *sections);
    size_t asked = 0;
    for (size_t i = 0; i < n; i++)
        if (g->part[i] >= 0)
            sections[asked++] = (int)i;
    if (g->out->n_parts == 1 || performer >= 0) {
        const struct seen_choice all = {sections, asked, performer, false};
        return store_each_seen(g->app->store, &all, on_seen, g, e);
    }
    for (size_t i = 0; i < asked; i++) {
        const struct seen_choice one = {&sections[i], 1, -1, false};
        if (!store_each_seen(g->app->store, &one, on_seen, g, e))
            return false;
    }
    return true;
}

/* --- the whole ------------------------------------------------------------------------------- */

static const struct clip *clip_of(const struct app *a, int64_t id)
{
    size_t i = 0;
    while (a->clips.at[i].id != id)
        i++;
    return &a->clips.at[i];
}

static bool add_clips(struct gather *g, enum compare_side side, const struct comparison_side *s,
                      struct err *e)
{
    for (size_t i = 0; i < s->n_clips; i++) {
        struct side_clip *c = &g->clips[g->n_clips++];
        *c = (struct side_clip){.side = side, .clip = &s->clips[i], .position = i};
        c->map = app_map(g->app, clip_of(g->app, s->clips[i].id), g->mem, NULL, e);
        if (!c->map || !store_authors(g->app->store, g->mem, s->clips[i].id, &c->authors, e) ||
            !store_reviewed(g->app->store, g->mem, s->clips[i].id, &c->watched, e))
            return false;
    }
    return true;
}

static bool is_tied(const struct side_clip *c)
{
    size_t n;
    map_spans(c->map, &n);
    return n > 0;
}

/* Clips of one run go by the clock of the first that is tied; one that is not, by its own. */
static void find_leads(struct gather *g)
{
    for (size_t i = 0; i < g->n_clips; i++) {
        struct side_clip *c = &g->clips[i];
        c->lead = i;
        for (size_t k = 0; k < i && c->lead == i && is_tied(c); k++) {
            const struct side_clip *o = &g->clips[k];
            if (o->side == c->side && o->lead == k && is_tied(o) && o->clip->run == c->clip->run &&
                strcmp(o->clip->date, c->clip->date) == 0)
                c->lead = k;
        }
        c->clock = (struct run_clock){c->map, g->clips[c->lead].map};
    }
}

static bool compare(struct gather *g, int performer, struct err *e)
{
    struct comparison *out = g->out;
    g->clips = arena_alloc(g->mem, (out->from.n_clips + out->to.n_clips + 1) * sizeof *g->clips);
    if (!add_clips(g, COMPARE_FROM, &out->from, e) || !add_clips(g, COMPARE_TO, &out->to, e))
        return false;
    find_leads(g);
    if (!gather_minutes(g, e) || !gather_marks(g, performer, e))
        return false;
    add_minutes_seen(g);
    const struct compare_data data = {.watched = g->watched,
                                      .marks = g->marks,
                                      .n_watched = g->n_watched,
                                      .n_marks = g->n_marks,
                                      .n_reviewers = g->n_reviewers,
                                      .n_sets = g->app->show.n_sets};
    rank_compare(&data, g->mem, out);
    return true;
}

static struct comparison_side side_of(const struct fix_report *r)
{
    return (struct comparison_side){.clips = r->clips,
                                    .n_clips = r->n_clips,
                                    .watched_min = r->watched_min,
                                    .length_min = r->length_min};
}

/* One part with all that is below it, or one for each section. */
static const int *parts_of(struct app *a, const struct fix_report *of, struct arena *mem,
                           struct comparison *out)
{
    const bool one = *out->for_whom;
    int *part = arena_alloc(mem, (a->show.n_sections + 1) * sizeof *part);
    out->n_parts = one ? 1 : a->show.n_sections;
    out->parts = arena_alloc(mem, (out->n_parts + 1) * sizeof *out->parts);
    if (one)
        out->parts[0] = (struct compared){.section = of->section, .performer = of->performer};
    for (size_t i = 0; i < a->show.n_sections; i++) {
        part[i] = !one ? (int)i : section_within(&a->show, (int)i, of->section) ? 0 : -1;
        if (!one)
            out->parts[i] = (struct compared){.section = (int)i, .performer = -1};
    }
    return part;
}

static void drop_empty_parts(struct comparison *out)
{
    size_t n = 0;
    for (size_t i = 0; i < out->n_parts; i++)
        if (out->parts[i].n > 0)
            out->parts[n++] = out->parts[i];
    out->n_parts = n;
}

static bool apart(const struct fix_report *before, const struct fix_report *after, struct err *e)
{
    for (size_t i = 0; i < before->n_clips; i++)
        for (size_t k = 0; k < after->n_clips; k++)
            if (before->clips[i].id == after->clips[k].id)
                return err_set(e, ERR_INPUT,
                               "clip '%s' stands on both sides; name another rehearsal to compare "
                               "it with",
                               before->clips[i].label);
    return true;
}

bool app_compare(struct app *a, const struct compare_choice *choice, struct arena *mem,
                 struct comparison *out, struct err *e)
{
    const char *for_whom = choice->for_whom ? choice->for_whom : "";
    *out = (struct comparison){.show = &a->show, .title = a->title, .for_whom = for_whom};
    struct fix_choice x = choice->from, y = choice->to;
    struct fix_report before, after;
    x.for_whom = y.for_whom = for_whom;
    if (!app_fixes(a, &x, mem, &before, e) || !app_fixes(a, &y, mem, &after, e))
        return false;
    if (!apart(&before, &after, e))
        return false;
    out->from = side_of(&before);
    out->to = side_of(&after);
    struct gather g = {.app = a, .mem = mem, .out = out};
    g.part = parts_of(a, &before, mem, out);
    const bool ok = compare(&g, *for_whom ? before.performer : -1, e);
    free(g.reviewers);
    free(g.seen);
    free(g.watched);
    free(g.marks);
    if (ok)
        out->halving = rank_halving(out);
    if (ok && !*for_whom)
        drop_empty_parts(out);
    return ok;
}
