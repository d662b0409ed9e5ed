#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/clip.h"
#include "command/run.h"
#include "command/session.h"
#include "screen/loop.h"
#include "screen/screens.h"
#include "verb/rows.h"

static bool choose_view(struct call *c, struct desk *d, struct err *e)
{
    const char *video = call_value(c, "video");
    if (video && strcmp(video, "window") != 0 && strcmp(video, "pane") != 0)
        return err_set(e, ERR_USAGE, "review: --video is window or pane, not '%s'", video);
    bool display = (!video || strcmp(video, "window") == 0) && player_display();
    if (video && strcmp(video, "window") == 0 && !display)
        return err_set(e, ERR_FAILED, "there is no display to open a window on; use --video pane");
    d->view = display ? PLAYER_WINDOW : PLAYER_PANE;
    d->sound = call_value(c, "silent") == NULL;
    return true;
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    struct desk d;
    struct screen_settings set = {.pane = call_value(c, "picture"),
                                  .color = call_value(c, "color")};
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = desk_open(&d, &app, &review_tools, e) && choose_view(c, &d, e);
    const struct clip *clip =
        ok ? desk_first_clip(&d, c->n_words > 1 ? c->words[1] : NULL, e) : NULL;
    /* Without its file the lists and the plan are there all the same. */
    struct err missing;
    ok = clip != NULL;
    if (ok && !desk_clip(&d, clip, -1, false, &missing))
        desk_trouble(&d, "%s", missing.text);
    else if (ok && store_read_only(app.store))
        desk_trouble(&d,
                     "%s may only be read here: marks cannot be saved; see to the right to write, "
                     "or to room "
                     "on the disk, then open it again",
                     c->words[0]);
    if (ok && call_value(c, "voice"))
        desk_run(&d, arena_printf(&c->memory, "voice %s", call_value(c, "voice")));
    ok = ok && screen_run(&d, &set, e);
    if (ok && d.lost && !store_read_only(app.store)) /* left all the same: the shell hears of it */
        ok = err_set(e, ERR_FAILED,
                     "%s was moved or replaced while it was open; the newest marks are in no file",
                     c->words[0]);
    c->abrupt = !desk_close(&d);
    if (c->abrupt)
        buf_str(&c->talk, "boxcall: the display does not answer, so the video's window was left "
                          "behind; every mark is saved\n");
    app_close(&app);
    return ok;
}

const struct verb verb_review = {
    .name = "review",
    .usage = "SHOW [CLIP]",
    .summary = "Open the review: watch a clip and mark it (also: boxcall SHOW [CLIP])",
    .detail =
        "Without CLIP it goes on where the last one was left, else with the first one not yet "
        "opened.\n"
        "\n"
        "Letters speak about the band: a section's key, performer numbers if any, a fault's key. "
        "The moment is taken at the first key, minus the reaction lead; the mark is on disk when "
        "the last key is pressed; the video goes on. '?' shows every key.",
    .options =
        {{"video", "WHERE", "window (default with a display) or pane", false},
         {"picture", "HOW", "in the pane: cells, symbols, sixel, kitty or none", false},
         {"color", "HOW", "true, 256, 16 or none (default: what the terminal has)", false},
         {"silent", NULL, "no sound", false},
         {"voice", "MICROPHONE",
          "spoken calls from the start, by ALSA's name of it ('on': the usual one) or a named "
          "pipe of 16-bit samples, 16000 a second",
          false},
         {0}},
    .least = 1,
    .most = 2,
    .run = run,
};
