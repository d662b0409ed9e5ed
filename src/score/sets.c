#include "score/sets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "score/labels.h"
#include "score/ramp.h"

/* What a table of sets may hold: show/sets.c. */
enum { COUNTS_MOST = 999, TEMPO_LEAST = 20, TEMPO_MOST = 400, MEASURES_MOST = 999 };
enum { PARTS = 40 };

static const double worth_saying = 0.1; /* counts */

struct making {
    struct arena *a;
    const struct counting *c;
    struct sets_made *out;
    size_t cap_sets, cap_places;
    struct buf said;
};

/* Counts from, to: of one set. */
struct span {
    size_t from, to;
};

/* --- one set --------------------------------------------------------------------------------- */

static int measures_in(const struct counting *c, struct span x)
{
    size_t n = 0;
    for (size_t i = counting_measure(c, (double)x.from);
         i < c->score->n_measures && c->before[i] - c->pickup < (double)x.to - 1e-4; i++)
        n += i == 0 || c->before[i] - c->pickup >= (double)x.from - 1e-4;
    return n < MEASURES_MOST ? (int)n : MEASURES_MOST;
}

static bool tempo_fits(const struct making *k, const struct ramp *r, struct span x, struct err *e)
{
    const double low = fmin(r->bpm, r->bpm_end), high = fmax(r->bpm, r->bpm_end);
    if (low >= TEMPO_LEAST && high <= TEMPO_MOST)
        return true;
    return err_set(e, ERR_INPUT,
                   "measure %s: %.6g counts a minute, and a set has %d to %d; choose another beat "
                   "(--beat)",
                   k->c->score->measures[counting_measure(k->c, (double)x.from)].number,
                   low < TEMPO_LEAST ? low : high, TEMPO_LEAST, TEMPO_MOST);
}

static void add(struct making *k, struct set set, struct span x)
{
    struct sets_made *out = k->out;
    const struct score *s = k->c->score;
    double ends[2] = {0, 0};
    size_t n = out->list.n;
    counting_times(k->c, x.from, x.from, &ends[0]);
    counting_times(k->c, x.to, x.to, &ends[1]);
    set.measures = measures_in(k->c, x);
    out->list.at = array_grow(out->list.at, n, &k->cap_sets, sizeof set);
    out->place = array_grow(out->place, n, &k->cap_places, sizeof *out->place);
    out->list.at[n] = set;
    out->place[n] = (struct set_place){
        .s = ends[0],
        .seconds = ends[1] - ends[0],
        .measure = s->measures[counting_measure(k->c, (double)x.from)].number,
    };
    out->list.n++;
}

/* The measure at which another note is counted, as 6/8 behind 4/4; NULL: it is one all along. */
static const char *counted_anew(const struct counting *c, struct span x)
{
    const size_t first = counting_measure(c, (double)x.from);
    for (size_t i = first + 1; i < c->score->n_measures && c->before[i] - c->pickup < (double)x.to;
         i++)
        if (fabs(c->beat[i] - c->beat[first]) > 1e-9)
            return c->score->measures[i].number;
    return NULL;
}

static void say_parts(struct making *k, struct span x, const struct label *l, const size_t *ends,
                      size_t n)
{
    const char *anew = counted_anew(k->c, x);
    if (anew)
        buf_printf(&k->said,
                   "another note is counted from measure %s on, within %s (--beat says one for "
                   "all), which becomes %zu sets: %s",
                   anew, l->label, n, l->label);
    else
        buf_printf(&k->said, "the tempo changes within %s, which becomes %zu sets: %s", l->label, n,
                   l->label);
    for (size_t i = 0; i + 1 < n; i++)
        buf_printf(&k->said, ", %s+%zu", l->label, ends[i]);
    buf_char(&k->said, '\n');
}

/* A change of tempo written in few steps: the line through them goes beyond the first and last. */
static void say_ends(struct making *k, const char *label, const struct ramp *r,
                     struct count_times t)
{
    static const double beyond = 0.5; /* counts a minute */
    const double first = 60 / (t.s[1] - t.s[0]), last = 60 / (t.s[t.n] - t.s[t.n - 1]);
    const double low = fmin(first, last), high = fmax(first, last);
    if (r->off <= worth_saying &&
        (fmin(r->bpm, r->bpm_end) < low - beyond || fmax(r->bpm, r->bpm_end) > high + beyond))
        buf_printf(&k->said,
                   "%s: the music goes from %.0f to %.0f in steps; the even change that keeps its "
                   "counts in place goes from %.10g to %.10g\n",
                   label, first, last, r->bpm, r->bpm_end);
}

