#include "lib/files.h"

#include <dirent.h>
#include <errno.h>
#include <ftw.h>
#include <limits.h>
#include <stdarg.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/buf.h"

struct arena *test_arena(void)
{
    static struct arena arena; /* reachable to the end, so no leak checker complains */
    return &arena;
}

static char **made;
static size_t made_n, made_cap;
static pid_t owner; /* a forked child must not clean its parent's folders up */

static int remove_entry(const char *path, const struct stat *st, int type, struct FTW *walk)
{
    (void)st, (void)type, (void)walk;
    return remove(path);
}

static int open_up(const char *path, const struct stat *st, int type, struct FTW *walk)
{
    (void)st, (void)walk;
    return type == FTW_D || type == FTW_DNR ? chmod(path, 0700) : 0;
}

static void remove_made(void)
{
    if (getpid() != owner)
        return;
    for (size_t i = 0; i < made_n; i++) {
        if (getenv("KEEP_TEMP")) {
            fprintf(stderr, "kept %s\n", made[i]);
            continue;
        }
        nftw(made[i], open_up, 16, FTW_PHYS); /* a test may have taken a folder's rights away */
        nftw(made[i], remove_entry, 16, FTW_DEPTH | FTW_PHYS);
    }
}

const char *temp_dir(void)
{
    const char *base = getenv("TMPDIR");
    char name[PATH_MAX], full[PATH_MAX];
    snprintf(name, sizeof name, "%s/boxcall-test-XXXXXX", base && *base ? base : "/tmp");
    if (!mkdtemp(name) || !realpath(name, full))
        fail_msg("%s: cannot make a temporary folder: %s", name, strerror(errno));
    if (!made_n)
        atexit(remove_made);
    owner = getpid();
    made = array_grow(made, made_n, &made_cap, sizeof *made);
    made[made_n++] = arena_strdup(test_arena(), full);
    return made[made_n - 1];
}

const char *path_in(const char *dir, const char *name)
{
    return arena_printf(test_arena(), "%s/%s", dir, name);
}

static void make_folders_of(const char *path)
{
    char copy[PATH_MAX];
    snprintf(copy, sizeof copy, "%s", path);
    for (char *slash = strchr(copy + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        mkdir(copy, 0777);
        *slash = '/';
    }
}

const char *write_bytes(const char *dir, const char *name, const void *bytes, size_t n)
{
    const char *path = path_in(dir, name);
    make_folders_of(path);
    FILE *f = fopen(path, "wb");
    if (!f || fwrite(bytes, 1, n, f) != n || fclose(f) != 0)
        fail_msg("%s: cannot write it: %s", path, strerror(errno));
    return path;
}

const char *write_file(const char *dir, const char *name, const char *text)
{
    return write_bytes(dir, name, text, strlen(text));
}

char *read_file(const char *path, size_t *n)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        fail_msg("%s: cannot open it: %s", path, strerror(errno));
    struct buf b = {0};
    char chunk[65536];
    for (size_t got; (got = fread(chunk, 1, sizeof chunk, f)) > 0;)
        buf_add(&b, chunk, got);
    fclose(f);
    char *text = arena_strndup(test_arena(), buf_text(&b), b.n);
    if (n)
        *n = b.n;
    buf_free(&b);
    return text;
}

size_t count_entries(const char *dir)
{
    DIR *d = opendir(dir);
    if (!d)
        fail_msg("%s: cannot list it: %s", dir, strerror(errno));
    size_t n = 0;
    for (const struct dirent *e; (e = readdir(d)) != NULL;)
        n += strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0;
    closedir(d);
    return n;
}

/* The line of `text` in which byte `at` lies. */
static const char *line_at(const char *text, size_t n, size_t at, int *number)
{
    size_t from = 0;
    *number = 1;
    for (size_t i = 0; i < at && i < n; i++) {
        if (text[i] == '\n') {
            from = i + 1;
            ++*number;
        }
    }
    return arena_printf(test_arena(), "%.*s", (int)strcspn(text + from, "\n"), text + from);
}

static void same_bytes(const char *a, const char *x, size_t nx, const char *b, const char *y,
                       size_t ny, const char *file, int line)
{
    size_t i = 0;
    while (i < nx && i < ny && x[i] == y[i])
        i++;
    if (i == nx && i == ny)
        return;
    int row;
    const char *first = line_at(x, nx, i, &row), *second = line_at(y, ny, i, &row);
    print_error("%s and %s differ at byte %zu, line %d:\n< %s\n> %s\n", a, b, i, row, first,
                second);
    _fail(file, line);
}

void assert_same_file_at(const char *a, const char *b, const char *file, int line)
{
    size_t nx, ny;
    const char *x = read_file(a, &nx), *y = read_file(b, &ny);
    same_bytes(a, x, nx, b, y, ny, file, line);
}

void assert_file_is_at(const char *path, const char *text, const char *file, int line)
{
    size_t n;
    const char *there = read_file(path, &n);
    same_bytes(path, there, n, "the text expected", text, strlen(text), file, line);
}
