/* The call list: what was said about one clip, in time order. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/json.h"

struct line {
    const struct call_report *r;
    const struct mark *m;
};

typedef void cell_fn(const struct line *, struct buf *);

static void id(const struct line *l, struct buf *out)
{
    buf_printf(out, "%lld", (long long)l->m->id);
}
static void clip(const struct line *l, struct buf *out)
{
    buf_str(out, l->r->clip.label);
}
static void seconds(const struct line *l, struct buf *out)
{
    put_seconds(out, l->m->at_us, true); /* so that `add marks` finds the mark again */
}
static void clock_time(const struct line *l, struct buf *out)
{
    char text[24];
    struct rate rate = rate_standard(l->r->fps_num, l->r->fps_den);
    if (!l->r->timecode || !rate.num ||
        !smpte_format(frame_at(l->m->at_us, rate), rate, rate_drops(rate), text))
        time_format(l->m->at_us, text);
    buf_str(out, text);
}
static void set(const struct line *l, struct buf *out)
{
    const struct place_said p = place_said(l->r->show, l->m->set, l->m->count);
    if (p.kind != PLACE_NONE)
        buf_str(out, l->r->show->sets[p.set].label);
}
static void count(const struct line *l, struct buf *out)
{
    const struct place_said p = place_said(l->r->show, l->m->set, l->m->count);
    if (p.kind == PLACE_COUNT)
        buf_printf(out, "%.3f", p.count);
    else
        buf_str(out, p.kind == PLACE_HOLD ? "hold" : p.kind == PLACE_END ? "end" : "");
}
static void target(const struct line *l, struct buf *out) /* the list form that `add marks` reads */
{
    for (size_t i = 0; i < l->m->n_targets; i++) {
        if (i)
            buf_char(out, ';');
        targets_text(l->r->show, &l->m->targets[i], 1, out);
    }
}
static void fault(const struct line *l, struct buf *out)
{
    buf_str(out, l->r->show->faults[l->m->fault].name);
}
static void praise(const struct line *l, struct buf *out)
{
    buf_str(out, l->m->praise ? "yes" : "");
}
static void severity(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->m->severity);
}
static void cause(const struct line *l, struct buf *out)
{
    buf_str(out, cause_name(l->m->cause));
}
static void state(const struct line *l, struct buf *out)
{
    buf_str(out, mark_state_name(l->m->state));
}
static void note(const struct line *l, struct buf *out)
{
    buf_str(out, l->m->note);
}
static void author(const struct line *l, struct buf *out)
{
    buf_str(out, l->m->author);
}
/* The shortest that reads back as the same number. */
static void put_exact(double x, struct buf *out)
{
    char text[40];
    for (int digits = 3; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, x);
        if (strtod(text, NULL) == x)
            break;
    }
    buf_str(out, text);
}
static void late_counts(const struct line *l, struct buf *out)
{
    if (l->m->timed)
        put_exact(l->m->late_counts, out);
}
static void late_error(const struct line *l, struct buf *out)
{
    if (l->m->timed)
        put_exact(l->m->late_error, out);
}
static void link(const struct line *l, struct buf *out)
{
    moment_link(l->r->clip.link, l->m->at_us, out);
}

