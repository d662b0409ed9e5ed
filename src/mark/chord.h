/* The chord that makes a mark: section key, performer numbers, fault key.
 *
 *     t h        trumpets, horn angle
 *     t 3 h      trumpet 3
 *     t 3 , 5 h  trumpets 3 and 5          t 3 - 6 h  trumpets 3 to 6
 *     t + m 2 h  trumpets and mellophone 2
 *
 * A number means one performer of the section or of those below it. Where several have it (b 3 in a
 * brass with T3 and M3) it is refused.
 *
 * The keys typed so far are kept as text and read anew after each key, so that taking one back is
 * cutting the text. */
#ifndef MARK_CHORD_H
#define MARK_CHORD_H

#include <stdbool.h>
#include <stddef.h>

#include "mark/mark.h"

enum { CHORD_KEYS = 48, CHORD_TARGETS = 32 };

enum chord_phase {
    CHORD_SECTION, /* a section key is expected or begun */
    CHORD_NUMBER,  /* a section stands; a number, ',' '-' '+' or a fault key may follow */
    CHORD_FAULT,   /* a fault key is begun */
    CHORD_DONE,    /* section(s) and fault are complete */
    CHORD_WRONG,   /* the last key means nothing here; `why` says so */
};

struct chord {
    enum chord_phase phase;
    struct target targets[CHORD_TARGETS];
    size_t n_targets;
    int fault;         /* -1 until done; also set while Enter would complete an ambiguous key */
    char begun[8];     /* letters of the key that is being typed */
    int section;       /* the section that numbers and '-' refer to, -1 */
    bool after_number; /* a digit was typed just now: ',' and '-' may follow */
    bool digit_due; /* nothing but a digit may follow: nobody, or several, have the number so far */
    bool shared;    /* CHORD_WRONG since several have the number */
    char why[200];
};

/* Reads keys (a NUL-terminated string of letters, digits and , - +). With `finish` an ambiguous
 * fault key is taken as it stands. */
void chord_read(const struct show *show, const char *keys, bool finish, struct chord *out);

/* Reads a fault key alone, for targets that stand already: those in `out`, which stay. */
void chord_read_fault(const struct show *show, const char *keys, bool finish, struct chord *out);

/* May a digit begin or go on a number here, and not be refused? A number that several performers
 * have under the section is: it would mark whoever comes first. */
bool chord_takes_digit(const struct show *show, const struct chord *c);

/* What the next key may be, for the panel. */
struct chord_option {
    char keys[8];     /* what is left to type, e.g. "h", "3", "a.." */
    const char *what; /* a name from the show, or a text that lives as long as the program */
    bool more;        /* several names begin with this letter */
};
/* Fills at most `most` options and returns how many there are. Names that share their next letter
 * are folded into one option once a choice of that many would not fit. */
size_t chord_options(const struct show *show, const struct chord *c, struct chord_option *out,
                     size_t most);

#endif
