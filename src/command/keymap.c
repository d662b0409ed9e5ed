#include "command/keymap.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "command/tools.h"

static const struct key_row anywhere[] = {
    {"F2", "fixes", NULL},
    {"F3", "clips", NULL},
    {"F4", "review", NULL},
    {"F5", "plan", NULL},
    {"F6", "lead measure", "Measure your own reaction lead"},
    {"F7", "tap-measure", NULL},
    {"F8", "view", NULL},
    {"F9", "define", NULL},
    {"F11", "field", NULL},
    {"F12", "compare", NULL},
    {"\"", "drafts", NULL},
    {"?", "help", NULL},
    {"F1", "help", NULL},
    {":", "line", NULL},
    {"Ctrl-z", "undo", NULL},
    {"Ctrl-y", "redo", NULL},
    {"Ctrl-l", "redraw", NULL},
    {"Ctrl-q", "quit", NULL},
    {"F10", "quit", NULL},
    {NULL, NULL, NULL},
};

const struct key_table keys_anywhere = {"anywhere", "everywhere", anywhere};

/* Is it the first screen with that table? */
static bool is_first(const struct tools *t, size_t screen)
{
    for (size_t i = 0; i < screen; i++)
        if (t->screens[i]->keys == t->screens[screen]->keys)
            return false;
    return true;
}

const struct key_table *key_table_nth(const struct tools *tools, size_t i)
{
    for (size_t s = 0; tools->screens[s]; s++)
        if (is_first(tools, s) && i-- == 0)
            return tools->screens[s]->keys;
    return i == 0 ? &keys_anywhere : NULL;
}

void keymap_default(struct keymap *k, const struct tools *tools)
{
    const struct key_table *t;
    *k = (struct keymap){.tools = tools};
    for (size_t i = 0; (t = key_table_nth(tools, i)) != NULL; i++)
        for (const struct key_row *r = t->rows; r->key; r++) {
            k->at = array_grow(k->at, k->n, &k->cap, sizeof *k->at);
            k->at[k->n++] = (struct binding){t->name, r->key, r->command, r->help, 0};
        }
}

void keymap_free(struct keymap *k)
{
    arena_free(&k->memory);
    free(k->at);
    *k = (struct keymap){0};
}

struct binding *keymap_lookup(const struct keymap *k, const char *table, const char *key)
{
    for (size_t i = 0; i < k->n; i++)
        if (strcmp(k->at[i].table, table) == 0 && strcmp(k->at[i].key, key) == 0)
            return &k->at[i];
    return NULL;
}

const char *keymap_find(const struct keymap *k, const char *table, const char *key)
{
    const struct binding *b = keymap_lookup(k, table, key);
    if (!b)
        b = keymap_lookup(k, keys_anywhere.name, key);
    return b && *b->command ? b->command : NULL;
}

const char *keymap_key_of(const struct keymap *k, const char *table, const char *command)
{
    for (size_t i = 0; i < k->n; i++)
        if ((strcmp(k->at[i].table, table) == 0 ||
             strcmp(k->at[i].table, keys_anywhere.name) == 0) &&
            strcmp(k->at[i].command, command) == 0)
            return k->at[i].key;
    return "";
}

const char *keymap_help(const struct keymap *k, const struct binding *b)
{
    if (b->help)
        return b->help;
    const struct command *c = tool_named(k->tools, b->command, strcspn(b->command, " "));
    return c ? c->help : "";
}

bool key_is_letter(const char *key)
{
    return isalpha((unsigned char)key[0]) && !key[1];
}

static const char *const key_names[] = {
    "Space", "Left",  "Right", "Up",         "Down",        "PageUp",   "PageDown",   "Home",
    "End",   "Enter", "Esc",   "Tab",        "Backspace",   "Delete",   "Insert",     "F1",
    "F2",    "F3",    "F4",    "F5",         "F6",          "F7",       "F8",         "F9",
    "F10",   "F11",   "F12",   "Shift-Left", "Shift-Right", "Shift-Up", "Shift-Down", "Shift-Tab"};

bool key_canonical(const char *text, char out[32])
{
    for (size_t i = 0; i < sizeof key_names / sizeof *key_names; i++)
        if (strcasecmp(key_names[i], text) == 0) {
            snprintf(out, 32, "%s", key_names[i]);
            return true;
        }
    if (strncasecmp(text, "ctrl-", 5) == 0 && isalpha((unsigned char)text[5]) && !text[6]) {
        snprintf(out, 32, "Ctrl-%c", tolower((unsigned char)text[5]));
        return true;
    }
    bool one = text[0] > ' ' && text[0] < 0x7f && !text[1];
    if (one && !isalpha((unsigned char)text[0])) {
        snprintf(out, 32, "%s", text);
        return true;
    }
    return false;
}
