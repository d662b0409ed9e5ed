#include "score/zip.h"

#include <limits.h>
#include <stdint.h>
#include <string.h>

#include <zlib.h>

/* Sizes of the records without what varies; their beginnings. */
enum { END = 22, ENTRY = 46, LOCAL = 30, COMMENT_MOST = 65535 };
static const char end_sign[] = "PK\5\6", entry_sign[] = "PK\1\2", local_sign[] = "PK\3\4";

/* XML packs to a tenth or a thirtieth, a bomb to a thousandth. */
enum { RATIO_FREE = 1 << 20, RATIO_MOST = 200 };

struct archive {
    const uint8_t *p;
    size_t n;
    const char *source;
};

struct entry {
    unsigned flags, method;
    uint32_t crc, packed, whole, local;
};

static uint32_t little(const uint8_t *p, int n)
{
    uint32_t x = 0;
    while (n-- > 0)
        x = x << 8 | p[n];
    return x;
}

static bool starts(const struct archive *z, size_t at, size_t n, const char *sign)
{
    return at <= z->n && z->n - at >= n && memcmp(z->p + at, sign, 4) == 0;
}

static bool damaged(const struct archive *z, const char *what, struct err *e)
{
    return err_set(e, ERR_INPUT, "%s: the archive %s; export the score again", z->source, what);
}

/* --- the directory --------------------------------------------------------------------------- */

/* It stands at the end, before a comment. */
static bool find_end(const struct archive *z, size_t *at)
{
    for (size_t back = END; back <= z->n && back <= END + COMMENT_MOST; back++) {
        *at = z->n - back;
        if (starts(z, *at, END, end_sign))
            return true;
    }
    return false;
}

static bool find_entry(const struct archive *z, const char *name, struct entry *out, bool *found,
                       struct err *e)
{
    size_t end, n = strlen(name);
    *found = false;
    if (!find_end(z, &end))
        return damaged(z, "is cut or damaged (it has no end)", e);
    size_t at = little(z->p + end + 16, 4);
    for (uint32_t left = little(z->p + end + 10, 2); left > 0; left--) {
        if (!starts(z, at, ENTRY, entry_sign))
            return damaged(z, "is damaged (its directory does not hold together)", e);
        const uint8_t *p = z->p + at;
        const size_t named = little(p + 28, 2);
        const size_t size = ENTRY + named + little(p + 30, 2) + little(p + 32, 2);
        if (z->n - at < size)
            return damaged(z, "is damaged (its directory is cut)", e);
        *found = named == n && memcmp(p + ENTRY, name, n) == 0;
        if (*found) {
            *out = (struct entry){little(p + 8, 2),  little(p + 10, 2), little(p + 16, 4),
                                  little(p + 20, 4), little(p + 24, 4), little(p + 42, 4)};
            return true;
        }
        at += size;
    }
    return true;
}

/* --- the bytes ------------------------------------------------------------------------------- */

static bool sound_entry(const struct archive *z, const struct entry *x, struct err *e)
{
    if (x->flags & 1)
        return err_set(e, ERR_INPUT,
                       "%s: the archive is encrypted; export the score without a "
                       "password",
                       z->source);
    if (x->method != 0 && x->method != Z_DEFLATED)
        return damaged(z, "is packed in a way that MusicXML does not know", e);
    if (x->whole > SCORE_BYTES || (x->whole > RATIO_FREE && x->whole / RATIO_MOST > x->packed))
        return err_set(e, ERR_INPUT,
                       "%s: the archive would unpack to %u bytes out of %u; no score does",
                       z->source, x->whole, x->packed);
    if (x->method == 0 && x->packed != x->whole)
        return damaged(z, "is damaged (two sizes for one file)", e);
    return true;
}

/* Never more than the directory says, whatever the bytes would unpack to. */
static bool unpack(const struct archive *z, const struct entry *x, const uint8_t *from,
                   struct buf *out, struct err *e)
{
    unsigned char piece[1 << 14];
    z_stream s = {.next_in = (Bytef *)(uintptr_t)from, .avail_in = x->packed};
    const size_t before = out->n;
    if (inflateInit2(&s, -MAX_WBITS) != Z_OK)
        return err_set(e, ERR_FAILED, "%s: no memory to unpack it", z->source);
    int state = Z_OK;
    while (state == Z_OK && out->n - before <= x->whole) {
        s.next_out = piece;
        s.avail_out = sizeof piece;
        state = inflate(&s, Z_NO_FLUSH);
        buf_add(out, piece, sizeof piece - s.avail_out);
    }
    inflateEnd(&s);
    return (state == Z_STREAM_END && out->n - before == x->whole) ||
           damaged(z, "is damaged (a file in it does not unpack)", e);
}

bool zip_take(const struct table_text *archive, const char *name, struct buf *out, bool *found,
              struct err *e)
{
    const struct archive z = {(const uint8_t *)archive->bytes, archive->n, archive->source};
    struct entry x = {0};
    if (!find_entry(&z, name, &x, found, e))
        return false;
    if (!*found)
        return true;
    if (!sound_entry(&z, &x, e))
        return false;
    if (!starts(&z, x.local, LOCAL, local_sign))
        return damaged(&z, "is damaged (a file in it is not where it should be)", e);
    const uint8_t *p = z.p + x.local;
    const size_t from = x.local + LOCAL + little(p + 26, 2) + little(p + 28, 2), before = out->n;
    if (from > z.n || z.n - from < x.packed)
        return damaged(&z, "is cut", e);
    if (x.method == 0)
        buf_add(out, z.p + from, x.packed);
    else if (!unpack(&z, &x, z.p + from, out, e))
        return false;
    return crc32(0, (const Bytef *)buf_text(out) + before, x.whole) == x.crc ||
           damaged(&z, "is damaged (a checksum is wrong)", e);
}
