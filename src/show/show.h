/* What the staff bring: sections (a tree), performers, faults, sets, dots. Plain values; other
 * rooms refer to them by position in these arrays. */
#ifndef SHOW_SHOW_H
#define SHOW_SHOW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"
#include "show/grid.h"
#include "show/table.h"

enum cause { CAUSE_EXECUTE, CAUSE_DEFINE }; /* performers must do it / staff must decide it */

struct section {
    int64_t id;         /* row in the show file; 0 before it was stored */
    const char *name;   /* unique, letter case ignored */
    const char *parent; /* name of the section it belongs to, "" for the whole ensemble */
    const char *key;    /* its chord letters, lower case, "" when it has none */
    const char *words;  /* other names people use, separated by ';' */
    const char *say;    /* how it is said, in the sounds of the recogniser's dictionary; ';' */
    int up;             /* position of the parent, -1 for the root; set by show_link() */
    int line;           /* where the CSV had it, for messages */
    bool removed;       /* no longer in the staff's table, kept because marks speak of it */
};

struct performer {
    int64_t id;
    const char *label; /* "T3": unique, letter case ignored */
    const char *name;
    int section; /* position in sections */
    int number;  /* the number in the label, as typed in a chord; -1 when it has none */
    int line;
    bool removed;
};

struct fault {
    int64_t id;
    const char *name, *family, *key;
    enum cause cause;
    const char *right;      /* what right looks like, one line */
    bool decided;           /* staff wrote `right` down as their decision */
    const char *decided_by; /* "" without a decision */
    int64_t decided_at;     /* ms since 1970 UTC */
    const char *words, *say;
    bool together; /* it only mends with the other sections there */
    int line;
    bool removed;
};

struct set {
    int64_t id;
    const char *label;       /* "12", "12A" */
    int counts;              /* counts of the move that ends on this set; 0 allowed */
    double tempo, tempo_end; /* bpm at count 1 and at the end, linear in counts; 0 = not given */
    double hold;             /* seconds after the last count */
    int measures;            /* 0 = not given */
    const char *name;
    const char *path; /* how people get there, as show/path.h reads it; NULL or "": straight */
    int line;
};

struct dot {
    int performer, set; /* positions */
    double x, y;        /* grid steps: x from the 50, side 2 positive; y from the front sideline */
};

struct show {
    struct section *sections;
    struct performer *performers;
    struct fault *faults;
    struct set *sets;
    struct dot *dots;
    size_t n_sections, n_performers, n_faults, n_sets, n_dots;
    struct grid grid;
    int root; /* position of the whole ensemble, -1 in an empty show */
};

/* --- reading tables: CSV bytes in, values (in the arena) out ------------------------------- */

/* What each table has; end with a row without a name. */
extern const struct table_column sections_columns[], roster_columns[], faults_columns[],
    sets_columns[], dots_columns[];

struct section_list {
    struct section *at;
    size_t n;
    struct table_items read; /* as it was read, for what stays of columns it lacks */
};
struct performer_list {
    const struct show *show; /* whose sections are meant */
    struct performer *at;
    size_t n;
    struct table_items read; /* as it was read, for what stays of columns it lacks */
};
struct fault_list {
    struct fault *at;
    size_t n;
    struct table_items read; /* as it was read, for what stays of columns it lacks */
};
struct set_list {
    struct set *at;
    size_t n;
    struct table_items read; /* as it was read, for what stays of columns it lacks */
};
struct dot_list {
    const struct show *show; /* whose performers and sets are meant */
    struct dot *at;
    size_t n;
};

/* section,parent,key,words. Parents must be in the same table; a loop is refused. */
bool sections_read(struct arena *a, const struct table_text *text, struct section_list *out,
                   struct err *e);
/* The same for rows that join those of the show, which may be parents too. */
bool sections_read_among(struct arena *a, const struct show *show, const struct table_text *text,
                         struct section_list *out, struct err *e);
