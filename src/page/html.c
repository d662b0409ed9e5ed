#include "page/html.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "paper/paper.h"

static const char *escaped(char c)
{
    static const struct {
        char c;
        const char *as;
    } rows[] = {{'&', "&amp;"}, {'<', "&lt;"}, {'>', "&gt;"}, {'"', "&quot;"}, {'\'', "&#39;"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].c == c)
            return rows[i].as;
    return NULL;
}

void html_text(struct buf *out, const char *text)
{
    struct buf tame = {0};
    put_text(&tame, text);
    for (const char *s = buf_text(&tame); *s; s++) {
        const char *as = escaped(*s);
        if (as)
            buf_str(out, as);
        else
            buf_char(out, *s);
    }
    buf_free(&tame);
}

void html_name(struct buf *out, const char *text)
{
    buf_str(out, "<bdi>");
    html_text(out, text);
    buf_str(out, "</bdi>");
}

void html_number(struct buf *out, double number)
{
    char text[40];
    snprintf(text, sizeof text, "%.3f", number);
    if (strchr(text, '.')) {
        size_t n = strlen(text);
        while (text[n - 1] == '0')
            text[--n] = '\0';
        if (text[n - 1] == '.')
            text[--n] = '\0';
    }
    buf_str(out, strcmp(text, "-0") == 0 ? "0" : text);
}

void html_base64(struct buf *out, const void *bytes, size_t n)
{
    static const char sign[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const unsigned char *p = bytes;
    for (size_t i = 0; i < n; i += 3) {
        const unsigned v = (unsigned)p[i] << 16 | (i + 1 < n ? (unsigned)p[i + 1] << 8 : 0) |
                           (i + 2 < n ? (unsigned)p[i + 2] : 0);
        const char four[4] = {sign[v >> 18], sign[v >> 12 & 63],
                              i + 1 < n ? sign[v >> 6 & 63] : '=', i + 2 < n ? sign[v & 63] : '='};
        buf_add(out, four, 4);
    }
}

void html_address(struct buf *out, const char *path)
{
    const size_t first = strcspn(path, "/");
    if (memchr(path, ':', first))
        buf_str(out, "./");
    for (const unsigned char *s = (const unsigned char *)path; *s; s++) {
        if ((*s < 0x80 && isalnum(*s)) || strchr("-._~/", *s))
            buf_char(out, (char)*s);
        else
            buf_printf(out, "%%%02X", *s);
    }
}
