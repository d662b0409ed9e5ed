#include "pane/pane.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "pane/inside.h"

/* A moving picture may spend so many bytes a second, and save up for half a second. */
enum { PURSE_BPS = 1000000, PURSE_MOST = 500000 };
enum { CLOSE_WAIT_MS = 200 };

static const struct drawer *drawer_for(const struct pane *p, enum pane_pace pace)
{
    static const struct drawer *const by_kind[] = {
        [TERM_PANE_CELLS] = &draw_cells,
        [TERM_PANE_SYMBOLS] = &draw_symbols,
        [TERM_PANE_SIXEL] = &draw_sixel,
        [TERM_PANE_KITTY] = &draw_sent,
    };
    const enum term_pane kind = pace == PANE_STILL ? p->caps.still : p->caps.moving;
    return kind == TERM_PANE_KITTY && p->caps.kitty_shm ? &draw_shared : by_kind[kind];
}

bool pane_open(struct pane **out, int out_fd, const struct term_caps *caps, struct err *e)
{
    struct pane *p = xcalloc(1, sizeof *p);
    p->caps = *caps;
    p->purse = PURSE_MOST;
    if (!wire_open(&p->wire, out_fd, caps->dsr, PANE_FLIGHT, e)) {
        free(p);
        return false;
    }
    cells_open(&p->cells, caps->colors, caps->utf8);
    p->cells.light = caps->light;
    *out = p;
    return true;
}

static void drop_pictures(struct pane *p)
{
    p->next.present = p->cur.present = p->drawing = false;
}

static struct brush brush_on(struct pane *p)
{
    return (struct brush){.out = &p->wire.segment,
                          .colors = p->caps.colors,
                          .synchronized = p->caps.synchronized,
                          .room = PANE_CELL_ROOM};
}

/* Takes images off and, if asked, blanks the hole; at once, behind a segment that is partly out. */
static void take_off(struct pane *p, bool blank)
{
    drop_pictures(p);
    images_give_up(p);
    if (p->wire.dead || !(blank || images_any(p)))
        return;
    const bool alone = !wire_busy(&p->wire);
    struct brush b = brush_on(p);
    brush_begin(&b);
    images_end_cut(p, b.out);
    images_off(p, b.out);
    for (int i = 0; blank && i < p->cells.rows; i++)
        brush_blank(&b, p->cells.row + i, p->cells.col, p->cells.cols);
    brush_end(&b, alone && p->wire.answers);
    cells_forget(&p->cells);
    wire_write(&p->wire, p->purse_us);
}

void pane_close(struct pane *p)
{
    if (!p)
        return;
    pane_hide(p);
    wire_drain(&p->wire, CLOSE_WAIT_MS, 0);
    wire_close(&p->wire);
    images_close(p);
    cells_close(&p->cells);
    free(p->next.px);
    free(p->cur.px);
    free(p->grid);
    free(p->coarse);
    free(p);
}

void pane_hole(struct pane *p, int row, int col, int rows, int cols)
{
    if (rows <= 0 || cols <= 0)
        rows = cols = 0;
    const struct cells *c = &p->cells;
    const bool same_font = !term_caps_measure(&p->caps, p->wire.fd);
    if (same_font && row == c->row && col == c->col && rows == c->rows && cols == c->cols)
        return;
    take_off(p, false);
    cells_hole(&p->cells, row, col, rows, cols);
    p->grid = xrealloc(p->grid, (size_t)rows * (size_t)cols * sizeof *p->grid);
    p->coarse = xrealloc(p->coarse, (size_t)rows * (size_t)cols * 2 * sizeof *p->coarse);
}

bool pane_wanted(const struct pane *p, enum pane_pace pace, int *width, int *height)
{
    const struct drawer *d = drawer_for(p, pace);
    if (!d || p->cells.rows == 0 || p->wire.dead)
        return false;
    d->size(p, pace, width, height);
    return true;
}

bool pane_picture(struct pane *p, const struct pane_image *im, enum pane_pace pace)
{
    int w, h;
    if (!pane_wanted(p, pace, &w, &h) || w != im->width || h != im->height)
        return false;
    struct picture *n = &p->next;
    const size_t need = (size_t)w * (size_t)h;
    if (n->room < need) {
        n->px = xrealloc(n->px, need * sizeof *n->px);
        n->room = need;
    }
    for (int y = 0; y < h; y++) {
        const uint8_t *from = im->rgba + (size_t)y * im->stride;
        rgb *to = n->px + (size_t)y * (size_t)w;
        for (int x = 0; x < w; x++)
            to[x] = rgb_of(from + 4 * x);
    }
    p->dropped += n->present;
    n->present = true;
    n->pace = pace;
    n->width = w;
    n->height = h;
    return true;
}

