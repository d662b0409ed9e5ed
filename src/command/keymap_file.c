/* The keys file: INI, read over the tables. */
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/buf.h"
#include "base/utf8.h"
#include "command/tools.h"
#include "sys/file.h"

enum { KEYS_LIMIT = 256 * 1024 };

struct reading {
    struct keymap *k;
    const char *source;
    int line;
    const char *table; /* NULL before the first section */
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
    struct buf all = {0};
    const struct key_table *t;
    for (size_t i = 0; (t = key_table_nth(r->k->tools, i)) != NULL; i++) {
        if (strcasecmp(t->name, name) == 0) {
            r->table = t->name;
            buf_free(&all);
            return true;
        }
        buf_printf(&all, " [%s]", t->name);
    }
    err_set(r->e, ERR_INPUT, "%s:%d: no section [%s]; it is one of%s", r->source, r->line, name,
            buf_text(&all));
    buf_free(&all);
    return false;
}

static bool check_command(struct reading *r, const char *command)
{
    size_t n = strcspn(command, " ");
    if (!*command || tool_named(r->k->tools, command, n))
        return true;
    char name[64];
    snprintf(name, sizeof name, "%.*s", (int)(n < 60 ? n : 60), command);
    return err_set(r->e, ERR_INPUT, "%s:%d: no command '%s'%s", r->source, r->line, name,
                   tool_near(r->k->tools, name, "; boxcall keys lists them").text);
}

static bool read_binding(struct reading *r, char *s)
{
    /* The key itself may be '=' : the separator is the first '=' behind it. */
    char *equals = strchr(s + 1, '='), key[32];
    if (!equals)
        return err_set(r->e, ERR_INPUT, "%s:%d: write a line as KEY = COMMAND", r->source, r->line);
    *equals = '\0';
    char *name = trimmed(s), *command = trimmed(equals + 1);
    if (!r->table)
        return err_set(r->e, ERR_INPUT, "%s:%d: a section must come first, such as [review]",
                       r->source, r->line);
    if (key_is_letter(name))
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
    struct binding *b = keymap_lookup(r->k, r->table, key);
    if (b && b->line)
        return err_set(r->e, ERR_INPUT, "%s:%d: %s is bound already on line %d; keep one of them",
                       r->source, r->line, key, b->line);
    if (!b) {
        r->k->at = array_grow(r->k->at, r->k->n, &r->k->cap, sizeof *r->k->at);
        b = &r->k->at[r->k->n++];
    }
    *b = (struct binding){r->table, arena_strdup(&r->k->memory, key),
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
    struct reading r = {.k = k, .source = source, .e = e};
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

bool keymap_own(struct keymap *k, const struct tools *tools, struct err *e)
{
    keymap_default(k, tools);
    char *path = file_config_path("keys.ini");
    struct buf bytes = {0};
    bool ok = !path || !file_exists(path) ||
              (file_read(path, KEYS_LIMIT, &bytes, e) &&
               keymap_read(k, buf_text(&bytes), bytes.n, path, e));
    buf_free(&bytes);
    free(path);
    return ok;
}
