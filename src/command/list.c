/* The lists: fixes and clips. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/plan.h"
#include "count/timecode.h"

enum { BEFORE_US = 2000000, AFTER_US = 3000000 };

size_t fixes_lines(const struct desk *d)
{
    size_t n = d->fixes.own.list.n_keep + d->fixes.own.list.n_items;
    for (size_t i = 0; i < d->fixes.n_with; i++)
        n += d->fixes.with[i].list.n_keep + d->fixes.with[i].list.n_items;
    return n;
}

static const struct rank_item *in_part(const struct report_part *p, size_t *line)
{
    if (*line < p->list.n_keep)
        return &p->list.keep[*line];
    *line -= p->list.n_keep;
    if (*line < p->list.n_items)
        return &p->list.items[*line];
    *line -= p->list.n_items;
    return NULL;
}

const struct rank_item *fixes_item(const struct desk *d, size_t line, const struct report_part **p)
{
    *p = &d->fixes.own;
    const struct rank_item *item = in_part(*p, &line);
    for (size_t i = 0; !item && i < d->fixes.n_with; i++) {
        *p = &d->fixes.with[i];
        item = in_part(*p, &line);
    }
    return item;
}

static struct line_name name_line(const struct desk *d)
{
    const struct report_part *p;
    const struct rank_item *item = fixes_item(d, d->fix_line, &p);
    if (!item)
        return (struct line_name){0};
    return (struct line_name){
        .section = p == &d->fixes.own ? 0 : d->app->show.sections[p->section].id,
        .fault = d->app->show.faults[item->fault].id,
        .praise = item->praise,
        .there = true,
    };
}

/* The chosen line stays the chosen one when the order changes under it. */
static void find_line(struct desk *d, const struct line_name *was)
{
    size_t n = fixes_lines(d), line = d->fix_line;
    for (d->fix_line = 0; was->there && d->fix_line < n; d->fix_line++) {
        struct line_name now = name_line(d);
        if (now.section == was->section && now.fault == was->fault && now.praise == was->praise)
            return;
    }
    d->fix_line = line < n ? line : n ? n - 1 : 0;
    d->fix_moment = 0;
}

void fixes_forget(struct desk *d)
{
    arena_free(&d->fixes_memory);
    d->fixes = (struct fix_report){.section = -1, .performer = -1};
    d->fix_name = (struct line_name){0};
}

bool fixes_load(struct desk *d, const char *for_whom)
{
    struct arena fresh = {0};
    struct fix_report r;
    struct err e;
    struct fix_choice choice = {.for_whom = for_whom, .moments = true};
    bool same = for_whom == d->fixes_for || strcmp(for_whom, d->fixes_for) == 0;
    if (!app_fixes(d->app, &choice, &fresh, &r, &e)) {
        arena_free(&fresh);
        fixes_forget(d); /* it may speak of positions that have moved */
        desk_trouble(d, "%s", e.text);
        return false;
    }
    arena_free(&d->fixes_memory);
    d->fixes_memory = fresh;
    d->fixes = r;
    if (for_whom != d->fixes_for)
        snprintf(d->fixes_for, sizeof d->fixes_for, "%s", for_whom);
    find_line(d, same ? &d->fix_name : &(struct line_name){0});
    fixes_chosen(d);
    return true;
}

/* Takes down which line is chosen; after every key that may have chosen another. */
void fixes_chosen(struct desk *d)
{
    d->fix_name = name_line(d);
}

void command_fixes(struct desk *d, const char *arg)
{
    if (*arg) {
        d->fix_line = 0;
        d->fix_name = (struct line_name){0};
    }
    if (fixes_load(d, *arg ? arg : d->fixes_for))
        d->screen = SCREEN_FIXES;
}

void command_clips(struct desk *d, const char *arg)
{
    (void)arg;
    const struct clip *now = desk_current(d);
    d->clip_line = now ? (size_t)(now - d->app->clips.at) : 0;
    d->screen = SCREEN_CLIPS;
}

static size_t moments_of(const struct desk *d, const struct report_moment **nth)
{
    const struct report_part *p;
    const struct rank_item *item = fixes_item(d, d->fix_line, &p);
    size_t n = 0;
    *nth = NULL;
    for (size_t i = 0; item && i < p->n_moments; i++) {
        const struct report_moment *m = &p->moments[i];
        if (m->fault != item->fault || m->praise != item->praise)
            continue;
        if (n++ == d->fix_moment)
            *nth = m;
    }
    return n;
}

static void move_line(size_t *line, size_t n, long by)
{
    long to = (long)*line + by;
    *line = n == 0 || to < 0 ? 0 : (size_t)to >= n ? n - 1 : (size_t)to;
}

void command_list(struct desk *d, const char *arg)
{
    const struct report_moment *m;
    if (d->screen == SCREEN_FIXES && (*arg == '<' || *arg == '>')) {
        size_t n = moments_of(d, &m);
        move_line(&d->fix_moment, n, *arg == '<' ? -1 : 1);
    } else if (d->screen == SCREEN_FIXES) {
        move_line(&d->fix_line, fixes_lines(d), atol(arg));
        d->fix_moment = 0;
        fixes_chosen(d);
    } else if (d->screen == SCREEN_CLIPS) {
        move_line(&d->clip_line, d->app->clips.n, atol(arg));
    } else if (d->screen == SCREEN_PLAN && d->plan) {
        move_line(&d->plan->line, d->plan->kept.n_blocks, atol(arg));
    } else if (d->screen == SCREEN_HELP) {
        move_line(&d->help_line, 400, atol(arg));
    }
}

