#include "screen/mouse.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum {
    SHIFT_META_CTRL = 4 | 8 | 16,
    MOTION = 32,
    WHEEL = 64,
    OFFSET = 32 /* of the older report's bytes */
};

void mouse_ask(int fd, bool on)
{
    const char *bytes =
        on ? "\033[?1000h\033[?1006h\033[?2004h" : "\033[?2004l\033[?1006l\033[?1000l";
    if (write(fd, bytes, strlen(bytes)) < 0)
        return; /* no mouse then */
}

static struct mouse_event event_of(int code, int col, int row)
{
    static const struct {
        int code;
        enum mouse_what what;
    } known[] = {{0, MOUSE_CLICK}, {WHEEL, MOUSE_UP}, {WHEEL + 1, MOUSE_DOWN}};
    struct mouse_event ev = {.what = MOUSE_NOTHING, .row = row - 1, .col = col - 1};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if ((code & ~SHIFT_META_CTRL) == known[i].code)
            ev.what = known[i].what;
    return ev;
}

static bool take_sgr(struct mouse_report *r, int byte, struct mouse_event *out)
{
    int code, col, row;
    if ((byte >= '0' && byte <= '9') || byte == ';') {
        if (r->n + 1 < sizeof r->text) {
            r->text[r->n++] = (char)byte;
            return false;
        }
        return true;
    }
    r->text[r->n] = '\0';
    if (byte == 'M' && sscanf(r->text, "%6d;%6d;%6d", &code, &col, &row) == 3)
        *out = event_of(code, col, row);
    return true;
}

static bool take_byte(struct mouse_report *r, int byte, struct mouse_event *out)
{
    r->text[r->n++] = (char)byte;
    if (r->n < 3)
        return false;
    const unsigned char *b = (const unsigned char *)r->text;
    *out = event_of(b[0] - OFFSET, b[1] - OFFSET, b[2] - OFFSET);
    return true;
}

bool mouse_take(struct mouse_report *r, int byte, struct mouse_event *out)
{
    *out = (struct mouse_event){.what = MOUSE_NOTHING};
    bool whole = byte > 0xFF || byte < 0 || r->kind == MOUSE_NONE ||
                 (r->kind == MOUSE_SGR ? take_sgr : take_byte)(r, byte, out);
    if (whole)
        *r = (struct mouse_report){MOUSE_NONE, "", 0};
    return whole;
}
