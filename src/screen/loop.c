/* The loop: waits for keys, the player and signals; lets commands change the desk, then draws. It
 * never waits for the player or for the picture. */
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/hash.h"
#include "command/field.h"
#include "command/hold.h"
#include "command/measuring.h"
#include "command/pointed.h"
#include "command/session.h"
#include "pane/pane.h"
#include "screen/draw.h"
#include "screen/loop.h"
#include "screen/over.h"
#include "screen/stills.h"
#include "screen/tty.h"
#include "sys/clock.h"

enum { TICK_MS = 500, FDS = 6 };
/* How long the terminal may take to answer for the last picture before it is given back. */
enum { PATIENCE_US = 500000 };

struct loop {
    struct desk *d;
    struct canvas canvas;
    struct pane *pane;
    struct stills *stills;
    bool anew; /* the pane has another place since the stills were asked */
    struct term_caps caps;
    struct rect placed; /* where the pane is */
    const struct screen *placed_for;
    bool dirty;        /* the canvas must be drawn */
    int64_t polled_us; /* when the player was asked last; monotonic */
    int idle_fd;       /* tests: told before each wait */
    bool overlaid;
    bool stopping;      /* SIGTSTP came */
    int64_t stop_by_us; /* and is followed by then; monotonic */
    bool stuck;         /* that an answer does not end was said */
    /* What lay over the picture when it was offered last, as a digest; and room to draw it. */
    uint64_t over;
    struct buf drawn;
    /* The newest picture, offered again when the pane comes back while the clip stands still. */
    struct buf picture;
    struct player_frame shown;
};

static bool same(struct rect a, struct rect b)
{
    return a.row == b.row && a.col == b.col && a.rows == b.rows && a.cols == b.cols;
}

/* How many times as large as the pane the picture is wanted, for a part of it to be looked at. */
static int times_of(const struct loop *l, int width)
{
    enum { WIDEST = 4096 };
    const struct measuring *m = measuring_open(l->d);
    int times = m && !l->d->play.playing ? 1 << m->zoom : 1;
    while (times > 1 && width * times > WIDEST)
        times /= 2;
    return times;
}

/* Puts the pane where the canvas left its hole; takes the picture off where there is none. */
static void fit_pane(struct loop *l)
{
    struct rect hole = l->canvas.hole;
    int w, h;
    if (!l->pane)
        return;
    if (!same(hole, l->placed) || l->placed_for != l->d->screen) {
        if (l->placed.rows > 0)
            pane_hide(l->pane);
        pane_hole(l->pane, hole.row, hole.col, hole.rows, hole.cols);
        l->placed = hole;
        l->placed_for = l->d->screen;
        l->anew = true;
        l->over = 0; /* it is offered again */
    }
    enum pane_pace pace = l->d->play.playing ? PANE_MOVING : PANE_STILL;
    if (hole.rows > 0 && !l->d->screen->still && l->d->player &&
        pane_wanted(l->pane, pace, &w, &h)) {
        const int times = times_of(l, w);
        player_pane_size(l->d->player, w * times, h * times);
    }
}

static uint64_t over_digest(const struct over *o, int times)
{
    uint64_t h = hash_more(HASH_BEGIN, &times, sizeof times);
    for (size_t i = 0; i < o->n_lines; i++) {
        const struct over_line *x = &o->lines[i];
        const double all[] = {(double)x->kind, x->x0, x->y0, x->x1, x->y1};
        h = hash_more(h, all, sizeof all);
    }
    for (size_t i = 0; i < o->n_dots; i++) {
        const struct over_dot *x = &o->dots[i];
        const double all[] = {(double)x->kind, x->x, x->y};
        h = hash_more(h, all, sizeof all);
        h = hash_more(h, x->label, strlen(x->label));
    }
    return h ? h : 1;
}