static const struct clip *clip_of_row(const struct desk *d, int64_t id)
{
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == id)
            return &d->app->clips.at[i];
    return NULL;
}

/* Plays a moment in a loop from a little before it. */
static void play_moment(struct desk *d, int64_t clip, int64_t at_us, int64_t mark)
{
    struct err e;
    const struct clip *c = clip_of_row(d, clip);
    int64_t from = at_us > BEFORE_US ? at_us - BEFORE_US : 0;
    if (!c)
        return;
    if (d->clip != c->id && !desk_clip(d, c, from, true, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    d->loop_a_us = from;
    d->loop_b_us = at_us + AFTER_US;
    d->play_when_ready = true;
    d->selected = mark;
    d->screen = SCREEN_REVIEW;
}

static void open_moment(struct desk *d)
{
    const struct report_moment *m;
    if (moments_of(d, &m) && m)
        play_moment(d, d->fixes.clips[m->at.clip].id, m->at.at_us, m->mark);
}

/* The marks of the chosen line, all of its chosen clips. */
static bool chosen_item(struct desk *d, struct item_choice *out, const struct rank_item **item)
{
    const struct report_part *p;
    *item = d->screen == SCREEN_FIXES ? fixes_item(d, d->fix_line, &p) : NULL;
    if (!*item || (*item)->praise) {
        desk_trouble(d, "choose a line of the fix list first");
        return false;
    }
    int64_t *clips = arena_alloc(&d->fixes_memory, d->fixes.n_clips * sizeof *clips);
    for (size_t i = 0; i < d->fixes.n_clips; i++)
        clips[i] = d->fixes.clips[i].id;
    *out = (struct item_choice){.section = p->section,
                                .performer = p == &d->fixes.own ? d->fixes.performer : -1,
                                .whole = p != &d->fixes.own,
                                .fault = (*item)->fault,
                                .clips = clips,
                                .n_clips = d->fixes.n_clips};
    return true;
}

void command_state(struct desk *d, const char *arg)
{
    struct item_choice choice;
    const struct rank_item *item;
    struct err e;
    int state = MARK_OPEN, changed;
    char what[160];
    while (state <= MARK_CLEAN && strcmp(arg, mark_state_name((enum mark_state)state)) != 0)
        state++;
    if (state > MARK_CLEAN) {
        desk_trouble(d, "a state is open, repped or clean");
        return;
    }
    if (!chosen_item(d, &choice, &item))
        return;
    snprintf(what, sizeof what, "%.60s: %s", d->app->show.faults[item->fault].name, arg);
    bool ok = store_item_state(d->app->store, &d->app->show, &choice, (enum mark_state)state,
                               &changed, &e);
    desk_wrote(d);
    ok = ok && desk_reload(d, &e);
    if (ok)
        desk_say(d, "%s (%d mark%s)", what, changed, changed == 1 ? "" : "s");
    else
        desk_trouble(d, "%s", e.text);
}

void decision_set(struct desk *d, const char *text)
{
    struct err e;
    char name[100];
    int fault = fault_of_row(&d->app->show, d->asked);
    if (fault < 0) {
        desk_trouble(d, "that fault is not in the show any more; nothing was decided");
        return;
    }
    snprintf(name, sizeof name, "%.60s", d->app->show.faults[fault].name);
    bool ok = store_decide(d->app->store, &d->app->show, fault, text, &e);
    desk_wrote(d);
    ok = ok && desk_reload(d, &e);
    if (ok)
        desk_say(d, *text ? "decide %s: it stands on every list now" : "decide %s: taken back",
                 name);
    else
        desk_trouble(d, "%s", e.text);
}

void command_decide(struct desk *d, const char *arg)
{
    struct item_choice choice;
    const struct rank_item *item;
    if (!chosen_item(d, &choice, &item))
        return;
    const struct fault *f = &d->app->show.faults[item->fault];
    d->asked = f->id;
    if (*arg) {
        decision_set(d, arg);
    } else {
        ask_line(d, ASK_DECIDE, "%s", f->right);
    }
}

void command_open(struct desk *d, const char *arg)
{
    struct err e;
    (void)arg;
    int64_t clip, at_us, mark;
    if (d->screen == SCREEN_PLAN) {
        if (plan_moment(d, &clip, &at_us, &mark))
            play_moment(d, clip, at_us, mark);
    } else if (d->screen == SCREEN_FIXES) {
        open_moment(d);
    } else if (d->screen == SCREEN_CLIPS && d->clip_line < d->app->clips.n) {
        if (desk_clip(d, &d->app->clips.at[d->clip_line], -1, false, &e))
            d->screen = SCREEN_REVIEW;
        else
            desk_trouble(d, "%s", e.text);
    } else {
        d->screen = SCREEN_REVIEW;
    }
}
