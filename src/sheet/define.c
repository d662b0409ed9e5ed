/* What the staff must decide, with room to write what right looks like; then what was decided. */
#include "sheet/pen.h"
#include "sheet/words.h"

enum { TEXT_AT = 24, FAULT_SIZE = 14, WRITE_STEP = 26, WRITE_LINES = 2, BOX = 13 };

static void put(struct pen *p, const char *text, size_t strong)
{
    pen_text(p, &(struct pen_text){
                    .text = text, .x = p->left + TEXT_AT, .strong = strong, .tamed = true});
}

/* Who asked, where, in what words. */
static void put_asking(struct pen *p, const struct define_line *l)
{
    const struct fixes_line line = define_as_fixes(l);
    struct buf text = {0};
    words_who(&line, WHO_EVERYBODY, &text);
    buf_str(&text, " · ");
    words_where(&line, &text);
    put(p, text.p, 0);
    buf_clear(&text);
    words_notes(&line, NOTES_ALL, &text);
    put(p, buf_text(&text), 0);
    buf_free(&text);
}

static void put_fault(struct pen *p, const struct define_line *l)
{
    pen_text(p, &(struct pen_text){.text = define_fault(l)->name,
                                   .x = p->left + TEXT_AT,
                                   .size = FAULT_SIZE,
                                   .bold = true});
}

static void put_right(struct pen *p, const char *head, const char *text)
{
    struct buf line = {0};
    put_text(&line, head);
    const size_t strong = line.n;
    buf_char(&line, ' ');
    put_text(&line, *text ? text : "nothing is written down");
    put(p, line.p, strong);
    buf_free(&line);
}

/* "Right is: ______", "decided by ____ on ____" */
static void put_room(struct pen *p)
{
    static const char who[] = "decided by", when[] = "on";
    const double x = p->left + TEXT_AT, middle = p->right - 150;
    const double after = x + pen_width(p, &(struct pen_text){.text = who}) + 4,
                 on = middle + pen_width(p, &(struct pen_text){.text = when}) + 4;
    double y = p->y + 6;
    p->y = y;
    put(p, "Right is:", sizeof "Right is:" - 1);
    for (int i = 0; i < WRITE_LINES; i++) {
        const double from = i ? x : x + 56;
        y += i ? WRITE_STEP : 14;
        pen_line(p, &(struct pen_line){from, y, p->right, y, 0.6, 0});
    }
    y += WRITE_STEP;
    p->y = y - 12;
    put(p, who, 0);
    pen_line(p, &(struct pen_line){after, y, middle - 6, y, 0.6, 0});
    p->y = y - 12;
    pen_text(p, &(struct pen_text){.text = when, .x = middle});
    pen_line(p, &(struct pen_line){on, y, p->right, y, 0.6, 0});
    p->y = y + 14;
}

static void draw_waiting(struct pen *p, const void *job)
{
    const struct define_line *l = job;
    pen_box(p, p->left + 1, p->y + 3, BOX);
    put_fault(p, l);
    put_asking(p, l);
    put_right(p, "So far:", define_fault(l)->right);
    put_room(p);
}

static void draw_decided(struct pen *p, const void *job)
{
    const struct define_line *l = job;
    const struct fault *f = define_fault(l);
    struct buf head = {0};
    put_fault(p, l);
    if (p->style->labels_only || !*f->decided_by)
        buf_printf(&head, "%s:", l->d->days[l->fault]);
    else
        buf_printf(&head, "%s, %s:", f->decided_by, l->d->days[l->fault]);
    put_right(p, head.p, f->right);
    if (rank_seen(l->item))
        put_asking(p, l);
    p->y += PEN_GAP;
    buf_free(&head);
}

static void compose_one(struct pen *p, const struct define_report *d)
{
    struct define_line l;
    struct buf what = {0};
    bool decided = false;
    buf_printf(&what, "To decide: %s", report_for(&d->asked));
    pen_page(p, &(struct pen_head){.what = what.p,
                                   .kind = "",
                                   .show = d->asked.title,
                                   .date = words_newest(&d->asked)});
    if (!define_line(d, 0, &l) || l.decided)
        pen_text(p, &(struct pen_text){.text = "Nothing waits for a decision.", .x = p->left});
    for (size_t n = 0; define_line(d, n, &l); n++) {
        if (l.decided && !decided)
            pen_text(p,
                     &(struct pen_text){.text = "Decided", .x = p->left, .size = 16, .bold = true});
        decided = l.decided;
        pen_block(p, decided ? draw_decided : draw_waiting, &l);
    }
    buf_free(&what);
}

static void compose(struct pen *p, const void *job)
{
    const struct sheet_defines *defines = job;
    for (size_t i = 0; i < defines->n; i++)
        compose_one(p, &defines->at[i]);
}

bool sheet_define(const struct sheet_defines *defines, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e)
{
    struct buf title = {0};
    buf_printf(&title, "To decide: %s", defines->at[0].asked.title);
    const bool ok = pen_document(
        &(struct pen_job){.title = title.p, .compose = compose, .job = defines}, style, out, e);
    buf_free(&title);
    return ok;
}
