/* Standard MIDI Files (The MIDI Association, RP-001, 'Standard MIDI Files 1.0'; the numbers from
 * memory, the times checked against libsmf in the tests).
 *
 * Read: formats 0 and 1 (2 is refused: its tracks have no time in common), divisions in ticks a
 * quarter and in SMPTE frames, running status, and of the events: tempo (FF 51), meter (FF 58),
 * marker (FF 06), cue point (FF 07: a marker where a file has no FF 06), the first track's name
 * (FF 03), the track's end (FF 2F). Everything else is passed over, and so are unknown chunks.
 *
 * Without a meter the music is in 4/4, without a tempo at 120. A change of meter ends the measure
 * it stands in. The music ends where its longest track ends, with the measure that reaches it. */
#ifndef SCORE_MIDI_H
#define SCORE_MIDI_H

#include "score/score.h"

/* False: "song.mid: byte N: ..." with ERR_INPUT; bytes are counted from 1. */
bool midi_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e);

#endif
