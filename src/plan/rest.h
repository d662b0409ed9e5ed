/* Where breaks stand so that any hour holds the rest that a heat policy asks for (struct
 * heat_hour). Inner to the room.
 *
 * First the rhythm: equal stretches of work, the longest that keep the hour, around the fixed items
 * as plan/track.h lays them. Where fixed items leave that too little rest, breaks are made longer
 * or put in, each as late as the 60 minutes that lack it allow, since a late one serves the most of
 * those that follow. Of all that keep the hour the one with the least rest is taken. A layout for
 * which there is a way may be refused; one that is accepted keeps the hour. */
#ifndef PLAN_REST_H
#define PLAN_REST_H

#include "plan/track.h"

/* Adds breaks to a track that has its fixed items by time; false (and none) when it finds no way.
 */
bool plan_rest_place(const struct heat_breaks *b, struct track *t);

#endif
