#include "clip/guard.h"

#include <ctype.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/utf8.h"

enum { HEAD = 4096 };

static const char copy_it[] = "copy the clip to this laptop and name that file";
static const char name_clip[] = "name the clip itself";
static const char unpack_it[] = "unpack it and name the clip inside";

/* First bytes that say what a file is, whatever it is called. */
static const struct magic {
    size_t at, n;
    const char *bytes;
    const char *what, *remedy;
} magics[] = {
    {0, 4, "PK\3\4", "a zip archive", unpack_it},
    {0, 4, "PK\5\6", "an empty zip archive", name_clip},
    {0, 4, "PK\7\10", "a zip archive", unpack_it},
    {0, 6, "Rar!\x1a\7", "a rar archive", unpack_it},
    {0, 6, "7z\xbc\xaf\x27\x1c", "a 7z archive", unpack_it},
    {0, 2, "\x1f\x8b", "a gzip archive", unpack_it},
    {0, 6,
     "\xfd"
     "7zXZ\0",
     "an xz archive", unpack_it},
    {0, 3, "BZh", "a bzip2 archive", unpack_it},
    {257, 5, "ustar", "a tar archive", unpack_it},
    {0, 3, "\xff\xd8\xff", "a still photo", name_clip},
    {0, 8, "\x89PNG\r\n\x1a\n", "a still picture", name_clip},
    {0, 4, "GIF8", "a picture", name_clip},
    {4, 8, "ftypheic", "a still photo", name_clip},
    {4, 8, "ftypmif1", "a still photo", name_clip},
    {0, 5, "%PDF-", "a PDF document", name_clip},
    {0, 16, "SQLite format 3", "a database, perhaps a show file", name_clip},
    {0, 4,
     "\x7f"
     "ELF",
     "a program", name_clip},
};

/* Text that stands for other files. Matched at the start, letter case ignored. */
static const struct lead {
    const char *text, *what;
} leads[] = {
    {"#EXTM3U", "a playlist (m3u)"},
    {"#EXT-X-", "a streaming playlist (HLS)"},
    {"[playlist]", "a playlist (pls)"},
    {"[Reference]", "a list of references"},
    {"# mpv EDL", "an edit list that points to other files"},
    {"mpv EDL", "an edit list that points to other files"},
    {"ffconcat version", "a list of other files"},
    {"<asx", "a playlist (asx)"},
    {"<smil", "a playlist (smil)"},
    {"<MPD", "a streaming manifest (DASH)"},
    {"RTSPtext", "a reference to a stream"},
    {"http://", "an address, not a clip"},
    {"https://", "an address, not a clip"},
    {"rtsp://", "an address, not a clip"},
};

static bool refuse(struct err *e, const char *path, const char *what, const char *remedy)
{
    return err_set(e, ERR_INPUT, "%s: is %s; %s", path, what, remedy);
}

/* A scheme as RFC 3986 section 3.1 has it, followed by "://". */
static bool looks_like_address(const char *path)
{
    if (!isalpha((unsigned char)path[0]))
        return false;
    size_t n = 1;
    while (isalnum((unsigned char)path[n]) || (path[n] && strchr("+-.", path[n])))
        n++;
    return strncmp(path + n, "://", 3) == 0;
}

static bool check_kind(const char *path, struct stat *st, struct err *e)
{
    if (stat(path, st) != 0)
        return errno == ENOENT || errno == ENOTDIR
                   ? err_set(e, ERR_INPUT, "%s: there is no such file; check the name, or %s", path,
                             copy_it)
                   : err_set(e, ERR_INPUT, "%s: cannot be looked at: %s", path, strerror(errno));
    if (S_ISDIR(st->st_mode))
        return refuse(e, path, "a folder", "name one clip in it");
    if (S_ISFIFO(st->st_mode))
        return refuse(e, path, "a pipe", copy_it);
    if (S_ISSOCK(st->st_mode))
        return refuse(e, path, "a socket", copy_it);
    if (!S_ISREG(st->st_mode))
        return refuse(e, path, "a device", copy_it);
    if (st->st_size == 0)
        return refuse(e, path, "empty (0 bytes)", "copy the clip from the phone again");
    return true;
}

static bool starts_with(const char *s, const char *word)
{
    return strncasecmp(s, word, strlen(word)) == 0;
}

/* Where the text begins: behind a byte order mark, white space and an XML declaration. */
static const char *text_start(const char *s)
{
    if (strncmp(s, "\xef\xbb\xbf", 3) == 0)
        s += 3;
    s += strspn(s, " \t\r\n");
    while (starts_with(s, "<?xml") || starts_with(s, "<!--")) {
        const char *end = strchr(s, '>');
        if (!end)
            return s;
        s = end + 1 + strspn(end + 1, " \t\r\n");
    }
    return s;
}

/* Clips begin with sizes, marks and zero bytes; text has none of them. */
static bool is_text(const char *bytes, size_t n)
{
    if (n >= 2 && (memcmp(bytes, "\xff\xfe", 2) == 0 || memcmp(bytes, "\xfe\xff", 2) == 0))
        return n < 4 || bytes[2] == 0 || bytes[3] == 0 || isprint((unsigned char)bytes[2]);
    size_t valid = utf8_check(bytes, n);
    if (valid + 4 <= n) /* the last character may be cut */
        return false;
    for (size_t i = 0; i < valid; i++)
        if ((unsigned char)bytes[i] < 32 && !strchr("\t\n\v\f\r\033", bytes[i]))
            return false;
    return memchr(bytes, 0, valid) == NULL;
}

static bool check_head(const char *path, const char *head, size_t n, struct err *e)
{
    for (size_t i = 0; i < sizeof magics / sizeof *magics; i++) {
        const struct magic *m = &magics[i];
        if (m->at + m->n <= n && memcmp(head + m->at, m->bytes, m->n) == 0)
            return refuse(e, path, m->what, m->remedy);
    }
    const char *text = text_start(head);
    for (size_t i = 0; i < sizeof leads / sizeof *leads; i++)
        if (starts_with(text, leads[i].text))
            return refuse(e, path, leads[i].what, copy_it);
    if (is_text(head, n))
        return refuse(e, path, "a text file, not a clip", name_clip);
    return true;
}

bool clip_guard(const char *path, struct err *e)
{
    struct stat st;
    if (path[0] == '\0')
        return err_set(e, ERR_INPUT, "no clip named; %s", copy_it);
    if (looks_like_address(path))
        return refuse(e, path, "an address, and this program opens no addresses", copy_it);
    if (!check_kind(path, &st, e))
        return false;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0)
        return err_set(e, ERR_INPUT,
                       "%s: may not be read (%s); give yourself the right to read it, or copy it",
                       path, strerror(errno));
    char head[HEAD + 1];
    ssize_t n = pread(fd, head, HEAD, 0);
    int kept = errno;
    close(fd);
    if (n <= 0)
        return err_set(e, ERR_INPUT, "%s: cannot be read: %s; copy the clip again", path,
                       n < 0 ? strerror(kept) : "it became empty");
    head[n] = '\0';
    return check_head(path, head, (size_t)n, e);
}
