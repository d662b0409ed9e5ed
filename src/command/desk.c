#include "command/desk.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "base/shell.h"
#include "base/utf8.h"
#include "command/calls.h"
#include "command/command.h"
#include "sys/file.h"

enum { LEAD_MS = 600, KEYS_LIMIT = 256 * 1024 };

static bool read_keys(struct desk *d, struct err *e)
{
    keymap_default(&d->keys);
    char *path = file_config_path("keys.ini");
    struct buf bytes = {0};
    bool ok = !path || !file_exists(path) ||
              (file_read(path, KEYS_LIMIT, &bytes, e) &&
               keymap_read(&d->keys, buf_text(&bytes), bytes.n, path, e));
    buf_free(&bytes);
    free(path);
    return ok;
}

bool desk_open(struct desk *d, struct app *app, struct err *e)
{
    *d = (struct desk){
        .app = app,
        .lead_ms = LEAD_MS,
        .loop_a_us = -1,
        .loop_b_us = -1,
        .target_us = -1,
        .began_us = -1,
        .watching = {0, -1},
        .fixes = {.section = -1, .performer = -1},
        .version = app->version,
        .play = {.speed = 1, .loop_a_us = -1, .loop_b_us = -1, .frame = -1},
    };
    chord_cancel(d);
    char key[200];
    snprintf(key, sizeof key, "lead_ms %s", app_author());
    const char *lead = store_setting(app->store, &app->memory, key);
    if (lead)
        d->lead_ms = atof(lead);
    snprintf(key, sizeof key, "tap_bias_ms %s", app_author());
    const char *bias = store_setting(app->store, &app->memory, key);
    if (bias)
        d->tap_bias_us = atof(bias) * 1000;
    return read_keys(d, e);
}

/* In the file, and in the list that clips are opened from. */
static void keep_place(struct desk *d, int64_t clip, int64_t at_us)
{
    struct err ignored;
    store_clip_place(d->app->store, clip, at_us, &ignored);
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == clip)
            d->app->clips.at[i].place_us = at_us;
}

static void leave_clip(struct desk *d)
{
    if (d->clip && d->play.status == PLAYER_READY)
        keep_place(d, d->clip, d->play.at_us);
}

bool desk_close(struct desk *d)
{
    watch_end(d);
    leave_clip(d);
    listen_end(d, false);
    bool ended = player_close(d->player);
    keymap_free(&d->keys);
    arena_free(&d->fixes_memory);
    arena_free(&d->map_memory);
    plan_forget(d);
    buf_free(&d->ask_text);
    free(d->taps);
    free(d->row);
    calls_forget(d);
    free(d->lead);
    *d = (struct desk){0};
    return ended;
}

static void speak(struct desk *d, bool trouble, const char *fmt, va_list ap)
{
    vsnprintf(d->message, sizeof d->message, fmt, ap);
    d->message[utf8_check(d->message, strlen(d->message))] = '\0';
    d->trouble = trouble;
}

void desk_say(struct desk *d, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    speak(d, false, fmt, ap);
    va_end(ap);
}

void desk_trouble(struct desk *d, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    speak(d, true, fmt, ap);
    va_end(ap);
}

const struct clip *desk_current(const struct desk *d)
{
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == d->clip)
            return &d->app->clips.at[i];
    return NULL;
}

const struct clip *desk_first_clip(struct desk *d, const char *named, struct err *e)
{
    const struct clip_list *l = &d->app->clips;
    if (named)
        return clip_named(l, named, e);
    if (l->n == 0) {
        err_set(e, ERR_INPUT, "%s: no clip to review yet; add one: boxcall add %s clip FILE",
                store_path(d->app->store), shell_word(store_path(d->app->store)).text);
        return NULL;
    }
    const char *last = store_setting(d->app->store, &d->app->memory, "last_clip");
    for (size_t i = 0; last && i < l->n; i++)
        if (l->at[i].id == atoll(last) && l->at[i].place_us >= 0)
            return &l->at[i];
    for (size_t i = 0; i < l->n; i++)
        if (l->at[i].place_us < 0)
            return &l->at[i];
    return &l->at[0];
}

bool read_marks(struct desk *d, struct err *e)
{
    if (!calls_read(d, true, e))
        return false;
    if (!desk_mark(d, d->newest))
        d->newest = 0;
    if (!desk_mark(d, d->selected))
        d->selected = 0;
    return true;
}

