/* Sheets of paper: a PDF for people who stand on a field at night. What is printed comes as values;
 * nothing is asked of the show here. Black on white, body text from 11 pt on:
 * capitals of DejaVu Sans (0.729 em) are then 2.8 mm high, 16 minutes of arc at 60 cm, an arm's length:
 * the least that ISO 9241-3 (1992, for displays) wants; the 20 to 22 that it prefers from 46 cm on. At
 * 10 minutes more than nine in ten printed displays were read (Smith, Letter size and legibility,
 * Human Factors 21, 1979). Of a lamp at night there is no source.
 *
 * PDF by cairo (ISO 32000-1), text set by Pango: any script, shaped, in its own direction, and text
 * again when it is copied out. Sizes are points of 1/72 inch. */
#ifndef SHEET_SHEET_H
#define SHEET_SHEET_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"
#include "paper/define.h"
#include "paper/paper.h"
#include "paper/plan.h"

enum sheet_paper { SHEET_LETTER, SHEET_A4, SHEET_PAPERS };
/* "letter", "a4", in capitals too; false when unknown. ANSI/ASME Y14.1 size A, 8.5 x 11 in; ISO 216, 210 x 297 mm. */
bool sheet_paper_named(const char *name, enum sheet_paper *out);

struct sheet_style {
    enum sheet_paper paper;
    bool labels_only;    /* no names of people */
    const char *made_at; /* RFC 3339, for the document's own data; "" says nothing */
};

/* What was made; begin with zeros, end with sheet_made_free(). */
struct sheet_made {
    struct buf pdf;
    int pages;
    struct buf what; /* "flutes, trumpets (2 pages)": each handout */
    int strange;     /* letters that no font here has: boxes stand in their place */
};
void sheet_made_free(struct sheet_made *made);

/* The list of a section or of a performer, with its moments. */
struct sheet_list {
    const struct fix_report *r;
    const char
        *address; /* of its page on the web, to which a code beside each line leads; NULL: none,
                          * the times stand in print alone */
};
struct sheet_lists {
    const struct sheet_list *at;
    size_t n;
};
/* The most bytes of an address with its moment: 18 mm hold as many at 0.37 mm a square, about the
 * least that phones read from paper (common practice, no source). */
enum { SHEET_ADDRESS_MOST = 152 };

/* Each list begins a page, and is on one page where it fits; its pages are numbered on their own. All
 * four make a whole PDF. False: a library is not there or refuses, and `out` is as it was. */
bool sheet_fixes(const struct sheet_lists *lists, const struct sheet_style *style,
                 struct sheet_made *out, struct err *e);

/* What waits for a decision, with room to write it; then what was decided. Each report begins a
 * page. */
struct sheet_defines {
    const struct define_report *at;
    size_t n;
};
bool sheet_define(const struct sheet_defines *defines, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e);

/* A plan of everyone, or of the parts that each paper names. Each begins a page. */
struct sheet_plans {
    const struct plan_paper *at;
    size_t n;
};
bool sheet_plan(const struct sheet_plans *plans, const struct sheet_style *style,
                struct sheet_made *out, struct err *e);

/* A page a set, lying, seen from the box: the front sideline is below. */
struct sheet_chart {
    const struct show *show;
    const char *title, *who,
        *date;       /* of the show; who is lit; of the newest clip, "" without one */
    const int *sets; /* which; each has dots */
    size_t n_sets;
    const bool *lit; /* of each performer: drawn full, with the label */
};
bool sheet_chart(const struct sheet_chart *chart, const struct sheet_style *style,
                 struct sheet_made *out, struct err *e);

#endif
