#include "verb/beats.h"

#include <stdlib.h>

#include "app/beats.h"
#include "count/sound.h"

bool beats_of_clip(struct call *c, struct app *app, const struct clip *clip, const struct map *map,
                   struct beats *out, struct err *e)
{
    struct beats_choice choice = {.celsius = SOUND_USUAL_C};
    const char *distance = call_value(c, "distance"), *temperature = call_value(c, "temperature");
    long bpm;
    if (distance && !distance_parse(distance, &choice.distance_m, e))
        return false;
    if (temperature && !temperature_parse(temperature, &choice.celsius, e))
        return false;
    if (!call_number(c, "bpm", 30, 400, 0, &bpm, e))
        return false;
    choice.bpm = (double)bpm;
    const char *path = app_clip_path(app, clip, e);
    return path && app_beats(path, map, clip->length_us, &choice, &c->memory, out, e);
}