/* performer,name,section. Sections are looked up in show by name or words. */
bool roster_read(struct arena *a, const struct show *show, const struct table_text *text,
                 struct performer_list *out, struct err *e);
/* faults_columns */
bool faults_read(struct arena *a, const struct table_text *text, struct fault_list *out,
                 struct err *e);
/* set,counts,tempo,tempo_end,hold,measures,name,path, in the order they are performed */
bool sets_read(struct arena *a, const struct table_text *text, struct set_list *out, struct err *e);
/* performer,set,across,depth or performer,set,x,y */
bool dots_read(struct arena *a, const struct show *show, const struct table_text *text,
               struct dot_list *out, struct err *e);

/* Rows that the show has already, found by their name with any letter case: they keep the spelling
 * that is stored, and what stands in the columns that the table lacks. An empty cell of a column
 * that is there clears. */
/* others: do the show's other sections stay too? Else a parent that goes is not kept. */
void sections_stay(struct section_list *l, const struct show *show, bool others);
struct table_talk;
/* A label that differs from a stored one by blanks alone is that one, which the talk (NULL) notes. */
void roster_stay(struct performer_list *l, const struct show *show, struct table_talk *talk);
void faults_stay(struct fault_list *l, const struct show *show);
/* A set of one tempo stays so when the table gives another tempo and no column tempo_end. */
void sets_stay(struct set_list *l, const struct show *show);

/* For the rows of the table (those with a line) among all: has every parent a row, and is none
 * above itself? */
bool sections_check_tree(const struct section_list *l, const char *source, struct err *e);

/* --- the linked show ----------------------------------------------------------------------- */

/* Sets `up` of every section and the root. When no single section heads the tree, the section
 * named 'ensemble' does; the caller has made sure that it exists (show_needs_root()). */
void show_link(struct show *show);
/* Does this table lack a section that heads everything? */
bool sections_need_root(const struct section_list *l);

/* Is `section` the same as or under `above`? */
bool section_within(const struct show *show, int section, int above);

/* Positions by name, key-insensitive to letter case, then by words; -1 when there is none.
 * Sections and faults that were removed are found last. */
int show_section(const struct show *show, const char *text);
int show_performer(const struct show *show, const char *text);
/* Are two labels one performer's (or one set's)? Letter case and blanks do not matter: 'T 4' and 'T4' are one to
 * everybody who reads them. */
bool label_alike(const char *label, const char *other);
int show_fault(const struct show *show, const char *text);
int show_set(const struct show *show, const char *label);
/* Performers with this number in the section or in any below it: stores the positions of the first
 * `most` and returns how many there are. Two may have one number, T3 and M3 in the brass. */
size_t show_performers_numbered(const struct show *show, int section, int number, int *out,
                                size_t most);

/* Like show_section() and show_fault(), with an error that offers the nearest name. */
bool section_named(const struct show *show, const char *text, int *out, struct err *e);
bool fault_named(const struct show *show, const char *text, int *out, struct err *e);

/* --- keys ---------------------------------------------------------------------------------- */

/* Gives a free key to every section/fault whose key cell is empty: letters of its own name first,
 * never one that is the beginning of another key or begins with one. What stays without is left. */
void sections_fill_keys(struct arena *a, struct section_list *l);
void faults_fill_keys(struct arena *a, struct fault_list *l);

/* Does the key of a row of the table (line > 0) stand in the way of another's, or another's in its
 * way? Rows that stay have line 0. False with the row's place, whose key it is, and a key that is
 * free. */
bool sections_settle_keys(struct arena *a, const struct section_list *l, const char *source,
                          struct err *e);
bool faults_settle_keys(struct arena *a, const struct fault_list *l, const char *source,
                        struct err *e);

/* Sections' keys must be prefix-free among themselves, and so must faults' keys. Returns false
 * with the first clash, both places named, when they are not. */
bool show_check_keys(const struct show *show, struct err *e);

#endif
