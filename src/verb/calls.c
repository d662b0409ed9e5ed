#include "app/app.h"
#include "verb/lists.h"
#include "verb/rows.h"

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON, AS_VTT};
    static void (*const writers[])(const struct call_report *, struct buf *) = {
        [AS_TEXT] = calls_text, [AS_CSV] = calls_csv, [AS_JSON] = calls_json, [AS_VTT] = calls_vtt};
    enum format as;
    struct app app;
    struct mark_list marks;
    if (!call_format(c, can, 4, &as, e) || !lists_open(c, &app, e))
        return false;
    const struct clip *clip = clip_named(&app.clips, c->words[1], e);
    bool ok = clip && store_marks(app.store, &c->memory, clip->id, &marks, e);
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
        writers[as](&r, &c->out);
    }
    app_close(&app);
    return ok;
}

const struct verb verb_calls = {
    .name = "calls",
    .usage = "SHOW CLIP",
    .summary = "List the marks of one clip in time order",
    .detail = "--as vtt gives WebVTT captions that any player shows over the clip.",
    .options = {LISTS_LINK_FROM,
                {"as", "FORMAT", "text (default), csv, json or vtt", false},
                CALL_SEMICOLONS,
                {"timecode", NULL, "text: SMPTE time code instead of m:ss.mmm", false},
                {0}},
    .written = (const struct verb_written[]){{"", calls_columns}, {0}},
    .least = 2,
    .most = 2,
    .run = run,
};
