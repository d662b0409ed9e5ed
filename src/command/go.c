/* Screens, views, lines, the way out. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "command/command.h"

void command_review(struct desk *d, const char *arg)
{
    (void)arg;
    d->screen = SCREEN_REVIEW;
}

void command_help(struct desk *d, const char *arg)
{
    (void)arg;
    d->screen = d->screen == SCREEN_HELP ? SCREEN_REVIEW : SCREEN_HELP;
    d->help_line = 0;
}

void ask_line(struct desk *d, enum desk_ask ask, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    int n = vsnprintf(NULL, 0, fmt, ap);
    va_end(ap);
    char *text = xcalloc((size_t)n + 1, 1);
    va_start(ap, fmt);
    vsnprintf(text, (size_t)n + 1, fmt, ap);
    va_end(ap);
    buf_clear(&d->ask_text);
    buf_add(&d->ask_text, text, (size_t)n);
    free(text);
    d->ask = ask;
}

void command_line(struct desk *d, const char *arg)
{
    (void)arg;
    ask_line(d, ASK_COMMAND, "%s", "");
}

void command_redraw(struct desk *d, const char *arg)
{
    (void)arg;
    d->redraw = true;
}

void command_quit(struct desk *d, const char *arg)
{
    (void)arg;
    if (d->lost && !d->leaving && !store_read_only(d->app->store)) {
        d->leaving = true;
        desk_trouble(d, ":copy FILE saves the newest marks; once more leaves without them");
        return;
    }
    d->quit = true;
}

void command_back(struct desk *d, const char *arg)
{
    (void)arg;
    if (taps_end(d, false) || ripple_end(d, false) || listen_end(d, false))
        return;
    if (d->play.loop_a_us >= 0) {
        player_loop(d->player, -1, -1);
        desk_say(d, "no loop");
    } else if (d->selected) {
        d->selected = 0;
        d->message[0] = '\0';
    } else if (*d->filter) {
        command_filter(d, "");
    } else {
        d->message[0] = '\0';
    }
}

void command_view(struct desk *d, const char *arg)
{
    struct err e;
    enum player_view to = d->view == PLAYER_PANE ? PLAYER_WINDOW : PLAYER_PANE;
    bool window = strcmp(arg, "window") == 0, pane = strcmp(arg, "pane") == 0;
    if (*arg && !window && !pane) {
        desk_trouble(d, "write: view window, or view pane");
        return;
    }
    if (*arg)
        to = window ? PLAYER_WINDOW : PLAYER_PANE;
    if (!d->player)
        desk_trouble(d, "no clip is open");
    if (to == d->view || !d->player)
        return;
    if (to == PLAYER_WINDOW && !player_display())
        desk_trouble(d, "there is no display to open a window on; the video stays here");
    else if (player_switch(d->player, to, &e))
        d->view = to;
    else
        desk_trouble(d, "%s", e.text);
}
