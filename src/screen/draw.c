/* What every screen has around it: the title row, the foot, the plain message when there is no
 * room. */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "base/utf8.h"
#include "paper/flow.h"
#include "screen/line.h"
#include "command/measuring.h"
#include "screen/draw.h"

void draw_title(const struct desk *d, struct canvas *c, const char *what)
{
    char left[300], right[120];
    snprintf(left, sizeof left, " %s  %s", d->app->title, what);
    snprintf(right, sizeof right, "%s fixes  %s clips  %s plan  %s keys ",
             keymap_key_of(&d->keys, "review", "fixes"), keymap_key_of(&d->keys, "review", "clips"),
             keymap_key_of(&d->keys, "review", "plan"), keymap_key_of(&d->keys, "review", "help"));
    int w = utf8_width(right);
    canvas_fill(c, (struct rect){0, 0, 1, c->cols}, ST_TITLE);
    canvas_text(c, strip(0, 0, c->cols - w - 1), ST_TITLE, left);
    canvas_text(c, strip(0, c->cols - w, w), ST_TITLE, right);
}

void draw_keys(const struct desk *d, struct canvas *c, struct strip where, enum style style,
               const char *words)
{
    struct buf text = {0};
    for (const char *s = words; *s; s++) {
        char command[40];
        int n = 0;
        if (*s != '{' || sscanf(s, "{%39[^}]}%n", command, &n) != 1 || !n) {
            buf_char(&text, *s);
            continue;
        }
        const char *key = keymap_key_of(&d->keys, d->screen->keys->name, command);
        buf_printf(&text, "%s%s", *key ? "" : ":", *key ? key : command);
        s += n - 1;
    }
    canvas_text(c, where, style, buf_text(&text));
    buf_free(&text);
}

int draw_foot_rows(const struct desk *d, const struct canvas *c)
{
    return !chord_open(d) && utf8_width(d->message) + 3 > c->cols ? 2 : 1;
}

/* A message that is too long for one row takes the row above as well: what to do stands at the end
 * of most of them. */
static void draw_message(const struct desk *d, struct canvas *c, int row)
{
    enum style style = d->trouble ? ST_TROUBLE : ST_NORMAL;
    char first[sizeof d->message];
    const char *rest = d->message, *sign = d->trouble ? glyph(c, "✗ ", "! ") : "";
    if (draw_foot_rows(d, c) > 1) {
        size_t n = utf8_fit(d->message, c->cols - 4);
        for (size_t k = n; k > n / 2; k--)
            if (d->message[k] == ' ') {
                n = k;
                break;
            }
        snprintf(first, sizeof first, "%.*s", (int)n, d->message);
        rest = d->message + n + (d->message[n] == ' ');
        canvas_fill(c, (struct rect){row - 1, 0, 1, c->cols}, ST_NORMAL);
        canvas_printf(c, strip(row - 1, 0, c->cols), style, " %s%s", sign, first);
        sign = "  ";
    }
    canvas_printf(c, strip(row, 0, c->cols), style, " %s%s", sign, rest);
}

void draw_lines(struct canvas *c, struct rect r, enum style style, const char *text)
{
    struct buf line = {0};
    for (int row = 0; row < r.rows && *text; row++) {
        const size_t n = strcspn(text, "\n");
        buf_clear(&line);
        buf_add(&line, text, n);
        canvas_text(c, strip(r.row + row, r.col, r.cols), style, buf_text(&line));
        text += n + (text[n] == '\n');
    }
    buf_free(&line);
}

void draw_key_hints(struct canvas *c, struct rect r, const struct key_hint *hints, size_t n)
{
    enum { KEYS = 8 };
    struct buf text = {0};
    int row = r.row;
    for (size_t i = 0; i < n && row < r.row + r.rows; i++) {
        buf_clear(&text);
        struct flow f = flow_from(&text, r.cols - KEYS - 1, 0, 0);
        flow_text(&f, hints[i].what);
        flow_end(&f);
        int rows = 0;
        for (const char *s = text.p; *s; s++)
            rows += *s == '\n';
        canvas_text(c, strip(row, r.col, KEYS), ST_KEY, hints[i].keys);
        draw_lines(c, (struct rect){row, r.col + KEYS, rows, r.cols - KEYS}, ST_NORMAL, text.p);
        row += rows;
    }
    buf_free(&text);
}

static const char *measuring_hint(const struct measuring *m)
{
    return m->naming ? " type its yard line, then its row   / writes it in words   Esc not this one"
           : m->whom ? " Space or a click says who stands there   arrows move   Esc goes back"
           : m->pointing
               ? " a click or Space points, a digit names   arrows move   p measures   Esc leaves"
               : " Space or a click points   arrows move   Enter marks   Esc leaves";
}

void draw_foot(const struct desk *d, struct canvas *c)
{
    int row = c->rows - 1;
    if (chord_open(d) && !measuring_open(d)) {
        int col = canvas_text(c, strip(row, 0, 9), ST_KEY, " chord: ");
        col = canvas_text(c, strip(row, col, c->cols / 3), ST_STRONG, chord_hand(d)->typed);
        col = canvas_text(c, strip(row, col, 2), ST_STRONG, glyph(c, "▁ ", "_ "));
        if (*d->message)
            canvas_text(c, strip(row, col + 1, c->cols - col - 1),
                        d->trouble ? ST_TROUBLE : ST_NORMAL, d->message);
        else
            canvas_text(c, strip(row, col + 1, c->cols - col - 1), ST_DIM,
                        "Backspace takes a key back, Esc drops the chord");
        return;
    }
    if (*d->message) {
        draw_message(d, c, row);
        return;
    }
    draw_keys(d, c, strip(row, 0, c->cols), ST_DIM,
              measuring_open(d) ? measuring_hint(measuring_open(d)) : d->screen->hint);
}

void draw_desk(const struct desk *d, struct canvas *c)
{
    canvas_clear(c);
    if (c->rows < LEAST_ROWS || c->cols < LEAST_COLS) {
        char text[120];
        snprintf(text, sizeof text, "boxcall needs %d columns and %d rows;", LEAST_COLS,
                 LEAST_ROWS);
        canvas_text(c, strip(0, 0, c->cols), ST_NORMAL, text);
        canvas_printf(c, strip(1, 0, c->cols), ST_NORMAL, "this is %d by %d. Make it larger.",
                      c->cols, c->rows);
        return;
    }
    d->screen->draw(d, c);
    draw_foot(d, c);
    if (line_typed(d))
        prompt_draw(line_typed(d), c, c->rows - 1);
}

/* Text over several rows, broken at blanks; returns the row behind it. */
int draw_wrapped(struct canvas *c, int row, int last, enum style style, const char *text)
{
    char line[300];
    while (*text && row <= last) {
        size_t n = strlen(text), most = (size_t)c->cols - 2;
        if (n > most && row < last) {
            for (n = most; n > most / 2 && text[n] != ' '; n--)
                ;
        }
        snprintf(line, sizeof line, "%.*s", (int)(n < sizeof line ? n : sizeof line - 1), text);
        canvas_text(c, strip(row++, 1, c->cols - 2), style, line);
        text += n;
        text += *text == ' ';
    }
    return row;
}
