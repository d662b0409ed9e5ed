/* XML, element by element, as somebody else's file may hold it: nothing outside the bytes is looked
 * at, no DTD is read, a file that declares entities of its own is refused. Inner to the room. */
#ifndef SCORE_XML_H
#define SCORE_XML_H

#include "score/score.h"

struct xml_element {
    const char *name;
    const char *const *attributes; /* name, value, ..., NULL; or NULL */
};

/* The value of an attribute, NULL when the element lacks it. */
const char *xml_attribute(const struct xml_element *x, const char *name);

/* What is told of each element: its begin, and its end with the text that stands before its end
 * behind the last tag, at most 4 KB of it. False with e: the reading ends there. */
struct xml_listener {
    void *ctx;
    bool (*begin)(void *ctx, const struct xml_element *x, struct err *e);
    bool (*end)(void *ctx, const char *name, const char *text, struct err *e);
};

/* False: "file:line:column: ..." with ERR_INPUT; for what the listener refused, its message behind
 * that place. */
bool xml_read(const struct table_text *file, const struct xml_listener *listener, struct err *e);

#endif
