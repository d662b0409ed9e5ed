#include "command/fixes.h"

#include <stdio.h>
#include <string.h>

#include "app/define.h"
#include "app/history.h"
#include "command/command.h"
#include "command/line.h"
#include "command/reload.h"
#include "command/who.h"
#include "paper/fixes.h"

static void begin(void *mine)
{
    ((struct fixes *)mine)->report = (struct fix_report){.section = -1, .performer = -1};
}

static void read_again(struct desk *d, void *mine);
static void end(struct desk *d, void *mine);

static const struct part part = {
    .size = sizeof(struct fixes), .begin = begin, .after_read = read_again, .end = end};

static struct fixes *fixes(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct fixes *fixes_now(const struct desk *d)
{
    return fixes(d);
}

void fixes_shown(struct desk *d, bool shown)
{
    fixes(d)->shown = shown;
}

void fixes_choose_define(struct desk *d, bool define)
{
    struct fixes *f = fixes(d);
    if (f->define != define)
        fixes_choose(d, 0, 0);
    f->define = define;
}

size_t fixes_lines(const struct desk *d)
{
    const struct fixes *f = fixes(d);
    size_t n = f->decided.list.n_keep + f->decided.list.n_items + f->report.own.list.n_keep +
               f->report.own.list.n_items;
    for (size_t i = 0; i < f->report.n_with; i++)
        n += f->report.with[i].list.n_keep + f->report.with[i].list.n_items;
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
    const struct fixes *f = fixes(d);
    *p = &f->report.own;
    const struct rank_item *item = in_part(*p, &line);
    for (size_t i = 0; !item && i < f->report.n_with; i++) {
        *p = &f->report.with[i];
        item = in_part(*p, &line);
    }
    if (!item) {
        *p = &f->decided;
        item = in_part(*p, &line);
    }
    return item;
}

static struct line_name name_line(const struct desk *d)
{
    const struct fixes *f = fixes(d);
    const struct report_part *p;
    const struct rank_item *item = fixes_item(d, f->line, &p);
    if (!item)
        return (struct line_name){0};
    return (struct line_name){
        .section = p == &f->report.own ? 0 : d->app->show.sections[p->section].id,
        .fault = d->app->show.faults[item->fault].id,
        .praise = item->praise,
        .there = true,
    };
}

/* The chosen line stays the chosen one when the order changes under it. */
static void find_line(struct desk *d, const struct line_name *was)
{
    struct fixes *f = fixes(d);
    size_t n = fixes_lines(d), line = f->line;
    for (f->line = 0; was->there && f->line < n; f->line++) {
        struct line_name now = name_line(d);
        if (now.section == was->section && now.fault == was->fault && now.praise == was->praise)
            return;
    }
    f->line = line < n ? line : n ? n - 1 : 0;
    f->moment = 0;
}

static void forget(struct desk *d)
{
    struct fixes *f = fixes(d);
    arena_free(&f->memory);
    f->report = (struct fix_report){.section = -1, .performer = -1};
    f->decided = (struct report_part){0};
    f->history = (struct history_report){0};
    f->name = (struct line_name){0};
}

/* Takes down which line is chosen; after every key that may have chosen another. */
static void chosen(struct desk *d)
{
    struct fixes *f = fixes(d);
    f->name = name_line(d);
}

static bool read_list(const struct desk *d, const char *for_whom, struct arena *mem,
                      struct fix_report *r, struct report_part *decided, struct err *e)
{
    const struct fix_choice choice = {.for_whom = for_whom, .moments = true};
    struct define_report both;
    *decided = (struct report_part){0};
    if (!fixes(d)->define)
        return app_fixes(d->app, &choice, mem, r, e);
    if (!app_define(d->app, &choice, mem, &both, e))
        return false;
    *r = both.asked;
    *decided = both.decided.own;
    return true;
}

bool fixes_load(struct desk *d, const char *for_whom)
{
    struct fixes *f = fixes(d);
    struct arena fresh = {0};
    struct fix_report r;
    struct report_part decided;
    struct err e;
    bool same = for_whom == f->for_whom || strcmp(for_whom, f->for_whom) == 0;
    if (!read_list(d, for_whom, &fresh, &r, &decided, &e)) {
        arena_free(&fresh);
        forget(d); /* it may speak of positions that have moved */
        desk_trouble(d, "%s", e.text);
        return false;
    }
    if (!app_history_of(d->app, &r, &fresh, &f->history, &e)) {
        f->history = (struct history_report){0};
        desk_trouble(d, "%s", e.text);
    }
    arena_free(&f->memory);
    f->memory = fresh;
    f->decided = decided;
    f->report = r;
    if (for_whom != f->for_whom)
        snprintf(f->for_whom, sizeof f->for_whom, "%s", for_whom);
    find_line(d, same ? &f->name : &(struct line_name){0});
    chosen(d);
    return true;
}

const struct line_history *fixes_history(const struct desk *d)
{
    const struct fixes *f = fixes(d);
    const struct report_part *p;
    const struct rank_item *item = fixes_item(d, f->line, &p);
    for (size_t i = 0; item && i < f->history.n; i++)
        if (f->history.lines[i].item == item)
            return &f->history.lines[i];
    return NULL;
}

bool fixes_turn(struct desk *d, const char *for_whom)
{
    struct fixes *f = fixes(d);
    f->line = 0;
    f->name = (struct line_name){0};
    return fixes_load(d, for_whom);
}

void fixes_choose(struct desk *d, size_t line, size_t moment)
{
    struct fixes *f = fixes(d);
    f->line = line;
    f->moment = moment;
    chosen(d);
}

size_t fixes_moments(const struct desk *d, const struct report_moment **nth)
{
    const struct fixes *f = fixes(d);
    struct fixes_line l = {.r = &f->report};
    l.item = fixes_item(d, f->line, &l.part);
    const struct report_moment *m;
    size_t n = 0;
    *nth = NULL;
    for (size_t at = 0; l.item && (m = fixes_next(&l, &at)); n++)
        if (n == f->moment)
            *nth = m;
    return n;
}

/* The list on screen; whoever it was for may have left. */
static void read_again(struct desk *d, void *mine)
{
    struct fixes *f = mine;
    if (!f->shown) {
        forget(d);
        return;
    }
    if (fixes_load(d, f->for_whom) || !*f->for_whom)
        return;
    char who[sizeof f->for_whom];
    snprintf(who, sizeof who, "%s", f->for_whom);
    if (fixes_load(d, ""))
        desk_trouble(d, "%s is not in the show any more; this is everybody's list", who);
}

static void end(struct desk *d, void *mine)
{
    (void)d;
    arena_free(&((struct fixes *)mine)->memory);
}

/* --- what is said about the chosen line ---------------------------------------------------------
 */

/* The marks of the chosen line, all of its chosen clips. */
static bool chosen_item(struct desk *d, struct item_choice *out, const struct rank_item **item)
{
    struct fixes *f = fixes(d);
    const struct report_part *p;
    *item = f->shown ? fixes_item(d, f->line, &p) : NULL;
    if (!*item || (*item)->praise) {
        desk_trouble(d, "choose a line of the fix list first");
        return false;
    }
    int64_t *clips = arena_alloc(&f->memory, f->report.n_clips * sizeof *clips);
    for (size_t i = 0; i < f->report.n_clips; i++)
        clips[i] = f->report.clips[i].id;
    *out = (struct item_choice){.section = p->section,
                                .performer = p == &f->report.own ? f->report.performer : -1,
                                .whole = p != &f->report.own,
                                .fault = (*item)->fault,
                                .clips = clips,
                                .n_clips = f->report.n_clips};
    return true;
}

void command_state(struct desk *d, const char *arg)
{
    struct item_choice choice;
    const struct rank_item *item;
    struct err e;
    int state = MARK_OPEN;
    char what[160];
    const bool next = strcmp(arg, "next") == 0;
    while (!next && state <= MARK_CLEAN &&
           strcmp(arg, mark_state_name((enum mark_state)state)) != 0)
        state++;
    if (state > MARK_CLEAN) {
        desk_trouble(d, "a state is open, repped, clean, or next");
        return;
    }
    if (fixes(d)->define) { /* its lines are some of a fault's marks */
        desk_trouble(d, "how far a line is, is said on the fix list (%s)",
                     keymap_key_of(&d->keys, keys_anywhere.name, "fixes"));
        return;
    }
    if (!chosen_item(d, &choice, &item))
        return;
    if (next)
        state = (item->state + 1) % (MARK_CLEAN + 1);
    snprintf(what, sizeof what, "%.60s: %s", d->app->show.faults[item->fault].name,
             mark_state_name((enum mark_state)state));
    int changed =
        store_item_state(d->app->store, &d->app->show, &choice, (enum mark_state)state, &e);
    desk_wrote(d);
    if (changed >= 0 && desk_reload(d, &e))
        desk_say(d, "%s (%d mark%s); %s takes it back", what, changed, changed == 1 ? "" : "s",
                 keymap_key_of(&d->keys, keys_anywhere.name, "undo"));
    else
        desk_trouble(d, "%s", e.text);
}

static void decision_set(struct desk *d, const char *text)
{
    struct err e;
    char name[100];
    int fault = fault_of_row(&d->app->show, fixes(d)->asked);
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

static const struct line_kind decide_line = {.label = " right is:", .done = decision_set};

void command_decide(struct desk *d, const char *arg)
{
    struct item_choice choice;
    const struct rank_item *item;
    if (!chosen_item(d, &choice, &item))
        return;
    const struct fault *f = &d->app->show.faults[item->fault];
    fixes(d)->asked = f->id;
    if (*arg) {
        decision_set(d, arg);
    } else {
        line_ask(d, &decide_line, "%s", f->right);
        line_about(d, f->name);
    }
}
