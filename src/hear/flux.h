/* How much new sound there is at every moment: spectral flux. Inner to the room.
 *
 * Two looks at the samples. A coarse one, 46 ms long every 10 ms, hears where tones and strokes begin
 * through noise, crowd and echo: in 28 bands, each measured by its own loudest within some seconds
 * (adaptive whitening: D. Stowell, M. Plumbley, ICMC 2007), on a log scale, over the largest of the
 * neighbouring bands two looks before (S. Böck, G. Widmer, 'Maximum Filter Vibrato Suppression for
 * Onset Detection', DAFx 2013), so that vibrato is nothing new. A fine one, 12 ms every 2.9 ms, says
 * to a few ms when. */
#ifndef HEAR_FLUX_H
#define HEAR_FLUX_H

#include <stdbool.h>
#include <stddef.h>

struct flux; /* one look */

/* Windows of `window` samples (a power of two) every `hop`, in so many bands. */
struct flux *flux_open(unsigned window, unsigned hop, size_t bands);
void flux_close(struct flux *f); /* accepts NULL */
/* The next `hop` samples. */
void flux_feed(struct flux *f, const float *samples);
/* All that was fed. rise[i]: whitened, lag looks back; loud[i] (may be NULL): the same not whitened.
 * Heap memory of flux_n() values each; the i-th window is centred on sample
 * (i + 1) * hop - window / 2. */
size_t flux_n(const struct flux *f);
void flux_rise(const struct flux *f, size_t lag, float *rise, float *loud);

#endif
