#include "score/musicxml.h"

#include <string.h>

#include "score/xml.h"
#include "score/zip.h"

static const char container[] = "META-INF/container.xml";

/* --- which of the archive's files is the score ------------------------------------------------ */

struct root {
    struct arena *a;
    const char *path; /* NULL until it is found */
};

/* The first rootfile is the score; others are other forms of it. */
static bool on_begin(void *ctx, const struct xml_element *x, struct err *e)
{
    struct root *root = ctx;
    const char *path = xml_attribute(x, "full-path");
    (void)e;
    if (!root->path && path && strcmp(x->name, "rootfile") == 0)
        root->path = arena_strdup(root->a, path);
    return true;
}

static bool on_end(void *ctx, const char *name, const char *text, struct err *e)
{
    (void)ctx, (void)name, (void)text, (void)e;
    return true;
}

static bool take(const struct table_text *file, const char *name, struct buf *out, struct err *e)
{
    bool found;
    if (!zip_take(file, name, out, &found, e))
        return false;
    return found || err_set(e, ERR_INPUT,
                            "%s: the archive has no '%.80s', so it is no score in MusicXML; save a "
                            "spreadsheet as CSV, or export the score again",
                            file->source, name);
}

static bool find_root(struct root *root, const struct table_text *file, struct err *e)
{
    struct buf bytes = {0};
    const char *source = arena_printf(root->a, "%s: %s", file->source, container);
    const struct xml_listener listener = {root, on_begin, on_end};
    bool ok = take(file, container, &bytes, e) &&
              xml_read(&(struct table_text){buf_text(&bytes), bytes.n, source, NULL}, &listener, e);
    if (ok && !root->path)
        ok = err_set(e, ERR_INPUT, "%s: it names no score; export the score again", source);
    buf_free(&bytes);
    return ok;
}

bool mxl_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e)
{
    struct root root = {.a = a};
    struct buf bytes = {0};
    bool ok = find_root(&root, file, e) && take(file, root.path, &bytes, e);
    if (ok) {
        const char *source = arena_printf(a, "%s: %.80s", file->source, root.path);
        ok =
            musicxml_read(a, &(struct table_text){buf_text(&bytes), bytes.n, source, NULL}, out, e);
    }
    buf_free(&bytes);
    return ok;
}
