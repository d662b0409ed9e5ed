#include "store/field.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "store/inside.h"
#include "sys/clock.h"

/* --- picks ----------------------------------------------------------------------------------- */

bool store_field_picks(struct store *s, struct arena *a, int64_t clip, struct field_pick_list *out,
                       struct err *e)
{
    *out = (struct field_pick_list){0};
    sqlite3_stmt *q = st_get(s,
                             "SELECT id,at_us,kind,px,py,to_px,to_py,x,y FROM field_pick WHERE "
                             "clip_id=? ORDER BY at_us,id",
                             e);
    struct field_pick *at = NULL;
    size_t cap = 0;
    bool ok = q != NULL;
    if (q)
        sqlite3_bind_int64(q, 1, clip);
    while (q && st_row(s, q, &ok, e)) {
        at = array_grow(at, out->n, &cap, sizeof *at);
        at[out->n++] = (struct field_pick){
            .id = sqlite3_column_int64(q, 0),
            .at_us = sqlite3_column_int64(q, 1),
            .kind = (enum pick_kind)(sqlite3_column_int(q, 2) % 3),
            .at = {sqlite3_column_double(q, 3), sqlite3_column_double(q, 4)},
            .to = {sqlite3_column_double(q, 5), sqlite3_column_double(q, 6)},
            .x = sqlite3_column_double(q, 7),
            .y = sqlite3_column_double(q, 8),
        };
    }
    out->at = arena_take(a, at, out->n * sizeof *at);
    return ok;
}

bool store_field_pick_add(struct store *s, int64_t clip, struct field_pick *p, struct err *e)
{
    if (!step_open(s, "pick", e))
        return false;
    sqlite3_stmt *q = st_get(s,
                             "INSERT INTO field_pick(clip_id,at_us,kind,px,py,to_px,to_py,x,y,"
                             "author,made_at,changed_at,uid,id) VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,"
                             "?10,?11,?11,?12," FRESH_ID("field_pick") ")",
                             e);
    if (!q)
        return step_close(s, false, e);
    sqlite3_bind_int64(q, 1, clip);
    sqlite3_bind_int64(q, 2, p->at_us);
    sqlite3_bind_int(q, 3, p->kind);
    sqlite3_bind_double(q, 4, p->at.x);
    sqlite3_bind_double(q, 5, p->at.y);
    if (p->kind != PICK_SPOT) {
        sqlite3_bind_double(q, 6, p->to.x);
        sqlite3_bind_double(q, 7, p->to.y);
    }
    if (p->kind != PICK_ALONG)
        sqlite3_bind_double(q, 8, p->x);
    if (p->kind != PICK_YARD_LINE)
        sqlite3_bind_double(q, 9, p->y);
    st_text(q, 10, s->author);
    sqlite3_bind_int64(q, 11, clock_wall_ms());
    st_uid(q, 12);
    const bool ok = st_done(s, q, e);
    p->id = ok ? sqlite3_last_insert_rowid(s->db) : 0;
    return step_close(s, ok, e);
}

bool store_field_pick_remove(struct store *s, int64_t id, struct err *e)
{
    if (!step_open(s, "take a pick off", e))
        return false;
    sqlite3_stmt *q = st_get(s, "DELETE FROM field_pick WHERE id=?", e);
    if (!q)
        return step_close(s, false, e);
    sqlite3_bind_int64(q, 1, id);
    const bool ok =
        undo_keep_numbers(s, e) && st_done(s, q, e) &&
        (sqlite3_changes(s->db) > 0 || err_set(e, ERR_INPUT, "that pick is not there any more"));
    return step_close(s, ok, e);
}

bool store_field_picks_ground(struct store *s, const struct grid *from, const struct grid *to,
                              struct err *e)
{
    const double y[] = {from->front_hash, from->back_hash, from->back_sideline,
                        to->front_hash,   to->back_hash,   to->back_sideline};
    if (!step_open(s, NULL, e))
        return false;
    sqlite3_stmt *q = st_get(s,
                             "UPDATE field_pick SET y=CASE WHEN abs(y-?1)<1e-3 THEN ?4 WHEN "
                             "abs(y-?2)<1e-3 THEN ?5 WHEN abs(y-?3)<1e-3 THEN ?6 ELSE y END "
                             "WHERE y IS NOT NULL",
                             e);
    for (int i = 0; q && i < 6; i++)
        sqlite3_bind_double(q, i + 1, y[i]);
    return step_close(s, q && st_done(s, q, e), e);
}

/* --- the track ------------------------------------------------------------------------------- */

