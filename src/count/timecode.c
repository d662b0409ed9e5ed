#include "count/timecode.h"

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

static const struct rate standard[] = {{24000, 1001}, {24, 1}, {25, 1},       {30000, 1001},
                                       {30, 1},       {50, 1}, {60000, 1001}, {60, 1}};

/* --- printing ------------------------------------------------------------------------------ */

/* us in units of `unit` microseconds, nearest, printed with `places` decimals of a second. */
static void format(int64_t us, int64_t unit, int places, char out[24])
{
    const char *sign = us < 0 ? "-" : "";
    uint64_t n = us < 0 ? 0 - (uint64_t)us : (uint64_t)us;
    const uint64_t u = (uint64_t)unit, second = 1000000 / u;
    n = n / u + (n % u >= u - u / 2);
    if (n == 0)
        sign = "";
    const uint64_t part = n % second, s = n / second;
    if (s < 3600)
        snprintf(out, 24, "%s%" PRIu64 ":%02u.%0*" PRIu64, sign, s / 60, (unsigned)(s % 60), places,
                 part);
    else
        snprintf(out, 24, "%s%" PRIu64 ":%02u:%02u.%0*" PRIu64, sign, s / 3600,
                 (unsigned)(s / 60 % 60), (unsigned)(s % 60), places, part);
}

void time_format(int64_t us, char out[24])
{
    format(us, 1000, 3, out);
}

void time_format_short(int64_t us, char out[24])
{
    format(us, 100000, 1, out);
}

/* --- reading ------------------------------------------------------------------------------- */

static const char *skip_blanks(const char *p)
{
    while (isspace((unsigned char)*p))
        p++;
    return p;
}

/* Digits at *p as a number; how many there were. More than nine digits are more than any limit. */
static int whole(const char **p, int64_t *v)
{
    int n = 0;
    for (*v = 0; isdigit((unsigned char)**p); (*p)++, n++)
        *v = n < 10 ? *v * 10 + (**p - '0') : INT64_C(9999999999);
    return n;
}

/* The digits behind a decimal point as microseconds, the seventh digit rounding. */
static int64_t fraction_us(const char **p)
{
    int64_t us = 0, place = 100000;
    for (; isdigit((unsigned char)**p); (*p)++) {
        const int digit = **p - '0';
        if (place > 0)
            us += digit * place;
        else if (place == 0 && digit >= 5)
            us++;
        place = place > 1 ? place / 10 : place == 1 ? 0 : -1;
    }
    return us;
}

static bool not_a_time(const char *s, struct err *e)
{
    if (strchr(s, ';'))
        return err_set(e, ERR_INPUT,
                       "%s: time code with frames cannot be read without the clip's frame rate; "
                       "write m:ss.t, as 5:58.2",
                       s);
    return err_set(e, ERR_INPUT,
                   "%s: not a time; write seconds (358.2), minutes and seconds (5:58.2) or hours "
                   "(0:05:58.2)",
                   s);
}

/* Up to three numbers with colons between; *us is what the whole part says. */
static bool colon_groups(const char **p, const char *s, int *groups, int64_t *us, struct err *e)
{
    int64_t total = 0, v;
    for (*groups = 0; *groups < 3; ++*groups, ++*p) {
        const int digits = whole(p, &v);
        if (digits == 0)
            return not_a_time(s, e);
        if (*groups > 0 && (digits != 2 || v > 59))
            return err_set(e, ERR_INPUT,
                           "%s: behind a colon stand two digits, 00 to 59, as in 5:08", s);
        total = total * 60 + v;
        if (**p != ':')
            break;
    }
    if (*groups == 3)
        return not_a_time(s, e);
    const int64_t most = TIME_MAX_US / 1000000 + 1; /* refused by the caller */
    *us = (total < most ? total : most) * 1000000;
    return true;
}

/* A decimal comma, and not the one of 1,234 seconds: behind a colon, or before one digit or two. */
static bool comma_is_decimal(const char *p, int groups)
{
    const size_t digits = *p == ',' ? strspn(p + 1, "0123456789") : 0;
    return digits > 0 && (groups > 0 || digits <= 2);
}

static bool unsigned_time(const char *s, const char *p, int64_t *us, struct err *e)
{
    int groups;
    int64_t t = 0;
    if (*p == '.' && isdigit((unsigned char)p[1]))
        groups = 0;
    else if (!colon_groups(&p, s, &groups, &t, e))
        return false;
    if (*p == '.' || comma_is_decimal(p, groups)) {
        p++;
        t += fraction_us(&p);
    }
    p = skip_blanks(p);
    if (*p == 's' && groups == 0)
        p++;
    if (*skip_blanks(p))
        return not_a_time(s, e);
    if (t > TIME_MAX_US)
        return err_set(e, ERR_INPUT, "%s: longer than 100 hours; is a colon or a point missing?",
                       s);
    *us = t;
    return true;
}

bool time_parse(const char *s, int64_t *us, struct err *e)
{
    const char *p = skip_blanks(s);
    if (*p == '-')
        return err_set(e, ERR_INPUT, "%s: a clip begins at 0:00; write a time without a minus", s);
    return unsigned_time(s, p, us, e);
}

