#include "field/lock.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "field/bar.h"
#include "field/normal.h"
#include "field/says.h"

enum { N = PIECE_PARAMETERS, LEAST_HELD = 30, REWEIGHTS = 6, COARSE = 3, LONGEST = 4 };

static const double last_reach = 3; /* pixels */
static const double noisy = 4;      /* grey levels, for each of which a piece is one longer */

/* Which parameters are free, and how many. */
struct freedom {
    int of[N];
    size_t n;
};

static struct freedom freedom_of(const struct lock_ask *ask)
{
    struct freedom f = {.n = 0};
    for (int a = 0; a < CAMERA_PARAMETERS; a++)
        if (ask->free[a])
            f.of[f.n++] = a;
    if (ask->width_sd > 0)
        f.of[f.n++] = PIECE_WIDTH;
    return f;
}

static void add_known(const struct lock_ask *ask, const struct camera *c, struct says *s)
{
    says_picks(s, ask->picks, ask->n_picks, c);
    for (int a = 0; a < CAMERA_PARAMETERS; a++)
        if (ask->free[a])
            says_prior(s, a, &ask->prior[a], c->p[a]);
    says_prior(s, PIECE_WIDTH, &(struct prior){0, ask->width_sd}, 0);
}

/* The free rows: the move that the wish asks for, and the information's inverse. */
static bool solve(const struct freedom *f, const struct says *s, double move[N],
                  double inverse[N][N])
{
    double m[N * N], wish[N], out[N], back[N * N];
    for (size_t i = 0; i < f->n; i++) {
        wish[i] = s->wish[f->of[i]];
        for (size_t k = 0; k < f->n; k++)
            m[i * f->n + k] = s->information[f->of[i]][f->of[k]];
    }
    if (!normal_solve(m, wish, f->n, out, inverse ? back : NULL))
        return false;
    memset(move, 0, N * sizeof *move);
    for (size_t i = 0; i < f->n; i++)
        move[f->of[i]] = out[i];
    if (!inverse)
        return true;
    memset(inverse, 0, N * sizeof *inverse);
    for (size_t i = 0; i < f->n; i++)
        for (size_t k = 0; k < f->n; k++)
            inverse[f->of[i]][f->of[k]] = back[i * f->n + k];
    return true;
}

/* out = a b a' */
static void around(double a[N][N], double b[N][N], double out[N][N])
{
    double half[N][N] = {{0}};
    memset(out, 0, N * sizeof *out);
    for (int i = 0; i < N; i++)
        for (int k = 0; k < N; k++)
            for (int m = 0; m < N; m++)
                half[i][k] += a[i][m] * b[m][k];
    for (int i = 0; i < N; i++)
        for (int k = 0; k < N; k++)
            for (int m = 0; m < N; m++)
                out[i][k] += half[i][m] * a[k][m];
}

/* What the free ones follow when others turn out to be other than they were taken for, and the
 * others themselves: pull = -A^-1 A_fu, ones for what is not free. */
static void add_unsure(const struct lock_ask *ask, const struct says *s, double inverse[N][N],
                       double cov[N][N])
{
    double pull[N][N] = {{0}}, unsure[N][N] = {{0}}, more[N][N];
    for (int k = 0; k < CAMERA_PARAMETERS; k++) {
        if (ask->free[k])
            continue;
        for (int i = 0; i < CAMERA_PARAMETERS; i++) {
            pull[i][k] = i == k;
            for (int m = 0; ask->free[i] && m < N; m++)
                pull[i][k] -= inverse[i][m] * s->information[m][k];
            unsure[i][k] = ask->free[i] ? 0 : ask->unsure[i][k];
        }
    }
    around(pull, unsure, more);
    for (int i = 0; i < N; i++)
        for (int k = 0; k < N; k++)
            cov[i][k] += more[i][k];
}

/* Moves the camera to where the pieces want it. */
static bool correct(const struct lock_ask *ask, struct pieces *all, struct camera *c,
                    double move[N])
{
    const struct freedom f = freedom_of(ask);
    struct says s;
    memset(move, 0, N * sizeof *move);
    for (int i = 0; i < REWEIGHTS; i++) {
        says_pieces(all, move, &s);
        add_known(ask, c, &s);
        if (!solve(&f, &s, move, NULL))
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
    const struct freedom f = freedom_of(ask);
    struct says s;
    double none[N], inverse[N][N], cov[N][N];
    says_spread(all, move, &s);
    add_known(ask, &out->camera, &s);
    if (!solve(&f, &s, none, inverse))
        return false;
    around(inverse, s.spread, cov);
    if (ask->unsure)
        add_unsure(ask, &s, inverse, cov);
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
    const size_t finest = how.noise > 8 ? 1 + (size_t)fmin(LONGEST - 1, how.noise / noisy) : 1;
    double move[N];
    bool ok = true;
    *out = (struct lock_fit){.camera = *start};
    for (int round = 0; ok && round < ask->rounds; round++) {
        how.step = round + 1 < ask->rounds && ask->paint->n > 1200 ? COARSE : finest;
        pieces_look(&how, &out->camera, &all);
        ok = (all.n >= LEAST_HELD && correct(ask, &all, &out->camera, move)) ||
             too_little(all.n, e);
        how.reach = fmax(last_reach, how.reach / 2);
    }
    ok = ok && (sum_up(ask, &all, move, out) || too_little(all.n, e));
    ok = ok && (out->held >= LEAST_HELD || too_little(out->held, e));
    pieces_free(&all);
    return ok;
}
