/* A commentary with times, and what it proposes. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/hear.h"
#include "count/timecode.h"
#include "paper/drafts.h"
#include "paper/lessons.h"
#include "sys/file.h"
#include "verb/rows.h"
#include "verb/teach.h"

enum { TEXT_LIMIT = 64 << 20 };

/* --- where it lies in the clip ------------------------------------------------------------------ */

static bool read_time(const char *text, int64_t *us, struct err *e)
{
    while (*text == ' ')
        text++;
    return *text == '-' || *text == '+' ? time_parse_shift(text, us, e) : time_parse(text, us, e);
}

struct said_at {
    int64_t said_us, clip_us;
};

/* "0:12", where the commentary's 0:00 is in the clip, or "1:05=1:17.5", a moment of both. */
static bool read_tie(struct call *c, const char *text, struct said_at *out, struct err *e)
{
    const char *equals = strchr(text, '=');
    out->said_us = 0;
    if (equals &&
        !read_time(arena_strndup(&c->memory, text, (size_t)(equals - text)), &out->said_us, e))
        return err_in(e, "hear: --at %s", text);
    return read_time(equals ? equals + 1 : text, &out->clip_us, e) ||
           err_in(e, "hear: --at %s", text);
}

static bool read_clock(struct call *c, struct talk_clock *out, struct err *e)
{
    size_t n;
    const char **at = call_values(c, "at", &n);
    struct said_at tie[2] = {0};
    if (n > 2)
        return err_set(e, ERR_USAGE,
                       "hear: --at was given %zu times; once says where it begins, "
                       "twice how fast it runs too",
                       n);
    for (size_t i = 0; i < n; i++)
        if (!read_tie(c, at[i], &tie[i], e))
            return false;
    out->rate = 1;
    if (n == 2) {
        const double said = (double)(tie[1].said_us - tie[0].said_us);
        out->rate = (double)(tie[1].clip_us - tie[0].clip_us) / said;
        if (!(said != 0 && out->rate >= 0.5 && out->rate <= 2))
            return err_set(
                e, ERR_USAGE,
                "hear: --at %s and --at %s: the clip would run %.3g times as fast as the "
                "commentary; write each as COMMENTARY=CLIP, in the same order",
                at[0], at[1], said != 0 ? out->rate : 0);
    }
    out->offset_us = tie[0].clip_us - (int64_t)llround((double)tie[0].said_us * out->rate);
    return true;
}

static bool read_lead(struct call *c, struct app *app, struct talk_clock *out, struct err *e)
{
    long ms;
    out->lead_us = hear_lead_us(app, &c->memory);
    if (!call_number(c, "lead", (struct call_range){0, 10000, (long)(out->lead_us / 1000)}, &ms, e))
        return false;
    out->lead_us = (int64_t)ms * 1000;
    return true;
}

static bool read_confidence(struct call *c, double *out, struct err *e)
{
    const char *text = call_value(c, "accept");
    char *end;
    *out = -1;
    if (!text)
        return true;
    *out = strtod(text, &end);
    if (end == text || *end || !(*out >= 0 && *out <= 1))
        return err_set(e, ERR_USAGE,
                       "hear: --accept %s is no confidence; write 0 to 1, as in "
                       "--accept 0.8",
                       text);
    return !call_value(c, "as") ||
           err_set(e, ERR_USAGE, "hear: --as only shows the drafts; leave it out to accept some");
}

/* --- what is said of it ------------------------------------------------------------------------- */

static void put_length(const struct hear_choice *how, char out[24])
{
    time_format_short(how->clip->length_us, out);
}

/* A wrong --at would take all drafts away that wait. */
static bool within(const struct heard *h, const struct hear_choice *how, struct err *e)
{
    char length[24];
    put_length(how, length);
    return h->drafts.n > 0 || h->outside == 0 ||
           err_set(e, ERR_INPUT,
                   "%s: all of its %zu remarks lie outside the clip (%s long); --at says where the "
                   "commentary begins",
                   how->file.source, h->outside, length);
}

