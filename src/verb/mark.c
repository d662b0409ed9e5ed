#include <stdlib.h>
#include <string.h>

#include "app/field_marks.h"
#include "app/ties.h"
#include "count/timecode.h"
#include "verb/rows.h"

static bool read_cause(const struct call *c, const struct show *show, struct mark *m, struct err *e)
{
    const char *cause = call_value(c, "cause");
    m->cause = show->faults[m->fault].cause;
    if (!cause)
        return true;
    if (strcmp(cause, "define") != 0 && strcmp(cause, "execute") != 0)
        return err_set(e, ERR_USAGE, "mark: no cause '%s'; write define or execute", cause);
    m->cause = strcmp(cause, "define") == 0 ? CAUSE_DEFINE : CAUSE_EXECUTE;
    return true;
}

static void progress(void *user, double part)
{
    const struct call *c = user;
    if (c->progress)
        c->progress("following the field", part);
}

/* --at X,Y: a pixel of the picture at the mark's time. */
static bool read_place(struct call *c, struct app *app, const struct clip *clip, struct mark *m,
                       struct err *e)
{
    const char *text = call_value(c, "at");
    struct field_view view;
    struct buf note = {0};
    char *end;
    if (!text)
        return true;
    struct mark_click click = {
        .reach = {.us = m->at_us, .stop = c->stop, .progress = progress, .user = c}, .note = &note};
    click.at.x = strtod(text, &end);
    const bool comma = end != text && *end == ',';
    const char *second = end + comma;
    click.at.y = comma ? strtod(second, &end) : 0;
    if (!comma || end == second || *end)
        return err_set(e, ERR_USAGE, "mark: '%s' is no pixel; write X,Y as in --at 812,430", text);
    const bool ok =
        app_field(app, clip, &c->memory, &view, e) && app_mark_place(&view, &click, m, e);
    if (ok && note.n)
        buf_printf(&c->talk, "%s\n", note.p);
    buf_free(&note);
    return ok;
}

static bool read_mark(struct call *c, struct app *app, struct mark *m, struct err *e)
{
    const struct clip *clip = clip_named(&app->clips, c->words[1], e);
    long severity;
    if (!clip)
        return false;
    *m = (struct mark){.clip = clip->id, .end_us = -1, .set = -1};
    if (!app_clip_time(clip, c->words[2], &m->at_us, e))
        return false;
    if (m->at_us > clip->length_us) {
        char length[24];
        time_format(clip->length_us, length);
        return err_set(e, ERR_INPUT, "%s is past the end of clip '%s' (%s)", c->words[2],
                       clip->label, length);
    }
    m->targets = targets_parse(&c->memory, &app->show, c->words[3], &m->n_targets, e);
    if (!m->targets || !fault_named(&app->show, c->words[4], &m->fault, e) ||
        !call_number(c, "severity",
                     (struct call_range){SEVERITY_LEAST, SEVERITY_MOST, SEVERITY_LEAST}, &severity,
                     e) ||
        !read_cause(c, &app->show, m, e))
        return false;
    m->severity = (int)severity;
    m->praise = call_value(c, "praise") != NULL;
    m->note = call_value(c, "note") ? call_value(c, "note") : "";
    m->author = call_value(c, "author");
    return read_place(c, app, clip, m, e);
}

struct adding {
    struct call *call;
    struct app *app;
    struct mark *mark;
};

/* The map is read within the step: what another program ties meanwhile is seen or waits. */
static bool add(struct store *s, void *ctx, struct err *e)
{
    struct adding *a = ctx;
    const struct clip *clip = clip_named(&a->app->clips, a->call->words[1], e);
    const struct map *map = clip ? app_map(a->app, clip, &a->call->memory, NULL, e) : NULL;
    app_place_mark(map, a->mark);
    return map && store_mark_add(s, &a->app->show, a->mark, e);
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    struct mark m;
    if (!app_open(&app, c->words[0], e))
        return false;
    struct adding adding = {c, &app, &m};
    const char *what = arena_printf(&c->memory, "mark %s, %s", c->words[3], c->words[4]);
    bool ok = read_mark(c, &app, &m, e) && store_step(app.store, what, add, &adding, e);
    if (ok) {
        char time[24];
        struct buf who = {0}, place = {0};
        time_format(m.at_us, time);
        targets_text(&app.show, m.targets, m.n_targets, &who);
        measured_text(&app.show, &m, &place);
        buf_printf(&c->talk, "mark %lld: %s %s, %s%s%s%s\n", (long long)m.id, time, who.p,
                   m.praise ? "keep " : "", app.show.faults[m.fault].name, place.n ? " " : "",
                   buf_text(&place));
        buf_free(&who);
        buf_free(&place);
    }
    app_close(&app);
    return ok;
}

const struct verb verb_mark = {
    .name = "mark",
    .usage = "SHOW CLIP TIME TARGET FAULT",
    .summary = "Make one mark from a script",
    .detail = "CLIP is a label, a path or an id. TIME is 358.2, 5:58.2 or 0:05:58.200, a frame "
              "(1234f), or SMPTE time code. TARGET is a "
              "section or a performer's label; several are separated by ';'. FAULT is a fault's "
              "name, one of its other words, or its key.",
    .options =
        {{"note", "TEXT", "words to go with it", false},
         {"severity", "1|2|3", "1 small (default) to 3 serious", false},
         {"cause", "NAME", "define (staff must decide) or execute", false},
         {"at", "X,Y",
          "where it is: a pixel of the picture as it is shown, where the field is known (boxcall "
          "field)",
          false},
         {"praise", NULL, "a remark to keep, not a fault", false},
         {"author", "NAME", "who says so (default: BOXCALL_AUTHOR or the login name)", false},
         {0}},
    .least = 5,
    .most = 5,
    .long_work = true,
    .run = run,
};
