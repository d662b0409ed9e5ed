#include <time.h>

#include "app/app.h"
#include "verb/lists.h"
#include "verb/rows.h"

static const char *time_text(struct arena *a, int64_t ms)
{
    const time_t seconds = (time_t)(ms / 1000);
    struct tm t;
    gmtime_r(&seconds, &t);
    return arena_printf(a, "%04d-%02d-%02dT%02d:%02d:%02d.%03dZ", t.tm_year + 1900, t.tm_mon + 1,
                        t.tm_mday, t.tm_hour, t.tm_min, t.tm_sec, (int)(ms % 1000));
}

static struct call_birth birth_text(struct arena *a, const struct birth *b)
{
    return (struct call_birth){arena_strdup(a, b->uuid), time_text(a, b->made_at)};
}

/* Who a row is, for those who exchange it. */
static bool births(struct call *c, struct store *s, int64_t clip, struct call_report *r,
                   struct err *e)
{
    struct call_birth *born = arena_alloc(&c->memory, (r->n_marks + 1) * sizeof *born);
    struct birth b;
    if (!store_clip_birth(s, clip, &b, e))
        return false;
    r->of_clip = birth_text(&c->memory, &b);
    r->born = born;
    for (size_t i = 0; i < r->n_marks; i++) {
        if (!store_mark_birth(s, r->marks[i].id, &b, e))
            return false;
        born[i] = birth_text(&c->memory, &b);
    }
    return true;
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV,         AS_JSON,
                                      AS_VTT,  AS_ANNOTATIONS, AS_CHAPTERS};
    static void (*const writers[])(const struct call_report *,
                                   struct buf *) = {[AS_TEXT] = calls_text,
                                                    [AS_CSV] = calls_csv,
                                                    [AS_JSON] = calls_json,
                                                    [AS_VTT] = calls_vtt,
                                                    [AS_ANNOTATIONS] = calls_annotations,
                                                    [AS_CHAPTERS] = calls_chapters};
    enum format as;
    struct app app;
    struct mark_list marks;
    if (!call_format(c, can, sizeof can / sizeof *can, &as, e) || !lists_open(c, &app, e))
        return false;
    const struct clip *clip = clip_named(&app.clips, c->words[1], e);
    bool ok = clip && store_marks(app.store, &c->memory, clip->id, &marks, e);
    for (size_t i = 0; ok && call_value(c, "labels-only") && i < marks.n; i++)
        marks.at[i].author = "";
    if (ok) {
        struct call_report r = {
            .show = &app.show,
            .title = app.title,
            .clip = app_report_clip(&app, &c->memory, clip),
            .fps_num = clip->fps_num,
            .fps_den = clip->fps_den,
            .timecode = call_value(c, "timecode") != NULL,
            .length_us = clip->length_us,
            .marks = marks.at,
            .n_marks = marks.n,
        };
        ok = as != AS_ANNOTATIONS || births(c, app.store, clip->id, &r, e);
        if (ok)
            writers[as](&r, &c->out);
    }
    app_close(&app);
    return ok;
}

const struct verb verb_calls = {
    .name = "calls",
    .usage = "SHOW CLIP",
    .summary = "List the marks of one clip in time order",
    .detail =
        "--as vtt gives WebVTT captions that any player shows over the clip; --as chapters a "
        "text in FFmpeg's metadata format, from which ffmpeg puts chapters into a copy of the "
        "clip, each from two seconds before its mark to where the next one begins. --as "
        "annotations gives W3C Web Annotations (JSON-LD): boxcall add SHOW marks FILE makes "
        "the same marks of them again, and other programs can read them.",
    .options = {LISTS_LINK_FROM,
                {"as", "FORMAT", "text (default), csv, json, vtt, annotations or chapters", false},
                CALL_SEMICOLONS,
                {"labels-only", NULL, "leave out who marked it", false},
                {"timecode", NULL, "text: SMPTE time code instead of m:ss.mmm", false},
                {0}},
    .written = (const struct verb_written[]){{"", calls_columns}, {0}},
    .least = 2,
    .most = 2,
    .run = run,
};
