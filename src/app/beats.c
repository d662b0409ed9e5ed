#include "app/beats.h"

#include "count/sound.h"
#include "hear/onsets.h"

bool app_beats(const struct beats_choice *choice, struct arena *mem, struct beats *out,
               struct err *e)
{
    struct heard heard;
    const struct hear_want want = {choice->path, choice->length_us, choice->progress, choice->user};
    if (!hear_onsets(&want, mem, &heard, e))
        return false;
    struct onset *onsets = arena_alloc(mem, heard.n * sizeof *onsets);
    for (size_t i = 0; i < heard.n; i++)
        onsets[i] = (struct onset){heard.onset[i].at_us, heard.onset[i].strength};
    struct beat_prior prior = beat_prior_of_map(mem, choice->map, 0, choice->length_us);
    struct tempo_point one = {0, choice->bpm};
    if (prior.n == 0 && choice->bpm > 0)
        prior = (struct beat_prior){.points = &one, .n = 1};
    const struct beat_sound sound = {.onsets = {onsets, heard.n},
                                     .rise = heard.rises.rise,
                                     .loud = heard.rises.loud,
                                     .n_rises = heard.rises.n,
                                     .from_us = heard.rises.from_us,
                                     .step_us = HEAR_STEP_US};
    if (!beats_find(mem, &sound, &prior, out, e))
        return false;
    if (choice->distance_m > 0)
        beats_put_back(out, sound_delay_us(choice->distance_m, choice->celsius));
    return true;
}
