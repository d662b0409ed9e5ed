#include "command/desk.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "base/utf8.h"
#include "sys/clock.h"

static void speak(struct desk *d, bool trouble, const char *fmt, va_list ap)
{
    vsnprintf(d->message, sizeof d->message, fmt, ap);
    d->message[utf8_check(d->message, strlen(d->message))] = '\0';
    d->trouble = trouble;
}

void desk_say(struct desk *d, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    speak(d, false, fmt, ap);
    va_end(ap);
}

void desk_trouble(struct desk *d, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    speak(d, true, fmt, ap);
    va_end(ap);
}

bool desk_keep_own(struct desk *d, const char *what, double value)
{
    char key[200], text[32];
    struct err e;
    snprintf(key, sizeof key, "%s %s", what, app_author());
    snprintf(text, sizeof text, "%.1f", value);
    if (store_set(d->app->store, key, text, &e))
        return true;
    desk_trouble(d, "%s", e.text);
    return false;
}

const struct clip *desk_current(const struct desk *d)
{
    for (size_t i = 0; i < d->app->clips.n; i++)
        if (d->app->clips.at[i].id == d->clip)
            return &d->app->clips.at[i];
    return NULL;
}

void desk_wrote(struct desk *d)
{
    d->written_us = clock_mono_us();
    d->warned[0] = '\0';
}

/* --- parts ----------------------------------------------------------------------------------- */

struct parts {
    struct kept {
        const struct part *kind;
        void *memory;
    } * at;
    size_t n, cap;
};

void parts_begin(struct desk *d)
{
    d->parts = xcalloc(1, sizeof *d->parts);
}

void *desk_part(const struct desk *d, const struct part *kind)
{
    struct parts *p = d->parts;
    for (size_t i = 0; i < p->n; i++)
        if (p->at[i].kind == kind)
            return p->at[i].memory;
    p->at = array_grow(p->at, p->n, &p->cap, sizeof *p->at);
    void *memory = xcalloc(1, kind->size);
    if (kind->begin)
        kind->begin(memory);
    p->at[p->n++] = (struct kept){kind, memory};
    return memory;
}

void parts_clip_left(struct desk *d)
{
    for (size_t i = 0; i < d->parts->n; i++)
        if (d->parts->at[i].kind->clip_left)
            d->parts->at[i].kind->clip_left(d, d->parts->at[i].memory);
}

void parts_before_read(struct desk *d)
{
    for (size_t i = 0; i < d->parts->n; i++)
        if (d->parts->at[i].kind->before_read)
            d->parts->at[i].kind->before_read(d, d->parts->at[i].memory);
}

void parts_after_read(struct desk *d)
{
    for (size_t i = 0; i < d->parts->n; i++)
        if (d->parts->at[i].kind->after_read)
            d->parts->at[i].kind->after_read(d, d->parts->at[i].memory);
}

bool parts_work(struct desk *d)
{
    bool news = false;
    for (size_t i = 0; i < d->parts->n; i++)
        if (d->parts->at[i].kind->work)
            news |= d->parts->at[i].kind->work(d, d->parts->at[i].memory);
    return news;
}

void parts_end(struct desk *d)
{
    for (size_t i = 0; i < d->parts->n; i++)
        if (d->parts->at[i].kind->end)
            d->parts->at[i].kind->end(d, d->parts->at[i].memory);
    for (size_t i = 0; i < d->parts->n; i++) /* one may still ask for another while it ends */
        free(d->parts->at[i].memory);
    free(d->parts->at);
    free(d->parts);
    d->parts = NULL;
}