bool desk_clip(struct desk *d, const struct clip *c, int64_t start_us, bool play, struct err *e)
{
    const char *path = app_clip_path(d->app, c, e);
    if (!path)
        return false;
    if (!d->player) {
        struct player_want want = {.view = d->view, .sound = d->sound, .title = "boxcall"};
        if (!player_open(&d->player, &want, e))
            return false;
    }
    watch_end(d);
    leave_clip(d);
    if (start_us < 0)
        start_us = c->place_us > 0 ? c->place_us : 0;
    if (!player_load(d->player, path, start_us, play, e))
        return false;
    char id[32];
    snprintf(id, sizeof id, "%lld", (long long)c->id);
    calls_forget(d); /* what is known is of the clip before */
    d->map = NULL;
    d->moves = NULL;
    d->ties = (struct tie_list){0};
    d->clip = c->id;
    d->start_us = d->target_us = start_us;
    d->play.status = PLAYER_OPENING; /* what is known until the player says more */
    d->play.at_us = start_us;
    d->newest = d->selected = 0;
    d->loop_a_us = d->loop_b_us = -1;
    chord_cancel(d);
    taps_end(d, false);
    ripple_end(d, false);
    listen_end(d, false);
    struct err ignored;
    store_set(d->app->store, "last_clip", id, &ignored);
    keep_place(d, c->id, start_us);
    return read_map(d, e) && calls_read(d, false, e);
}

/* What waits for the clip to be ready: the loop around a moment from a list, playing. */
static void when_ready(struct desk *d)
{
    if (d->play.status != PLAYER_READY)
        return;
    if (d->loop_a_us >= 0) {
        player_loop(d->player, d->loop_a_us, d->loop_b_us);
        go_to(d, d->loop_a_us);
    }
    if (d->play_when_ready)
        player_play(d->player, true);
    d->loop_a_us = d->loop_b_us = -1;
    d->play_when_ready = false;
}

bool desk_window_key(struct desk *d, char key[32])
{
    struct player_event ev;
    while (d->player && player_event(d->player, &ev)) {
        if (ev.kind == PLAYER_KEY) {
            memcpy(key, ev.key, sizeof ev.key);
            return true;
        }
        if (ev.kind == PLAYER_WHEEL)
            desk_run(d, ev.wheel > 0 ? "move -1" : "move +1");
        else if (ev.kind == PLAYER_CLICK && ev.button == 1)
            desk_run(d, "play");
        else if (ev.kind == PLAYER_CLOSED)
            desk_run(d, "view pane");
    }
    return false;
}

/* While the picture asked for is not there yet, now is where the person asked to be: keys pressed
 * fast add up. */
static void take_state(struct desk *d)
{
    d->play = player_poll(d->player);
    if (!d->play.seeking && d->play.status != PLAYER_OPENING)
        d->target_us = -1;
    if (d->target_us < 0)
        return;
    d->play.at_us = d->target_us;
    d->play.frame = player_frame_at(d->player, d->target_us);
}

bool desk_poll(struct desk *d)
{
    bool changed = listen_poll(d);
    if (d->player) {
        const struct player_state before = d->play;
        take_state(d);
        note_beginning(d, &before);
        changed |= d->play.changed != 0;
        if (d->play.view != d->view)
            d->view = d->play.view;
        if (d->play.status == PLAYER_FAILED && (d->play.changed & PLAYER_CHANGED_STATUS))
            desk_trouble(d, "%s", d->play.message);
        when_ready(d);
        watch_follow(d);
        if (before.playing && !d->play.playing)
            leave_clip(d);
    }
    changed |= desk_follow(d);
    return calls_work(d) || changed;
}

enum key_mode desk_mode(const struct desk *d)
{
    static const enum key_mode modes[SCREENS] = {
        [SCREEN_REVIEW] = KEYS_REVIEW, [SCREEN_FIXES] = KEYS_LISTS, [SCREEN_CLIPS] = KEYS_LISTS,
        [SCREEN_HELP] = KEYS_LISTS,    [SCREEN_LEAD] = KEYS_LEAD,   [SCREEN_PLAN] = KEYS_PLAN};
    return modes[d->screen];
}

