/* Marks as a table: all rows or none. */
#include "app/marks.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "app/ties.h"
#include "count/timecode.h"
#include "show/annotations.h"
#include "show/grid.h"
#include "show/table.h"

enum { CLIP, TIME, TARGET, FAULT, NOTE, SEVERITY, CAUSE, PRAISE, AUTHOR, LATE, LATE_ERROR };
enum { MEASURE = LATE_ERROR + 1, VALUE, ERROR, OF, ACROSS, DEPTH };
enum { STATE = DEPTH + 1, END, ID, SET, COUNT, LINK }; /* those from ID on: of a call list */
enum { COUNTS_MOST = 1000, MEASURE_MOST = 10000 };     /* nobody is later, no field is larger */

const struct table_column marks_columns[] = {
    [CLIP] = {.name = "clip", .required = true, .help = "label, file or number of a clip"},
    [TIME] = {.name = "time", .required = true, .help = "seconds or m:ss.mmm in the clip"},
    [TARGET] = {.name = "target", .required = true, .help = "section or performers, apart by ;"},
    [FAULT] = {.name = "fault", .required = true, .help = "its name or other words"},
    [NOTE] = {.name = "note", .help = "what was said"},
    [SEVERITY] = {.name = "severity", .help = "1 (the usual) to 3"},
    [CAUSE] = {.name = "cause", .help = "execute or define (as the fault has it)"},
    [PRAISE] = {.name = "praise", .help = "yes: to be kept"},
    [AUTHOR] = {.name = "author", .help = "who marked it (you)"},
    [LATE] = {.name = "late_counts", .help = "measured; negative is early"},
    [LATE_ERROR] = {.name = "late_error", .help = "its half-width, counts"},
    [MEASURE] = {.name = "measure",
                 .help = "interval, distance, line, arc, place, step size, speed or angle"},
    [VALUE] = {.name = "measure_value", .help = "steps; n to 5; feet a second; degrees"},
    [ERROR] = {.name = "measure_error", .help = "half of its 95 % interval"},
    [OF] = {.name = "measure_of", .help = "what it should be"},
    [ACROSS] = {.name = "across", .help = "steps from the 50, side 2 positive"},
    [DEPTH] = {.name = "depth", .help = "steps from the front sideline"},
    [STATE] = {.name = "state", .help = "open (the usual), repped or clean, of a new mark"},
    [END] = {.name = "end", .help = "where a new mark ends that goes on for a while"},
    [ID] = {.name = "id", .help = ""},
    [SET] = {.name = "set", .help = ""},
    [COUNT] = {.name = "count", .help = ""},
    [LINK] = {.name = "link", .help = ""},
    {.name = NULL},
};

struct adding {
    struct app *app;
    const struct table_text *text;
    struct marks_report *report;
    int64_t newest; /* of the marks that were there before this table */
    bool wrong;     /* a row was: those behind it are read, and not written */
};

/* "keep" says it too, as lists do. */
static bool read_praise(const struct table_row *row, bool *out, struct err *e)
{
    *out = strcasecmp(row->cell[PRAISE], "keep") == 0;
    return *out || table_truth(row, PRAISE, out, e);
}

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* A clip by its label, path or number; else the only one whose file has that name, wherever the table
 * was written. */
static const struct clip *clip_said(const struct clip_list *l, const char *text, struct err *why)
{
    const struct clip *found = clip_named(l, text, why), *of_name = NULL;
    size_t n = 0;
    for (size_t i = 0; !found && i < l->n; i++)
        if (strcmp(file_name(l->at[i].path), file_name(text)) == 0) {
            of_name = &l->at[i];
            n++;
        }
    return n == 1 ? of_name : found;
}

/* A time of the clip, which it may not be past. */
static bool read_time(const struct table_row *row, int column, const struct clip *clip, int64_t *us,
                      struct err *e)
{
    struct err why;
    struct table_points points;
    if (!app_clip_time(clip, table_points(row, row->cell[column], &points), us, &why))
        return table_error(row, column, e, "%s", why.text);
    return *us <= clip->length_us || table_error(row, column, e, "%s is past the end of clip '%s'",
                                                 row->cell[column], clip->label);
}

/* Where the mark is: in which clip, when, and until when. */
static bool read_moment(struct adding *a, const struct table_row *row, struct mark *m,
                        struct err *e)
{
    struct err why;
    const struct clip *clip = clip_said(&a->app->clips, row->cell[CLIP], &why);
    if (!clip)
        return table_error(row, CLIP, e, "%s", why.text);
    m->clip = clip->id;
    const bool ok = read_time(row, TIME, clip, &m->at_us, e);
    if (!*row->cell[END])
        return ok;
    if (!read_time(row, END, clip, &m->end_us, e) || !ok)
        return false;
    return m->end_us > m->at_us ||
           table_error(row, END, e, "%s is not behind the mark's time", row->cell[END]);
}