bool time_parse_shift(const char *s, int64_t *us, struct err *e)
{
    const char *p = skip_blanks(s);
    const bool back = *p == '-';
    if (!back && *p != '+')
        return err_set(e, ERR_INPUT, "%s: how far to move begins with + or -, as +2.5", s);
    if (!unsigned_time(s, skip_blanks(p + 1), us, e))
        return false;
    if (back)
        *us = -*us;
    return true;
}

/* --- frames -------------------------------------------------------------------------------- */

struct rate rate_standard(int num, int den)
{
    for (size_t i = 0; den > 0 && i < sizeof standard / sizeof *standard; i++) {
        const int64_t a = (int64_t)num * standard[i].den, b = (int64_t)standard[i].num * den;
        if ((a > b ? a - b : b - a) <= b / 10000)
            return standard[i];
    }
    return (struct rate){0};
}

bool rate_drops(struct rate r)
{
    return r.den == 1001 && (r.num == 30000 || r.num == 60000);
}

__extension__ typedef __int128 wide;

/* round(a * b / c), halves away from zero; b, c > 0. Containers give rates like 27000000/900901. */
static int64_t scale(int64_t a, int64_t b, int64_t c)
{
    const wide ab = (wide)a * b;
    return (int64_t)((ab + (ab < 0 ? -c / 2 : c / 2)) / c);
}

int64_t frame_time(int64_t n, struct rate r)
{
    return scale(n, INT64_C(1000000) * r.den, r.num);
}

int64_t frame_at(int64_t us, struct rate r)
{
    return scale(us, r.num, INT64_C(1000000) * r.den);
}

/* --- SMPTE time code ----------------------------------------------------------------------- */

/* How a rate is counted: labels per second, labels skipped per minute, and from these the frames
 * that a minute, ten minutes and a day really have. */
struct counting {
    int64_t fps, skip, minute, ten, day;
};

static bool counting_of(struct rate r, bool drop, struct counting *c)
{
    const struct rate s = rate_standard(r.num, r.den);
    if (s.num == 0 || (drop && !rate_drops(s)))
        return false;
    c->fps = (s.num + s.den - 1) / s.den;
    c->skip = drop ? c->fps / 15 : 0;
    c->minute = c->fps * 60 - c->skip;
    c->ten = c->minute * 10 + c->skip;
    c->day = c->ten * 6 * 24;
    return true;
}

bool smpte_format(int64_t frame, struct rate r, bool drop, char out[16])
{
    struct counting c;
    strcpy(out, "--:--:--:--");
    if (!counting_of(r, drop, &c) || frame < 0 || frame >= c.day)
        return false;
    /* Every minute but the first of each ten has its first labels skipped. */
    const int64_t tens = frame / c.ten, rest = frame % c.ten;
    const int64_t minutes = rest < c.fps * 60 ? 0 : 1 + (rest - c.fps * 60) / c.minute;
    const int64_t label = frame + c.skip * (tens * 9 + minutes);
    const int64_t s = label / c.fps;
    snprintf(out, 16, "%02u:%02u:%02u%c%02u", (unsigned)(s / 3600 % 24), (unsigned)(s / 60 % 60),
             (unsigned)(s % 60), drop ? ';' : ':', (unsigned)(label % c.fps));
    return true;
}

/* The four numbers of a label, one or two digits each. */
static bool label_numbers(const char *s, int64_t v[4], bool *drop)
{
    const char *p = skip_blanks(s);
    *drop = false;
    for (int i = 0; i < 4; i++) {
        const int digits = whole(&p, &v[i]);
        if (digits < 1 || digits > 2)
            return false;
        if (i < 3 && *p != ':' && *p != ';')
            return false;
        *drop = *drop || *p == ';';
        p += i < 3;
    }
    return *skip_blanks(p) == '\0';
}

bool smpte_parse(const char *s, struct rate r, int64_t *frame, struct err *e)
{
    int64_t v[4];
    bool drop;
    struct counting c;
    if (!label_numbers(s, v, &drop))
        return err_set(e, ERR_INPUT, "%s: not a time code; write hh:mm:ss:ff or hh:mm:ss;ff", s);
    if (rate_standard(r.num, r.den).num == 0)
        return err_set(e, ERR_INPUT,
                       "%s: time code counts 23.976 to 60 frames a second, and this clip has "
                       "another rate; write m:ss.t",
                       s);
    if (!counting_of(r, drop, &c))
        return err_set(e, ERR_INPUT,
                       "%s: drop-frame counting (;) exists at 29.97 and 59.94 only; write ':' "
                       "before the frames",
                       s);
    if (v[0] > 23 || v[1] > 59 || v[2] > 59 || v[3] >= c.fps)
        return err_set(e, ERR_INPUT,
                       "%s: hours go to 23, minutes and seconds to 59, frames to %d here", s,
                       (int)c.fps - 1);
    if (v[2] == 0 && v[3] < c.skip && v[1] % 10 != 0)
        return err_set(e, ERR_INPUT,
                       "%s: drop-frame counting skips this label; the first of this minute is "
                       "%02d:%02d:00;%02d",
                       s, (int)v[0], (int)v[1], (int)c.skip);
    const int64_t minutes = v[0] * 60 + v[1];
    *frame = (minutes * 60 + v[2]) * c.fps + v[3] - c.skip * (minutes - minutes / 10);
    return true;
}
