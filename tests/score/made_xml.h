/* MusicXML for the tests: a part of whole measures, each with what a row puts into it. */
#ifndef SCORE_MADE_XML_H
#define SCORE_MADE_XML_H

#include "base/buf.h"

#define XML_HEAD                                                                                   \
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"                                                 \
    "<!DOCTYPE score-partwise SYSTEM \"partwise.dtd\">\n"
#define XML_OPEN                                                                                   \
    XML_HEAD "<score-partwise version=\"4.0\"><work><work-title>Larkspur</work-title></work>"      \
             "<part-list><score-part id=\"P1\"><part-name>Brass</part-name></score-part>"          \
             "</part-list><part id=\"P1\">\n"
#define XML_CLOSE "</part></score-partwise>\n"

/* Four quarters of 2 divisions. */
#define XML_44                                                                                     \
    "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"    \
    "</attributes>"
#define XML_NOTE(units) "<note><rest/><duration>" units "</duration></note>"

#define XML_FORWARD "<barline location=\"left\"><repeat direction=\"forward\"/></barline>"
#define XML_BACK    "<barline location=\"right\"><repeat direction=\"backward\"/></barline>"
#define XML_BACK_TIMES(n)                                                                          \
    "<barline location=\"right\"><repeat direction=\"backward\" times=\"" n "\"/></barline>"
#define XML_VOLTA(n)                                                                               \
    "<barline location=\"left\"><ending number=\"" n "\" type=\"start\"/></barline>"
#define XML_VOLTA_BACK(n)                                                                          \
    "<barline location=\"right\"><ending number=\"" n "\" type=\"stop\"/>"                         \
    "<repeat direction=\"backward\"/></barline>"
#define XML_VOLTA_END(n)                                                                           \
    "<barline location=\"right\"><ending number=\"" n "\" type=\"discontinue\"/></barline>"
#define XML_SOUND(what) "<sound " what "/>"
#define XML_MARK(text)                                                                             \
    "<direction><direction-type><rehearsal>" text "</rehearsal></direction-type></direction>"

/* Appends one measure that is full of 4/4; `extra` stands before its notes, `after` behind. */
static inline void xml_measure(struct buf *out, int number, const char *extra, const char *after)
{
    buf_printf(out, "<measure number=\"%d\">%s%s%s%s</measure>\n", number,
               number == 1 ? XML_44 : "", extra, XML_NOTE("8"), after);
}

#endif
