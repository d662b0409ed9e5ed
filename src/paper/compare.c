#include <math.h>

#include "paper/compare.h"
#include "paper/flow.h"

const char *compare_who(const struct comparison *c, size_t i)
{
    const struct compared *p = &c->parts[i];
    return p->performer >= 0 ? c->show->performers[p->performer].label
                             : c->show->sections[p->section].name;
}

static void put_choice(struct buf *out, const char *label, const struct comparison_side *s)
{
    buf_str(out, label);
    for (size_t i = 0; i < s->n_clips; i++)
        buf_printf(out, " %s (%s)", s->clips[i].label, s->clips[i].date);
    if (s->watched_min > 0)
        buf_printf(out, ", %.1f of %.1f minutes watched\n", s->watched_min, s->length_min);
    else
        buf_str(out, ", no watching stored\n");
}

static void put_sets(const struct comparison *c, struct buf *out)
{
    int n = 0;
    for (size_t i = 0; i < c->show->n_sets; i++) {
        if (!c->set_compared[i])
            continue;
        const bool runs_on = i > 0 && c->set_compared[i - 1];
        const bool goes_on = i + 1 < c->show->n_sets && c->set_compared[i + 1];
        if (!runs_on)
            buf_printf(out, "%s%s", n++ ? ", " : "", c->show->sets[i].label);
        else if (!goes_on)
            buf_printf(out, "-%s", c->show->sets[i].label);
    }
    if (n == 0)
        buf_str(out, "none");
}

void compare_basis(const struct comparison *c, struct buf *out)
{
    if (c->basis == COMPARE_ONE_TIED) {
        buf_str(out,
                "Not compared: clips of one side alone are tied to sets, so what both played is "
                "not known; tie the others: boxcall count SHOW CLIP tie TIME SET\n");
    } else if (!(c->from.compared_min > 0)) {
        buf_str(out, "Not compared: no watching of both is stored, of a set that both played; what "
                     "was watched elsewhere is entered with: boxcall watched SHOW CLIP FROM TO\n");
    } else if (c->basis == COMPARE_TIME) {
        buf_str(out,
                "Compared by time: no clip is tied to sets, so it is taken for granted that both "
                "played the same.\n");
    } else {
        buf_str(out, "Compared: what both played and somebody watched, set ");
        put_sets(c, out);
        buf_char(out, '\n');
    }
}

/* What the comparison rests on. */
static void put_basis(const struct comparison *c, struct buf *out)
{
    const int left_out = c->from.left_out + c->to.left_out;
    compare_basis(c, out);
    if (c->from.compared_min > 0)
        buf_printf(out, "Minutes compared: %.1f and %.1f%s", c->from.compared_min,
                   c->to.compared_min, left_out ? "; m" : ".\n");
    else if (left_out)
        buf_char(out, 'M');
    if (left_out)
        buf_printf(out, "arks left out: %d before, %d after.\n", c->from.left_out, c->to.left_out);
    if (c->other_eyes)
        buf_printf(
            out,
            "Nobody watched both. Two reviewers may see 30 %% less and 30 %% more than usual "
            "(our assumption), so only rates that differ by more than %.2f times count.\n",
            COMPARE_EYES);
}

static void put_change(const struct comparison *c, const struct change *x, struct buf *out)
{
    buf_str(out, "  ");
    pad_text(out, verdict_name(x->verdict), 11);
    pad_text(out, c->show->faults[x->fault].name, 28);
    buf_printf(out, "%4d -> %-4d", x->from_marks, x->to_marks);
    if (x->tested)
        buf_printf(out, "  p %.3g", x->p);
    if (x->from_counted != x->from_marks || x->to_counted != x->to_marks)
        buf_printf(out, "  (compared %d -> %d)", x->from_counted, x->to_counted);
    buf_char(out, '\n');
}

bool compare_changed(const struct change *x)
{
    return x->verdict == VERDICT_FIXED || x->verdict == VERDICT_FEWER ||
           x->verdict == VERDICT_MORE || x->verdict == VERDICT_NEW;
}

