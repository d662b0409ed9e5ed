#include "pane/termcaps.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* --- what the terminal answered ----------------------------------------------------------- */

struct reply {
    char p[160]; /* the whole sequence, from ESC on, NUL-terminated; a long one is cut */
    size_t n;
};

static struct reply reply_of(const char *s, size_t n)
{
    struct reply r = {.n = n < sizeof r.p ? n : sizeof r.p - 1};
    memcpy(r.p, s, r.n);
    r.n = strlen(r.p);
    return r;
}

/* Length of the control sequence at s (s[0] is ESC), 0 when it is cut off, 1 for a lone ESC before
 * something that begins no sequence. */
static size_t sequence(const char *s, size_t n)
{
    if (n < 2)
        return 0;
    if (strchr("P]_^X", s[1])) { /* a string: to ST, an OSC also to BEL */
        for (size_t i = 2; i < n; i++) {
            if (s[i] == '\a' && s[1] == ']')
                return i + 1;
            if (s[i] == '\033' && i + 1 < n)
                return s[i + 1] == '\\' ? i + 2 : i;
        }
        return 0;
    }
    if (s[1] != '[')
        return 1;
    for (size_t i = 2; i < n; i++)
        if (s[i] >= 0x40 && s[i] <= 0x7e)
            return i + 1;
    return 0;
}

static bool starts(const struct reply *r, const char *with)
{
    return r->n >= strlen(with) && memcmp(r->p, with, strlen(with)) == 0;
}

static bool holds(const struct reply *r, const char *text)
{
    return strstr(r->p, text) != NULL;
}

static bool read_da1(struct term_caps *caps, const struct reply *r)
{
    if (!starts(r, "\033[?") || r->p[r->n - 1] != 'c')
        return false;
    caps->answered = true;
    for (const char *p = r->p + 3; *p; p += strcspn(p, ";c") + 1)
        caps->sixel |= strtol(p, NULL, 10) == 4;
    return true;
}

static bool read_status(struct term_caps *caps, const struct reply *r)
{
    if (!starts(r, "\033[0n"))
        return false;
    caps->dsr = true;
    return true;
}

/* DECRPM: 0 not known, 1 set, 2 reset, 3 always set, 4 never. */
static bool read_mode(struct term_caps *caps, const struct reply *r)
{
    int mode, state;
    char tail[3];
    if (!starts(r, "\033[?") || sscanf(r->p + 3, "%d;%d%2[$y]", &mode, &state, tail) != 3)
        return false;
    const bool known = state >= 1 && state <= 3;
    if (mode == 2026)
        caps->synchronized = known;
    if (mode == 1016)
        caps->pixel_mouse = known;
    return true;
}

static bool read_cell_size(struct term_caps *caps, const struct reply *r)
{
    int height, width;
    char end;
    if (!starts(r, "\033[6;") || sscanf(r->p + 4, "%d;%d%c", &height, &width, &end) != 3 ||
        end != 't')
        return false;
    if (height > 0 && height < 1000 && width > 0 && width < 1000) {
        caps->cell_height = height;
        caps->cell_width = width;
    }
    return true;
}

static bool read_version(struct term_caps *caps, const struct reply *r)
{
    if (!starts(r, "\033P>|"))
        return false;
    size_t n = r->n > 6 ? r->n - 4 - 2 : 0;
    if (n >= sizeof caps->version)
        n = sizeof caps->version - 1;
    memcpy(caps->version, r->p + 4, n);
    caps->version[n] = '\0';
    for (size_t i = 0; i < n; i++)
        if (!isprint((unsigned char)caps->version[i]))
            caps->version[i] = '?';
    return true;
}

static bool read_kitty(struct term_caps *caps, const struct reply *r)
{
    if (!starts(r, "\033_G"))
        return false;
    if (holds(r, ";OK")) {
        caps->kitty |= holds(r, "i=31");
        caps->kitty_shm |= holds(r, "i=32");
    }
    return true;
}

/* DECRQSS of SGR after 48;2;18;52;86 was set. */
static bool read_rendition(struct term_caps *caps, const struct reply *r)
{
    if (!starts(r, "\033P1$r"))
        return false;
    caps->rgb_echoed = holds(r, "18:52:86") || holds(r, "18;52;86");
    return true;
}

/* OSC 11: rgb:RRRR/GGGG/BBBB, each of one to four hexadecimal digits. */
static bool read_background(struct term_caps *caps, const struct reply *r)
{
    if (!starts(r, "\033]11;rgb:"))
        return false;
    double sum = 0;
    const char *p = r->p + strlen("\033]11;rgb:");
    for (int i = 0; i < 3; i++) {
        char *end;
        const unsigned long value = strtoul(p, &end, 16);
        const int digits = (int)(end - p);
        if (digits < 1 || digits > 4 || (i < 2 && *end != '/'))
            return true;
        sum += (double)value / (double)((1UL << (4 * digits)) - 1);
        p = end + 1;
    }
    caps->light = sum > 1.5;
    return true;
}

/* Sequences that are replies to somebody, but say nothing that is needed here. */
static bool read_other(struct term_caps *caps, const struct reply *r)
{
    (void)caps;
    return strchr("P]_^X", r->p[1]) || starts(r, "\033[?") || starts(r, "\033[>") ||
           (r->n > 3 && r->p[1] == '[' && strchr("ntcRy", r->p[r->n - 1]));
}