static bool read_target(struct adding *a, struct arena *mem, const struct table_row *row,
                        struct mark *m, struct err *e)
{
    struct err why;
    m->targets = targets_parse(mem, &a->app->show, row->cell[TARGET], &m->n_targets, &why);
    return m->targets || table_error(row, TARGET, e, "%s", why.text);
}

/* With its cause, where the table says none. */
static bool read_fault(struct adding *a, const struct table_row *row, struct mark *m, struct err *e)
{
    struct err why;
    const struct show *show = &a->app->show;
    if (!fault_named(show, row->cell[FAULT], &m->fault, &why))
        return table_error(row, FAULT, e, "%s", why.text);
    m->cause = show->faults[m->fault].cause;
    return true;
}

static bool read_severity(const struct table_row *row, struct mark *m, struct err *e)
{
    const struct table_range range = {SEVERITY_LEAST, SEVERITY_MOST, SEVERITY_LEAST};
    double severity;
    if (!table_number(row, SEVERITY, range, &severity, e))
        return false;
    m->severity = (int)severity;
    return severity == m->severity ||
           table_error(row, SEVERITY, e, "%s: severity is 1, 2 or 3", row->cell[SEVERITY]);
}

static bool read_cause(const struct table_row *row, struct mark *m, struct err *e)
{
    if (strcasecmp(row->cell[CAUSE], "define") == 0)
        m->cause = CAUSE_DEFINE;
    else if (strcasecmp(row->cell[CAUSE], "execute") == 0)
        m->cause = CAUSE_EXECUTE;
    else if (*row->cell[CAUSE])
        return table_error(row, CAUSE, e, "'%s' is not a cause; write define or execute",
                           row->cell[CAUSE]);
    return true;
}

static bool read_state(const struct table_row *row, struct mark *m, struct err *e)
{
    if (!*row->cell[STATE])
        return true;
    for (int s = MARK_OPEN; s <= MARK_CLEAN; s++)
        if (strcasecmp(row->cell[STATE], mark_state_name((enum mark_state)s)) == 0) {
            m->state = (enum mark_state)s;
            return true;
        }
    return table_error(row, STATE, e, "'%s' is not a state; write open, repped or clean",
                       row->cell[STATE]);
}

static bool read_late(const struct table_row *row, struct mark *m, struct err *e)
{
    const struct table_range counts = {-COUNTS_MOST, COUNTS_MOST, 0}, error = {0, COUNTS_MOST, 0};
    m->timed = *row->cell[LATE] != 0;
    const bool ok = table_number(row, LATE, counts, &m->late_counts, e);
    return table_number(row, LATE_ERROR, error, &m->late_error, e) && ok;
}

/* A kind and its value come together. */
static bool read_measure(const struct table_row *row, struct mark *m, struct err *e)
{
    const struct table_range value = {-MEASURE_MOST, MEASURE_MOST, NAN},
                             error = {0, MEASURE_MOST, NAN};
    struct measure *is = &m->measure;
    bool ok = true;
    if (!measure_named(row->cell[MEASURE], &is->kind))
        ok = table_error(row, MEASURE, e,
                         "'%s' is not measured; write interval, distance, line, arc, place, step "
                         "size, speed or angle",
                         row->cell[MEASURE]);
    ok &= table_number(row, VALUE, value, &is->value, e);
    ok &= table_number(row, ERROR, error, &is->error, e);
    ok &= table_number(row, OF, value, &is->of, e);
    if (!(is->error > 0))
        is->error = NAN;
    if (ok && (is->kind == MEASURE_NONE) != isnan(is->value))
        ok = table_error(row, is->kind ? VALUE : MEASURE, e,
                         "write both what was measured and its value");
    return ok;
}

static bool read_place(struct adding *a, const struct table_row *row, struct mark *m, struct err *e)
{
    const struct table_range any = {-MEASURE_MOST, MEASURE_MOST, NAN};
    const struct grid *g = &a->app->show.grid;
    const int missing = *row->cell[ACROSS] ? DEPTH : ACROSS;
    struct err why;
    bool ok = table_number(row, ACROSS, any, &m->x, e);
    ok &= table_number(row, DEPTH, any, &m->y, e);
    m->on_field = *row->cell[ACROSS] && *row->cell[DEPTH];
    if (!m->on_field)
        return ok && ((!*row->cell[ACROSS] && !*row->cell[DEPTH]) ||
                      table_error(row, missing, e, "write both across and depth"));
    if (ok && !across_on(g, m->x, row->cell[ACROSS], &why))
        ok = table_error(row, ACROSS, e, "%s", why.text);
    if (ok && !depth_on(g, m->y, row->cell[DEPTH], &why))
        ok = table_error(row, DEPTH, e, "%s", why.text);
    return ok;
}

