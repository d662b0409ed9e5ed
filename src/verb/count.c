/* The set and count of a clip's times, from the command line. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/ties.h"
#include "base/number.h"
#include "base/shell.h"
#include "count/moment.h"
#include "count/sound.h"
#include "count/timecode.h"
#include "paper/count.h"
#include "sys/file.h"
#include "verb/beats.h"
#include "verb/rows.h"
#include "verb/subs.h"

enum { TAPS_LIMIT = 4 << 20, PLACES = 64, NEAR_TIE_US = 250000 };

struct counting {
    struct call *c;
    struct app *app;
    const struct clip *clip;
    enum format as;
    size_t n;                 /* words behind the sub-verb */
    const char *const *words; /* they */
    const struct map *map;
    struct tie_list ties;
};

static bool load_map(struct counting *k, struct err *e)
{
    k->map = app_map(k->app, k->clip, &k->c->memory, &k->ties, e);
    return k->map != NULL;
}

static bool set_named(struct counting *k, const char *label, int *out, struct err *e)
{
    if (k->app->show.n_sets == 0)
        return err_set(e, ERR_INPUT,
                       "the show has no sets yet; add them: boxcall add SHOW sets FILE");
    *out = move_find(app_moves(&k->app->show, &k->c->memory), label, e);
    return *out >= 0;
}

static bool count_named(const char *text, double *out, struct err *e)
{
    char *end;
    *out = strtod(text, &end);
    if (end == text || *end || !isfinite(*out))
        return err_set(e, ERR_INPUT, "'%s' is not a count", text);
    return true;
}

/* "14" "5", or "14.5" */
static bool read_place(struct counting *k, size_t from, int *set, double *count, struct err *e)
{
    struct moment m;
    *count = 1;
    if (k->n > from + 1)
        return set_named(k, k->words[from], set, e) && count_named(k->words[from + 1], count, e);
    if (show_set(&k->app->show, k->words[from]) >= 0 || k->app->show.n_sets == 0)
        return set_named(k, k->words[from], set, e);
    if (!moment_parse_drill(k->words[from], app_moves(&k->app->show, &k->c->memory), &m, e))
        return false;
    if (m.kind != MOMENT_PLACE)
        return err_set(e, ERR_INPUT, "'%s' is not a set", k->words[from]);
    *set = m.set;
    *count = m.count;
    return true;
}

static int64_t frame_of(const struct clip *c)
{
    return c->fps_num > 0 ? (int64_t)c->fps_den * 1000000 / c->fps_num : 0;
}

static unsigned flags_of(const struct call *c)
{
    return (call_value(c, "from") ? ANCHOR_FROM : 0u) | (call_value(c, "halt") ? ANCHOR_HALT : 0u) |
           (call_value(c, "join") ? ANCHOR_JOIN : 0u) |
           (call_value(c, "break") ? ANCHOR_BREAK : 0u);
}

/* A tie that cannot be one run with those before may be a new run of the drill, or a slip of the
 * hand: only the person knows. */
static bool settle_run(struct counting *k, struct tie *t, struct err *e)
{
    struct buf why = {0};
    bool ok = app_tie_parts(k->app, k->clip, t, &why, e);
    if (ok && why.n && k->c->ask) {
        buf_str(&why, "; is it a new run of the drill? [y/N] ");
        ok = k->c->ask(buf_text(&why)) || err_set(e, ERR_INPUT, "not tied");
    } else if (ok && why.n) {
        ok = err_set(e, ERR_INPUT,
                     "%s; say --break if a new run of the drill begins there, or correct the time "
                     "or the set",
                     buf_text(&why));
    }
    if (ok && why.n)
        t->flags |= ANCHOR_BREAK;
    buf_free(&why);
    return ok;
}

static bool say_stretches(struct counting *k, size_t before, struct err *e)
{
    size_t n;
    if (!load_map(k, e))
        return false;
    map_stretches(k->map, &n);
    if (before && n > before)
        buf_printf(&k->c->talk, "the clip now has %zu runs of the drill\n", n);
    return true;
}

/* "0:10.000 is set 1, count 1 of 16" */
static void say_tie(struct counting *k, const struct tie *t)
{
    char time[24];
    time_format(t->at_us, time);
    buf_printf(&k->c->talk, "%s is ", time);
    tie_place_text(&k->app->show.sets[t->set], t->count, &k->c->talk);
}

