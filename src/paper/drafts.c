#include "paper/drafts.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "count/timecode.h"
#include "mark/mark.h"
#include "paper/flow.h"
#include "paper/json.h"
#include "paper/paper.h"
#include "paper/table.h"

struct line {
    const struct show *show;
    const struct draft *d;
};

static const struct draft *draft_of(const void *row)
{
    return ((const struct line *)row)->d;
}

static const char *target_name(const struct line *l, size_t i)
{
    const struct draft_target *t = &l->d->targets[i];
    return t->performer >= 0 ? l->show->performers[t->performer].label
                             : l->show->sections[t->section].name;
}

/* --- columns ------------------------------------------------------------------------------------ */

static void time_cell(const void *row, struct buf *out)
{
    put_seconds(out, draft_of(row)->at_us, true);
}

static void end_cell(const void *row, struct buf *out)
{
    put_seconds(out, draft_of(row)->end_us, true);
}

static void ms_json(const void *row, json_t *o)
{
    json_object_set_new(o, "ms", json_integer(ms_of_us(draft_of(row)->at_us)));
}

static void end_json(const void *row, json_t *o)
{
    json_object_set_new(o, "end_ms", json_integer(ms_of_us(draft_of(row)->end_us)));
}

static void target_cell(const void *row, struct buf *out)
{
    const struct line *l = row;
    for (size_t i = 0; i < l->d->n_targets; i++)
        buf_printf(out, "%s%s", i ? ";" : "", target_name(l, i));
}

static void targets_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_t *list = json_array();
    for (size_t i = 0; i < l->d->n_targets; i++)
        json_array_append_new(list, json_text(target_name(l, i)));
    json_object_set_new(o, "targets", list);
}

static bool singular(const void *row, double *out)
{
    const struct draft *d = draft_of(row);
    *out = d->one || (d->n_targets == 1 && d->targets[0].performer >= 0);
    return true;
}

static void fault_cell(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->d->fault >= 0)
        buf_str(out, l->show->faults[l->d->fault].name);
}

static bool praise(const void *row, double *out)
{
    *out = draft_of(row)->praise;
    return true;
}

static void cause_cell(const void *row, struct buf *out)
{
    buf_str(out, cause_name(draft_of(row)->cause));
}

static void size_cell(const void *row, struct buf *out)
{
    draft_size(draft_of(row), out);
}

static void size_json(const void *row, json_t *o)
{
    const struct draft *d = draft_of(row);
    json_object_set_new(o, "size",
                        d->unit == DRAFT_NO_SIZE ? json_null()
                                                 : json_pack("{s:f, s:s}", "value", d->size, "unit",
                                                             draft_unit_name(d->unit)));
}

static bool severity(const void *row, double *out)
{
    *out = draft_of(row)->severity;
    return true;
}

static bool confidence(const void *row, double *out)
{
    *out = draft_of(row)->confidence;
    return true;
}

static void quote_cell(const void *row, struct buf *out)
{
    buf_str(out, draft_of(row)->quote);
}

static void words_cell(const void *row, struct buf *out)
{
    const struct draft *d = draft_of(row);
    for (size_t i = 0; i < d->n_words; i++)
        buf_printf(out, "%s%s", i ? "; " : "", d->words[i]);
}

static void words_json(const void *row, json_t *o)
{
    const struct draft *d = draft_of(row);
    json_t *list = json_array();
    for (size_t i = 0; i < d->n_words; i++)
        json_array_append_new(list, json_text(d->words[i]));
    json_object_set_new(o, "words", list);
}

#define SAID(n, h, ...)                                                                            \
    {                                                                                              \
        .name = n, .help = h, __VA_ARGS__                                                          \
    }