/* On the fix list a section's key turns to that section's list. */
static bool turn_list(struct desk *d, const char *key)
{
    struct chord c;
    if (d->screen != SCREEN_FIXES || key[1] || key[0] < 'a' || key[0] > 'z')
        return false;
    if (d->n_typed + 1 >= sizeof d->typed)
        return true;
    d->typed[d->n_typed++] = key[0];
    d->typed[d->n_typed] = '\0';
    chord_read(&d->app->show, d->typed, false, &c);
    if (c.phase == CHORD_SECTION && *c.begun) {
        d->chord = c;
        return true;
    }
    chord_cancel(d);
    if (c.phase == CHORD_NUMBER) {
        d->fix_line = 0;
        d->fix_name = (struct line_name){0};
        fixes_load(d, d->app->show.sections[c.section].name);
    } else {
        desk_trouble(d, "%s", c.why);
    }
    return true;
}

void desk_key(struct desk *d, const char *key)
{
    if (d->screen == SCREEN_REVIEW ? chord_take(d, key) : turn_list(d, key))
        return;
    const char *line = keymap_find(&d->keys, desk_mode(d), key);
    if (d->trouble)
        d->message[0] = '\0';
    if (line)
        desk_run(d, line);
    else
        desk_trouble(d, "%s does nothing here; %s shows every key", key,
                     keymap_key_of(&d->keys, desk_mode(d), "help"));
}

void desk_run(struct desk *d, const char *line)
{
    while (*line == ' ')
        line++;
    size_t n = strcspn(line, " ");
    const struct command *c = command_named(line, n);
    if (c) {
        const char *arg = line + n;
        while (*arg == ' ')
            arg++;
        const enum desk_screen before = d->screen;
        c->run(d, arg);
        chord_leave(d, before);
        return;
    }
    char name[64];
    snprintf(name, sizeof name, "%.*s", (int)(n < 60 ? n : 60), line);
    struct near near = {.word = name};
    for (c = commands; c->name; c++)
        near_offer(&near, c->name);
    if (!n)
        return;
    if (strchr("0123456789+-", line[0]) || show_set(&d->app->show, name) >= 0)
        go_typed(d, line); /* a bare moment: 14.5, 5:58.2, +16 counts */
    else if (near.best)
        desk_trouble(d, "no command '%s'; did you mean '%s'?", name, near.best);
    else
        desk_trouble(d, "no command '%s'; %s shows what there is", name,
                     keymap_key_of(&d->keys, desk_mode(d), "help"));
}

void desk_line(struct desk *d, const char *text)
{
    enum desk_ask ask = d->ask;
    d->ask = ASK_NOTHING;
    if (!text) {
        if (ask == ASK_RUN)
            tie_answer(d, "");
        return;
    }
    if (ask == ASK_COMMAND)
        desk_run(d, text);
    else if (ask == ASK_FIND && (*text || *d->find))
        command_find(d, *text ? text : d->find);
    else if (ask == ASK_FILTER)
        command_filter(d, text);
    else if (ask == ASK_PLAN && *text)
        command_plan(d, text);
    else if (ask == ASK_RUN)
        tie_answer(d, text);
    else if (ask == ASK_DECIDE)
        decision_set(d, text);
    else if (ask == ASK_TIE && *text)
        command_tie(d, text);
    else if (ask == ASK_TAP && *text)
        command_accept(d, text);
    else if (ask == ASK_NOTE)
        note_set(d, d->asked, buf_text(&d->ask_text), text);
}

bool read_map(struct desk *d, struct err *e)
{
    const struct clip *c = desk_current(d);
    struct arena fresh = {0};
    struct tie_list ties;
    const struct map *map = c ? app_map(d->app, c, &fresh, &ties, e) : NULL;
    if (!map) {
        arena_free(&fresh);
        return false;
    }
    arena_free(&d->map_memory);
    d->map_memory = fresh;
    d->map = map;
    d->ties = ties;
    d->moves = app_moves(&d->app->show, &d->map_memory);
    return true;
}

bool desk_spot(const struct desk *d, struct spot *out)
{
    return d->map && map_at(d->map, d->play.at_us, out);
}

size_t desk_here(const struct desk *d)
{
    size_t n = calls_before(d, d->play.at_us + 1);
    return n ? n - 1 : calls_shown(d);
}