static bool tie(struct counting *k, struct err *e)
{
    struct tie t = {.flags = flags_of(k->c), .error_us = frame_of(k->clip)};
    if (!app_clip_time(k->clip, k->words[0], &t.at_us, e) ||
        !read_place(k, 1, &t.set, &t.count, e) || !load_map(k, e))
        return false;
    for (size_t i = 0; i < k->ties.n; i++) {
        const struct tie *o = &k->ties.at[i];
        if (o->at_us == t.at_us && (o->set != t.set || o->count != t.count))
            return err_set(e, ERR_INPUT, "%s is tied to set %s, count %g already; untie it first",
                           k->words[0], k->app->show.sets[o->set].label, o->count);
    }
    size_t before;
    map_stretches(k->map, &before);
    if (!settle_run(k, &t, e))
        return false;
    char time[24], what[100];
    time_format(t.at_us, time);
    snprintf(what, sizeof what, "tie %s to set %.40s", time, k->app->show.sets[t.set].label);
    if (!app_tie(k->app, k->clip, &t, what, e))
        return false;
    say_tie(k, &t);
    buf_str(&k->c->talk, "\n");
    return say_stretches(k, before, e);
}

static bool untie(struct counting *k, struct err *e)
{
    int64_t at;
    char time[24];
    if (!app_clip_time(k->clip, k->words[0], &at, e) || !load_map(k, e))
        return false;
    const struct tie *near = NULL;
    for (size_t i = 0; i < k->ties.n; i++)
        if (us_apart(k->ties.at[i].at_us, at) <= NEAR_TIE_US &&
            (!near || us_apart(k->ties.at[i].at_us, at) < us_apart(near->at_us, at)))
            near = &k->ties.at[i];
    if (!near)
        return err_set(e, ERR_INPUT, "no tie at %s; boxcall count %s %s ties lists them",
                       k->words[0], shell_word(k->c->words[0]).text,
                       shell_word(k->c->words[1]).text);
    time_format(near->at_us, time);
    if (!app_untie(k->app, k->clip, near->at_us, "untie", e))
        return false;
    buf_printf(&k->c->talk, "%s is untied\n", time);
    return true;
}

/* A tie whose place is not there at present is said, not shown among the others. */
static void say_rests(struct counting *k, const struct tie *t)
{
    const struct set *s = &k->app->show.sets[t->set];
    char time[24];
    time_format(t->at_us, time);
    if (t->count > s->counts + 1)
        buf_printf(&k->c->talk,
                   "%s: tied to set %s, count %g, but the set has %d counts; it rests\n", time,
                   s->label, t->count, s->counts);
    else
        buf_printf(&k->c->talk, "%s: tied to set %s, count %g, outside the clip; it rests\n", time,
                   s->label, t->count);
}

static bool ties(struct counting *k, struct err *e)
{
    if (!load_map(k, e))
        return false;
    struct map_anchor *a = arena_alloc(&k->c->memory, k->ties.n * sizeof *a);
    size_t n = 0;
    for (size_t i = 0; i < k->ties.n; i++) {
        const struct tie *t = &k->ties.at[i];
        if (t->rests)
            say_rests(k, t);
        else
            a[n++] = (struct map_anchor){t->at_us, t->set, t->count, t->flags, t->error_us};
    }
    count_ties(&k->app->show, k->map, (struct map_anchors){a, n}, k->as, &k->c->out);
    return true;
}

static bool at(struct counting *k, struct err *e)
{
    struct count_place p = {.timed = true};
    if (!app_clip_time(k->clip, k->words[0], &p.us, e) || !load_map(k, e))
        return false;
    if (p.us > k->clip->length_us)
        return err_set(e, ERR_INPUT, "%s is past the end of clip '%s'", k->words[0],
                       k->clip->label);
    p.placed = map_at(k->map, p.us, &p.spot);
    count_places(&k->app->show, &p, 1, k->as, &k->c->out);
    return true;
}

static bool when(struct counting *k, struct err *e)
{
    struct place place = {0};
    struct map_time times[PLACES];
    struct count_place p[PLACES] = {{0}};
    if (!read_place(k, 0, &place.set, &place.count, e) || !load_map(k, e))
        return false;
    const struct set *s = &k->app->show.sets[place.set];
    if (place.count < 1 || place.count > s->counts + 1.0)
        return err_set(e, ERR_INPUT, "set %s has %d counts; there is no count %g", s->label,
                       s->counts, place.count);
    size_t n = map_when(k->map, -1, &place, times, PLACES);
    for (size_t i = 0; i < n && i < PLACES; i++) {
        p[i].timed = true;
        p[i].us = times[i].us;
        p[i].placed = map_at_exact(k->map, times[i].exact_us, &p[i].spot) ||
                      map_at(k->map, times[i].us, &p[i].spot);
        if (p[i].placed) { /* the place that was asked for, not its rounding */
            p[i].spot.set = place.set;
            p[i].spot.count = place.count;
        }
    }
    count_places(&k->app->show, p, n ? n < PLACES ? n : PLACES : 1, k->as, &k->c->out);
    return true;
}

