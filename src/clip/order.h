/* When a picture shows, of a file that says only when each is decoded: AVI. Inner to the room.
 *
 * Pictures are shown in the places at which they are decoded, one after the other: of a codec that
 * decodes some ahead of their time, what comes out when the packet of one place went in shows so
 * many places earlier as pictures wait inside. That holds too where some are left out because those
 * that they need were not decoded. */
#ifndef CLIP_ORDER_H
#define CLIP_ORDER_H

#include <stddef.h>
#include <stdint.h>

enum { ORDER_KEPT = 256 }; /* more than any decoder holds back */

struct order {
    int64_t fed[ORDER_KEPT]; /* stamps, round and round */
    size_t n;                /* so many went in since the last seek */
    size_t shown;            /* and this one's place was given last */
};

void order_forget(struct order *o);
void order_feed(struct order *o, int64_t stamp);
/* The stamp at which a picture shows that came out for the packet of the stamp `by` (AV_NOPTS_VALUE:
 * when there were no more) while `waiting` others stay inside. AV_NOPTS_VALUE: not known. */
int64_t order_of(struct order *o, int64_t by, int waiting);

#endif