/* False, the error unset: its bytes are no track's. */
static bool take_track(sqlite3_stmt *q, struct track *t)
{
    *t = (struct track){
        .fixed = {.width = sqlite3_column_double(q, 0), .height = sqlite3_column_double(q, 1)},
        .sideline_width = sqlite3_column_double(q, 8),
        .from_us = sqlite3_column_int64(q, 9),
        .to_us = sqlite3_column_int64(q, 10),
        .whole = sqlite3_column_int(q, 11) != 0,
        .checked = sqlite3_column_double(q, 12),
        .checked_lines = sqlite3_column_int(q, 13),
        .views = sqlite3_column_int(q, 14),
    };
    for (int k = 0; k < 3; k++)
        t->fixed.p[CAMERA_X + k] = sqlite3_column_double(q, 2 + k);
    t->fixed.p[CAMERA_K1] = sqlite3_column_double(q, 5);
    t->fixed.p[CAMERA_CROWN] = sqlite3_column_double(q, 6);
    bool sound = t->fixed.width > 0 && t->fixed.height > 0 && t->checked_lines >= 0 &&
                 isfinite(t->checked) && isfinite(t->sideline_width);
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        sound &= isfinite(t->fixed.p[k]);
    return sound &&
           track_unsure_take(sqlite3_column_blob(q, 7), (size_t)sqlite3_column_bytes(q, 7), t);
}

static bool take_pieces(struct store *s, struct arena *a, int64_t clip, struct track *t,
                        bool *whole, struct err *e)
{
    sqlite3_stmt *q = st_get(
        s, "SELECT from_us,frames,cov,bends FROM camera_piece WHERE clip_id=? ORDER BY from_us", e);
    struct track_piece *at = NULL;
    size_t cap = 0;
    int64_t last = 0;
    bool ok = q != NULL;
    if (q)
        sqlite3_bind_int64(q, 1, clip);
    while (q && st_row(s, q, &ok, e)) {
        const size_t n = (size_t)sqlite3_column_bytes(q, 1);
        struct track_piece p = {.from_us = sqlite3_column_int64(q, 0)};
        p.at = arena_alloc(a, (n / TRACK_FRAME_BYTES + 1) * sizeof *p.at);
        *whole &=
            track_frames_take(sqlite3_column_blob(q, 1), n, &p) &&
            track_cov_take(sqlite3_column_blob(q, 2), (size_t)sqlite3_column_bytes(q, 2), &p) &&
            track_bends_take(sqlite3_column_blob(q, 3), (size_t)sqlite3_column_bytes(q, 3), &p);
        *whole &= *whole && (t->n == 0 || p.at[0].us > last);
        last = *whole ? p.at[p.n - 1].us : 0;
        at = array_grow(at, t->n, &cap, sizeof *at);
        at[t->n++] = p;
    }
    t->at = arena_take(a, at, t->n * sizeof *at);
    return ok;
}

bool store_track(struct store *s, struct arena *a, const struct track_key *key, struct track *out,
                 struct err *e)
{
    bool ok = true, sound = false;
    *out = (struct track){0};
    sqlite3_stmt *q =
        st_get(s,
               "SELECT width,height,x,y,z,k1,crown,unsure,sideline,from_us,to_us,"
               "whole,checked,checked_lines,views FROM camera_track WHERE clip_id=? AND "
               "made_from=?",
               e);
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, key->clip);
    sqlite3_bind_int64(q, 2, (int64_t)key->made_from);
    if (st_row(s, q, &ok, e)) {
        sound = take_track(q, out);
        sqlite3_reset(q);
    }
    ok = ok && (!sound || take_pieces(s, a, key->clip, out, &sound, e));
    if (!sound)
        *out = (struct track){0};
    return ok;
}

static bool drop(struct store *s, int64_t clip, struct err *e)
{
    sqlite3_stmt *pieces = st_get(s, "DELETE FROM camera_piece WHERE clip_id=?", e),
                 *track = st_get(s, "DELETE FROM camera_track WHERE clip_id=?", e);
    if (!pieces || !track)
        return false;
    sqlite3_bind_int64(pieces, 1, clip);
    sqlite3_bind_int64(track, 1, clip);
    return st_done(s, pieces, e) && st_done(s, track, e);
}

/* Another program has found it from the same picks meanwhile, and perhaps followed it. */
static bool is_there(struct store *s, const struct track_key *key, bool *there, struct err *e)
{
    struct arena memory = {0};
    struct track t;
    const bool ok = store_track(s, &memory, key, &t, e);
    *there = ok && t.n > 0;
    arena_free(&memory);
    return ok;
}