static void put_parts(const struct comparison *c, bool all, struct buf *out)
{
    for (size_t i = 0; i < c->n_parts; i++) {
        const struct compared *p = &c->parts[i];
        bool headed = false;
        for (size_t k = 0; k < p->n; k++) {
            if (!all && !compare_changed(&p->changes[k]))
                continue;
            if (!headed)
                buf_printf(out, "\n%s\n", compare_who(c, i));
            headed = true;
            put_change(c, &p->changes[k], out);
        }
        if (all && p->n == 0)
            buf_printf(out, "\n%s\n  no marks in either\n", compare_who(c, i));
    }
}

/* "Not shown: 4 same, 2 first seen, 1 unseen (--all shows them)." */
void compare_rest(const struct comparison *c, bool all, const char *how, struct buf *out)
{
    size_t n[VERDICT_UNSURE + 1] = {0}, shown = 0, rest = 0;
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++) {
            const struct change *x = &c->parts[i].changes[k];
            shown += compare_changed(x);
            rest += !compare_changed(x);
            n[x->verdict]++;
        }
    if (shown == 0)
        buf_str(out, "Nothing changed beyond noise.\n");
    if (all || rest == 0)
        return;
    static const enum verdict order[] = {VERDICT_SAME, VERDICT_FIRST, VERDICT_UNSEEN,
                                         VERDICT_UNSURE};
    const char *before = "Not shown: ";
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        if (n[order[i]]) {
            buf_printf(out, "%s%zu %s", before, n[order[i]], verdict_name(order[i]));
            before = ", ";
        }
    buf_printf(out, " (%s shows them).\n", how);
}

void compare_halving(const struct comparison *c, int width, struct buf *out)
{
    struct buf text = {0};
    struct flow f = flow_from(out, width, 0, 0);
    if (isnan(c->halving))
        return;
    if (isinf(c->halving))
        buf_str(&text, "To see one fault's halving here would take thousands of marks of it.");
    else
        buf_printf(&text,
                   "To see one fault's halving in four of five cases takes some %.0f marks of it "
                   "before (%.1f and %.1f minutes, %zu line%s).",
                   ceil(c->halving), c->from.compared_min, c->to.compared_min, c->n_tested,
                   c->n_tested == 1 ? "" : "s");
    flow_text(&f, text.p);
    flow_end(&f);
    buf_free(&text);
}

/* The words that the table uses. */
static void put_words(const struct comparison *c, bool all, struct buf *out)
{
    bool used[VERDICT_UNSURE + 1] = {false};
    for (size_t i = 0; i < c->n_parts; i++)
        for (size_t k = 0; k < c->parts[i].n; k++)
            used[c->parts[i].changes[k].verdict] = true;
    buf_str(out, "\nfewer, more, fixed, new: beyond noise (exact conditional test of two Poisson "
                 "rates,\nset by set; false discoveries held at 5 % over all lines, p adjusted for "
                 "that).\nMarks of one fault within 3 s count once in it.\n");
    if (c->dispersion > 1)
        buf_printf(out,
                   "Marks come in clusters here: the test allows for %.1f times the scatter.\n",
                   c->dispersion);
    if (all && used[VERDICT_FIRST])
        buf_str(out,
                "first seen: was not there before; that it is more than chance is not shown.\n");
    if (all && used[VERDICT_UNSEEN])
        buf_str(out, "unseen: was not seen; too few marks, or too little of it played again and\n"
                     "watched, to call it fixed.\n");
    if (used[VERDICT_UNSURE])
        buf_str(out, "unsure: the minutes that both played and the same person watched are not\n"
                     "known, so marks cannot be compared.\n");
}

void compare_text(const struct comparison *c, bool all, struct buf *out)
{
    buf_printf(out, "Compare   %s\n", c->title);
    put_choice(out, "from:", &c->from);
    put_choice(out, "to:  ", &c->to);
    put_basis(c, out);
    put_parts(c, all, out);
    buf_char(out, '\n');
    compare_rest(c, all, "--all", out);
    put_words(c, all, out);
    compare_halving(c, 80, out);
}
