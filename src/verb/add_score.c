#include "verb/add_score.h"

#include <string.h>

#include "base/utf8.h"
#include "paper/made_sets.h"

enum { EVERY_MOST = 999 };

const char *const score_options[] = {"look", "markers", "every", "beat", NULL};

static bool read_wish(const struct call *c, struct sets_wish *out, struct err *e)
{
    const char *beat = call_value(c, "beat");
    long every;
    *out = (struct sets_wish){.markers = call_value(c, "markers") != NULL};
    if (!call_number(c, "every", (struct call_range){1, EVERY_MOST, 0}, &every, e))
        return false;
    out->every = (int)every;
    if (every && out->markers)
        return err_set(e, ERR_USAGE,
                       "add sets: --markers and --every exclude each other; leave one "
                       "out");
    if (beat && !count_beat_named(beat, &out->beat))
        return err_set(e, ERR_USAGE,
                       "add sets: --beat '%s' is not eighth, quarter, dotted-quarter "
                       "or half",
                       beat);
    return true;
}

/* Music does not say how long a hold is: what the show has of the sets stays. */
static void keep_holds(struct set_list *l, const struct show *show)
{
    for (size_t i = 0; i < l->n; i++) {
        const int there = show_set(show, l->at[i].label);
        if (there >= 0)
            l->at[i].hold = show->sets[there].hold;
    }
}

/* Before the question: which of the show's own sets would become these. */
static void say_there(const struct set_list *l, const struct show *show, struct buf *out)
{
    enum { NAMED = 8 };
    size_t same = 0;
    struct buf names = {0};
    for (size_t i = 0; i < l->n; i++) {
        if (show_set(show, l->at[i].label) < 0)
            continue;
        if (same++ < NAMED)
            buf_printf(&names, "%s%s", names.n ? ", " : "", l->at[i].label);
    }
    if (show->n_sets)
        buf_printf(out,
                   "look again: the show has %zu sets already; %zu of these take the place of sets "
                   "of the same label%s%s%s, %zu are added, and every mark finds its set and count "
                   "anew\n",
                   show->n_sets, same, same ? " (" : "", buf_text(&names),
                   same > NAMED ? ", ...)"
                   : same       ? ")"
                                : "",
                   l->n - same);
    buf_free(&names);
}

/* Sets of the show that the music does not have stay where they are, in the middle of the drill too. */
static void say_left(const struct set_list *l, const struct show *show, struct buf *out)
{
    enum { NAMED = 8 };
    size_t n = 0;
    struct buf names = {0};
    for (size_t i = 0; i < show->n_sets; i++) {
        bool there = false;
        for (size_t k = 0; !there && k < l->n; k++)
            there = utf8_casecmp(l->at[k].label, show->sets[i].label) == 0;
        if (!there && n++ < NAMED)
            buf_printf(&names, "%s%s", names.n ? ", " : "", show->sets[i].label);
    }
    if (n > 0)
        buf_printf(out,
                   "look again: %zu set%s of the show %s not in this music and stay%s among the "
                   "others: %s%s; --replace takes what is not there away\n",
                   n, n == 1 ? "" : "s", n == 1 ? "is" : "are", n == 1 ? "s" : "", names.p,
                   n > NAMED ? ", ..." : "");
    buf_free(&names);
}

static bool agreed(struct call *c, const char *source, const struct buf *shown, size_t n,
                   struct err *e)
{
    const char *sets = n == 1 ? "set" : "sets";
    if (call_value(c, "yes"))
        return true;
    if (!c->ask) {
        buf_add(&c->talk, buf_text(shown), shown->n);
        return err_set(e, ERR_INPUT,
                       "%s: nothing was stored; say --yes to store the %zu %s, or --look for a "
                       "table to edit",
                       source, n, sets);
    }
    struct buf question = {0};
    buf_add(&question, buf_text(shown), shown->n);
    tame_lines(&question);
    buf_printf(&question, "store the %zu %s? [y/N] ", n, sets);
    const bool yes = c->ask(buf_text(&question));
    buf_free(&question);
    return yes || err_set(e, ERR_INPUT, "%s: nothing was stored", source);
}

/* With --yes the table comes with the news that it was stored: trouble is one line. */
static void show_first(struct call *c, const struct buf *shown)
{
    struct buf said = c->talk;
    c->talk = (struct buf){0};
    buf_add(&c->talk, buf_text(shown), shown->n);
    buf_add(&c->talk, buf_text(&said), said.n);
    buf_free(&said);
}

static bool store_made(struct call *c, const struct score_road *road, const struct set_list *l,
                       struct err *e)
{
    struct buf csv = {0};
    made_sets_csv(l, &csv);
    const struct table_text table = {buf_text(&csv), csv.n, road->text->source, NULL};
    const bool ok = road->store(c, road->app, &table, e);
    buf_free(&csv);
    return ok;
}

bool add_score(struct call *c, const struct score_road *road, struct err *e)
{
    const char *source = road->text->source;
    struct sets_wish wish;
    struct score score;
    struct sets_made made;
    struct buf shown = {0};
    if (!read_wish(c, &wish, e) || !score_read(&c->memory, road->text, &score, e))
        return false;
    if (!score_sets(&c->memory, &score, &wish, &made, e))
        return err_in(e, "%s", source);
    keep_holds(&made.list, &road->app->show);
    made_sets_text(&score, &made, &shown);
    if (!call_value(c, "replace")) {
        say_there(&made.list, &road->app->show, &shown);
        say_left(&made.list, &road->app->show, &shown);
    }
    bool ok = true;
    if (call_value(c, "look")) {
        buf_add(&c->talk, buf_text(&shown), shown.n);
        made_sets_csv(&made.list, &c->out);
    } else {
        ok = agreed(c, source, &shown, made.list.n, e) && store_made(c, road, &made.list, e);
        if (ok && call_value(c, "yes"))
            show_first(c, &shown);
    }
    buf_free(&shown);
    return ok;
}
