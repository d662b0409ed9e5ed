/* What a line of a fix list says in words. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/number.h"
#include "count/timecode.h"
#include "paper/fixes.h"

const struct report_moment *fixes_next(const struct fixes_line *l, size_t *at)
{
    while (*at < l->part->n_moments) {
        const struct report_moment *m = &l->part->moments[(*at)++];
        if (m->fault == l->item->fault && m->praise == l->item->praise &&
            (m->state != MARK_CLEAN || l->item->marks == 0))
            return m;
    }
    return NULL;
}

size_t fixes_moment_count(const struct fixes_line *l)
{
    size_t n = 0;
    for (size_t at = 0; fixes_next(l, &at);)
        n++;
    return n;
}

void fixes_moment(const struct fix_report *r, struct when at, struct buf *out)
{
    char time[24];
    time_format_short(at.at_us, time);
    if (r->n_clips > 1) {
        put_text(out, r->clips[at.clip].label);
        buf_char(out, ' ');
    }
    buf_str(out, time);
}

static void moment_words(const struct fixes_line *l, struct when at, struct flow *f)
{
    struct buf text = {0};
    fixes_moment(l->r, at, &text);
    flow_text(f, buf_text(&text));
    buf_free(&text);
}

void fixes_who(const struct show *show, const struct rank_item *item, int which, size_t most,
               struct flow *f)
{
    struct buf word = {0};
    size_t n = 0, all = 0;
    for (size_t i = 0; i < item->n_who; i++)
        all += ((item->who[i].performer ? WHO_PERFORMERS : WHO_SECTIONS) & which) != 0;
    for (size_t i = 0; i < item->n_who && n < most; i++) {
        const struct rank_who *w = &item->who[i];
        if (!((w->performer ? WHO_PERFORMERS : WHO_SECTIONS) & which))
            continue;
        buf_clear(&word);
        buf_printf(&word, "%s ×%d%s",
                   w->performer ? show->performers[w->position].label
                                : show->sections[w->position].name,
                   w->marks, ++n < all ? "," : "");
        flow_word(f, buf_text(&word), NULL); /* no line ends between a name and its number */
    }
    if (all > n) {
        buf_clear(&word);
        buf_printf(&word, "+%zu more", all - n);
        flow_text(f, buf_text(&word));
    }
    buf_free(&word);
}

/* --- where ------------------------------------------------------------------------------------ */

struct spot {
    struct place_said place;
    const struct report_moment *m;
};

/* By set; what has none, or lies behind the drill, at the end. */
static int by_place(const void *a, const void *b)
{
    const struct spot *x = a, *y = b;
    const int no_x = x->place.kind == PLACE_NONE, no_y = y->place.kind == PLACE_NONE;
    if (no_x != no_y)
        return no_x - no_y;
    if (x->place.set != y->place.set)
        return x->place.set < y->place.set ? -1 : 1;
    const int end_x = x->place.kind == PLACE_END, end_y = y->place.kind == PLACE_END;
    if (end_x != end_y)
        return end_x - end_y;
    if (x->m->at.clip != y->m->at.clip)
        return x->m->at.clip < y->m->at.clip ? -1 : 1;
    return (x->m->at.at_us > y->m->at.at_us) - (x->m->at.at_us < y->m->at.at_us);
}

static bool one_group(const struct spot *x, const struct spot *y)
{
    return x->place.set == y->place.set &&
           (x->place.kind == PLACE_END) == (y->place.kind == PLACE_END) &&
           (x->place.kind == PLACE_NONE) == (y->place.kind == PLACE_NONE);
}

/* "set 3, count 5–8:", "set 14, count 16 and holding;", as `behind` says */
static void group_words(const struct show *show, const struct spot *at, size_t n,
                        const char *behind, struct flow *f)
{
    struct buf text = {0};
    const struct place_said *first = &at[0].place;
    double least = INFINITY, most = 0;
    bool holds = false, moves = false;
    for (size_t i = 0; i < n; i++) {
        least = fmin(least, floor(at[i].place.count));
        most = fmax(most, floor(at[i].place.count));
        holds |= at[i].place.kind == PLACE_HOLD;
        moves |= at[i].place.kind == PLACE_COUNT;
    }
    if (first->kind == PLACE_NONE)
        buf_str(&text, "no set");
    else if (first->kind == PLACE_END)
        buf_printf(&text, "the end of set %s", show->sets[first->set].label);
    else if (!moves && most < 1)
        buf_printf(&text, "set %s, holding", show->sets[first->set].label);
    else
        buf_printf(&text, "set %s, count %.0f", show->sets[first->set].label, least);
    if (first->kind != PLACE_NONE && first->kind != PLACE_END && (moves || most >= 1)) {
        if (most > least)
            buf_printf(&text, "–%.0f", most);
        buf_str(&text, holds ? " and holding" : "");
    }
    buf_str(&text, behind);
    flow_word(f, buf_text(&text), NULL); /* no line ends within */
    buf_free(&text);
}

