#include "pane/sink.h"

#include <setjmp.h>
#include <stdarg.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static void answer(const char *s, size_t n, void *user)
{
    struct sink *sink = user;
    for (size_t i = 0; i + 4 <= n; i++)
        sink->answers += memcmp(s + i, "\033[0n", 4) == 0;
}

void sink_open(struct sink *s, int rows, int cols)
{
    int fds[2];
    assert_int_equal(pipe2(fds, O_CLOEXEC), 0);
    fcntl(fds[0], F_SETFL, O_NONBLOCK);
    *s = (struct sink){.read_fd = fds[0], .write_fd = fds[1], .rows = rows, .cols = cols};
    s->now_us = 1000000;
    s->vt = vterm_new(rows, cols);
    vterm_set_utf8(s->vt, 1);
    vterm_output_set_callback(s->vt, answer, s);
    s->screen = vterm_obtain_screen(s->vt);
    vterm_screen_reset(s->screen, 1);
}

void sink_close(struct sink *s)
{
    close(s->read_fd);
    close(s->write_fd);
    vterm_free(s->vt);
    buf_free(&s->raw);
    buf_free(&s->apc);
}

/* Feeds one byte to libvterm unless it belongs to an APC string. */
static void feed(struct sink *s, char c)
{
    if (s->string == '_') {
        if (c == '\033')
            s->string = 'e';
        else
            buf_char(&s->apc, c);
        return;
    }
    if (s->string == 'e') {
        assert_int_equal(c, '\\');
        buf_char(&s->apc, '\n');
        s->string = 0;
        return;
    }
    if (s->string == 'E') {
        s->string = c == '_' ? '_' : 0;
        if (s->string)
            return;
        vterm_input_write(s->vt, "\033", 1);
    } else if (c == '\033') {
        s->string = 'E';
        return;
    }
    vterm_input_write(s->vt, &c, 1);
}

size_t sink_take(struct sink *s, size_t most)
{
    char bytes[4096];
    size_t all = 0;
    while (all < most) {
        const size_t want = most - all < sizeof bytes ? most - all : sizeof bytes;
        const ssize_t n = read(s->read_fd, bytes, want);
        if (n <= 0)
            break;
        buf_add(&s->raw, bytes, (size_t)n);
        for (ssize_t i = 0; i < n; i++)
            feed(s, bytes[i]);
        all += (size_t)n;
    }
    return all;
}

void sink_settle(struct sink *s, struct pane *p)
{
    for (int turn = 0; turn < 100000; turn++) {
        s->now_us += 1000;
        pane_pump(p, s->now_us);
        const size_t n = sink_take(s, SIZE_MAX);
        for (; s->answers > 0; s->answers--)
            pane_acknowledge(p, s->now_us);
        if (n == 0 && !pane_pending(p))
            return;
    }
    fail_msg("the pane never came to rest");
}

void sink_text(struct sink *s, const char *text)
{
    vterm_input_write(s->vt, text, strlen(text));
}

VTermScreenCell sink_cell(struct sink *s, int row, int col)
{
    VTermScreenCell cell;
    assert_true(vterm_screen_get_cell(s->screen, (VTermPos){row, col}, &cell));
    return cell;
}

/* xterm's 256 colours, as 256colres.h of xterm generates them. */
static uint32_t xterm_color(int i)
{
    static const uint32_t first[16] = {0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd,
                                       0x00cdcd, 0xe5e5e5, 0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00,
                                       0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff};
    if (i < 16)
        return first[i];
    if (i >= 232)
        return (uint32_t)(8 + (i - 232) * 10) * 0x010101u;
    const int red = (i - 16) / 36, green = (i - 16) / 6 % 6, blue = (i - 16) % 6;
    return (uint32_t)(red ? red * 40 + 55 : 0) << 16 |
           (uint32_t)(green ? green * 40 + 55 : 0) << 8 | (uint32_t)(blue ? blue * 40 + 55 : 0);
}

static uint32_t shown(const VTermColor *c)
{
    if (VTERM_COLOR_IS_INDEXED(c))
        return xterm_color(c->indexed.idx);
    return (uint32_t)c->rgb.red << 16 | (uint32_t)c->rgb.green << 8 | c->rgb.blue;
}

void sink_halves(struct sink *s, int row, int col, uint32_t *top, uint32_t *bottom)
{
    const VTermScreenCell cell = sink_cell(s, row, col);
    const uint32_t fg = shown(&cell.fg), bg = shown(&cell.bg), glyph = cell.chars[0];
    const int upper = glyph == 0x2580 || glyph == 0x2588,
              lower = glyph == 0x2584 || glyph == 0x2588;
    if (!upper && !lower && glyph != ' ')
        fail_msg("row %d column %d shows U+%04X", row, col, glyph);
    *top = upper ? fg : bg;
    *bottom = lower ? fg : bg;
}
