#include "command/keymap.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/near.h"
#include "base/utf8.h"
#include "command/command.h"

static const struct binding table[] = {
    {KEYS_REVIEW, "Space", "play", NULL, 0},
    {KEYS_REVIEW, "Left", "move -1", "One second back (one count once sets are tied)", 0},
    {KEYS_REVIEW, "Right", "move +1", "One second on (one count once sets are tied)", 0},
    {KEYS_REVIEW, "Shift-Left", "step -1", "One frame back", 0},
    {KEYS_REVIEW, "Shift-Right", "step +1", "One frame on", 0},
    {KEYS_REVIEW, "Up", "call prev", "To the call before", 0},
    {KEYS_REVIEW, "Down", "call next", "To the next call", 0},
    {KEYS_REVIEW, "PageUp", "rail prev", "To the set before (half-minute until sets are tied)", 0},
    {KEYS_REVIEW, "PageDown", "rail next", "To the next set (half-minute until sets are tied)", 0},
    {KEYS_REVIEW, "Home", "seek 0", "To the beginning of the clip", 0},
    {KEYS_REVIEW, "End", "seek end", "To the end of the clip", 0},
    {KEYS_REVIEW, "<", "speed slower", "Slower", 0},
    {KEYS_REVIEW, ">", "speed faster", "Faster", 0},
    {KEYS_REVIEW, "\\", "loop", "Loop around the chosen call; again: go on", 0},
    {KEYS_REVIEW, "'", "repeat", NULL, 0},
    {KEYS_REVIEW, "1", "severity 1", "Newest mark: small", 0},
    {KEYS_REVIEW, "2", "severity 2", "Newest mark: middling", 0},
    {KEYS_REVIEW, "3", "severity 3", "Newest mark: serious", 0},
    {KEYS_REVIEW, "=", "praise", NULL, 0},
    {KEYS_REVIEW, "*", "cause", NULL, 0},
    {KEYS_REVIEW, "Enter", "note", NULL, 0},
    {KEYS_REVIEW, "Delete", "remove", NULL, 0},
    {KEYS_REVIEW, ";", "tie", "Now is count 1 of the next set", 0},
    {KEYS_REVIEW, "@", "tie ?", "Now is a set and count that you type", 0},
    {KEYS_REVIEW, "_", "untie", NULL, 0},
    {KEYS_REVIEW, "[", "tie-move -1", "The nearest tie one frame earlier", 0},
    {KEYS_REVIEW, "]", "tie-move +1", "The nearest tie one frame later", 0},
    {KEYS_REVIEW, "`", "tap", NULL, 0},
    {KEYS_REVIEW, ".", "seen", NULL, 0},
    {KEYS_REVIEW, "~", "beats", NULL, 0},
    {KEYS_REVIEW, "|", "metronome", NULL, 0},
    {KEYS_REVIEW, "/", "find", NULL, 0},
    {KEYS_REVIEW, "&", "filter", NULL, 0},
    {KEYS_REVIEW, "Esc", "back", NULL, 0},
    {KEYS_LISTS, "Up", "list -1", "One line up", 0},
    {KEYS_LISTS, "Down", "list +1", "One line down", 0},
    {KEYS_LISTS, "PageUp", "list -10", "Ten lines up", 0},
    {KEYS_LISTS, "PageDown", "list +10", "Ten lines down", 0},
    {KEYS_LISTS, "Left", "list <", "The moment before of this line", 0},
    {KEYS_LISTS, "Right", "list >", "The next moment of this line", 0},
    {KEYS_LISTS, "Enter", "open", NULL, 0},
    {KEYS_LISTS, "Esc", "review", "Back to the review", 0},
    {KEYS_LISTS, "1", "state open", "This line is open", 0},
    {KEYS_LISTS, "2", "state repped", "This line was repped", 0},
    {KEYS_LISTS, "3", "state clean", "This line is clean", 0},
    {KEYS_LISTS, "*", "decide", NULL, 0},
    {KEYS_PLAN, "Up", "list -1", "One line up", 0},
    {KEYS_PLAN, "Down", "list +1", "One line down", 0},
    {KEYS_PLAN, "PageUp", "list -10", "Ten lines up", 0},
    {KEYS_PLAN, "PageDown", "list +10", "Ten lines down", 0},
    {KEYS_PLAN, "Enter", "open", NULL, 0},
    {KEYS_PLAN, "Esc", "review", "Back to the review", 0},
    {KEYS_PLAN, "+", "reps +", "One rep more", 0},
    {KEYS_PLAN, "-", "reps -", "One rep less", 0},
    {KEYS_PLAN, "<", "shift -", "Earlier", 0},
    {KEYS_PLAN, ">", "shift +", "Later", 0},
    {KEYS_PLAN, "=", "keep", NULL, 0},
    {KEYS_PLAN, "Delete", "drop", NULL, 0},
    {KEYS_PLAN, "Space", "tick", NULL, 0},
    {KEYS_LEAD, "Space", "tap-lead", "Now: the square has turned", 0},
    {KEYS_LEAD, "Esc", "review", "Leave without a change", 0},
    {KEYS_ANYWHERE, "F2", "fixes", NULL, 0},
    {KEYS_ANYWHERE, "F3", "clips", NULL, 0},
    {KEYS_ANYWHERE, "F4", "review", NULL, 0},
    {KEYS_ANYWHERE, "F5", "plan", NULL, 0},
    {KEYS_ANYWHERE, "F6", "lead measure", "Measure your own reaction lead", 0},
    {KEYS_ANYWHERE, "F7", "tap-measure", NULL, 0},
    {KEYS_ANYWHERE, "F8", "view", NULL, 0},
    {KEYS_ANYWHERE, "?", "help", NULL, 0},
    {KEYS_ANYWHERE, "F1", "help", NULL, 0},
    {KEYS_ANYWHERE, ":", "line", NULL, 0},
    {KEYS_ANYWHERE, "Ctrl-z", "undo", NULL, 0},
    {KEYS_ANYWHERE, "Ctrl-y", "redo", NULL, 0},
    {KEYS_ANYWHERE, "Ctrl-l", "redraw", NULL, 0},
    {KEYS_ANYWHERE, "Ctrl-q", "quit", NULL, 0},
    {KEYS_ANYWHERE, "F10", "quit", NULL, 0},
};