static void say_known(struct call *c, const struct heard *h, const struct hear_choice *how)
{
    const size_t words = h->n_words;
    /* Half of any English talk is in the list; of another language some short words are. */
    if (words >= 20 && 2 * h->n_known < words)
        buf_printf(&c->talk,
                   "%s: few words are known (%zu of %zu); it is understood in English alone\n",
                   how->file.source, h->n_known, words);
    else if (h->drafts.n + h->outside == 0)
        buf_printf(&c->talk, "%s: no remark in %zu word%s\n", how->file.source, words,
                   words == 1 ? "" : "s");
    if (h->outside > 0) {
        char length[24];
        put_length(how, length);
        buf_printf(&c->talk,
                   "%s: %zu remark%s outside the clip (%s long), left out; --at says where the "
                   "commentary begins\n",
                   how->file.source, h->outside, h->outside == 1 ? " lies" : "s lie", length);
    }
}

static void say_report(struct call *c, const struct drafts_report *r)
{
    buf_printf(&c->talk, "%zu draft%s added", r->added, r->added == 1 ? "" : "s");
    if (r->renewed)
        buf_printf(&c->talk, ", %zu brought up to date", r->renewed);
    if (r->gone)
        buf_printf(&c->talk, ", %zu not proposed any more", r->gone);
    if (r->kept)
        buf_printf(&c->talk, ", %zu settled before and left as they are", r->kept);
    buf_char(&c->talk, '\n');
}

static bool accept(struct call *c, struct app *app, int64_t clip, double at_least, struct err *e)
{
    struct drafts_accepted done;
    if (!app_drafts_accept(app, clip, at_least, &done, e))
        return false;
    buf_printf(&c->talk, "%zu became mark%s", done.accepted, done.accepted == 1 ? "" : "s");
    if (done.below)
        buf_printf(&c->talk, ", %zu less sure wait", done.below);
    if (done.lacking)
        buf_printf(&c->talk, ", %zu without a fault wait", done.lacking);
    buf_char(&c->talk, '\n');
    return true;
}

static bool keep(struct call *c, struct app *app, const struct hear_choice *how,
                 const struct heard *h, struct err *e)
{
    double at_least;
    struct drafts_report r;
    struct draft_counts n;
    if (!read_confidence(c, &at_least, e) || !app_hear_keep(app, how, h, &r, e))
        return false;
    say_report(c, &r);
    if (at_least >= 0)
        return accept(c, app, how->clip->id, at_least, e);
    if (!store_draft_counts(app->store, how->clip->id, &n, e))
        return false;
    if (n.waiting > 0)
        buf_printf(&c->talk, "%lld wait for '%s': open the show to look at each\n",
                   (long long)n.waiting, how->clip->label);
    return true;
}

/* --- the verb ----------------------------------------------------------------------------------- */

static bool hear(struct call *c, struct app *app, struct hear_choice *how, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    static void (*const writers[])(const struct show *, const struct draft_list *, struct buf *) = {
        [AS_TEXT] = drafts_text, [AS_CSV] = drafts_csv, [AS_JSON] = drafts_json};
    enum format as;
    struct heard h;
    double at_least;
    if (!call_format(c, can, sizeof can / sizeof *can, &as, e) ||
        !read_confidence(c, &at_least, e) || !read_clock(c, &how->clock, e) ||
        !read_lead(c, app, &how->clock, e) || !app_hear(app, &c->memory, how, &h, e))
        return false;
    if (!within(&h, how, e))
        return false;
    say_known(c, &h, how);
    if (!call_value(c, "as"))
        return keep(c, app, how, &h, e);
    writers[as](&app->show, &h.drafts, &c->out);
    return true;
}

/* The commentary: CLIP and FILE. */
static bool hear_file(struct call *c, struct app *app, struct err *e)
{
    struct buf bytes = {0}, notes = {0};
    const char *path = c->words[2];
    const bool stdin_ = strcmp(path, "-") == 0;
    const char *slash = strrchr(path, '/');
    struct hear_choice how = {.clip = clip_named(&app->clips, c->words[1], e), .path = ""};
    bool ok = how.clip && file_read(path, TEXT_LIMIT, &bytes, e);
    char *absolute = ok && !stdin_ ? file_absolute(path, e) : NULL;
    ok = ok && (stdin_ || absolute);
    if (ok) {
        how.file = (struct timed_text){buf_text(&bytes), bytes.n,
                                       stdin_  ? "stdin"
                                       : slash ? slash + 1
                                               : path,
                                       &notes};
        how.path = absolute ? absolute : "";
        ok = hear(c, app, &how, e);
    }
    if (ok && notes.n) /* the error says enough of what is not read at all */
        buf_add(&c->talk, notes.p, notes.n);
    free(absolute);
    buf_free(&notes);
    buf_free(&bytes);
    return ok;
}

