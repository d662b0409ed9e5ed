/* Pictures in the stream of bytes: the kitty graphics protocol and sixel. Writers only: they know
 * nothing of when and whether to write.
 *
 * Sources: the kitty graphics protocol's published description; DEC VT330/VT340 programmer
 * reference, vol. 2 (sixel); RFC 4648 (base64). */
#ifndef PANE_GRAPHICS_H
#define PANE_GRAPHICS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"

/* RFC 4648, with padding. */
void base64_add(struct buf *out, const uint8_t *bytes, size_t n);

/* --- kitty ------------------------------------------------------------------------------- */

/* An image of width x height pixels, 3 bytes each, shown over cols x rows cells from the cursor.
 * It lies above the text of those cells and does not move the cursor. No replies are asked for. */
struct kitty_image {
    uint32_t id; /* > 0 */
    int width, height, cols, rows;
};

/* Most payload of one chunk before base64; a multiple of 3, so that no chunk is padded inside. */
enum { KITTY_CHUNK = 2688 };

/* Shows an image that lies in POSIX shared memory; the terminal reads and removes the object. */
void kitty_shared(struct buf *out, const struct kitty_image *im, const char *name);
struct kitty_piece {
    const uint8_t *bytes;
    size_t n; /* <= KITTY_CHUNK */
    bool first, last;
};
/* Sends the next bytes of the pixels, deflated as RFC 1950. Between first and last no other
 * graphics command may be sent; text may. */
void kitty_chunk(struct buf *out, const struct kitty_image *im, const struct kitty_piece *piece);
/* Ends a sequence of chunks that will not be completed; the terminal throws them away. */
void kitty_abort(struct buf *out);
/* Shows an image that was sent by chunks. */
void kitty_put(struct buf *out, const struct kitty_image *im);
/* Takes an image off the screen and frees it. */
void kitty_delete(struct buf *out, uint32_t id);

/* --- sixel ------------------------------------------------------------------------------- */

/* A palette of 6 x 6 x 6 colours (as many levels each, so that greys are grey), ordered dither.
 *
 * Not through chafa, whose palette follows the picture: measured on a still of 800 x 432 it is truer
 * (37.5 dB of PSNR against 22.0, 34.8 against 32.8 at half size, where dither averages out) and
 * takes three times as long (36 ms against 12) and 1.4 times the bytes. A picture is drawn in
 * strips, so that a slow line shows something at once; with a palette each they would also change
 * one another's colours on a terminal whose registers all images share, as the VT340's do. */
enum { SIXEL_COLORS = 216 };

struct sixel {
    uint8_t *bits; /* of one band, a row of columns for each colour */
    size_t room;
};
void sixel_free(struct sixel *s);

/* Some rows of a picture. */
struct sixel_strip {
    const uint32_t *px; /* width x height, 0x00RRGGBB */
    int width, height;
    int y0; /* place of the first row in the whole picture: dither goes on across strips */
};
/* Adds one sixel image, its upper left corner at the cursor. */
void sixel_add(struct sixel *s, struct buf *out, const struct sixel_strip *strip);

#endif
