/* What a line of a fix list says, a row for each column: CSV, JSON, --help and the man page follow. */
#include "paper/fixes.h"

#include "base/number.h"
#include "paper/json.h"
#include "paper/paper.h"

static const struct fault *fault_of(const struct fixes_line *l)
{
    return &l->r->show->faults[l->item->fault];
}

static void list_name(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, l->item->praise ? "keep" : l->part == &l->r->own ? "fix" : "with");
}

static void target(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out,
            l->part == &l->r->own ? report_for(l->r) : l->r->show->sections[l->part->section].name);
}

static void fault(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, fault_of(l)->name);
}

static void family(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, fault_of(l)->family);
}

static void cause(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, cause_name(l->item->cause));
}

static void state(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, mark_state_name(l->item->state));
}

static void sets(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    sets_text(l->r->show, l->item, 999, out);
}

static void performers(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    who_text(l->r->show, l->item, 999, out);
}

static void first_clip(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, l->r->clips[l->item->first.clip].label);
}

static void first_link(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    moment_link(l->r->clips[l->item->first.clip].link, l->item->first.at_us, out);
}

static void worst_clip(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, l->r->clips[l->item->worst.clip].label);
}

static void worst_link(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    moment_link(l->r->clips[l->item->worst.clip].link, l->item->worst.at_us, out);
}

static void right(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    buf_str(out, fault_of(l)->right);
}

static void first_at(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    put_seconds(out, l->item->first.at_us, false);
}

static void worst_at(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    put_seconds(out, l->item->worst.at_us, false);
}

static bool rank(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->rank;
    return true;
}

static bool marks(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->praise ? l->item->marks + l->item->clean : l->item->marks;
    return true;
}

static bool runs(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->runs;
    return true;
}

static bool runs_total(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = (double)l->r->n_clips;
    return true;
}

static bool severity(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->severity;
    return true;
}

static bool back(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->back;
    return true;
}

static bool rate(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->rate;
    return l->item->rated;
}

static bool rate_low(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->rate_low;
    return l->item->rated;
}

static bool rate_high(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->rate_high;
    return l->item->rated;
}

static bool late(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->late;
    return l->item->timed;
}

static bool late_error(const void *row, double *out)
{
    const struct fixes_line *l = row;
    *out = l->item->late_error;
    return l->item->timed;
}

/* --- members of JSON that are lists, or null ---------------------------------------------------- */

static json_t *text_or_null(const char *s)
{
    return *s ? json_text(s) : json_null();
}

static void state_by(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_object_set_new(o, "state_by", text_or_null(l->item->state_by));
    json_object_set_new(o, "state_at", text_or_null(l->item->state_at));
}

static void performers_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->item->n_who; i++) {
        if (!l->item->who[i].performer)
            continue;
        const struct performer *p = &l->r->show->performers[l->item->who[i].position];
        json_t *one = json_object();
        json_object_set_new(one, "performer", json_text(p->label));
        json_object_set_new(one, "name", l->style->labels_only ? json_null() : json_text(p->name));
        json_object_set_new(one, "marks", json_integer(l->item->who[i].marks));
        json_array_append_new(list, one);
    }
    json_object_set_new(o, "performers", list);
}

static void sections_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->item->n_who; i++) {
        if (l->item->who[i].performer)
            continue;
        json_t *one = json_object();
        json_object_set_new(one, "section",
                            json_text(l->r->show->sections[l->item->who[i].position].name));
        json_object_set_new(one, "marks", json_integer(l->item->who[i].marks));
        json_array_append_new(list, one);
    }
    json_object_set_new(o, "sections", list);
}

static void moments_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    struct buf link = {0};
    for (size_t i = 0; i < l->part->n_moments; i++) {
        const struct report_moment *m = &l->part->moments[i];
        if (m->fault != l->item->fault || m->praise != l->item->praise)
            continue;
        const struct report_clip *c = &l->r->clips[m->at.clip];
        buf_clear(&link);
        moment_link(c->link, m->at.at_us, &link);
        json_t *one = json_object();
        json_object_set_new(one, "clip", json_text(c->label));
        json_object_set_new(one, "ms", json_integer(ms_of_us(m->at.at_us)));
        json_place(one, l->r->show, m->set, m->count);
        json_object_set_new(one, "link", json_text(buf_text(&link)));
        json_object_set_new(one, "note", json_text(m->note));
        json_object_set_new(one, "mark", json_integer(m->mark));
        json_array_append_new(list, one);
    }
    buf_free(&link);
    json_object_set_new(o, "moments", list);
}

