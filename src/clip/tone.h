/* Colours of a clip that are brighter or more vivid than a usual screen shows, brought to those that
 * it does: telephones film so (HLG, PQ, BT.2020, Display P3). Inner to the room. */
#ifndef CLIP_TONE_H
#define CLIP_TONE_H

#include <libavcodec/avcodec.h>
#include <stddef.h>
#include <stdint.h>

struct tone;

/* NULL: the stream's colours are the usual ones, by what it says of itself, and stay as they are.
 *
 * What comes out is Rec. ITU-R BT.709 as a screen of BT.1886 shows it (gamma 2.4), full range. Its
 * white is 203 cd/m², the reference white of BT.2408 (75 % of HLG, 58 % of PQ). What a screen of
 * 1000 cd/m² shows brighter than some 97 cd/m² is made darker by the curve of BT.2390 (reference
 * white to 158 cd/m², 1000 to white), all three colours alike, so that hues stay; PQ beyond 1000 is
 * white. Of a clip of the usual range only the colours are brought over; what BT.709 cannot show
 * becomes the nearest that it can, colour by colour. */
struct tone *tone_open(const AVCodecParameters *stream);
void tone_close(struct tone *t); /* accepts NULL */

/* R G B of the stream's own, full range in 16 bits, into R G B in 8. */
void tone_apply(const struct tone *t, const uint16_t *from, uint8_t *to, size_t pixels);

#endif
