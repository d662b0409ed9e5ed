#include "verb/clips.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "base/utf8.h"
#include "count/timecode.h"
#include "clip/guard.h"
#include "clip/probe.h"
#include "sys/folder.h"
#include "sys/clock.h"
#include "sys/file.h"

/* The clip at this path, or one whose file is gone and was this one: it was moved. A copy of a file
 * that is still there is a clip of its own. */
static const struct clip *same_file(const struct app *app, const char *path, const struct media *m)
{
    for (size_t i = 0; i < app->clips.n; i++)
        if (strcmp(app->clips.at[i].path, path) == 0)
            return &app->clips.at[i];
    for (size_t i = 0; i < app->clips.n; i++)
        if (strcmp(app->clips.at[i].sha256, m->sha256) == 0 && !file_exists(app->clips.at[i].path))
            return &app->clips.at[i];
    return NULL;
}

static bool label_taken(const struct app *app, const char *label, int64_t but)
{
    for (size_t i = 0; i < app->clips.n; i++)
        if (app->clips.at[i].id != but && utf8_casecmp(app->clips.at[i].label, label) == 0)
            return true;
    return false;
}

/* The file's name without its ending; "-2" and so on when that label is another clip's. */
static const char *free_label(struct call *c, const struct app *app, const char *path)
{
    char *base = arena_strdup(&c->memory, strrchr(path, '/') + 1);
    char *dot = strrchr(base, '.');
    if (dot && dot != base)
        *dot = '\0';
    utf8_tame(base);
    const char *label = base;
    for (int n = 2; label_taken(app, label, 0); n++)
        label = arena_printf(&c->memory, "%s-%d", base, n);
    return label;
}

static const char *file_date(struct call *c, const char *path)
{
    struct stat st;
    char date[11];
    clock_today(date);
    if (stat(path, &st) == 0) {
        struct tm tm;
        localtime_r(&st.st_mtime, &tm);
        strftime(date, sizeof date, "%Y-%m-%d", &tm);
    }
    return arena_strdup(&c->memory, date);
}

static int next_run(const struct app *app, const char *date)
{
    int run = 0;
    for (size_t i = 0; i < app->clips.n; i++)
        if (strcmp(app->clips.at[i].date, date) == 0 && app->clips.at[i].run > run)
            run = app->clips.at[i].run;
    return run + 1;
}

static bool choose_label(struct call *c, const struct app *app, struct clip *clip, struct err *e)
{
    const char *label = call_value(c, "label");
    if (!label) {
        if (!clip->id)
            clip->label = free_label(c, app, clip->path);
        return true;
    }
    if (!*label)
        return err_set(e, ERR_USAGE, "add clip: the label is empty");
    if (label_taken(app, label, clip->id))
        return err_set(e, ERR_INPUT, "label '%s' is another clip's; choose another --label", label);
    clip->label = label;
    return true;
}

static bool fill(struct call *c, const struct app *app, const char *path, const struct media *m,
                 struct clip *clip, struct err *e)
{
    const struct clip *known = same_file(app, path, m);
    *clip = known ? *known : (struct clip){.left_us = -1};
    clip->path = path;
    const char *date = call_value(c, "date");
    if (date && !date_check(date, "date", e))
        return false;
    if (date || !known)
        clip->date = date ? date : file_date(c, path);
    long run;
    if (!call_number(c, "run",
                     (struct call_range){1, 999, known ? known->run : next_run(app, clip->date)},
                     &run, e) ||
        !choose_label(c, app, clip, e))
        return false;
    clip->run = (int)run;
    clip->length_us = m->length_us;
    clip->size_bytes = m->size_bytes;
    clip->width = m->width;
    clip->height = m->height;
    clip->fps_num = m->fps_num;
    clip->fps_den = m->fps_den;
    clip->sha256 = m->sha256;
    clip->head_tail = m->head_tail;
    return true;
}

