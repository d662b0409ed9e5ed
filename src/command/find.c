#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "command/calls.h"
#include "command/command.h"

static bool has(const struct desk *d, const struct mark *m, const char *words)
{
    const struct fault *f = &d->app->show.faults[m->fault];
    struct buf text = {0};
    targets_text(&d->app->show, m->targets, m->n_targets, &text);
    for (size_t i = 0; i < m->n_targets; i++)
        buf_printf(&text, " %s", d->app->show.sections[m->targets[i].section].name);
    buf_printf(&text, " %s %s %s %s %s", f->name, f->family, m->note, m->author,
               m->praise ? "keep praise" : "");
    bool found = utf8_casestr(buf_text(&text), words);
    buf_free(&text);
    return found;
}

bool desk_shows(const struct desk *d, const struct mark *m)
{
    return !*d->filter || has(d, m, d->filter);
}

void command_filter(struct desk *d, const char *arg)
{
    if (!*arg && !*d->filter) {
        ask_line(d, ASK_FILTER, "%s", "");
        return;
    }
    snprintf(d->filter, sizeof d->filter, "%s", arg);
    calls_filter(d);
    if (calls_reading(d))
        desk_say(d, "looking for '%s' in %zu calls", arg, calls_all(d));
    else if (*arg)
        desk_say(d, "%zu of %zu calls with '%s'", calls_shown(d), calls_all(d), arg);
    else
        desk_say(d, "all calls");
}

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
        if (m && has(d, m, words))
            return m;
    }
    return NULL;
}

/* The next call with the words, from the playhead on and round the end. */
void command_find(struct desk *d, const char *arg)
{
    if (!*arg) {
        ask_line(d, ASK_FIND, "%s", ""); /* an empty line finds the next with the same words */
        return;
    }
    if (arg != d->find) /* an empty line: the same words again */
        snprintf(d->find, sizeof d->find, "%s", arg);
    const struct mark *here = chosen_here(d);
    size_t from = calls_before(d, d->play.at_us + 1);
    if (here)
        from = calls_place(d, &(struct call_at){here->at_us, here->id}) + 1;
    const struct mark *m = look(d, from, calls_shown(d), arg);
    if (!m)
        m = look(d, 0, from < calls_shown(d) ? from : calls_shown(d), arg);
    if (!m) {
        desk_trouble(d, "no call has '%s'", arg);
        return;
    }
    d->selected = m->id;
    go_to(d, m->at_us);
}
