/* Hands: keys, text and the mouse, encoded for the modes the program chose. */
#include <ctype.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/utf8.h"
#include "lib/term_inside.h"

static const struct {
    const char *name;
    VTermKey key;
} named[] = {
    {"Enter", VTERM_KEY_ENTER},       {"Tab", VTERM_KEY_TAB},
    {"Esc", VTERM_KEY_ESCAPE},        {"Left", VTERM_KEY_LEFT},
    {"Right", VTERM_KEY_RIGHT},       {"Up", VTERM_KEY_UP},
    {"Down", VTERM_KEY_DOWN},         {"PageUp", VTERM_KEY_PAGEUP},
    {"PageDown", VTERM_KEY_PAGEDOWN}, {"Home", VTERM_KEY_HOME},
    {"End", VTERM_KEY_END},           {"Insert", VTERM_KEY_INS},
    {"Delete", VTERM_KEY_DEL},        {"Backspace", VTERM_KEY_BACKSPACE},
    {"F1", VTERM_KEY_FUNCTION(1)},    {"F2", VTERM_KEY_FUNCTION(2)},
    {"F3", VTERM_KEY_FUNCTION(3)},    {"F4", VTERM_KEY_FUNCTION(4)},
    {"F5", VTERM_KEY_FUNCTION(5)},    {"F6", VTERM_KEY_FUNCTION(6)},
    {"F7", VTERM_KEY_FUNCTION(7)},    {"F8", VTERM_KEY_FUNCTION(8)},
    {"F9", VTERM_KEY_FUNCTION(9)},    {"F10", VTERM_KEY_FUNCTION(10)},
    {"F11", VTERM_KEY_FUNCTION(11)},  {"F12", VTERM_KEY_FUNCTION(12)},
};

static const char *take_modifiers(const char *s, int *mods)
{
    static const struct {
        const char *name;
        int mod;
    } rows[] = {{"Ctrl", VTERM_MOD_CTRL}, {"Shift", VTERM_MOD_SHIFT}, {"Alt", VTERM_MOD_ALT}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t n = strlen(rows[i].name);
        if (strncmp(s, rows[i].name, n) != 0 || (s[n] != '-' && s[n] != '+') || !s[n + 1])
            continue;
        *mods |= rows[i].mod;
        s += n + 1;
        i = (size_t)-1; /* another may follow */
    }
    return s;
}

/* A character with modifiers, as xterm sends it: Ctrl takes the upper bits, Alt puts ESC before. */
static void put_char(struct term *t, const char *s, int mods)
{
    char out[8];
    size_t n = 0, len = strlen(s);
    if (mods & VTERM_MOD_ALT)
        out[n++] = 033;
    memcpy(out + n, s, len);
    if (mods & VTERM_MOD_SHIFT)
        out[n] = (char)toupper((unsigned char)out[n]);
    if (mods & VTERM_MOD_CTRL)
        out[n] = (char)(out[n] & 0x1F);
    term_send(t, out, n + len);
}

static void put_key(struct term *t, const char *name)
{
    int mods = 0;
    const char *s = take_modifiers(name, &mods);
    for (size_t i = 0; i < sizeof named / sizeof *named; i++) {
        if (strcmp(s, named[i].name) != 0)
            continue;
        term_stir(t);
        t->typing = true;
        vterm_keyboard_key(t->vt, named[i].key, (VTermModifier)mods);
        t->typing = false;
        term_send(t, "", 0);
        return;
    }
    if (strcmp(s, "Space") == 0)
        s = " ";
    size_t took;
    utf8_next(s, strlen(s), &took);
    if (s[took])
        term_fail(t, "there is no key '%s' (term_type takes text)", name);
    put_char(t, s, mods);
}

void term_keys(struct term *t, const char *names)
{
    char name[64];
    for (size_t n; names += strspn(names, " "), n = strcspn(names, " "), n > 0; names += n) {
        snprintf(name, sizeof name, "%.*s", (int)n, names);
        put_key(t, name);
    }
}

void term_type(struct term *t, const char *text)
{
    term_send(t, text, strlen(text));
}

void term_paste(struct term *t, const char *text)
{
    bool bracketed = t->mode[2004];
    char *all = arena_printf(test_arena(), "%s%s%s", bracketed ? "\033[200~" : "", text,
                             bracketed ? "\033[201~" : "");
    term_send(t, all, strlen(all));
}

/* SGR 1006: CSI < button ; column ; row M (pressed) or m (released), from 1; 1016 counts pixels. */
static void mouse(struct term *t, int row, int col, int code, char final)
{
    bool asked = t->mode[1000] || t->mode[1002] || t->mode[1003];
    if (!asked || !(t->mode[1006] || t->mode[1016]))
        term_fail(t, "the program did not ask for the mouse");
    row = term_row_index(t, row);
    int x = col + 1, y = row + 1;
    if (t->mode[1016]) {
        x = col * t->setup.cell_w + t->setup.cell_w / 2 + 1;
        y = row * t->setup.cell_h + t->setup.cell_h / 2 + 1;
    }
    char out[48];
    int n = snprintf(out, sizeof out, "\033[<%d;%d;%d%c", code, x, y, final);
    term_send(t, out, (size_t)n);
}

void term_press(struct term *t, int row, int col, int button)
{
    mouse(t, row, col, button - 1, 'M');
}

void term_drag(struct term *t, int row, int col, int button)
{
    if (t->mode[1002] || t->mode[1003])
        mouse(t, row, col, button - 1 + 32, 'M');
}

void term_release(struct term *t, int row, int col, int button)
{
    mouse(t, row, col, button - 1, 'm');
}

void term_click(struct term *t, int row, int col, int button)
{
    term_press(t, row, col, button);
    term_release(t, row, col, button);
}

void term_wheel(struct term *t, int row, int col, int notches)
{
    for (int i = abs(notches); i > 0; i--)
        mouse(t, row, col, notches < 0 ? 64 : 65, 'M');
}
