/* The command line: one verb, one file, one row. Usage, --help, the man page and shell completion
 * are printed from the rows. */
#ifndef VERB_VERB_H
#define VERB_VERB_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/err.h"
#include "paper/paper.h"
#include "show/table.h"

struct option {
    const char *name;  /* without the dashes */
    const char *value; /* what stands behind it ("FILE"), NULL for a flag */
    const char *help;
    bool many; /* may be given several times */
};

/* A whole band may be clicked on, foot by foot. */
enum { VERB_OPTIONS = 40, CALL_VALUES = 64, CALL_WORDS = 640 };

struct call {
    const struct verb *const
        *verbs; /* all there are, in the order help shows them; ends with NULL */
    const struct verb *verb;
    struct arena memory;
    const char *words[CALL_WORDS]; /* what stands without dashes */
    size_t n_words;
    const char *values[CALL_VALUES]; /* option values in the order given */
    const struct option *options[CALL_VALUES];
    size_t n_values;
    struct buf out;  /* data: goes to standard output */
    struct buf talk; /* what a person may want to know: goes to standard error */
    bool tty;        /* standard output is a terminal */
    int columns;     /* its width, 0 when it is none */
    bool ascii;      /* a terminal that shows nothing else: see call_tame() */
    /* Puts a question to the person and returns whether they said yes; NULL when nobody is there.
     */
    bool (*ask)(const char *question);
    /* Tells how far long work is: what is done, and 0 .. 1 of it. NULL: to nobody. */
    void (*progress)(const char *what, double part);
    const atomic_bool *stop; /* true once the person wants long work to stop; NULL: never */
    bool abrupt;             /* leave by _exit(): a thread hangs, and exit() would wait for it */
    bool raw;                /* `out` goes out byte for byte (hyperlinks, PDF): see call_tame() */
};

/* A table that the verb writes with --as csv. */
struct verb_written {
    const char *name; /* "" when it writes but one */
    const struct column *columns;
};

/* A table that the verb reads. */
struct verb_table {
    const char *name;
    const struct table_column *columns;
};

/* The option of every verb that writes CSV. */
#define CALL_SEMICOLONS                                                                            \
    {                                                                                              \
        "semicolons", NULL,                                                                        \
            "csv: semicolons between the cells and decimal commas, as spreadsheets want them "     \
            "where "                                                                               \
            "the comma is the decimal sign",                                                       \
            false                                                                                  \
    }

struct verb {
    const char *name;
    const char *usage;   /* "SHOW CLIP TIME TARGET FAULT" */
    const char *summary; /* one line */
    const char *detail;  /* paragraphs for --help and the man page, separated by blank lines */
    struct option options[VERB_OPTIONS]; /* ends with a row without a name */
    const struct verb_written *written;  /* end with a row without columns; NULL: it writes none */
    const struct verb_table *tables;     /* end with a row without a name; NULL: it reads none */
    size_t least, most;                  /* words wanted */
    bool long_work; /* it tells its progress, and ends by itself when it is interrupted */
    bool hidden;    /* for the build, not for people */
    bool (*run)(struct call *c, struct err *e);
};

const struct verb *verb_named(const struct verb *const *verbs, const char *name);

/* Sorts argv (behind the verb's name) into words and options. */
bool call_read(struct call *c, const struct verb *v, int argc, char **argv, struct err *e);
/* Does argv ask for the verb's help? The value of an option never does. */
bool call_wants_help(const struct verb *v, int argc, char **argv);
void call_free(struct call *c);
/* Takes the control characters of names and notes out of what is about to be printed, unless it is
 * raw; for a terminal of ASCII our own signs become letters ("x" for a cross). */
void call_tame(struct call *c);

/* What is told of a table that was read: columns that are passed over, and its wrong cells when the
 * error does not name the only one. */
void call_say_table(struct call *c, const struct table_talk *talk);

/* The last value of an option, or NULL; "" for a flag that was given. */
const char *call_value(const struct call *c, const char *option);
/* All values of an option, in the arena. */
const char **call_values(struct call *c, const char *option, size_t *n);
/* --as, checked against what the verb can write; AS_TEXT when it was not given. */
bool call_format(const struct call *c, const enum format *can, size_t n, enum format *out,
                 struct err *e);
/* With --semicolons: turns the CSV in c->out into one of semicolons and decimal commas. */
void call_semicolons(struct call *c);
/* A whole number option in [least, most]; `otherwise` when it was not given. */
struct call_range {
    long least, most, otherwise;
};
bool call_number(const struct call *c, const char *option, struct call_range range, long *out,
                 struct err *e);

void verb_help(const struct verb *v, struct buf *out);
void verbs_help(const struct verb *const *verbs, struct buf *out);

#endif
