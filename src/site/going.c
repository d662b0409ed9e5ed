/* No page goes unless somebody wants it: it may be another section's, and its address on a wall. */
#include <string.h>

#include "site/inside.h"

static bool wanted(const struct site *s, const char *name)
{
    for (size_t i = 0; i < s->n_pages; i++)
        if (strcmp(s->pages[i].file, name) == 0)
            return true;
    return strcmp(name, "index.html") == 0;
}

static bool is_page(const char *name)
{
    const size_t n = strlen(name);
    return n > 5 && strcmp(name + n - 5, ".html") == 0;
}

/* "a.html, b.html and 7 more pages"; how many there are. */
static size_t list_going(struct site *s, struct buf *out)
{
    enum { NAMED = 6 };
    size_t n = 0;
    const char *name;
    for (size_t at = 0; (name = made_before(s->made, &at));) {
        if (!is_page(name) || wanted(s, name))
            continue;
        if (n < NAMED)
            buf_printf(out, "%s%s", n ? ", " : "", name);
        n++;
    }
    if (n > NAMED)
        buf_printf(out, " and %zu more page%s", n - NAMED, n == NAMED + 1 ? "" : "s");
    return n;
}

/* A folder that named nobody may be where everybody sees it. */
static bool may_name(struct site *s, struct err *e)
{
    if (!s->was_quiet || s->want->labels_only || s->want->yes)
        return true;
    const char *what = arena_printf(s->mem,
                                    "%s: was published without names, and would have names of "
                                    "people now",
                                    s->want->folder);
    if (!s->want->ask)
        return err_set(e, ERR_INPUT,
                       "%s; say --labels-only again, or --yes if names are meant to be there",
                       what);
    return s->want->ask(arena_printf(s->mem, "%s; go on? [y/N] ", what)) ||
           err_set(e, ERR_INPUT, "%s: nothing was changed; --labels-only leaves names out",
                   s->want->folder);
}

bool site_may_go(struct site *s, struct err *e)
{
    struct buf *going = &s->out->going;
    if (!may_name(s, e))
        return false;
    if (list_going(s, going) == 0 || s->want->yes)
        return true;
    if (!s->want->ask)
        return err_set(
            e, ERR_INPUT,
            "%s: %s would be taken away; say --yes if that is meant; to keep them, publish them "
            "too, or publish into another folder",
            s->want->folder, going->p);
    struct buf question = {0};
    buf_printf(&question, "%s: %s would be taken away; go on? [y/N] ", s->want->folder, going->p);
    const bool yes = s->want->ask(question.p);
    buf_free(&question);
    return yes || err_set(e, ERR_INPUT, "%s: nothing was changed; another folder can hold a part",
                          s->want->folder);
}
