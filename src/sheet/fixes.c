/* A section's list as its leader takes it onto the field: praise first, then a box to tick for each
 * fault, then what is marked for the groups above. */
#include <string.h>

#include "base/shell.h"
#include "sheet/code.h"
#include "sheet/words.h"

enum { BOX = 13, RANK_AT = 20, TEXT_AT = 44, FAULT_SIZE = 14 };

struct line_job {
    const struct list_job *of;
    struct fixes_line l;
};

/* How much is said of a line, from all to what it needs to be worked on. A list that is longer than a
 * page whole is taken shorter, where that saves a page. */
static const struct form {
    size_t who; /* the most of a line */
    int notes;  /* the same; 0: the newest, beside the places */
    void (*where)(const struct fixes_line *l, struct buf *out);
} forms[] = {{WHO_EVERYBODY, NOTES_ALL, words_where},
             {WHO_EVERYBODY, 2, words_places},
             {12, 0, words_brief}};
enum { FORMS = sizeof forms / sizeof *forms };

struct list_job {
    const struct sheet_list *list;
    const struct fixes_style *style;
    const struct form *form;
};

/* --- a line ------------------------------------------------------------------------------------- */

/* Of the code beside a line; 0 without one. */
static double code_of(const struct line_job *j)
{
    const size_t fragment = sizeof "#m=" - 1 + MOMENT_ID_DIGITS;
    return j->of->list->address ? code_width(strlen(j->of->list->address) + fragment) : 0;
}

static double text_right(const struct pen *p, const struct line_job *j)
{
    return p->right - code_of(j);
}

static void put(struct pen *p, const struct line_job *j, const char *text, size_t strong)
{
    const double x = p->left + TEXT_AT;
    pen_text(
        p,
        &(struct pen_text){
            .text = text, .x = x, .width = text_right(p, j) - x, .strong = strong, .tamed = true});
}

/* "late arrival   !!! serious" large, so that it is found from afar, and the state at the right where
 * it has room. */
static void put_fault(struct pen *p, const struct line_job *j)
{
    struct buf text = {0}, state = {0};
    const struct rank_item *i = j->l.item;
    const double x = p->left + TEXT_AT, y = p->y;
    put_text(&text, j->l.r->show->faults[i->fault].name);
    const size_t strong = text.n;
    buf_printf(&text, "   %s%s", words_severity(i),
               i->cause == CAUSE_DEFINE ? ", the staff decides" : "");
    words_state(&j->l, &state);
    const struct pen_text head = {.text = text.p,
                                  .x = x,
                                  .width = text_right(p, j) - x,
                                  .strong = strong,
                                  .strong_size = FAULT_SIZE},
                          how = {.text = state.p, .x = x, .width = head.width, .to_right = true};
    pen_text(p, &head);
    const double below = p->y;
    if (pen_width(p, &head) + pen_width(p, &how) + BOX < head.width)
        p->y = y + (FAULT_SIZE - PEN_BODY) * p->scale;
    pen_text(p, &how);
    p->y = p->y > below ? p->y : below;
    buf_free(&text);
    buf_free(&state);
}

static void put_code(struct pen *p, const struct line_job *j, double y)
{
    size_t at = 0;
    const struct report_moment *m = fixes_next(&j->l, &at);
    struct buf text = {0};
    if (!m)
        return;
    buf_printf(&text, "%s#", j->of->list->address);
    moment_id(m, &text);
    code_put(p, text.p, p->right - code_of(j), y);
    buf_free(&text);
}

static void put_words(struct pen *p, const struct line_job *j)
{
    const struct form *form = j->of->form;
    struct buf text = {0};
    words_who(&j->l, form->who, &text);
    buf_str(&text, " · ");
    form->where(&j->l, &text);
    put(p, j, text.p, 0);
    buf_clear(&text);
    if (form->notes)
        words_notes(&j->l, form->notes, &text);
    put(p, j, buf_text(&text), 0);
    buf_clear(&text);
    words_measured(&j->l, &text);
    put(p, j, buf_text(&text), 0);
    buf_clear(&text);
    const size_t strong = words_right(&j->l, &text);
    put(p, j, buf_text(&text), strong);
    buf_free(&text);
}

