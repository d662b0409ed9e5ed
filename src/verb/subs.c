#include "verb/subs.h"

#include <string.h>

#include "base/near.h"

static const struct sub *row(const struct subs *all, size_t i)
{
    return (const struct sub *)(const void *)((const char *)all->at + i * all->size);
}

static bool takes(const struct sub *s, const char *option)
{
    const size_t n = strlen(option);
    for (const char *o = s->options; *o; o += strcspn(o, " "), o += *o == ' ')
        if (strcspn(o, " ") == n && strncmp(o, option, n) == 0)
            return true;
    return false;
}

/* "tie", "tie and at", "tie, at and taps": each that takes the option. */
static void for_whom(const struct subs *all, const char *option, struct buf *out)
{
    size_t n = 0, said = 0;
    for (size_t i = 0; i < all->n; i++)
        n += takes(row(all, i), option);
    for (size_t i = 0; i < all->n; i++)
        if (takes(row(all, i), option)) {
            buf_printf(out, "%s%s",
                       said == 0      ? ""
                       : said + 1 < n ? ", "
                                      : " and ",
                       row(all, i)->name);
            said++;
        }
}

/* An option that would do nothing is a mistake. */
static bool check_options(const struct call *c, const struct subs *all, const struct sub *s,
                          struct err *e)
{
    struct buf list = {0};
    bool ok = true;
    for (size_t i = 0; ok && i < c->n_values; i++) {
        ok = takes(s, c->options[i]->name);
        if (ok)
            continue;
        for_whom(all, c->options[i]->name, &list);
        err_set(e, ERR_USAGE, "%s %s: takes no --%s; it is for %s", c->verb->name, s->name,
                c->options[i]->name, buf_text(&list));
    }
    buf_free(&list);
    return ok;
}

static void unknown(const struct call *c, const struct subs *all, struct err *e)
{
    struct near near = {.word = c->words[2]};
    struct buf names = {0};
    for (size_t i = 0; i < all->n; i++) {
        near_offer(&near, row(all, i)->name);
        buf_printf(&names, "%s%s", i ? ", " : "; it is one of ", row(all, i)->name);
    }
    err_set(e, ERR_USAGE, "%s: cannot '%s'%s", c->verb->name, c->words[2],
            near_said(&near, buf_text(&names)).text);
    buf_free(&names);
}

const void *sub_asked(const struct call *c, const struct subs *all, struct err *e)
{
    const struct sub *s = NULL;
    const size_t behind = c->n_words - 3;
    for (size_t i = 0; !s && i < all->n; i++)
        if (strcmp(row(all, i)->name, c->words[2]) == 0)
            s = row(all, i);
    if (!s)
        unknown(c, all, e);
    else if (behind < s->least || behind > s->most)
        err_set(e, ERR_USAGE, "%s: usage: boxcall %s SHOW CLIP %s %s", c->verb->name, c->verb->name,
                s->name, s->usage);
    else if (check_options(c, all, s, e))
        return s;
    return NULL;
}