/* All of its cells, so that all that are wrong are named. */
static bool read_mark(struct adding *a, struct arena *mem, const struct table_row *row,
                      struct mark *m, struct err *e)
{
    *m = (struct mark){.end_us = -1, .set = -1, .note = row->cell[NOTE]};
    bool ok = read_moment(a, row, m, e);
    ok &= read_target(a, mem, row, m, e);
    ok &= read_fault(a, row, m, e);
    ok &= read_severity(row, m, e);
    ok &= read_cause(row, m, e);
    ok &= read_praise(row, &m->praise, e);
    m->author = *row->cell[AUTHOR] ? row->cell[AUTHOR] : NULL;
    ok &= read_late(row, m, e);
    ok &= read_measure(row, m, e);
    ok &= read_place(a, row, m, e);
    ok &= read_state(row, m, e);
    a->wrong |= !ok;
    return ok;
}

/* A column that the table does not have says nothing about the mark that is there. */
static struct mark_change change_of(const struct table_row *row, const struct mark *m)
{
    const struct {
        int column;
        unsigned field;
    } fields[] = {{NOTE, MARK_NOTE}, {SEVERITY, MARK_SEVERITY}, {CAUSE, MARK_CAUSE}};
    struct mark_change c = {.severity = m->severity, .cause = m->cause, .note = m->note};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (*row->cell[fields[i].column]) /* an empty cell takes nothing away */
            c.fields |= fields[i].field;
    if (m->author) {
        c.fields |= MARK_AUTHOR;
        c.author = m->author;
    }
    if (m->timed) {
        c.fields |= MARK_LATE;
        c.late_counts = m->late_counts;
        c.late_error = m->late_error;
    }
    if (m->measure.kind != MEASURE_NONE) {
        c.fields |= MARK_MEASURE;
        c.measure = m->measure;
    }
    if (m->on_field) {
        c.fields |= MARK_PLACE;
        c.x = m->x;
        c.y = m->y;
    }
    return c;
}

/* Does the change say anything that the mark does not? */
static bool says_new(const struct mark_change *c, const struct mark *was)
{
    return ((c->fields & MARK_NOTE) && strcmp(c->note, was->note) != 0) ||
           ((c->fields & MARK_SEVERITY) && c->severity != was->severity) ||
           ((c->fields & MARK_CAUSE) && c->cause != was->cause) ||
           ((c->fields & MARK_AUTHOR) && strcmp(c->author, was->author) != 0) ||
           ((c->fields & MARK_LATE) && (!was->timed || c->late_counts != was->late_counts ||
                                        c->late_error != was->late_error)) ||
           ((c->fields & MARK_MEASURE) && !measure_same(&c->measure, &was->measure)) ||
           ((c->fields & MARK_PLACE) && (!was->on_field || c->x != was->x || c->y != was->y));
}

/* The mark that is there takes over what the row says. */
static bool renew_mark(struct adding *a, const struct table_row *row, const struct mark *m,
                       struct err *e)
{
    struct arena mem = {0};
    struct mark was;
    const struct mark_change c = change_of(row, m);
    bool ok = store_mark_one(a->app->store, &mem, m->id, &was, e);
    const bool news = ok && says_new(&c, &was);
    if (news)
        ok = store_mark_change(a->app->store, m->id, &c, e);
    arena_free(&mem);
    *(news ? &a->report->changed : &a->report->same) += ok;
    return ok;
}

static bool put_mark(struct adding *a, const struct table_row *row, struct mark *m, struct err *e)
{
    struct store *s = a->app->store;
    if (!store_mark_same(s, &a->app->show, m, a->newest, e))
        return false;
    if (m->id)
        return renew_mark(a, row, m, e);
    a->report->added++;
    return store_mark_add(s, &a->app->show, m, e);
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct adding *a = ctx;
    struct arena mem = {0};
    struct mark m;
    const bool ok = read_mark(a, &mem, row, &m, e) && (a->wrong || put_mark(a, row, &m, e));
    arena_free(&mem);
    return ok;
}

static bool put(struct store *s, void *ctx, struct err *e)
{
    struct adding *a = ctx;
    bool (*const read)(const struct table_text *, const struct table_column *, table_row_fn *,
                       void *, struct err *) =
        annotations_are(a->text) ? annotations_read : table_read;
    return store_mark_newest(s, &a->newest, e) && read(a->text, marks_columns, on_row, a, e) &&
           app_place_all(a->app, e);
}

bool app_put_marks(struct app *a, const struct table_text *text, struct marks_report *out,
                   struct err *e)
{
    struct adding adding = {.app = a, .text = text, .report = out};
    *out = (struct marks_report){0};
    return store_step(a->store, "add marks", put, &adding, e);
}

struct correcting {
    struct app *app;
    const struct app_correction *ask;
    struct arena *mem;
    struct mark *now;
};

static bool correct(struct store *s, void *ctx, struct err *e)
{
    struct correcting *c = ctx;
    const int64_t mark = c->ask->mark;
    return store_mark_correct(s, &c->app->show, mark, c->ask->how, e) &&
           app_place_one(c->app, mark, e) && store_mark_one(s, c->mem, mark, c->now, e);
}

bool app_correct(struct app *a, const struct app_correction *c, struct arena *mem, struct mark *now,
                 struct err *e)
{
    struct correcting x = {a, c, mem, now};
    return store_step(a->store, c->what, correct, &x, e);
}
