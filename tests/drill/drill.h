/* What the tests of the command line share: clips that cost nothing, a small show, and what is
 * asked of every answer.
 *
 *     const char *show = new_show(SETS, ROSTER);
 *     add_clip(show, gray_clip(60), "run", "2026-08-01");
 *     box_ok("count", show, "run", "tie", "10", "1");
 *     const json_t *o = box_json("count", show, "run", "at", "12");
 */
#ifndef DRILL_DRILL_H
#define DRILL_DRILL_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "lib/cases.h"
#include "lib/run.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

#define box(...)      run("boxcall", __VA_ARGS__, NULL)
#define box_ok(...)   well(box(__VA_ARGS__))
#define box_json(...) json_of(box(__VA_ARGS__, "--as", "json"))

/* Exit 0, or the test fails. */
struct run well(struct run r);
/* The parsed answer (RFC 8259, by jansson) of a call that went well; lives until the end. */
const json_t *json_of(struct run r);
/* That exit status, nothing on standard output, exactly one line on standard error, with `says`. */
void refused(struct run r, int status, const char *says);
/* Each run of blanks and line ends as one blank: what is said, however it is broken into lines. */
const char *flat(const char *text);
/* RFC 4180 as libcsv reads it in strict mode: lines end with CRLF, every row has as many cells as
 * the first. Returns the number of rows, the first included. */
size_t csv_rows(const char *text);
/* The cell (from 0) of a row (from 0); fails the test when there is none. */
const char *csv_at(const char *text, size_t row, size_t cell);
/* No byte below space but line ends (and for CSV carriage returns), no DEL. */
void tame(const char *text);

double number_at(const json_t *o, const char *key);
const char *text_at(const json_t *o, const char *key); /* NULL for null */
bool null_at(const json_t *o, const char *key);
const json_t *row(const json_t *list, size_t i);
/* The row of a list of objects whose `key` is this text; fails the test when there is none. */
const json_t *row_with(const json_t *list, const char *key, const char *text);

/* A clip of so many seconds without sound: one gray picture a second (a minute from one hour on),
 * made once per test program. */
const char *gray_clip(int seconds);
/* A show of its own folder with these tables; NULL leaves one out. */
const char *new_show(const char *sets, const char *roster);
void add_clip(const char *show, const char *path, const char *label, const char *date);
/* "clip,time,target,fault[,...]" lines below their header. */
void add_marks(const char *show, const char *csv);
const char *say(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* Sets 1 to 4 of 16 counts, half a second each: eight seconds a set. */
#define EVEN_SETS                                                                                  \
    "set,counts,tempo\n"                                                                           \
    "1,16,120\n"                                                                                   \
    "2,16,120\n"                                                                                   \
    "3,16,120\n"                                                                                   \
    "4,16,120\n"
#define SMALL_BAND                                                                                 \
    "performer,name,section\n"                                                                     \
    "T1,Ada Finch,trumpets\n"                                                                      \
    "T2,Bo Larkin,trumpets\n"                                                                      \
    "U1,Cy Moss,tubas\n"                                                                           \
    "G1,Di Reed,color guard\n"

#endif
