/* Which lines' order may be chance, said in a sentence: the brackets of rank_believe(). */
#include "base/arena.h"
#include "paper/fixes.h"

enum { SAID_MOST = 3 }; /* brackets that a person still follows */

static bool joins(const struct rank_item *i, size_t bracket)
{
    return bracket >= i->bracket && bracket < i->bracket + i->n_brackets;
}

static size_t brackets(const struct rank_list *l)
{
    size_t n = 0;
    for (size_t i = 0; i < l->n_items; i++)
        if (l->items[i].n_brackets && l->items[i].bracket + l->items[i].n_brackets > n)
            n = l->items[i].bracket + l->items[i].n_brackets;
    return n;
}

static size_t size_of(const struct rank_list *l, size_t bracket)
{
    size_t n = 0;
    for (size_t i = 0; i < l->n_items; i++)
        n += joins(&l->items[i], bracket);
    return n;
}

/* "lines 2 to 6": a bracket joins neighbours. */
static void put_lines(const struct rank_list *l, size_t bracket, bool first, struct buf *out)
{
    const size_t n = size_of(l, bracket);
    size_t from = 0;
    while (!joins(&l->items[from], bracket))
        from++;
    buf_printf(out, "%s %zu %s %zu", first ? "Lines" : "lines", from + 1, n > 2 ? "to" : "and",
               from + n);
}

void fixes_equal(const struct rank_list *l, struct buf *out)
{
    const size_t n = brackets(l);
    if (n == 0)
        return;
    if (n == 1 && size_of(l, 0) == l->n_items) {
        buf_printf(out, "%s lines are about equally frequent: their order may be chance.",
                   l->n_items == 2 ? "Both" : "All");
        return;
    }
    if (n > SAID_MOST) {
        buf_str(out, "Many neighbouring lines are about equally frequent: their order may be "
                     "chance.");
        return;
    }
    for (size_t i = 0; i < n; i++) {
        if (i == 1)
            buf_str(out, n == 2 ? ", and so are " : ", so are ");
        else if (i > 1)
            buf_str(out, i + 1 == n ? " and " : ", ");
        put_lines(l, i, i == 0, out);
        if (i == 0)
            buf_str(out, " are about equally frequent");
    }
    buf_str(out, ": their order may be chance.");
}
