/* Early and late: the frame in which something was seen against when it was due. */
#include <stdio.h>

#include "app/app.h"
#include "command/change_mark.h"
#include "command/command.h"
#include "command/playing.h"
#include "count/late.h"
#include "count/moment.h"

/* The place that was due: typed, or the nearest beginning of a set. */
static bool due_place(struct desk *d, const char *arg, int64_t at_us, struct place *out)
{
    struct moment m;
    struct map_span span;
    struct err e;
    if (*arg) {
        if (!moment_parse_drill(arg, d->moves, &m, &e) || m.kind != MOMENT_PLACE) {
            desk_trouble(d, "write when it was due as set and count, as in 14.9");
            return false;
        }
        *out = (struct place){.set = m.set, .count = m.count};
        return true;
    }
    if (!map_boundary(d->map, at_us + 1, MAP_NEAREST, &span)) {
        desk_trouble(d, "the clip is not tied to sets here; %s ties it",
                     keymap_key_of(&d->keys, "review", "tie"));
        return false;
    }
    *out = (struct place){.set = span.set, .count = span.from_count};
    return true;
}

void command_late(struct desk *d, const char *arg)
{
    struct mark *m = mark_in_hand(d);
    struct place due;
    struct late late;
    struct err e;
    char words[48], what[160];
    int64_t at;
    /* The hand is as late here as it is at a chord's first key. */
    if (!m || !d->map || !seen_at(d, &at) || !due_place(d, arg, at, &due))
        return;
    if (!late_in_map(d->map, &due, (struct sight){at, playing_frame_us(d), playing_hand_us(d)},
                     &late, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    late_format(&late, words);
    snprintf(what, sizeof what, "%s, due set %.30s count %g", words,
             d->app->show.sets[due.set].label, due.count);
    change_mark(d, m->id,
                &(struct mark_change){.fields = MARK_LATE,
                                      .late_counts = late.counts,
                                      .late_error = late.error_counts},
                what);
}

void command_seen(struct desk *d, const char *arg)
{
    (void)arg;
    command_late(d, "");
}
