/* A damaged show file: bytes of a sound one are replaced. Three bytes say where, one says with
 * what; an odd first byte cuts the file's end off as well. */
#include <string.h>

#include "fuzz/season.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    static uint8_t bytes[1 << 20];
    size_t size;
    const uint8_t *sound = fuzz_season(&size);
    memcpy(bytes, sound, size);
    size_t length = n > 1 && data[0] & 1 ? size - data[1] * (size_t)97 % size : size;
    for (size_t i = 1; i + 3 < n; i += 4)
        bytes[(data[i] << 16 | data[i + 1] << 8 | data[i + 2]) % size] = data[i + 3];
    fuzz_read_everything(fuzz_show_file(bytes, length));
    return 0;
}
