/* Pango, cairo and libqrencode, for the files of this room: after this header each of their functions
 * is called through a pointer, which pango_load() and qrencode_load() fill. Inner to the room;
 * included last. */
#ifndef SHEET_LIBRARY_H
#define SHEET_LIBRARY_H

#include <cairo-pdf.h>
#include <pango/pangocairo.h>
#include <qrencode.h>

#include "sheet/pango_borrowed.h"
#include "sheet/qrencode_borrowed.h"

#endif
