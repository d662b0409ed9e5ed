/* A show made of CSV text, as the tests of this room and others need it. */
#ifndef SHOW_SHOW_OF_H
#define SHOW_SHOW_OF_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "show/show.h"

/* NULL leaves a table out. Keys that are left empty are given. Everything lives in the arena. */
static inline struct show show_of(struct arena *a, const char *sections, const char *roster,
                                  const char *faults, const char *sets)
{
    struct show show = {.grid = *grid_named("high-school"), .root = -1};
    struct err e = {0};
    struct section_list s = {0};
    struct fault_list f = {0};
    struct performer_list p = {0};
    struct set_list d = {0};
    if (sections &&
        !sections_read(a, &(struct table_text){sections, strlen(sections), "sections.csv", NULL},
                       &s, &e))
        fail_msg("%s", e.text);
    sections_fill_keys(a, &s);
    show.sections = s.at;
    show.n_sections = s.n;
    show_link(&show);
    if (roster &&
        !roster_read(a, &show, &(struct table_text){roster, strlen(roster), "roster.csv", NULL}, &p,
                     &e))
        fail_msg("%s", e.text);
    if (faults &&
        !faults_read(a, &(struct table_text){faults, strlen(faults), "faults.csv", NULL}, &f, &e))
        fail_msg("%s", e.text);
    if (sets && !sets_read(a, &(struct table_text){sets, strlen(sets), "sets.csv", NULL}, &d, &e))
        fail_msg("%s", e.text);
    faults_fill_keys(a, &f);
    show.performers = p.at;
    show.n_performers = p.n;
    show.faults = f.at;
    show.n_faults = f.n;
    show.sets = d.at;
    show.n_sets = d.n;
    return show;
}

#endif
