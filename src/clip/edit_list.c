#include "clip/edit_list.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct box {
    int64_t at, end; /* of what is in it */
};

static bool read_number(int fd, int64_t at, int bytes, uint64_t *out)
{
    uint8_t raw[8];
    if (pread(fd, raw, (size_t)bytes, at) != bytes)
        return false;
    *out = 0;
    for (int i = 0; i < bytes; i++)
        *out = *out << 8 | raw[i];
    return true;
}

static bool write_number(int fd, int64_t at, int bytes, uint64_t value)
{
    uint8_t raw[8];
    for (int i = 0; i < bytes; i++)
        raw[i] = (uint8_t)(value >> (8 * (bytes - 1 - i)));
    return pwrite(fd, raw, (size_t)bytes, at) == bytes;
}

/* The first box of this name within `b`, which becomes that one. A size of 1 says that the real one
 * follows in 8 bytes (ISO/IEC 14496-12, 4.2). */
static bool enter(int fd, struct box *b, const char name[5])
{
    enum { HEAD = 8, LARGE_HEAD = 16 };
    for (int64_t at = b->at; at + HEAD <= b->end;) {
        char found[4];
        uint64_t size;
        int head = HEAD;
        if (!read_number(fd, at, 4, &size) || pread(fd, found, 4, at + 4) != 4)
            return false;
        if (size == 1) {
            head = LARGE_HEAD;
            if (!read_number(fd, at + HEAD, 8, &size))
                return false;
        }
        if (size < (uint64_t)head || size > (uint64_t)(b->end - at))
            break;
        if (memcmp(found, name, 4) == 0) {
            *b = (struct box){at + head, at + (int64_t)size};
            return true;
        }
        at += (int64_t)size;
    }
    errno = EINVAL;
    return false;
}

/* The last edit shall last until end_us; the ones before it show nothing. */
static bool shorten(int fd, struct box list, int64_t end_us)
{
    uint64_t version, n, lasts;
    if (!read_number(fd, list.at, 1, &version) || !read_number(fd, list.at + 4, 4, &n))
        return false;
    const int bytes = version ? 8 : 4, entry = 2 * bytes + 4;
    int64_t at = list.at + 8;
    for (; n > 1; n--, at += entry) {
        if (!read_number(fd, at, bytes, &lasts))
            return false;
        end_us -= (int64_t)lasts;
    }
    if (n == 1 && end_us > 0 && (version || end_us < INT64_C(1) << 32))
        return write_number(fd, at, bytes, (uint64_t)end_us);
    errno = EINVAL;
    return false;
}

bool edit_list_end(const char *path, int64_t end_us)
{
    struct stat st;
    const int fd = open(path, O_RDWR | O_CLOEXEC);
    if (fd < 0)
        return false;
    bool ok = fstat(fd, &st) == 0;
    struct box b = {0, ok ? st.st_size : 0};
    ok = ok && enter(fd, &b, "moov") && enter(fd, &b, "trak") && enter(fd, &b, "edts") &&
         enter(fd, &b, "elst") && shorten(fd, b, end_us);
    const int kept = errno;
    if (close(fd) != 0 && ok)
        return false;
    errno = kept;
    return ok;
}