static void draw_line(struct pen *p, const void *job)
{
    const struct line_job *j = job;
    struct buf rank = {0};
    const double y = p->y, code = code_of(j);
    if (code)
        put_code(p, j, y);
    pen_box(p, p->left + 1, y + 3, BOX);
    buf_printf(&rank, "%d", j->l.item->rank);
    pen_text(p, &(struct pen_text){
                    .text = rank.p, .x = p->left + RANK_AT, .size = FAULT_SIZE, .bold = true});
    p->y = y;
    put_fault(p, j);
    put_words(p, j);
    /* The quiet zone of one code lies in that of the next, and in the gap. */
    const double below = (code - CODE_SIDE) / 2;
    if (code > 0 && p->y < y + code - below)
        p->y = y + code - below;
    p->y += PEN_GAP * p->scale;
    buf_free(&rank);
}

/* --- a part ------------------------------------------------------------------------------------- */

struct part_job {
    const struct list_job *of;
    const struct report_part *part;
};

static struct line_job line_of(const struct part_job *j, const struct rank_item *item)
{
    return (struct line_job){j->of, {j->of->list->r, j->of->style, j->part, item}};
}

/* "Keep: impact ×2: set 11, count 3: 1:16.6", of a group above "Keep, with all brass: ..." */
static void put_keep(struct pen *p, const struct part_job *j)
{
    const struct rank_list *list = &j->part->list;
    for (size_t i = 0; i < list->n_keep; i++) {
        const struct fixes_line l = line_of(j, &list->keep[i]).l;
        struct buf text = {0};
        buf_str(&text, "Keep");
        if (j->part != &l.r->own) {
            buf_str(&text, ", ");
            words_with(l.r, j->part, &text);
        }
        buf_str(&text, ": ");
        put_text(&text, l.r->show->faults[l.item->fault].name);
        const size_t strong = text.n;
        buf_printf(&text, " ×%d: ", rank_seen(l.item));
        words_where(&l, &text);
        pen_text(p, &(struct pen_text){.text = text.p, .x = p->left, .strong = strong});
        buf_free(&text);
    }
}

/* "Came clean: horn angle ×2 (2026-11-26, A. Quill); ..." */
static void put_clean(struct pen *p, const struct part_job *j)
{
    static const char head[] = "Came clean:";
    struct buf text = {0};
    for (size_t i = 0; i < j->part->list.n_items; i++) {
        const struct rank_item *item = &j->part->list.items[i];
        if (item->marks)
            continue;
        buf_printf(&text, "%s %s ×%d", text.n ? ";" : head,
                   j->of->list->r->show->faults[item->fault].name, item->clean);
        const char *by = j->of->style->labels_only ? "" : item->state_by;
        if (*item->state_at)
            buf_printf(&text, " (%.10s%s%s)", item->state_at, *by ? ", " : "", by);
    }
    pen_text(p,
             &(struct pen_text){.text = buf_text(&text), .x = p->left, .strong = sizeof head - 1});
    p->y += text.n ? PEN_GAP * p->scale : 0;
    buf_free(&text);
}

static void put_part(struct pen *p, const struct part_job *j)
{
    for (size_t i = 0; i < j->part->list.n_items; i++) {
        const struct line_job line = line_of(j, &j->part->list.items[i]);
        if (line.l.item->marks)
            pen_block(p, draw_line, &line);
    }
    put_clean(p, j);
}

/* --- a list ------------------------------------------------------------------------------------- */

static void draw_with(struct pen *p, const void *job)
{
    const struct part_job *j = job;
    struct buf head = {0};
    p->y += 2;
    pen_rule(p, 0.6);
    p->y += 2;
    words_with(j->of->list->r, j->part, &head);
    *head.p = 'W'; /* it begins a line here */
    pen_text(p, &(struct pen_text){.text = head.p, .x = p->left, .size = FAULT_SIZE, .bold = true});
    p->y += 2;
    buf_free(&head);
}

/* The heading stays with the first of its lines. */
static void draw_with_first(struct pen *p, const void *job)
{
    const struct part_job *j = job;
    draw_with(p, j);
    for (size_t i = 0; i < j->part->list.n_items; i++) {
        const struct line_job line = line_of(j, &j->part->list.items[i]);
        if (!line.l.item->marks)
            continue;
        draw_line(p, &line);
        return;
    }
}

