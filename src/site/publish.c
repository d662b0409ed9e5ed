#include "site/publish.h"

#include <stdlib.h>
#include <string.h>

#include "app/share.h"
#include "base/hash.h"
#include "base/path.h"
#include "site/inside.h"
#include "sys/folder.h"

bool publish_clips_named(const char *name, enum publish_clips *out)
{
    static const char *const names[] = {[PUBLISH_LINK] = "link",
                                        [PUBLISH_COPY] = "copy",
                                        [PUBLISH_CUT] = "cut",
                                        [PUBLISH_NONE] = "none"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(names[i], name) == 0) {
            *out = (enum publish_clips)i;
            return true;
        }
    return false;
}

/* Where each page will be found, and how large it is. */
static void name_pages(struct site *s)
{
    const char *url = s->want->url ? s->want->url : "", *folder = made_folder(s->made);
    const size_t n = strlen(url);
    const char *base = !n                  ? arena_printf(s->mem, "%s/", folder)
                       : url[n - 1] == '/' ? url
                                           : arena_printf(s->mem, "%s/", url);
    struct publish_page *pages = arena_alloc(s->mem, (s->n_pages + 1) * sizeof *pages);
    for (size_t i = 0; i <= s->n_pages; i++) {
        struct publish_page *p = &pages[i];
        p->file = i ? s->pages[i - 1].file : "index.html";
        p->who = i ? s->pages[i - 1].name : NULL;
        p->address = arena_printf(s->mem, "%s%s", base, i || !n ? p->file : "");
        folder_size(arena_printf(s->mem, "%s/%s", folder, p->file), &p->bytes);
    }
    s->out->pages = pages;
    s->out->n_pages = s->n_pages + 1;
}

/* --- of what all is made ---------------------------------------------------------------------- */

static uint64_t add_text(uint64_t h, const char *text)
{
    return hash_more(h, text ? text : "", text ? strlen(text) + 1 : 1);
}

static uint64_t add_wishes(uint64_t h, const struct publish_want *w)
{
    const int kinds[] = {w->clips,    w->performers,  w->labels_only,
                         w->one_file, (int)w->n_whom, (int)w->choice.n_clips};
    h = hash_more(h, kinds, sizeof kinds);
    for (size_t i = 0; i < w->n_whom; i++)
        h = add_text(h, w->whom[i]);
    for (size_t i = 0; i < w->choice.n_clips; i++)
        h = add_text(h, w->choice.clips[i]);
    return add_text(h, w->choice.since);
}

/* The file's place, size and age: another clip may be put in its place. */
static uint64_t add_file(uint64_t h, const char *path)
{
    int64_t about[2] = {0};
    if (path)
        folder_look(path, about);
    return hash_more(add_text(h, path), about, sizeof about);
}

/* What the show holds, what was asked for, the clips, and the program that makes the pages. */
static bool made_from(struct site *s, uint64_t *out, struct err *e)
{
    static const char *const shared[] = {"page.css", "page.js"};
    uint64_t h;
    if (!store_print(s->app->store, &h, e))
        return false;
    h = add_file(add_wishes(h, s->want), "/proc/self/exe");
    for (size_t i = 0; i < s->n_clips; i++)
        h = add_file(h, s->clips[i].found);
    for (size_t i = 0; i < sizeof shared / sizeof *shared; i++) {
        struct buf text = {0};
        const bool ok = share_read(shared[i], &text, e);
        h = add_text(h, buf_text(&text));
        buf_free(&text);
        if (!ok)
            return false;
    }
    *out = h;
    return true;
}

/* Whether a page is in the way is looked at before anything is made. */
static bool may_write(struct site *s, struct err *e)
{
    static const char *const always[] = {"index.html", "page.css", "page.js"};
    bool ok = true;
    for (size_t i = 0; ok && i < sizeof always / sizeof *always; i++)
        ok = (i && s->want->one_file) || made_may(s->made, always[i], e);
    for (size_t i = 0; ok && i < s->n_pages; i++)
        ok = made_may(s->made, s->pages[i].file, e);
    return ok;
}

static bool fill(struct site *s, struct err *e)
{
    uint64_t from;
    if (!made_from(s, &from, e))
        return false;
    if (made_all(s->made, from))
        return site_names_in_notes(s, e) && made_finish(s->made, &s->out->files, e);
    return may_write(s, e) && site_may_go(s, e) && site_needs(s, e) && site_media(s, e) &&
           site_write_pages(s, e) && site_names_in_notes(s, e) && !site_stopped(s, e) &&
           made_finish(s->made, &s->out->files, e);
}

bool publish(struct app *a, const struct publish_want *want, struct arena *mem,
             struct publish_report *out, struct err *e)
{
    struct site s = {.app = a, .want = want, .mem = mem, .out = out};
    *out = (struct publish_report){0};
    e->code = ERR_NONE;
    if (!site_plan(&s, e) || !made_open(&s.made, want->folder, e))
        return false;
    s.was_quiet = made_quiet(s.made, want->labels_only);
    /* How a page finds a clip that stays where it is. */
    a->link_from = made_folder(s.made);
    for (size_t i = 0; i < s.n_clips; i++)
        if (s.clips[i].found)
            s.clips[i].c.link = path_from(mem, a->link_from, s.clips[i].found);
    const bool ok = site_names_of_clips(&s, e) && fill(&s, e);
    if (ok)
        name_pages(&s);
    a->link_from = NULL;
    made_close(s.made);
    free(s.needs);
    return ok;
}
