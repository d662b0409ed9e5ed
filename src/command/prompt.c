#include "command/prompt.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/utf8.h"

static void make_room(struct prompt *p, size_t n)
{
    if (n < p->cap)
        return;
    p->cap = n + n / 2 + 64;
    p->text = xrealloc(p->text, p->cap);
}

static void set_text(struct prompt *p, const char *text)
{
    p->n = p->at = utf8_check(text, strlen(text));
    make_room(p, p->n);
    memcpy(p->text, text, p->n);
    p->text[p->n] = '\0';
}

void prompt_begin(struct prompt *p, int kind, const char *label, const char *text)
{
    p->kind = kind;
    p->label = label;
    p->browse = p->n_history[kind];
    p->offered = p->full = false;
    set_text(p, text);
}

size_t prompt_before(const struct prompt *p, size_t at)
{
    while (at > 0) {
        do
            at--;
        while (at > 0 && ((unsigned char)p->text[at] & 0xC0) == 0x80);
        size_t took;
        if (utf8_width_of(utf8_next(p->text + at, p->n - at, &took)) > 0)
            break;
    }
    return at;
}

/* Start of the character behind a place. */
static size_t behind(const struct prompt *p, size_t at)
{
    bool first = true;
    while (at < p->n) {
        size_t took;
        int w = utf8_width_of(utf8_next(p->text + at, p->n - at, &took));
        if (!first && w > 0)
            break;
        at += took;
        first = false;
    }
    return at;
}

static void cut(struct prompt *p, size_t from, size_t to)
{
    memmove(p->text + from, p->text + to, p->n - to + 1);
    p->full &= to == from;
    p->n -= to - from;
    p->at = from;
}

static void insert(struct prompt *p, const char *text)
{
    size_t n = strlen(text);
    if (p->offered)
        cut(p, 0, p->n);
    p->full |= p->n + n > PROMPT_MOST;
    if (p->full)
        return;
    make_room(p, p->n + n);
    memmove(p->text + p->at + n, p->text + p->at, p->n - p->at + 1);
    memcpy(p->text + p->at, text, n);
    p->n += n;
    p->at += n;
}

static void browse(struct prompt *p, int by)
{
    size_t n = p->n_history[p->kind];
    if ((by < 0 && p->browse == 0) || (by > 0 && p->browse >= n))
        return;
    if (p->browse == n) {
        free(p->own);
        p->own = xstrdup(p->text);
    }
    p->full = false;
    p->browse = by < 0 ? p->browse - 1 : p->browse + 1;
    set_text(p, p->browse == n ? p->own : p->history[p->kind][p->browse]);
}

static void remember(struct prompt *p)
{
    char **h = p->history[p->kind];
    size_t *n = &p->n_history[p->kind];
    if (!p->n || (*n && strcmp(h[*n - 1], p->text) == 0))
        return;
    if (*n == PROMPT_HISTORY) {
        free(h[0]);
        memmove(h, h + 1, (PROMPT_HISTORY - 1) * sizeof *h);
        (*n)--;
    }
    h[(*n)++] = xstrdup(p->text);
}

static size_t word_before(const struct prompt *p)
{
    size_t at = p->at;
    while (at > 0 && p->text[at - 1] == ' ')
        at--;
    while (at > 0 && p->text[at - 1] != ' ')
        at--;
    return at;
}

enum prompt_result prompt_key(struct prompt *p, const char *key)
{
    if (strcmp(key, "Esc") == 0 || strcmp(key, "Ctrl-c") == 0 || strcmp(key, "Ctrl-g") == 0) {
        p->kind = 0;
        return PROMPT_CANCELLED;
    }
    if (strcmp(key, "Enter") == 0) {
        if (p->full)
            return PROMPT_GOES_ON;
        remember(p);
        p->kind = 0;
        return PROMPT_DONE;
    }
    if (strcmp(key, "Left") == 0)
        p->at = prompt_before(p, p->at);
    else if (strcmp(key, "Right") == 0)
        p->at = behind(p, p->at);
    else if (strcmp(key, "Home") == 0 || strcmp(key, "Ctrl-a") == 0)
        p->at = 0;
    else if (strcmp(key, "End") == 0 || strcmp(key, "Ctrl-e") == 0)
        p->at = p->n;
    else if (strcmp(key, "Backspace") == 0)
        cut(p, prompt_before(p, p->at), p->at);
    else if (strcmp(key, "Delete") == 0 || strcmp(key, "Ctrl-d") == 0)
        cut(p, p->at, behind(p, p->at));
    else if (strcmp(key, "Ctrl-u") == 0)
        cut(p, 0, p->at);
    else if (strcmp(key, "Ctrl-k") == 0)
        cut(p, p->at, p->n);
    else if (strcmp(key, "Ctrl-w") == 0)
        cut(p, word_before(p), p->at);
    else if (strcmp(key, "Up") == 0)
        browse(p, -1);
    else if (strcmp(key, "Down") == 0)
        browse(p, 1);
    else if (strcmp(key, "Space") == 0)
        insert(p, " ");
    else if (!key[1] || (unsigned char)key[0] >= 0x80)
        insert(p, key);
    p->offered = false;
    return PROMPT_GOES_ON;
}

void prompt_free(struct prompt *p)
{
    for (int k = 0; k < PROMPT_KINDS; k++)
        for (size_t i = 0; i < p->n_history[k]; i++)
            free(p->history[k][i]);
    free(p->text);
    free(p->own);
}
