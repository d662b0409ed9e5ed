/* The window of its own: its keys and clicks come back as events, marks are drawn over it. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/utf8.h"
#include "player/inside.h"

static const char *const options[][2] = {
    {"gpu-sw", "no"}, /* without a graphics card the plain X11 output is cheaper */
    {"force-window", "yes"},   {"autofit-larger", "90%x90%"},   {"input-vo-keyboard", "yes"},
    {"input-cursor", "yes"},   {"input-doubleclick-time", "0"}, {"cursor-autohide", "no"},
    {"window-dragging", "no"}, {"x11-name", "boxcall"},         {"wayland-app-id", "boxcall"},
};

/* Everything that is pressed comes to us. Position, margins and time are taken by libmpv's core
 * together with the click; the observed properties would be those of the click before. */
static const char bindings[] =
    "UNMAPPED script-binding main/key\n"
    "ANY_UNICODE script-binding main/key\n"
    "CLOSE_WIN script-message close\n"
    "MBTN_LEFT script-message click 1 ${=mouse-pos} ${=osd-dimensions} ${=time-pos}\n"
    "MBTN_MID script-message click 2 ${=mouse-pos} ${=osd-dimensions} ${=time-pos}\n"
    "MBTN_RIGHT script-message click 3 ${=mouse-pos} ${=osd-dimensions} ${=time-pos}\n"
    "WHEEL_UP script-message wheel 1\n"
    "WHEEL_DOWN script-message wheel -1\n";

bool window_options(mpv_handle *mpv, const struct player *p, struct err *e)
{
    const bool wayland = display_is_wayland();
    char title[256]; /* "$>" keeps libmpv from expanding what the text may hold */
    snprintf(title, sizeof title, "$>%s", p->title);
    int rc = mpv_set_option_string(mpv, "vo", wayland ? "gpu,wlshm,x11" : "gpu,x11");
    if (rc >= 0)
        rc = mpv_set_option_string(mpv, "gpu-context", wayland ? "wayland" : "x11egl");
    if (rc >= 0)
        rc = mpv_set_option_string(mpv, "title", title);
    for (size_t i = 0; rc >= 0 && i < sizeof options / sizeof *options; i++)
        rc = mpv_set_option_string(mpv, options[i][0], options[i][1]);
    return rc >= 0 ||
           err_set(e, ERR_FAILED, "the window cannot be set up: %s", mpv_error_string(rc));
}

static void send_overlay(struct player *p)
{
    const char *text = p->overlay ? p->overlay : "";
    core_command(p, 0,
                 (const char *[]){"osd-overlay", "1", text[0] ? "ass-events" : "none", text, "1280",
                                  "720", NULL});
}

void window_ready(struct player *p)
{
    display_guard(p->wake_fd);
    core_command(p, 0, (const char *[]){"define-section", "boxcall", bindings, "force", NULL});
    core_command(
        p, 0,
        (const char *[]){"enable-section", "boxcall", "allow-hide-cursor+allow-vo-dragging", NULL});
    if (p->overlay)
        send_overlay(p);
}

void player_overlay(struct player *p, const char *ass_events)
{
    free(p->overlay);
    p->overlay = xstrdup(ass_events);
    if (p->mpv && p->now.view == PLAYER_WINDOW)
        send_overlay(p);
}

/* --- events ------------------------------------------------------------------------------- */

static void push(struct player *p, const struct player_event *event)
{
    /* Nobody types 64 keys ahead; when the ring is full the newest are lost. */
    if (p->ring_tail - p->ring_head < EVENT_RING)
        p->ring[p->ring_tail++ % EVENT_RING] = *event;
}

bool player_event(struct player *p, struct player_event *out)
{
    if (p->ring_head == p->ring_tail)
        return false;
    *out = p->ring[p->ring_head++ % EVENT_RING];
    return true;
}