static void put_end(struct pen *p, const struct fix_report *r)
{
    struct buf text = {0};
    if (r->watched_min > 0)
        fixes_cover(r, &text);
    if (text.n)
        buf_char(&text, ' ');
    fixes_equal(&r->own.list, &text);
    pen_text(p, &(struct pen_text){.text = buf_text(&text), .x = p->left});
    buf_free(&text);
}

static void put_shortened(struct pen *p, const struct fix_report *r)
{
    struct buf text = {0};
    buf_printf(&text,
               "Shortened to fit this page: boxcall fixes SHOW --for %s has all times and notes.",
               shell_word(report_for(r)).text);
    pen_text(p, &(struct pen_text){.text = text.p, .x = p->left});
    buf_free(&text);
}

static void put_praise(struct pen *p, const struct list_job *j)
{
    const struct fix_report *r = j->list->r;
    const double y = p->y;
    put_keep(p, &(struct part_job){j, &r->own});
    for (size_t i = 0; i < r->n_with; i++)
        put_keep(p, &(struct part_job){j, &r->with[i]});
    p->y += p->y > y ? 2 * PEN_GAP * p->scale : 0;
}

static void compose_list(struct pen *p, const void *job)
{
    const struct list_job *j = job;
    const struct fix_report *r = j->list->r;
    put_praise(p, j);
    put_part(p, &(struct part_job){j, &r->own});
    if (r->own.list.n_items == 0)
        pen_text(p, &(struct pen_text){.text = "Nothing to fix in these clips.", .x = p->left});
    for (size_t i = 0; i < r->n_with; i++) {
        const struct part_job part = {j, &r->with[i]};
        if (r->with[i].list.n_items == 0)
            continue;
        pen_keep(p, draw_with_first, &part);
        draw_with(p, &part);
        put_part(p, &part);
    }
    put_end(p, r);
    if (j->form != &forms[0])
        put_shortened(p, r);
}

/* The fullest on one page; of those that need more, the fullest of the shortest. */
static const struct form *form_of(struct pen *p, struct list_job job)
{
    const struct form *best = NULL;
    for (int i = 0, least = 0; i < FORMS && (!best || least > 1); i++) {
        job.form = &forms[i];
        const int pages = pen_pages(p, compose_list, &job);
        if (!best || pages < least) {
            best = job.form;
            least = pages;
        }
    }
    return best;
}

static const char *name_of(const struct fix_report *r, const struct sheet_style *style,
                           struct buf *out)
{
    put_text(out, report_for(r));
    if (r->performer >= 0 && r->performer < (int)r->show->n_performers && !style->labels_only &&
        *r->show->performers[r->performer].name)
        buf_printf(out, " %s", r->show->performers[r->performer].name);
    return buf_text(out);
}

static void compose(struct pen *p, const void *job)
{
    const struct sheet_lists *lists = job;
    const struct fixes_style style = {.labels_only = p->style->labels_only};
    for (size_t i = 0; i < lists->n; i++) {
        struct list_job one = {&lists->at[i], &style, &forms[0]};
        const struct fix_report *r = one.list->r;
        struct buf name = {0};
        pen_page(p, &(struct pen_head){.what = name_of(r, p->style, &name),
                                       .kind = "Fix list",
                                       .show = r->title,
                                       .date = words_newest(r)});
        one.form = form_of(p, one);
        pen_fit(p, compose_list, &one);
        buf_free(&name);
    }
}

bool sheet_fixes(const struct sheet_lists *lists, const struct sheet_style *style,
                 struct sheet_made *out, struct err *e)
{
    struct buf title = {0};
    buf_printf(&title, "Fix list: %s%s", lists->at[0].r->title, lists->n == 1 ? ", " : "");
    if (lists->n == 1)
        buf_str(&title, report_for(lists->at[0].r));
    const bool ok = pen_document(
        &(struct pen_job){.title = title.p, .compose = compose, .job = lists}, style, out, e);
    buf_free(&title);
    return ok;
}
