#include "site/made.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/hash.h"
#include "sys/file.h"
#include "sys/folder.h"

static const char list_name[] = ".boxcall-made";
static const char head[] = "boxcall made these files; publish takes away what is listed here.\n";

static const char all_name[] = ".";    /* in the list: what all of it was made from */
static const char quiet_name[] = ".."; /* in the list: it names nobody */

enum { LIST_LIMIT = 64 << 20, PAGE_LIMIT = 1 << 30 };

struct entry {
    uint64_t from, before; /* what it was made from, by the line listed last and the one before */
    int64_t size;
    const char *name;
    bool now; /* of this publishing */
};

struct made {
    struct arena memory;
    const char *folder;
    int lock;
    struct entry *at;
    size_t n, cap;
    size_t *by_name; /* open addressing: position + 1 of the newest entry of a name */
    size_t slots;
    bool listed;              /* the list has its head */
    uint64_t all, all_before; /* made_all(): of this publishing, and of the one that ended last */
    struct made_report report;
    bool was_quiet, quiet; /* names nobody: last time, now */
};

/* --- what is listed --------------------------------------------------------------------------- */

static size_t slot_of(const struct made *m, const char *name)
{
    size_t i = (size_t)hash_more(HASH_BEGIN, name, strlen(name)) & (m->slots - 1);
    while (m->by_name[i] && strcmp(m->at[m->by_name[i] - 1].name, name) != 0)
        i = (i + 1) & (m->slots - 1);
    return i;
}

static void grow(struct made *m)
{
    free(m->by_name);
    m->slots = m->slots ? m->slots * 2 : 1024;
    m->by_name = xcalloc(m->slots, sizeof *m->by_name);
    for (size_t i = 0; i < m->n; i++)
        m->by_name[slot_of(m, m->at[i].name)] = i + 1;
}

static struct entry *entry_of(const struct made *m, const char *name)
{
    const size_t at = m->slots ? m->by_name[slot_of(m, name)] : 0;
    return at ? &m->at[at - 1] : NULL;
}

/* Adds, or renews what is listed of the name. */
static struct entry *list(struct made *m, const char *name, uint64_t from, int64_t size)
{
    struct entry *e = entry_of(m, name);
    if (!e) {
        if (m->n * 2 >= m->slots)
            grow(m);
        m->at = array_grow(m->at, m->n, &m->cap, sizeof *m->at);
        e = &m->at[m->n++];
        *e = (struct entry){.name = arena_strdup(&m->memory, name)};
        m->by_name[slot_of(m, name)] = m->n;
    }
    if (e->from != from)
        e->before = e->from;
    e->from = from;
    e->size = size;
    return e;
}

/* A name that publish may have given: in the folder, at most one level down. */
static bool name_is_ours(const char *name)
{
    const char *slash = strchr(name, '/');
    return *name && *name != '/' && *name != '.' && (!slash || (slash[1] && slash[1] != '.')) &&
           !(slash && strchr(slash + 1, '/'));
}

static void read_line(struct made *m, char *line)
{
    uint64_t from;
    int64_t size;
    int used = 0;
    if (sscanf(line, "%16" SCNx64 " %" SCNd64 " %n", &from, &size, &used) != 2 || !used)
        return;
    m->all_before = 0; /* what follows the line of all was written by one that did not end */
    if (strcmp(line + used, quiet_name) == 0)
        m->was_quiet = from != 0;
    else if (strcmp(line + used, all_name) == 0)
        m->all_before = from;
    else if (name_is_ours(line + used))
        list(m, line + used, from, size);
}

static const char *path_of(struct made *m, const char *name)
{
    return arena_printf(&m->memory, "%s/%s", m->folder, name);
}

static bool read_list(struct made *m, struct err *e)
{
    struct buf bytes = {0};
    const char *path = path_of(m, list_name);
    const bool ok = file_read(path, LIST_LIMIT, &bytes, e);
    m->listed = bytes.n > 0;
    for (char *line = ok ? bytes.p : NULL, *end; line && *line; line = end) {
        end = line + strcspn(line, "\n");
        if (*end)
            *end++ = '\0';
        read_line(m, line);
    }
    buf_free(&bytes);
    return ok;
}

static void put_entry(const struct entry *e, struct buf *out)
{
    buf_printf(out, "%016" PRIx64 " %" PRId64 " %s\n", e->from, e->size, e->name);
}

