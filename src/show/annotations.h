/* Marks as W3C Web Annotations (Web Annotation Data Model, Recommendation of 23 February 2017): read
 * into the rows of a table of marks, so that they go the same road. What a body says is told by its
 * purposes (section 3.3.5): whose clip it is, whom and what it is about, how it is judged, the note. */
#ifndef SHOW_ANNOTATIONS_H
#define SHOW_ANNOTATIONS_H

#include "show/table.h"

/* The words that the writer writes and the reader knows. */
#define ANNOTATION_CONTEXT   "http://www.w3.org/ns/anno.jsonld"
#define ANNOTATION_FRAGMENTS "http://www.w3.org/TR/media-frags/"
#define ANNOTATION_TAG       "tagging"     /* a target: a section, a performer */
#define ANNOTATION_FAULT     "classifying" /* and tagging: the fault */
#define ANNOTATION_CLIP      "identifying" /* the clip's label */
#define ANNOTATION_JUDGED                                                                          \
    "assessing" /* severity, praise, cause, state, what was measured: as below */
#define ANNOTATION_NOTE     "commenting"
#define ANNOTATION_SEVERITY "severity " /* 1 to 3 */
#define ANNOTATION_PRAISE   "praise"
#define ANNOTATION_CAUSE    "cause "        /* execute, define */
#define ANNOTATION_STATE    "state "        /* open, repped, clean */
#define ANNOTATION_LATE     "late "         /* counts; negative is early */
#define ANNOTATION_ERROR    " +- "          /* and behind the counts: their half-width */
#define ANNOTATION_COUNTS   " counts"       /* at the end */
#define ANNOTATION_MEASURED "measured "     /* "interval 1.4", +- its error */
#define ANNOTATION_OF       " of "          /* and at the end: what it should be */
#define ANNOTATION_PLACE    "on the field " /* grid steps: "12.5 across " "28 in depth" */
#define ANNOTATION_ACROSS   " across, "
#define ANNOTATION_DEPTH    " in depth"

/* Is it JSON, by its first sign? */
bool annotations_are(const struct table_text *text);

/* As table_read(), an annotation being a row; columns are those of a table of marks (app/marks.h).
 * Reads an AnnotationCollection with its page, an AnnotationPage, one Annotation, or an array of
 * them. What an annotation lacks is said by its number, from 1. */
bool annotations_read(const struct table_text *whole, const struct table_column *columns,
                      table_row_fn *fn, void *ctx, struct err *e);

#endif
