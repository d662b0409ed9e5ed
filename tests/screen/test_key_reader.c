/* What the terminal sends, read from any cut of it. The sequences are those of XTerm Control
 * Sequences (Thomas E. Dickey; PC-Style Function Keys, Mouse Tracking, Bracketed Paste Mode), of
 * ECMA-48 and of terminfo's entries; some from memory where that is said. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "screen/key_reader.h"

enum { SECOND = 1000000, OUT = 4096 };

static const char *const known[][2] = {
    {"\033[7$", "Home"}, /* rxvt-unicode's shifted Home, as it may stand in a description */
    {"\033[d", "Shift-Left"},
    {"\033[[A", "F1"},
    {"\033OP", "F1"}};

static struct key_reader new_reader(void)
{
    struct key_reader r;
    key_reader_begin(&r);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        key_reader_know(&r, known[i][0], known[i][1]);
    return r;
}

static void write_event(char *out, const struct key_event *e)
{
    char *to = out + strlen(out);
    size_t room = OUT - strlen(out);
    if (e->kind == KEY_PRESS)
        snprintf(to, room, "%s ", e->key);
    else if (e->kind == KEY_PASTED)
        snprintf(to, room, "{%s} ", e->key);
    else if (e->kind == KEY_CLICKED)
        snprintf(to, room, "click %d,%d ", e->row, e->col);
    else if (e->kind == KEY_WHEELED)
        snprintf(to, room, "wheel %+d ", e->wheel);
    else if (e->kind == KEY_ANSWERED)
        snprintf(to, room, "answer ");
}

static void take(struct key_reader *r, const char *bytes, size_t n, int64_t now, char *out)
{
    for (struct key_event e = {.kind = KEY_PRESS}; n || e.kind != KEY_NONE;) {
        size_t took = key_reader_take(r, bytes, n, now, &e);
        assert_true(took <= n && (took || e.kind != KEY_NONE || !n));
        bytes += took;
        n -= took;
        write_event(out, &e);
    }
}

static void pass(struct key_reader *r, int64_t now, char *out)
{
    struct key_event e;
    while (key_reader_pause(r, now, &e))
        write_event(out, &e);
}

