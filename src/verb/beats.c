#include "verb/beats.h"

#include <stdlib.h>

#include "app/beats.h"
#include "base/quantity.h"
#include "count/sound.h"

static bool read_tempo(const char *text, double *out, struct err *e)
{
    const char *rest = decimal_read(text, out);
    return (rest && !*rest && *out >= 30 && *out <= 400) ||
           err_set(e, ERR_USAGE, "count: --bpm '%s' is no tempo from 30 to 400; write 132 or 132.5",
                   text);
}

bool beats_asked(const struct call *c, struct beats_choice *out, struct err *e)
{
    *out = (struct beats_choice){.celsius = SOUND_USUAL_C};
    const char *distance = call_value(c, "distance"), *temperature = call_value(c, "temperature");
    const char *bpm = call_value(c, "bpm");
    if (distance && !distance_parse(distance, &out->distance_m, e))
        return false;
    if (temperature && !temperature_parse(temperature, &out->celsius, e))
        return false;
    return !bpm || read_tempo(bpm, &out->bpm, e);
}
