#include <stdarg.h>
#include <stdio.h>

#include "player/inside.h"

void player_failed(struct player *p, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    struct err e; /* err_set() tames control characters that a file name may hold */
    char text[sizeof e.text];
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    err_set(&e, ERR_FAILED, "%s", text);
    snprintf(p->now.message, sizeof p->now.message, "%.*s", (int)sizeof p->now.message - 1, e.text);
    p->now.status = PLAYER_FAILED;
    p->now.playing = false;
    p->opening = OPEN_IDLE;
    seek_reset(p);
}
