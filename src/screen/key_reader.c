#include "screen/key_reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

enum { ESC = 27, BEL = 7, DEL = 127 };

void key_reader_begin(struct key_reader *r)
{
    *r = (struct key_reader){.esc_us = -1};
}

void key_reader_know(struct key_reader *r, const char *bytes, const char *name)
{
    size_t n = strlen(bytes);
    if (n < 3 || n > sizeof r->known[0].bytes || bytes[0] != ESC ||
        (bytes[1] != '[' && bytes[1] != 'O') || r->n_known == KEYS_KNOWN)
        return;
    memcpy(r->known[r->n_known].bytes, bytes + 1, n);
    r->known[r->n_known++].name = name;
}

static void enter(struct key_reader *r, enum key_state state, int64_t now_us)
{
    r->state = state;
    r->since_us = now_us;
    r->n = 0;
    r->text[0] = '\0';
}

static void keep(struct key_reader *r, unsigned char byte)
{
    if (r->n + 1 < sizeof r->text) {
        r->text[r->n] = (char)byte;
        r->text[r->n + 1] = '\0';
    }
    r->n++;
}

static void give(struct key_reader *r, const char *name, struct key_event *out)
{
    if (!*name)
        return;
    out->kind = r->pasting ? KEY_PASTED : KEY_PRESS;
    snprintf(out->key, sizeof out->key, "%s", name);
}

static void give_char(struct key_reader *r, uint32_t ch, struct key_event *out)
{
    static const struct {
        uint32_t ch;
        const char *name;
    } named[] = {{' ', "Space"}, {'\r', "Enter"},    {'\n', "Enter"},    {'\t', "Tab"},
                 {ESC, "Esc"},   {DEL, "Backspace"}, {'\b', "Backspace"}};
    char name[32] = "";
    for (size_t i = 0; i < sizeof named / sizeof *named; i++)
        if (named[i].ch == ch)
            snprintf(name, sizeof name, "%s", named[i].name);
    if (!*name && ch >= 1 && ch <= 26)
        snprintf(name, sizeof name, "Ctrl-%c", 'a' + (int)ch - 1);
    else if (!*name && ch >= 32 && !utf8_is_control(ch))
        name[utf8_put(ch, name)] = '\0';
    give(r, name, out);
}

/* The Esc key. It ends a paste too, whose own end was lost. */
static void give_esc(struct key_reader *r, struct key_event *out)
{
    r->pasting = false;
    give(r, "Esc", out);
}

/* --- what sequences say ---------------------------------------------------------------------- */

static const char *name_of_final(char final)
{
    static const struct {
        char final;
        const char *name;
    } finals[] = {{'A', "Up"},   {'B', "Down"}, {'C', "Right"},    {'D', "Left"},
                  {'H', "Home"}, {'F', "End"},  {'P', "F1"},       {'Q', "F2"},
                  {'R', "F3"},   {'S', "F4"},   {'Z', "Shift-Tab"}};
    for (size_t i = 0; i < sizeof finals / sizeof *finals; i++)
        if (finals[i].final == final)
            return finals[i].name;
    return NULL;
}

/* "CSI number ~" */
static const char *name_of_number(int number)
{
    static const char *const names[] = {
        [1] = "Home",     [2] = "Insert", [3] = "Delete", [4] = "End",  [5] = "PageUp",
        [6] = "PageDown", [7] = "Home",   [8] = "End",    [11] = "F1",  [12] = "F2",
        [13] = "F3",      [14] = "F4",    [15] = "F5",    [17] = "F6",  [18] = "F7",
        [19] = "F8",      [20] = "F9",    [21] = "F10",   [23] = "F11", [24] = "F12"};
    return number >= 0 && number < (int)(sizeof names / sizeof *names) ? names[number] : NULL;
}

