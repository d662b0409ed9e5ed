/* From the page to the music: repeats, endings and jumps are played out. Inner to the room. */
#ifndef SCORE_UNROLL_H
#define SCORE_UNROLL_H

#include "score/page.h"

/* Repeats are played as often as they say (`times`, else twice), an ending in the passes it names.
 * After a da capo or dal segno they are not played again, and of the endings the last is, unless
 * the repeat says after-jump. A jump is taken once, at the end of its measure; to coda and fine
 * hold only behind a jump. At each measure the tempo is the one that the page has there. Sorts
 * p->events. False with the measure: a jump to a place that is not there, a fine that is never
 * reached, more measures than a score holds. */
bool page_unroll(struct page *p, struct draft *d, struct err *e);

#endif
