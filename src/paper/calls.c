/* The call list: what was said about one clip, in time order. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/json.h"
#include "paper/table.h"

struct line {
    const struct call_report *r;
    const struct mark *m;
};

static void clip(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->r->clip.label);
}

static void seconds(const void *row, struct buf *out)
{
    const struct line *l = row;
    put_seconds(out, l->m->at_us, true); /* so that `add marks` finds the mark again */
}

static void clock_time(const void *row, struct buf *out)
{
    const struct line *l = row;
    char text[24];
    struct rate rate = rate_standard(l->r->fps_num, l->r->fps_den);
    if (!l->r->timecode || !rate.num ||
        !smpte_format(frame_at(l->m->at_us, rate), rate, rate_drops(rate), text))
        time_format(l->m->at_us, text);
    buf_str(out, text);
}

static void set(const void *row, struct buf *out)
{
    const struct line *l = row;
    const struct place_said p = place_said(l->r->show, l->m->set, l->m->count);
    if (p.kind != PLACE_NONE)
        buf_str(out, l->r->show->sets[p.set].label);
}

static void count(const void *row, struct buf *out)
{
    const struct line *l = row;
    const struct place_said p = place_said(l->r->show, l->m->set, l->m->count);
    if (p.kind == PLACE_COUNT)
        buf_printf(out, "%.3f", p.count);
    else if (p.kind == PLACE_HOLD && p.count > 0)
        buf_printf(out, "%.0f and holding", p.count);
    else
        buf_str(out, p.kind == PLACE_HOLD ? "holding" : p.kind == PLACE_END ? "end" : "");
}

/* The list form that `add marks` reads. */
static void target(const void *row, struct buf *out)
{
    const struct line *l = row;
    for (size_t i = 0; i < l->m->n_targets; i++) {
        if (i)
            buf_char(out, ';');
        targets_text(l->r->show, &l->m->targets[i], 1, out);
    }
}

static void fault(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->r->show->faults[l->m->fault].name);
}

static void cause(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, cause_name(l->m->cause));
}

static void state(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, mark_state_name(l->m->state));
}

static void note(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->m->note);
}

static void author(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->m->author);
}

static bool id(const void *row, double *out)
{
    const struct line *l = row;
    *out = (double)l->m->id;
    return true;
}

static bool praise(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->m->praise;
    return true;
}

static bool severity(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->m->severity;
    return true;
}

static void late_counts(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->m->timed)
        put_exact(l->m->late_counts, out);
}

static void late_error(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->m->timed)
        put_exact(l->m->late_error, out);
}

static const struct measure *measure_of(const void *row)
{
    return &((const struct line *)row)->m->measure;
}

static void put_known(const struct measure *m, double x, struct buf *out)
{
    if (m->kind != MEASURE_NONE && isfinite(x))
        put_exact(x, out);
}

static void measure_kind(const void *row, struct buf *out)
{
    buf_str(out, measure_name(measure_of(row)->kind));
}

static void measure_value(const void *row, struct buf *out)
{
    put_known(measure_of(row), measure_of(row)->value, out);
}

static void measure_error(const void *row, struct buf *out)
{
    put_known(measure_of(row), measure_of(row)->error, out);
}

static void measure_target(const void *row, struct buf *out)
{
    put_known(measure_of(row), measure_of(row)->of, out);
}

static void across(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->m->on_field)
        put_exact(l->m->x, out);
}

static void depth(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->m->on_field)
        put_exact(l->m->y, out);
}

static void end(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->m->end_us >= 0)
        put_seconds(out, l->m->end_us, true);
}

static void link(const void *row, struct buf *out)
{
    const struct line *l = row;
    moment_link(l->r->clip.link, l->m->at_us, out);
}

static void ms_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_object_set_new(o, "ms", json_integer(ms_of_us(l->m->at_us)));
}

static void end_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_object_set_new(o, "end_ms",
                        l->m->end_us >= 0 ? json_integer(ms_of_us(l->m->end_us)) : json_null());
}

static void place_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_place(o, l->r->show, l->m->set, l->m->count);
}

static void targets_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_t *list = json_array();
    for (size_t k = 0; k < l->m->n_targets; k++) {
        const struct target *t = &l->m->targets[k];
        json_array_append_new(list, json_text(t->performer >= 0
                                                  ? l->r->show->performers[t->performer].label
                                                  : l->r->show->sections[t->section].name));
    }
    json_object_set_new(o, "targets", list);
}

static void measured_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_measured(o, l->r->show, l->m);
}