/* Modifiers are one more than a sum: 1 Shift, 2 Alt, 4 Ctrl; locks come above these. */
static void give_held(struct key_reader *r, const char *name, int modifiers, struct key_event *out)
{
    char all[32];
    int m = modifiers > 0 ? modifiers - 1 : 0;
    snprintf(all, sizeof all, "%s%s%s%s", m & 4 ? "Ctrl-" : "", m & 2 ? "Alt-" : "",
             m & 1 ? "Shift-" : "", name);
    give(r, all, out);
}

static bool give_known(struct key_reader *r, struct key_event *out)
{
    for (size_t i = 0; i < r->n_known; i++)
        if (strcmp(r->known[i].bytes, r->text) == 0) {
            give(r, r->known[i].name, out);
            return true;
        }
    return false;
}

static void give_mouse(const struct mouse_event *m, struct key_event *out)
{
    if (m->what == MOUSE_NOTHING)
        return;
    *out = (struct key_event){.kind = m->what == MOUSE_CLICK ? KEY_CLICKED : KEY_WHEELED,
                              .row = m->row,
                              .col = m->col,
                              .wheel = m->what == MOUSE_UP ? 1 : -1};
}

/* The whole of "CSI < button ; column ; row M" (m: let go). */
static void give_report(struct key_reader *r, struct key_event *out)
{
    struct mouse_event m = {.what = MOUSE_NOTHING};
    r->mouse = (struct mouse_report){.kind = MOUSE_SGR};
    for (const char *s = r->text + 2; *s; s++)
        if (mouse_take(&r->mouse, (unsigned char)*s, &m))
            break;
    give_mouse(&m, out);
    r->mouse = (struct mouse_report){.kind = MOUSE_NONE};
}

/* r->text is a whole CSI or SS3, from its '[' or 'O' on. What it does not know is an answer to
 * somebody, or nothing. */
static void give_sequence(struct key_reader *r, struct key_event *out)
{
    const char *parameters = r->text + 1, final = r->text[r->n - 1];
    int number = 0, modifiers = 0;
    if (give_known(r, out))
        return;
    if (strcmp(r->text, "[0n") == 0) {
        out->kind = KEY_ANSWERED;
        return;
    }
    if (parameters[0] == '<') {
        give_report(r, out);
        return;
    }
    size_t digits = strspn(parameters, "0123456789;");
    if (parameters + digits != r->text + r->n - 1)
        return;
    sscanf(parameters, "%5d;%3d", &number, &modifiers);
    if (r->text[0] == '[' && final == '~' && (number == 200 || number == 201)) {
        r->pasting = number == 200;
        return;
    }
    if (r->text[0] == 'O' && digits == 1) { /* ESC O 2 P: the modifier alone */
        modifiers = number;
        number = 1;
    }
    const char *name = final == '~'  ? name_of_number(number)
                       : number <= 1 ? name_of_final(final) /* else where the cursor is */
                                     : NULL;
    if (name)
        give_held(r, name, modifiers, out);
}

/* The keypad in its application mode: ESC O and j to y. */
static bool give_keypad(struct key_reader *r, char final, struct key_event *out)
{
    static const char from_j[] = "*+,-./0123456789";
    char name[2] = "";
    if (final == 'M') {
        give(r, "Enter", out);
        return true;
    }
    if (final == 'X')
        name[0] = '=';
    else if (final >= 'j' && final <= 'y')
        name[0] = from_j[final - 'j'];
    give(r, name, out);
    return *name != '\0';
}

/* --- states: each takes a byte, or says that it is none of its own -----------------------------
 */

typedef bool take_fn(struct key_reader *r, unsigned char byte, int64_t now_us,
                     struct key_event *out);

static bool begins_string(unsigned char byte)
{
    return byte && strchr("P]_^X", byte);
}

static bool begins_sequence(unsigned char byte)
{
    return byte == '[' || byte == 'O' || begins_string(byte);
}

static void begin_sequence(struct key_reader *r, unsigned char byte, int64_t now_us)
{
    enter(r, byte == '[' ? KEYS_CSI : byte == 'O' ? KEYS_SS3 : KEYS_STRING, now_us);
    keep(r, byte);
}

