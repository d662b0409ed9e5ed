/* Pictures made of pixels. */
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <unistd.h>

#include "base/arena.h"
#include "pane/inside.h"

/* Names of the images inside this terminal: one from shared memory, two sent by turns, so that the
 * old one stays until the new one is whole. */
enum { ID_SHARED = 31, ID_SENT_A = 32, ID_SENT_B = 33 };
/* Most pixels: a moving picture, a still from shared memory, a still through the line. */
enum { MOST_MOVING = 960 * 540, MOST_STILL = 1920 * 1080, MOST_SENT = 800 * 450 };
/* Shared memory objects that the terminal may not yet have taken. */
enum { SHARED_MOST = 8 };
/* A strip of sixel is one piece: it is sent only where the line carries it in this time. Some
 * terminals keep few images at once, so there are few strips. */
enum { STRIP_US = 40000, STRIPS = 8 };

static struct kitty_image image_of(const struct pane *p, uint32_t id)
{
    return (struct kitty_image){.id = id,
                                .width = p->cur.width,
                                .height = p->cur.height,
                                .cols = p->cells.cols,
                                .rows = p->cells.rows};
}

/* --- kitty, shared memory ------------------------------------------------------------------ */

static void size_shared(const struct pane *p, enum pane_pace pace, int *width, int *height)
{
    shape_pixels(p, pace == PANE_MOVING ? MOST_MOVING : MOST_STILL, width, height);
}

static void begin_nothing(struct pane *p)
{
    (void)p;
}

static void shared_name(unsigned serial, char *name, size_t cap)
{
    snprintf(name, cap, "/boxcall-%ld-%u", (long)getpid(), serial % SHARED_MOST);
}

