/* The chord and its next keys over the picture of the video's own window, so that eyes may stay on
 * the band. */
#include <string.h>

#include "app/app.h"
#include "base/utf8.h"
#include "command/spoken.h"
#include "screen/draw.h"

enum { LEFT = 20, BOTTOM = 704, TOP = 16, LINE = 21, OPTIONS = 31 };

/* Text that ASS does not take for commands. */
static void plain(struct buf *out, const char *text)
{
    for (const char *s = text; *s; s++)
        if (!strchr("{}\\\n\r", *s))
            buf_char(out, *s);
}

static void line(struct buf *out, int y, int size, const char *what)
{
    buf_printf(out, "%s{\\an%d\\pos(%d,%d)\\fs%d\\bord2\\shad0\\q2}", out->n ? "\n" : "",
               y == BOTTOM ? 1 : 7, LEFT, y, size);
    plain(out, what);
}

static void options(const struct desk *d, struct buf *ass)
{
    struct chord_option at[OPTIONS];
    size_t n = chord_options(&d->app->show, &chord_hand(d)->chord, at, OPTIONS);
    struct buf text = {0};
    for (size_t i = 0; i < n; i++) {
        buf_clear(&text);
        buf_printf(&text, "%s   %s", at[i].keys, at[i].what);
        line(ass, TOP + (int)i * LINE, 19, buf_text(&text));
    }
    buf_free(&text);
}

/* The line with its cursor, and no more of a long one than fits beside it. */
static void typed_text(const struct prompt *p, struct buf *text)
{
    enum { BEFORE = 60, BEHIND = 20 };
    size_t from = p->at > BEFORE ? p->at - BEFORE : 0;
    while (from < p->at && ((unsigned char)p->text[from] & 0xC0) == 0x80)
        from++;
    buf_printf(text, "%s %.*s_%.*s", p->full ? " full; shorten it, or Esc:" : p->label,
               (int)(p->at - from), p->text + from, (int)utf8_fit(p->text + p->at, BEHIND),
               p->text + p->at);
}

void overlay_text(const struct desk *d, struct buf *ass)
{
    const struct prompt *typed = line_typed(d);
    struct buf text = {0};
    if (typed) {
        typed_text(typed, &text);
        line(ass, BOTTOM, 30, buf_text(&text));
    } else if (chord_open(d)) {
        options(d, ass);
        targets_text(&d->app->show, chord_hand(d)->chord.targets, chord_hand(d)->chord.n_targets,
                     &text);
        buf_printf(&text, "%s%s_", text.n ? "   " : "", chord_hand(d)->typed);
        line(ass, BOTTOM, 30, buf_text(&text));
    } else if (spoken_open(d) && spoken_hand(d)->phase != SPOKEN_OPEN) {
        line(ass, BOTTOM, 30,
             spoken_hand(d)->phase == SPOKEN_LISTENING  ? "say the call"
             : spoken_hand(d)->phase == SPOKEN_STARTING ? "one moment ..."
                                                        : "understanding ...");
    } else if (*d->message) {
        line(ass, BOTTOM, 30, d->message);
    }
    buf_free(&text);
}
