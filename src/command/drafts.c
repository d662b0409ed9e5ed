/* The list of drafts that wait: which one is chosen, and the clip around it. */
#include "command/drafts.h"

#include <string.h>

#include "command/playing.h"
#include "mark/mark.h"

static void clip_left(struct desk *d, void *mine);
static void before_read(struct desk *d, void *mine);
static void after_read(struct desk *d, void *mine);
static bool work(struct desk *d, void *mine);
static void end(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct drafts),
                                 .clip_left = clip_left,
                                 .before_read = before_read,
                                 .after_read = after_read,
                                 .work = work,
                                 .end = end};

static struct drafts *drafts(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct drafts *drafts_now(const struct desk *d)
{
    return drafts(d);
}

static void let_go(struct drafts *p)
{
    arena_free(&p->memory);
    p->list = (struct stored_draft_list){0};
    p->sources = (struct draft_source_list){0};
}

static void end(struct desk *d, void *mine)
{
    (void)d;
    let_go(mine);
}

static void clip_left(struct desk *d, void *mine)
{
    struct drafts *p = mine;
    (void)d;
    let_go(p);
    *p = (struct drafts){.shown = p->shown};
}

/* --- how many -------------------------------------------------------------------------------- */

int64_t drafts_waiting(const struct desk *d)
{
    struct drafts *p = drafts(d);
    struct err ignored; /* what reads them to show them says it */
    if (!d->clip)
        return 0;
    if (p->counted != d->clip && !store_draft_counts(d->app->store, d->clip, &p->counts, &ignored))
        p->counts = (struct draft_counts){0};
    p->counted = d->clip;
    return p->counts.waiting;
}

struct adding {
    const struct clip_list *clips;
    struct drafts_elsewhere *x;
};

static void add_elsewhere(void *ctx, int64_t clip, int64_t waiting)
{
    const struct adding *a = ctx;
    struct drafts_elsewhere *x = a->x;
    for (size_t i = 0; i < a->clips->n; i++)
        if (a->clips->at[i].id == clip)
            *x = (struct drafts_elsewhere){x->waiting + waiting, x->clips + 1, clip};
}

struct drafts_elsewhere drafts_elsewhere(const struct desk *d)
{
    struct drafts *p = drafts(d);
    struct adding adding = {&d->app->clips, &p->elsewhere};
    struct err ignored;
    if (p->elsewhere_known)
        return p->elsewhere;
    p->elsewhere_known = true;
    p->elsewhere = (struct drafts_elsewhere){0};
    if (!store_each_clip_drafts(d->app->store, add_elsewhere, &adding, &ignored))
        p->elsewhere = (struct drafts_elsewhere){0};
    return p->elsewhere;
}

static void forget_counts(struct drafts *p)
{
    p->counted = 0;
    p->elsewhere_known = false;
}

const struct stored_draft *drafts_chosen(const struct desk *d)
{
    const struct drafts *p = drafts(d);
    return p->line < p->list.n ? &p->list.at[p->line] : NULL;
}

const struct draft_source *drafts_source(const struct desk *d)
{
    const struct drafts *p = drafts(d);
    const struct stored_draft *now = drafts_chosen(d);
    for (size_t i = 0; now && i < p->sources.n; i++)
        if (p->sources.at[i].id == now->source)
            return &p->sources.at[i];
    return NULL;
}

/* --- the clip around it ---------------------------------------------------------------------- */

static void stop_looping(struct desk *d, struct drafts *p)
{
    if (!p->looping)
        return;
    p->looping = false;
    d->loop_a_us = d->loop_b_us = -1;
    if (d->player && d->play.status == PLAYER_READY) {
        player_loop(d->player, -1, -1);
        d->play.loop_a_us = d->play.loop_b_us = -1;
    }
}

void drafts_play(struct desk *d)
{
    const struct stored_draft *now = drafts_chosen(d);
    const int64_t length = d->play.length_us;
    if (!now || !d->player)
        return;
    int64_t from = now->d.at_us - MARK_LEAD_IN_US, to = now->d.end_us + MARK_TAIL_US;
    drafts(d)->looping = true;
    drafts(d)->due = false;
    if (d->play.status != PLAYER_READY) { /* as soon as it is */
        d->loop_a_us = from < 0 ? 0 : from;
        d->loop_b_us = to;
        d->play_when_ready = true;
        return;
    }
    to = length > 0 && to > length ? length : to;
    from = from < 0 ? 0 : from < to ? from : to - 1;
    player_loop(d->player, from, to);
    go_to(d, from);
    player_play(d->player, true);
}

/* Without one all is done, and the clip halts. */
static bool work(struct desk *d, void *mine)
{
    struct drafts *p = mine;
    if (!p->due)
        return false;
    p->due = false;
    if (drafts_chosen(d)) {
        drafts_play(d);
    } else if (p->looping) {
        stop_looping(d, p);
        if (d->player && d->play.status == PLAYER_READY)
            player_play(d->player, false);
    }
    return true;
}

/* The clip follows with the next turn: now the show may be half read. */
static void choose(struct drafts *p, size_t line)
{
    const bool any = line < p->list.n;
    const int64_t id = any ? p->list.at[line].id : 0;
    p->line = line;
    p->at_us = any ? p->list.at[line].d.at_us : 0;
    p->due |= p->shown && id != p->id;
    p->id = id;
}

void drafts_choose(struct desk *d, size_t line)
{
    struct drafts *p = drafts(d);
    if (line >= p->list.n)
        return;
    choose(p, line);
    work(d, p);
}

/* --- read ------------------------------------------------------------------------------------ */

static bool read_all(struct store *s, void *ctx, struct err *e)
{
    struct desk *d = ctx;
    struct drafts *p = drafts(d);
    forget_counts(p);
    return store_drafts(s, &p->memory, &(struct draft_choice){d->clip, 0, true}, &p->list, e) &&
           store_draft_sources(s, &p->memory, d->clip, &p->sources, e) &&
           store_draft_counts(s, d->clip, &p->counts, e);
}

/* Where that one stands, or the first behind where it stood, or the last of all. */
static size_t line_of(const struct drafts *p, int64_t id)
{
    size_t behind = p->list.n ? p->list.n - 1 : 0;
    for (size_t i = p->list.n; i-- > 0;) {
        const struct stored_draft *x = &p->list.at[i];
        if (x->id == id)
            return i;
        if (x->d.at_us > p->at_us || (x->d.at_us == p->at_us && x->id > p->id))
            behind = i;
    }
    return behind;
}

static bool waits(const struct drafts *p, int64_t id)
{
    for (size_t i = 0; i < p->list.n; i++)
        if (p->list.at[i].id == id)
            return true;
    return false;
}

/* The newest that this desk settled and that waits again. */
static int64_t came_back(struct drafts *p)
{
    for (size_t i = p->n_settled; i-- > 0;) {
        const int64_t id = p->settled[i];
        if (!waits(p, id))
            continue;
        p->n_settled = i;
        return id;
    }
    return 0;
}

void drafts_settled(struct desk *d, int64_t id)
{
    struct drafts *p = drafts(d);
    if (p->n_settled == DRAFTS_SETTLED)
        memmove(p->settled, p->settled + 1, --p->n_settled * sizeof *p->settled);
    p->settled[p->n_settled++] = id;
}

bool drafts_again(struct desk *d, int64_t chosen)
{
    struct drafts *p = drafts(d);
    struct err e;
    let_go(p);
    if (!store_reading(d->app->store, read_all, d, &e)) {
        let_go(p);
        desk_trouble(d, "%s", e.text);
        return false;
    }
    choose(p, line_of(p, chosen ? chosen : p->id));
    work(d, p);
    return true;
}

static void before_read(struct desk *d, void *mine)
{
    (void)d;
    let_go(mine);
    forget_counts(mine);
}

static void after_read(struct desk *d, void *mine)
{
    struct drafts *p = mine;
    if (!p->shown)
        return;
    let_go(p);
    struct err e;
    if (!store_reading(d->app->store, read_all, d, &e)) {
        let_go(p);
        desk_trouble(d, "%s", e.text);
        return;
    }
    const int64_t back = came_back(p);
    choose(p, line_of(p, back ? back : p->id));
}

bool drafts_load(struct desk *d)
{
    struct drafts *p = drafts(d);
    p->id = p->at_us = 0;
    return drafts_again(d, 0);
}

void drafts_shown(struct desk *d, bool shown)
{
    struct drafts *p = drafts(d);
    p->shown = shown;
    if (shown)
        return;
    stop_looping(d, p);
    let_go(p);
    p->due = false;
    p->id = p->at_us = p->typing = 0;
}

void drafts_typing(struct desk *d, int64_t id)
{
    drafts(d)->typing = id;
}
