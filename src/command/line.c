#include "command/line.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/utf8.h"
#include "command/hold.h"

struct lines {
    struct hold hold;
    const struct line_kind *kind;
    struct prompt prompt;
    struct buf offered;                         /* a long note is not cut */
    struct buf label;                           /* with what it is about */
    const struct line_kind *seen[PROMPT_KINDS]; /* place n has history n */
};

static void end(struct desk *d, void *mine)
{
    struct lines *l = mine;
    (void)d;
    prompt_free(&l->prompt);
    buf_free(&l->offered);
    buf_free(&l->label);
}

static const struct part part = {.size = sizeof(struct lines), .end = end};

static struct lines *lines(const struct desk *d)
{
    return desk_part(d, &part);
}

/* 0 is no line at all; the last place is shared by those that come too late. */
static int history_of(struct lines *l, const struct line_kind *kind)
{
    int n = 1;
    while (n < PROMPT_KINDS - 1 && l->seen[n] && l->seen[n] != kind)
        n++;
    l->seen[n] = kind;
    return n;
}

static bool key(struct desk *d, const char *name)
{
    struct lines *l = lines(d);
    enum prompt_result r = prompt_key(&l->prompt, name);
    if (r == PROMPT_GOES_ON)
        return true;
    char *text = r == PROMPT_DONE ? xstrdup(l->prompt.text) : NULL;
    line_answer(d, text);
    free(text);
    return true;
}

static const struct hold_kind typing = {.key = key, .text = true};

void line_ask(struct desk *d, const struct line_kind *kind, const char *fmt, ...)
{
    struct lines *l = lines(d);
    va_list ap;
    va_start(ap, fmt);
    int n = vsnprintf(NULL, 0, fmt, ap);
    va_end(ap);
    char *text = xcalloc((size_t)n + 1, 1);
    va_start(ap, fmt);
    vsnprintf(text, (size_t)n + 1, fmt, ap);
    va_end(ap);
    buf_clear(&l->offered);
    buf_add(&l->offered, text, (size_t)n);
    prompt_begin(&l->prompt, history_of(l, kind), kind->label, text);
    l->prompt.offered = kind->offered;
    l->kind = kind;
    free(text);
    hold_begin(d, &l->hold, &typing);
}

void line_about(struct desk *d, const char *what)
{
    enum { MOST = 26 }; /* half a small screen is left for what is typed */
    struct lines *l = lines(d);
    const bool whole = utf8_width(what) <= MOST;
    buf_clear(&l->label);
    buf_printf(&l->label, " %.*s%s,%s", (int)(whole ? strlen(what) : utf8_fit(what, MOST - 1)),
               what, whole ? "" : "~", l->kind->label);
    l->prompt.label = buf_text(&l->label);
}

const struct prompt *line_typed(const struct desk *d)
{
    const struct lines *l = lines(d);
    return l->hold.kind ? &l->prompt : NULL;
}

const char *line_offered(const struct desk *d)
{
    return buf_text(&lines(d)->offered);
}

void line_answer(struct desk *d, const char *text)
{
    struct lines *l = lines(d);
    const struct line_kind *kind = l->kind;
    if (!l->hold.kind)
        return;
    hold_end(d, &l->hold);
    l->prompt.kind = 0;
    if (text)
        kind->done(d, text);
    else if (kind->cancelled)
        kind->cancelled(d);
}
