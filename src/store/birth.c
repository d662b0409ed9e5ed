/* What rows travel with: their UUID and when they were made. */
#include <stdio.h>

#include "store/inside.h"

/* The 16 random bytes of a row as a UUID of version 4 (RFC 9562, section 5.4), whose version and
 * variant take six bits of them. */
static void uuid_text(const unsigned char uid[16], char out[37])
{
    char *s = out;
    for (int i = 0; i < 16; i++) {
        unsigned byte = uid[i];
        if (i == 6)
            byte = (byte & 0x0F) | 0x40;
        if (i == 8)
            byte = (byte & 0x3F) | 0x80;
        s += snprintf(s, 4, i == 4 || i == 6 || i == 8 || i == 10 ? "-%02x" : "%02x", byte);
    }
}

static bool read_birth(struct store *s, sqlite3_stmt *q, int64_t row, struct birth *out,
                       struct err *e)
{
    bool ok = q != NULL;
    *out = (struct birth){.uuid = "00000000-0000-4000-8000-000000000000"};
    if (!q)
        return false;
    sqlite3_bind_int64(q, 1, row);
    if (st_row(s, q, &ok, e)) {
        if (sqlite3_column_bytes(q, 0) == 16)
            uuid_text(sqlite3_column_blob(q, 0), out->uuid);
        out->made_at = sqlite3_column_int64(q, 1);
        sqlite3_reset(q);
    }
    return ok;
}

bool store_mark_birth(struct store *s, int64_t mark, struct birth *out, struct err *e)
{
    return read_birth(s, st_get(s, "SELECT uid,made_at FROM mark WHERE id=?", e), mark, out, e);
}

bool store_clip_birth(struct store *s, int64_t clip, struct birth *out, struct err *e)
{
    return read_birth(s, st_get(s, "SELECT uid,made_at FROM clip WHERE id=?", e), clip, out, e);
}

bool store_show_birth(struct store *s, struct birth *out, struct err *e)
{
    return read_birth(
        s, st_get(s, "SELECT uid,made_at FROM section WHERE id>=? ORDER BY id LIMIT 1", e), 0, out,
        e);
}
