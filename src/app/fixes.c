/* From stored marks to a fix list: chooses clips and sections, feeds rank/, gathers moments. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "app/app.h"
#include "app/asks.h"
#include "base/near.h"
#include "base/path.h"

struct gather {
    struct store *store;
    struct arena *memory;
    const struct fix_choice *how;
    struct rank_fold *fold;
    const struct fix_report *report;
    int64_t last_clip; /* row and position looked up last */
    size_t last_at;
    struct report_moment *at;
    size_t n, cap;
};

static bool clip_position(struct gather *g, int64_t id, size_t *out)
{
    if (g->last_clip != id) {
        size_t i = 0;
        while (i < g->report->n_clips && g->report->clips[i].id != id)
            i++;
        g->last_clip = id;
        g->last_at = i;
    }
    *out = g->last_at;
    return g->last_at < g->report->n_clips;
}

static bool on_seen(void *ctx, const struct seen_row *s)
{
    struct gather *g = ctx;
    size_t clip;
    if (!clip_position(g, s->clip, &clip))
        return true;
    const bool define = s->cause == CAUSE_DEFINE,
               asks = app_mark_asks(g->store, g->report->show, s);
    if ((g->how->define == CHOOSE_ASKED && !asks) ||
        (g->how->define == CHOOSE_DECIDED && (!define || asks)))
        return true;
    rank_feed(g->fold, &(struct rank_row){
                           .section = s->section,
                           .performer = s->performer,
                           .fault = s->fault,
                           .set = s->set,
                           .praise = s->praise,
                           .clip = clip,
                           .at_us = s->at_us,
                           .severity = s->severity,
                           .cause = asks ? CAUSE_DEFINE : CAUSE_EXECUTE,
                           .state = s->state,
                           .again = s->again,
                       });
    if (g->how->moments && !s->again) {
        g->at = array_grow(g->at, g->n, &g->cap, sizeof *g->at);
        g->at[g->n++] = (struct report_moment){
            .fault = s->fault,
            .praise = s->praise,
            .at = {clip, s->at_us},
            .mark = s->mark,
            .set = s->set,
            .state = s->state,
            .asks = asks,
        };
    }
    return true;
}

static int by_time(const void *a, const void *b)
{
    const struct report_moment *x = a, *y = b;
    if (x->at.clip != y->at.clip)
        return x->at.clip < y->at.clip ? -1 : 1;
    if (x->at.at_us != y->at.at_us)
        return x->at.at_us < y->at.at_us ? -1 : 1;
    return (x->mark > y->mark) - (x->mark < y->mark);
}

/* Lateness was measured for few marks, so it is laid over the finished lines. */
struct lateness {
    const struct app *app;
    const struct seen_choice *choice;
    const struct fix_report *report;
    struct rank_list *list;
};

static bool wanted(const struct lateness *l, const struct timed_row *row)
{
    const struct seen_choice *c = l->choice;
    bool clip = false, section = c->performer >= 0;
    for (size_t i = 0; i < l->report->n_clips; i++)
        clip |= l->report->clips[i].id == row->clip;
    for (size_t i = 0; i < c->n_sections; i++)
        section |= c->sections[i] == row->section;
    return clip && section && (c->performer < 0 || c->performer == row->performer) &&
           !(c->whole && row->performer >= 0);
}

static void on_timed(void *ctx, const struct timed_row *row)
{
    struct lateness *l = ctx;
    if (!wanted(l, row))
        return;
    for (size_t i = 0; i < l->list->n_items; i++) {
        struct rank_item *item = &l->list->items[i];
        if (item->fault != row->fault)
            continue;
        if (item->timed++ == 0 || fabs(row->late_counts) > fabs(item->late)) {
            item->late = row->late_counts;
            item->late_error = row->late_error;
        }
    }
}

static bool add_lateness(struct app *a, const struct seen_choice *choice,
                         const struct fix_report *report, struct rank_list *list, struct err *e)
{
    struct lateness l = {a, choice, report, list};
    return store_each_timed(a->store, on_timed, &l, e);
}

const char *app_local_time(struct arena *mem, int64_t ms)
{
    struct tm tm;
    char day[40], zone[10];
    const time_t s = (time_t)(ms / 1000);
    if (!localtime_r(&s, &tm) || !strftime(day, sizeof day, "%Y-%m-%dT%H:%M:%S", &tm) ||
        strftime(zone, sizeof zone, "%z", &tm) != 5)
        return "";
    if (strcmp(zone + 1, "0000") == 0)
        return arena_printf(mem, "%sZ", day);
    return arena_printf(mem, "%s%.3s:%s", day, zone, zone + 3);
}

