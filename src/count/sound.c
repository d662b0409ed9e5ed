#include "count/sound.h"

#include <math.h>
#include <stddef.h>

#include "base/number.h"
#include "base/quantity.h"

double sound_speed(double celsius)
{
    return 331.3 * sqrt(1 + celsius / 273.15);
}

int64_t sound_delay_us(double metres, double celsius)
{
    return us_of_seconds(metres / sound_speed(celsius));
}

bool distance_parse(const char *s, double *metres, struct err *e)
{
    static const struct unit units[] = {
        {"m", 1, 0},         {"metre", 1, 0},      {"metres", 1, 0},    {"meter", 1, 0},
        {"meters", 1, 0},    {"ft", 0.3048, 0},    {"foot", 0.3048, 0}, {"feet", 0.3048, 0},
        {"'", 0.3048, 0},    {"yd", 0.9144, 0},    {"yard", 0.9144, 0}, {"yards", 0.9144, 0},
        {"step", 0.5715, 0}, {"steps", 0.5715, 0}, {NULL, 0, 0},
    };
    double m;
    switch (quantity_read(s, units, &m)) {
    case QUANTITY_READ:
        break;
    case QUANTITY_NO_UNIT:
        return err_set(e, ERR_INPUT, "%s: in which unit? write %sm, %sft, %syd or %s steps", s, s,
                       s, s, s);
    default:
        return err_set(e, ERR_INPUT, "%s: not a distance; write 60m, 200ft, 66yd or 100 steps", s);
    }
    if (m < 0 || m > 1000)
        return err_set(e, ERR_INPUT, "%s: a distance is 0 to 1000 m", s);
    *metres = m;
    return true;
}

bool temperature_parse(const char *s, double *celsius, struct err *e)
{
    static const struct unit units[] = {{"C", 1, 0}, {"F", 1 / 1.8, -32 / 1.8}, {NULL, 0, 0}};
    double c;
    if (quantity_read(s, units, &c) != QUANTITY_READ)
        return err_set(e, ERR_INPUT, "%s: not a temperature; write 20C or 68F", s);
    if (!(c >= -40 && c <= 60))
        return err_set(e, ERR_INPUT, "%s: no rehearsal is at that temperature; write -40C to 60C",
                       s);
    *celsius = c;
    return true;
}