static const char *const mode_names[KEY_MODES] = {[KEYS_ANYWHERE] = "anywhere",
                                                  [KEYS_REVIEW] = "review",
                                                  [KEYS_LISTS] = "lists",
                                                  [KEYS_LEAD] = "lead",
                                                  [KEYS_PLAN] = "plan"};

static const char *const key_names[] = {
    "Space", "Left",  "Right", "Up",         "Down",        "PageUp",   "PageDown",   "Home",
    "End",   "Enter", "Esc",   "Tab",        "Backspace",   "Delete",   "Insert",     "F1",
    "F2",    "F3",    "F4",    "F5",         "F6",          "F7",       "F8",         "F9",
    "F10",   "F11",   "F12",   "Shift-Left", "Shift-Right", "Shift-Up", "Shift-Down", "Shift-Tab"};

const char *key_mode_name(enum key_mode m)
{
    return mode_names[m];
}

void keymap_default(struct keymap *k)
{
    *k = (struct keymap){0};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        k->at = array_grow(k->at, k->n, &k->cap, sizeof *k->at);
        k->at[k->n++] = table[i];
    }
}

void keymap_free(struct keymap *k)
{
    arena_free(&k->memory);
    free(k->at);
    *k = (struct keymap){0};
}

static struct binding *lookup(const struct keymap *k, enum key_mode mode, const char *key)
{
    for (size_t i = 0; i < k->n; i++)
        if (k->at[i].mode == mode && strcmp(k->at[i].key, key) == 0)
            return &k->at[i];
    return NULL;
}

const char *keymap_find(const struct keymap *k, enum key_mode mode, const char *key)
{
    const struct binding *b = lookup(k, mode, key);
    if (!b)
        b = lookup(k, KEYS_ANYWHERE, key);
    return b && *b->command ? b->command : NULL;
}

const char *keymap_key_of(const struct keymap *k, enum key_mode mode, const char *command)
{
    for (size_t i = 0; i < k->n; i++)
        if ((k->at[i].mode == mode || k->at[i].mode == KEYS_ANYWHERE) &&
            strcmp(k->at[i].command, command) == 0)
            return k->at[i].key;
    return "";
}

const char *binding_help(const struct binding *b)
{
    if (b->help)
        return b->help;
    const struct command *c = command_named(b->command, strcspn(b->command, " "));
    return c ? c->help : "";
}

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

/* --- the keys file --------------------------------------------------------------------------- */

struct reading {
    struct keymap *k;
    const char *source;
    int line;
    int mode; /* -1 before the first section */
    struct err *e;
};

