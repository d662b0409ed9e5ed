/* pocketsphinx, for the files of this room: after this header each of its functions is called through a
 * pointer, which sphinx_load() fills. Inner to the room; included last. */
#ifndef HEAR_SPHINX_H
#define HEAR_SPHINX_H

#include <pocketsphinx.h>
#include <sphinxbase/err.h>
#include <sphinxbase/fsg_model.h>

#include "hear/sphinx_borrowed.h"

#endif