/* Offers a picture with what lies over it. */
static void offer(struct loop *l, const struct player_frame *f, enum pane_pace pace, bool anew)
{
    struct arena mem = {0};
    struct over o;
    int w, h;
    over_make(l->d, &mem, &o);
    const uint64_t digest = over_digest(&o, o.times);
    const struct clip *c = desk_current(l->d);
    if ((anew || digest != l->over) && c && pane_wanted(l->pane, pace, &w, &h)) {
        const struct over_frame at =
            over_fitted(l->d->play.width > 0 ? l->d->play.width : f->width,
                        l->d->play.height > 0 ? l->d->play.height : f->height, f->width, f->height);
        struct pane_image im = {f->rgba, f->width, f->height, f->stride};
        if (f->width >= w && f->height >= h && (o.n_lines || o.n_dots || f->width > w))
            im = over_paint(&o, &at, &im, &(struct over_room){w, h, &l->drawn});
        if (pane_picture(l->pane, &im, pace))
            l->over = digest;
    }
    over_free(&o);
    arena_free(&mem);
}

/* While the clip stands still, the same picture again once something else lies over it. */
static void offer_again(struct loop *l)
{
    if (!l->pane || l->placed.rows <= 0 || l->d->screen->still || !l->picture.n ||
        l->d->play.playing)
        return;
    l->shown.rgba = (const uint8_t *)l->picture.p;
    offer(l, &l->shown, PANE_STILL, false);
}

static void take_picture(struct loop *l)
{
    struct player_frame f;
    if (!l->pane || !l->d->player || l->placed.rows <= 0 || l->d->screen->still ||
        !player_frame(l->d->player, &f))
        return;
    enum pane_pace pace = l->d->play.playing ? PANE_MOVING : PANE_STILL;
    offer(l, &f, pace, true);
    if (pace == PANE_STILL) {
        buf_clear(&l->picture);
        buf_add(&l->picture, f.rgba, f.stride * (size_t)f.height);
        l->shown = f;
    }
}

static void overlay(struct loop *l)
{
    struct desk *d = l->d;
    struct buf ass = {0};
    if (d->view != PLAYER_WINDOW || !d->player)
        return;
    const struct over_frame at = {d->play.in_window_x, d->play.in_window_y, d->play.in_window_w,
                                  d->play.in_window_h};
    struct arena mem = {0};
    struct over o;
    over_make(d, &mem, &o);
    over_shapes(&o, &at, &ass);
    over_free(&o);
    arena_free(&mem);
    overlay_text(d, &ass);
    if (ass.n || l->overlaid)
        player_overlay(d->player, buf_text(&ass));
    l->overlaid = ass.n > 0;
    buf_free(&ass);
}

static void draw(struct loop *l)
{
    int rows, cols;
    tty_dimensions(&rows, &cols);
    canvas_size(&l->canvas, rows, cols);
    draw_desk(l->d, &l->canvas);
    fit_pane(l);
    offer_again(l);
    overlay(l);
    l->dirty = false;
}

/* --- keys ------------------------------------------------------------------------------------ */

static bool fits(const struct loop *l)
{
    return l->canvas.rows >= LEAST_ROWS && l->canvas.cols >= LEAST_COLS;
}

/* A click on the picture, by somebody who measures or names whom a chord means. */
static bool pointed(struct loop *l, int row, int col)
{
    const struct rect r = l->placed;
    struct pane_spot at;
    int w, h;
    const struct player_state *p = &l->d->play;
    const struct measuring *m = measuring_open(l->d);
    if (!l->pane || r.rows <= 0 || row < r.row || row >= r.row + r.rows || col < r.col ||
        col >= r.col + r.cols || l->d->screen->still || !(m || chord_open(l->d)) ||
        !pane_wanted(l->pane, PANE_STILL, &w, &h) || p->width <= 0)
        return false;
    const int times = times_of(l, w);
    const struct over_frame fit = over_fitted(p->width, p->height, w, h);
    const double u = (col + 0.5 - r.col) / r.cols, v = (row + 0.5 - r.row) / r.rows;
    at = over_place(m, &fit, times, u, v);
    if (at.x < 0 || at.y < 0 || at.x > 1 || at.y > 1)
        return m != NULL;
    /* anywhere in the cell is as likely: its longer side by the root of twelve */
    const double cell = fmax(p->width / (fit.w * r.cols), p->height / (fit.h * r.rows)) / times;
    return desk_pointed(l->d, at.x, at.y, cell / sqrt(12));
}

