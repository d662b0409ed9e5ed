/* A microphone for tests: a named pipe into which a synthesiser (flite) speaks. What it says arrives as
 * fast as it is read; nothing waits for a clock. */
#ifndef LIB_MIC_H
#define LIB_MIC_H

#include <stdbool.h>
#include <stddef.h>

struct mic {
    const char *path;
    int fd; /* kept open, so that between calls the sound goes on */
};

struct mic mic_open(void);
void mic_close(struct mic *m); /* whoever listens finds its sound ended */

struct mic_sound {
    const char *bytes;
    size_t n;
};
/* A third of a second of silence, what is said (NULL: nothing), so many seconds of silence. */
struct mic_sound mic_record(const char *text, double quiet_s);
/* Until it is on its way; `each` (may be NULL) is called after each tenth of a second of sound, and while nobody
 * reads. */
void mic_play(const struct mic *m, const struct mic_sound *s, void (*each)(void *user), void *user);
void mic_say(const struct mic *m, const char *text, double quiet_s);
/* All that was said has been read. */
bool mic_empty(void *mic);
void mic_wait_empty(struct mic *m);

#endif