/* What is of this publishing, and what could not be taken away. */
static bool write_list(struct made *m, struct err *e)
{
    struct buf bytes = {0};
    buf_str(&bytes, head);
    for (size_t i = 0; i < m->n; i++)
        if (m->at[i].now)
            put_entry(&m->at[i], &bytes);
    if (m->quiet)
        put_entry(&(struct entry){.from = 1, .name = quiet_name}, &bytes);
    if (m->all && m->report.left == 0)
        put_entry(&(struct entry){.from = m->all, .name = all_name}, &bytes);
    const bool ok = file_write_soon(path_of(m, list_name), bytes.p, bytes.n, e);
    buf_free(&bytes);
    return ok;
}

/* The line that a file's writing is announced with. */
static bool announce(struct made *m, const struct entry *entry, struct err *e)
{
    struct buf line = {0};
    const char *path = path_of(m, list_name);
    if (!m->listed)
        buf_str(&line, head);
    m->listed = true;
    put_entry(entry, &line);
    const bool ok = file_append(path, line.p, line.n, e);
    buf_free(&line);
    return ok;
}

/* --- opening ---------------------------------------------------------------------------------- */

/* What a publishing that was killed was writing. Its folders are ours alone; beside the pages another
 * program may be writing a file of its own just now. */
static void sweep(struct made *m)
{
    enum { QUIET_S = 600 };
    const char *last = "";
    folder_sweep(m->folder, QUIET_S);
    for (size_t i = 0; i < m->n; i++) {
        const char *name = m->at[i].name, *slash = strchr(name, '/');
        const size_t n = slash ? (size_t)(slash - name) + 1 : 0;
        if (!slash || strncmp(name, last, n) == 0)
            continue;
        last = name;
        folder_sweep(path_of(m, arena_strndup(&m->memory, name, n - 1)), 0);
    }
}

bool made_open(struct made **out, const char *folder, struct err *e)
{
    *out = NULL;
    if (!folder_make(folder, e))
        return false;
    char *full = file_absolute(folder, e);
    if (!full)
        return false;
    struct made *m = xcalloc(1, sizeof *m);
    m->folder = arena_strdup(&m->memory, full);
    free(full);
    m->lock = folder_take(path_of(m, list_name), e);
    grow(m);
    if (m->lock < 0 || !read_list(m, e)) {
        made_close(m);
        return false;
    }
    sweep(m);
    *out = m;
    return true;
}

void made_close(struct made *m)
{
    struct err ignored;
    if (!m)
        return;
    if (m->lock >= 0 && !m->listed)
        folder_drop(path_of(m, list_name), &ignored); /* nothing was made: no trace of it */
    folder_free(m->lock);
    arena_free(&m->memory);
    free(m->at);
    free(m->by_name);
    free(m);
}

const char *made_folder(const struct made *m)
{
    return m->folder;
}

/* --- files ------------------------------------------------------------------------------------ */

static bool make_its_folder(struct made *m, const char *name, struct err *e)
{
    const char *slash = strchr(name, '/');
    return !slash ||
           folder_make(path_of(m, arena_strndup(&m->memory, name, (size_t)(slash - name))), e);
}

static bool not_ours(const struct made *m, const char *name, struct err *e)
{
    return err_set(e, ERR_INPUT,
                   "%s/%s: was not made here, or was changed since; move it away, or publish into "
                   "another folder",
                   m->folder, name);
}

/* Pages are known by what is in them. */
static bool page_is(const char *path, uint64_t one, uint64_t other, const struct made_bytes *same)
{
    struct buf bytes = {0};
    struct err ignored;
    bool is = file_read(path, PAGE_LIMIT, &bytes, &ignored);
    if (is && same)
        is = bytes.n == same->n && (!same->n || memcmp(bytes.p, same->p, same->n) == 0);
    else if (is) {
        const uint64_t now = hash_more(HASH_BEGIN, bytes.p, bytes.n);
        is = now == one || now == other;
    }
    buf_free(&bytes);
    return is;
}

static bool write_it(struct made *m, struct entry *entry, struct made_bytes bytes, struct err *e)
{
    entry->now = true;
    m->report.written++;
    return make_its_folder(m, entry->name, e) && announce(m, entry, e) &&
           file_write_soon(path_of(m, entry->name), bytes.p, bytes.n, e);
}

