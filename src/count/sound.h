/* Light is immediate, sound is not: what the box hears left the field distance / c(T) earlier. At
 * 60 m that is 175 ms, at 160 bpm nearly half a count, so beats heard are put back by it before
 * feet are judged against them. Humidity adds less than 0.6 % and wind more; neither is asked. */
#ifndef COUNT_SOUND_H
#define COUNT_SOUND_H

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

/* What is taken when nobody says how warm it is: a dry 20 C. */
#define SOUND_USUAL_C 20.0

/* m/s in air, c = 331.3 sqrt(1 + T / 273.15) (ideal gas, anchored at 0 C); T in degrees Celsius. */
double sound_speed(double celsius);
/* How late the sound arrives, in microseconds. */
int64_t sound_delay_us(double metres, double celsius);

/* "60m", "200 ft", "66 yd", "100 steps" (8-to-5 steps of 22.5 in) -> metres, 0 .. 1000. A number
 * without a unit is refused, since three are usual. */
bool distance_parse(const char *s, double *metres, struct err *e);
/* "20C", "68 F", "-5 C" (a degree sign may stand before the letter) -> Celsius, -40 .. 60. */
bool temperature_parse(const char *s, double *celsius, struct err *e);

#endif