/* The show alone is enough for words; a commentary needs both its clip and its file. */
static bool has_what_it_needs(const struct call *c, struct err *e)
{
    const bool words = call_value(c, "words"), teach = call_value(c, "teach");
    if (words && c->n_words > 1)
        return err_set(e, ERR_USAGE,
                       "hear: --words lists what drafts that were put right could teach; leave "
                       "CLIP and FILE out");
    if (c->n_words == 3 || (c->n_words == 1 && words))
        return true;
    if (c->n_words == 1 && teach)
        return !call_value(c, "as") ||
               err_set(e, ERR_USAGE,
                       "hear: --as shows drafts, or with --words what could be "
                       "taught; leave it out to teach");
    return err_set(e, ERR_USAGE, "hear: %s missing; usage: boxcall hear %s",
                   c->n_words == 2 ? "FILE is" : "CLIP and FILE are", c->verb->usage);
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    if (!has_what_it_needs(c, e) || !app_open(&app, c->words[0], e))
        return false;
    bool ok = !call_value(c, "teach") || hear_teach(c, &app, e);
    if (call_value(c, "words"))
        ok = ok && hear_words(c, &app, e);
    else if (c->n_words == 3)
        ok = ok && hear_file(c, &app, e);
    app_close(&app);
    return ok;
}

const struct verb verb_hear = {
    .name = "hear",
    .usage = "SHOW [CLIP FILE]",
    .summary = "Turn a timed commentary into drafts of marks",
    .detail =
        "FILE is what somebody said over the clip, with times: WebVTT or SubRip captions, or a "
        "text "
        "whose paragraphs begin with [m:ss], m:ss or h:mm:ss; - is standard input. Each remark in "
        "it becomes a draft: whom it is about, which fault or praise, how far off, at what moment, "
        "and how sure that is. Drafts wait in the review for somebody to accept, correct or drop "
        "them; nothing becomes a mark unasked. Hearing the same file again adds nothing: what "
        "waits "
        "untouched is brought up to date.\n\n"
        "Without --at the commentary began where the clip begins. --at 0:12 says that its 0:00 is "
        "at 0:12 of the clip (--at=-0:12: it began before the clip), --at 1:05=1:17.5 that its "
        "1:05 is at 1:17.5; two of those say how fast it runs beside the clip, too. The moment of "
        "a remark is where it begins to be said less the lead, the reaction time that is set in "
        "the review.\n\n"
        "What words mean stands in talk-words.csv and talk-signs.csv, and what people say of each "
        "fault in talk-said-*.csv, all in the share folder, and in the column words of the show's "
        "own sections and faults; staff add their own there.\n\n"
        "A draft that somebody puts right says what else was meant, and its words may be new. "
        "--words "
        "lists what such corrections could teach: the fault or section, the words, how many "
        "corrections hold them. --teach 'horn angle=plumbing' adds a word to the show; a word that "
        "means another fault or section already is refused. In the review a key does both.",
    .options = {{"at", "TIME", "where the commentary lies in the clip; twice: and how fast it runs",
                 true},
                {"lead", "MS", "milliseconds from seeing a thing to speaking of it", false},
                {"accept", "CONFIDENCE",
                 "make marks of all drafts of the clip that are at least as sure, 0 to 1", false},
                {"as", "FORMAT", "show the drafts, or the words, as text, csv or json; keep none",
                 false},
                {"words", NULL, "list what drafts that were put right could teach", false},
                {"teach", "NAME=WORDS", "the fault or section NAME is called so, too", true},
                CALL_SEMICOLONS,
                {0}},
    .written =
        (const struct verb_written[]){{"drafts", drafts_columns}, {"words", lessons_columns}, {0}},
    .least = 1,
    .most = 3,
    .run = run,
};
