#include "paper/flow.h"

#include <string.h>

#include "base/utf8.h"
#include "paper/paper.h"

struct flow flow_from(struct buf *out, int width, int col, int indent)
{
    return (struct flow){.out = out, .width = width, .indent = indent, .col = col};
}

static void next_line(struct flow *f)
{
    buf_printf(f->out, "\n%*s", f->indent, "");
    f->col = f->indent;
    f->begun = false;
}

/* As much of a word as a line holds, for words longer than that. */
static void put_pieces(struct flow *f, const char *word)
{
    while (f->width > f->indent && *word) {
        const int room = f->width - f->col;
        size_t n = utf8_width(word) <= room ? strlen(word) : utf8_fit(word, room);
        if (n == 0 && f->col == f->indent)
            n = strlen(word); /* a character wider than the line */
        buf_add(f->out, word, n);
        word += n;
        if (!*word) {
            f->col = f->width - room + utf8_width(word - n);
            return;
        }
        next_line(f);
    }
    buf_str(f->out, word);
    f->col += utf8_width(word);
}

void flow_word(struct flow *f, const char *word, const char *link)
{
    struct buf tame = {0};
    put_text(&tame, word);
    const int w = utf8_width(buf_text(&tame)), gap = f->begun;
    if (f->width > 0 && f->begun && f->col + gap + w > f->width) {
        next_line(f);
    } else if (gap) {
        buf_char(f->out, ' ');
        f->col++;
    }
    if (link)
        buf_printf(f->out, "\033]8;;%s\033\\", link);
    put_pieces(f, buf_text(&tame));
    if (link)
        buf_str(f->out, "\033]8;;\033\\");
    f->begun = true;
    buf_free(&tame);
}

void flow_text(struct flow *f, const char *text)
{
    struct buf word = {0};
    while (*text) {
        const size_t n = strcspn(text, " \t\r\n");
        buf_clear(&word);
        buf_add(&word, text, n);
        if (n)
            flow_word(f, buf_text(&word), NULL);
        text += n + (text[n] != '\0');
    }
    buf_free(&word);
}

void flow_end(struct flow *f)
{
    buf_char(f->out, '\n');
    f->col = 0;
    f->begun = false;
}
