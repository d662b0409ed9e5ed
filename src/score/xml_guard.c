#include "score/xml_guard.h"

#include <string.h>
#include <strings.h>

/* Letters of one byte, or of two: the lesser first, or the greater. */
enum letters { ONE_BYTE, TWO_LITTLE, TWO_BIG };

static unsigned letter(const struct table_text *file, enum letters l, size_t i)
{
    const unsigned char *p = (const unsigned char *)file->bytes;
    switch (l) {
    case TWO_LITTLE:
        return p[2 * i] | (unsigned)p[2 * i + 1] << 8;
    case TWO_BIG:
        return p[2 * i + 1] | (unsigned)p[2 * i] << 8;
    case ONE_BYTE:
        break;
    }
    return p[i];
}

static enum letters letters_of(const struct table_text *file)
{
    if (file->n >= 2 && memcmp(file->bytes, "\xff\xfe", 2) == 0)
        return TWO_LITTLE;
    if (file->n >= 2 && memcmp(file->bytes, "\xfe\xff", 2) == 0)
        return TWO_BIG;
    return ONE_BYTE;
}

enum { STRANGE = 0x7f };

/* The beginning of the file in ASCII; what is none becomes STRANGE. */
static void opening(const struct table_text *file, enum letters l, char *out, size_t size)
{
    const size_t there = l == ONE_BYTE ? file->n : file->n / 2;
    size_t n = 0;
    for (size_t i = 0; i < there && n + 1 < size; i++) {
        const unsigned c = letter(file, l, i);
        out[n++] = c >= 0x80 || c == 0 ? STRANGE : (char)c;
    }
    out[n] = '\0';
}

/* encoding="..." of the declaration, "" without. */
static void encoding_of(const char *text, char out[32])
{
    const char *end = strstr(text, "?>"), *at = strstr(text, "encoding");
    *out = '\0';
    if (!end || !at || at > end)
        return;
    at += strcspn(at, "\"'");
    const size_t n = *at ? strcspn(at + 1, "\"'") : 0;
    if (n < 32) {
        memcpy(out, at + (*at != '\0'), n);
        out[n] = '\0';
    } else {
        memcpy(out, "?", 2); /* longer than any name */
    }
}

static bool encoding_is_read(const char *name)
{
    static const char *const read[] = {"UTF-8", "UTF-16", "US-ASCII", "ISO-8859-", "windows-125"};
    if (!*name)
        return true;
    for (size_t i = 0; i < sizeof read / sizeof *read; i++)
        if (strncasecmp(name, read[i], strlen(read[i])) == 0)
            return true;
    return false;
}

static bool short_tags(const struct table_text *file, enum letters l, struct err *e)
{
    const size_t n = l == ONE_BYTE ? file->n : file->n / 2;
    size_t open = 0, line = 1;
    for (size_t i = 0; i < n; i++) {
        const unsigned c = letter(file, l, i);
        line += c == '\n';
        if (c == '<')
            open = i;
        if (i - open > XML_TAG_MOST)
            return err_set(e, ERR_INPUT,
                           "%s:%zu: a tag or text of more than %d letters, which no score needs; "
                           "export the score again",
                           file->source, line, XML_TAG_MOST);
    }
    return true;
}

/* "<" and a letter that goes on with it, behind blanks: where four bytes make a letter, or two
 * without a mark that says so, zero bytes stand there. */
static bool begins(const char *text)
{
    text += strspn(text, " \t\r\n");
    return text[0] == '<' && text[1] && text[1] != STRANGE;
}

/* Letters of the byte order mark. */
static size_t mark_of(const struct table_text *file, enum letters l)
{
    if (l != ONE_BYTE)
        return 1;
    return file->n >= 3 && memcmp(file->bytes, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
}

bool xml_guard(const struct table_text *file, struct err *e)
{
    const enum letters l = letters_of(file);
    char text[256], encoding[32];
    opening(file, l, text, sizeof text);
    if (!begins(text + mark_of(file, l)))
        return err_set(e, ERR_INPUT, "%s: not XML; export the score again", file->source);
    encoding_of(text, encoding);
    if (!encoding_is_read(encoding))
        return err_set(e, ERR_INPUT, "%s: its encoding '%s' is not read; export it as UTF-8",
                       file->source, encoding);
    return short_tags(file, l, e);
}
