#include "field/adjust.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/bar.h"
#include "field/inside.h"
#include "field/normal.h"
#include "field/says.h"

enum { REWEIGHTS = 6, FIXED = 6, MOVING = 4, N = PIECE_PARAMETERS };

static const double apart = 24;    /* inches between pieces of paint */
static const double width_sd = 12; /* inches: how far off the sidelines' width may be at first */
static const double thinnest = 2;

/* Where the parameters of a view stand among all: the fixed ones first, then each view's. */
static size_t column(size_t view, int parameter)
{
    static const size_t of[N] = {
        [CAMERA_X] = 0,     [CAMERA_Y] = 1,    [CAMERA_Z] = 2,   [CAMERA_K1] = 3,
        [CAMERA_CROWN] = 4, [PIECE_WIDTH] = 5, [CAMERA_PAN] = 6, [CAMERA_TILT] = 7,
        [CAMERA_ROLL] = 8,  [CAMERA_FOCAL] = 9};
    return of[parameter] < FIXED ? of[parameter] : of[parameter] + view * MOVING;
}

struct work {
    const struct adjust_ask *ask;
    struct adjustment *out;
    struct paint_list paint;
    struct pieces pieces[ADJUST_MOST];
    double noise[ADJUST_MOST];
    struct normal all;
    double *room, *move, *cov;
    bool free[FIXED + MOVING * ADJUST_MOST];
};

static void set_up(struct work *w)
{
    const size_t n = FIXED + MOVING * w->ask->n;
    w->room = xcalloc(3 * n * n + 2 * n, sizeof *w->room);
    w->all = (struct normal){n, w->room, w->room + 3 * n * n, w->room + n * n, w->free};
    w->cov = w->room + 2 * n * n;
    w->move = w->all.wish + n;
    for (size_t v = 0; v < w->ask->n; v++)
        w->noise[v] = luma_noise(w->ask->views[v].picture);
}

static void tear_down(struct work *w)
{
    for (size_t v = 0; v < w->ask->n; v++)
        pieces_free(&w->pieces[v]);
    free(w->room);
}

static bool is_used(const struct work *w, size_t v)
{
    return w->out->fit[v].held > 0;
}

/* --- all equations ------------------------------------------------------------------------------ */

static void view_move(const struct work *w, size_t v, double move[N])
{
    for (int a = 0; a < N; a++)
        move[a] = w->move[column(v, a)];
}

static void add_view(struct work *w, size_t v, const struct says *s)
{
    const size_t n = w->all.n;
    for (int a = 0; a < N; a++) {
        w->all.wish[column(v, a)] += s->wish[a];
        for (int b = 0; b < N; b++) {
            const size_t at = column(v, a) * n + column(v, b);
            w->all.information[at] += s->information[a][b];
            w->all.spread[at] += s->spread[a][b];
        }
    }
}

/* What is usual counts once, with whichever view comes first; of the roll, with each. */
static void add_known(struct work *w, size_t v, bool first, struct says *s)
{
    const struct adjust_view *view = &w->ask->views[v];
    const struct camera *c = &w->out->fit[v].camera;
    says_picks(s, view->picks, view->n, c);
    for (int a = 0; a < CAMERA_PARAMETERS; a++)
        if (first || column(v, a) >= FIXED)
            says_prior(s, a, &(struct prior){usual_prior(a).mean, usual_prior(a).sd}, c->p[a]);
    if (first && w->free[column(v, PIECE_WIDTH)])
        says_prior(s, PIECE_WIDTH, &(struct prior){0, width_sd}, 0);
}

static void clear(struct work *w)
{
    const size_t n = w->all.n;
    memset(w->all.information, 0, n * n * sizeof *w->all.information);
    memset(w->all.spread, 0, n * n * sizeof *w->all.spread);
    memset(w->all.wish, 0, n * sizeof *w->all.wish);
}

/* last: what is left, for the errors; else what moves. */
static void gather(struct work *w, bool last)
{
    bool first = true;
    clear(w);
    for (size_t v = 0; v < w->ask->n; v++) {
        struct says s;
        double move[N];
        if (!is_used(w, v))
            continue;
        view_move(w, v, move);
        if (last) {
            says_left(&w->pieces[v], move, &s);
            says_lines(&w->pieces[v], &s);
        } else {
            says_pieces(&w->pieces[v], move, &s);
        }
        w->out->fit[v].rms_px = s.rms_px;
        w->out->fit[v].held = s.held > 0 ? s.held : 1;
        w->out->fit[v].found = w->pieces[v].n;
        w->out->fit[v].expected = w->pieces[v].expected;
        add_known(w, v, first, &s);
        add_view(w, v, &s);
        first = false;
    }
}

