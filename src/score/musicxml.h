/* MusicXML 4.0 (W3C Music Notation Community Group), score-partwise and score-timewise, and the
 * archive it comes in (.mxl: ZIP with META-INF/container.xml).
 *
 * Read, in all parts: divisions, time (composite meters add up; senza-misura is refused),
 * the tempo attribute of sound, metronome where no sound says it, rehearsal, repeat, ending, and
 * the jumps of sound (segno, dalsegno, dacapo, coda, tocoda, fine). Words such as rit. change
 * nothing by themselves. What a repeat or a jump means stands in unroll.h. */
#ifndef SCORE_MUSICXML_H
#define SCORE_MUSICXML_H

#include "score/score.h"

/* False with ERR_INPUT and the place. */
bool musicxml_read(struct arena *a, const struct table_text *file, struct score *out,
                   struct err *e);
bool mxl_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e);

#endif
