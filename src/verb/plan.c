#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan.h"
#include "paper/plan.h"
#include "sys/clock.h"
#include "sys/file.h"
#include "verb/lists.h"
#include "verb/rows.h"

/* "18:00" -> minutes after midnight */
static bool clock_parse(const char *text, int *out, struct err *e)
{
    int h, m, n = 0;
    if (sscanf(text, "%2d:%2d%n", &h, &m, &n) != 2 || text[n] || h > 23 || m > 59 || h < 0 || m < 0)
        return err_set(e, ERR_USAGE, "plan: '%s' is not a time of day; write 18:00", text);
    *out = h * 60 + m;
    return true;
}

/* Takes ":rest" off the end of what follows the minutes. */
static bool take_rest(char *where)
{
    const size_t n = strlen(where), word = strlen("rest");
    if (n < word || strcmp(where + n - word, "rest") != 0 ||
        (n > word && where[n - word - 1] != ':'))
        return false;
    where[n > word ? n - word - 1 : 0] = '\0';
    return true;
}

/* "warm-up:15", "run-through:10:last", "sectional bus:5:19:30", "talk:10:19:00:rest" */
static bool fixed_parse(struct call *c, const char *text, struct plan_fixed *out, struct err *e)
{
    char *name = arena_strdup(&c->memory, text), *minutes = strchr(name, ':'), *where, *end;
    if (!minutes || minutes == name)
        return err_set(e, ERR_USAGE,
                       "plan: write --fixed NAME:MINUTES[:first|last|18:30][:rest], not '%s'",
                       text);
    *minutes++ = '\0';
    where = strchr(minutes, ':');
    if (where)
        *where++ = '\0';
    long n = strtol(minutes, &end, 10);
    if (*end || n < 1 || n > 720)
        return err_set(e, ERR_USAGE, "plan: '%s' of --fixed is not a number of minutes", minutes);
    *out = (struct plan_fixed){.name = name, .minutes = (int)n, .where = PLAN_FIRST};
    out->rest = where && take_rest(where);
    if (!where || !*where || strcmp(where, "first") == 0)
        return true;
    if (strcmp(where, "last") == 0) {
        out->where = PLAN_LAST;
        return true;
    }
    out->where = PLAN_AT;
    return clock_parse(where, &out->at_min, e);
}

/* "brass,guard;flutes" */
static const char **words_of(struct call *c, const char *text, size_t *n)
{
    const char **out = arena_alloc(&c->memory, (strlen(text) + 1) * sizeof *out);
    char *copy = arena_strdup(&c->memory, text);
    *n = 0;
    for (char *s = strtok(copy, ",;"); s; s = strtok(NULL, ",;")) {
        while (*s == ' ')
            s++;
        if (*s)
            out[(*n)++] = s;
    }
    return out;
}

static bool read_index(struct call *c, struct plan_choice *p, struct err *e)
{
    const char *temp = call_value(c, "temp"), *humidity = call_value(c, "humidity");
    p->weather.indexed = temp || humidity;
    if (p->weather.indexed && (!temp || !humidity))
        return err_set(e, ERR_USAGE, "plan: the heat index needs both --temp and --humidity");
    return !temp || (heat_parse_temp(temp, &p->weather.temp_f, e) &&
                     heat_parse_humidity(humidity, &p->weather.humidity, e));
}

static bool read_heat(struct call *c, struct plan_choice *p, struct err *e)
{
    const char *wbgt = call_value(c, "wbgt"), *path = call_value(c, "policy");
    p->indoors = call_value(c, "indoors") != NULL;
    p->weather.measured = wbgt && strcmp(wbgt, "none") != 0;
    if (!read_index(c, p, e))
        return false;
    if (!p->weather.measured && path)
        return err_set(e, ERR_USAGE,
                       "plan: --policy says what to do at a measured temperature; give that with "
                       "it, as --wbgt 88F");
    if (!p->weather.measured)
        return true;
    char *whole = path ? file_absolute(path, e) : NULL;
    if (path && !whole)
        return false;
    p->policy_path = arena_strdup(&c->memory, whole ? whole : "");
    free(whole);
    return heat_parse_wbgt(wbgt, &p->weather.wbgt_f, e) &&
           app_policy(path ? path : "", &c->memory, &p->weather.policy, e);
}