/* The letters of the brackets that join this line with its neighbours. */
static void joined(const void *row, struct buf *out)
{
    rank_joined_text(((const struct fixes_line *)row)->item, out);
}

/* Marks of this line, clip by clip, with the minutes that were watched. */
static void history(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->r->n_clips; i++) {
        const struct report_clip *c = &l->r->clips[i];
        json_t *one = json_object();
        json_object_set_new(one, "clip", json_text(c->label));
        json_object_set_new(one, "date", json_text(c->date));
        json_object_set_new(one, "marks", json_integer(l->item->per_clip[i]));
        json_object_set_new(one, "watched_minutes",
                            c->watched_min > 0 ? json_real(c->watched_min) : json_null());
        json_array_append_new(list, one);
    }
    json_object_set_new(o, "history", list);
}

static void sets_json(const void *row, json_t *o)
{
    const struct fixes_line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->item->n_sets; i++)
        json_array_append_new(list, json_text(l->r->show->sets[l->item->sets[i]].label));
    json_object_set_new(o, "sets", list);
}

const struct column fixes_columns[] = {
    {.name = "list",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = list_name,
     .help = "fix, keep (to be kept), or with (of the sections above)"},
    {.name = "target",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = target,
     .help = "whose list it is"},
    {.name = "rank",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = rank,
     .help = "1 is seen most often"},
    {.name = "fault", .kind = COLUMN_TEXT, .where = IN_BOTH, .cell = fault, .help = "the fault"},
    {.name = "family", .kind = COLUMN_TEXT, .where = IN_BOTH, .cell = family, .help = "its family"},
    {.name = "marks",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = marks,
     .help = "how often it was marked"},
    {.name = "runs",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = runs,
     .help = "in how many of the clips"},
    {.name = "runs_total",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = runs_total,
     .help = "how many clips there are"},
    {.name = "severity",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = severity,
     .help = "the worst, 1 to 3"},
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
    {.name = "state_by",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = state_by,
     .help = "who said so, and when (state_at)"},
    {.name = "back",
     .kind = COLUMN_TRUTH,
     .where = IN_JSON,
     .number = back,
     .help = "was clean and came back"},
    {.name = "sets",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = sets,
     .help = "where in the drill"},
    {.name = "sets", .kind = COLUMN_TEXT, .where = IN_JSON, .json = sets_json, .help = ""},
    {.name = "performers",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = performers,
     .help = "who, with how many marks"},
    {.name = "performers",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = performers_json,
     .help = ""},
    {.name = "sections",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = sections_json,
     .help = "sections marked as a whole"},
    {.name = "first_clip",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = first_clip,
     .help = "where it was seen first"},
    {.name = "first", .kind = COLUMN_NUMBER, .where = IN_CSV, .cell = first_at, .help = "seconds"},
    {.name = "first_link",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = first_link,
     .help = "the clip at that moment"},
    {.name = "worst_clip",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = worst_clip,
     .help = "where it was worst"},
    {.name = "worst", .kind = COLUMN_NUMBER, .where = IN_CSV, .cell = worst_at, .help = "seconds"},
    {.name = "worst_link",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = worst_link,
     .help = "the clip at that moment"},
    {.name = "rate",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = rate,
     .format = "%.6g",
     .help = "marks in ten minutes watched"},
    {.name = "rate_low",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = rate_low,
     .format = "%.6g",
     .help = "its 95 % interval, for marks that come singly"},
    {.name = "rate_high",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = rate_high,
     .format = "%.6g",
     .help = "its 95 % interval"},
    {.name = "joined",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .cell = joined,
     .help = "brackets of lines about as frequent"},
    {.name = "late_counts",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = late,
     .format = "%.1f",
     .help = "of the mark that is furthest off, counts; negative is early"},
    {.name = "late_error",
     .kind = COLUMN_NUMBER,
     .where = IN_JSON,
     .number = late_error,
     .help = "its half-width, counts"},
    {.name = "history",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = history,
     .help = "clip by clip"},
    {.name = "right",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = right,
     .help = "what right looks like"},
    {.name = "moments",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = moments_json,
     .help = "every moment, with note and link"},
    {.name = NULL},
};
