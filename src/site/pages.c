/* The pages themselves, now that it is known what the folder has. */
#include <stdlib.h>
#include <string.h>

#include "app/define.h"
#include "app/history.h"
#include "app/share.h"
#include "clip/probe.h"
#include "page/html.h"
#include "site/inside.h"
#include "sys/file.h"

/* --- where pictures and clips are ------------------------------------------------------------- */

/* The file itself, for a page that is whole by itself. False: it cannot be read. */
static bool put_data(const struct site *s, const char *name, const char *kind, struct buf *out)
{
    enum { LIMIT = 64 << 20 };
    struct buf bytes = {0};
    struct err ignored;
    const bool ok = file_read(arena_printf(s->mem, "%s/%s", made_folder(s->made), name), LIMIT,
                              &bytes, &ignored);
    if (ok) {
        buf_printf(out, "data:%s;base64,", kind);
        html_base64(out, bytes.p, bytes.n);
    }
    buf_free(&bytes);
    return ok;
}

static bool still(void *user, const struct report_moment *m, struct buf *out)
{
    const struct site *s = user;
    const struct need *need = site_need(s, m->mark);
    if (!need || !need->still)
        return false;
    if (s->want->one_file)
        return put_data(s, site_still_name(s->mem, need->uid), "image/jpeg", out);
    html_address(out, site_still_name(s->mem, need->uid));
    return true;
}

static bool cut(void *user, const struct report_moment *m, int64_t *from_us, struct buf *out)
{
    const struct site *s = user;
    const struct need *need = site_need(s, m->mark);
    if (!need || !need->cut)
        return false;
    *from_us = m->at.at_us > MARK_LEAD_IN_US ? m->at.at_us - MARK_LEAD_IN_US : 0;
    if (s->want->one_file)
        return put_data(s, site_cut_name(s->mem, need->uid), "video/mp4", out);
    html_address(out, site_cut_name(s->mem, need->uid));
    return true;
}

static bool clip(void *user, const struct report_clip *c, struct buf *out)
{
    const struct site *s = user;
    for (size_t i = 0; i < s->n_clips; i++) {
        const struct site_clip *mine = &s->clips[i];
        if (mine->c.id != c->id)
            continue;
        const bool linked =
            s->want->clips == PUBLISH_LINK && mine->found && !(mine->hidden && s->labels_only);
        const char *at = linked ? mine->c.link : mine->copy;
        if (at)
            html_address(out, at);
        return at != NULL;
    }
    return false;
}

/* --- pages ------------------------------------------------------------------------------------ */

struct row {
    int open, define, clean, keep;
    int64_t bytes;
};

static void count(const struct report_part *part, struct row *out)
{
    for (size_t i = 0; i < part->list.n_items; i++) {
        out->open += part->list.items[i].marks;
        out->clean += part->list.items[i].clean;
    }
    for (size_t i = 0; i < part->list.n_keep; i++)
        out->keep += part->list.keep[i].marks;
    for (size_t i = 0; i < part->n_moments; i++)
        out->define += part->moments[i].asks && part->moments[i].state != MARK_CLEAN;
}

static bool one_page(struct site *s, const struct page_plan *page, const struct page_style *style,
                     struct row *row, struct err *e)
{
    struct arena scratch = {0};
    struct buf html = {0};
    struct fix_report r;
    struct history_report history;
    struct fix_choice choice = s->want->choice;
    choice.for_whom = page->for_whom;
    choice.moments = true;
    choice.labels_only = style->labels_only;
    bool ok = app_fixes(s->app, &choice, &scratch, &r, e) &&
              app_history_of(s->app, &r, &scratch, &history, e);
    if (ok) {
        page_section(&(struct page_section){&r, &history}, style, &html);
        ok = made_put(s->made, page->file, (struct made_bytes){html.p, html.n}, e);
        count(&r.own, row);
        row->bytes = s->want->one_file ? (int64_t)html.n : 0;
    }
    buf_free(&html);
    arena_free(&scratch);
    return ok;
}

/* --- looks and script ------------------------------------------------------------------------- */

/* "'sha256-...'": by which a Content-Security-Policy lets exactly this text in. */
static const char *hash_of(struct site *s, const char *text, struct err *e)
{
    uint8_t digest[32];
    struct buf name = {0};
    if (!clip_sha256(text, strlen(text), digest, e))
        return NULL;
    buf_str(&name, "'sha256-");
    html_base64(&name, digest, sizeof digest);
    buf_char(&name, '\'');
    const char *kept = arena_strdup(s->mem, name.p);
    buf_free(&name);
    return kept;
}

/* A file of the share folder: beside the pages, or its text to be put into each. */
static bool share(struct site *s, const char *name, const char **text, const char **hash,
                  struct err *e)
{
    struct buf bytes = {0};
    bool ok = share_read(name, &bytes, e);
    if (ok && s->want->one_file) {
        *text = arena_strdup(s->mem, buf_text(&bytes));
        *hash = hash_of(s, *text, e);
        ok = *hash != NULL;
    } else if (ok) {
        ok = made_put(s->made, name, (struct made_bytes){bytes.p, bytes.n}, e);
    }
    buf_free(&bytes);
    return ok;
}

/* --- the index --------------------------------------------------------------------------------- */

static struct report_clip *clips_of(const struct site *s)
{
    struct report_clip *clips = arena_alloc(s->mem, (s->n_clips + 1) * sizeof *clips);
    for (size_t i = 0; i < s->n_clips; i++)
        clips[i] = s->clips[i].c;
    return clips;
}

/* What waits for the staff is said where the whole band is published. */
static bool put_index(struct site *s, const struct page_style *style, struct page_index *index,
                      struct err *e)
{
    struct define_report define;
    struct buf html = {0};
    struct fix_choice choice = s->want->choice;
    choice.for_whom = NULL;
    choice.moments = true;
    index->clips = clips_of(s);
    index->n_clips = s->n_clips;
    if (s->want->n_whom == 0) {
        if (!app_define(s->app, &choice, s->mem, &define, e))
            return false;
        define.only = -1;
        index->define = &define;
    }
    page_index(index, style, &html);
    const bool ok = made_put(s->made, "index.html", (struct made_bytes){html.p, html.n}, e);
    buf_free(&html);
    return ok;
}

bool site_write_pages(struct site *s, struct err *e)
{
    const struct page_media media = {s, still, cut, clip};
    struct page_entry *at = arena_alloc(s->mem, (s->n_pages + 1) * sizeof *at);
    struct page_style style = {
        .title = s->app->title,
        .in_clips = s->want->clips != PUBLISH_CUT,
        .index = s->want->one_file ? NULL : "index.html",
        .media = &media,
    };
    bool ok = share(s, "page.css", &style.css, &style.css_hash, e) &&
              share(s, "page.js", &style.js, &style.js_hash, e);
    for (size_t i = 0; ok && i < s->n_pages; i++) {
        const struct page_plan *p = &s->pages[i];
        struct row row = {0};
        style.labels_only = s->want->labels_only || p->performer >= 0;
        s->labels_only = style.labels_only;
        ok = !site_stopped(s, e) && one_page(s, p, &style, &row, e);
        at[i] = (struct page_entry){.address = p->file,
                                    .name = p->name,
                                    .performer = p->performer >= 0,
                                    .depth = p->depth,
                                    .open = row.open,
                                    .define = row.define,
                                    .clean = row.clean,
                                    .keep = row.keep,
                                    .bytes = row.bytes};
    }
    s->labels_only = style.labels_only = s->want->labels_only;
    return ok && put_index(s, &style, &(struct page_index){.at = at, .n = s->n_pages}, e);
}
