#include "clip/probe.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "clip/guard.h"
#include "clip/packets.h"
#include "clip/libav.h"

enum { MIB = 1 << 20, CHUNK = 1 << 18 };

struct run {
    int fd;
    int64_t at, n;
};

/* watch: NULL for what takes no time */
static bool hash_run(struct AVSHA *sha, struct run r, const struct probe_watch *watch)
{
    static const size_t chunk = CHUNK;
    const int64_t all = r.n;
    uint8_t *bytes = malloc(chunk);
    while (bytes && r.n > 0) {
        if (watch && watch->cancel && atomic_load(watch->cancel))
            break;
        if (watch && watch->progress)
            watch->progress(watch->user, 1 - (double)r.n / (double)all);
        ssize_t got = pread(r.fd, bytes, r.n < (int64_t)chunk ? (size_t)r.n : chunk, r.at);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        av_sha_update(sha, bytes, (size_t)got);
        r.at += got;
        r.n -= got;
    }
    free(bytes);
    return r.n == 0;
}

static void hash_hex(struct AVSHA *sha, char out[65])
{
    uint8_t digest[32];
    av_sha_final(sha, digest);
    for (size_t i = 0; i < sizeof digest; i++)
        snprintf(out + 2 * i, 3, "%02x", digest[i]);
}

static bool hash_head_tail(struct AVSHA *sha, int fd, int64_t size, char out[65])
{
    uint8_t big_endian[8];
    for (int i = 0; i < 8; i++)
        big_endian[i] = (uint8_t)((uint64_t)size >> (56 - 8 * i));
    const int64_t head = size < MIB ? size : MIB;
    const int64_t tail = size - head < MIB ? size - head : MIB;
    av_sha_init(sha, 256);
    av_sha_update(sha, big_endian, sizeof big_endian);
    if (!hash_run(sha, (struct run){fd, 0, head}, NULL) ||
        !hash_run(sha, (struct run){fd, size - tail, tail}, NULL))
        return false;
    hash_hex(sha, out);
    return true;
}

static bool hash_file(const char *path, unsigned flags, const struct probe_watch *watch,
                      struct media *out, struct err *e)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    struct stat st;
    struct AVSHA *sha = av_sha_alloc();
    bool ok = fd >= 0 && sha && fstat(fd, &st) == 0;
    if (ok) {
        out->size_bytes = st.st_size;
        ok = hash_head_tail(sha, fd, st.st_size, out->head_tail);
    }
    if (ok && flags & PROBE_DIGEST) {
        av_sha_init(sha, 256);
        ok = hash_run(sha, (struct run){fd, 0, st.st_size}, watch);
        if (ok)
            hash_hex(sha, out->sha256);
    }
    if (!ok)
        err_set(e, ERR_FAILED, "%s: cannot be read to its end: %s; copy the clip again", path,
                errno ? strerror(errno) : "it became shorter");
    av_free(sha);
    if (fd >= 0)
        close(fd);
    return ok;
}

bool clip_probe_watched(const char *path, unsigned flags, const struct probe_watch *watch,
                        struct media *out, struct err *e)
{
    *out = (struct media){.fps_den = 1};
    errno = 0;
    return clip_guard(path, e) && libav_load(e) && packets_read(path, watch->cancel, out, e) &&
           hash_file(path, flags, watch, out, e);
}

bool clip_probe(const char *path, unsigned flags, struct media *out, struct err *e)
{
    return clip_probe_watched(path, flags, &(struct probe_watch){0}, out, e);
}

bool clip_sha256(const void *bytes, size_t n, uint8_t out[32], struct err *e)
{
    if (!libav_load(e))
        return false;
    struct AVSHA *sha = av_sha_alloc();
    if (!sha)
        abort();
    av_sha_init(sha, 256);
    av_sha_update(sha, bytes, n);
    av_sha_final(sha, out);
    av_free(sha);
    return true;
}

void media_free(struct media *m)
{
    free(m->frame_us);
    m->frame_us = NULL;
    m->frames = 0;
}