/* A day's plan that was made with a reading is not replaced by one without. */
static bool keeps_heat_rule(struct call *c, struct app *a, const struct plan_choice *p,
                            struct err *e)
{
    const struct plan_reading r = app_plan_reading(a, p->date, &c->memory);
    if (!r.known || p->weather.measured || p->indoors || call_value(c, "wbgt"))
        return true;
    return err_set(e, ERR_INPUT,
                   "the plan of %s was made at WBGT %.6g F; give the reading of now (--wbgt "
                   "%.6gF), --indoors, or --wbgt none to plan without a heat rule",
                   p->date, r.wbgt_f, r.wbgt_f);
}

/* Nothing is planned outdoors: what of the day's plan is stored must not be worked through. */
static bool take_away(struct call *c, struct app *a, const struct plan_choice *p, struct err *e)
{
    static const char *const says[] = {
        [PLAN_NOT_THERE] = "",
        [PLAN_TAKEN_AWAY] = "the plan of %s is taken away; nothing of it was ticked off\n",
        [PLAN_HAS_TICKS] = "blocks of the plan of %s are ticked off, so it stays stored; do not go "
                           "on with it outdoors\n",
    };
    enum plan_taken taken;
    if (!app_plan_take_away(a, p->date, &c->memory, &taken, e))
        return false;
    buf_printf(&c->talk, says[taken], p->date);
    return true;
}

static bool keep(struct call *c, struct app *a, const struct plan_choice *p,
                 const struct plan_report *r, struct err *e)
{
    struct rep_plan kept;
    if (call_value(c, "try"))
        return true;
    if (r->plan.n_blocks == 0 && !r->heat.closed)
        return true;
    return app_plan_keep_reading(a, p, &c->memory, e) &&
           (r->plan.n_blocks ? app_plan_keep(a, r, &c->memory, &kept, e) : take_away(c, a, p, e));
}

static bool read_rules(struct call *c, struct plan_choice *p, struct err *e)
{
    long minutes, reset, setup, reps, say;
    const char *start = call_value(c, "start"), *learn = call_value(c, "learn");
    p->rules = plan_rules_default();
    if (!call_value(c, "minutes"))
        return err_set(e, ERR_USAGE, "plan: how long? give --minutes, as in --minutes 90");
    if (!call_number(c, "minutes", (struct call_range){1, PLAN_MINUTES_MOST, 60}, &minutes, e) ||
        !call_number(c, "reset", (struct call_range){0, 600, p->rules.reset_s}, &reset, e) ||
        !call_number(c, "setup", (struct call_range){0, 600, p->rules.setup_s}, &setup, e) ||
        !call_number(c, "most-reps", (struct call_range){1, PLAN_REPS_MOST, p->rules.most_reps},
                     &reps, e) ||
        !call_number(c, "say", (struct call_range){1, PLAN_SAY_MOST, p->rules.say}, &say, e) ||
        (start && !clock_parse(start, &p->rules.start_min, e)))
        return false;
    p->rules.minutes = (int)minutes;
    if (call_value(c, "reset"))
        p->rules.apart_reset_s = (int)reset;
    p->rules.reset_s = (int)reset;
    p->rules.setup_s = (int)setup;
    p->rules.most_reps = (int)reps;
    p->rules.say = (int)say;
    if (learn) {
        char *end;
        p->rules.learn = strtod(learn, &end);
        if (end == learn || *end || !(p->rules.learn > 0 && p->rules.learn <= 1))
            return err_set(e, ERR_USAGE, "plan: --learn is a share above 0 and up to 1, not '%s'",
                           learn);
        p->rules.apart_learn = p->rules.learn;
    }
    return true;
}

