/* MusicXML from anywhere, bare or in its archive: whatever does not begin as an archive is XML. */
#include "fuzz/prove_score.h"
#include "score/musicxml.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    const char *bytes = (const char *)data;
    fuzz_score(score_kind(bytes, n) == SCORE_ZIP ? mxl_read : musicxml_read, data, n);
    return 0;
}
