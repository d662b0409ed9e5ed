/* A PDF as other programs read it: poppler (pdfinfo, pdffonts, pdftotext, pdftoppm), qpdf, zbar. */
#ifndef SHEET_PDF_H
#define SHEET_PDF_H

#include "drill/drill.h"

/* `boxcall sheet SHOW ...` into a file, whose path it returns: whole by qpdf, every font embedded
 * and none of Type 3 by pdffonts. */
#define sheet_made(show, ...) sheet_whole(run("boxcall", "sheet", show, __VA_ARGS__, NULL))
const char *sheet_whole(struct run r);
/* What pdfinfo says behind "KEY:". */
const char *pdf_info(const char *pdf, const char *key);
int pdf_pages(const char *pdf);
/* The words of a page (0: of all) row by row, each run of blanks as one. Marks of direction that
 * the reader adds around what runs from right to left are left out. */
const char *pdf_words(const char *pdf, int page);
/* Each text stands in `words`, behind the one before; fails the test when one does not. Ends with
 * NULL. */
void in_order(const char *words, ...) __attribute__((sentinel));
/* Addresses of the codes on all pages as a camera sees them at 150 dots an inch, a line each, in the
 * order in which the reader finds them. */
const char *pdf_codes(const char *pdf);
/* The words of a page with their boxes, in points from its upper left corner. */
struct word {
    double x1, y1, x2, y2;
    char text[16]; /* its beginning */
};
size_t words_of(const char *pdf, int page, struct word *out, size_t most);
/* The invented band of the demo with its marks; the clip is gray. */
const char *band_show(void);

#endif
