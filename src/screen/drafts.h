/* The parts of the drafts' screen. Inner to it. */
#ifndef SCREEN_DRAFTS_H
#define SCREEN_DRAFTS_H

#include "command/desk.h"
#include "mark/mark.h"
#include "screen/canvas.h"
#include "talk/draft.h"

/* Where it would be in the drill as a mark: only time, set and count are said. */
struct mark draft_placed(const struct desk *d, const struct draft *x);
/* How sure whoever proposed it is: "sure", "likely", "maybe", "guess". */
const char *draft_sureness(double confidence);
/* The words of the chosen one. */
void drafts_draw_words(const struct desk *d, struct canvas *c, struct rect r);

#endif
