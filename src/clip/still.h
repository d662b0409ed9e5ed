/* One picture of a clip, decoded aside by a thread of its own: for a list that shows the moment it
 * speaks of while a person goes through it. The newest wish wins, an older one is given up. */
#ifndef CLIP_STILL_H
#define CLIP_STILL_H

#include <stdbool.h>
#include <stdint.h>

struct still;

/* NULL when the system has no descriptor or no thread for it. */
struct still *still_open(void);
void still_close(struct still *s); /* accepts NULL; waits for the thread, which stops early */

struct still_want {
    const char *path; /* copied */
    int64_t at_us;    /* media time: the first frame from a millisecond before on */
    int width, height;
};
void still_ask(struct still *s, const struct still_want *want);

/* Becomes readable when still_take() has something. */
int still_fd(const struct still *s);
/* A wish is not answered yet. */
bool still_busy(struct still *s);

struct still_picture {
    const uint8_t
        *rgba; /* R G B x, without a gap; the clip's shape is kept, black around. Stands until
                          * the next still_take() or still_close(). NULL: there is no picture there */
    int width, height; /* as they were asked for */
    int64_t at_us;     /* as it was asked for */
};
/* The answer to the newest wish, once. */
bool still_take(struct still *s, struct still_picture *out);

#endif