size_t term_caps_read(struct term_caps *caps, const char *bytes, size_t n, struct term_typed *typed)
{
    static bool (*const readers[])(struct term_caps *, const struct reply *) = {
        read_da1,   read_status,    read_mode,       read_cell_size, read_version,
        read_kitty, read_rendition, read_background, read_other};
    size_t at = 0;
    while (at < n && !caps->answered) {
        const size_t len = bytes[at] == '\033' ? sequence(bytes + at, n - at) : 1;
        if (len == 0)
            break;
        const struct reply r = reply_of(bytes + at, len);
        bool known = false;
        for (size_t i = 0; len > 2 && i < sizeof readers / sizeof *readers && !known; i++)
            known = readers[i](caps, &r);
        for (size_t i = 0; i < len && !known && typed->bytes && typed->n < typed->cap; i++)
            typed->bytes[typed->n++] = bytes[at + i];
        at += len;
    }
    return at;
}

/* --- what follows from it ----------------------------------------------------------------- */

static const char *value(term_getenv env, const char *name)
{
    const char *v = env(name);
    return v ? v : "";
}

static bool locale_utf8(term_getenv env)
{
    const char *l = value(env, "LC_ALL");
    if (!*l)
        l = value(env, "LC_CTYPE");
    if (!*l)
        l = value(env, "LANG");
    return strcasestr(l, "utf-8") || strcasestr(l, "utf8");
}

static bool is_multiplexed(const struct term_caps *caps, term_getenv env)
{
    const char *term = value(env, "TERM");
    return *value(env, "TMUX") || *value(env, "STY") || strncmp(term, "tmux", 4) == 0 ||
           strncmp(term, "screen", 6) == 0 || strncasecmp(caps->version, "tmux", 4) == 0;
}

static bool is_dumb(term_getenv env)
{
    const char *term = value(env, "TERM");
    return !*term || strcmp(term, "dumb") == 0 || strcmp(term, "unknown") == 0;
}

static enum term_colors colors_offered(const struct term_caps *caps, term_getenv env)
{
    const char *term = value(env, "TERM"), *more = value(env, "COLORTERM");
    if (is_dumb(env) || *value(env, "NO_COLOR"))
        return TERM_NONE;
    if (strcmp(more, "truecolor") == 0 || strcmp(more, "24bit") == 0 || caps->rgb_echoed ||
        caps->kitty || strstr(term, "-direct"))
        return TERM_TRUECOLOR;
    if (strstr(term, "256color") || *more)
        return TERM_256;
    if (strncmp(term, "vt", 2) == 0 || strstr(term, "-mono"))
        return TERM_NONE;
    return TERM_16;
}

static enum term_pane still_offered(const struct term_caps *caps)
{
    if (caps->multiplexed)
        return TERM_PANE_CELLS;
    if (caps->kitty)
        return TERM_PANE_KITTY;
    return caps->sixel && caps->cell_width > 0 ? TERM_PANE_SIXEL : TERM_PANE_SYMBOLS;
}

struct word {
    const char *name;
    int value;
};

/* The value of a setting, `otherwise` when it is not set or not known (then e is filled). */
static int setting(const char *what, const char *set, const struct word *words, int otherwise,
                   struct err *e)
{
    if (!set || !*set || strcmp(set, "auto") == 0)
        return otherwise;
    char names[80] = "";
    for (const struct word *w = words; w->name; w++) {
        if (strcmp(set, w->name) == 0)
            return w->value;
        strcat(strcat(names, w->name), ", ");
    }
    err_set(e, ERR_INPUT, "%s=%s: not known; choose one of %sauto", what, set, names);
    return otherwise;
}

bool term_caps_decide(struct term_caps *caps, term_getenv env, const struct term_settings *set,
                      struct err *e)
{
    static const struct word panes[] = {{"cells", TERM_PANE_CELLS},     {"kitty", TERM_PANE_KITTY},
                                        {"sixel", TERM_PANE_SIXEL},     {"none", TERM_PANE_NONE},
                                        {"symbols", TERM_PANE_SYMBOLS}, {0}};
    static const struct word colors[] = {
        {"true", TERM_TRUECOLOR}, {"256", TERM_256}, {"16", TERM_16}, {"none", TERM_NONE}, {0}};
    struct err trouble = {0};
    caps->utf8 = locale_utf8(env);
    caps->multiplexed = is_multiplexed(caps, env);
    caps->colors = (enum term_colors)setting("color", set ? set->color : NULL, colors,
                                             (int)colors_offered(caps, env), &trouble);
    const enum term_pane offered = is_dumb(env) ? TERM_PANE_NONE : still_offered(caps);
    caps->still =
        (enum term_pane)setting("pane", set ? set->pane : NULL, panes, (int)offered, &trouble);
    if (caps->still == TERM_PANE_SYMBOLS && (!caps->utf8 || caps->colors == TERM_NONE))
        caps->still = TERM_PANE_CELLS;
    caps->moving = caps->still == TERM_PANE_NONE ? TERM_PANE_NONE : TERM_PANE_CELLS;
    if (caps->still == TERM_PANE_KITTY && caps->kitty_shm && !caps->multiplexed)
        caps->moving = TERM_PANE_KITTY;
    if (trouble.code == ERR_NONE)
        return true;
    *e = trouble;
    return false;
}
