/* Pictures made of pixels: what is sent is taken apart again by zlib, by ImageMagick, and out of
 * shared memory as a terminal does. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>
#include <zlib.h>

#include "pane/hole.h"

enum { CELL_W = 9, CELL_H = 18, PX_W = WIDE * CELL_W, PX_H = TALL * CELL_H };

struct image {
    struct hole h;
    uint8_t px[PX_W * PX_H * 4];
    uint8_t packed[PX_W * PX_H * 3];
};

static void image_open(struct image *m, enum term_pane still, bool shared)
{
    struct term_caps caps = caps_of(TERM_TRUECOLOR, true);
    caps.still = still;
    caps.kitty = still == TERM_PANE_KITTY;
    caps.kitty_shm = shared;
    caps.moving = shared ? TERM_PANE_KITTY : TERM_PANE_CELLS;
    caps.cell_width = CELL_W;
    caps.cell_height = CELL_H;
    hole_open(&m->h, caps);
}

/* A smooth picture with some grain, so that it neither deflates to nothing nor is all noise. */
static void paint(struct image *m, unsigned seed)
{
    for (int i = 0; i < PX_W * PX_H; i++)
        for (int k = 0; k < 3; k++) {
            const int slope = (i % PX_W + i / PX_W * (k + 1)) * 200 / (PX_W + 3 * PX_H);
            m->px[4 * i + k] = m->packed[3 * i + k] =
                (uint8_t)(slope + (int)(rand_r(&seed) % 32) + (int)(seed % 8));
        }
}

static void offer(struct image *m, enum pane_pace pace)
{
    int w, h;
    assert_true(pane_wanted(m->h.pane, pace, &w, &h));
    assert_int_equal(w, PX_W);
    assert_int_equal(h, PX_H);
    assert_true(pane_picture(m->h.pane, &(struct pane_image){m->px, PX_W, PX_H, PX_W * 4}, pace));
}

static void show_image(struct image *m, enum pane_pace pace)
{
    offer(m, pace);
    sink_settle(&m->h.sink, m->h.pane);
}

/* Decodes base64 by RFC 4648, table 1. */
static size_t unbase64(const char *s, size_t n, uint8_t *out)
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    uint32_t bits = 0;
    size_t have = 0, made = 0;
    for (size_t i = 0; i < n && s[i] != '='; i++) {
        const char *d = strchr(digits, s[i]);
        assert_non_null(d);
        bits = bits << 6 | (uint32_t)(d - digits);
        have += 6;
        if (have >= 8) {
            have -= 8;
            out[made++] = (uint8_t)(bits >> have);
        }
    }
    return made;
}

/* The value of a key of a graphics command, -1 when it has none. */
static long key(const char *command, const char *name)
{
    for (const char *p = command + 1; *p && *p != ';' && *p != '\n'; p += strcspn(p, ",;\n")) {
        p += *p == ',';
        if (strncmp(p, name, strlen(name)) == 0 && p[strlen(name)] == '=')
            return strtol(p + strlen(name) + 1, NULL, 10);
    }
    return -1;
}

/* Command number i, counted from the end by -1, -2 ...; NULL when there are not so many. */
static const char *command(const struct image *m, int i)
{
    const char *all = buf_text(&m->h.sink.apc);
    int n = 0;
    for (const char *p = all; *p; p++)
        n += *p == '\n';
    i = i < 0 ? n + i : i;
    for (const char *p = all; *p; p = strchr(p, '\n') + 1)
        if (i-- == 0)
            return p;
    return NULL;
}

static size_t payload(const char *cmd, uint8_t *out)
{
    const char *p = cmd + strcspn(cmd, ";\n");
    return *p == ';' ? unbase64(p + 1, strcspn(p + 1, "\n"), out) : 0;
}

