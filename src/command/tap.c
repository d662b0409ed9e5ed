#include "command/tap.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/command.h"
#include "command/line.h"
#include "command/tie.h"
#include "count/moment.h"
#include "count/sound.h"
#include "count/timecode.h"

enum { ENOUGH = 3 };

static void left(struct desk *d, void *mine);
static void forget(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct taps), .clip_left = left, .end = forget};

static struct taps *taps(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct taps *taps_open(const struct desk *d)
{
    return taps(d)->n ? taps(d) : NULL;
}

static void drop(struct desk *d)
{
    struct taps *t = taps(d);
    arena_free(&t->memory);
    hold_end(d, &t->hold);
    t->n = 0;
    t->fitted = false;
}

static void forget(struct desk *d, void *unused)
{
    (void)unused;
    drop(d);
}

static void tap_typed(struct desk *d, const char *text)
{
    if (*text)
        command_accept(d, text);
}

static const struct line_kind tap_line = {
    .label = " the first tap was set.count:", .offered = true, .done = tap_typed};

static void end(struct desk *d, bool keep)
{
    const struct taps *t = taps(d);
    if (!keep) {
        drop(d);
        desk_say(d, "taps dropped");
        return;
    }
    if (!t->fitted) {
        desk_trouble(d, "these taps hold no steady beat yet; go on, or Esc drops them");
        return;
    }
    if (d->app->show.n_sets == 0) {
        desk_trouble(d, "the show has no sets to tie the taps to");
        return;
    }
    /* Which count was the first tap? The map's guess stands in the line already. */
    struct spot s;
    if (d->map && map_at(d->map, llround(t->fit.at_us), &s))
        line_ask(d, &tap_line, "%s.%d", d->app->show.sets[s.set].label, (int)lround(s.count));
    else
        line_ask(d, &tap_line, "%s.1", d->app->show.sets[0].label);
}

static void left(struct desk *d, void *mine)
{
    if (((struct taps *)mine)->n)
        end(d, false);
}

/* The key that plays goes on tapping while the clip plays. */
static bool line(struct desk *d, const char *text)
{
    if (strcmp(text, "play") != 0 || !d->play.playing || d->play.status != PLAYER_READY)
        return false;
    command_tap(d, "");
    return true;
}

static const struct hold_kind tapping = {.line = line, .end = end};

/* The tempo written where the taps are; 0 when nothing is tied there. */
static double written_bpm(const struct desk *d)
{
    struct spot s;
    return d->map && map_at(d->map, taps(d)->at_us[0], &s) ? s.bpm : 0;
}

static void say_fit(struct desk *d)
{
    const struct tap_fit *f = &taps(d)->fit;
    const char *octave = f->octave == 2     ? "  half of the written tempo"
                         : f->octave == 0.5 ? "  twice the written tempo"
                                            : "";
    desk_say(d,
             "%zu taps: %.1f bpm +- %.1f, the beat +- %.0f ms, %d set aside%s  (Enter keeps, Esc "
             "drops)",
             taps(d)->n, f->bpm, f->bpm_error, f->at_error_us / 1000, f->outliers + f->doubles,
             octave);
}

/* "60m" or "60m 20C": they are made by ear, so far from the sound; "eye": they are not. It stays so
 * until another word is given. */
static void take_distance(struct desk *d, const char *arg)
{
    struct taps *t = taps(d);
    struct arena mem = {0};
    struct err e;
    char *words = arena_strdup(&mem, arg), *second = strchr(words, ' ');
    double metres = 0, celsius = SOUND_USUAL_C;
    if (second)
        *second++ = '\0';
    const bool ok =
        strcmp(words, "eye") == 0 || (distance_parse(words, &metres, &e) &&
                                      (!second || temperature_parse(second, &celsius, &e)));
    arena_free(&mem);
    if (!ok) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    t->sound_us = metres > 0 ? sound_delay_us(metres, celsius) : 0;
    if (t->sound_us)
        desk_say(d, "taps are by ear, %.0f m away: each is put back by %.0f ms", metres,
                 (double)t->sound_us / 1000);
    else
        desk_say(d, "taps are by eye");
}

void command_tap(struct desk *d, const char *arg)
{
    struct err e;
    if (*arg) {
        take_distance(d, arg);
        return;
    }
    if (!d->player || d->play.status != PLAYER_READY || !d->play.playing) {
        desk_trouble(d, "taps are made while the clip plays");
        return;
    }
    struct taps *t = taps(d);
    hold_begin(d, &t->hold, &tapping);
    if (t->n == TAPS_MOST) {
        desk_trouble(d, "that is enough: Enter keeps the taps, Esc drops them");
        return;
    }
    /* The bias is time at the person's hand; the clip moves `speed` times as fast. */
    t->at_us[t->n++] = d->play.at_us - t->sound_us - llround(d->tap_bias_us * d->play.speed);
    arena_free(&t->memory);
    t->fitted = t->n >= ENOUGH && taps_fit(&t->memory, (struct tap_times){t->at_us, t->n},
                                           written_bpm(d), &t->fit, &e);
    if (t->fitted)
        say_fit(d);
    else if (t->n < ENOUGH)
        desk_say(d, "%zu tap%s: go on with Space on every beat, %d at least (Esc drops)", t->n,
                 t->n == 1 ? "" : "s", ENOUGH);
    else
        desk_say(d, "%zu taps: %s", t->n, e.text);
}

void command_accept(struct desk *d, const char *arg)
{
    struct err e;
    struct moment m;
    struct map_anchor a;
    struct taps *t = taps(d);
    double error;
    if (!t->n || !t->fitted || !d->map) {
        desk_trouble(d, "no taps to keep");
        return;
    }
    if (!moment_parse_drill(arg, d->moves, &m, &e) || m.kind != MOMENT_PLACE) {
        desk_trouble(d, "write the set and count of the first tap, as in 14.5");
        return;
    }
    const struct passage played = {d->moves, {.set = m.set, .count = m.count}};
    if (tempo_known(&d->moves.at[m.set])) {
        arena_free(&t->memory);
        t->fitted =
            taps_fit_written(&t->memory, (struct tap_times){t->at_us, t->n}, &played, &t->fit, &e);
    }
    if (!t->fitted || !taps_anchor(&t->fit, &played, &a, &error, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    char what[200], time[24];
    struct tie tie = {a.us, a.set, a.count, a.flags, false, a.error_us};
    time_format(a.us, time);
    snprintf(what, sizeof what, "tie %s to set %.30s, count %g, from %zu taps +- %.0f ms", time,
             d->app->show.sets[a.set].label, a.count, t->n, error / 1000);
    if (tie_make(d, &tie, what) != TIE_REFUSED)
        drop(d);
}