static const struct row {
    const char *name, *bytes, *says;
} rows[] = {
    {"letters", "th", "t h "},
    {"space, return, tab, backspace", " \r\t\177\b", "Space Enter Tab Backspace Backspace "},
    {"control letters", "\032\021\003", "Ctrl-z Ctrl-q Ctrl-c "},
    {"a character of two bytes", "é", "é "},
    {"a character of three bytes", "♪", "♪ "},
    {"a character of four bytes", "\xf0\x9d\x84\x9e", "\xf0\x9d\x84\x9e "},
    {"stray and cut bytes are none", "\x9c\xc3t\xffh\xe2\x99t", "t h t "},
    {"an overlong form is none", "\xc0\xaft", "t "},
    {"cursor keys", "\033[A\033[B\033[C\033[D", "Up Down Right Left "},
    {"cursor keys in application mode", "\033OA\033OB\033OC\033OD", "Up Down Right Left "},
    {"held keys", "\033[1;2C\033[1;5D\033[1;3A\033[1;8B",
     "Shift-Right Ctrl-Left Alt-Up Ctrl-Alt-Shift-Down "},
    {"a lock beside a held key", "\033[1;130C", "Shift-Right "},
    {"editing keys", "\033[1~\033[2~\033[3~\033[4~\033[5~\033[6~\033[H\033[F\033OH\033OF",
     "Home Insert Delete End PageUp PageDown Home End Home End "},
    {"a held editing key", "\033[5;2~", "Shift-PageUp "},
    {"function keys",
     "\033OP\033OQ\033OR\033OS\033[15~\033[17~\033[18~\033[19~\033[20~\033[21~"
     "\033[23~\033[24~",
     "F1 F2 F3 F4 F5 F6 F7 F8 F9 F10 F11 F12 "},
    {"held function keys", "\033[1;2P\033[15;5~\033O2P", "Shift-F1 Ctrl-F5 Shift-F1 "},
    {"function keys of the Linux console (terminfo: linux)", "\033[[A\033[[B\033[[E", "F1 F2 F5 "},
    {"Shift-Tab", "\033[Z", "Shift-Tab "},
    {"the keypad", "\033Oj\033Ok\033Ol\033Om\033On\033Oo\033Op\033Oy\033OM\033OX",
     "* + , - . / 0 9 Enter = "},
    {"a key that only the description has", "\033[d\033[7$t", "Shift-Left Home t "},
    {"the status answer", "\033[0n", "answer "},
    {"the answer to a picture", "\033_Gi=7;OK\033\\", "answer "},
    {"the answer to a picture that failed", "\033_Gi=7;ENOENT:t h\033\\t", "t "},
    {"a version", "\033P>|xterm(379)\033\\t", "t "},
    {"a colour, ended by ST", "\033]11;rgb:ffff/ffff/ffff\033\\t", "t "},
    {"a colour, ended by BEL", "\033]11;rgb:ffff/ffff/ffff\at", "t "},
    {"a rendition", "\033P1$r0;48:2:1:18:52:86m\033\\t", "t "},
    {"a mode", "\033[?2026;2$yt", "t "},
    {"attributes", "\033[?62;4;22ct", "t "},
    {"where the cursor is, which nobody asked", "\033[24;80Rt", "t "},
    {"a size", "\033[6;16;8tt", "t "},
    {"focus", "\033[I\033[Ot", "t "},
    {"a privacy message", "\033^th\033\\t", "t "},
    {"a start of string", "\033Xth\033\\t", "t "},
    {"BEL does not end a DCS", "\033P>|a\ath\033\\t", "t "},
    {"characters beyond ASCII in a string", "\033]0;été ♪\033\\t", "t "},
    {"a sequence that is too long for a key",
     "\033[1111111111111111111111111111111111111111111111111111111111111111111111111111111mt",
     "t "},
    {"a click, its release", "\033[<0;10;5M\033[<0;10;5m", "click 4,9 "},
    {"a wheel", "\033[<64;10;5M\033[<65;10;5M", "wheel +1 wheel -1 "},
    {"the older click and its release", "\033[M *%\033[M#*%t", "click 4,9 t "},
    {"the older click far to the right", "\033[M \xf0%t", "click 4,207 t "},
    {"pasted text", "\033[200~th é\033[201~t", "{t} {h} {Space} {é} t "},
    {"pasted lines", "\033[200~t\rh\033[201~", "{t} {Enter} {h} "},
    {"an ESC within pasted text", "\033[200~t\033h\033[201~t", "{t} {h} t "},
    {"a sequence that a new one cuts off", "\033[12\033[A", "Up "},
    {"a string that a sequence cuts off", "\033P>|th\033[A", "Up "},
    {"a string that a control key cuts off", "\033P>|th\021", "Ctrl-q "},
    {"a sequence that a control key cuts off", "\033[12\003", "Ctrl-c "},
};

static void whole(void **state)
{
    const struct row *r = *state;
    struct key_reader k = new_reader();
    char out[OUT] = "";
    take(&k, r->bytes, strlen(r->bytes), 0, out);
    assert_string_equal(out, r->says);
}

/* Between the pieces a second passes. Only where a piece ends with a lone ESC that second says that
 * it was the key; the rest of the sequence is one all the same. */
static void cut_once(void **state)
{
    const struct row *r = *state;
    size_t n = strlen(r->bytes);
    for (size_t cut = 1; cut < n; cut++) {
        struct key_reader k = new_reader();
        char out[OUT] = "", want[OUT] = "";
        take(&k, r->bytes, cut, 0, out);
        bool lone = k.state == KEYS_ESC && !k.pasting;
        snprintf(want, sizeof want, "%s%s", out, lone ? "Esc " : "");
        snprintf(want + strlen(want), sizeof want - strlen(want), "%s", r->says + strlen(out));
        pass(&k, SECOND, out);
        take(&k, r->bytes + cut, n - cut, SECOND, out);
        pass(&k, 2 * SECOND, out);
        if (strcmp(out, want) != 0)
            fail_msg("'%s' cut at %zu of %zu: '%s' for '%s'", r->name, cut, n, out, want);
    }
}