/* --- how far to believe it ---------------------------------------------------------------------- */

struct seen {
    struct stretch stretch;
    size_t view;
};

static int by_stretch(const void *a, const void *b)
{
    const struct seen *x = a, *y = b;
    return (x->stretch.is > y->stretch.is) - (x->stretch.is < y->stretch.is);
}

static size_t all_stretches(struct work *w, struct seen *out)
{
    size_t n = 0;
    for (size_t v = 0; v < w->ask->n; v++) {
        double move[N];
        struct says s;
        if (!is_used(w, v))
            continue;
        struct stretch *of = xcalloc(says_count(&w->pieces[v]) + 1, sizeof *of);
        view_move(w, v, move);
        says_left(&w->pieces[v], move, &s);
        const size_t many = says_stretches(&w->pieces[v], move, &s, of);
        for (size_t i = 0; i < many; i++)
            out[n++] = (struct seen){of[i], v};
        free(of);
    }
    return n;
}

/* One stretch, in all the views that see it. */
static void add_stretch(struct work *w, const struct seen *seen, size_t views)
{
    const size_t n = w->all.n;
    double *room = xcalloc(n * n + 2 * n, sizeof *room), *sum = room + n * n + n;
    memcpy(room, w->all.information, n * n * sizeof *room);
    for (size_t i = 0; i < views; i++)
        for (int a = 0; a < N; a++) {
            const size_t row = column(seen[i].view, a);
            sum[row] += seen[i].stretch.sum[a];
            for (int b = 0; b < N; b++)
                room[row * n + column(seen[i].view, b)] -= seen[i].stretch.information[a][b];
        }
    says_alone(&w->all, sum, room);
    for (size_t a = 0; a < n; a++)
        for (size_t b = 0; b < n; b++)
            w->all.spread[a * n + b] += says_unmodelled * sum[a] * sum[b];
    free(room);
}

static void add_spread(struct work *w)
{
    size_t most = 1;
    for (size_t v = 0; v < w->ask->n; v++)
        most += is_used(w, v) ? says_count(&w->pieces[v]) : 0;
    struct seen *seen = xcalloc(most, sizeof *seen);
    const size_t many = all_stretches(w, seen);
    qsort(seen, many, sizeof *seen, by_stretch);
    for (size_t i = 0, next; i < many; i = next) {
        for (next = i + 1; next < many && seen[next].stretch.is == seen[i].stretch.is;)
            next++;
        add_stretch(w, &seen[i], next - i);
    }
    free(seen);
}

static double cov_of(const struct work *w, size_t v, int a, int b)
{
    return w->cov[column(v, a) * w->all.n + column(v, b)];
}

/* unsure: NULL, or the covariance of what is not free. */
static bool state_errors(struct work *w, const double *unsure)
{
    gather(w, true);
    add_spread(w);
    if (!normal_cov(&w->all, unsure, w->cov))
        return false;
    for (size_t v = 0; v < w->ask->n; v++)
        for (int a = 0; a < CAMERA_PARAMETERS; a++)
            for (int b = 0; is_used(w, v) && b < CAMERA_PARAMETERS; b++)
                w->out->fit[v].cov[a][b] = cov_of(w, v, a, b);
    return true;
}

/* --- rounds ------------------------------------------------------------------------------------- */

static bool look_and_move(struct work *w, double reach)
{
    for (size_t v = 0; v < w->ask->n; v++) {
        const struct look how = {w->ask->views[v].picture, &w->paint, w->noise[v], reach,
                                 look_step(w->noise[v])};
        if (is_used(w, v))
            pieces_look(&how, &w->out->fit[v].camera, &w->pieces[v]);
    }
    memset(w->move, 0, w->all.n * sizeof *w->move);
    for (int i = 0; i < REWEIGHTS; i++) {
        gather(w, false);
        if (!normal_move(&w->all, w->move))
            return false;
    }
    for (size_t v = 0; v < w->ask->n; v++)
        for (int a = 0; is_used(w, v) && a < CAMERA_PARAMETERS; a++)
            w->out->fit[v].camera.p[a] += w->move[column(v, a)];
    return true;
}