static void shared_memory_carries_every_picture_whole(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_KITTY, true);
    for (unsigned i = 0; i < 20; i++) {
        paint(&m, i);
        show_image(&m, i % 2 ? PANE_STILL : PANE_MOVING);
        const char *cmd = command(&m, -1);
        assert_non_null(strstr(cmd, "Ga=T,t=s,f=24"));
        assert_int_equal(key(cmd, "s"), PX_W);
        assert_int_equal(key(cmd, "v"), PX_H);
        assert_int_equal(key(cmd, "c"), WIDE);
        assert_int_equal(key(cmd, "r"), TALL);
        uint8_t name[64] = {0};
        payload(cmd, name);
        const int fd = shm_open((const char *)name, O_RDONLY, 0);
        assert_true(fd >= 0);
        uint8_t *px = mmap(NULL, sizeof m.packed, PROT_READ, MAP_SHARED, fd, 0);
        assert_memory_equal(px, m.packed, sizeof m.packed);
        munmap(px, sizeof m.packed);
        close(fd);
        if (i % 3) /* now and then the terminal forgets to remove it */
            shm_unlink((const char *)name);
    }
    assert_true(m.h.sink.raw.n < 20 * 200);
    uint8_t last[64] = {0};
    payload(command(&m, -1), last);
    hole_close(&m.h);
    assert_int_equal(shm_open((const char *)last, O_RDONLY, 0), -1);
}

static void only_one_shared_picture_is_under_way(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_KITTY, true);
    paint(&m, 1);
    for (int i = 0; i < 5; i++) {
        offer(&m, PANE_MOVING);
        pane_pump(m.h.pane, m.h.sink.now_us);
        assert_true(i == 0 || pane_wait_ms(m.h.pane, m.h.sink.now_us) > 1000);
    }
    assert_int_equal(pane_counted(m.h.pane).segments, 1);
    assert_int_equal(pane_counted(m.h.pane).dropped, 3);
    sink_settle(&m.h.sink, m.h.pane);
    assert_int_equal(pane_counted(m.h.pane).segments, 2);
    hole_close(&m.h);
}

/* Puts the chunks from command `from` on together and inflates them; returns the next command. */
static int reassemble(const struct image *m, int from, uint8_t *out, size_t *n)
{
    static uint8_t deflated[1 << 20];
    size_t have = 0;
    for (;; from++) {
        const char *cmd = command(m, from);
        assert_non_null(cmd);
        assert_in_range(strcspn(cmd, "\n"), 1, PANE_SEGMENT);
        have += payload(cmd, deflated + have);
        if (key(cmd, "m") == 0)
            break;
    }
    uLongf size = *n;
    assert_int_equal(uncompress(out, &size, deflated, have), Z_OK);
    *n = size;
    return from + 1;
}

static void a_still_goes_through_the_line_in_chunks_and_comes_together(void **state)
{
    (void)state;
    static struct image m;
    static uint8_t got[sizeof m.packed];
    image_open(&m, TERM_PANE_KITTY, false);
    paint(&m, 2);
    show_image(&m, PANE_STILL);
    size_t n = sizeof got;
    const char *first = command(&m, 0);
    assert_int_equal(key(first, "s"), PX_W);
    assert_int_equal(key(first, "v"), PX_H);
    assert_non_null(strstr(first, "o=z"));
    const int next = reassemble(&m, 0, got, &n);
    assert_true(next > 3);
    assert_int_equal(n, sizeof m.packed);
    assert_memory_equal(got, m.packed, sizeof m.packed);
    const char *put = command(&m, next);
    assert_non_null(strstr(put, "a=p"));
    assert_int_equal(key(put, "i"), key(first, "i"));
    assert_int_equal(key(put, "c"), WIDE);
    assert_true(pane_counted(m.h.pane).flight_most <= PANE_FLIGHT);
    hole_close(&m.h);
}

static void the_old_still_stays_until_the_new_one_is_whole(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_KITTY, false);
    paint(&m, 3);
    show_image(&m, PANE_STILL);
    const long old = key(command(&m, 0), "i");
    paint(&m, 4);
    show_image(&m, PANE_STILL);
    const char *put = command(&m, -2), *gone = command(&m, -1);
    assert_non_null(strstr(put, "a=p"));
    assert_int_not_equal(key(put, "i"), old);
    assert_non_null(strstr(gone, "a=d"));
    assert_int_equal(key(gone, "i"), old);
    hole_close(&m.h);
}

