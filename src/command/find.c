/* Calls by their words. */
#include <stdio.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/command.h"
#include "command/line.h"
#include "command/playing.h"

static void filter_to(struct desk *d, const char *words)
{
    calls_filter(d, words);
    if (calls_reading(d))
        desk_say(d, "looking for '%s' in %zu calls", words, calls_all(d));
    else if (*words)
        desk_say(d, "%zu of %zu calls with '%s'", calls_shown(d), calls_all(d), words);
    else
        desk_say(d, "all calls");
}

static const struct line_kind filter_line = {.label = " only calls with:", .done = filter_to};

void command_filter(struct desk *d, const char *arg)
{
    if (!*arg && !*calls_words(d))
        line_ask(d, &filter_line, "%s", "");
    else
        filter_to(d, arg);
}

struct words {
    char text[200];
};

static const struct part part = {.size = sizeof(struct words)};

/* What was looked for last. */
static struct words *sought(const struct desk *d)
{
    return desk_part(d, &part);
}

static void find_typed(struct desk *d, const char *text)
{
    const char *words = *text ? text : sought(d)->text;
    if (*words)
        command_find(d, words);
}

static const struct line_kind find_line = {.label = " find:", .done = find_typed};

/* Several calls may share a frame: behind the chosen one come those made after it. */
static const struct mark *chosen_here(const struct desk *d)
{
    const struct mark *m = desk_mark(d, d->selected);
    if (!m || !d->player)
        return NULL;
    bool here = m->at_us == d->play.at_us ||
                player_frame_at(d->player, m->at_us) == player_frame_at(d->player, d->play.at_us);
    return here ? m : NULL;
}

/* The first call with the words among so many from this place on; NULL when there is none. */
static const struct mark *look(const struct desk *d, size_t from, size_t to, const char *words)
{
    for (size_t i = from; i < to; i++) {
        const struct mark *m = desk_mark(d, calls_nth(d, i).id);
        if (m && call_has(d, m, words))
            return m;
    }
    return NULL;
}

/* From the playhead on and round the end, among the calls that are shown. */
static const struct mark *look_round(const struct desk *d, const char *words)
{
    const struct mark *here = chosen_here(d);
    size_t from = calls_before(d, d->play.at_us + 1);
    if (here)
        from = calls_place(d, &(struct call_at){here->at_us, here->id}) + 1;
    const struct mark *m = look(d, from, calls_shown(d), words);
    return m ? m : look(d, 0, from < calls_shown(d) ? from : calls_shown(d), words);
}

/* What the filter hides is found too; the filter is off then, or the call could not be seen. */
static const struct mark *look_behind(struct desk *d, const char *words)
{
    char filter[200];
    if (!*calls_words(d))
        return NULL;
    snprintf(filter, sizeof filter, "%s", calls_words(d));
    calls_filter(d, "");
    const struct mark *m = look_round(d, words);
    if (m)
        desk_say(d, "'%s' was behind the filter '%s': all calls are shown again", words, filter);
    else
        calls_filter(d, filter);
    return m;
}

/* The next call with the words. */
void command_find(struct desk *d, const char *arg)
{
    if (!*arg) {
        line_ask(d, &find_line, "%s", ""); /* an empty line finds the next with the same words */
        return;
    }
    struct words *w = sought(d);
    if (arg != w->text) /* an empty line: the same words again */
        snprintf(w->text, sizeof w->text, "%s", arg);
    const struct mark *m = look_round(d, arg);
    if (!m)
        m = look_behind(d, arg);
    if (!m) {
        desk_trouble(d, "no call has '%s'", arg);
        return;
    }
    d->selected = m->id;
    go_to(d, m->at_us);
}
