/* What was pointed at in a clip's pictures, and the camera that was followed from it. */
#ifndef STORE_FIELD_H
#define STORE_FIELD_H

#include "field/solve.h"
#include "field/track.h"
#include "store/store.h"

struct field_pick {
    int64_t id;
    int64_t at_us; /* media time of the picture */
    enum pick_kind kind;
    struct pixel at, to; /* of the picture as it is shown; to: of a line */
    double x, y;         /* grid steps; of a line the one that it is at */
};

struct field_pick_list {
    struct field_pick *at; /* by time, then as they were made: people number them so, from 1 */
    size_t n;
};

bool store_field_picks(struct store *s, struct arena *a, int64_t clip, struct field_pick_list *out,
                       struct err *e);
/* p gets its id. */
bool store_field_pick_add(struct store *s, int64_t clip, struct field_pick *p, struct err *e);
bool store_field_pick_remove(struct store *s, int64_t id, struct err *e);

/* The show is drilled on another ground: a pick on a hash or on the back sideline is on that of the new
 * one, since it was seen there. All clips; no step that can be undone. */
bool store_field_picks_ground(struct store *s, const struct grid *from, const struct grid *to,
                              struct err *e);

/* A clip's track as it was made from a digest of picks and ground. */
struct track_key {
    int64_t clip;
    uint64_t made_from;
};

/* out->n 0: there is none, or it was made from others, or its bytes are no track's. In the arena. */
bool store_track(struct store *s, struct arena *a, const struct track_key *key, struct track *out,
                 struct err *e);
/* Takes the place of the clip's track, without its pieces; one of the same key stays. No step that can
 * be undone, nor are those below. */
bool store_track_begin(struct store *s, const struct track_key *key, const struct track *t,
                       struct err *e);
/* Pieces that were followed, with from_us, to_us and whole of the track as they are then; what another
 * program has followed meanwhile stays as it is. *kept is false, and nothing was written, when the
 * clip's track is another by now. */
struct track_pieces {
    const struct track *track;
    const struct track_piece *at;
    size_t n;
};
bool store_track_add(struct store *s, const struct track_key *key,
                     const struct track_pieces *pieces, bool *kept, struct err *e);

#endif
