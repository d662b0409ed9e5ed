#include <utf8proc.h>

#include "base/utf8.h"

/* utf8proc's tables of the Unicode Character Database, but for what terminals show otherwise: '?'
 * for a control character, vowel signs that stand beside their letter (Mc), number signs of Arabic
 * and Syriac before digits (Cf, prepended), and the later letters of a Hangul syllable, which join
 * the first; circled numbers and hexagrams are wide. */
int utf8_width_of(uint32_t c)
{
    if (c < 0x20 || (c >= 0x7F && c < 0xA0))
        return 1;
    const utf8proc_property_t *p = utf8proc_get_property((utf8proc_int32_t)c);
    if (p->boundclass == UTF8PROC_BOUNDCLASS_V || p->boundclass == UTF8PROC_BOUNDCLASS_T)
        return 0;
    if (p->category == UTF8PROC_CATEGORY_MC ||
        (p->category == UTF8PROC_CATEGORY_CF && p->boundclass == UTF8PROC_BOUNDCLASS_PREPEND))
        return 1;
    const bool wide = (c >= 0x3248 && c <= 0x324F) || (c >= 0x4DC0 && c <= 0x4DFF);
    return wide ? 2 : p->charwidth;
}
