#include "app/one_run.h"

bool run_time(const struct run_clock *c, int64_t us, int64_t *out)
{
    struct spot spot;
    struct map_time when;
    *out = us;
    if (c->own == c->lead)
        return true;
    if (!map_at(c->own, us, &spot))
        return false;
    const struct place place = {spot.set, spot.count, spot.hold_s};
    /* The same passage, if it was played more than once. */
    if (map_when(c->lead, spot.stretch, &place, &when, 1) == 0 &&
        map_when(c->lead, -1, &place, &when, 1) == 0)
        return false;
    *out = when.us;
    return true;
}

void run_stretch(const struct run_clock *c, const struct stretch *at,
                 void (*fn)(void *ctx, const struct stretch *piece), void *ctx)
{
    size_t n;
    if (c->own == c->lead) {
        fn(ctx, at);
        return;
    }
    const struct map_span *spans = map_spans(c->own, &n);
    for (size_t i = 0; i < n; i++) {
        const int64_t from = spans[i].from_us > at->from_us ? spans[i].from_us : at->from_us;
        const int64_t to = spans[i].to_us < at->to_us ? spans[i].to_us : at->to_us;
        struct stretch piece;
        /* The last microsecond of the piece: its end may be the next set's. */
        if (to > from && run_time(c, from, &piece.from_us) && run_time(c, to - 1, &piece.to_us) &&
            piece.to_us++ >= piece.from_us)
            fn(ctx, &piece);
    }
}
