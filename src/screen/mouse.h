/* Mouse reports, put together from their bytes (XTerm Control Sequences, "Mouse Tracking"): SGR as
 * "CSI < button ; column ; row M" (pressed) or m (released), and the older "CSI M" with three bytes
 * for terminals that know no other. Curses' own reading is not used: it blocks on a report that it
 * was not asked for, such as the release of a button. */
#ifndef SCREEN_MOUSE_H
#define SCREEN_MOUSE_H

#include <stdbool.h>
#include <stddef.h>

enum mouse_kind { MOUSE_NONE, MOUSE_SGR, MOUSE_BYTES };

struct mouse_report {
    enum mouse_kind kind; /* MOUSE_NONE: no report has begun */
    char text[24];
    size_t n;
};

enum mouse_what { MOUSE_NOTHING, MOUSE_CLICK, MOUSE_UP, MOUSE_DOWN };

struct mouse_event {
    enum mouse_what what; /* the left button went down, the wheel turned */
    int row, col;
};

/* Asks the terminal for reports, and for marks around pasted text (mode 2004); or for their end. */
void mouse_ask(int fd, bool on);

/* One more byte of a report that has begun. True when the report is whole (or no report after all)
 * and *out says what it told; the report is then as before its beginning. */
bool mouse_take(struct mouse_report *r, int byte, struct mouse_event *out);

#endif