const struct column calls_columns[] = {
    {.name = "id", .kind = COLUMN_WHOLE, .where = IN_BOTH, .number = id, .help = "the mark"},
    {.name = "clip",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = clip,
     .help = "label of the clip"},
    {.name = "time",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = seconds,
     .help = "seconds from the beginning of the clip"},
    {.name = "ms", .kind = COLUMN_WHOLE, .where = IN_JSON, .json = ms_json, .help = "milliseconds"},
    {.name = "set",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = set,
     .help = "where in the drill"},
    {.name = "count",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = count,
     .help = "its count; '16 and holding' in the hold after it, or end"},
    {.name = "set", .kind = COLUMN_TEXT, .where = IN_JSON, .json = place_json, .help = ""},
    {.name = "target",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = target,
     .help = "section or performers, apart by ;"},
    {.name = "targets", .kind = COLUMN_TEXT, .where = IN_JSON, .json = targets_json, .help = ""},
    {.name = "fault", .kind = COLUMN_TEXT, .where = IN_BOTH, .cell = fault, .help = "the fault"},
    {.name = "praise",
     .kind = COLUMN_TRUTH,
     .where = IN_BOTH,
     .number = praise,
     .help = "yes: to be kept"},
    {.name = "severity",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = severity,
     .help = "1 to 3"},
    {.name = "cause",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = cause,
     .help = "execute, or define"},
    {.name = "state",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = state,
     .help = "open, repped or clean"},
    {.name = "note", .kind = COLUMN_TEXT, .where = IN_BOTH, .cell = note, .help = "what was said"},
    {.name = "author",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = author,
     .help = "who marked it"},
    {.name = "late_counts",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = late_counts,
     .help = "measured; negative is early"},
    {.name = "late_error",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = late_error,
     .help = "its half-width, counts"},
    {.name = "measure",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = measure_kind,
     .help = "what was measured: interval, distance, line, arc, place, step size, speed, angle"},
    {.name = "measure_value",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = measure_value,
     .help = "steps of 22.5 in; n to 5; feet a second; degrees"},
    {.name = "measure_error",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = measure_error,
     .help = "half of its 95 % interval"},
    {.name = "measure_of",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = measure_target,
     .help = "what it should be"},
    {.name = "across",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = across,
     .help = "where on the field: steps from the 50, side 2 positive"},
    {.name = "depth",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = depth,
     .help = "steps from the front sideline"},
    {.name = "late_counts",
     .kind = COLUMN_NUMBER,
     .where = IN_JSON,
     .json = measured_json,
     .help = ""},
    {.name = "end",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .cell = end,
     .help = "seconds, of a mark that goes on for a while"},
    {.name = "end_ms", .kind = COLUMN_WHOLE, .where = IN_JSON, .json = end_json, .help = ""},
    {.name = "link",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = link,
     .help = "the clip at that moment"},
    {.name = NULL},
};

void calls_csv(const struct call_report *r, struct buf *out)
{
    table_csv_head(calls_columns, out);
    for (size_t i = 0; i < r->n_marks; i++)
        table_csv_row(calls_columns, &(struct line){r, &r->marks[i]}, out);
}

static void end_line(struct buf *out)
{
    while (out->n && out->p[out->n - 1] == ' ')
        out->p[--out->n] = '\0';
    buf_char(out, '\n');
}

static const struct {
    int most; /* columns; 0: as many as the widest cell has */
    void (*cell)(const void *row, struct buf *out);
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
    struct buf cell = {0}, figures = {0};
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
    measured_text(l->r->show, l->m, &figures);
    if (figures.n)
        buf_printf(&cell, "%s%s", cell.n ? "; " : "", figures.p);
    buf_free(&figures);
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
    for (size_t i = 0; i < r->n_marks; i++)
        json_array_append_new(list, table_json(calls_columns, &(struct line){r, &r->marks[i]}));
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
        buf_str(out, r->cues ? r->cues : "");
        buf_char(out, '\n');
        buf_clear(&who);
        targets_text(r->show, m->targets, m->n_targets, &who);
        vtt_text(buf_text(&who), out);
        buf_str(out, m->praise ? ": keep " : ": ");
        vtt_text(r->show->faults[m->fault].name, out);
        buf_clear(&who);
        measured_text(r->show, m, &who);
        if (who.n) {
            buf_str(out, "\n");
            vtt_text(who.p, out);
        }
        if (*m->note) {
            buf_str(out, "\n");
            vtt_text(m->note, out);
        }
        buf_char(out, '\n');
    }
    buf_free(&who);
}
