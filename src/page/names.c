#include "page/names.h"

#include <ctype.h>
#include <string.h>

#include "base/hash.h"

static bool taken(const char *name, const char *const *given, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(given[i], name) == 0)
            return true;
    return false;
}

/* Does the plain name lose letters, so that others may have it too? */
static bool loses(const char *text)
{
    for (const unsigned char *s = (const unsigned char *)text; *s; s++)
        if (*s >= 0x80 || !(isalnum(*s) || *s == ' ' || *s == '-' || *s == '_'))
            return true;
    return false;
}

/* The same for a name whatever else is published, since it stands in codes and links that are sent. */
static const char *told_apart(struct arena *mem, const char *plain, const char *text)
{
    const uint64_t h = hash_more(HASH_BEGIN, text, strlen(text));
    return arena_printf(mem, "%s-%06x", *plain ? plain : "page", (unsigned)(h & 0xffffff));
}

const char *page_name(struct arena *mem, const char *text, const char *const *given, size_t n)
{
    enum { LONGEST = 60 };
    char plain[LONGEST + 1];
    size_t length = 0;
    for (const unsigned char *s = (const unsigned char *)text; *s && length < LONGEST; s++) {
        if (*s < 0x80 && isalnum(*s))
            plain[length++] = (char)tolower(*s);
        else if (length && plain[length - 1] != '-')
            plain[length++] = '-';
    }
    while (length && plain[length - 1] == '-')
        length--;
    plain[length] = '\0';
    const char *base =
        !length || loses(text) ? told_apart(mem, plain, text) : arena_strdup(mem, plain);
    const char *name = base;
    for (int i = 2; taken(name, given, n); i++)
        name = arena_printf(mem, "%s-%d", base, i);
    return name;
}

struct page_plans page_plans_begin(const struct show *show, struct arena *mem, size_t more,
                                   const bool *marked)
{
    const size_t most = show->n_sections + show->n_performers + more + 1;
    struct page_plans p = {.show = show,
                           .mem = mem,
                           .marked = marked,
                           .at = arena_alloc(mem, most * sizeof *p.at),
                           .given = arena_alloc(mem, (most + 1) * sizeof *p.given)};
    p.given[0] = "index";
    return p;
}

static void add(struct page_plans *p, struct page_plan page)
{
    const char *text =
        page.performer >= 0 ? arena_printf(p->mem, "performer-%s", page.name) : page.name;
    const char *name = page_name(p->mem, text, p->given, p->n + 1);
    page.file = arena_printf(p->mem, "%s.html", name);
    p->at[p->n++] = page;
    p->given[p->n] = name;
}

static int depth_of(const struct show *show, int section)
{
    int depth = 0;
    for (int up = show->sections[section].up; up >= 0; up = show->sections[up].up)
        depth++;
    return depth;
}

void page_plans_section(struct page_plans *p, int section)
{
    const char *name = p->show->sections[section].name;
    add(p, (struct page_plan){.name = name,
                              .for_whom = name,
                              .section = section,
                              .performer = -1,
                              .depth = depth_of(p->show, section)});
}

void page_plans_performer(struct page_plans *p, int performer)
{
    const struct performer *who = &p->show->performers[performer];
    add(p, (struct page_plan){.name = who->label,
                              .for_whom = who->label,
                              .section = who->section,
                              .performer = performer});
}

static bool has_performers(const struct show *show, int section)
{
    for (size_t i = 0; i < show->n_performers; i++)
        if (!show->performers[i].removed &&
            section_within(show, show->performers[i].section, section))
            return true;
    return false;
}

/* What is below a section comes right behind it. */
static void add_tree(struct page_plans *p, int up)
{
    for (size_t i = 0; i < p->show->n_sections; i++) {
        if (p->show->sections[i].up != up || p->show->sections[i].removed)
            continue;
        if (has_performers(p->show, (int)i) || up < 0 || (p->marked && p->marked[i]))
            page_plans_section(p, (int)i);
        add_tree(p, (int)i);
    }
}

void page_plans_all(struct page_plans *p, bool performers)
{
    add_tree(p, -1);
    for (size_t i = 0; performers && i < p->show->n_performers; i++)
        if (!p->show->performers[i].removed)
            page_plans_performer(p, (int)i);
}

const char *page_plans_file(const struct page_plans *p, int section, int performer)
{
    for (size_t i = 0; i < p->n; i++)
        if (p->at[i].performer == performer && (performer >= 0 || p->at[i].section == section))
            return p->at[i].file;
    return NULL;
}
