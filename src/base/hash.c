#include "base/hash.h"

uint64_t hash_more(uint64_t so_far, const void *bytes, size_t n)
{
    const unsigned char *p = bytes;
    for (size_t i = 0; i < n; i++)
        so_far = (so_far ^ p[i]) * UINT64_C(0x100000001b3);
    return so_far;
}