static const struct clip *clip_of_row(const struct app *app, int64_t id)
{
    for (size_t i = 0; i < app->clips.n; i++)
        if (app->clips.at[i].id == id)
            return &app->clips.at[i];
    return NULL;
}

/* A file that was cut shorter leaves what was said of its end without a picture. */
static void say_beyond(struct call *c, struct app *app, const struct clip *clip)
{
    struct err ignored;
    struct tie_list ties;
    size_t resting = 0;
    int64_t calls = 0;
    if (store_ties(app->store, &c->memory, clip->id, &ties, &ignored))
        for (size_t i = 0; i < ties.n; i++)
            resting += ties.at[i].at_us > clip->length_us;
    if (!store_calls_beyond(app->store, clip->id, clip->length_us, &calls, &ignored))
        calls = 0;
    if (resting || calls)
        buf_printf(&c->talk, "beyond its new end: %zu tie%s and %lld mark%s; they are kept\n",
                   resting, resting == 1 ? "" : "s", (long long)calls, calls == 1 ? "" : "s");
}

/* Two clips of one run (two places in the box) count as one run in lists. */
static void say_run(struct call *c, const struct app *app, const struct clip *clip)
{
    for (size_t i = 0; i < app->clips.n; i++) {
        const struct clip *k = &app->clips.at[i];
        if (k->id != clip->id && k->run == clip->run && strcmp(k->date, clip->date) == 0)
            buf_printf(&c->talk,
                       "%s run %d is that of clip %s too: lists count the two as one run; if it is "
                       "another, add it again with --run %d\n",
                       clip->date, clip->run, k->label, next_run(app, clip->date));
    }
}

static void on_progress(void *user, double part)
{
    struct call *c = user;
    if (c->progress)
        c->progress("reading the clip", part);
}

/* What the clip is; its end is one's own when the person stops it. */
static bool look_at(struct call *c, const char *path, struct media *m, struct err *e)
{
    enum { LARGE = 100 << 20 }; /* bytes: a second and more to read */
    int64_t about[2] = {0};
    folder_look(path, about);
    const struct probe_watch watch = {c->stop, about[0] > LARGE ? on_progress : NULL, c};
    if (clip_probe_watched(path, PROBE_DIGEST, &watch, m, e))
        return true;
    return c->stop && atomic_load(c->stop)
               ? err_set(e, ERR_FAILED, "%s: stopped; nothing was added", path)
               : false;
}

bool add_clip(struct call *c, struct app *app, struct err *e)
{
    struct media m = {0};
    struct clip clip;
    const char *given = c->words[2];
    if (!clip_guard(given, e))
        return false;
    char *absolute = file_absolute(given, e);
    if (!absolute)
        return false;
    const char *path = arena_strdup(&c->memory, absolute);
    free(absolute);
    bool ok = look_at(c, path, &m, e);
    if (ok && !m.has_video)
        ok = err_set(e, ERR_INPUT, "%s: has sound but no picture; name the video", given);
    ok = ok && fill(c, app, path, &m, &clip, e);
    bool known = ok && clip.id != 0;
    const struct clip *was = known ? clip_of_row(app, clip.id) : NULL;
    ok = ok && store_clip_put(app->store, &clip, e);
    if (ok) {
        if (was && strcmp(was->label, clip.label) != 0)
            buf_printf(&c->talk, "the clip that was called %s is called %s now\n", was->label,
                       clip.label);
        say_beyond(c, app, &clip);
        char length[24];
        time_format_short(m.length_us, length);
        buf_printf(&c->talk, "clip %s: %s, %s run %d, %s, %dx%d, %.6g frames a second%s\n",
                   clip.label, known ? "updated" : "added", clip.date, clip.run, length, m.width,
                   m.height, m.fps_den ? (double)m.fps_num / m.fps_den : 0,
                   m.has_sound ? "" : ", no sound");
        say_run(c, app, &clip);
    }
    media_free(&m);
    return ok;
}
