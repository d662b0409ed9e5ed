/* FNV-1a, 64 bits (RFC 9923): tells contents apart; keeps nobody out who wants to fool it. */
#ifndef BASE_HASH_H
#define BASE_HASH_H

#include <stddef.h>
#include <stdint.h>

/* Begin with HASH_BEGIN, and go on with what came out. */
#define HASH_BEGIN UINT64_C(0xcbf29ce484222325)
uint64_t hash_more(uint64_t so_far, const void *bytes, size_t n);

#endif
