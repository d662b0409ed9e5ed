/* A cue's lines as what was said: WebVTT's cue text (tags, entities, times inside), which takes SubRip's
 * tags along. */
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "talk/timed_inner.h"

struct saying {
    struct reading *r;
    const struct raw_cue *raw;
    struct buf text, speaker;
    struct timed_anchor *anchors;
    size_t n_anchors, cap;
    bool blank; /* a blank is due before the next character */
};

static void put(struct saying *s, const char *bytes, size_t n)
{
    if (s->blank && s->text.n)
        buf_char(&s->text, ' ');
    s->blank = false;
    buf_add(&s->text, bytes, n);
}

/* One code point: blanks of any kind become one; what is not seen is left out, but for the null, which
 * WebVTT has replaced. */
static void put_code(struct saying *s, uint32_t c)
{
    char out[4];
    if (c == ' ' || c == '\t' || c == '\n' || c == '\f' || c == 0xA0)
        s->blank = true;
    else if (!c || !utf8_is_control(c))
        put(s, out, utf8_put(c ? c : UTF8_BAD, out));
}

/* --- entities ------------------------------------------------------------------------------------ */

static const struct entity {
    const char *name;
    uint32_t code;
} entities[] = {{"amp", '&'},       {"lt", '<'},       {"gt", '>'},      {"nbsp", 0xA0},
                {"quot", '"'},      {"apos", '\''},    {"lrm", 0x200E},  {"rlm", 0x200F},
                {"hellip", 0x2026}, {"ndash", 0x2013}, {"mdash", 0x2014}};

/* "&amp;", "&#39;", "&#x27;": its length, 0: none. */
static size_t entity(const char *s, size_t n, uint32_t *code)
{
    size_t end = 1;
    while (end < n && end < 12 && s[end] != ';' && s[end] != '&')
        end++;
    if (end >= n || s[end] != ';' || end < 3)
        return 0;
    if (s[1] == '#') {
        const bool hex = s[2] == 'x' || s[2] == 'X';
        char *stop, number[16] = "";
        memcpy(number, s + 2 + hex, end - 2 - hex);
        const unsigned long c = strtoul(number, &stop, hex ? 16 : 10);
        *code = c > 0x10FFFF ? UTF8_BAD : (uint32_t)c;
        return *stop || !*number ? 0 : end + 1;
    }
    for (size_t i = 0; i < sizeof entities / sizeof *entities; i++)
        if (strlen(entities[i].name) == end - 1 && memcmp(s + 1, entities[i].name, end - 1) == 0) {
            *code = entities[i].code;
            return end + 1;
        }
    return 0;
}

/* --- tags ------------------------------------------------------------------------------------------ */

static void speaker(struct saying *s, const char *name, size_t n)
{
    if (s->speaker.n)
        return;
    while (n && (*name == ' ' || *name == '\t'))
        name++, n--;
    buf_add(&s->speaker, name, n);
}

static void anchor(struct saying *s, int64_t us)
{
    const int64_t before = s->n_anchors ? s->anchors[s->n_anchors - 1].us : s->raw->from_us;
    if (us <= before || (s->raw->to_us >= 0 && us >= s->raw->to_us))
        return;
    s->anchors = array_grow(s->anchors, s->n_anchors, &s->cap, sizeof *s->anchors);
    s->anchors[s->n_anchors++] = (struct timed_anchor){s->text.n + (s->text.n > 0 && s->blank), us};
}

/* A tag from '<' to '>': what it says of speaker and time. Any name that is a letter, so that "<3" and
 * "a < b" stay words. Its length, 0: none. */
static size_t tag(struct saying *s, const char *at, size_t n)
{
    const char *close = memchr(at, '>', n);
    int64_t us;
    if (n < 3 || !close)
        return 0;
    const struct timed_line in = {at + 1, (size_t)(close - at - 1)};
    const char c = in.n ? (char)(in.at[0] | 0x20) : 0;
    if (in.n && in.at[0] >= '0' && in.at[0] <= '9') {
        size_t end = 0;
        if (!webvtt_time(&in, &end, &us) || end != in.n)
            return 0;
        anchor(s, us);
        return in.n + 2;
    }
    if (!(c >= 'a' && c <= 'z') && !(in.n && in.at[0] == '/'))
        return 0;
    if (in.at[0] == 'v' && in.n > 1 && (in.at[1] == ' ' || in.at[1] == '\t' || in.at[1] == '.')) {
        const char *blank = memchr(in.at, ' ', in.n);
        if (blank)
            speaker(s, blank, (size_t)(in.at + in.n - blank));
    }
    return in.n + 2;
}

/* SubRip's places: "{\an8}". */
static size_t place(const char *at, size_t n)
{
    const char *close = memchr(at, '}', n);
    return n > 2 && at[1] == '\\' && close ? (size_t)(close - at) + 1 : 0;
}

/* --- all of it -------------------------------------------------------------------------------------- */

static void say(struct saying *s, const char *at, size_t n, bool tags)
{
    for (size_t i = 0, took; i < n; i += took) {
        uint32_t code = 0;
        took = 0;
        if (tags && at[i] == '<')
            took = tag(s, at + i, n - i);
        else if (tags && at[i] == '{')
            took = place(at + i, n - i);
        if (took)
            continue;
        if (tags && at[i] == '&')
            took = entity(at + i, n - i, &code);
        if (!took)
            code = utf8_next(at + i, n - i, &took);
        put_code(s, code);
    }
}

void reading_add(struct reading *r, const struct raw_cue *raw)
{
    struct saying s = {.r = r, .raw = raw};
    struct buf whole = {0}; /* a tag may go on over lines */
    for (size_t i = raw->first; i < raw->last; i++) {
        const size_t skip = i == raw->first ? raw->skip : 0;
        buf_add(&whole, r->lines[i].at + skip, r->lines[i].n - skip);
        buf_char(&whole, '\n');
    }
    say(&s, buf_text(&whole), whole.n, raw->tags);
    if (s.text.n) {
        struct timed_anchor *own = arena_alloc(r->a, (s.n_anchors + 1) * sizeof *own);
        if (s.n_anchors)
            memcpy(own, s.anchors, s.n_anchors * sizeof *own);
        r->cues = array_grow(r->cues, r->n_cues, &r->cap, sizeof *r->cues);
        r->cues[r->n_cues++] =
            (struct timed_cue){.from_us = raw->from_us,
                               .to_us = raw->to_us,
                               .text = arena_strndup(r->a, s.text.p, s.text.n),
                               .speaker = arena_strndup(r->a, buf_text(&s.speaker), s.speaker.n),
                               .line = (int)raw->time_line + 1,
                               .anchors = own,
                               .n_anchors = s.n_anchors};
    }
    free(s.anchors);
    buf_free(&whole);
    buf_free(&s.text);
    buf_free(&s.speaker);
}