static const struct key_name {
    const char *theirs, *ours;
} key_names[] = {
    {"LEFT", "Left"},
    {"RIGHT", "Right"},
    {"UP", "Up"},
    {"DOWN", "Down"},
    {"PGUP", "PageUp"},
    {"PGDWN", "PageDown"},
    {"HOME", "Home"},
    {"END", "End"},
    {"ENTER", "Enter"},
    {"KP_ENTER", "Enter"},
    {"ESC", "Esc"},
    {"TAB", "Tab"},
    {"BS", "Backspace"},
    {"DEL", "Delete"},
    {"INS", "Insert"},
    {"SPACE", "Space"},
    {"SHARP", "#"},
    {"KP_DEC", "."},
    {"KP_DEL", "Delete"},
    {"KP_INS", "Insert"},
    {"KP_LEFT", "Left"},
    {"KP_RIGHT", "Right"},
    {"KP_UP", "Up"},
    {"KP_DOWN", "Down"},
    {"KP_PGUP", "PageUp"},
    {"KP_HOME", "Home"},
    {"KP_END", "End"},
    {"KP0", "0"},
    {"KP_PGDWN", "PageDown"},
    {"KP1", "1"},
    {"KP2", "2"},
    {"KP3", "3"},
    {"KP4", "4"},
    {"KP5", "5"},
    {"KP6", "6"},
    {"KP7", "7"},
    {"KP8", "8"},
    {"KP9", "9"},
};

enum { MOD_CTRL = 1, MOD_ALT = 2, MOD_SHIFT = 4, MOD_META = 8 };

static const struct modifier {
    const char *theirs;
    unsigned bit;
} modifiers[] = {
    {"Ctrl+", MOD_CTRL}, {"Alt+", MOD_ALT}, {"Shift+", MOD_SHIFT}, {"Meta+", MOD_META}};

static unsigned take_modifiers(const char **name)
{
    unsigned held = 0;
    for (bool again = true; again;) {
        again = false;
        for (size_t i = 0; i < sizeof modifiers / sizeof *modifiers; i++) {
            const size_t n = strlen(modifiers[i].theirs);
            if (strncmp(*name, modifiers[i].theirs, n) == 0 && (*name)[n]) {
                held |= modifiers[i].bit;
                *name += n;
                again = true;
            }
        }
    }
    return held;
}

/* The base of a key: our name, "F5", or the character itself. "" when it is none of a keyboard. */
static const char *base_name(const char *name)
{
    for (size_t i = 0; i < sizeof key_names / sizeof *key_names; i++)
        if (strcmp(key_names[i].theirs, name) == 0)
            return key_names[i].ours;
    size_t took;
    const size_t n = strlen(name);
    const bool one_character = n > 0 && !utf8_is_control(utf8_next(name, n, &took)) && took == n;
    int number = 0, end = 0;
    const bool function_key =
        sscanf(name, "F%2d%n", &number, &end) == 1 && name[end] == '\0' && number <= 12;
    return one_character || function_key ? name : "";
}

bool window_key_name(const char *name, const char *text, char out[32])
{
    const unsigned held = take_modifiers(&name);
    const char *base = base_name(name);
    const bool typed = !(held & ~(unsigned)MOD_SHIFT) && text[0] && text[0] != ' ' &&
                       (unsigned char)text[0] > 32 && text[0] != 127;
    if (typed)
        base = text;
    if (base[0] == '\0' || held & MOD_META)
        return false;
    const bool letter = base[1] == '\0' && base[0] >= 'A' && base[0] <= 'Z';
    const char lower[] = {(char)(base[0] | 0x20), '\0'};
    if (letter && held & MOD_CTRL) /* as on a terminal, where they are the same key */
        base = lower;
    snprintf(out, 32, "%s%s%s%s", held & MOD_CTRL ? "Ctrl-" : "", held & MOD_ALT ? "Alt-" : "",
             held & MOD_SHIFT && !typed ? "Shift-" : "", base);
    return true;
}