bool store_track_begin(struct store *s, const struct track_key *key, const struct track *t,
                       struct err *e)
{
    bool there;
    if (!step_open(s, NULL, e))
        return false;
    if (!is_there(s, key, &there, e) || there)
        return step_close(s, there, e);
    sqlite3_stmt *q = drop(s, key->clip, e)
                          ? st_get(s,
                                   "INSERT INTO camera_track VALUES(?1,?2,?3,?4,?5,?6,?7,?8,?9,"
                                   "?10,?11,?12,?13,0,?14,?15,?16,?17)",
                                   e)
                          : NULL;
    if (!q)
        return step_close(s, false, e);
    unsigned char unsure[TRACK_UNSURE_BYTES];
    const double *p = t->fixed.p;
    const double reals[] = {p[CAMERA_X], p[CAMERA_Y], p[CAMERA_Z], p[CAMERA_K1], p[CAMERA_CROWN]};
    track_unsure_put(t, unsure);
    sqlite3_bind_int64(q, 1, key->clip);
    sqlite3_bind_int64(q, 2, (int64_t)key->made_from);
    sqlite3_bind_int64(q, 3, (int64_t)t->fixed.width);
    sqlite3_bind_int64(q, 4, (int64_t)t->fixed.height);
    for (int i = 0; i < 5; i++)
        sqlite3_bind_double(q, 5 + i, reals[i]);
    sqlite3_bind_blob(q, 10, unsure, sizeof unsure, SQLITE_TRANSIENT);
    sqlite3_bind_double(q, 11, t->sideline_width);
    sqlite3_bind_int64(q, 12, 1); /* nothing is followed yet: from behind to */
    sqlite3_bind_int64(q, 13, 0);
    if (t->checked_lines)
        sqlite3_bind_double(q, 14, t->checked);
    sqlite3_bind_int(q, 15, t->checked_lines);
    sqlite3_bind_int(q, 16, t->views);
    sqlite3_bind_int64(q, 17, clock_wall_ms());
    return step_close(s, st_done(s, q, e), e);
}

static bool put_piece(struct store *s, int64_t clip, const struct track_piece *p, struct err *e)
{
    sqlite3_stmt *q = st_get(s, "INSERT OR REPLACE INTO camera_piece VALUES(?,?,?,?,?)", e);
    if (!q)
        return false;
    const size_t n = p->n * TRACK_FRAME_BYTES;
    unsigned char cov[TRACK_COV_BYTES], *frames = xcalloc(n + 1, 1);
    const size_t n_bends = track_bent(p) ? p->n * TRACK_BEND_BYTES : 0;
    unsigned char *bends = xcalloc(n_bends + 1, 1);
    track_frames_put(p, frames);
    track_cov_put(p, cov);
    if (n_bends)
        track_bends_put(p, bends);
    sqlite3_bind_int64(q, 1, clip);
    sqlite3_bind_int64(q, 2, p->from_us);
    sqlite3_bind_blob(q, 3, frames, (int)n, SQLITE_TRANSIENT);
    sqlite3_bind_blob(q, 4, cov, sizeof cov, SQLITE_TRANSIENT);
    if (n_bends)
        sqlite3_bind_blob(q, 5, bends, (int)n_bends, SQLITE_TRANSIENT);
    free(bends);
    free(frames);
    return st_done(s, q, e);
}

/* What is followed as it stands in the file; *there is false when the clip's track is another. */
static bool followed(struct store *s, const struct track_key *key, struct track *out, bool *there,
                     struct err *e)
{
    bool ok = true;
    sqlite3_stmt *q =
        st_get(s, "SELECT from_us,to_us FROM camera_track WHERE clip_id=? AND made_from=?", e);
    *there = false;
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, key->clip);
    sqlite3_bind_int64(q, 2, (int64_t)key->made_from);
    if (st_row(s, q, &ok, e)) {
        *there = true;
        *out = (struct track){.from_us = sqlite3_column_int64(q, 0),
                              .to_us = sqlite3_column_int64(q, 1)};
        sqlite3_reset(q);
    }
    return ok;
}

/* Without the frames that another program has followed meanwhile: pieces do not overlap. */
static struct track_piece rest_of(const struct track_piece *p, const struct track *done)
{
    struct track_piece rest = *p;
    while (rest.n > 0 && rest.at[0].us >= done->from_us && rest.at[0].us <= done->to_us) {
        rest.at++;
        rest.n--;
    }
    while (rest.n > 0 && rest.at[rest.n - 1].us >= done->from_us &&
           rest.at[rest.n - 1].us <= done->to_us)
        rest.n--;
    if (rest.n > 0)
        rest.from_us = rest.at[0].us;
    return rest;
}

bool store_track_add(struct store *s, const struct track_key *key,
                     const struct track_pieces *pieces, bool *kept, struct err *e)
{
    struct track done = {0};
    *kept = false;
    if (!step_open(s, NULL, e))
        return false;
    bool ok = followed(s, key, &done, kept, e);
    if (!ok || !*kept)
        return step_close(s, ok, e);
    const struct track *t = pieces->track;
    const bool none = done.from_us > done.to_us;
    sqlite3_stmt *q = st_get(
        s, "UPDATE camera_track SET from_us=?,to_us=?,whole=max(whole,?) WHERE clip_id=?", e);
    ok = q != NULL;
    if (q) {
        sqlite3_bind_int64(q, 1, none || t->from_us < done.from_us ? t->from_us : done.from_us);
        sqlite3_bind_int64(q, 2, none || t->to_us > done.to_us ? t->to_us : done.to_us);
        sqlite3_bind_int(q, 3, t->whole);
        sqlite3_bind_int64(q, 4, key->clip);
        ok = st_done(s, q, e);
    }
    for (size_t i = 0; ok && i < pieces->n; i++) {
        const struct track_piece rest = rest_of(&pieces->at[i], &done);
        ok = rest.n == 0 || put_piece(s, key->clip, &rest, e);
    }
    *kept = step_close(s, ok, e);
    return *kept;
}
