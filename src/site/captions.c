/* Captions of each clip for players, and the clips' copies with the marks as chapters. */
#include <stdlib.h>
#include <string.h>

#include "base/hash.h"
#include "clip/remux.h"
#include "site/inside.h"

struct told {
    struct site *s;
    size_t nth;
};

static void on_part(void *user, double part)
{
    const struct told *t = user;
    enum { WHOLE = 1000 };
    site_tell(t->s, "copies of clips", t->nth * WHOLE + (size_t)(part * WHOLE),
              t->s->n_clips * WHOLE);
}

static const char *chapter_title(struct site *s, const struct mark *m)
{
    struct buf words = {0};
    targets_text(&s->app->show, m->targets, m->n_targets, &words);
    buf_printf(&words, "%s%s", m->praise ? ": keep " : ": ", s->app->show.faults[m->fault].name);
    const char *title = arena_strdup(s->mem, words.p);
    buf_free(&words);
    return title;
}

/* A chapter goes on to the next one, so that a player knows at every moment which it is in. */
static struct remux_chapter *chapters_of(struct site *s, const struct mark_list *marks,
                                         int64_t length_us)
{
    struct remux_chapter *c = arena_alloc(s->mem, (marks->n + 1) * sizeof *c);
    for (size_t i = 0; i < marks->n; i++) {
        const int64_t at = marks->at[i].at_us;
        c[i].from_us = at > MARK_LEAD_IN_US ? at - MARK_LEAD_IN_US : 0;
        c[i].to_us = length_us > at + MARK_TAIL_US ? length_us : at + MARK_TAIL_US;
        c[i].title = chapter_title(s, &marks->at[i]);
        if (i)
            c[i - 1].to_us = c[i].from_us;
    }
    return c;
}

static uint64_t copy_from(const struct clip *clip, const struct remux_chapter *c, size_t n)
{
    uint64_t h = hash_more(HASH_BEGIN, clip->head_tail, strlen(clip->head_tail));
    h = hash_more(h, &clip->size_bytes, sizeof clip->size_bytes);
    for (size_t i = 0; i < n; i++) {
        h = hash_more(h, &c[i].from_us, sizeof c[i].from_us);
        h = hash_more(h, c[i].title, strlen(c[i].title) + 1);
    }
    return h;
}

/* The copy of a clip that is gone now. */
static bool keep_copy(struct site *s, struct site_clip *c, uint64_t from)
{
    static const char *const endings[] = {".mp4", ".mov", ".webm", ".mkv"}; /* remux_ending()'s */
    for (size_t i = 0; !c->copy && i < sizeof endings / sizeof *endings; i++) {
        const char *name = arena_printf(s->mem, "clips/%s%s", c->file, endings[i]);
        c->copy = made_has(s->made, name, from) ? name : NULL;
    }
    return true;
}

static bool copy_clip(struct site *s, size_t nth, const struct clip *stored,
                      const struct mark_list *marks, struct err *e)
{
    struct site_clip *c = &s->clips[nth];
    struct told told = {s, nth};
    struct remux_chapter *chapters = chapters_of(s, marks, stored->length_us);
    const uint64_t from = copy_from(stored, chapters, marks->n);
    if (!c->found)
        return keep_copy(s, c, from);
    const char *ending = remux_ending(c->found, e);
    if (!ending)
        return false;
    const char *name = arena_printf(s->mem, "clips/%s%s", c->file, ending);
    char *path;
    bool ok = made_has(s->made, name, from);
    if (!ok)
        ok = made_begin(s->made, name, from, &path, e) &&
             remux(&(struct remux_want){.path = c->found,
                                        .to = path,
                                        .chapters = chapters,
                                        .n_chapters = marks->n,
                                        .cancel = s->want->cancel,
                                        .progress = on_part,
                                        .user = &told},
                   e) &&
             made_done(s->made, name, from, e);
    c->copy = ok ? name : NULL;
    return ok;
}

static bool put_captions(struct site *s, const struct site_clip *c, const struct mark_list *marks,
                         struct err *e)
{
    struct buf vtt = {0};
    if (marks->n == 0 || s->want->clips == PUBLISH_NONE)
        return true;
    calls_vtt(&(struct call_report){.show = &s->app->show,
                                    .title = s->app->title,
                                    .clip = c->c,
                                    .marks = marks->at,
                                    .n_marks = marks->n},
              &vtt);
    const bool ok = made_put(s->made, arena_printf(s->mem, "captions/%s.vtt", c->file),
                             (struct made_bytes){vtt.p, vtt.n}, e);
    buf_free(&vtt);
    return ok;
}

bool site_captions(struct site *s, struct err *e)
{
    for (size_t i = 0; i < s->n_clips; i++) {
        struct arena scratch = {0};
        struct mark_list marks = {0};
        const struct clip *stored = site_stored(s, s->clips[i].c.id);
        e->code = ERR_NONE;
        bool ok = !site_stopped(s, e) && stored &&
                  store_marks(s->app->store, &scratch, stored->id, &marks, e);
        if (ok)
            site_keep_shown(s, &marks);
        ok = ok && put_captions(s, &s->clips[i], &marks, e);
        if (ok && s->want->clips == PUBLISH_COPY && !copy_clip(s, i, stored, &marks, e)) {
            ok = e->code == ERR_INPUT;
            if (ok)
                site_lacks(s, e);
        }
        arena_free(&scratch);
        if (!ok)
            return false;
    }
    return true;
}
