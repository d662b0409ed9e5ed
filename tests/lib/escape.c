#include "lib/escape.h"

#include <string.h>

enum { TEXT, AFTER_ESC, CONTROL, STRING, STRING_AFTER_ESC };

static void end_sequence(struct escape *e, const struct escape_to *to)
{
    to->sequence(to->user, e->sequence.p, e->sequence.n);
    buf_clear(&e->sequence);
    e->state = TEXT;
}

/* One byte while inside an escape. */
static void take(struct escape *e, char c, const struct escape_to *to)
{
    buf_char(&e->sequence, c);
    switch (e->state) {
    case AFTER_ESC:
        if (c == '[') {
            e->state = CONTROL;
        } else if (strchr("]P_^X", c) && c) {
            e->state = STRING;
        } else {
            to->text(to->user, e->sequence.p, e->sequence.n);
            buf_clear(&e->sequence);
            e->state = TEXT;
        }
        return;
    case CONTROL:
        if (c >= 0x40 && c <= 0x7E)
            end_sequence(e, to);
        return;
    case STRING:
        if (c == '\a' && e->sequence.p[1] == ']')
            end_sequence(e, to);
        else if (c == 033)
            e->state = STRING_AFTER_ESC;
        return;
    default:
        if (c == '\\')
            end_sequence(e, to);
        else
            e->state = STRING;
    }
}

void escape_feed(struct escape *e, const char *s, size_t n, const struct escape_to *to)
{
    for (size_t i = 0; i < n;) {
        if (e->state != TEXT) {
            take(e, s[i++], to);
            continue;
        }
        const char *esc = memchr(s + i, 033, n - i);
        size_t run = esc ? (size_t)(esc - s) - i : n - i;
        if (run)
            to->text(to->user, s + i, run);
        i += run;
        if (i < n) {
            buf_char(&e->sequence, s[i++]);
            e->state = AFTER_ESC;
        }
    }
}

void escape_free(struct escape *e)
{
    buf_free(&e->sequence);
    *e = (struct escape){0};
}