static void on_event(struct loop *l, const struct tty_event *ev)
{
    const struct screen *s = l->d->screen;
    l->dirty = true;
    if (ev->kind == TTY_KEY)
        desk_key(l->d, ev->key);
    else if (ev->kind == TTY_PASTE)
        desk_paste(l->d, ev->key);
    else if ((ev->kind == TTY_CLICK || ev->kind == TTY_WHEEL) && line_typed(l->d))
        return; /* the line belongs to a mark or a fault; a click would choose another */
    else if (ev->kind == TTY_CLICK && pointed(l, ev->row, ev->col))
        return;
    else if (ev->kind == TTY_CLICK && s->click && fits(l))
        s->click(l->d, &l->canvas, ev->row, ev->col);
    else if (ev->kind == TTY_WHEEL && s->wheel && fits(l))
        s->wheel(l->d, ev->wheel);
    else if (ev->kind == TTY_RESIZE && l->pane)
        pane_forget(l->pane);
}

/* The picture comes off first. The terminal is given back once nothing is half written and what was
 * asked of it is answered: the shell would take a late answer for typing. */
static void begin_stop(struct loop *l)
{
    l->stopping = true;
    l->stop_by_us = clock_mono_us() + PATIENCE_US;
    if (l->pane) {
        pane_hide(l->pane);
        pane_hole(l->pane, 0, 0, 0, 0);
    }
    l->placed = (struct rect){0};
}

static bool may_leave(const struct loop *l)
{
    if (!l->pane || clock_mono_us() >= l->stop_by_us)
        return !l->pane || !pane_busy(l->pane);
    return pane_awaited(l->pane) == 0 && !pane_busy(l->pane);
}

static bool stop(struct loop *l)
{
    if (!l->stopping || !may_leave(l))
        return l->stopping;
    l->stopping = false;
    tty_stop();
    return true;
}

/* A write may have waited for another program: the next key speaks of where the clip is now. */
static void catch_up(struct loop *l)
{
    enum { STALE_US = 50000 };
    if (clock_mono_us() - l->polled_us < STALE_US)
        return;
    desk_poll(l->d);
    l->polled_us = clock_mono_us();
}

static void take_keys(struct loop *l)
{
    struct tty_event ev;
    while ((ev = tty_next()).kind != TTY_NOTHING) {
        if (ev.kind == TTY_ANSWER && l->pane)
            pane_acknowledge(l->pane, clock_mono_us());
        else if (ev.kind == TTY_STOP)
            begin_stop(l);
        else if (ev.kind != TTY_ANSWER) {
            on_event(l, &ev);
            catch_up(l);
        }
    }
    if (tty_stuck() && !l->stuck) {
        desk_trouble(
            l->d, "an answer of the terminal does not end and takes the keys; Esc twice ends it");
        l->dirty = true;
    }
    l->stuck = tty_stuck();
    struct tty_event typed = {.kind = TTY_KEY};
    while (desk_window_key(l->d, typed.key))
        on_event(l, &typed);
}

/* --- one turn -------------------------------------------------------------------------------- */