bool made_put(struct made *m, const char *name, struct made_bytes bytes, struct err *e)
{
    const char *path = path_of(m, name);
    const uint64_t from = hash_more(HASH_BEGIN, bytes.p, bytes.n);
    struct entry *was = entry_of(m, name);
    int64_t size;
    const bool there = folder_size(path, &size);
    if (there && page_is(path, 0, 0, &bytes)) {
        list(m, name, from, (int64_t)bytes.n)->now = true;
        m->report.same++;
        return true;
    }
    if (there && (!was || !page_is(path, was->from, was->before, NULL)))
        return not_ours(m, name, e);
    return write_it(m, list(m, name, from, (int64_t)bytes.n), bytes, e);
}

bool made_may(struct made *m, const char *name, struct err *e)
{
    const char *path = path_of(m, name);
    const struct entry *was = entry_of(m, name);
    int64_t size;
    return !folder_size(path, &size) || (was && page_is(path, was->from, was->before, NULL)) ||
           not_ours(m, name, e);
}

bool made_has(struct made *m, const char *name, uint64_t from)
{
    struct entry *was = entry_of(m, name);
    int64_t size;
    if (!was || was->from != from || !folder_size(path_of(m, name), &size) || size != was->size)
        return false;
    was->now = true;
    m->report.same++;
    return true;
}

bool made_put_from(struct made *m, const char *name, uint64_t from, struct made_bytes bytes,
                   struct err *e)
{
    if (!entry_of(m, name) && file_exists(path_of(m, name)))
        return not_ours(m, name, e);
    return write_it(m, list(m, name, from, (int64_t)bytes.n), bytes, e);
}

bool made_begin(struct made *m, const char *name, uint64_t from, char **path, struct err *e)
{
    if (!entry_of(m, name) && file_exists(path_of(m, name)))
        return not_ours(m, name, e);
    *path = arena_strdup(&m->memory, path_of(m, name));
    return make_its_folder(m, name, e) && announce(m, list(m, name, from, -1), e);
}

bool made_done(struct made *m, const char *name, uint64_t from, struct err *e)
{
    int64_t size = -1;
    folder_size(path_of(m, name), &size);
    struct entry *entry = list(m, name, from, size);
    entry->now = true;
    m->report.written++;
    return announce(m, entry, e);
}

bool made_all(struct made *m, uint64_t from)
{
    int64_t size;
    m->all = from;
    bool there = from && m->all_before == from;
    for (size_t i = 0; there && i < m->n; i++)
        there = folder_size(path_of(m, m->at[i].name), &size) && size == m->at[i].size;
    for (size_t i = 0; there && i < m->n; i++)
        m->at[i].now = true;
    if (there)
        m->report.same = (int)m->n;
    return there;
}

bool made_quiet(struct made *m, bool quiet)
{
    m->quiet = quiet;
    return m->was_quiet;
}

void made_lacks(struct made *m)
{
    m->all = 0;
}

/* --- the end ---------------------------------------------------------------------------------- */

/* A page that somebody has changed is theirs now; pictures and clips, which lie in folders of their
 * own, are known by their size. */
static bool still_ours(const struct entry *entry, const char *path, int64_t size)
{
    return (strchr(entry->name, '/') && (entry->size == size || entry->size < 0)) ||
           page_is(path, entry->from, entry->before, NULL);
}

const char *made_before(struct made *m, size_t *at)
{
    while (*at < m->n) {
        const struct entry *entry = &m->at[(*at)++];
        const char *path = path_of(m, entry->name);
        int64_t size;
        if (folder_size(path, &size) && still_ours(entry, path, size))
            return entry->name;
    }
    return NULL;
}

static bool take_away(struct made *m, struct entry *entry, struct err *e)
{
    const char *path = path_of(m, entry->name);
    int64_t size;
    if (!folder_size(path, &size))
        return true;
    if (!still_ours(entry, path, size)) {
        m->report.left++;
        return true;
    }
    m->report.gone++;
    const char *slash = strchr(entry->name, '/');
    if (!folder_drop(path, e))
        return false;
    if (slash)
        folder_drop_empty(
            path_of(m, arena_strndup(&m->memory, entry->name, (size_t)(slash - entry->name))));
    return true;
}

bool made_finish(struct made *m, struct made_report *out, struct err *e)
{
    bool ok = true;
    for (size_t i = 0; ok && i < m->n; i++)
        ok = m->at[i].now || take_away(m, &m->at[i], e);
    *out = m->report;
    const bool changed =
        m->report.written + m->report.gone + m->report.left > 0 || m->all != m->all_before;
    return ok && (!changed || (write_list(m, e) && folder_settle(m->folder, e)));
}
