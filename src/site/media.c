/* What the folder has of the clips: pictures of moments, short clips of them, copies, captions. */
#include <stdlib.h>
#include <string.h>

#include "base/hash.h"
#include "clip/cut.h"
#include "clip/frames.h"
#include "clip/picture.h"
#include "site/inside.h"

/* STILL_... change when pictures shall be made anew though clip and moment are the same. */
enum { STILL_MOST = 960, STILL_KIND = 3, CUT_KIND = 2, COPY_KIND = 1 };
/* A stored moment may be rounded to its millisecond, and lie before its picture. */
enum { LATER_US = 1000 };

const char *site_still_name(struct arena *mem, const char *uid)
{
    return arena_printf(mem, "stills/%.*s.jpg", 2 * MOMENT_ID_DIGITS, uid);
}

const char *site_cut_name(struct arena *mem, const char *uid)
{
    return arena_printf(mem, "cuts/%.*s.mp4", 2 * MOMENT_ID_DIGITS, uid);
}

/* --- one clip's work -------------------------------------------------------------------------- */

struct work {
    struct site *s;
    const struct site_clip *clip;
    const struct clip *stored;
    struct need **at; /* its moments, by time */
    size_t n;
    size_t *done, all; /* of all clips */
    const char *what;
};

static int by_time(const void *a, const void *b)
{
    const struct need *x = *(struct need *const *)a, *y = *(struct need *const *)b;
    if (x->at_us != y->at_us)
        return x->at_us < y->at_us ? -1 : 1;
    return (x->mark > y->mark) - (x->mark < y->mark);
}

static void gather(struct work *w)
{
    w->at = xcalloc(w->s->n_needs + 1, sizeof *w->at);
    for (size_t i = 0; i < w->s->n_needs; i++)
        if (w->s->needs[i].clip == w->clip->c.id)
            w->at[w->n++] = &w->s->needs[i];
    if (w->n)
        qsort(w->at, w->n, sizeof *w->at, by_time);
}

static uint64_t made_from(const struct clip *c, int kind, int64_t at_us)
{
    uint64_t h = hash_more(HASH_BEGIN, c->head_tail, strlen(c->head_tail));
    h = hash_more(h, &c->size_bytes, sizeof c->size_bytes);
    h = hash_more(h, &kind, sizeof kind);
    return hash_more(h, &at_us, sizeof at_us);
}

/* What was there already is no work to tell of. */
static void step(struct work *w, bool made)
{
    ++*w->done;
    if (made)
        site_tell(w->s, w->what, *w->done, w->all);
}

/* What is wrong with one clip or moment is said, and the rest is made; a disk that fails is not. */
static bool goes_on(struct site *s, const struct err *why)
{
    if (why->code != ERR_INPUT)
        return false;
    site_lacks(s, why);
    return true;
}

/* --- pictures --------------------------------------------------------------------------------- */

static bool one_still(struct work *w, struct frames *f, struct need *need, struct err *e)
{
    struct site *s = w->s;
    struct frame frame;
    struct buf jpeg = {0};
    e->code = ERR_NONE;
    bool ok = frames_seek(f, need->at_us + LATER_US, e) && frames_next(f, &frame, e);
    if (!ok && e->code == ERR_NONE) /* behind the last picture, or stopped */
        return !site_stopped(s, e);
    ok = ok && picture_jpeg(&frame, &jpeg, e) &&
         made_put_from(s->made, site_still_name(s->mem, need->uid),
                       made_from(w->stored, STILL_KIND, need->at_us),
                       (struct made_bytes){jpeg.p, jpeg.n}, e);
    need->still = ok;
    buf_free(&jpeg);
    return ok;
}

static bool stills(struct work *w, struct err *e)
{
    struct frames *f = NULL;
    bool ok = true;
    for (size_t i = 0; ok && i < w->n; i++) {
        struct need *need = w->at[i];
        need->still = made_has(w->s->made, site_still_name(w->s->mem, need->uid),
                               made_from(w->stored, STILL_KIND, need->at_us));
        const bool there = need->still || !w->clip->found; /* or cannot be made */
        ok = !site_stopped(w->s, e);
        if (ok && !there && !f)
            ok = frames_open(&f,
                             &(struct frames_want){.path = w->clip->found,
                                                   .kind = FRAMES_RGB,
                                                   .most = STILL_MOST,
                                                   .showing = true,
                                                   .cancel = w->s->want->cancel},
                             e);
        ok = ok && (there || one_still(w, f, need, e));
        step(w, !there);
    }
    frames_close(f);
    return ok;
}

/* --- cuts ------------------------------------------------------------------------------------- */

static int64_t cut_begins(int64_t at_us)
{
    return at_us > MARK_LEAD_IN_US ? at_us - MARK_LEAD_IN_US : 0;
}

static bool one_cut(struct work *w, struct cuts *c, struct need *need, struct err *e)
{
    struct made *made = w->s->made;
    const char *name = site_cut_name(w->s->mem, need->uid);
    const uint64_t from = made_from(w->stored, CUT_KIND, need->at_us);
    char *path;
    e->code = ERR_NONE;
    need->cut = made_begin(made, name, from, &path, e) &&
                cuts_make(c,
                          &(struct cut){.from_us = cut_begins(need->at_us),
                                        .to_us = need->at_us + MARK_TAIL_US,
                                        .to = path},
                          e) &&
                made_done(made, name, from, e);
    return need->cut;
}

static bool cuts(struct work *w, struct err *e)
{
    struct cuts *c = NULL;
    bool ok = true;
    for (size_t i = 0; ok && i < w->n; i++) {
        struct need *need = w->at[i];
        need->cut = made_has(w->s->made, site_cut_name(w->s->mem, need->uid),
                             made_from(w->stored, CUT_KIND, need->at_us));
        const bool there = need->cut || !w->clip->found;
        ok = !site_stopped(w->s, e);
        if (ok && !there && !c)
            ok = cuts_open(
                &c, &(struct cuts_want){.path = w->clip->found, .cancel = w->s->want->cancel}, e);
        ok = ok && (there || one_cut(w, c, need, e) || goes_on(w->s, e));
        step(w, !there);
    }
    cuts_close(c);
    return ok;
}

/* --- all clips -------------------------------------------------------------------------------- */

static bool each_clip(struct site *s, const char *what, bool (*make)(struct work *, struct err *),
                      struct err *e)
{
    size_t done = 0;
    bool ok = true;
    for (size_t i = 0; ok && i < s->n_clips; i++) {
        struct work w = {.s = s,
                         .clip = &s->clips[i],
                         .stored = site_stored(s, s->clips[i].c.id),
                         .done = &done,
                         .all = s->n_needs,
                         .what = what};
        gather(&w);
        if (w.stored && w.n)
            ok = make(&w, e) || goes_on(s, e);
        free(w.at);
    }
    return ok;
}

bool site_media(struct site *s, struct err *e)
{
    return each_clip(s, "pictures", stills, e) &&
           (!(s->want->clips == PUBLISH_CUT) || each_clip(s, "short clips", cuts, e)) &&
           site_captions(s, e);
}
