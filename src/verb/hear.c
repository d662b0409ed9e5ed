/* A commentary with times, and what it proposes. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/hear.h"
#include "count/timecode.h"
#include "paper/drafts.h"
#include "paper/lessons.h"
#include "sys/file.h"
#include "verb/hearing.h"
#include "verb/rows.h"
#include "verb/teach.h"

enum { TEXT_LIMIT = 64 << 20 };

static void say_known(struct call *c, const struct heard_talk *h, const struct hear_choice *how)
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
}

static bool hear(struct call *c, struct app *app, struct hear_choice *how, struct err *e)
{
    struct heard_talk h;
    if (!hearing_clock(c, app, &how->clock, e) || !app_hear(app, &c->memory, how, &h, e))
        return false;
    say_known(c, &h, how);
    return hearing_out(c, app, how, &h, e);
}

/* The commentary: CLIP and FILE. */
static bool hear_file(struct call *c, struct app *app, struct err *e)
{
    struct buf bytes = {0}, notes = {0};
    const char *path = c->words[2];
    const bool stdin_ = strcmp(path, "-") == 0;
    const char *slash = strrchr(path, '/');
    struct hear_choice how = {
        .clip = clip_named(&app->clips, c->words[1], e), .path = "", .kind = "commentary"};
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
    const bool voice = call_value(c, "voice");
    if (voice && c->n_words == 3)
        return err_set(e, ERR_USAGE,
                       "hear: --voice is heard in place of FILE; leave one of them out");
    if (c->n_words == 3 || (c->n_words == 1 && words) || (c->n_words == 2 && voice))
        return true;
    if (c->n_words == 1 && teach)
        return !call_value(c, "as") ||
               err_set(e, ERR_USAGE,
                       "hear: --as shows drafts, or with --words what could be "
                       "taught; leave it out to teach");
    return err_set(e, ERR_USAGE, "hear: %s missing; usage: boxcall hear %s",
                   c->n_words == 2 ? "CLIP or FILE is" : "CLIP and FILE are", c->verb->usage);
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    if (!has_what_it_needs(c, e) || !app_open(&app, c->words[0], e))
        return false;
    bool ok = !call_value(c, "teach") || hear_teach(c, &app, e);
    if (call_value(c, "words"))
        ok = ok && hear_words(c, &app, e);
    else if (call_value(c, "voice"))
        ok = ok && hear_voice(c, &app, e);
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
        "means another fault or section already is refused. In the review a key does both.\n\n"
        "--voice FILE hears a recording (WAV or any sound) in which somebody calls marks out, "
        "'trumpets, horn angle', 'tubas two and three, feet apart at halt', a pause between two: "
        "whom, and one of the show's faults by its name or its words. It is heard on this laptop, "
        "by pocketsphinx, where boxcall was built with it; other talk is left out as far as it can "
        "be told. boxcall check SHOW says which of the show's words it cannot hear.",
    .options = {{"at", "TIME", "where the commentary lies in the clip; twice: and how fast it runs",
                 true},
                {"lead", "MS", "milliseconds from seeing a thing to speaking of it", false},
                {"accept", "CONFIDENCE",
                 "make marks of all drafts of the clip that are at least as sure, 0 to 1", false},
                {"as", "FORMAT", "show the drafts, or the words, as text, csv or json; keep none",
                 false},
                {"voice", "FILE", "spoken calls in a recording, in place of a commentary", false},
                {"words", NULL, "list what drafts that were put right could teach", false},
                {"teach", "NAME=WORDS", "the fault or section NAME is called so, too", true},
                CALL_SEMICOLONS,
                {0}},
    .written =
        (const struct verb_written[]){{"drafts", drafts_columns}, {"words", lessons_columns}, {0}},
    .least = 1,
    .most = 3,
    .long_work = true,
    .run = run,
};
