#include <stdlib.h>

#include "app/app.h"
#include "count/timecode.h"
#include "verb/rows.h"

static bool add(struct call *c, struct app *app, const struct clip *clip, struct err *e)
{
    struct stretch s;
    if (!app_clip_time(clip, c->words[2], &s.from_us, e) ||
        !app_clip_time(clip, c->words[3], &s.to_us, e))
        return false;
    if (s.to_us <= s.from_us)
        return err_set(e, ERR_INPUT, "the stretch ends (%s) before it begins (%s)", c->words[3],
                       c->words[2]);
    if (s.to_us > clip->length_us + 1000000)
        return err_set(e, ERR_INPUT, "%s is past the end of clip '%s'", c->words[3], clip->label);
    return store_watched_add(app->store, clip->id, &s, 1, e);
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    struct stretch_list l;
    if (c->n_words == 3)
        return err_set(e, ERR_USAGE, "watched: give both ends of the stretch, FROM and TO");
    if (!app_open(&app, c->words[0], e))
        return false;
    const struct clip *clip = clip_named(&app.clips, c->words[1], e);
    bool ok = clip && (c->n_words < 4 || add(c, &app, clip, e)) &&
              store_watched(app.store, &c->memory, clip->id, &l, e);
    double total = 0;
    for (size_t i = 0; ok && i < l.n; i++) {
        char from[24], to[24];
        time_format_short(l.at[i].from_us, from);
        time_format_short(l.at[i].to_us, to);
        buf_printf(&c->out, "%s %s\n", from, to);
        total += (double)l.at[i].to_us - (double)l.at[i].from_us;
    }
    if (ok)
        buf_printf(&c->talk, "%.1f of %.1f minutes of %s were watched\n", total / 60e6,
                   (double)clip->length_us / 60e6, clip->label);
    app_close(&app);
    return ok;
}

const struct verb verb_watched = {
    .name = "watched",
    .usage = "SHOW CLIP [FROM TO]",
    .summary = "Which stretches of a clip were watched; FROM TO adds one",
    .detail = "The review keeps this by itself while a clip plays. Add a stretch that was watched "
              "elsewhere, so that marks a minute can be believed.",
    .options = {{0}},
    .least = 2,
    .most = 4,
    .run = run,
};
