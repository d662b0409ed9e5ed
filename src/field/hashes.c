#include "field/hashes.h"

#include "field/bar.h"
#include "field/pieces.h"

double hashes_seen(const struct luma *picture, const struct camera *c, const struct grid *g)
{
    enum { ENOUGH = 20 };
    static const double reach = 4, near = 2; /* pixels: looked for, and where it should be */
    struct paint_list paint;
    size_t expected = 0, seen = 0;
    paint_of(g, 24, 0, &paint);
    const struct look how = {picture, &paint, luma_noise(picture), reach, 1};
    for (size_t i = 0; i < paint.n; i++) {
        const struct painted *p = &paint.at[i];
        struct pixel at;
        double offset, pixels_an_inch;
        if (p->kind != PAINT_HASH || !camera_sees(c, p->at, &at, NULL) || at.x < reach ||
            at.y < reach || at.x > c->width - reach || at.y > c->height - reach)
            continue;
        expected++;
        seen += piece_find(&how, c, p, &offset, &pixels_an_inch) && offset < near && offset > -near;
    }
    paint_free(&paint);
    return expected < ENOUGH ? 0 : (double)seen / (double)expected;
}