static bool read_choice(struct call *c, struct plan_choice *p, struct err *e)
{
    char today[11];
    size_t n;
    const char **fixed = call_values(c, "fixed", &n), *with = call_value(c, "with");
    struct plan_fixed *at = arena_alloc(&c->memory, (n + 1) * sizeof *at);
    clock_today(today);
    p->date = call_value(c, "date");
    if (p->date && !date_check(p->date, "date", e))
        return false;
    if (!p->date)
        p->date = arena_strdup(&c->memory, today);
    for (size_t i = 0; i < n; i++)
        if (!fixed_parse(c, fixed[i], &at[i], e))
            return false;
    p->fixed = at;
    p->n_fixed = n;
    if (with)
        p->who.with = words_of(c, with, &p->who.n_with);
    p->clips = call_values(c, "clip", &p->n_clips);
    p->since = call_value(c, "since");
    p->seconds = call_values(c, "seconds", &p->n_seconds);
    p->who.together = call_value(c, "together") != NULL;
    return read_rules(c, p, e) && read_heat(c, p, e);
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    static void (*const writers[])(const struct plan_report *, struct buf *) = {
        [AS_TEXT] = plan_text, [AS_CSV] = plan_csv, [AS_JSON] = plan_json};
    enum format as;
    struct app app;
    struct plan_report r;
    struct plan_choice choice = {0};
    if (!call_format(c, can, 3, &as, e) || !read_choice(c, &choice, e) || !lists_open(c, &app, e))
        return false;
    bool ok = keeps_heat_rule(c, &app, &choice, e) && app_plan(&app, &choice, &c->memory, &r, e) &&
              keep(c, &app, &choice, &r, e);
    if (ok)
        writers[as](&r, &c->out);
    app_close(&app);
    return ok;
}

const struct verb verb_plan = {
    .name = "plan",
    .usage = "SHOW --minutes N",
    .summary = "Plan the next rehearsal from what is open",
    .detail =
        "Chunks of neighbouring sets, so many reps of each that the minutes mend as much as they "
        "can: a rep takes the playing time from the tempos plus the reset, and mends a share "
        "(--learn) of what is left of the one or two things that were said before it (--say). "
        "Faults of timing, form and path need the other sections; "
        "others "
        "may be worked in sectionals at the same time. Water breaks are always in it; --wbgt "
        "(measured) makes them follow the policy table: any 60 minutes of the rehearsal then hold "
        "the rest that its row asks, or there is no plan and the line says which fixed item to "
        "shorten to what. Where it allows nothing outdoors, the day's plan is taken away unless "
        "blocks are ticked off. The plan is stored as that of its date "
        "and is ticked off afterwards: boxcall tick.\n"
        "\n" HEAT_REMINDER,
    .options =
        {{"minutes", "N", "how long the rehearsal is", false},
         {"start", "18:00", "when it begins", false},
         {"date", "YYYY-MM-DD", "of which day (default: today)", false},
         {"with", "SECTIONS", "who is there, separated by commas (default: everybody)", false},
         {"reset", "SECONDS",
          "from the last count back to the first dot (default 35; 25 in a sectional)", false},
         {"fixed", "NAME:MIN[:WHEN][:rest]",
          "warm-up:15, run-through:10:last, talk:5:19:00; it is work to the heat policy "
          "unless it ends in :rest, as talk:10:rest or talk:10:19:00:rest",
          true},
         {"learn", "SHARE", "what a rep mends of what was said (default 0.3; 0.4 in a sectional)",
          false},
         {"say", "N", "most things said before a rep; the faults of a block take turns (default 2)",
          false},
         {"together", NULL, "no sectionals", false},
         {"wbgt", "91F|33C|none",
          "measured wet-bulb globe temperature; none drops that of the day's stored plan", false},
         {"temp", "94F|34C", "air temperature, with --humidity: heat index", false},
         {"humidity", "PERCENT", "relative humidity", false},
         {"policy", "FILE", "the local heat policy (CSV)", false},
         {"indoors", NULL, "rehearse inside: plan although it is too hot outdoors", false},
         {"most-reps", "N", "of one chunk (default 8)", false},
         {"setup", "SECONDS", "once for each chunk (default 60)", false},
         {"seconds", "SET:SECONDS", "playing time of a set without a tempo", true},
         {"clip", "CLIP", "marks of this clip only; may be given several times", true},
         {"since", "YYYY-MM-DD", "only clips from this date on", false},
         {"try", NULL, "print it, do not store it", false},
         LISTS_LINK_FROM,
         {"as", "FORMAT", "text (default), csv or json", false},
         {0}},
    .written = (const struct verb_written[]){{"", plan_columns}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