bool pane_point(const struct pane *p, struct pane_click at, int width, int height,
                struct pane_spot *out)
{
    int w, h;
    if (width <= 0 || height <= 0 || !pane_wanted(p, PANE_MOVING, &w, &h))
        return false;
    if (p->cur.present) {
        w = p->cur.width;
        h = p->cur.height;
    }
    const double across = (double)w / width, down = (double)h / height;
    const double scale = across < down ? across : down;
    const double wide = width * scale / w, high = height * scale / h;
    const double px = ((at.col - p->cells.col) / p->cells.cols - (1 - wide) / 2) / wide;
    const double py = ((at.row - p->cells.row) / p->cells.rows - (1 - high) / 2) / high;
    if (!(px >= 0 && px <= 1 && py >= 0 && py <= 1))
        return false;
    *out = (struct pane_spot){px, py};
    return true;
}

static void begin(struct pane *p)
{
    p->drawing = true;
    p->at = 0;
    images_give_up(p);
    drawer_for(p, p->cur.pace)->begin(p);
}

static size_t room_wanted(const struct pane *p, enum pane_pace pace)
{
    return drawer_for(p, pace)->alone ? PANE_FLIGHT : PANE_SEGMENT;
}

/* Takes up the picture that was offered, if it may be begun now. */
static void take_next(struct pane *p, int64_t now_us)
{
    if (!p->next.present || (p->drawing && p->next.pace == p->cur.pace))
        return;
    if (p->next.pace == PANE_MOVING && p->purse <= 0)
        return;
    if (!wire_ready(&p->wire, room_wanted(p, p->next.pace), now_us))
        return;
    const struct picture old = p->cur;
    p->cur = p->next;
    p->next = old;
    p->next.present = false;
    begin(p);
}

static void fill_purse(struct pane *p, int64_t now_us)
{
    if (p->purse_us > 0 && now_us > p->purse_us)
        p->purse += (now_us - p->purse_us) * PURSE_BPS / 1000000;
    if (p->purse > PURSE_MOST)
        p->purse = PURSE_MOST;
    p->purse_us = now_us;
}

/* Puts the next segment of the picture on the wire. */
static void step(struct pane *p)
{
    struct brush b = brush_on(p);
    brush_begin(&b);
    const size_t empty = b.out->n;
    images_end_cut(p, b.out);
    if (drawer_for(p, p->cur.pace)->step(p, &b)) {
        p->drawing = false;
        p->frames++;
    }
    if (b.out->n == empty)
        buf_clear(b.out);
    else
        brush_end(&b, p->wire.answers);
    p->purse -= (int64_t)b.out->n;
}

void pane_pump(struct pane *p, int64_t now_us)
{
    fill_purse(p, now_us);
    while (wire_write(&p->wire, now_us)) {
        take_next(p, now_us);
        if (!p->drawing || !wire_ready(&p->wire, room_wanted(p, p->cur.pace), now_us))
            return;
        step(p);
    }
}

bool pane_busy(const struct pane *p)
{
    return wire_busy(&p->wire);
}

bool pane_pending(const struct pane *p)
{
    return !p->wire.dead && (p->drawing || p->next.present || wire_busy(&p->wire));
}

int pane_fd(const struct pane *p)
{
    return p->wire.fd;
}

int pane_wait_ms(const struct pane *p, int64_t now_us)
{
    if (!pane_pending(p) || pane_busy(p))
        return -1;
    int64_t us = wire_wait_us(&p->wire, now_us);
    if (!p->drawing && p->next.pace == PANE_MOVING && p->purse <= 0) {
        const int64_t saved_us = (1 - p->purse) * 1000000 / PURSE_BPS;
        us = saved_us > us ? saved_us : us;
    }
    return us < 0 ? -1 : (int)((us + 999) / 1000);
}

void pane_acknowledge(struct pane *p, int64_t now_us)
{
    wire_acknowledge(&p->wire, now_us);
}

int pane_awaited(const struct pane *p)
{
    return wire_awaited(&p->wire);
}

void pane_forget(struct pane *p)
{
    cells_forget(&p->cells);
    images_lost(p);
    if (p->cur.present)
        begin(p);
}

void pane_hide(struct pane *p)
{
    take_off(p, p->cells.rows > 0);
}

struct pane_counts pane_counted(const struct pane *p)
{
    return (struct pane_counts){.bytes = p->wire.bytes,
                                .segments = p->wire.segments,
                                .frames = p->frames,
                                .dropped = p->dropped,
                                .flight = p->wire.flight_bytes,
                                .flight_most = p->wire.flight_most,
                                .rate_bps = p->wire.rate_bps};
}
