/* What a terminal sends, cut anywhere: bytes in, keys and reports out. No terminal, no clock.
 *
 * A terminal sends three things on one line: keys, reports of the mouse and of pasted text, and
 * answers to what it was asked. A letter of an answer must never be taken for a key, as two letters
 * are a mark. So the reader knows whether it is inside a sequence, and a pause changes nothing
 * about that (forms: ECMA-48 5.4 and 5.6; XTerm Control Sequences):
 *
 *   ESC [       to the first byte from 40 to 7E (CSI); the older mouse report has three more bytes
 *   ESC O       one byte, perhaps digits before it (SS3)
 *   ESC P ] _ ^ X   to ESC \, an OSC (]) also to BEL (DCS, OSC, APC, PM, SOS)
 *
 * How the Esc key is told from the beginning of a sequence: it is an ESC followed by nothing for
 * KEY_ESC_WAIT_US, or by a byte that begins none. Only that one state has a limit in time. When the
 * line was cut just there, the rest still counts as a sequence if it comes in one piece of two
 * bytes or more within KEY_LATE_US; a hand that types Esc and then [ sends one.
 *
 * What ends a sequence that never ends, so that it does not eat the session: any control byte that
 * has no place in one (Ctrl-C, Ctrl-Q; it is a key then), Esc and the next key (which are keys
 * then), or KEY_STRING_MOST bytes. key_reader_stuck() tells when a person should be told. */
#ifndef SCREEN_KEY_READER_H
#define SCREEN_KEY_READER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "screen/mouse.h"

enum {
    KEY_ESC_WAIT_US = 50000,
    KEY_LATE_US = 2000000,
    KEY_STUCK_US = 1000000,
    KEY_STRING_MOST = 65536,
    KEY_TEXT = 48,
    KEYS_KNOWN = 48
};

enum key_event_kind { KEY_NONE, KEY_PRESS, KEY_PASTED, KEY_CLICKED, KEY_WHEELED, KEY_ANSWERED };

struct key_event {
    enum key_event_kind kind;
    /* KEY_PRESS: "a", "é", "Space", "Shift-Left", "Ctrl-z" ...; several held keys in the order
     * "Ctrl-Alt-Shift-". KEY_PASTED: the same for one character of pasted text. */
    char key[32];
    int row, col; /* KEY_CLICKED, KEY_WHEELED: from 0 */
    int wheel;    /* +1 up, -1 down */
};

enum key_state {
    KEYS_GROUND,
    KEYS_ESC,
    KEYS_CSI,
    KEYS_CSI_SKIP,  /* too long to be a key: to its end */
    KEYS_CSI_LINUX, /* ESC [ [ and one byte: a function key of the Linux console */
    KEYS_SS3,
    KEYS_MOUSE,
    KEYS_STRING,
    KEYS_STRING_ESC,
    KEYS_UTF8
};

struct key_reader {
    enum key_state state;
    char text[KEY_TEXT]; /* of the sequence behind its ESC, or of a character */
    size_t n;            /* bytes of it, all counted */
    bool pasting;        /* between the marks around pasted text */
    int64_t since_us;    /* when the state began */
    int64_t esc_us;      /* when a lone Esc was given out, -1 when anything came after it */
    struct mouse_report mouse;
    struct {
        char bytes[12]; /* behind the ESC */
        const char *name;
    } known[KEYS_KNOWN];
    size_t n_known;
};

void key_reader_begin(struct key_reader *r);
/* A key as the terminal's description has it ("\033[A", "Up"). Beyond the forms that need no
 * description; what does not begin with ESC [ or ESC O, or is too long, is left out. The name must
 * outlive the reader. */
void key_reader_know(struct key_reader *r, const char *bytes, const char *name);

/* Reads one piece as it came, up to what completes one event (kind KEY_NONE: nothing yet, all was
 * taken). Returns how many bytes that took, perhaps 0 with an event; call again with the rest while
 * there is a rest or there was an event. now_us never runs backward. */
size_t key_reader_take(struct key_reader *r, const char *bytes, size_t n, int64_t now_us,
                       struct key_event *out);
/* No byte came until now; true when that makes an event (the lone Esc). */
bool key_reader_pause(struct key_reader *r, int64_t now_us, struct key_event *out);
/* Milliseconds until key_reader_pause() may have something to say; -1 for never. */
int key_reader_wait_ms(const struct key_reader *r, int64_t now_us);
/* Is the line inside a sequence that should have ended long ago? */
bool key_reader_stuck(const struct key_reader *r, int64_t now_us);

#endif
