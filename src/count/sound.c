#include "count/sound.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"

double sound_speed(double celsius)
{
    return 331.3 * sqrt(1 + celsius / 273.15);
}

int64_t sound_delay_us(double metres, double celsius)
{
    return us_of_seconds(metres / sound_speed(celsius));
}

struct unit {
    const char *name;
    double metres;
};

static const struct unit units[] = {
    {"m", 1},         {"metre", 1},      {"metres", 1},    {"meter", 1},      {"meters", 1},
    {"ft", 0.3048},   {"foot", 0.3048},  {"feet", 0.3048}, {"'", 0.3048},     {"yd", 0.9144},
    {"yard", 0.9144}, {"yards", 0.9144}, {"step", 0.5715}, {"steps", 0.5715},
};

/* A number in plain digits at s (strtod would take "nan", "1e3" and "0x10"); its end, or NULL. */
static const char *number(const char *s, double *v)
{
    s += strspn(s, " \t");
    const char *digits = s + (*s == '-');
    const size_t n = strspn(digits, "0123456789.");
    char *end;
    char text[32];
    if (n == 0 || n >= sizeof text - 1)
        return NULL;
    const size_t len = n + (size_t)(digits - s);
    memcpy(text, s, len);
    text[len] = '\0';
    *v = strtod(text, &end);
    return *end ? NULL : digits + n + strspn(digits + n, " \t");
}

/* Does the rest of s say this word and nothing more? */
static bool says(const char *s, const char *word)
{
    const size_t n = strlen(word);
    return strncasecmp(s, word, n) == 0 && s[n + strspn(s + n, " \t")] == '\0';
}

bool distance_parse(const char *s, double *metres, struct err *e)
{
    double v;
    const char *unit = number(s, &v);
    for (size_t i = 0; unit && i < sizeof units / sizeof *units; i++) {
        if (!says(unit, units[i].name))
            continue;
        if (v < 0 || v * units[i].metres > 1000)
            return err_set(e, ERR_INPUT, "%s: a distance is 0 to 1000 m", s);
        *metres = v * units[i].metres;
        return true;
    }
    if (unit && *unit == '\0')
        return err_set(e, ERR_INPUT, "%s: in which unit? write %sm, %sft, %syd or %s steps", s, s,
                       s, s, s);
    return err_set(e, ERR_INPUT, "%s: not a distance; write 60m, 200ft, 66yd or 100 steps", s);
}

bool temperature_parse(const char *s, double *celsius, struct err *e)
{
    static const char degree[] = "\xC2\xB0";
    double v;
    const char *unit = number(s, &v);
    if (unit && strncmp(unit, degree, 2) == 0)
        unit += 2 + strspn(unit + 2, " \t");
    const bool f = unit && says(unit, "f");
    if (!f && !(unit && says(unit, "c")))
        return err_set(e, ERR_INPUT, "%s: not a temperature; write 20C or 68F", s);
    v = f ? (v - 32) / 1.8 : v;
    if (!(v >= -40 && v <= 60))
        return err_set(e, ERR_INPUT, "%s: no rehearsal is at that temperature; write -40C to 60C",
                       s);
    *celsius = v;
    return true;
}
