#include "verb/beats.h"

#include <stdlib.h>

#include "app/beats.h"
#include "count/sound.h"

bool beats_asked(const struct call *c, struct beats_choice *out, struct err *e)
{
    *out = (struct beats_choice){.celsius = SOUND_USUAL_C};
    const char *distance = call_value(c, "distance"), *temperature = call_value(c, "temperature");
    long bpm;
    if (distance && !distance_parse(distance, &out->distance_m, e))
        return false;
    if (temperature && !temperature_parse(temperature, &out->celsius, e))
        return false;
    if (!call_number(c, "bpm", (struct call_range){30, 400, 0}, &bpm, e))
        return false;
    out->bpm = (double)bpm;
    return true;
}