static bool read_taps(struct counting *k, int64_t **out, size_t *n, struct err *e)
{
    struct buf bytes = {0};
    size_t cap = 0;
    int line = 0;
    const char *path = k->words[0];
    bool ok = file_read(path, TAPS_LIMIT, &bytes, e);
    *out = NULL;
    *n = 0;
    for (char *s = bytes.p, *next; ok && s && *s; s = next) {
        struct err why;
        next = s + strcspn(s, "\n");
        if (*next)
            *next++ = '\0';
        line++;
        s += strspn(s, " \t\r");
        s[strcspn(s, "\r")] = '\0';
        if (!*s || *s == '#')
            continue;
        *out = array_grow(*out, *n, &cap, sizeof **out);
        ok = time_parse(s, &(*out)[*n], &why) ||
             err_set(e, ERR_INPUT, "%s:%d: %s", strcmp(path, "-") ? path : "stdin", line, why.text);
        *n += ok;
    }
    buf_free(&bytes);
    return ok;
}

/* With --set the first tap is that set's count (--count, 1 otherwise), and --accept ties it. */
static bool fit_taps(struct counting *k, const int64_t *taps, size_t n, struct err *e)
{
    struct tap_fit fit;
    const char *label = call_value(k->c, "set"), *count = call_value(k->c, "count");
    struct passage played = {app_moves(&k->app->show, &k->c->memory), {.set = -1, .count = 1}};
    struct place *first = &played.first;
    if (label &&
        (!set_named(k, label, &first->set, e) || (count && !count_named(count, &first->count, e))))
        return false;
    bool known = label && tempo_known(&played.sets.at[first->set]);
    if (known ? !taps_fit_written(&k->c->memory, (struct tap_times){taps, n}, &played, &fit, e)
              : !taps_fit(&k->c->memory, (struct tap_times){taps, n}, 0, &fit, e))
        return false;
    count_taps(&fit, k->as, &k->c->out);
    if (!call_value(k->c, "accept"))
        return true;
    struct map_anchor a;
    double error;
    if (!taps_anchor(&fit, &played, &a, &error, e))
        return false;
    struct tie t = {a.us, a.set, a.count, a.flags | flags_of(k->c), false, a.error_us};
    if (!settle_run(k, &t, e) || !app_tie(k->app, k->clip, &t, "tie to taps", e))
        return false;
    say_tie(k, &t);
    buf_printf(&k->c->talk, " (+- %.0f ms)\n", error / 1000);
    return true;
}

/* Tapped to what is heard in the clip: the sound was on its way before. */
static bool put_back(struct counting *k, int64_t *taps, size_t n, struct err *e)
{
    const char *distance = call_value(k->c, "distance"),
               *temperature = call_value(k->c, "temperature");
    double metres = 0, celsius = SOUND_USUAL_C;
    if ((distance && !distance_parse(distance, &metres, e)) ||
        (temperature && !temperature_parse(temperature, &celsius, e)))
        return false;
    const int64_t delay_us = sound_delay_us(metres, celsius);
    for (size_t i = 0; i < n; i++)
        taps[i] -= delay_us;
    return true;
}

static bool taps(struct counting *k, struct err *e)
{
    int64_t *at_us;
    size_t n;
    bool ok = read_taps(k, &at_us, &n, e) && put_back(k, at_us, n, e) && fit_taps(k, at_us, n, e);
    free(at_us);
    return ok;
}

static bool beats(struct counting *k, struct err *e)
{
    struct beats b;
    struct beats_choice how;
    if (!load_map(k, e) || !beats_asked(k->c, &how, e))
        return false;
    how.path = app_clip_path(k->app, k->clip, e);
    how.map = k->map;
    how.length_us = k->clip->length_us;
    if (!how.path || !beats_listen(k->c, &how, &b, e))
        return false;
    count_beats(&b, k->as, &k->c->out);
    return true;
}

