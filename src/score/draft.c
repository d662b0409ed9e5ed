#include "score/draft.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/utf8.h"

/* Places nearer than this are one: it is far below a tick of any division. */
static const double same_place = 1e-6;

bool draft_measure(struct draft *d, struct score_measure m, struct err *e)
{
    struct score *s = &d->made;
    if (s->n_measures == SCORE_MEASURES)
        return err_set(e, ERR_INPUT, "more than %d measures; no show is so long", SCORE_MEASURES);
    s->measures = array_grow(s->measures, s->n_measures, &d->cap_measures, sizeof m);
    s->measures[s->n_measures++] = m;
    return true;
}

bool draft_tempo(struct draft *d, double at, double bpm, struct err *e)
{
    struct score *s = &d->made;
    struct score_tempo *last = s->n_tempos ? &s->tempos[s->n_tempos - 1] : NULL;
    if (last && at - last->at < same_place) {
        last->bpm = bpm;
        return true;
    }
    if (last && last->bpm == bpm)
        return true;
    if (s->n_tempos == SCORE_TEMPOS)
        return err_set(e, ERR_INPUT, "more than %d tempos; no show has so many", SCORE_TEMPOS);
    s->tempos = array_grow(s->tempos, s->n_tempos, &d->cap_tempos, sizeof *last);
    s->tempos[s->n_tempos++] = (struct score_tempo){.at = at, .bpm = bpm};
    return true;
}

bool draft_marker(struct draft *d, double at, const char *text, struct err *e)
{
    struct score *s = &d->made;
    if (!*text || (s->n_markers && at - s->markers[s->n_markers - 1].at < same_place))
        return true;
    if (s->n_markers == SCORE_MARKERS)
        return err_set(e, ERR_INPUT, "more than %d markers; no show has so many", SCORE_MARKERS);
    s->markers = array_grow(s->markers, s->n_markers, &d->cap_markers, sizeof *s->markers);
    s->markers[s->n_markers++] = (struct score_marker){at, text};
    return true;
}

const char *draft_text(struct arena *a, const char *bytes, size_t n)
{
    enum { LONGEST = 120 };
    struct buf out = {0};
    const bool utf8 = utf8_check(bytes, n) == n;
    size_t took;
    for (size_t i = 0; i < n && out.n < LONGEST; i += took) {
        char c[4];
        uint32_t point = utf8 ? utf8_next(bytes + i, n - i, &took) : (unsigned char)bytes[i];
        took = utf8 ? took : 1;
        const bool blank = point <= ' ' || point == 0xa0;
        if (!blank)
            buf_add(&out, c, utf8_put(point, c));
        else if (out.n && out.p[out.n - 1] != ' ')
            buf_char(&out, ' ');
    }
    while (out.n && out.p[out.n - 1] == ' ')
        out.p[--out.n] = '\0';
    char *text = arena_strndup(a, buf_text(&out), out.n);
    utf8_tame(text);
    buf_free(&out);
    return text;
}

/* What comes before the first tempo goes at that one, and each tempo learns when it comes. */
static void reckon(struct score *s)
{
    if (!s->n_tempos)
        return;
    s->tempo_said_at = s->tempos[0].at;
    s->tempos[0].at = 0;
    for (size_t i = 1; i < s->n_tempos; i++) {
        const struct score_tempo *before = &s->tempos[i - 1];
        s->tempos[i].s = before->s + (s->tempos[i].at - before->at) * 60 / before->bpm;
    }
}

void draft_done(struct draft *d, struct score *out)
{
    struct score *s = &d->made;
    if (!s->title)
        s->title = "";
    if (!s->passed)
        s->passed = "";
    if (s->n_measures) {
        const struct score_measure *last = &s->measures[s->n_measures - 1];
        s->length = last->at + last->length;
    }
    reckon(s);
    s->measures = arena_take(d->a, s->measures, s->n_measures * sizeof *s->measures);
    s->tempos = arena_take(d->a, s->tempos, s->n_tempos * sizeof *s->tempos);
    s->markers = arena_take(d->a, s->markers, s->n_markers * sizeof *s->markers);
    *out = *s;
    *d = (struct draft){.a = d->a};
}

void draft_free(struct draft *d)
{
    free(d->made.measures);
    free(d->made.tempos);
    free(d->made.markers);
    *d = (struct draft){.a = d->a};
}