/* The counts of one start, as one set or as several. */
static bool add_parts(struct making *k, struct span x, const struct label *l, struct err *e)
{
    double *s = xcalloc(x.to - x.from + 1, sizeof *s);
    size_t ends[PARTS], n, from = 0;
    counting_times(k->c, x.from, x.to, s);
    n = ramp_parts((struct count_times){s, x.to - x.from}, ends, PARTS);
    bool ok = true;
    for (size_t i = 0; ok && i < n; from = ends[i++]) {
        const struct ramp r = ramp_plain((struct count_times){s + from, ends[i] - from});
        const struct span part = {x.from + from, x.from + ends[i]};
        const char *label = i ? arena_printf(k->a, "%s+%zu", l->label, from) : l->label;
        ok = tempo_fits(k, &r, part, e);
        if (ok)
            say_ends(k, label, &r, (struct count_times){s + from, ends[i] - from});
        if (ok && r.off > worth_saying)
            buf_printf(&k->said,
                       "%s: a count of it may come %.1f counts from where the music has "
                       "it, since its tempo wavers\n",
                       label, r.off);
        if (ok)
            add(k,
                (struct set){.label = label,
                             .counts = (int)(ends[i] - from),
                             .tempo = r.bpm,
                             .tempo_end = r.bpm_end,
                             .name = l->name},
                part);
    }
    if (n > 1)
        say_parts(k, x, l, ends, n);
    free(s);
    return ok;
}

static bool add_start(struct making *k, struct span x, const struct label *l, struct err *e)
{
    if (x.to - x.from > COUNTS_MOST)
        return err_set(e, ERR_INPUT,
                       "set %s would have %zu counts, and a set has %d at most; set more markers, "
                       "or say --every N",
                       l->label, x.to - x.from, COUNTS_MOST);
    if (k->c->score->n_tempos)
        return add_parts(k, x, l, e);
    add(k, (struct set){.label = l->label, .counts = (int)(x.to - x.from), .name = l->name}, x);
    return true;
}

/* --- all of them ----------------------------------------------------------------------------- */

/* "measures 9 to 16": the numbers that the music has there. */
static const char **names_of(struct making *k, const struct start_list *starts)
{
    const struct score *s = k->c->score;
    const char **names = arena_alloc(k->a, starts->n * sizeof *names);
    for (size_t i = 0; i < starts->n; i++) {
        const size_t first = counting_measure(k->c, (double)starts->at[i].count),
                     last = counting_measure(k->c, (double)starts->at[i + 1].count - 0.5);
        const char *a = s->measures[first].number, *b = s->measures[last].number;
        names[i] = strcmp(a, b) == 0 ? arena_printf(k->a, "measure %s", a)
                                     : arena_printf(k->a, "measures %s to %s", a, b);
    }
    return names;
}

static void say_tempo(struct making *k)
{
    const struct score *s = k->c->score;
    if (!s->n_tempos)
        buf_str(&k->said, "the music has no tempo, so its sets have none\n");
    else if (s->tempo_assumed >= s->length)
        buf_str(&k->said, "the file says no tempo; a MIDI file without one means 120 quarters a "
                          "minute, which is assumed\n");
    else if (s->tempo_assumed > 0)
        buf_printf(&k->said,
                   "the file says no tempo before measure %s; there 120 quarters a minute are "
                   "assumed, as MIDI files mean it\n",
                   s->measures[score_measure_at(s, s->tempo_assumed)].number);
    else if (s->tempo_said_at > 0)
        buf_printf(&k->said,
                   "the music has no tempo before measure %s; the one from there is "
                   "taken\n",
                   s->measures[score_measure_at(s, s->tempo_said_at)].number);
}

static void hand_over(struct making *k)
{
    struct sets_made *out = k->out;
    size_t cap = 0;
    out->list.at = arena_take(k->a, out->list.at, out->list.n * sizeof *out->list.at);
    out->place = arena_take(k->a, out->place, out->list.n * sizeof *out->place);
    for (const char *s = buf_text(&k->said); *s;) {
        const size_t n = strcspn(s, "\n");
        out->said = array_grow(out->said, out->n_said, &cap, sizeof *out->said);
        out->said[out->n_said++] = arena_strndup(k->a, s, n);
        s += n + 1;
    }
    out->said = arena_take(k->a, out->said, out->n_said * sizeof *out->said);
}

bool score_sets(struct arena *a, const struct score *score, const struct sets_wish *wish,
                struct sets_made *out, struct err *e)
{
    struct counting c;
    struct start_list starts;
    struct making k = {.a = a, .c = &c, .out = out};
    *out = (struct sets_made){0};
    counting_of(a, score, wish->beat, &c);
    buf_str(&k.said, score->passed);
    say_tempo(&k);
    bool ok = starts_find(a, &c, wish, &starts, e);
    buf_str(&k.said, buf_text(&starts.said));
    if (ok) {
        struct label *labels = arena_alloc(a, starts.n * sizeof *labels);
        labels_make(a, &starts, names_of(&k, &starts), labels);
        for (size_t i = 0; ok && i < starts.n; i++)
            ok = add_start(&k, (struct span){starts.at[i].count, starts.at[i + 1].count},
                           &labels[i], e);
    }
    hand_over(&k);
    buf_free(&k.said);
    buf_free(&starts.said);
    return ok;
}
