/* A show file with a small band in it, for the tests of this room. */
#ifndef STORE_SEASON_H
#define STORE_SEASON_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "lib/files.h"
#include "store/store.h"

struct season {
    const char *path;
    struct store *store;
    struct arena memory;
    struct show show;
    struct err e;
};

#define OK(s, expr)                                                                                \
    do {                                                                                           \
        if (!(expr))                                                                               \
            fail_msg("%s: %s", #expr, (s)->e.text);                                                \
    } while (0)

static inline void season_load(struct season *s)
{
    arena_free(&s->memory);
    OK(s, store_show(s->store, &s->memory, &s->show, &s->e));
}

static inline void season_open(struct season *s)
{
    OK(s, store_open(s->path, &s->store, &s->e));
    season_load(s);
}

static inline void season_close(struct season *s)
{
    store_close(s->store);
    arena_free(&s->memory);
    s->store = NULL;
}

static inline void put_sections(struct season *s, const char *csv, bool keep, struct put_report *r)
{
    struct section_list l;
    OK(s, sections_read(&s->memory, &(struct table_text){csv, strlen(csv), "sections.csv", NULL},
                        &l, &s->e));
    OK(s, store_put_sections(s->store, &l, keep, r, &s->e));
    season_load(s);
}

static inline void put_roster(struct season *s, const char *csv, bool keep, struct put_report *r)
{
    struct performer_list l;
    OK(s, roster_read(&s->memory, &s->show,
                      &(struct table_text){csv, strlen(csv), "roster.csv", NULL}, &l, &s->e));
    OK(s, store_put_roster(s->store, &l, keep, r, &s->e));
    season_load(s);
}

static inline void put_faults(struct season *s, const char *csv, bool keep, struct put_report *r)
{
    struct fault_list l;
    OK(s, faults_read(&s->memory, &(struct table_text){csv, strlen(csv), "faults.csv", NULL}, &l,
                      &s->e));
    OK(s, store_put_faults(s->store, &l, keep, r, &s->e));
    season_load(s);
}

static inline void put_sets(struct season *s, const char *csv, bool keep, struct put_report *r)
{
    struct set_list l;
    OK(s,
       sets_read(&s->memory, &(struct table_text){csv, strlen(csv), "sets.csv", NULL}, &l, &s->e));
    OK(s, store_put_sets(s->store, &l, keep, r, &s->e));
    season_load(s);
}

static inline void put_dots(struct season *s, const char *csv, bool keep, struct put_report *r)
{
    struct dot_list l;
    OK(s, dots_read(&s->memory, &s->show, &(struct table_text){csv, strlen(csv), "dots.csv", NULL},
                    &l, &s->e));
    OK(s, store_put_dots(s->store, &l, keep, r, &s->e));
    season_load(s);
}

static inline int64_t add_clip(struct season *s, const char *label)
{
    struct clip c = {.label = label,
                     .path = path_in("/clips", label),
                     .date = "2026-09-14",
                     .run = 1,
                     .length_us = 600000000,
                     .sha256 = label,
                     .head_tail = ""};
    OK(s, store_clip_put(s->store, &c, &s->e));
    return c.id;
}

static inline void season_make(struct season *s)
{
    struct put_report r;
    OK(s, store_create(s->path, "Larkspur", "high-school", &s->store, &s->e));
    store_author(s->store, "The office"); /* whose tables nobody else takes back */
    season_load(s);
    put_sections(s,
                 "section,parent,key\nensemble,,e\nbrass,ensemble,b\ntrumpets,brass,t\n"
                 "tubas,brass,u\n",
                 false, &r);
    put_roster(s, "performer,name,section\nT1,Ada,trumpets\nT2,Milo,trumpets\nU1,Pia,tubas\n",
               false, &r);
    put_faults(s, "fault,key\nlate,l\nslouch,k\nhorn angle,h\n", false, &r);
    put_sets(s, "set,counts,tempo\n1,8,132\n2,16,132\n", false, &r);
    assert_int_equal(add_clip(s, "tuesday"), 1);
    season_close(s);
}

/* Trumpets T1 T2, tuba U1; late, slouch, horn angle; sets 1 2; one clip, whose id is 1. Made once,
 * then copied, since every step waits for the disk. */
static inline struct season season_new(void)
{
    static char *bytes;
    static size_t n;
    const char *dir = temp_dir();
    struct season s = {.path = path_in(dir, "larkspur.show")};
    if (bytes) {
        write_bytes(dir, "larkspur.show", bytes, n);
    } else {
        season_make(&s);
        bytes = read_file(s.path, &n);
    }
    season_open(&s);
    store_author(s.store, "D. Whitlow");
    return s;
}

/* A mark as struct, target "T1;tubas". */
static inline struct mark mark_of(struct season *s, const char *target, const char *fault,
                                  int64_t at_us)
{
    struct mark m = {.clip = 1,
                     .at_us = at_us,
                     .end_us = -1,
                     .fault = show_fault(&s->show, fault),
                     .severity = 1,
                     .note = "",
                     .set = -1};
    OK(s, (m.targets = targets_parse(test_arena(), &s->show, target, &m.n_targets, &s->e)));
    return m;
}

static inline int64_t add_mark(struct season *s, const char *target, const char *fault,
                               int64_t at_us)
{
    struct mark m = mark_of(s, target, fault, at_us);
    OK(s, store_mark_add(s->store, &s->show, &m, &s->e));
    return m.id;
}

static inline struct mark_list marks_of(struct season *s)
{
    struct mark_list l;
    OK(s, store_marks(s->store, test_arena(), 1, &l, &s->e));
    return l;
}

#endif
