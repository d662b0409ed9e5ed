/* Standard MIDI Files from anywhere. */
#include "fuzz/prove_score.h"
#include "score/midi.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    fuzz_score(midi_read, data, n);
    return 0;
}
