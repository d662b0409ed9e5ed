/* libxml2, for the files of this room: after this header each of its functions is called through a
 * pointer, which libxml_load() fills. Inner to the room; included last. */
#ifndef SCORE_LIBXML_H
#define SCORE_LIBXML_H

#include <libxml/entities.h>
#include <libxml/parser.h>
#include <libxml/xmlerror.h>

#include "score/libxml_borrowed.h"

#endif
