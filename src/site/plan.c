/* Which pages there will be, which clips, and which moments they show. */
#include <stdlib.h>
#include <string.h>

#include "site/inside.h"

static bool has_performers(const struct show *show, int section)
{
    for (size_t i = 0; i < show->n_performers; i++)
        if (!show->performers[i].removed &&
            section_within(show, show->performers[i].section, section))
            return true;
    return false;
}

static void add_page(struct site *s, struct page_plan page, const char ***given)
{
    const char *text =
        page.performer >= 0 ? arena_printf(s->mem, "performer-%s", page.name) : page.name;
    const char *name = site_name(s->mem, text, *given, s->n_pages + 1);
    page.file = arena_printf(s->mem, "%s.html", name);
    s->pages[s->n_pages++] = page;
    (*given)[s->n_pages] = name;
}

static int depth_of(const struct show *show, int section)
{
    int depth = 0;
    for (int up = show->sections[section].up; up >= 0; up = show->sections[up].up)
        depth++;
    return depth;
}

static void add_section(struct site *s, int section, const char ***given)
{
    const struct show *show = &s->app->show;
    add_page(s,
             (struct page_plan){.name = show->sections[section].name,
                                .for_whom = show->sections[section].name,
                                .section = section,
                                .performer = -1,
                                .depth = depth_of(show, section)},
             given);
}

static void add_performer(struct site *s, int performer, const char ***given)
{
    const struct performer *p = &s->app->show.performers[performer];
    add_page(s,
             (struct page_plan){.name = p->label,
                                .for_whom = p->label,
                                .section = p->section,
                                .performer = performer,
                                .depth = 0},
             given);
}

/* The tree from the top, what is below a section right behind it. */
static void add_tree(struct site *s, int up, const char ***given)
{
    const struct show *show = &s->app->show;
    for (size_t i = 0; i < show->n_sections; i++) {
        if (show->sections[i].up != up || show->sections[i].removed)
            continue;
        if (has_performers(show, (int)i) || up < 0)
            add_section(s, (int)i, given);
        add_tree(s, (int)i, given);
    }
}

static bool add_named(struct site *s, const char ***given, struct err *e)
{
    const struct show *show = &s->app->show;
    for (size_t i = 0; i < s->want->n_whom; i++) {
        const int performer = show_performer(show, s->want->whom[i]);
        int section;
        if (performer >= 0)
            add_performer(s, performer, given);
        else if (section_named(show, s->want->whom[i], &section, e))
            add_section(s, section, given);
        else
            return false;
    }
    return true;
}

static bool plan_pages(struct site *s, struct err *e)
{
    const struct show *show = &s->app->show;
    const size_t most = show->n_sections + show->n_performers + s->want->n_whom + 1;
    const char **given = arena_alloc(s->mem, (most + 1) * sizeof *given);
    s->pages = arena_alloc(s->mem, most * sizeof *s->pages);
    given[0] = "index";
    if (s->want->n_whom)
        return add_named(s, &given, e);
    add_tree(s, -1, &given);
    for (size_t i = 0; s->want->performers && i < show->n_performers; i++)
        if (!show->performers[i].removed)
            add_performer(s, (int)i, &given);
    return true;
}

/* --- clips ------------------------------------------------------------------------------------ */

static bool plan_clips(struct site *s, struct err *e)
{
    struct fix_report r;
    struct fix_choice choice = s->want->choice;
    choice.for_whom = NULL;
    choice.moments = false;
    if (!app_fixes(s->app, &choice, s->mem, &r, e))
        return false;
    const char **given = arena_alloc(s->mem, (r.n_clips + 1) * sizeof *given);
    s->clips = arena_alloc(s->mem, (r.n_clips + 1) * sizeof *s->clips);
    for (size_t i = 0; i < r.n_clips; i++) {
        given[i] = site_name(s->mem, r.clips[i].label, given, i);
        s->clips[s->n_clips++] = (struct site_clip){
            .c = r.clips[i], .file = given[i], .found = r.clips[i].here ? r.clips[i].path : NULL};
        if (!r.clips[i].here)
            buf_printf(&s->out->trouble,
                       "%s: the clip is not where it was (%s); its moments have "
                       "no picture\n",
                       r.clips[i].label, r.clips[i].path);
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