static const struct {
    const char *title;
    cell_fn *cell;
} columns[] = {
    {"id", id},
    {"clip", clip},
    {"time", seconds},
    {"set", set},
    {"count", count},
    {"target", target},
    {"fault", fault},
    {"praise", praise},
    {"severity", severity},
    {"cause", cause},
    {"state", state},
    {"note", note},
    {"author", author},
    {"late_counts", late_counts},
    {"late_error", late_error},
    {"link", link},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

void calls_csv(const struct call_report *r, struct buf *out)
{
    struct buf cell = {0};
    for (int k = 0; k < COLUMNS; k++)
        csv_cell(out, columns[k].title, k == 0);
    csv_end(out);
    for (size_t i = 0; i < r->n_marks; i++) {
        struct line l = {r, &r->marks[i]};
        for (int k = 0; k < COLUMNS; k++) {
            buf_clear(&cell);
            columns[k].cell(&l, &cell);
            csv_cell(out, buf_text(&cell), k == 0);
        }
        csv_end(out);
    }
    buf_free(&cell);
}

static void end_line(struct buf *out)
{
    while (out->n && out->p[out->n - 1] == ' ')
        out->p[--out->n] = '\0';
    buf_char(out, '\n');
}

static const struct {
    int most; /* columns; 0: as many as the widest cell has */
    cell_fn *cell;
} shown[] = {{0, clock_time}, {40, target}, {0, fault}};
enum { SHOWN = sizeof shown / sizeof *shown };

static void widths(const struct call_report *r, int out[SHOWN])
{
    struct buf cell = {0};
    for (int k = 0; k < SHOWN; k++) {
        out[k] = 0;
        for (size_t i = 0; i < r->n_marks; i++) {
            buf_clear(&cell);
            shown[k].cell(&(struct line){r, &r->marks[i]}, &cell);
            int w = text_width(buf_text(&cell));
            out[k] = w > out[k] ? w : out[k];
        }
        if (shown[k].most && out[k] > shown[k].most)
            out[k] = shown[k].most;
    }
    buf_free(&cell);
}

static void put_call(const struct line *l, const int width[SHOWN], struct buf *out)
{
    struct buf cell = {0};
    for (int k = 0; k < SHOWN; k++) {
        buf_clear(&cell);
        shown[k].cell(l, &cell);
        pad_text(out, buf_text(&cell), width[k]);
        buf_char(out, ' ');
    }
    pad_text(out,
             l->m->praise          ? "keep"
             : l->m->severity == 3 ? "!!!"
             : l->m->severity == 2 ? "!!"
                                   : "!",
             5);
    buf_clear(&cell);
    place_text(l->r->show, l->m->set, l->m->count, &cell);
    if (*l->m->note)
        buf_printf(&cell, "%s%s", cell.n ? "; " : "", l->m->note);
    put_text(out, buf_text(&cell));
    end_line(out);
    buf_free(&cell);
}

void calls_text(const struct call_report *r, struct buf *out)
{
    int width[SHOWN];
    widths(r, width);
    buf_str(out, "Calls: ");
    put_text(out, r->clip.label);
    buf_printf(out, " (%s)   ", r->clip.date);
    put_text(out, r->title);
    buf_printf(out, "\n%zu mark%s\n\n", r->n_marks, r->n_marks == 1 ? "" : "s");
    for (size_t i = 0; i < r->n_marks; i++)
        put_call(&(struct line){r, &r->marks[i]}, width, out);
}

void calls_json(const struct call_report *r, struct buf *out)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->n_marks; i++) {
        const struct mark *m = &r->marks[i];
        json_t *o = json_object(), *targets = json_array();
        for (size_t k = 0; k < m->n_targets; k++) {
            const struct target *t = &m->targets[k];
            json_array_append_new(targets, json_text(t->performer >= 0
                                                         ? r->show->performers[t->performer].label
                                                         : r->show->sections[t->section].name));
        }
        json_object_set_new(o, "id", json_integer(m->id));
        json_object_set_new(o, "clip", json_text(r->clip.label));
        json_object_set_new(o, "ms", json_integer(ms_of_us(m->at_us)));
        json_place(o, r->show, m->set, m->count);
        json_object_set_new(o, "targets", targets);
        json_object_set_new(o, "fault", json_text(r->show->faults[m->fault].name));
        json_object_set_new(o, "praise", json_boolean(m->praise));
        json_object_set_new(o, "severity", json_integer(m->severity));
        json_object_set_new(o, "cause", json_text(cause_name(m->cause)));
        json_object_set_new(o, "state", json_text(mark_state_name(m->state)));
        json_object_set_new(o, "note", json_text(m->note));
        json_object_set_new(o, "author", json_text(m->author));
        json_object_set_new(o, "late_counts", m->timed ? json_real(m->late_counts) : json_null());
        json_object_set_new(o, "late_error", m->timed ? json_real(m->late_error) : json_null());
        json_array_append_new(list, o);
    }
    json_put(list, out);
}

/* WebVTT (W3C): hh:mm:ss.ttt, '&' '<' '>' escaped, so no cue text can hold a '-->'. */
static void vtt_time(int64_t us, struct buf *out)
{
    const long long ms = ms_of_us(us);
    buf_printf(out, "%02lld:%02lld:%02lld.%03lld", ms / 3600000, ms / 60000 % 60, ms / 1000 % 60,
               ms % 1000);
}

static void vtt_text(const char *s, struct buf *out)
{
    for (; *s; s++) {
        if (*s == '&')
            buf_str(out, "&amp;");
        else if (*s == '<')
            buf_str(out, "&lt;");
        else if (*s == '>')
            buf_str(out, "&gt;");
        else
            buf_char(out, (unsigned char)*s < 0x20 ? ' ' : *s);
    }
}

void calls_vtt(const struct call_report *r, struct buf *out)
{
    struct buf who = {0};
    buf_str(out, "WEBVTT\n");
    for (size_t i = 0; i < r->n_marks; i++) {
        const struct mark *m = &r->marks[i];
        buf_printf(out, "\nmark-%lld\n", (long long)m->id);
        vtt_time(m->at_us > MARK_LEAD_IN_US ? m->at_us - MARK_LEAD_IN_US : 0, out);
        buf_str(out, " --> ");
        vtt_time(us_sum(m->at_us > 0 ? m->at_us : 0, MARK_TAIL_US), out);
        buf_char(out, '\n');
        buf_clear(&who);
        targets_text(r->show, m->targets, m->n_targets, &who);
        vtt_text(buf_text(&who), out);
        buf_str(out, m->praise ? ": keep " : ": ");
        vtt_text(r->show->faults[m->fault].name, out);
        if (*m->note) {
            buf_str(out, "\n");
            vtt_text(m->note, out);
        }
        buf_char(out, '\n');
    }
    buf_free(&who);
}
