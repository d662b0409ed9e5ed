/* Which key runs which command. Every screen brings its keys (struct key_table); those that hold
 * everywhere stand here. From them help, `boxcall keys`, the man page and the screens' hints are
 * printed. A keys file in the person's config folder changes them.
 *
 * Letters are not in it: they speak about the band. */
#ifndef COMMAND_KEYMAP_H
#define COMMAND_KEYMAP_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"

struct tools; /* command/tools.h */

struct key_row {
    const char *key;     /* canonical name */
    const char *command; /* a command line */
    const char *help;    /* NULL: that of the command */
};

struct key_table {
    const char *name;           /* as the keys file calls it: [review] */
    const char *title;          /* "in the review" */
    const struct key_row *rows; /* end with a row without a key */
};

extern const struct key_table keys_anywhere;

struct binding {
    const char *table; /* name of its table */
    const char *key, *command, *help;
    int line; /* of the keys file, 0 for a table */
};

struct keymap {
    const struct tools *tools;
    struct arena memory;
    struct binding *at;
    size_t n, cap;
};

/* The tables of all screens in their order, then anywhere; `i` counts from 0, NULL past the end. */
const struct key_table *key_table_nth(const struct tools *tools, size_t i);

void keymap_default(struct keymap *k, const struct tools *tools);
/* Reads a keys file (INI: sections [anywhere] [review] ..., lines `KEY = COMMAND`, an empty command
 * takes a key away) over the tables. Errors name source:line; a key that is bound twice names both
 * lines. */
bool keymap_read(struct keymap *k, const char *bytes, size_t n, const char *source, struct err *e);
/* keymap_default() and the person's own file, if there is one. */
bool keymap_own(struct keymap *k, const struct tools *tools, struct err *e);
void keymap_free(struct keymap *k);

struct binding *keymap_lookup(const struct keymap *k, const char *table, const char *key);
/* The command line of a key: of the table first, then of anywhere; NULL when it has none. */
const char *keymap_find(const struct keymap *k, const char *table, const char *key);
/* The first key of a command in that table or anywhere, for hints; "" when it has none. */
const char *keymap_key_of(const struct keymap *k, const char *table, const char *command);
const char *keymap_help(const struct keymap *k, const struct binding *b);

/* "shift-left" -> "Shift-Left"; false when there is no such key or a letter or digit-free name is
 * meant that chords need. */
bool key_canonical(const char *text, char out[32]);
/* A letter speaks about the band, and is bound to no command. */
bool key_is_letter(const char *key);

#endif
