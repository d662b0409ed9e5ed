#include "field/lock.h"

#include <math.h>
#include <string.h>

#include "field/bar.h"
#include "field/normal.h"
#include "field/says.h"

enum { N = PIECE_PARAMETERS, LEAST_HELD = 30, REWEIGHTS = 6, COARSE = 3 };

static const double last_reach = 3; /* pixels */

static void add_known(const struct lock_ask *ask, const struct camera *c, struct says *s)
{
    says_picks(s, ask->picks, ask->n_picks, c);
    for (int a = 0; a < CAMERA_PARAMETERS; a++)
        if (ask->free[a])
            says_prior(s, a, &ask->prior[a], c->p[a]);
    says_prior(s, PIECE_WIDTH, &(struct prior){0, ask->width_sd}, 0);
}

static struct normal normal_of(const struct lock_ask *ask, struct says *s, bool free[N])
{
    memcpy(free, ask->free, sizeof ask->free);
    free[PIECE_WIDTH] = ask->width_sd > 0;
    return (struct normal){N, s->information[0], s->wish, s->spread[0], free};
}

/* Moves the camera to where the pieces want it. */
static bool correct(const struct lock_ask *ask, struct pieces *all, struct camera *c,
                    double move[N])
{
    struct says s;
    bool free[N];
    const struct normal n = normal_of(ask, &s, free);
    memset(move, 0, N * sizeof *move);
    for (int i = 0; i < REWEIGHTS; i++) {
        says_pieces(all, move, &s);
        add_known(ask, c, &s);
        if (!normal_move(&n, move))
            return false;
    }
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        c->p[k] += move[k];
    return true;
}

static bool too_little(size_t found, struct err *e)
{
    return err_set(e, ERR_INPUT, "only %zu pieces of lines are seen where this camera expects them",
                   found);
}

/* What is known of the camera after its last move. */
static bool sum_up(const struct lock_ask *ask, struct pieces *all, const double move[N],
                   struct lock_fit *out)
{
    struct says s;
    bool free[N];
    const struct normal n = normal_of(ask, &s, free);
    double cov[N][N], unsure[N][N] = {{0}};
    says_left(all, move, &s);
    says_lines(all, &s);
    add_known(ask, &out->camera, &s);
    says_spread(all, move, free, &s);
    for (int a = 0; ask->unsure && a < CAMERA_PARAMETERS; a++)
        memcpy(unsure[a], ask->unsure[a], sizeof ask->unsure[a]);
    if (!normal_cov(&n, unsure[0], cov[0]))
        return false;
    for (int a = 0; a < CAMERA_PARAMETERS; a++)
        memcpy(out->cov[a], cov[a], sizeof out->cov[a]);
    out->width_off = move[PIECE_WIDTH];
    out->rms_px = s.rms_px;
    out->held = s.held;
    out->found = all->n;
    out->expected = all->expected;
    return true;
}

/* The first looks need not see all of the paint to see where it went. */
bool lock_camera(const struct lock_ask *ask, const struct camera *start, struct lock_fit *out,
                 struct err *e)
{
    struct pieces all = {0};
    struct look how = {ask->picture, ask->paint, luma_noise(ask->picture), ask->reach, 1};
    const size_t finest = look_step(how.noise);
    double move[N];
    bool ok = true;
    *out = (struct lock_fit){.camera = *start};
    for (int round = 0; ok && round < ask->rounds; round++) {
        how.step = round + 1 < ask->rounds && ask->paint->n > 1200 ? COARSE : finest;
        pieces_look(&how, &out->camera, &all);
        ok =
            (all.n >= LEAST_HELD && correct(ask, &all, &out->camera, move)) || too_little(all.n, e);
        how.reach = fmax(last_reach, how.reach / 2);
    }
    ok = ok && (sum_up(ask, &all, move, out) || too_little(all.n, e));
    ok = ok && (out->held >= LEAST_HELD || too_little(out->held, e));
    pieces_free(&all);
    return ok;
}