static bool rounds(struct work *w, int n)
{
    paint_of(w->ask->grid, apart, w->out->sideline_width, &w->paint);
    bool ok = true;
    for (int i = 0; ok && i < n; i++)
        ok = look_and_move(w, i == 0 ? 6 : 3);
    if (w->free[column(0, PIECE_WIDTH)])
        w->out->sideline_width =
            fmax(thinnest, w->out->sideline_width + w->move[column(0, PIECE_WIDTH)]);
    paint_free(&w->paint);
    return ok;
}

/* --- all of it ---------------------------------------------------------------------------------- */

/* Each view by itself, from where the first one stands: what moves follows. */
static size_t begin(struct work *w)
{
    const struct camera *first = &w->ask->views[0].camera;
    size_t used = 0;
    paint_of(w->ask->grid, apart, w->out->sideline_width, &w->paint);
    for (size_t v = 0; v < w->ask->n; v++) {
        struct err none;
        struct camera c = w->ask->views[v].camera;
        struct lock_ask ask = {.picture = w->ask->views[v].picture,
                               .paint = &w->paint,
                               .reach = c.width / 80,
                               .rounds = 4};
        for (int a = 0; a < CAMERA_PARAMETERS; a++) {
            ask.free[a] = column(v, a) >= FIXED;
            c.p[a] = ask.free[a] ? c.p[a] : first->p[a];
        }
        if (lock_camera(&ask, &c, &w->out->fit[v], &none))
            used++;
        else
            w->out->fit[v] = (struct lock_fit){.camera = c};
    }
    paint_free(&w->paint);
    for (size_t k = 0; k < w->all.n; k++)
        w->free[k] = k < FIXED || is_used(w, (k - FIXED) / MOVING);
    w->free[column(0, PIECE_WIDTH)] = w->out->sideline_width > 0;
    return used;
}

/* Lens and crown: free first; what was not asked for is taken for nothing, and not known to be. */
static bool bend(struct work *w, size_t first)
{
    static const int bent[] = {CAMERA_K1, CAMERA_CROWN};
    const size_t n = w->all.n;
    struct camera *c = &w->out->fit[first].camera;
    double is[2];
    bool in[2];
    if (!rounds(w, 5) || !rounds(w, 3) || !state_errors(w, NULL))
        return false;
    double *unsure = xcalloc(n * n, sizeof *unsure);
    for (int i = 0; i < 2; i++) {
        in[i] = is_asked_for(bent[i], c->p[bent[i]], cov_of(w, first, bent[i], bent[i]));
        is[i] = in[i] ? 0 : c->p[bent[i]];
        w->free[column(0, bent[i])] = in[i];
    }
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 2; k++)
            unsure[column(0, bent[i]) * n + column(0, bent[k])] =
                cov_of(w, first, bent[i], bent[k]) + is[i] * is[k];
    for (size_t v = 0; v < w->ask->n; v++)
        for (int i = 0; i < 2; i++)
            w->out->fit[v].camera.p[bent[i]] *= in[i];
    w->out->lens = in[0];
    w->out->crown = in[1];
    const bool ok = (in[0] && in[1]) || (rounds(w, 3) && state_errors(w, unsure));
    free(unsure);
    return ok;
}

static void take(struct work *w, size_t first)
{
    w->out->fixed = w->out->fit[first].camera;
    for (int a = 0; a < CAMERA_PARAMETERS; a++)
        for (int b = 0; b < CAMERA_PARAMETERS; b++)
            w->out->cov[a][b] =
                column(0, a) < FIXED && column(0, b) < FIXED ? cov_of(w, first, a, b) : 0;
}

bool adjust(const struct adjust_ask *ask, struct adjustment *out, struct err *e)
{
    struct work w = {.ask = ask, .out = out};
    *out = (struct adjustment){.sideline_width = ask->sideline_width};
    if (ask->n < 1 || ask->n > ADJUST_MOST)
        return err_set(e, ERR_INPUT, "%zu pictures; one to %d are adjusted at once", ask->n,
                       ADJUST_MOST);
    set_up(&w);
    size_t first = 0;
    bool ok = begin(&w) > 0;
    while (ok && !is_used(&w, first))
        first++;
    ok = ok && bend(&w, first);
    if (ok)
        take(&w, first);
    tear_down(&w);
    return ok || err_set(e, ERR_INPUT,
                         "the lines of the pictures do not agree with one camera; are its picks on "
                         "the lines that were named?");
}
