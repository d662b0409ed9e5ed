/* Text as people type it: UTF-8 in, never a control character out to a terminal. */
#ifndef BASE_UTF8_H
#define BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { UTF8_BAD = 0xFFFD };

/* Decodes one code point at s (n bytes are there, n > 0) and stores how many bytes it took (>= 1).
 * Overlong forms, surrogates, stray and cut bytes give UTF8_BAD and take one byte. */
uint32_t utf8_next(const char *s, size_t n, size_t *took);
/* Encodes c (UTF8_BAD when not a code point) into out (4 bytes); returns the length. */
size_t utf8_put(uint32_t c, char out[4]);
/* Offset of the first byte that is not valid UTF-8, or n when all is valid. */
size_t utf8_check(const char *s, size_t n);

/* Columns a code point takes on a terminal: 0 (combining), 1 or 2; control characters 1, since
 * they are shown as '?'. By the Unicode Character Database (utf8proc), whatever the locale. */
int utf8_width_of(uint32_t c);
int utf8_width(const char *s);
/* Bytes of s that fit in `columns`, never cutting a character from its combining marks. */
size_t utf8_fit(const char *s, int columns);

/* True for characters a terminal or a reader could be misled by wherever they stand: C0, C1, DEL,
 * the marks, overrides and isolates of direction, and what is not seen (zero-width space, soft
 * hyphen, fillers, tags ...). */
bool utf8_is_control(uint32_t c);
/* Is the code point at s[at] such a character, or one that is seen only by what it does to its
 * neighbours and does nothing here? A joiner stays inside an emoji sequence, beside a virama, and
 * between Arabic letters that it parts; a variation selector behind what it selects. */
bool utf8_hides(const char *s, size_t n, size_t at);
/* Replaces every character that utf8_hides() tells of (and bad byte) in place by '?'; keeps the
 * byte length. */
void utf8_tame(char *s);

/* Case-folded comparison for words people type (Unicode's full case folding, CaseFolding.txt C and
 * F, in any script); returns like strcmp by folded code points. */
int utf8_casecmp(const char *a, const char *b);
/* Does hay contain needle, case-folded? An empty needle is in everything. */
bool utf8_casestr(const char *hay, const char *needle);

#endif
