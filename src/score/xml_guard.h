/* What is looked at before XML is parsed. Inner to the room. */
#ifndef SCORE_XML_GUARD_H
#define SCORE_XML_GUARD_H

#include "score/score.h"

/* The longest tag, and the longest text between two. libxml2 compares every attribute of a tag with
 * every other: 300,000 of them keep it busy for eight minutes, 8 KB of them for milliseconds. */
enum { XML_TAG_MOST = 8192 };

/* Is it in an encoding in which "<" is told from its bytes (UTF-8, UTF-16 with its mark, ASCII,
 * ISO 8859, Windows 125x), and is no tag longer than that? False: "file: ..." with ERR_INPUT. */
bool xml_guard(const struct table_text *file, struct err *e);

#endif
