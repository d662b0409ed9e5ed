/* Tapping along while the clip plays; the line through the taps becomes a tie. */
#include "command/tap.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "count/moment.h"
#include "count/timecode.h"

enum { ENOUGH = 3 };

/* The tempo written where the taps are; 0 when nothing is tied there. */
static double written_bpm(const struct desk *d)
{
    struct spot s;
    return d->map && map_at(d->map, d->taps->at_us[0], &s) ? s.bpm : 0;
}

static void say_fit(struct desk *d)
{
    const struct tap_fit *f = &d->taps->fit;
    const char *octave = f->octave == 2     ? "  half of the written tempo"
                         : f->octave == 0.5 ? "  twice the written tempo"
                                            : "";
    desk_say(d,
             "%zu taps: %.1f bpm +- %.1f, the beat +- %.0f ms, %d set aside%s  (Enter keeps, Esc "
             "drops)",
             d->taps->n, f->bpm, f->bpm_error, f->at_error_us / 1000, f->outliers + f->doubles,
             octave);
}

void command_tap(struct desk *d, const char *arg)
{
    (void)arg;
    struct err e;
    if (!d->player || d->play.status != PLAYER_READY || !d->play.playing) {
        desk_trouble(d, "taps are made while the clip plays");
        return;
    }
    if (!d->taps)
        d->taps = xcalloc(1, sizeof *d->taps);
    struct taps *t = d->taps;
    if (t->n == TAPS_MOST) {
        desk_trouble(d, "that is enough: Enter keeps the taps, Esc drops them");
        return;
    }
    /* The bias is time at the person's hand; the clip moves `speed` times as fast. */
    t->at_us[t->n++] = d->play.at_us - llround(d->tap_bias_us * d->play.speed);
    arena_free(&t->memory);
    t->fitted = t->n >= ENOUGH && taps_fit(&t->memory, t->at_us, t->n, written_bpm(d), &t->fit, &e);
    if (t->fitted)
        say_fit(d);
    else if (t->n < ENOUGH)
        desk_say(d, "%zu tap%s: go on with Space on every beat, %d at least (Esc drops)", t->n,
                 t->n == 1 ? "" : "s", ENOUGH);
    else
        desk_say(d, "%zu taps: %s", t->n, e.text);
}

static void drop(struct desk *d)
{
    arena_free(&d->taps->memory);
    free(d->taps);
    d->taps = NULL;
}

bool taps_end(struct desk *d, bool keep)
{
    if (!d->taps)
        return false;
    if (!keep) {
        drop(d);
        desk_say(d, "taps dropped");
        return true;
    }
    if (!d->taps->fitted) {
        desk_trouble(d, "these taps hold no steady beat yet; go on, or Esc drops them");
        return true;
    }
    if (d->app->show.n_sets == 0) {
        desk_trouble(d, "the show has no sets to tie the taps to");
        return true;
    }
    /* Which count was the first tap? The map's guess stands in the line already. */
    struct spot s;
    if (d->map && map_at(d->map, llround(d->taps->fit.at_us), &s))
        ask_line(d, ASK_TAP, "%s.%d", d->app->show.sets[s.set].label, (int)lround(s.count));
    else
        ask_line(d, ASK_TAP, "%s.1", d->app->show.sets[0].label);
    return true;
}

void command_accept(struct desk *d, const char *arg)
{
    struct err e;
    struct moment m;
    struct map_anchor a;
    struct taps *t = d->taps;
    double error;
    if (!t || !t->fitted || !d->map) {
        desk_trouble(d, "no taps to keep");
        return;
    }
    if (!moment_parse_drill(arg, d->moves, d->app->show.n_sets, &m, &e) || m.kind != MOMENT_PLACE) {
        desk_trouble(d, "write the set and count of the first tap, as in 14.5");
        return;
    }
    struct place first = {.set = m.set, .count = m.count};
    if (tempo_known(&d->moves[m.set])) {
        arena_free(&t->memory);
        t->fitted = taps_fit_written(&t->memory, t->at_us, t->n, d->moves, d->app->show.n_sets,
                                     &first, &t->fit, &e);
    }
    if (!t->fitted ||
        !taps_anchor(&t->fit, d->moves, d->app->show.n_sets, &first, &a, &error, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    char what[200], time[24];
    struct tie tie = {a.us, a.set, a.count, a.flags, false};
    time_format(a.us, time);
    snprintf(what, sizeof what, "tie %s to set %.30s, count %g, from %zu taps +- %.0f ms", time,
             d->app->show.sets[a.set].label, a.count, t->n, error / 1000);
    if (tie_or_ask(d, &tie, what) || d->ask == ASK_RUN)
        drop(d);
}
