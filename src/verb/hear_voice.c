/* Calls spoken in a recording, and what they propose. */
#include <stdlib.h>
#include <string.h>

#include "app/voice.h"
#include "sys/file.h"
#include "verb/hearing.h"

enum { SOUND_LIMIT = 2000 << 20 };

static bool goes_on(void *user, double part)
{
    const struct call *c = user;
    if (c->progress)
        c->progress("listening", part);
    return !c->stop || !atomic_load(c->stop);
}

static void say_calls(struct call *c, const char *name, const struct heard_calls *calls,
                      const struct draft_list *sure)
{
    if (calls->stretches == 0)
        buf_printf(&c->talk, "%s: nobody talks in it\n", name);
    else if (calls->stretches > sure->n)
        buf_printf(&c->talk, "%s: no call that is sure enough in %zu of %zu stretches of talk\n",
                   name, calls->stretches - sure->n, calls->stretches);
}

static bool hear(struct call *c, struct app *app, struct hear_choice *how, struct err *e)
{
    struct app_voice *voice;
    struct heard_calls calls;
    const struct spoken_want want = {.path = how->path, .progress = goes_on, .user = c};
    if (!hearing_clock(c, app, &how->clock, e) || !app_voice_open(&voice, &app->show, e))
        return false;
    bool ok = app_voice_file(voice, &want, &c->memory, &calls, e);
    if (!ok && e->code == ERR_NONE)
        err_set(e, ERR_FAILED, "hear: stopped listening");
    if (ok) {
        struct heard_talk h = {.drafts =
                                   app_voice_drafts(&c->memory, &app->show, &calls, &how->clock)};
        say_calls(c, how->file.source, &calls, &h.drafts);
        hear_within(&h, how->clip->length_us, &c->memory);
        ok = hearing_out(c, app, how, &h, e);
    }
    app_voice_close(voice);
    return ok;
}

bool hear_voice(struct call *c, struct app *app, struct err *e)
{
    const char *path = call_value(c, "voice"), *slash = strrchr(path, '/');
    struct hear_choice how = {.clip = clip_named(&app->clips, c->words[1], e), .kind = "voice"};
    struct buf bytes = {0};
    bool ok = how.clip && file_read(path, SOUND_LIMIT, &bytes, e);
    char *absolute = ok ? file_absolute(path, e) : NULL;
    if (absolute) {
        how.file = (struct timed_text){buf_text(&bytes), bytes.n, slash ? slash + 1 : path, NULL};
        how.path = absolute;
        ok = hear(c, app, &how, e);
    }
    free(absolute);
    buf_free(&bytes);
    return ok && absolute;
}