/* Every byte alone, less than the wait of Esc apart. */
static void byte_by_byte(void **state)
{
    const struct row *r = *state;
    struct key_reader k = new_reader();
    char out[OUT] = "";
    for (size_t i = 0; r->bytes[i]; i++) {
        int64_t now = (int64_t)i * (KEY_ESC_WAIT_US - 1);
        pass(&k, now, out);
        take(&k, r->bytes + i, 1, now, out);
    }
    assert_string_equal(out, r->says);
}

/* --- the Esc key ----------------------------------------------------------------------------- */

static void esc_is_an_esc_with_nothing_behind_it(void **state)
{
    (void)state;
    struct key_reader k = new_reader();
    char out[OUT] = "";
    take(&k, "\033", 1, 0, out);
    assert_string_equal(out, "");
    assert_int_equal(key_reader_wait_ms(&k, 0), KEY_ESC_WAIT_US / 1000);
    pass(&k, KEY_ESC_WAIT_US - 1, out);
    assert_string_equal(out, "");
    pass(&k, KEY_ESC_WAIT_US, out);
    assert_string_equal(out, "Esc ");
    assert_int_equal(key_reader_wait_ms(&k, KEY_ESC_WAIT_US), -1);
}

static void what_is_typed_after_esc_is_itself(void **state)
{
    (void)state;
    static const char typed[] = "[]PXO_^th";
    for (size_t i = 0; i < sizeof typed - 1; i++) {
        struct key_reader k = new_reader();
        char out[OUT] = "", want[16];
        take(&k, "\033", 1, 0, out);
        pass(&k, KEY_ESC_WAIT_US, out);
        take(&k, typed + i, 1, 2L * KEY_ESC_WAIT_US, out);
        snprintf(want, sizeof want, "Esc %c ", typed[i]);
        assert_string_equal(out, want);
    }
    struct key_reader k = new_reader();
    char out[OUT] = "";
    take(&k, "\033th\033\033t", 6, 0, out); /* all at once */
    assert_string_equal(out, "Esc t h Esc Esc t ");
}

static void esc_ends_what_never_ends(void **state)
{
    (void)state;
    static const char *const begun[] = {"\033P>|", "\033]11;", "\033_G", "\033^", "\033X"};
    for (size_t i = 0; i < sizeof begun / sizeof *begun; i++) {
        struct key_reader k = new_reader();
        char out[OUT] = "";
        take(&k, begun[i], strlen(begun[i]), 0, out);
        take(&k, "th", 2, SECOND / 2, out);
        assert_false(key_reader_stuck(&k, SECOND / 2));
        assert_true(key_reader_stuck(&k, SECOND));
        take(&k, "\033", 1, SECOND, out);
        pass(&k, 2 * SECOND, out);
        take(&k, "\033", 1, 2 * SECOND, out);
        pass(&k, 3 * SECOND, out);
        take(&k, "mh", 2, 4 * SECOND, out);
        assert_string_equal(out, "Esc Esc m h ");
        assert_false(key_reader_stuck(&k, 9 * SECOND));
    }
}

static void a_string_has_a_most(void **state)
{
    (void)state;
    static char much[KEY_STRING_MOST + 2];
    struct key_reader k = new_reader();
    char out[OUT] = "";
    memset(much, 'h', sizeof much);
    take(&k, "\033P", 2, 0, out);
    take(&k, much, KEY_STRING_MOST, 0, out);
    assert_string_equal(out, "");
    take(&k, "tm", 2, 0, out);
    assert_string_equal(out, "t m ");
}

