/* The pen that writes a document from top to bottom, page by page. Inner to the room.
 *
 * A document holds one handout or more, each with its own page numbers. It is composed twice, first for
 * nobody, so that every foot can say of how many pages it is one. Composing must therefore do the
 * same each time. */
#ifndef SHEET_PEN_H
#define SHEET_PEN_H

#include "sheet/sheet.h"

enum { PEN_BODY = 11, PEN_MARGIN = 30, PEN_GAP = 5 };

/* What the head of a page says. */
struct pen_head {
    const char *what; /* "trumpets" */
    const char *kind; /* "Fix list", where `what` does not say it; in the foot */
    const char *show, *date;
    const char *all; /* what this page and others are handed out as, and counted through; NULL: it
                      * begins a handout of its own, called `what` */
};

struct pen {
    struct pen_inside *in;
    const struct sheet_style *style;
    double left, right, top, bottom; /* where text may stand on the page */
    double y;                        /* where the next stands */
    double scale;                    /* of text and of the room between: 1 .. */
    bool measuring;                  /* nothing is drawn and no page ends; y goes on */
    int page, pages;                 /* of the handout, from 1; pages 0 while they are counted */
    struct pen_head head;
    struct err *e;
    bool failed;
};

typedef void (*pen_fn)(struct pen *p, const void *job);
struct pen_job {
    const char *title; /* of the document */
    bool lying;
    pen_fn compose; /* begins with pen_page() */
    const void *job;
};
bool pen_document(const struct pen_job *job, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e);

/* A new page with its head and its foot, whose texts must last until the next. */
void pen_page(struct pen *p, const struct pen_head *head);
/* How high something is that is drawn from p->y on. */
double pen_height(struct pen *p, pen_fn draw, const void *job);
/* Draws it whole: on the next page when this one has no more room for it. What is higher than a page
 * goes on from page to page. */
void pen_block(struct pen *p, pen_fn draw, const void *job);
/* Turns the page when this one has no more room for it; draws nothing. */
void pen_keep(struct pen *p, pen_fn draw, const void *job);
/* On how many pages something is that begins below the head. */
int pen_pages(struct pen *p, pen_fn all, const void *job);
/* Draws all that follows the head of a page, larger than usual where it is still one page then. */
void pen_fit(struct pen *p, pen_fn all, const void *job);

struct pen_text {
    const char *text;   /* tamed here; NULL or "" draws nothing */
    double x, width;    /* within the page; width 0: to the right margin */
    double size;        /* 0: PEN_BODY */
    size_t strong;      /* so many bytes of it are bold ... */
    double strong_size; /* ... and of this size; 0: the same */
    bool tamed;         /* the text is safe already, and may hold marks of direction of ours */
    bool bold, to_right;
    int lines;    /* the most, cut with a sign where it is longer; 0: all */
    bool stays;   /* at its place, even where the page has no room: it never turns the page */
    bool persons; /* all of it is somebody's words: their direction is that of the paragraph */
};
/* From p->y down, which becomes its lower edge. */
void pen_text(struct pen *p, const struct pen_text *t);
/* Its width on one line. */
double pen_width(struct pen *p, const struct pen_text *t);
/* What is inked of it on one line, from where pen_text() would begin. */
struct pen_ink {
    double left, top, wide, high;
};
void pen_ink(struct pen *p, const struct pen_text *t, struct pen_ink *out);

/* Drawing; x and y in points from the upper left corner of the page. */
void pen_box(struct pen *p, double x, double y, double side);
struct pen_line {
    double x1, y1, x2, y2, wide;
    double dash; /* 0: whole */
};
void pen_line(struct pen *p, const struct pen_line *l);
/* White, from corner to corner. */
void pen_blank(struct pen *p, const struct pen_line *corners);
void pen_dot(struct pen *p, double x, double y, double radius, bool full);
/* n rows of n squares, full where the lowest bit is set, as one figure without seams. */
struct pen_squares {
    double x, y, side;
    int n;
    const unsigned char *dark;
};
void pen_squares(struct pen *p, const struct pen_squares *s);
/* A whole line, over the width of the page. */
void pen_rule(struct pen *p, double wide);

#endif
