/* The parts of the fix list's screen. Inner to it. */
#ifndef SCREEN_FIXES_H
#define SCREEN_FIXES_H

#include "command/desk.h"
#include "command/screen.h"
#include "screen/canvas.h"

struct fixes_layout {
    int left;            /* columns of the list; a line stands right of it */
    struct rect right;   /* all of the chosen moment: */
    struct rect picture; /* its still */
    struct rect text;    /* its words */
};
struct fixes_layout fixes_layout(const struct canvas *c);

/* The still's room and the words of the chosen moment. */
void fixes_draw_detail(const struct desk *d, struct canvas *c, const struct fixes_layout *at);
bool fixes_still(const struct desk *d, struct screen_still *out);

#endif
