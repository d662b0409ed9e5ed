/* A second sport on the same turf: a soccer pitch of 110 by 60 yd in the middle of the field. */
#ifndef DEMO_SOCCER_H
#define DEMO_SOCCER_H

#include "demo/roller.h"

/* "white", "yellow", "blue" or "red"; false for another name. */
bool soccer_color(const char *name, double rgb[3]);
/* In the roller's color. Laws of the Game, law 1: penalty area 18 yd deep and 44 wide, goal area 6
 * and 20, mark 12 yd before the goal, circle and arcs of 10 yd, corner arcs of 1 (from memory). */
void soccer_draw(const struct roller *r);

#endif
