#include <string.h>

#include "score/midi.h"
#include "score/musicxml.h"

static bool begins(const char *bytes, size_t n, const char *with)
{
    return n >= strlen(with) && memcmp(bytes, with, strlen(with)) == 0;
}

/* "<" and what follows, behind a byte order mark and white space. Not every table that begins with
 * "<" is XML, so it must be a declaration, a DOCTYPE or the root itself. */
static bool begins_xml(const char *bytes, size_t n)
{
    static const char *const openings[] = {"<?xml", "<!DOCTYPE", "<score-partwise",
                                           "<score-timewise", "<!--"};
    if (begins(bytes, n, "\xfe\xff") || begins(bytes, n, "\xff\xfe"))
        return n >= 4 && (bytes[2] == '<' || bytes[3] == '<'); /* UTF-16 */
    size_t at = begins(bytes, n, "\xef\xbb\xbf") ? 3 : 0;
    while (at < n && memchr(" \t\r\n", bytes[at], 4))
        at++;
    for (size_t i = 0; i < sizeof openings / sizeof *openings; i++)
        if (begins(bytes + at, n - at, openings[i]))
            return true;
    return false;
}

enum score_kind score_kind(const char *bytes, size_t n)
{
    if (begins(bytes, n, "MThd"))
        return SCORE_MIDI;
    if (begins(bytes, n, "PK\3\4"))
        return SCORE_ZIP;
    return begins_xml(bytes, n) ? SCORE_XML : SCORE_NONE;
}

bool score_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e)
{
    if (file->n > SCORE_BYTES)
        return err_set(e, ERR_INPUT, "%s: larger than %d MB; no score is", file->source,
                       SCORE_BYTES >> 20);
    switch (score_kind(file->bytes, file->n)) {
    case SCORE_MIDI:
        return midi_read(a, file, out, e);
    case SCORE_XML:
        return musicxml_read(a, file, out, e);
    case SCORE_ZIP:
        return mxl_read(a, file, out, e);
    case SCORE_NONE:
        break;
    }
    return err_set(e, ERR_INPUT, "%s: neither MIDI nor MusicXML; export the score as one of them",
                   file->source);
}
