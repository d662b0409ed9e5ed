/* Which pages there will be, which clips, and which moments they show. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "base/shell.h"
#include "site/inside.h"
#include "sys/folder.h"

static bool nobody(const struct show *show, const char *whom, struct err *e)
{
    struct near near = {.word = whom};
    for (size_t i = 0; i < show->n_sections; i++)
        near_offer(&near, show->sections[i].name);
    for (size_t i = 0; i < show->n_performers; i++)
        near_offer(&near, show->performers[i].label);
    return err_set(e, ERR_INPUT, "no section or performer '%s'%s", whom,
                   near_said(&near, "; name a section or a performer's label").text);
}

static bool add_named(struct site *s, struct page_plans *pages, struct err *e)
{
    for (size_t i = 0; i < s->want->n_whom; i++) {
        const int performer = show_performer(pages->show, s->want->whom[i]);
        struct err why;
        int section;
        if (performer >= 0)
            page_plans_performer(pages, performer);
        else if (section_named(pages->show, s->want->whom[i], &section, &why))
            page_plans_section(pages, section);
        else
            return nobody(pages->show, s->want->whom[i], e);
    }
    return true;
}

static bool plan_pages(struct site *s, struct err *e)
{
    const bool *marked;
    if (!app_marked(s->app, s->mem, &marked, e))
        return false;
    struct page_plans pages = page_plans_begin(&s->app->show, s->mem, s->want->n_whom, marked);
    if (s->want->n_whom && !add_named(s, &pages, e))
        return false;
    if (!s->want->n_whom)
        page_plans_all(&pages, s->want->performers);
    s->pages = pages.at;
    s->n_pages = pages.n;
    return true;
}

/* --- clips ------------------------------------------------------------------------------------ */

static const char *newest_date(const struct app *a)
{
    const char *newest = "";
    for (size_t i = 0; i < a->clips.n; i++)
        if (strcmp(a->clips.at[i].date, newest) > 0)
            newest = a->clips.at[i].date;
    return newest;
}

/* Is it another file than the one that was added? Then its pictures would be of something else. */
static bool is_other(struct site *s, const struct report_clip *c)
{
    const struct clip *stored = site_stored(s, c->id);
    int64_t about[2];
    if (!stored || stored->size_bytes <= 0 || !folder_look(c->path, about) ||
        about[0] == stored->size_bytes)
        return false;
    buf_printf(
        &s->out->trouble,
        "%s: not the file that was added as clip %s (%" PRId64 " bytes, and it had %" PRId64
        "), so nothing new is made of it; if it is that clip, add it again: boxcall add SHOW "
        "clip FILE --label %s\n",
        c->path, c->label, about[0], stored->size_bytes, shell_word(c->label).text);
    return true;
}

static bool plan_clips(struct site *s, struct err *e)
{
    struct fix_report r;
    struct fix_choice choice = s->want->choice;
    choice.for_whom = NULL;
    choice.moments = false;
    if (!app_fixes(s->app, &choice, s->mem, &r, e))
        return false;
    if (r.n_clips == 0 && choice.since && s->app->clips.n)
        return err_set(e, ERR_INPUT, "no clip since %s; the newest is of %s", choice.since,
                       newest_date(s->app));
    const char **given = arena_alloc(s->mem, (r.n_clips + 1) * sizeof *given);
    s->clips = arena_alloc(s->mem, (r.n_clips + 1) * sizeof *s->clips);
    for (size_t i = 0; i < r.n_clips; i++) {
        given[i] = page_name(s->mem, r.clips[i].label, given, i);
        s->clips[s->n_clips++] = (struct site_clip){
            .c = r.clips[i],
            .file = given[i],
            .found = r.clips[i].here && !is_other(s, &r.clips[i]) ? r.clips[i].path : NULL};
        if (!r.clips[i].here)
            buf_printf(&s->out->trouble,
                       "%s: the clip is not where it was (%s), so nothing new is made of it; say "
                       "where it is: boxcall add SHOW clip FILE --label %s\n",
                       r.clips[i].label, r.clips[i].path, shell_word(r.clips[i].label).text);
    }
    return true;
}

bool site_plan(struct site *s, struct err *e)
{
    return plan_pages(s, e) && plan_clips(s, e);
}

/* --- moments ---------------------------------------------------------------------------------- */

static bool note_need(void *user, const struct report_moment *m, struct buf *out)
{
    struct site *s = user;
    (void)out;
    s->needs = array_grow(s->needs, s->n_needs, &s->cap_needs, sizeof *s->needs);
    s->needs[s->n_needs++] = (struct need){.mark = m->mark,
                                           .uid = arena_strdup(s->mem, m->uid),
                                           .clip = s->clips[m->at.clip].c.id,
                                           .at_us = m->at.at_us};
    return false;
}

static bool no_cut(void *user, const struct report_moment *m, int64_t *from_us, struct buf *out)
{
    (void)user, (void)m, (void)from_us, (void)out;
    return false;
}

static bool no_clip(void *user, const struct report_clip *c, struct buf *out)
{
    (void)user, (void)c, (void)out;
    return false;
}

static void keep_each_once(struct site *s)
{
    size_t kept = 0;
    if (s->n_needs)
        qsort(s->needs, s->n_needs, sizeof *s->needs, site_by_mark);
    for (size_t i = 0; i < s->n_needs; i++)
        if (!kept || s->needs[kept - 1].mark != s->needs[i].mark)
            s->needs[kept++] = s->needs[i];
    s->n_needs = kept;
}

/* A page is written for nobody, so that nothing is made that no page shows. */
bool site_needs(struct site *s, struct err *e)
{
    const struct page_media media = {s, note_need, no_cut, no_clip};
    const struct page_style style = {.title = s->app->title, .media = &media};
    bool ok = true;
    for (size_t i = 0; ok && i < s->n_pages; i++) {
        struct arena scratch = {0};
        struct buf page = {0};
        struct fix_report r;
        struct fix_choice choice = s->want->choice;
        choice.for_whom = s->pages[i].for_whom;
        choice.moments = true;
        ok = !site_stopped(s, e) && app_fixes(s->app, &choice, &scratch, &r, e);
        if (ok)
            page_section(&(struct page_section){.r = &r}, &style, &page);
        buf_free(&page);
        arena_free(&scratch);
    }
    keep_each_once(s);
    return ok;
}