static char *trimmed(char *s)
{
    while (isspace((unsigned char)*s))
        s++;
    size_t n = strlen(s);
    while (n && isspace((unsigned char)s[n - 1]))
        s[--n] = '\0';
    return s;
}

static bool read_section(struct reading *r, char *s)
{
    char *end = strchr(s, ']');
    if (!end || *trimmed(end + 1))
        return err_set(r->e, ERR_INPUT, "%s:%d: write a section as [review]", r->source, r->line);
    *end = '\0';
    char *name = trimmed(s + 1);
    for (int i = 0; i < KEY_MODES; i++)
        if (strcasecmp(mode_names[i], name) == 0) {
            r->mode = i;
            return true;
        }
    return err_set(r->e, ERR_INPUT,
                   "%s:%d: no section [%s]; it is one of [anywhere] [review] [lists] [lead] [plan]",
                   r->source, r->line, name);
}

static bool check_command(struct reading *r, const char *command)
{
    size_t n = strcspn(command, " ");
    if (!*command || command_named(command, n))
        return true;
    char name[64];
    snprintf(name, sizeof name, "%.*s", (int)(n < 60 ? n : 60), command);
    struct near near = {.word = name};
    for (const struct command *c = commands; c->name; c++)
        near_offer(&near, c->name);
    return err_set(r->e, ERR_INPUT, "%s:%d: no command '%s'%s%s%s", r->source, r->line, name,
                   near.best ? "; did you mean '" : "; boxcall keys lists them",
                   near.best ? near.best : "", near.best ? "'?" : "");
}

static bool read_binding(struct reading *r, char *s)
{
    /* The key itself may be '=' : the separator is the first '=' behind it. */
    char *equals = strchr(s + 1, '='), key[32];
    if (!equals)
        return err_set(r->e, ERR_INPUT, "%s:%d: write a line as KEY = COMMAND", r->source, r->line);
    *equals = '\0';
    char *name = trimmed(s), *command = trimmed(equals + 1);
    if (r->mode < 0)
        return err_set(r->e, ERR_INPUT, "%s:%d: a section must come first, such as [review]",
                       r->source, r->line);
    if (isalpha((unsigned char)name[0]) && !name[1])
        return err_set(r->e, ERR_INPUT,
                       "%s:%d: '%s' is a letter, and letters begin chords; choose another key",
                       r->source, r->line, name);
    if (!key_canonical(name, key))
        return err_set(
            r->e, ERR_INPUT,
            "%s:%d: no key '%s'; names are like Space, PageUp, Shift-Left, Ctrl-k, F5, %%",
            r->source, r->line, name);
    if (!check_command(r, command))
        return false;
    struct binding *b = lookup(r->k, (enum key_mode)r->mode, key);
    if (b && b->line)
        return err_set(r->e, ERR_INPUT, "%s:%d: %s is bound already on line %d; keep one of them",
                       r->source, r->line, key, b->line);
    if (!b) {
        r->k->at = array_grow(r->k->at, r->k->n, &r->k->cap, sizeof *r->k->at);
        b = &r->k->at[r->k->n++];
    }
    *b = (struct binding){(enum key_mode)r->mode, arena_strdup(&r->k->memory, key),
                          arena_strdup(&r->k->memory, command), NULL, r->line};
    return true;
}

/* '#' and ';' begin a comment and '[' a section, but "# = note" binds the key. */
static bool is_key_itself(const char *s)
{
    return s[1] == ' ' && s[2] == '=' && s[3] != '=';
}

bool keymap_read(struct keymap *k, const char *bytes, size_t n, const char *source, struct err *e)
{
    struct reading r = {.k = k, .source = source, .mode = -1, .e = e};
    if (utf8_check(bytes, n) != n || memchr(bytes, '\0', n))
        return err_set(e, ERR_INPUT, "%s: not plain UTF-8 text", source);
    while (n > 0) {
        const char *end = memchr(bytes, '\n', n);
        size_t len = end ? (size_t)(end - bytes) : n;
        r.line++;
        char line[400];
        if (len >= sizeof line)
            return err_set(e, ERR_INPUT, "%s:%d: the line is too long", source, r.line);
        memcpy(line, bytes, len);
        line[len] = '\0';
        char *s = trimmed(line);
        bool ok = !*s || (!is_key_itself(s) && (*s == '#' || *s == ';')) ||
                  (*s == '[' && !is_key_itself(s) ? read_section(&r, s) : read_binding(&r, s));
        if (!ok)
            return false;
        bytes += len + (end != NULL);
        n -= len + (end != NULL);
    }
    return true;
}