static void esc_twice_ends_a_paste_whose_end_was_lost(void **state)
{
    (void)state;
    struct key_reader k = new_reader();
    char out[OUT] = "";
    take(&k, "\033[200~t", 7, 0, out);
    take(&k, "\033", 1, SECOND, out);
    pass(&k, 2 * SECOND, out);
    take(&k, "\033", 1, 2 * SECOND, out);
    pass(&k, 3 * SECOND, out);
    take(&k, "h", 1, 4 * SECOND, out);
    assert_string_equal(out, "{t} Esc Esc h ");
}

/* --- by chance ------------------------------------------------------------------------------- */

static unsigned chance_state = 20260914;

static unsigned chance(unsigned below)
{
    chance_state = chance_state * 1664525u + 1013904223u;
    return (chance_state >> 10) % below;
}

/* Whatever a string holds, wherever it is cut (but behind its ESC), however long the pauses: not
 * one of its letters is a key, and the key behind it is. */
static void no_letter_leaks_out_of_a_string(void **state)
{
    (void)state;
    static const char *const kinds = "P]_^X";
    for (int round = 0; round < 20000; round++) {
        struct key_reader k = new_reader();
        char bytes[300], out[OUT] = "";
        size_t n = 0, length = chance(200);
        int64_t now = 0;
        bytes[n++] = '\033';
        bytes[n++] = kinds[chance(5)];
        while (n < length + 2) {
            unsigned char c = (unsigned char)(chance(5) ? 0x20 + chance(95) : 0x80 + chance(128));
            bytes[n++] = (char)c;
        }
        memcpy(bytes + n, "\033\\q", 4);
        n += 3;
        for (size_t at = 0; at < n;) {
            size_t piece = at == 0 ? 2 : 1 + chance(20);
            piece = piece > n - at ? n - at : piece;
            take(&k, bytes + at, piece, now, out);
            at += piece;
            now += chance(3) * SECOND;
            pass(&k, now, out);
        }
        if (strcmp(out, "q ") != 0 && strcmp(out, "answer q ") != 0)
            fail_msg("round %d: '%s'", round, out);
    }
}

/* Noise never hangs the reader, never names a key that has no name, and Ctrl-Q gets through. */
static void noise_does_no_harm(void **state)
{
    (void)state;
    static const char often[] = "\033[]P_^XO<M~;?\\\a0123459";
    struct key_reader k = new_reader();
    int64_t now = 0;
    for (int round = 0; round < 200000; round++) {
        char bytes[24];
        size_t n = 1 + chance(sizeof bytes);
        for (size_t i = 0; i < n; i++)
            bytes[i] = (char)(chance(3) ? often[chance(sizeof often - 1)] : (char)chance(256));
        for (struct key_event e = {.kind = KEY_PRESS}; n || e.kind != KEY_NONE;) {
            size_t took = key_reader_take(&k, bytes, n, now, &e);
            assert_true(took <= n && (took || e.kind != KEY_NONE || !n));
            memmove(bytes, bytes + took, n - took);
            n -= took;
            assert_true((e.kind != KEY_PRESS && e.kind != KEY_PASTED) || *e.key);
        }
        now += chance(2) * KEY_ESC_WAIT_US;
    }
    char out[OUT] = "";
    take(&k, "\033\033", 2, now, out);
    take(&k, "   \021\021", 5, now, out);
    assert_non_null(strstr(out, "Ctrl-q "));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, whole);
    cases_of(&all, rows, cut_once);
    cases_of(&all, rows, byte_by_byte);
    case_test(&all, esc_is_an_esc_with_nothing_behind_it);
    case_test(&all, what_is_typed_after_esc_is_itself);
    case_test(&all, esc_ends_what_never_ends);
    case_test(&all, a_string_has_a_most);
    case_test(&all, esc_twice_ends_a_paste_whose_end_was_lost);
    case_test(&all, no_letter_leaks_out_of_a_string);
    case_test(&all, noise_does_no_harm);
    return cases_run(&all, "key reader");
}