static void motion_ends_a_still_that_is_half_sent_and_takes_the_old_one_off(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_KITTY, false);
    paint(&m, 5);
    show_image(&m, PANE_STILL);
    const long shown = key(command(&m, 0), "i");
    paint(&m, 6);
    offer(&m, PANE_STILL);
    pane_pump(m.h.pane, m.h.sink.now_us);
    sink_take(&m.h.sink, SIZE_MAX);
    assert_int_equal(key(command(&m, -1), "m"), 1);
    unsigned seed = 1;
    hole_noise(&m.h, &seed, 256);
    hole_show(&m.h, PANE_MOVING);
    const char *cut = command(&m, -2), *gone = command(&m, -1);
    assert_int_equal(key(cut, "m"), 0);
    assert_non_null(strstr(gone, "a=d"));
    assert_int_equal(key(gone, "i"), shown);
    assert_in_range(hole_worst(&m.h), 0, 6);
    hole_close(&m.h);
}

static void hiding_takes_images_off(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_KITTY, true);
    paint(&m, 7);
    show_image(&m, PANE_STILL);
    pane_hide(m.h.pane);
    sink_settle(&m.h.sink, m.h.pane);
    assert_non_null(strstr(command(&m, -1), "a=d"));
    hole_close(&m.h);
}

static void another_place_takes_images_off_and_blanks_nothing(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_KITTY, true);
    paint(&m, 7);
    show_image(&m, PANE_STILL);
    sink_text(&m.h.sink, "\033[4;8Hnew");
    pane_hole(m.h.pane, 0, 0, 0, 0);
    sink_settle(&m.h.sink, m.h.pane);
    assert_non_null(strstr(command(&m, -1), "a=d"));
    assert_int_equal(sink_cell(&m.h.sink, 3, 7).chars[0], 'n');
    const size_t before = m.h.sink.raw.n;
    pane_hole(m.h.pane, AT_ROW, AT_COL, TALL, WIDE);
    sink_settle(&m.h.sink, m.h.pane);
    assert_int_equal(m.h.sink.raw.n, before);
    show_image(&m, PANE_MOVING);
    assert_non_null(strstr(command(&m, -1), "a=T"));
    hole_close(&m.h);
}

/* Has ImageMagick turn the bytes of one sixel image into RGB; returns the number of bytes. By way
 * of PNG, since straight to PPM it (6.9) forgets the palette. */
static size_t decode_sixel(const char *bytes, size_t n, uint8_t *out, size_t cap)
{
    char dir[] = "/tmp/pane-XXXXXX", path[64], call[160];
    assert_non_null(mkdtemp(dir));
    snprintf(path, sizeof path, "%s/strip.six", dir);
    FILE *f = fopen(path, "wb");
    fwrite(bytes, 1, n, f);
    fclose(f);
    snprintf(call, sizeof call, "convert sixel:%s png:- 2>&1 | convert png:- -depth 8 ppm:-", path);
    FILE *p = popen(call, "r");
    int w = 0, h = 0;
    assert_int_equal(fscanf(p, "P6 %d %d 255%*c", &w, &h), 2);
    const size_t got = fread(out, 1, cap, p);
    assert_int_equal(got, (size_t)w * (size_t)h * 3);
    pclose(p);
    unlink(path);
    rmdir(dir);
    return got;
}

static const char *next_sixel(const char *p, const char *end, size_t *n)
{
    p = memmem(p, (size_t)(end - p), "\033P", 2);
    if (!p)
        return NULL;
    const char *stop = memmem(p, (size_t)(end - p), "\033\\", 2);
    assert_non_null(stop);
    *n = (size_t)(stop + 2 - p);
    return p;
}

static void sixel_strips_decode_to_the_picture(void **state)
{
    (void)state;
    static struct image m;
    static uint8_t got[sizeof m.packed + 1];
    if (system("convert -version >/dev/null 2>&1") != 0)
        skip();
    image_open(&m, TERM_PANE_SIXEL, false);
    paint(&m, 8);
    show_image(&m, PANE_STILL);
    const char *p = m.h.sink.raw.p, *const end = p + m.h.sink.raw.n;
    size_t n, have = 0;
    int strips = 0;
    for (; (p = next_sixel(p, end, &n)) != NULL; p += n, strips++)
        have += decode_sixel(p, n, got + have, sizeof got - have);
    assert_in_range(strips, 2, 8);
    assert_int_equal(have, sizeof m.packed);
    long sum = 0;
    for (size_t i = 0; i < have; i++) {
        const int d = got[i] - m.packed[i];
        assert_in_range(abs(d), 0, 45); /* steps of 51, less than a step of dither */
        sum += d;
    }
    assert_in_range(labs(sum) / (long)have, 0, 3);
    hole_close(&m.h);
}

