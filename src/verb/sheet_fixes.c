/* Which lists are printed, and where on the web each is. */
#include <string.h>

#include "page/names.h"
#include "verb/sheets.h"

struct choosing {
    struct call *c;
    struct app *app;
    struct fix_choice choice;
    struct fix_report *reports;
    size_t n;
};

static bool has_lines(const struct report_part *part)
{
    return part->list.n_items > 0 || part->list.n_keep > 0;
}

static bool add(struct choosing *g, const char *whom, struct err *e)
{
    g->choice.for_whom = whom;
    if (!app_fixes(g->app, &g->choice, &g->c->memory, &g->reports[g->n], e))
        return false;
    g->n++;
    return true;
}

/* Somebody who stands in the section itself and not in one below it, and is marked. */
static bool has_own(const struct fix_report *r)
{
    for (size_t i = 0; i < r->own.n_moments; i++)
        for (size_t k = 0; k < r->own.moments[i].n_targets; k++) {
            const struct target *t = &r->own.moments[i].targets[k];
            if (t->performer >= 0 && t->section == r->section)
                return true;
        }
    return false;
}

/* Sections below come behind those above in the tree, but decide about them. *below: does one of
 * these have a sheet? */
static bool add_tree(struct choosing *g, int section, bool *below, struct err *e)
{
    const struct show *show = &g->app->show;
    const size_t place = g->n++;
    bool inside = false;
    for (size_t i = 0; i < show->n_sections; i++)
        if (show->sections[i].up == section && !add_tree(g, (int)i, &inside, e))
            return false;
    g->choice.for_whom = show->sections[section].name;
    struct fix_report *r = &g->reports[place];
    if (!app_fixes(g->app, &g->choice, &g->c->memory, r, e))
        return false;
    const bool wanted = has_lines(&r->own) && (!inside || has_own(r));
    if (!wanted) {
        memmove(r, r + 1, (g->n - place - 1) * sizeof *r);
        g->n--;
    }
    *below |= inside || wanted;
    return true;
}

static bool choose(struct choosing *g, struct err *e)
{
    const struct show *show = &g->app->show;
    size_t n;
    bool some = false;
    const char **whom = call_values(g->c, "for", &n);
    g->reports = arena_alloc(&g->c->memory, (n + show->n_sections + 1) * sizeof *g->reports);
    for (size_t i = 0; i < n; i++)
        if (!add(g, whom[i], e))
            return false;
    if (n == 0 && show->root >= 0 && !add_tree(g, show->root, &some, e))
        return false;
    return g->n > 0 || add(g, NULL, e); /* which says that there is nothing */
}

/* --- the web -------------------------------------------------------------------------------------- */

static bool check_url(const char *url, struct err *e)
{
    if (strncmp(url, "https://", 8) != 0 && strncmp(url, "http://", 7) != 0)
        return err_set(e, ERR_USAGE, "sheet: --url %s: an address begins with https:// or http://",
                       url);
    for (const char *s = url; *s; s++)
        if (*s <= ' ' || *s >= 0x7f || strchr("\"<>\\^`{|}#?", *s))
            return err_set(e, ERR_USAGE,
                           "sheet: --url %s: a folder's address has no blank, # or ?, and "
                           "%%.. for what is not ASCII",
                           url);
    return true;
}

/* As boxcall publish names the pages of the whole show. */
static bool add_addresses(struct choosing *g, struct sheet_list *lists, const char *url,
                          struct err *e)
{
    const bool *marked;
    if (!app_marked(g->app, &g->c->memory, &marked, e))
        return false;
    struct page_plans pages = page_plans_begin(&g->app->show, &g->c->memory, 0, marked);
    const char *slash = url[strlen(url) - 1] == '/' ? "" : "/";
    page_plans_all(&pages, false);
    for (size_t i = 0; i < g->n; i++) {
        const struct fix_report *r = &g->reports[i];
        /* A performer's moments are on the section's page, which is always made. */
        const char *file = page_plans_file(&pages, r->section, -1);
        if (!file)
            continue;
        lists[i].address = arena_printf(&g->c->memory, "%s%s%s", url, slash, file);
        const size_t n = strlen(lists[i].address) + sizeof "#m=" - 1 + MOMENT_ID_DIGITS;
        if (n > SHEET_ADDRESS_MOST)
            return err_set(e, ERR_USAGE,
                           "sheet: --url %s: addresses of moments get %zu letters long, too long "
                           "for a code that phones read; at most %d",
                           url, n, SHEET_ADDRESS_MOST);
    }
    return true;
}

bool sheets_fixes(struct call *c, struct app *a, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e)
{
    struct choosing g = {.c = c, .app = a};
    const char *url = call_value(c, "url");
    g.choice = (struct fix_choice){
        .since = call_value(c, "since"), .moments = true, .labels_only = style->labels_only};
    g.choice.clips = call_values(c, "clip", &g.choice.n_clips);
    if ((url && !check_url(url, e)) || !choose(&g, e))
        return false;
    struct sheet_list *lists = arena_alloc(&c->memory, g.n * sizeof *lists);
    for (size_t i = 0; i < g.n; i++) {
        lists[i].r = &g.reports[i];
        sheets_names(c, lists[i].r, style);
    }
    if (url && !add_addresses(&g, lists, url, e))
        return false;
    return sheet_fixes(&(struct sheet_lists){lists, g.n}, style, out, e);
}
