/* Which key runs which command: one table, from which help, `boxcall keys`, the man page and the
 * screens' hints are printed. A keys file in the person's config folder changes it.
 *
 * Letters are not in it: they speak about the band. */
#ifndef COMMAND_KEYMAP_H
#define COMMAND_KEYMAP_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"

enum key_mode { KEYS_ANYWHERE, KEYS_REVIEW, KEYS_LISTS, KEYS_LEAD, KEYS_PLAN, KEY_MODES };

struct binding {
    enum key_mode mode;
    const char *key;     /* canonical name */
    const char *command; /* a command line */
    const char *help;    /* NULL: that of the command */
    int line;            /* of the keys file, 0 for the table */
};

struct keymap {
    struct arena memory;
    struct binding *at;
    size_t n, cap;
};

/* The table. */
void keymap_default(struct keymap *k);
/* Reads a keys file (INI: sections [anywhere] [review] [lists] [lead] [plan], lines `KEY =
 * COMMAND`, an empty command takes a key away) over the table. Errors name source:line; a key that
 * is bound twice names both lines. */
bool keymap_read(struct keymap *k, const char *bytes, size_t n, const char *source, struct err *e);
void keymap_free(struct keymap *k);

/* The command line of a key: of the mode first, then of anywhere; NULL when it has none. */
const char *keymap_find(const struct keymap *k, enum key_mode mode, const char *key);
/* The first key of a command in that mode, for hints; "" when it has none. */
const char *keymap_key_of(const struct keymap *k, enum key_mode mode, const char *command);
const char *key_mode_name(enum key_mode m);
const char *binding_help(const struct binding *b);

/* "shift-left" -> "Shift-Left"; false when there is no such key or a letter or digit-free name is
 * meant that chords need. */
bool key_canonical(const char *text, char out[32]);

#endif