static void take_key(struct player *p, int n, const char **args)
{
    /* {"key-binding", "key", "d-", name, text}: d down, r repeat, p press without release, u up */
    struct player_event event = {.kind = PLAYER_KEY, .at_us = p->now.at_us};
    if (n < 5 || args[2][0] == 'u' || strstr(args[3], "MOUSE") || strstr(args[3], "MBTN") ||
        strstr(args[3], "WHEEL"))
        return;
    if (!window_key_name(args[3], args[4], event.key))
        return;
    /* libmpv repeats after 200 ms, which a hand with its eyes on the field exceeds: a sign or letter
     * that is held is meant once. Moving keys go on. */
    const bool sign = event.key[1] == '\0';
    if (args[2][0] != 'r' || !sign)
        push(p, &event);
}

static double json_number(const char *json, const char *key)
{
    const char *at = strstr(json, key);
    return at ? strtod(at + strlen(key), NULL) : NAN;
}

static void take_click(struct player *p, int n, const char **args)
{
    if (n < 5)
        return;
    const char *mouse = args[2], *osd = args[3];
    const double left = json_number(osd, "\"ml\":"), top = json_number(osd, "\"mt\":");
    const double width = json_number(osd, "\"w\":") - left - json_number(osd, "\"mr\":");
    const double height = json_number(osd, "\"h\":") - top - json_number(osd, "\"mb\":");
    struct player_event event = {
        .kind = PLAYER_CLICK,
        .button = atoi(args[1]),
        .x = (json_number(mouse, "\"x\":") + 0.5 - left) / width,
        .y = (json_number(mouse, "\"y\":") + 0.5 - top) / height,
        .at_us = p->now.at_us,
    };
    /* Written so that a number that is missing (NaN) fails too. */
    if (!(event.x >= 0 && event.x <= 1 && event.y >= 0 && event.y <= 1))
        return;
    char *end;
    const double seconds = strtod(args[4], &end);
    if (end != args[4] && !seek_busy(p)) {
        const int64_t us = (int64_t)(seconds * 1e6 + 0.5), frame = timeline_nearest(p, us);
        event.at_us = frame < 0 ? us : player_frame_time(p, frame);
    }
    push(p, &event);
}

void window_message(struct player *p, int n, const char **args)
{
    if (n >= 2 && strcmp(args[0], "key-binding") == 0)
        take_key(p, n, args);
    else if (n >= 1 && strcmp(args[0], "click") == 0)
        take_click(p, n, args);
    else if (n >= 2 && strcmp(args[0], "wheel") == 0)
        push(p, &(struct player_event){
                    .kind = PLAYER_WHEEL, .wheel = atoi(args[1]), .at_us = p->now.at_us});
    else if (n >= 1 && strcmp(args[0], "close") == 0)
        push(p, &(struct player_event){.kind = PLAYER_CLOSED, .at_us = p->now.at_us});
}

static double node_number(const mpv_node *map, const char *key)
{
    for (int i = 0; i < map->u.list->num; i++) {
        const mpv_node *v = &map->u.list->values[i];
        if (strcmp(map->u.list->keys[i], key) == 0)
            return v->format == MPV_FORMAT_INT64    ? (double)v->u.int64
                   : v->format == MPV_FORMAT_DOUBLE ? v->u.double_
                                                    : 0;
    }
    return 0;
}

void window_margins(struct player *p, const mpv_node *osd)
{
    if (osd->format != MPV_FORMAT_NODE_MAP)
        return;
    const double w = node_number(osd, "w"), h = node_number(osd, "h");
    const double left = node_number(osd, "ml"), top = node_number(osd, "mt");
    if (w <= 0 || h <= 0)
        return;
    p->now.window_width = (int)w;
    p->now.window_height = (int)h;
    p->now.in_window_x = left / w;
    p->now.in_window_y = top / h;
    p->now.in_window_w = (w - left - node_number(osd, "mr")) / w;
    p->now.in_window_h = (h - top - node_number(osd, "mb")) / h;
}