static const struct asked {
    struct sub sub;
    bool (*run)(struct counting *k, struct err *e);
} subs[] = {
    {{"tie", "TIME SET [COUNT]", 2, 3, "from halt break join"}, tie},
    {{"untie", "TIME", 1, 1, ""}, untie},
    {{"ties", "", 0, 0, "as semicolons"}, ties},
    {{"at", "TIME", 1, 1, "as semicolons"}, at},
    {{"when", "SET [COUNT]", 1, 2, "as semicolons"}, when},
    {{"taps", "FILE", 1, 1,
      "as semicolons set count accept from halt break join distance temperature"},
     taps},
    {{"beats", "", 0, 0, "as semicolons distance temperature bpm"}, beats},
};

/* Options that mean something only beside another. */
static const struct {
    const char *sub, *option, *needs;
} needs[] = {
    {"taps", "count", "set"},
    {"taps", "accept", "set"},
    {"taps", "from", "accept"},
    {"taps", "halt", "accept"},
    {"taps", "break", "accept"},
    {"taps", "join", "accept"},
    {"taps", "temperature", "distance"},
    {"beats", "temperature", "distance"},
};

/* An option that would do nothing is a mistake. */
static bool check_options(const struct call *c, const struct sub *s, struct err *e)
{
    for (size_t i = 0; i < sizeof needs / sizeof *needs; i++)
        if (strcmp(needs[i].sub, s->name) == 0 && call_value(c, needs[i].option) &&
            !call_value(c, needs[i].needs))
            return err_set(e, ERR_USAGE, "count %s: --%s needs --%s", s->name, needs[i].option,
                           needs[i].needs);
    return true;
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    struct app app;
    struct counting k = {.c = c, .app = &app, .n = c->n_words - 3, .words = c->words + 3};
    const struct subs all = SUBS_OF(subs);
    const struct asked *asked = sub_asked(c, &all, e);
    if (!asked)
        return false;
    if (!check_options(c, &asked->sub, e) || !call_format(c, can, 3, &k.as, e) ||
        !app_open(&app, c->words[0], e))
        return false;
    k.clip = clip_named(&app.clips, c->words[1], e);
    bool ok = k.clip && asked->run(&k, e);
    app_close(&app);
    return ok;
}

const struct verb verb_count = {
    .name = "count",
    .usage = "SHOW CLIP tie TIME SET [COUNT] | untie TIME | ties | at TIME | when SET [COUNT] | "
             "taps FILE | beats",
    .summary = "Tie a clip to sets and counts, and ask where a time is in the drill",
    .detail =
        "tie says that at TIME the band is at a set's count (its count 1). Between two ties the "
        "written tempo is stretched to meet both; before the first and after the last it runs as "
        "written. A clip in which the band stops and starts again carries several stretches: a tie "
        "that does not come later in the drill, or cannot be reached at anything like the written "
        "tempo, may be the beginning of a new one or a mistake: it is asked about, and needs "
        "--break where nobody can be asked.\n"
        "\n"
        "at and when go from a time to set and count and back; taps fits times tapped on the beat, "
        "one a line; beats finds the beat in the clip's sound. With --distance both are put back "
        "by "
        "the time the sound took to the box.",
    .options =
        {{"as", "FORMAT", "text (default), csv or json", false},
         CALL_SEMICOLONS,
         {"from", NULL, "tie, taps: the band steps off exactly here", false},
         {"halt", NULL, "tie, taps: the band stops exactly here", false},
         {"break", NULL, "tie, taps: a new stretch begins", false},
         {"join", NULL, "tie, taps: the stretch goes on, whatever the tempo says", false},
         {"set", "SET", "taps: the first tap is in this set", false},
         {"count", "N", "taps: and on this count (default 1)", false},
         {"accept", NULL, "taps: tie the clip to the taps", false},
         {"distance", "60m|200ft|100steps",
          "beats, taps: from the band to the microphone; for taps made to what is heard, not "
          "to feet that are seen",
          false},
         {"temperature", "20C|68F", "beats, taps: of the air (default 20C)", false},
         {"bpm", "N", "beats: the tempo to expect where no set is tied", false},
         {0}},
    .written = (const struct verb_written[]){{"ties", ties_columns},
                                             {"at and when", places_columns},
                                             {"taps", taps_columns},
                                             {"beats", beats_columns},
                                             {0}},
    .least = 3,
    .most = 6,
    .long_work = true,
    .run = run,
};