const struct column drafts_columns[] = {
    SAID("time", "seconds from the beginning of the clip, the lead taken off", .where = IN_CSV,
         .kind = COLUMN_NUMBER, .cell = time_cell),
    SAID("ms", "the same in milliseconds", .where = IN_JSON, .kind = COLUMN_WHOLE, .json = ms_json),
    SAID("end", "seconds at which the remark ends", .where = IN_CSV, .kind = COLUMN_NUMBER,
         .cell = end_cell),
    SAID("end_ms", "the same in milliseconds", .where = IN_JSON, .kind = COLUMN_WHOLE,
         .json = end_json),
    SAID("target", "sections or performers, apart by ;", .where = IN_CSV, .kind = COLUMN_TEXT,
         .cell = target_cell),
    SAID("targets", "sections or performers", .where = IN_JSON, .kind = COLUMN_TEXT,
         .json = targets_json),
    SAID("singular", "yes: one performer is meant", .where = IN_BOTH, .kind = COLUMN_TRUTH,
         .number = singular),
    SAID("fault", "the fault; none where no fault of the show is recognised", .where = IN_BOTH,
         .kind = COLUMN_MAYBE, .cell = fault_cell),
    SAID("praise", "yes: to be kept", .where = IN_BOTH, .kind = COLUMN_TRUTH, .number = praise),
    SAID("cause", "execute, or define", .where = IN_BOTH, .kind = COLUMN_TEXT, .cell = cause_cell),
    SAID("size", "how far off, as it was said: a value and counts, steps or degrees",
         .where = IN_CSV, .kind = COLUMN_TEXT, .cell = size_cell),
    SAID("size", "", .where = IN_JSON, .kind = COLUMN_TEXT, .json = size_json),
    SAID("severity", "1 to 3", .where = IN_BOTH, .kind = COLUMN_WHOLE, .number = severity),
    SAID("confidence", "0 to 1: how sure it is that this is a remark and what it speaks of",
         .where = IN_BOTH, .kind = COLUMN_NUMBER, .number = confidence, .format = "%.2f",
         .unit = 0.01),
    SAID("quote", "as it was said", .where = IN_BOTH, .kind = COLUMN_TEXT, .cell = quote_cell),
    SAID("words", "which words made it, each behind what it made", .where = IN_CSV,
         .kind = COLUMN_TEXT, .cell = words_cell),
    SAID("words", "", .where = IN_JSON, .kind = COLUMN_TEXT, .json = words_json),
    {0},
};

/* --- writers ------------------------------------------------------------------------------------ */

void drafts_csv(const struct show *show, const struct draft_list *l, struct buf *out)
{
    table_csv_head(drafts_columns, out);
    for (size_t i = 0; i < l->n; i++)
        table_csv_row(drafts_columns, &(struct line){show, &l->at[i]}, out);
}

void drafts_json(const struct show *show, const struct draft_list *l, struct buf *out)
{
    json_t *all = json_array();
    for (size_t i = 0; i < l->n; i++)
        json_array_append_new(all, table_json(drafts_columns, &(struct line){show, &l->at[i]}));
    json_put(all, out);
}

static void put_draft(const struct line *l, struct buf *out)
{
    enum { WIDTH = 79, IN = 10 };
    char time[24];
    struct buf text = {0};
    time_format_short(l->d->at_us, time);
    pad_text(out, time, IN);
    struct flow f = flow_from(out, WIDTH, IN, IN);
    if (l->d->one)
        buf_str(&text, "one of ");
    for (size_t i = 0; i < l->d->n_targets; i++)
        buf_printf(&text, "%s%s", i ? ", " : "", target_name(l, i));
    buf_printf(&text, ": %s%s", l->d->praise ? "keep " : "",
               l->d->fault >= 0 ? l->show->faults[l->d->fault].name : "?");
    buf_str(&text, l->d->unit == DRAFT_NO_SIZE ? "" : ", ");
    draft_size(l->d, &text);
    if (l->d->cause == CAUSE_DEFINE)
        buf_str(&text, ", for the staff to define");
    buf_printf(&text, " [%.2f]", l->d->confidence);
    flow_text(&f, buf_text(&text));
    flow_end(&f);
    buf_clear(&text);
    buf_printf(&text, "'%s'", l->d->quote);
    buf_str(out, "          ");
    f = flow_from(out, WIDTH, IN, IN);
    flow_text(&f, buf_text(&text));
    flow_end(&f);
    buf_free(&text);
}

void drafts_text(const struct show *show, const struct draft_list *l, struct buf *out)
{
    for (size_t i = 0; i < l->n; i++)
        put_draft(&(struct line){show, &l->at[i]}, out);
}