static void wait_for_something(struct loop *l, bool drawn)
{
    bool busy = l->pane && pane_busy(l->pane);
    struct pollfd fds[FDS] = {
        {.fd = STDIN_FILENO, .events = POLLIN},
        {.fd = tty_signal_fd(), .events = POLLIN},
        {.fd = l->d->player ? player_fd(l->d->player) : -1, .events = POLLIN},
        {.fd = busy ? pane_fd(l->pane) : -1, .events = POLLOUT},
        {.fd = tty_size_fd(), .events = POLLIN},
        {.fd = stills_fd(l->stills), .events = POLLIN},
    };
    int timeout = hold_tick_ms(l->d, l->d->screen->tick_ms ? l->d->screen->tick_ms : TICK_MS);
    int pane_ms = l->pane ? pane_wait_ms(l->pane, clock_mono_us()) : -1;
    int tty_ms = tty_wait_ms();
    if (pane_ms >= 0 && pane_ms < timeout)
        timeout = pane_ms;
    if (tty_ms >= 0 && tty_ms < timeout)
        timeout = tty_ms;
    bool reading = calls_reading(l->d) || field_marks_reading(l->d);
    if (!drawn)
        timeout = 10; /* the pane was in the middle of a segment */
    if (reading)
        timeout = 0;
    if (drawn && !busy && !reading && !stills_busy(l->stills) && tty_ms < 0 && l->idle_fd >= 0 &&
        poll(fds, FDS, 0) == 0 && write(l->idle_fd, ".", 1) < 0)
        l->idle_fd = -1;
    poll(fds, FDS, timeout);
    if (fds[0].revents & (POLLHUP | POLLERR) || fds[1].revents & POLLIN)
        l->d->quit = true;
}

static void turn(struct loop *l)
{
    l->dirty |= desk_poll(l->d) || l->d->screen->tick;
    l->polled_us = clock_mono_us();
    take_keys(l); /* with the player's newest time */
    if (l->d->screen->tick)
        l->d->screen->tick(l->d, clock_mono_us());
    if (l->d->redraw) {
        l->d->redraw = false;
        l->dirty = true;
        tty_forget();
        if (l->pane)
            pane_forget(l->pane);
        l->anew = true;
    }
    bool pending = l->dirty, aside = stop(l);
    if (l->dirty && !aside && !(l->pane && pane_busy(l->pane))) {
        draw(l);
        if (!(l->pane && pane_busy(l->pane))) {
            tty_show(&l->canvas);
            pending = false;
        } else {
            l->dirty = true;
        }
    }
    take_picture(l);
    if (l->placed.rows > 0)
        stills_turn(l->stills, l->d, l->pane, l->anew);
    l->anew = false;
    if (l->pane)
        pane_pump(l->pane, clock_mono_us());
    wait_for_something(l, !pending);
}

/* Keys that come meanwhile are for nobody. */
static void leave(struct loop *l)
{
    begin_stop(l);
    while (!may_leave(l) && clock_mono_us() < l->stop_by_us) {
        struct pollfd fds[] = {
            {.fd = STDIN_FILENO, .events = POLLIN},
            {.fd = pane_busy(l->pane) ? pane_fd(l->pane) : -1, .events = POLLOUT}};
        poll(fds, 2, (int)((l->stop_by_us - clock_mono_us()) / 1000 + 1));
        if ((fds[0].revents | fds[1].revents) & (POLLHUP | POLLERR))
            break;
        for (struct tty_event ev; (ev = tty_next()).kind != TTY_NOTHING;)
            if (ev.kind == TTY_ANSWER)
                pane_acknowledge(l->pane, clock_mono_us());
        pane_pump(l->pane, clock_mono_us());
    }
    pane_close(l->pane);
    tty_close();
}

bool screen_run(struct desk *d, const struct screen_settings *set, struct err *e)
{
    struct loop l = {.d = d, .dirty = true, .idle_fd = -1, .stills = stills_open()};
    struct term_settings want = {.pane = set->pane, .color = set->color};
    const char *idle = getenv("BOXCALL_IDLE_FD");
    if (!tty_open(&want, &l.caps, e)) {
        stills_close(l.stills);
        return false;
    }
    if (idle)
        l.idle_fd = atoi(idle);
    l.canvas.utf8 = l.caps.utf8;
    struct err why;
    if (!pane_open(&l.pane, STDOUT_FILENO, &l.caps, &why))
        desk_trouble(d, "%s", why.text);
    while (!d->quit)
        turn(&l);
    leave(&l);
    stills_close(l.stills);
    canvas_free(&l.canvas);
    buf_free(&l.picture);
    buf_free(&l.drawn);
    return true;
}
