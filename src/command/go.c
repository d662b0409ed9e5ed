/* Screens, views, lines, the way out. */
#include <stdio.h>
#include <string.h>

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

void command_line(struct desk *d, const char *arg)
{
    (void)arg;
    d->ask = ASK_COMMAND;
    d->ask_text[0] = '\0';
}

void command_redraw(struct desk *d, const char *arg)
{
    (void)arg;
    d->redraw = true;
}

void command_quit(struct desk *d, const char *arg)
{
    (void)arg;
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
