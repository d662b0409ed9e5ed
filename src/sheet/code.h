/* A QR code (ISO/IEC 18004) beside a line, at level M. Inner to the room. */
#ifndef SHEET_CODE_H
#define SHEET_CODE_H

#include "sheet/pen.h"

/* 18 mm; the quiet zone of four squares lies around it. */
#define CODE_SIDE (18 / 25.4 * 72)

/* How wide a code with its quiet zone is, for an address of this length; 0: it is too long. */
double code_width(size_t bytes);
/* Draws it with the quiet zone's corner at x, y. A failure is told through the pen. */
void code_put(struct pen *p, const char *text, double x, double y);

#endif
