#include "command/run.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/pointed.h"
#include "command/hold.h"
#include "command/tools.h"
#include "command/typed.h"

/* A bare moment (14.5, 5:58.2, +16 counts), or a word that is none. */
static void no_command(struct desk *d, const char *line, size_t n)
{
    char name[64], otherwise[80];
    snprintf(name, sizeof name, "%.*s", (int)(n < 60 ? n : 60), line);
    snprintf(otherwise, sizeof otherwise, "; %s shows what there is",
             keymap_key_of(&d->keys, d->screen->keys->name, "help"));
    if (strchr("0123456789+-", line[0]) || show_set(&d->app->show, name) >= 0)
        go_typed(d, line);
    else
        desk_trouble(d, "no command '%s'%s", name, tool_near(d->tools, name, otherwise).text);
}

void desk_run(struct desk *d, const char *line)
{
    while (*line == ' ')
        line++;
    size_t n = strcspn(line, " ");
    if (!n || hold_line(d, line))
        return;
    const struct command *c = tool_named(d->tools, line, n);
    if (!c) {
        no_command(d, line, n);
        return;
    }
    const struct screen *before = d->screen;
    c->run(d, line + n + strspn(line + n, " "));
    if (d->screen != before)
        hold_screen_left(d);
}

void desk_key(struct desk *d, const char *key)
{
    const char *table = d->screen->keys->name;
    if (hold_key(d, key) || (d->screen->key && d->screen->key(d, key)))
        return;
    const char *line = keymap_find(&d->keys, table, key);
    if (d->trouble)
        d->message[0] = '\0';
    if (line)
        desk_run(d, line);
    else
        desk_trouble(d, "%s does nothing here; %s shows every key", key,
                     keymap_key_of(&d->keys, table, "help"));
}

void desk_paste(struct desk *d, const char *key)
{
    bool blank = strcmp(key, "Enter") == 0 || strcmp(key, "Tab") == 0;
    bool writes = blank || !key[1] || (unsigned char)key[0] >= 0x80 || strcmp(key, "Space") == 0;
    if (!hold_takes_text(d))
        desk_trouble(d, "pasted text does nothing here; open a line for it, as %s does",
                     keymap_key_of(&d->keys, "review", "line"));
    else if (writes)
        hold_key(d, blank ? "Space" : key);
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
        else if (ev.kind == PLAYER_CLICK && ev.button == 1 && !desk_pointed(d, ev.x, ev.y, 0))
            desk_run(d, "play");
        else if (ev.kind == PLAYER_CLOSED)
            desk_run(d, "view pane");
    }
    return false;
}
