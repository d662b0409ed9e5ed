/* Puts characters in colour at places, in as few bytes as the state of the terminal allows.
 * Works within one segment: begin, any number of puts, end. */
#ifndef PANE_BRUSH_H
#define PANE_BRUSH_H

#include "base/buf.h"
#include "pane/color.h"

struct brush {
    struct buf *out;
    enum term_colors colors;
    bool synchronized; /* wrap in synchronized output */
    ink fg, bg;        /* what the terminal has now */
    int row, col;      /* 0-based place of the cursor, row -1 while not known */
    size_t room;       /* whoever puts many characters stops before `out` holds more bytes */
};

/* A cell as shown. glyph 0: not known, to be written whatever it is. A colour that cannot be seen
 * in the glyph (the ink of a space, the paper of a full block) is INK_UNKNOWN: whatever it is now.
 */
struct patch {
    uint32_t glyph; /* of width 1 */
    ink fg, bg;
};

/* Saves cursor and rendition, and starts from the terminal's own colours. */
void brush_begin(struct brush *b);
/* Restores them; asks for CSI 0n when `answer`. */
void brush_end(struct brush *b, bool answer);
void brush_move(struct brush *b, int row, int col);
void brush_put(struct brush *b, int row, int col, const struct patch *cell);
/* Blanks n cells from (row, col) in the terminal's own colours. */
void brush_blank(struct brush *b, int row, int col, int n);

/* Room that one put and brush_end() may take at most. */
enum { BRUSH_PUT_MOST = 72, BRUSH_END_MOST = 16 };

#endif
