/* A click on the picture. */
#ifndef COMMAND_POINTED_H
#define COMMAND_POINTED_H

#include "command/desk.h"

/* x, y: 0..1 from the picture's top left corner; sd_px: how well it points, in pixels of the picture as
 * shown (a cell of a terminal is coarse). True: it was meant for who measures, or for the chord. */
bool desk_pointed(struct desk *d, double x, double y, double sd_px);

#endif
