/* What a line of a fix list says, a row for each column: CSV, JSON, --help and the man page follow. */
#include "paper/fixes.h"

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

static void who(const struct fixes_line *l, int which, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_who(l->r->show, l->item, which, 999, &f);
}

static void performers(const void *row, struct buf *out)
{
    who(row, WHO_PERFORMERS, out);
}

static void sections(const void *row, struct buf *out)
{
    who(row, WHO_SECTIONS, out);
}

static void moments(const void *row, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_where(row, &f);
}

static void notes(const void *row, struct buf *out)
{
    fixes_notes(row, out);
}

static void measured(const void *row, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_measured(row, &f);
}

static void since(const void *row, struct buf *out)
{
    fixes_since(row, out);
}

static void state_by(const void *row, struct buf *out)
{
    buf_str(out, ((const struct fixes_line *)row)->item->state_by);
}

static void state_at(const void *row, struct buf *out)
{
    buf_str(out, ((const struct fixes_line *)row)->item->state_at);
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

static bool first_at(const void *row, double *out)
{
    *out = (double)((const struct fixes_line *)row)->item->first.at_us / 1e6;
    return true;
}

static bool worst_at(const void *row, double *out)
{
    *out = (double)((const struct fixes_line *)row)->item->worst.at_us / 1e6;
    return true;
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
    *out = l->r->n_runs;
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

/* "tuesday 3; thursday 1" */
static void history_text(const void *row, struct buf *out)
{
    const struct fixes_line *l = row;
    for (size_t i = 0; i < l->r->n_clips; i++)
        buf_printf(out, "%s%s %d", i ? "; " : "", l->r->clips[i].label, l->item->per_clip[i]);
}

/* The letters of the brackets that join this line with its neighbours. */
static void joined(const void *row, struct buf *out)
{
    rank_joined_text(((const struct fixes_line *)row)->item, out);
}

const struct column fixes_columns[] = {
    {.name = "list",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
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
     .help = "in how many of the runs"},
    {.name = "runs_total",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = runs_total,
     .help = "how many runs there are; two clips of one run are one"},
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
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = state_by,
     .help = "who said so"},
    {.name = "state_at",
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = state_at,
     .help = "and when"},
    {.name = "since",
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = since,
     .help = "the date from which it is in that state"},
    {.name = "back",
     .kind = COLUMN_TRUTH,
     .where = IN_BOTH,
     .number = back,
     .help = "was clean and came back"},
    {.name = "sets",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = sets,
     .help = "where in the drill"},
    {.name = "sets", .kind = COLUMN_TEXT, .where = IN_JSON, .json = fixes_sets_json, .help = ""},
    {.name = "performers",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = performers,
     .help = "who, with how many marks that are not yet clean"},
    {.name = "performers",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = fixes_performers_json,
     .help = ""},
    {.name = "sections",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = sections,
     .help = "sections marked as a whole"},
    {.name = "sections",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = fixes_sections_json,
     .help = ""},
    {.name = "moments",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = moments,
     .help = "every moment that is not yet clean, by set and count"},
    {.name = "moments",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = fixes_moments_json,
     .help = ""},
    {.name = "notes", .kind = COLUMN_TEXT, .where = IN_BOTH, .cell = notes, .help = "their notes"},
    {.name = "measured",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = measured,
     .help = "what was measured: lateness in counts, and the furthest off of what was measured on "
             "the field"},
    {.name = "first_clip",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = first_clip,
     .help = "where it was seen first"},
    {.name = "first",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = first_at,
     .format = "%.3f",
     .help = "seconds"},
    {.name = "first_link",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = first_link,
     .help = "the clip at that moment"},
    {.name = "worst_clip",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = worst_clip,
     .help = "where it was worst"},
    {.name = "worst",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = worst_at,
     .format = "%.3f",
     .help = "seconds"},
    {.name = "worst_link",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = worst_link,
     .help = "the clip at that moment"},
    {.name = "rate",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = rate,
     .format = "%.6g",
     .help = "marks a watched minute, clean ones too"},
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
     .where = IN_BOTH,
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
     .where = IN_BOTH,
     .number = late_error,
     .format = "%.1f",
     .help = "its half-width, counts"},
    {.name = "history",
     .kind = COLUMN_TEXT,
     .where = IN_CSV,
     .cell = history_text,
     .help = "marks clip by clip"},
    {.name = "history",
     .kind = COLUMN_TEXT,
     .where = IN_JSON,
     .json = fixes_history_json,
     .help = ""},
    {.name = "right",
     .kind = COLUMN_TEXT,
     .where = IN_BOTH,
     .cell = right,
     .help = "what right looks like"},
    {.name = NULL},
};
