#include "paper/made_sets.h"

#include <stdio.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/paper.h"
#include "paper/table.h"

/* --- CSV ------------------------------------------------------------------------------------- */

static void label(const void *row, struct buf *out)
{
    buf_str(out, ((const struct set *)row)->label);
}

static void name(const void *row, struct buf *out)
{
    buf_str(out, ((const struct set *)row)->name);
}

static bool counts(const void *row, double *x)
{
    *x = ((const struct set *)row)->counts;
    return true;
}

static bool tempo(const void *row, double *x)
{
    *x = ((const struct set *)row)->tempo;
    return *x > 0;
}

static bool tempo_end(const void *row, double *x)
{
    const struct set *s = row;
    *x = s->tempo_end;
    return *x > 0 && s->tempo_end != s->tempo;
}

static bool hold(const void *row, double *x)
{
    *x = ((const struct set *)row)->hold;
    return *x > 0;
}

static bool measures(const void *row, double *x)
{
    *x = ((const struct set *)row)->measures;
    return *x > 0;
}

static const struct column columns[] = {
    {.name = "set", .kind = COLUMN_TEXT, .where = IN_CSV, .cell = label},
    {.name = "counts", .kind = COLUMN_WHOLE, .where = IN_CSV, .number = counts},
    {.name = "tempo", .kind = COLUMN_NUMBER, .where = IN_CSV, .number = tempo},
    {.name = "tempo_end", .kind = COLUMN_NUMBER, .where = IN_CSV, .number = tempo_end},
    {.name = "hold", .kind = COLUMN_NUMBER, .where = IN_CSV, .number = hold},
    {.name = "measures", .kind = COLUMN_WHOLE, .where = IN_CSV, .number = measures},
    {.name = "name", .kind = COLUMN_TEXT, .where = IN_CSV, .cell = name},
    {.name = NULL},
};

void made_sets_csv(const struct set_list *l, struct buf *out)
{
    table_csv_head(columns, out);
    for (size_t i = 0; i < l->n; i++)
        table_csv_row(columns, &l->at[i], out);
}

/* --- text ------------------------------------------------------------------------------------ */

static const char *tempo_said(const struct set *s, char out[40])
{
    if (s->tempo <= 0)
        snprintf(out, 40, "-");
    else if (s->tempo == s->tempo_end)
        snprintf(out, 40, "%.10g", s->tempo);
    else
        snprintf(out, 40, "%.10g to %.10g", s->tempo, s->tempo_end);
    return out;
}

static const char *time_said(double s, char out[24])
{
    time_format_short(us_of_seconds(s), out);
    return out;
}

static void put_row(const struct set *s, const struct set_place *p, struct buf *out)
{
    char bpm[40], at[24], takes[24];
    buf_str(out, "  ");
    pad_text(out, s->label, 9);
    buf_printf(out, "%6d  ", s->counts);
    pad_text(out, tempo_said(s, bpm), 22);
    buf_printf(out, "%4d  ", s->measures);
    pad_text(out, p->measure, 6);
    buf_printf(out, "%8s %8s", time_said(p->s, at), time_said(p->seconds, takes));
    if (*s->name) {
        buf_str(out, "  ");
        pad_text(out, s->name, text_width(s->name));
    }
    buf_char(out, '\n');
}

void made_sets_text(const struct score *score, const struct sets_made *made, struct buf *out)
{
    char length[24];
    if (*score->title)
        buf_printf(out, "%s: ", score->title);
    buf_printf(out, "%zu measure%s", score->n_measures, score->n_measures == 1 ? "" : "s");
    if (score->n_tempos)
        buf_printf(out, ", %s", time_said(score_seconds(score, score->length), length));
    buf_printf(out, ", %zu set%s:\n", made->list.n, made->list.n == 1 ? "" : "s");
    buf_printf(out, "  %-9s%6s  %-22s%4s  %-6s%8s %8s  %s\n", "set", "counts", "tempo", "bars",
               "from", "at", "takes", "name");
    for (size_t i = 0; i < made->list.n; i++)
        put_row(&made->list.at[i], &made->place[i], out);
    for (size_t i = 0; i < made->n_said; i++)
        buf_printf(out, "look again: %s\n", made->said[i]);
}