static bool take_ground(struct key_reader *r, unsigned char byte, int64_t now_us,
                        struct key_event *out)
{
    if (byte == ESC) {
        enter(r, KEYS_ESC, now_us);
    } else if (byte >= 0xC0) {
        enter(r, KEYS_UTF8, now_us);
        keep(r, byte);
    } else if (byte < 0x80) { /* else a stray byte */
        give_char(r, byte, out);
    }
    return true;
}

static bool take_esc(struct key_reader *r, unsigned char byte, int64_t now_us,
                     struct key_event *out)
{
    if (begins_sequence(byte)) {
        begin_sequence(r, byte, now_us);
        return true;
    }
    enter(r, KEYS_GROUND, now_us);
    /* An ESC within pasted text is dropped; two are a hand's, which wants the paste to end. */
    if (!r->pasting || byte == ESC)
        give_esc(r, out);
    return false;
}

static bool take_csi(struct key_reader *r, unsigned char byte, int64_t now_us,
                     struct key_event *out)
{
    if (byte < 0x20 || byte >= DEL) { /* a hand's key, or the next sequence */
        enter(r, KEYS_GROUND, now_us);
        return false;
    }
    bool first = r->n == 1;
    keep(r, byte);
    if (first && byte == '[')
        r->state = KEYS_CSI_LINUX;
    else if (first && byte == 'M') {
        enter(r, KEYS_MOUSE, now_us);
        r->mouse = (struct mouse_report){.kind = MOUSE_BYTES};
    } else if (r->n + 1 >= sizeof r->text && byte < 0x40) {
        r->state = KEYS_CSI_SKIP;
    } else if (byte >= 0x40 || give_known(r, out)) { /* some keys end with '$' */
        if (byte >= 0x40)
            give_sequence(r, out);
        enter(r, KEYS_GROUND, now_us);
    }
    return true;
}

static bool take_skip(struct key_reader *r, unsigned char byte, int64_t now_us,
                      struct key_event *out)
{
    (void)out;
    if (byte >= 0x20 && byte < 0x40 && r->n++ < KEY_STRING_MOST)
        return true;
    enter(r, KEYS_GROUND, now_us);
    return byte >= 0x40 && byte < DEL;
}

static bool take_linux(struct key_reader *r, unsigned char byte, int64_t now_us,
                       struct key_event *out)
{
    keep(r, byte);
    if (!give_known(r, out) && byte >= 'A' && byte <= 'E') {
        char name[4] = {'F', (char)('1' + byte - 'A'), '\0'};
        give(r, name, out);
    }
    enter(r, KEYS_GROUND, now_us);
    return byte >= 0x20 && byte < DEL;
}

static bool take_ss3(struct key_reader *r, unsigned char byte, int64_t now_us,
                     struct key_event *out)
{
    if (byte >= 0x20 && byte < DEL)
        keep(r, byte);
    if (byte >= 0x30 && byte < 0x40 && r->n < 8)
        return true;
    if (byte >= 0x40 && byte < DEL && !(r->n == 2 && give_keypad(r, (char)byte, out)))
        give_sequence(r, out);
    enter(r, KEYS_GROUND, now_us);
    return byte >= 0x20 && byte < DEL;
}

static bool take_mouse(struct key_reader *r, unsigned char byte, int64_t now_us,
                       struct key_event *out)
{
    struct mouse_event m;
    bool whole = byte < 0x20 || mouse_take(&r->mouse, byte, &m);
    if (whole) {
        if (byte >= 0x20)
            give_mouse(&m, out);
        r->mouse = (struct mouse_report){.kind = MOUSE_NONE};
        enter(r, KEYS_GROUND, now_us);
    }
    return byte >= 0x20;
}

static void end_string(struct key_reader *r, int64_t now_us, struct key_event *out)
{
    if (strcmp(r->text, "_Gi=7;OK") == 0) /* the pane's pictures carry this number */
        out->kind = KEY_ANSWERED;
    enter(r, KEYS_GROUND, now_us);
}

