/* One performer as seen from the box: legs, torso, head, and what the section carries. */
#ifndef DEMO_FIGURE_H
#define DEMO_FIGURE_H

#include "demo/view.h"
#include "demo/canvas.h"
#include "demo/stance.h"

struct look; /* how a section is dressed and what it plays */

/* By the section's name; an unknown section gets a plain uniform. */
const struct look *look_of(const char *section);
/* build in 0..1 varies height and skin from one performer to the next. */
void figure_draw(struct canvas *canvas, const struct view *w, const struct look *look,
                 const struct stance *s, double build);

/* What a low sun throws, in the color that is set. */
void figure_shadow(struct canvas *canvas, const struct view *w, const struct stance *s);

#endif
