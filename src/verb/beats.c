#include "verb/beats.h"

#include <stdlib.h>

#include "app/beats.h"
#include "base/quantity.h"
#include "count/sound.h"

enum { LONG_US = 120 * 1000000 }; /* of a clip: some seconds of listening */

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

static bool goes_on(void *user, double part)
{
    const struct call *c = user;
    (void)part;
    return !c->stop || !atomic_load(c->stop);
}

static bool goes_on_and_tells(void *user, double part)
{
    const struct call *c = user;
    if (c->progress)
        c->progress("listening", part);
    return goes_on(user, part);
}

bool beats_listen(struct call *c, struct beats_choice *how, struct beats *out, struct err *e)
{
    how->progress = how->length_us > LONG_US ? goes_on_and_tells : goes_on;
    how->user = c;
    if (app_beats(how, &c->memory, out, e))
        return true;
    return e->code != ERR_NONE ? false : err_set(e, ERR_FAILED, "count: stopped listening");
}
