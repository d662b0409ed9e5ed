/* Lists, lines, views, the way out. */
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/command.h"
#include "command/line.h"
#include "command/run.h"
#include "command/screen.h"

static const struct line_kind command_line_kind = {.label = " :", .done = desk_run};

void command_line(struct desk *d, const char *arg)
{
    (void)arg;
    line_ask(d, &command_line_kind, "%s", "");
}

void command_list(struct desk *d, const char *arg)
{
    const struct screen *s = d->screen;
    if (*arg == '<' || *arg == '>') {
        if (s->turn)
            s->turn(d, (*arg == '<' ? -1 : 1) * (arg[1] == *arg ? 2 : 1));
    } else if (s->move) {
        s->move(d, atol(arg));
    }
}

void command_open(struct desk *d, const char *arg)
{
    (void)arg;
    if (d->screen->enter)
        d->screen->enter(d);
    else
        screen_show(d, "review");
}

void command_back(struct desk *d, const char *arg)
{
    (void)arg;
    if (d->play.loop_a_us >= 0) {
        player_loop(d->player, -1, -1);
        d->play.loop_a_us = d->play.loop_b_us = -1; /* the next Esc may come before a turn */
        desk_say(d, "no loop");
    } else if (d->selected) {
        d->selected = 0;
        d->message[0] = '\0';
    } else if (*calls_words(d)) {
        command_filter(d, "");
    } else {
        d->message[0] = '\0';
    }
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