static bool take_string(struct key_reader *r, unsigned char byte, int64_t now_us,
                        struct key_event *out)
{
    bool format = byte >= 8 && byte <= 13;
    if (byte == ESC) {
        r->state = KEYS_STRING_ESC;
    } else if (byte == BEL && r->text[0] == ']') {
        end_string(r, now_us, out);
    } else if (byte < 0x20 && !format && byte != BEL) {
        enter(r, KEYS_GROUND, now_us);
        return false;
    } else if (r->n >= KEY_STRING_MOST) {
        enter(r, KEYS_GROUND, now_us);
    } else {
        keep(r, byte);
    }
    return true;
}

/* No limit in time here: the rest of ESC \ may be late, and a lone '\' is a key with a meaning. */
static bool take_string_esc(struct key_reader *r, unsigned char byte, int64_t now_us,
                            struct key_event *out)
{
    if (byte == '\\') {
        end_string(r, now_us, out);
        return true;
    }
    enter(r, KEYS_ESC, now_us);
    return false;
}

static bool take_utf8(struct key_reader *r, unsigned char byte, int64_t now_us,
                      struct key_event *out)
{
    unsigned char lead = (unsigned char)r->text[0];
    size_t need = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2, took;
    if ((byte & 0xC0) != 0x80) {
        enter(r, KEYS_GROUND, now_us);
        return false;
    }
    keep(r, byte);
    if (r->n < need)
        return true;
    uint32_t ch = utf8_next(r->text, r->n, &took);
    if (took == r->n)
        give_char(r, ch, out);
    enter(r, KEYS_GROUND, now_us);
    return true;
}

static take_fn *const states[] = {
    [KEYS_GROUND] = take_ground, [KEYS_ESC] = take_esc,         [KEYS_CSI] = take_csi,
    [KEYS_CSI_SKIP] = take_skip, [KEYS_CSI_LINUX] = take_linux, [KEYS_SS3] = take_ss3,
    [KEYS_MOUSE] = take_mouse,   [KEYS_STRING] = take_string,   [KEYS_STRING_ESC] = take_string_esc,
    [KEYS_UTF8] = take_utf8,
};

/* --- the doors ------------------------------------------------------------------------------- */

size_t key_reader_take(struct key_reader *r, const char *bytes, size_t n, int64_t now_us,
                       struct key_event *out)
{
    size_t at = 0;
    *out = (struct key_event){.kind = KEY_NONE};
    if (n && r->esc_us >= 0) {
        bool late = now_us - r->esc_us <= KEY_LATE_US && n > 1;
        r->esc_us = -1;
        if (late && r->state == KEYS_GROUND && begins_sequence((unsigned char)bytes[0]))
            begin_sequence(r, (unsigned char)bytes[at++], now_us);
    }
    while (at < n && out->kind == KEY_NONE)
        at += states[r->state](r, (unsigned char)bytes[at], now_us, out);
    return at;
}

bool key_reader_pause(struct key_reader *r, int64_t now_us, struct key_event *out)
{
    *out = (struct key_event){.kind = KEY_NONE};
    /* In a paste a lone ESC is rather the beginning of the mark at its end. */
    if (r->state != KEYS_ESC || r->pasting || now_us - r->since_us < KEY_ESC_WAIT_US)
        return false;
    enter(r, KEYS_GROUND, now_us);
    r->esc_us = now_us;
    give_esc(r, out);
    return true;
}

int key_reader_wait_ms(const struct key_reader *r, int64_t now_us)
{
    bool string = r->state == KEYS_STRING || r->state == KEYS_STRING_ESC;
    int64_t limit = string ? KEY_STUCK_US : KEY_ESC_WAIT_US, left = r->since_us + limit - now_us;
    if ((r->state != KEYS_ESC || r->pasting) && !string)
        return -1;
    if (left <= 0)
        return string ? -1 : 0;
    return (int)((left + 999) / 1000);
}

bool key_reader_stuck(const struct key_reader *r, int64_t now_us)
{
    return (r->state == KEYS_STRING || r->state == KEYS_STRING_ESC) &&
           now_us - r->since_us >= KEY_STUCK_US;
}
