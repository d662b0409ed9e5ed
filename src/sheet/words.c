#include "sheet/words.h"

#include <string.h>

/* UTF-8 of U+00A0, NO-BREAK SPACE, and of U+200E, LEFT-TO-RIGHT MARK (Unicode Standard Annex 9). */
#define NO_BREAK      "\xc2\xa0"
#define LEFT_TO_RIGHT "\xe2\x80\x8e"

const char *words_severity(const struct rank_item *item)
{
    static const char *const names[] = {"", "! small", "!! middling", "!!! serious"};
    const bool known = item->severity >= SEVERITY_LEAST && item->severity <= SEVERITY_MOST;
    return item->praise || !known ? "" : names[item->severity];
}

/* Do any of these bytes begin a letter of Hebrew, Arabic, Syriac, Thaana, NKo (U+0590 to U+08FF, U+FB1D
 * to U+FEFF) or of the old scripts of U+10800 to U+10FFF and U+1E800 to U+1EFFF? */
static bool from_right(const char *s, size_t n)
{
    for (size_t i = 0; i + 1 < n; i++) {
        const unsigned char a = (unsigned char)s[i], b = (unsigned char)s[i + 1];
        if ((a >= 0xd6 && a <= 0xdf) || (a == 0xe0 && b >= 0xa0 && b <= 0xa3) ||
            (a == 0xef && b >= 0xac && b <= 0xbb) || (a == 0xf0 && (b == 0x90 || b == 0x9e)))
            return true;
    }
    return false;
}

/* What was added from there on may be of a script that runs the other way, and figures at its end
 * belong to it (Unicode Standard Annex 9): what follows is not to be drawn into it. */
static void end_words(struct buf *out, size_t from)
{
    if (from_right(out->p + from, out->n - from))
        buf_str(out, LEFT_TO_RIGHT);
}

/* Adds the text with its blanks before a cross closed to a line end. */
static void add_whole(const char *text, struct buf *out)
{
    const size_t from = out->n;
    for (const char *s = text; *s; s++)
        if (*s == ' ' && strncmp(s + 1, "×", sizeof "×" - 1) == 0)
            end_words(out, from), buf_str(out, NO_BREAK);
        else
            buf_char(out, *s);
}

void words_who(const struct fixes_line *l, size_t most, struct buf *out)
{
    struct buf who = {0};
    struct flow often = flow_from(out, 0, 0, 0), f = flow_from(&who, 0, 0, 0);
    fixes_often(l, &often);
    buf_str(out, ": ");
    fixes_who(l->r->show, l->item, WHO_ALL, most, &f);
    add_whole(buf_text(&who), out);
    buf_free(&who);
}

void words_where(const struct fixes_line *l, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_where(l, &f);
}

static int count_notes(const struct fixes_line *l)
{
    const struct report_moment *m;
    int n = 0;
    for (size_t at = 0; (m = fixes_next(l, &at));)
        n += *m->note != '\0';
    return n;
}

static void add_notes(const struct fixes_line *l, int most, struct buf *out)
{
    const struct report_moment *m;
    const int left = count_notes(l) - most;
    const char *between = "";
    int seen = 0;
    for (size_t at = 0; (m = fixes_next(l, &at));) {
        struct buf note = {0};
        struct flow f = flow_from(&note, 0, 0, 0);
        if (fixes_note(l, m, &f) && seen++ >= left) {
            buf_str(out, between);
            const size_t from = out->n;
            buf_add(out, note.p, note.n - 1);
            end_words(out, from);
            buf_char(out, '"');
            between = "; ";
        }
        buf_free(&note);
    }
}

void words_notes(const struct fixes_line *l, int most, struct buf *out)
{
    const int left = count_notes(l) - most;
    add_notes(l, most, out);
    if (left > 0)
        buf_printf(out, ", and %d earlier note%s", left, left == 1 ? "" : "s");
}

static const struct report_moment *newest_of(const struct fixes_line *l)
{
    const struct report_moment *m, *newest = NULL;
    for (size_t at = 0; (m = fixes_next(l, &at));)
        newest = m;
    return newest;
}

static void add_places(const struct fixes_line *l, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_places(l, &f);
    buf_str(out, fixes_moment_count(l) > 1 ? " · newest: " : " · ");
}

void words_places(const struct fixes_line *l, struct buf *out)
{
    const struct report_moment *newest = newest_of(l);
    if (!newest)
        return;
    add_places(l, out);
    fixes_moment(l->r, newest->at, out);
}

void words_brief(const struct fixes_line *l, struct buf *out)
{
    const struct report_moment *newest = newest_of(l);
    if (!newest)
        return;
    add_places(l, out);
    if (!*newest->note) {
        fixes_moment(l->r, newest->at, out);
        buf_str(out, count_notes(l) ? "; " : "");
    }
    add_notes(l, 1, out);
}

void words_measured(const struct fixes_line *l, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_measured(l, &f);
}

void words_state(const struct fixes_line *l, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_state(l, &f);
}

size_t words_right(const struct fixes_line *l, struct buf *out)
{
    const struct fault *fault = &l->r->show->faults[l->item->fault];
    if (!*fault->right)
        return 0;
    buf_str(out, fault->decided                   ? "Decided:"
                 : l->item->cause == CAUSE_DEFINE ? "So far:"
                                                  : "Right is:");
    const size_t strong = out->n;
    buf_char(out, ' ');
    put_text(out, fault->right);
    end_words(out, strong);
    if (fault->decided && *fault->decided_by && !l->style->labels_only) {
        buf_str(out, " (");
        const size_t from = out->n;
        put_text(out, fault->decided_by);
        end_words(out, from);
        buf_char(out, ')');
    }
    return strong;
}

const char *words_newest(const struct fix_report *r)
{
    return r->n_clips ? r->clips[r->n_clips - 1].date : "";
}

void words_with(const struct fix_report *r, const struct report_part *part, struct buf *out)
{
    buf_printf(out, "with %s %s", part->section == r->show->root ? "the whole" : "all",
               r->show->sections[part->section].name);
}