static void motion_after_sixel_writes_every_cell(void **state)
{
    (void)state;
    static struct image m;
    unsigned seed = 2;
    image_open(&m, TERM_PANE_SIXEL, false);
    hole_noise(&m.h, &seed, 256);
    hole_show(&m.h, PANE_MOVING);
    paint(&m, 9);
    show_image(&m, PANE_STILL);
    sink_text(&m.h.sink, "\033[2J"); /* whatever the images did to the cells */
    hole_noise(&m.h, &seed, 256);
    hole_show(&m.h, PANE_MOVING);
    assert_in_range(hole_worst(&m.h), 0, 6);
    hole_close(&m.h);
}

static void a_slow_line_gets_exact_cells_in_place_of_sixel(void **state)
{
    (void)state;
    static struct image m;
    image_open(&m, TERM_PANE_SIXEL, false);
    paint(&m, 10);
    offer(&m, PANE_STILL);
    for (int ms = 0; ms < 2000 && pane_pending(m.h.pane); ms++) {
        m.h.sink.now_us += 1000;
        pane_pump(m.h.pane, m.h.sink.now_us);
        sink_take(&m.h.sink, 20); /* 20 kB/s */
        for (; m.h.sink.answers > 0; m.h.sink.answers--)
            pane_acknowledge(m.h.pane, m.h.sink.now_us);
    }
    sink_settle(&m.h.sink, m.h.pane);
    assert_null(memmem(m.h.sink.raw.p, m.h.sink.raw.n, "\033P", 2));
    assert_true(pane_counted(m.h.pane).flight_most <= PANE_FLIGHT);
    hole_close(&m.h);
}

/* Each cell is red at the left and blue at the right: a left or right half block. */
static void symbols_show_what_half_blocks_cannot(void **state)
{
    (void)state;
    struct hole h;
    struct term_caps caps = caps_of(TERM_TRUECOLOR, true);
    caps.still = TERM_PANE_SYMBOLS;
    hole_open(&h, caps);
    int w, ht;
    assert_true(pane_wanted(h.pane, PANE_STILL, &w, &ht));
    uint8_t *px = calloc((size_t)w * (size_t)ht, 4);
    for (int i = 0; i < w * ht; i++)
        px[4 * i + (i % w * 2 * WIDE / w % 2 ? 2 : 0)] = 255;
    assert_true(pane_picture(h.pane, &(struct pane_image){px, w, ht, (size_t)w * 4}, PANE_STILL));
    sink_settle(&h.sink, h.pane);
    for (int i = 0; i < TALL * WIDE; i++) {
        const VTermScreenCell c = sink_cell(&h.sink, AT_ROW + i / WIDE, AT_COL + i % WIDE);
        const bool left = c.chars[0] == 0x258c, right = c.chars[0] == 0x2590;
        assert_true(left || right);
        const VTermColor *red = left ? &c.fg : &c.bg, *blue = left ? &c.bg : &c.fg;
        assert_true(red->rgb.red > 200 && red->rgb.blue < 50);
        assert_true(blue->rgb.blue > 200 && blue->rgb.red < 50);
    }
    free(px);
    hole_close(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shared_memory_carries_every_picture_whole),
        cmocka_unit_test(only_one_shared_picture_is_under_way),
        cmocka_unit_test(a_still_goes_through_the_line_in_chunks_and_comes_together),
        cmocka_unit_test(the_old_still_stays_until_the_new_one_is_whole),
        cmocka_unit_test(motion_ends_a_still_that_is_half_sent_and_takes_the_old_one_off),
        cmocka_unit_test(hiding_takes_images_off),
        cmocka_unit_test(another_place_takes_images_off_and_blanks_nothing),
        cmocka_unit_test(sixel_strips_decode_to_the_picture),
        cmocka_unit_test(motion_after_sixel_writes_every_cell),
        cmocka_unit_test(a_slow_line_gets_exact_cells_in_place_of_sixel),
        cmocka_unit_test(symbols_show_what_half_blocks_cannot),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
