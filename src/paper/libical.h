/* libical, for the files of this room: after this header each of its functions is called through a
 * pointer, which libical_load() fills. Inner to the room; included last. */
#ifndef PAPER_LIBICAL_H
#define PAPER_LIBICAL_H

#include <libical/ical.h>

#include "paper/libical_borrowed.h"

#endif
