/* What the pages of a web folder are called. A sheet of paper that leads to a page and the folder
 * itself both ask here. */
#ifndef PAGE_NAMES_H
#define PAGE_NAMES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "show/show.h"

struct page_plan {
    const char *file; /* "trumpets.html" */
    const char *name, *for_whom;
    int section, performer; /* performer -1 */
    int depth;              /* in the tree of sections, from 0 */
};

/* A name for a file made of letters, digits and '-', not among the n given; "trumpets",
 * "trumpets-2". Where letters get lost ("Трубы", "a/b"), six digits of the text's hash stand behind. */
const char *page_name(struct arena *mem, const char *text, const char *const *given, size_t n);

struct page_plans {
    const struct show *show;
    struct arena *mem;
    const bool *marked; /* the sections that marks mean; NULL */
    struct page_plan *at;
    size_t n;
    const char **given; /* names without .html; [0] is the index */
};

/* For that many pages besides those of the whole show. */
struct page_plans page_plans_begin(const struct show *show, struct arena *mem, size_t more,
                                   const bool *marked);
void page_plans_section(struct page_plans *p, int section);
void page_plans_performer(struct page_plans *p, int performer);
/* The tree from the top, sections that have performers or marks; then, when asked for, every performer. */
void page_plans_all(struct page_plans *p, bool performers);
/* The file of a performer's page, or with -1 of the section's; NULL: there is none. */
const char *page_plans_file(const struct page_plans *p, int section, int performer);

#endif