static bool share(const char *name, const struct picture *c)
{
    const size_t pixels = (size_t)c->width * (size_t)c->height, n = pixels * 3;
    shm_unlink(name);
    const int fd = shm_open(name, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0)
        return false;
    uint8_t *to = MAP_FAILED;
    if (posix_fallocate(fd, 0, (off_t)n) == 0)
        to = mmap(NULL, n, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
    close(fd);
    if (to == MAP_FAILED) {
        shm_unlink(name);
        return false;
    }
    rgb_pack(to, c->px, pixels);
    munmap(to, n);
    return true;
}

static bool step_shared(struct pane *p, struct brush *b)
{
    char name[64];
    shared_name(p->images.serial++, name, sizeof name);
    if (!share(name, &p->cur))
        return true; /* no memory for it: this picture is left out */
    const struct kitty_image im = image_of(p, ID_SHARED);
    brush_move(b, p->cells.row, p->cells.col);
    kitty_shared(b->out, &im, name);
    p->images.shared_on = true;
    return true;
}

const struct drawer draw_shared = {true, size_shared, begin_nothing, step_shared};

/* --- kitty, in the stream ------------------------------------------------------------------ */

static void size_sent(const struct pane *p, enum pane_pace pace, int *width, int *height)
{
    (void)pace;
    shape_pixels(p, MOST_SENT, width, height);
}

static void stop_deflate(struct images *im)
{
    if (im->deflating)
        deflateEnd(&im->deflate);
    im->deflating = false;
}

/* What is being sent will not be completed. */
static void give_up(struct images *im)
{
    stop_deflate(im);
    im->cut |= im->begun;
    im->sending = 0;
    im->begun = false;
}

static void begin_sent(struct pane *p)
{
    struct images *im = &p->images;
    im->row = xrealloc(im->row, (size_t)p->cur.width * 3);
    im->deflate = (z_stream){0};
    im->deflating = deflateInit(&im->deflate, 2) == Z_OK;
    im->sending = im->sent_on == ID_SENT_A ? ID_SENT_B : ID_SENT_A;
}

/* Deflates on from row p->at until a chunk is full or the picture at its end; returns its bytes. */
static size_t next_chunk(struct pane *p, uint8_t chunk[KITTY_CHUNK], bool *last)
{
    struct images *im = &p->images;
    z_stream *z = &im->deflate;
    const size_t width = (size_t)p->cur.width;
    int status = Z_OK;
    z->next_out = chunk;
    z->avail_out = KITTY_CHUNK;
    while (z->avail_out > 0 && status == Z_OK) {
        if (z->avail_in == 0 && p->at < (size_t)p->cur.height) {
            rgb_pack(im->row, p->cur.px + p->at++ * width, width);
            z->next_in = im->row;
            z->avail_in = (uInt)(width * 3);
        }
        const bool end = z->avail_in == 0 && p->at == (size_t)p->cur.height;
        status = deflate(z, end ? Z_FINISH : Z_NO_FLUSH);
    }
    *last = status != Z_OK;
    return KITTY_CHUNK - z->avail_out;
}

static bool step_sent(struct pane *p, struct brush *b)
{
    struct images *im = &p->images;
    if (!im->deflating)
        return true;
    uint8_t chunk[KITTY_CHUNK];
    bool last;
    const size_t n = next_chunk(p, chunk, &last);
    const struct kitty_image image = image_of(p, im->sending);
    kitty_chunk(b->out, &image, &(struct kitty_piece){chunk, n, !im->begun, last});
    im->begun = !last;
    if (!last)
        return false;
    stop_deflate(im);
    brush_move(b, p->cells.row, p->cells.col);
    kitty_put(b->out, &image);
    images_off(p, b->out);
    im->sent_on = image.id;
    im->sending = 0;
    return true;
}

const struct drawer draw_sent = {false, size_sent, begin_sent, step_sent};

/* --- sixel --------------------------------------------------------------------------------- */

static void size_sixel(const struct pane *p, enum pane_pace pace, int *width, int *height)
{
    (void)pace;
    shape_pixels(p, INT_MAX, width, height);
}

static void begin_sixel(struct pane *p)
{
    shape_coarse(p);
    p->care = (struct cells_care){.skip = 6, .near = 4};
    p->images.stage = p->images.strips_on ? STAGE_STRIPS : STAGE_COARSE;
}

/* Rows of cells that a strip may cover: all but the terminal's last, since a terminal scrolls when
 * an image ends there. */
static int strip_rows(const struct pane *p)
{
    struct winsize size = {0};
    const bool known = ioctl(p->wire.fd, TIOCGWINSZ, &size) == 0 && size.ws_row > 0;
    const bool last = known && p->cells.row + p->cells.rows >= size.ws_row;
    return last ? p->cells.rows - 1 : p->cells.rows;
}

/* One strip of cell rows from p->at on; false when the line is too slow for it. */
static bool strip(struct pane *p, struct brush *b)
{
    const int all = strip_rows(p), each = (p->cells.rows + STRIPS - 1) / STRIPS;
    const int from = (int)p->at, rows = all - from < each ? all - from : each;
    const int high = p->cur.height / p->cells.rows;
    const size_t before = b->out->n;
    brush_move(b, p->cells.row + from, p->cells.col);
    const struct sixel_strip part = {p->cur.px + (size_t)(from * high) * (size_t)p->cur.width,
                                     p->cur.width, rows * high, from * high};
    sixel_add(&p->images.sixel, b->out, &part);
    if ((int64_t)(b->out->n - before) * 1000000 > p->wire.rate_bps * STRIP_US) {
        b->out->n = before;
        return false;
    }
    p->images.strips_on = true;
    cells_unknown(&p->cells, from, rows);
    p->at += (size_t)rows;
    return true;
}

static bool step_sixel(struct pane *p, struct brush *b)
{
    struct images *im = &p->images;
    if (im->stage == STAGE_STRIPS && p->at >= (size_t)strip_rows(p))
        return true;
    if (im->stage == STAGE_STRIPS) {
        if (strip(p, b))
            return p->at >= (size_t)strip_rows(p);
        p->care = (struct cells_care){0};
        im->stage = STAGE_EXACT;
        p->at = 0;
    }
    if (!cells_halves(&p->cells, p->coarse, p->care, &p->at, b))
        return false;
    if (im->stage == STAGE_EXACT) {
        im->strips_on = false;
        return true;
    }
    im->stage = STAGE_STRIPS;
    p->at = 0;
    return false;
}

const struct drawer draw_sixel = {true, size_sixel, begin_sixel, step_sixel};

/* --- all ------------------------------------------------------------------------------------ */

void images_give_up(struct pane *p)
{
    give_up(&p->images);
}

void images_end_cut(struct pane *p, struct buf *out)
{
    if (p->images.cut)
        kitty_abort(out);
    p->images.cut = false;
}

bool images_any(const struct pane *p)
{
    return p->images.cut || p->images.shared_on || p->images.sent_on;
}

void images_off(struct pane *p, struct buf *out)
{
    struct images *im = &p->images;
    if (im->shared_on)
        kitty_delete(out, ID_SHARED);
    if (im->sent_on)
        kitty_delete(out, im->sent_on);
    images_lost(p);
}

void images_lost(struct pane *p)
{
    p->images.shared_on = p->images.strips_on = false;
    p->images.sent_on = 0;
}

void images_close(struct pane *p)
{
    struct images *im = &p->images;
    stop_deflate(im);
    sixel_free(&im->sixel);
    free(im->row);
    for (unsigned i = 0; i < SHARED_MOST && i < im->serial; i++) {
        char name[64];
        shared_name(i, name, sizeof name);
        shm_unlink(name); /* normally gone: the terminal removes what it has read */
    }
}