/* Who set the state of a line last, and when. */
static void add_states(struct app *a, struct arena *mem, const struct fix_report *report,
                       bool labels_only, struct report_part *part)
{
    int performer = part == &report->own ? report->performer : -1;
    for (size_t i = 0; part->section >= 0 && i < part->list.n_items; i++) {
        struct rank_item *item = &part->list.items[i];
        const struct item_choice which = {
            .section = part->section, .performer = performer, .fault = item->fault};
        struct state_change last;
        if (item->clean + item->repped == 0 ||
            !store_last_state(a->store, mem, &a->show, &which, &last))
            continue;
        item->state_by = labels_only ? "" : last.author;
        item->state_at = app_local_time(mem, last.made_at);
    }
}

static bool add_words(struct app *a, struct arena *mem, struct report_part *part, struct err *e)
{
    for (size_t i = 0; i < part->n_moments; i++) {
        struct report_moment *m = &part->moments[i];
        struct mark_words words;
        if (!store_mark_words(a->store, mem, m->mark, &words, e))
            return false;
        m->uid = words.uid;
        m->targets = words.targets;
        m->n_targets = words.n_targets;
        m->count = words.count;
        m->note = words.note;
        m->timed = words.timed;
        m->late = words.late_counts;
        m->late_error = words.late_error;
        m->measure = words.measure;
        m->on_field = words.on_field;
        m->x = words.x;
        m->y = words.y;
    }
    return true;
}

static bool one_part(struct app *a, const struct seen_choice *choice, const struct fix_choice *how,
                     struct arena *mem, const struct fix_report *report, struct report_part *out,
                     struct err *e)
{
    struct gather g = {
        .store = a->store,
        .memory = mem,
        .how = how,
        .fold = rank_begin(&a->show, (struct rank_clips){report->n_clips, report->run_of}),
        .report = report,
        .last_clip = -1,
    };
    bool ok = store_each_seen(a->store, choice, on_seen, &g, e);
    out->list = rank_end(g.fold, how->by, mem);
    if (g.n)
        qsort(g.at, g.n, sizeof *g.at, by_time);
    out->moments = arena_take(mem, g.at, g.n * sizeof *g.at);
    out->n_moments = g.n;
    ok = ok && rank_believe(&out->list, report->watched_min, mem, e) &&
         add_lateness(a, choice, report, &out->list, e);
    add_states(a, mem, report, how->labels_only, out);
    return ok && add_words(a, mem, out, e);
}

struct report_clip app_report_clip(const struct app *a, struct arena *mem, const struct clip *c)
{
    const char *here = app_clip_here(a, mem, c), *path = here ? here : c->path;
    return (struct report_clip){.id = c->id,
                                .label = c->label,
                                .link = a->link_from ? path_from(mem, a->link_from, path) : c->link,
                                .path = path,
                                .here = here != NULL,
                                .date = c->date,
                                .run = c->run,
                                .length_min = (double)c->length_us / 60e6};
}

static bool watched_minutes(struct app *a, struct arena *mem, struct report_clip *clips,
                            struct fix_report *out, struct err *e)
{
    for (size_t i = 0; i < out->n_clips; i++) {
        struct stretch_list l;
        if (!store_watched(a->store, mem, clips[i].id, &l, e))
            return false;
        for (size_t k = 0; k < l.n; k++)
            clips[i].watched_min += ((double)l.at[k].to_us - (double)l.at[k].from_us) / 60e6;
        out->watched_min += clips[i].watched_min;
        out->length_min += clips[i].length_min;
    }
    return true;
}

static void number_runs(struct fix_report *out, struct arena *mem)
{
    int *run_of = arena_alloc(mem, (out->n_clips + 1) * sizeof *run_of);
    for (size_t i = 0; i < out->n_clips; i++) {
        const struct report_clip *c = &out->clips[i];
        const bool same = i > 0 && c->run == c[-1].run && strcmp(c->date, c[-1].date) == 0;
        out->n_runs += !same;
        run_of[i] = out->n_runs - 1;
    }
    out->run_of = run_of;
}

