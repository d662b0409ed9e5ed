#include "clip/cut.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "clip/film.h"
#include "clip/frames_inner.h"
#include "clip/heard.h"
#include "clip/output.h"
#include "clip/voice.h"
#include "clip/libav.h"

enum { SIDE_MOST = 640 };

struct cuts {
    struct cuts_want want;
    char *path;
    struct frames *frames;
    struct heard *heard; /* NULL: no sound */
};

/* One cut while it is made. */
struct making {
    struct cuts *c;
    const struct cut *cut;
    struct output out;
    struct film film;
    struct voice voice;
    struct err *e;
};

static bool cancelled(const struct cuts *c)
{
    return c->want.cancel && atomic_load(c->want.cancel);
}

bool cuts_open(struct cuts **out, const struct cuts_want *want, struct err *e)
{
    struct cuts *c = xcalloc(1, sizeof *c);
    *out = NULL;
    c->want = *want;
    c->path = xstrdup(want->path);
    const struct frames_want frames = {.path = c->path,
                                       .kind = FRAMES_YUV,
                                       .most = SIDE_MOST,
                                       .showing = true,
                                       .cancel = want->cancel};
    e->code = ERR_NONE;
    e->text[0] = '\0';
    if (frames_open(&c->frames, &frames, e) && heard_open(&c->heard, c->path, want->cancel, e)) {
        *out = c;
        return true;
    }
    if (cancelled(c))
        e->code = ERR_NONE;
    cuts_close(c);
    return false;
}

void cuts_close(struct cuts *c)
{
    if (!c)
        return;
    frames_close(c->frames);
    heard_close(c->heard);
    free(c->path);
    free(c);
}

static void say(const struct making *m, int64_t at_us)
{
    const double whole = (double)m->cut->to_us - (double)m->cut->from_us;
    if (m->c->want.progress)
        m->c->want.progress(m->c->want.user, fmin(fmax((double)at_us / whole, 0), 1));
}

static int64_t usual_gap(const AVStream *s)
{
    const AVRational rate = s->avg_frame_rate;
    return rate.num > 0 && rate.den > 0 ? av_rescale(1000000, rate.den, rate.num) : 33333;
}

static bool nothing_there(const struct making *m)
{
    const long long tenths = m->cut->from_us / 100000;
    return err_set(
        m->e, ERR_INPUT,
        "%s: shows no picture at %lld:%02lld.%lld that could be cut out; is it the right "
        "clip?",
        m->c->path, tenths / 600, tenths / 10 % 60, tenths % 10);
}

static bool begin(struct making *m)
{
    struct cuts *c = m->c;
    return frames_seek(c->frames, m->cut->from_us, m->e) &&
           (!c->heard || heard_seek(c->heard, m->cut->from_us, m->e)) &&
           output_open(&m->out, m->cut->to, "mp4", m->e) &&
           film_open(&m->film, &m->out, c->frames, m->e) &&
           voice_open(&m->voice, &m->out, c->heard, m->e) && output_begin(&m->out, m->e);
}

/* One picture and, beside it, the sound until then. */
static bool add_picture(struct making *m, const struct frame *f)
{
    const int64_t at_us = f->at_us > m->cut->from_us ? f->at_us - m->cut->from_us : 0;
    say(m, at_us);
    return film_add(&m->film, &m->out, f, at_us, m->e) &&
           voice_until(&m->voice, &m->out, at_us, m->e);
}

/* All of them. *end_us is where the cut ends: where it was asked to, or when the clip's last picture
 * has been shown as long as the one before it. */
static bool fill(struct making *m, int64_t *end_us)
{
    struct frame f;
    int64_t gap_us = usual_gap(m->c->frames->stream), last_us = INT64_MIN;
    while (frames_next(m->c->frames, &f, m->e)) {
        if (f.at_us >= m->cut->to_us) {
            *end_us = m->cut->to_us - m->cut->from_us;
            return last_us != INT64_MIN || nothing_there(m);
        }
        if (!add_picture(m, &f))
            return false;
        if (last_us != INT64_MIN)
            gap_us = f.at_us - last_us;
        last_us = f.at_us;
    }
    if (m->e->code != ERR_NONE || cancelled(m->c))
        return false;
    if (last_us == INT64_MIN || last_us + gap_us <= m->cut->from_us)
        return nothing_there(m);
    const int64_t over_us = last_us + gap_us;
    *end_us = (over_us < m->cut->to_us ? over_us : m->cut->to_us) - m->cut->from_us;
    return true;
}

static bool run(struct making *m)
{
    int64_t end_us = 0;
    if (m->cut->from_us < 0 || m->cut->to_us <= m->cut->from_us)
        return err_set(m->e, ERR_INPUT, "%s: a cut must end behind its beginning; give other times",
                       m->cut->to);
    if (!begin(m) || !fill(m, &end_us) || !film_end(&m->film, &m->out, end_us, m->e) ||
        !voice_end(&m->voice, &m->out, end_us, m->e) || !output_end(&m->out, m->e) ||
        cancelled(m->c) || !output_place(&m->out, m->e))
        return false;
    say(m, m->cut->to_us - m->cut->from_us);
    return true;
}

bool cuts_make(struct cuts *c, const struct cut *cut, struct err *e)
{
    struct making m = {.c = c, .cut = cut, .e = e};
    e->code = ERR_NONE;
    e->text[0] = '\0';
    const bool ok = run(&m);
    if (!ok && cancelled(c)) {
        e->code = ERR_NONE;
        e->text[0] = '\0';
    }
    film_close(&m.film);
    voice_close(&m.voice);
    output_close(&m.out);
    return ok;
}

bool cut_make(const struct cuts_want *want, const struct cut *cut, struct err *e)
{
    struct cuts *c;
    const bool ok = cuts_open(&c, want, e) && cuts_make(c, cut, e);
    cuts_close(c);
    return ok;
}
