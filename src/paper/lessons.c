#include "paper/lessons.h"

#include "paper/flow.h"
#include "paper/json.h"
#include "paper/table.h"

struct line {
    const struct show *show;
    const struct lesson *l;
};

static const struct lesson *lesson_of(const void *row)
{
    return ((const struct line *)row)->l;
}

static void kind_cell(const void *row, struct buf *out)
{
    buf_str(out, lesson_of(row)->section ? "section" : "fault");
}

static void name_cell(const void *row, struct buf *out)
{
    const struct lesson *l = lesson_of(row);
    const struct show *show = ((const struct line *)row)->show;
    buf_str(out, l->section ? show->sections[l->of].name : show->faults[l->of].name);
}

static void words_cell(const void *row, struct buf *out)
{
    buf_str(out, lesson_of(row)->words);
}

static bool corrections(const void *row, double *out)
{
    *out = (double)lesson_of(row)->n;
    return true;
}

static void quote_cell(const void *row, struct buf *out)
{
    buf_str(out, lesson_of(row)->quote);
}

const struct column lessons_columns[] = {
    {.name = "kind",
     .help = "fault, or section",
     .where = IN_BOTH,
     .kind = COLUMN_TEXT,
     .cell = kind_cell},
    {.name = "name",
     .help = "the fault or section that could learn the words",
     .where = IN_BOTH,
     .kind = COLUMN_TEXT,
     .cell = name_cell},
    {.name = "words",
     .help = "the words, one to three, as they were said",
     .where = IN_BOTH,
     .kind = COLUMN_TEXT,
     .cell = words_cell},
    {.name = "corrections",
     .help = "how many drafts that were put right hold them",
     .where = IN_BOTH,
     .kind = COLUMN_WHOLE,
     .number = corrections},
    {.name = "quote",
     .help = "one of these, as it was said",
     .where = IN_BOTH,
     .kind = COLUMN_TEXT,
     .cell = quote_cell},
    {0},
};

/* --- writers ------------------------------------------------------------------------------------ */

void lessons_csv(const struct show *show, const struct lessons *l, struct buf *out)
{
    table_csv_head(lessons_columns, out);
    for (size_t i = 0; i < l->n; i++)
        table_csv_row(lessons_columns, &(struct line){show, &l->at[i]}, out);
}

void lessons_json(const struct show *show, const struct lessons *l, struct buf *out)
{
    json_t *all = json_array();
    for (size_t i = 0; i < l->n; i++)
        json_array_append_new(all, table_json(lessons_columns, &(struct line){show, &l->at[i]}));
    json_put(all, out);
}

static void put_lesson(const struct line *x, struct buf *out)
{
    enum { WIDTH = 79, IN = 4 };
    struct buf text = {0};
    struct flow f = flow_from(out, WIDTH, 0, IN);
    name_cell(x, &text);
    buf_printf(&text, ": '%s', by %zu correction%s", x->l->words, x->l->n, x->l->n == 1 ? "" : "s");
    flow_text(&f, text.p);
    flow_end(&f);
    buf_clear(&text);
    buf_printf(&text, "\"%s\"", x->l->quote);
    buf_str(out, "    ");
    f = flow_from(out, WIDTH, IN, IN);
    flow_text(&f, text.p);
    flow_end(&f);
    buf_free(&text);
}

void lessons_text(const struct show *show, const struct lessons *l, struct buf *out)
{
    for (size_t i = 0; i < l->n; i++)
        put_lesson(&(struct line){show, &l->at[i]}, out);
}
