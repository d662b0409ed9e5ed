/* The line being typed, on a row of the canvas. */
#ifndef SCREEN_LINE_H
#define SCREEN_LINE_H

#include "command/prompt.h"
#include "screen/canvas.h"

void prompt_draw(const struct prompt *p, struct canvas *c, int row);

#endif