/* A moment's time, with what parts it from the next one. */
static void put_time(const struct fixes_line *l, const struct report_moment *m, const char *behind,
                     struct flow *f)
{
    char time[24];
    struct buf word = {0}, link = {0};
    time_format_short(m->at.at_us, time);
    buf_printf(&word, "%s%s", time, behind);
    if (l->style && l->style->links) {
        buf_str(&link, "file://");
        moment_link(l->r->clips[m->at.clip].path, m->at.at_us, &link);
    }
    flow_word(f, buf_text(&word), link.n ? buf_text(&link) : NULL);
    buf_free(&word);
    buf_free(&link);
}

static void put_group(const struct fixes_line *l, const struct spot *at, size_t n, bool last,
                      struct flow *f)
{
    for (size_t i = 0; i < n; i++) {
        const size_t clip = at[i].m->at.clip;
        if (l->r->n_clips > 1 && (i == 0 || at[i - 1].m->at.clip != clip))
            flow_text(f, l->r->clips[clip].label);
        const char *behind = i + 1 == n                     ? (last ? "" : ";")
                             : at[i + 1].m->at.clip != clip ? ","
                                                            : "";
        put_time(l, at[i].m, behind, f);
    }
}

static void put_where(const struct fixes_line *l, bool times, struct flow *f)
{
    const size_t n = fixes_moment_count(l);
    struct spot *spots = xcalloc(n + 1, sizeof *spots);
    size_t at = 0;
    for (size_t i = 0; i < n; i++) {
        spots[i].m = fixes_next(l, &at);
        spots[i].place = place_said(l->r->show, spots[i].m->set, spots[i].m->count);
    }
    qsort(spots, n, sizeof *spots, by_place);
    for (size_t from = 0, to; from < n; from = to) {
        for (to = from + 1; to < n && one_group(&spots[from], &spots[to]);)
            to++;
        group_words(l->r->show, &spots[from], to - from, times ? ":" : to < n ? ";" : "", f);
        if (times)
            put_group(l, &spots[from], to - from, to == n, f);
    }
    free(spots);
}

void fixes_where(const struct fixes_line *l, struct flow *f)
{
    put_where(l, true, f);
}

void fixes_places(const struct fixes_line *l, struct flow *f)
{
    put_where(l, false, f);
}

/* --- notes, measures, state -------------------------------------------------------------------- */

bool fixes_note(const struct fixes_line *l, const struct report_moment *m, struct flow *f)
{
    struct buf quoted = {0};
    if (!*m->note)
        return false;
    moment_words(l, m->at, f);
    buf_printf(&quoted, "\"%s\"", m->note);
    flow_text(f, buf_text(&quoted));
    buf_free(&quoted);
    return true;
}

void fixes_notes(const struct fixes_line *l, struct buf *out)
{
    const struct report_moment *m;
    struct flow f = flow_from(out, 0, 0, 0);
    for (size_t at = 0; (m = fixes_next(l, &at));) {
        if (*m->note && f.begun)
            buf_char(out, ';');
        fixes_note(l, m, &f);
    }
}

struct mark fixes_mark(const struct report_moment *m)
{
    return (struct mark){.id = m->mark,
                         .at_us = m->at.at_us,
                         .targets = m->targets,
                         .n_targets = m->n_targets,
                         .fault = m->fault,
                         .praise = m->praise,
                         .note = m->note,
                         .set = m->set,
                         .count = m->count,
                         .timed = m->timed,
                         .late_counts = m->late,
                         .late_error = m->late_error,
                         .measure = m->measure,
                         .on_field = m->on_field,
                         .x = m->x,
                         .y = m->y};
}

void fixes_figures(const struct fixes_line *l, const struct report_moment *m, struct buf *out)
{
    const struct mark mark = fixes_mark(m);
    measured_text(l->r->show, &mark, out);
}

