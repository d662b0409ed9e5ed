/* ZIP archives written byte by byte, for the tests: what is said of a file may be untrue. */
#ifndef SCORE_MADE_ZIP_H
#define SCORE_MADE_ZIP_H

#include <stdint.h>
#include <string.h>

#include <zlib.h>

#include "base/arena.h"
#include "base/buf.h"

struct zipped {
    const char *name, *bytes;
    size_t n;
    int method;     /* 0 stored, 8 deflated */
    unsigned flags; /* 1: encrypted */
    uint32_t whole; /* what the archive says its size is; 0: the truth */
    bool wrong_sum;
};

static inline void zip_number(struct buf *out, uint32_t x, int bytes)
{
    for (int i = 0; i < bytes; i++)
        buf_char(out, (char)(x >> (8 * i)));
}

static inline struct buf zip_packed(const struct zipped *f)
{
    struct buf out = {0};
    if (f->method == 0) {
        buf_add(&out, f->bytes, f->n);
        return out;
    }
    z_stream s = {.next_in = (Bytef *)(uintptr_t)f->bytes, .avail_in = (uInt)f->n};
    unsigned char piece[4096];
    deflateInit2(&s, 9, Z_DEFLATED, -MAX_WBITS, 8, Z_DEFAULT_STRATEGY);
    int state = Z_OK;
    while (state == Z_OK) {
        s.next_out = piece;
        s.avail_out = sizeof piece;
        state = deflate(&s, Z_FINISH);
        buf_add(&out, piece, sizeof piece - s.avail_out);
    }
    deflateEnd(&s);
    return out;
}

/* What the local header and the directory both say. */
static inline void zip_facts(struct buf *out, const struct zipped *f, size_t packed)
{
    zip_number(out, 20, 2);
    zip_number(out, f->flags, 2);
    zip_number(out, (uint32_t)f->method, 2);
    zip_number(out, 0, 4);
    zip_number(out, (uint32_t)crc32(0, (const Bytef *)f->bytes, (uInt)f->n) ^ f->wrong_sum, 4);
    zip_number(out, (uint32_t)packed, 4);
    zip_number(out, f->whole ? f->whole : (uint32_t)f->n, 4);
    zip_number(out, (uint32_t)strlen(f->name), 2);
    zip_number(out, 0, 2);
}

static inline struct buf zip_of(const struct zipped *files, size_t n)
{
    struct buf out = {0}, directory = {0};
    for (size_t i = 0; i < n; i++) {
        struct buf packed = zip_packed(&files[i]);
        buf_add(&directory, "PK\1\2\24\0", 6);
        zip_facts(&directory, &files[i], packed.n);
        buf_add(&directory, "\0\0\0\0\0\0\0\0\0", 10); /* comment, disk, attributes */
        zip_number(&directory, (uint32_t)out.n, 4);
        buf_str(&directory, files[i].name);
        buf_add(&out, "PK\3\4", 4);
        zip_facts(&out, &files[i], packed.n);
        buf_str(&out, files[i].name);
        if (packed.n)
            buf_add(&out, packed.p, packed.n);
        buf_free(&packed);
    }
    const uint32_t at = (uint32_t)out.n;
    buf_add(&out, directory.p, directory.n);
    buf_add(&out, "PK\5\6\0\0\0\0", 8);
    zip_number(&out, (uint32_t)n, 2);
    zip_number(&out, (uint32_t)n, 2);
    zip_number(&out, (uint32_t)directory.n, 4);
    zip_number(&out, at, 4);
    zip_number(&out, 0, 2);
    buf_free(&directory);
    return out;
}

#endif
