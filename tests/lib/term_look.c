/* Eyes: what is on the screen, and the picture a failing test prints. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/utf8.h"
#include "lib/term_inside.h"

enum { RIGHT_HALF = -1 }; /* libvterm's mark for the second cell of a wide character */

int term_rows(const struct term *t)
{
    return t->setup.rows;
}

int term_cols(const struct term *t)
{
    return t->setup.cols;
}

int term_row_index(struct term *t, int row)
{
    int index = row < 0 ? t->setup.rows + row : row;
    if (index < 0 || index >= t->setup.rows)
        term_fail(t, "there is no row %d", row);
    return index;
}

static VTermScreenCell cell_at(const struct term *t, int row, int col)
{
    VTermScreenCell cell = {0};
    vterm_screen_get_cell(t->screen, (VTermPos){.row = row, .col = col}, &cell);
    return cell;
}

static size_t put_cell(const VTermScreenCell *cell, char out[32])
{
    size_t n = 0;
    for (int i = 0; i < VTERM_MAX_CHARS_PER_CELL && cell->chars[i] && n + 4 < 32; i++)
        n += cell->chars[i] == (uint32_t)RIGHT_HALF ? 0 : utf8_put(cell->chars[i], out + n);
    out[n] = '\0';
    return n;
}

/* Adds one row to out, spaces at its end taken off. */
static void add_row(const struct term *t, int row, struct buf *out)
{
    size_t keep = out->n;
    for (int col = 0; col < t->setup.cols; col++) {
        VTermScreenCell cell = cell_at(t, row, col);
        char text[32];
        if (cell.chars[0] == (uint32_t)RIGHT_HALF)
            continue;
        size_t n = put_cell(&cell, text);
        buf_add(out, n ? text : " ", n ? n : 1);
        if (n && strcmp(text, " ") != 0)
            keep = out->n;
    }
    out->n = keep;
    buf_add(out, "", 0);
}

const char *term_row(struct term *t, int row)
{
    buf_clear(&t->row);
    add_row(t, term_row_index(t, row), &t->row);
    return buf_text(&t->row);
}

const char *term_screen(struct term *t)
{
    buf_clear(&t->whole);
    for (int row = 0; row < t->setup.rows; row++) {
        add_row(t, row, &t->whole);
        buf_char(&t->whole, '\n');
    }
    return buf_text(&t->whole);
}

bool term_has(struct term *t, const char *text)
{
    return strstr(term_screen(t), text);
}

/* The cell in which byte `at` of a row's text lies. */
static int cell_of_byte(const struct term *t, int row, size_t at)
{
    int col = 0;
    for (size_t n = 0; col < t->setup.cols; col++) {
        VTermScreenCell cell = cell_at(t, row, col);
        char text[32];
        if (cell.chars[0] == (uint32_t)RIGHT_HALF)
            continue;
        size_t len = put_cell(&cell, text);
        n += len ? len : 1;
        if (n > at)
            break;
    }
    return col;
}

bool term_find(struct term *t, const char *text, int *row, int *col)
{
    for (int r = 0; r < t->setup.rows; r++) {
        const char *whole = term_row(t, r), *found = strstr(whole, text);
        if (!found)
            continue;
        *row = r;
        *col = cell_of_byte(t, r, (size_t)(found - whole));
        return true;
    }
    return false;
}

static int color(const VTermColor *c, bool is_default)
{
    if (is_default)
        return COLOR_NONE;
    if (VTERM_COLOR_IS_INDEXED(c))
        return c->indexed.idx;
    return COLOR_RGB | c->rgb.red << 16 | c->rgb.green << 8 | c->rgb.blue;
}

struct term_cell term_cell(struct term *t, int row, int col)
{
    VTermScreenCell cell = cell_at(t, term_row_index(t, row), col);
    struct term_cell out = {.width = cell.width,
                            .bold = cell.attrs.bold,
                            .underline = cell.attrs.underline != VTERM_UNDERLINE_OFF,
                            .italic = cell.attrs.italic,
                            .blink = cell.attrs.blink,
                            .reverse = cell.attrs.reverse,
                            .strike = cell.attrs.strike,
                            .fg = color(&cell.fg, VTERM_COLOR_IS_DEFAULT_FG(&cell.fg)),
                            .bg = color(&cell.bg, VTERM_COLOR_IS_DEFAULT_BG(&cell.bg))};
    put_cell(&cell, out.text);
    return out;
}

void term_cursor(struct term *t, int *row, int *col)
{
    VTermPos pos;
    vterm_state_get_cursorpos(vterm_obtain_state(t->vt), &pos);
    *row = pos.row;
    *col = pos.col;
}

bool term_mode(const struct term *t, int mode)
{
    return mode >= 0 && mode < MODES && t->mode[mode];
}

bool term_cursor_visible(const struct term *t)
{
    return t->mode[25];
}

bool term_alternate_screen(const struct term *t)
{
    return t->mode[1049] || t->mode[1047] || t->mode[47];
}

const char *term_title(const struct term *t)
{
    return t->title;
}

size_t term_strings(const struct term *t, char kind)
{
    size_t n = 0;
    for (const struct control_string *c = t->strings; c; c = c->next)
        n += c->kind == kind;
    return n;
}

const char *term_string(const struct term *t, char kind, size_t i)
{
    for (const struct control_string *c = t->strings; c; c = c->next)
        if (c->kind == kind && i-- == 0)
            return c->text;
    return NULL;
}

bool term_has_string(const struct term *t, char kind, const char *part)
{
    for (const struct control_string *c = t->strings; c; c = c->next)
        if (c->kind == kind && strstr(c->text, part))
            return true;
    return false;
}

const char *term_raw(const struct term *t, size_t *n)
{
    if (n)
        *n = t->raw.n;
    return buf_text(&t->raw);
}

void term_forget_raw(struct term *t)
{
    term_pump(t);
    buf_clear(&t->raw);
    term_forget_strings(t);
}

static void print_raw_end(const struct term *t)
{
    enum { LAST = 400 };
    size_t from = t->raw.n > LAST ? t->raw.n - LAST : 0;
    struct buf b = {0};
    for (size_t i = from; i < t->raw.n; i++) {
        unsigned char c = (unsigned char)t->raw.p[i];
        if (c == 033)
            buf_str(&b, "\\e");
        else if (c < 0x20 || c >= 0x7F)
            buf_printf(&b, "\\x%02x", c);
        else
            buf_char(&b, (char)c);
    }
    print_error("last %zu of %zu raw bytes: %s\n", t->raw.n - from, t->raw.n, buf_text(&b));
    buf_free(&b);
}

void term_fail(struct term *t, const char *fmt, ...)
{
    char why[1000];
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(why, sizeof why, fmt, ap);
    va_end(ap);
    VTermPos pos;
    vterm_state_get_cursorpos(vterm_obtain_state(t->vt), &pos);
    print_error("%s:%d: %s\n", t->file ? t->file : "?", t->line, why);
    print_error("'%s', %dx%d, cursor at %d,%d %s, ", t->said, t->setup.rows, t->setup.cols, pos.row,
                pos.col, t->mode[25] ? "shown" : "hidden");
    if (t->ended)
        print_error("ended with %d\n", t->status);
    else
        print_error("still running%s\n", t->idle ? ", idle" : "");
    for (int row = 0; row < t->setup.rows; row++)
        print_error("%3d|%s\n", row, term_row(t, row));
    print_raw_end(t);
    _fail(t->file ? t->file : __FILE__, t->line);
    abort(); /* _fail does not return */
}