static bool choose_clips(struct app *a, const struct fix_choice *choice, struct arena *mem,
                         struct fix_report *out, struct err *e)
{
    struct report_clip *chosen = arena_alloc(mem, a->clips.n * sizeof *chosen);
    bool *wanted = arena_alloc(mem, a->clips.n * sizeof *wanted);
    if ((choice->since && !date_check(choice->since, "since", e)) ||
        (choice->date && !date_check(choice->date, "date", e)))
        return false;
    for (size_t i = 0; i < choice->n_clips; i++) {
        const struct clip *c = clip_named(&a->clips, choice->clips[i], e);
        if (!c)
            return false;
        wanted[c - a->clips.at] = true;
    }
    for (size_t i = 0; i < a->clips.n; i++) {
        const struct clip *c = &a->clips.at[i];
        if (choice->n_clips && !wanted[i])
            continue;
        if ((choice->since && strcmp(c->date, choice->since) < 0) ||
            (choice->date && strcmp(c->date, choice->date) != 0))
            continue;
        chosen[out->n_clips++] = app_report_clip(a, mem, c);
    }
    out->clips = chosen;
    number_runs(out, mem);
    return watched_minutes(a, mem, chosen, out, e);
}

static bool choose_whom(struct app *a, const char *text, struct fix_report *out, struct err *e)
{
    out->performer = -1;
    out->section = a->show.root;
    if (!text || !*text)
        return true;
    out->performer = show_performer(&a->show, text);
    if (out->performer >= 0) {
        out->section = a->show.performers[out->performer].section;
        return true;
    }
    struct err why;
    if (section_named(&a->show, text, &out->section, &why))
        return true;
    struct near near = {.word = text};
    for (size_t i = 0; i < a->show.n_sections; i++)
        near_offer(&near, a->show.sections[i].name);
    for (size_t i = 0; i < a->show.n_performers; i++)
        near_offer(&near, a->show.performers[i].label);
    return err_set(e, ERR_INPUT, "no section or performer '%s'%s", text,
                   near_said(&near, "; name a section or a performer's label").text);
}

/* The groups above: marks that name the group itself. A performer's own section comes first. */
static bool gather_with(struct app *a, const struct fix_choice *choice, struct arena *mem,
                        struct fix_report *r, struct err *e)
{
    r->with = arena_alloc(mem, (a->show.n_sections + 1) * sizeof *r->with);
    int section =
        r->performer >= 0 || r->section < 0 ? r->section : a->show.sections[r->section].up;
    for (; section >= 0; section = a->show.sections[section].up) {
        struct seen_choice only = {
            .sections = &section, .n_sections = 1, .performer = -1, .whole = true};
        struct report_part *part = &r->with[r->n_with];
        part->section = section;
        if (!one_part(a, &only, choice, mem, r, part, e))
            return false;
        r->n_with += part->list.n_items > 0 || part->list.n_keep > 0;
    }
    return true;
}

bool app_fixes(struct app *a, const struct fix_choice *choice, struct arena *mem,
               struct fix_report *out, struct err *e)
{
    *out = (struct fix_report){.show = &a->show, .title = a->title};
    if (!choose_whom(a, choice->for_whom, out, e) || !choose_clips(a, choice, mem, out, e))
        return false;
    int *sections = arena_alloc(mem, a->show.n_sections * sizeof *sections);
    struct seen_choice own = {.sections = sections, .performer = out->performer};
    for (size_t i = 0; i < a->show.n_sections; i++)
        if (section_within(&a->show, (int)i, out->section))
            sections[own.n_sections++] = (int)i;
    out->own.section = out->section;
    return one_part(a, &own, choice, mem, out, &out->own, e) && gather_with(a, choice, mem, out, e);
}

bool app_marked(struct app *a, struct arena *mem, const bool **out, struct err *e)
{
    bool *marked = arena_alloc(mem, (a->show.n_sections + 1) * sizeof *marked), ok = true;
    memset(marked, 0, (a->show.n_sections + 1) * sizeof *marked);
    for (size_t i = 0; ok && i < a->clips.n; i++) {
        struct arena scratch = {0};
        struct mark_list l;
        ok = store_marks(a->store, &scratch, a->clips.at[i].id, &l, e);
        for (size_t m = 0; ok && m < l.n; m++)
            for (size_t t = 0; t < l.at[m].n_targets; t++)
                marked[l.at[m].targets[t].section] = true;
        arena_free(&scratch);
    }
    *out = marked;
    return ok;
}