/* What was measured "at" the moment. */
static void put_measured(const struct fixes_line *l, const struct mark *mark,
                         const struct report_moment *m, struct flow *f)
{
    struct buf text = {0};
    measured_text(l->r->show, mark, &text);
    flow_text(f, text.p);
    flow_word(f, "at", NULL);
    moment_words(l, m->at, f);
    buf_free(&text);
}

/* The moment that is furthest off by such a measure; the first where that is not known. */
static const struct report_moment *furthest(const struct fixes_line *l, int kind, size_t *n)
{
    const struct report_moment *m, *found = NULL;
    double most = 0;
    *n = 0;
    for (size_t at = 0; (m = fixes_next(l, &at));) {
        if ((int)m->measure.kind != kind)
            continue;
        const double off = measure_off(&m->measure);
        if (!found || off > most || (isnan(most) && !isnan(off))) {
            found = m;
            most = off;
        }
        ++*n;
    }
    return found;
}

bool fixes_measured(const struct fixes_line *l, struct flow *f)
{
    const struct report_moment *m;
    size_t n = 0, of;
    for (size_t at = 0; (m = fixes_next(l, &at));) {
        if (!m->timed)
            continue;
        if (n++) /* what stands there ends with its time */
            flow_word(f, "and", NULL);
        const struct mark late = {
            .timed = true, .late_counts = m->late, .late_error = m->late_error};
        put_measured(l, &late, m, f);
    }
    for (int kind = MEASURE_NONE + 1; kind < MEASURE_KINDS; kind++) {
        struct buf text = {0};
        if (!(m = furthest(l, kind, &of)))
            continue;
        if (n++)
            flow_word(f, "and", NULL);
        put_measured(l, &(struct mark){.measure = m->measure}, m, f);
        buf_printf(&text, "(the %s of %zu)",
                   isnan(measure_off(&m->measure)) ? "first" : "furthest off", of);
        if (of > 1)
            flow_text(f, text.p);
        buf_free(&text);
    }
    return n > 0;
}

/* The oldest moment that makes the line open, or back. */
static const struct report_moment *open_from(const struct fixes_line *l)
{
    const struct rank_item *i = l->item;
    const struct report_moment *m;
    for (size_t at = 0; (m = fixes_next(l, &at));) {
        const bool after =
            m->at.clip > i->newest_clean.clip ||
            (m->at.clip == i->newest_clean.clip && m->at.at_us > i->newest_clean.at_us);
        if (!i->back || after)
            return m;
    }
    return NULL;
}

void fixes_since(const struct fixes_line *l, struct buf *out)
{
    const struct rank_item *i = l->item;
    if (i->praise) {
        buf_str(out, l->r->clips[i->first.clip].date);
    } else if (i->state == MARK_OPEN) {
        const struct report_moment *m = open_from(l);
        buf_str(out, m ? l->r->clips[m->at.clip].date : "");
    } else {
        buf_printf(out, "%.10s", i->state_at);
    }
}

void fixes_state(const struct fixes_line *l, struct flow *f)
{
    const struct rank_item *i = l->item;
    struct buf text = {0}, since = {0};
    fixes_since(l, &since);
    buf_str(&text, i->back ? "back" : mark_state_name(i->state));
    if (since.n)
        buf_printf(&text, "%s %s", i->state == MARK_OPEN ? " since" : "", since.p);
    buf_free(&since);
    if (i->back)
        buf_printf(&text, ", clean in %s", l->r->clips[i->newest_clean.clip].label);
    else if (i->state != MARK_OPEN && *i->state_by)
        buf_printf(&text, " (%s)", i->state_by);
    if (i->state == MARK_OPEN && i->repped)
        buf_printf(&text, ", %d of %d repped", i->repped, i->marks);
    if (i->marks && i->clean)
        buf_printf(&text, ", %d more clean", i->clean);
    flow_text(f, buf_text(&text));
    buf_free(&text);
}

void fixes_often(const struct fixes_line *l, struct flow *f)
{
    const struct rank_item *i = l->item;
    struct buf text = {0};
    const int marks = i->praise || i->marks == 0 ? rank_seen(i) : i->marks;
    buf_printf(&text, "%d mark%s", marks, marks == 1 ? "" : "s");
    if (l->r->n_runs > 1)
        buf_printf(&text, " in %d of %d runs", i->runs, l->r->n_runs);
    flow_text(f, buf_text(&text));
    buf_free(&text);
}
