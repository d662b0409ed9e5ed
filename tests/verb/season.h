/* A season as a user makes it: a folder with a show, its tables and its clips, all by the program.
 *
 *     struct season s = season_new();
 *     struct run r = BOX(&s, "fixes", "a.show", "--for", "trumpets");
 */
#ifndef VERB_SEASON_H
#define VERB_SEASON_H

#include <jansson.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "lib/run.h"

struct season {
    const char *dir;
    struct run_setup setup; /* working folder and home are `dir` */
};

/* An empty folder. */
struct season season_empty(void);
/* a.show with: ensemble > winds > brass > trumpets T1 T2 T3, tubas U1; ensemble > drums D1;
 * faults late arrival (l), horn angle (h), feet apart at halt (f), style (qs, define); sets 1 2
 * 12A; clips tue (10 minutes, 2026-09-01) and thu (5 minutes, 2026-09-03). Made once, then copied.
 */
struct season season_new(void);
/* A clip of so many seconds whose bytes no other `shade` has, in the season's folder: one frame a
 * second, four pixels. Returns its path. */
const char *season_clip(const struct season *s, const char *name, int seconds, int shade);

/* The program's main() in a child of this test, which has its libraries loaded already: as
 * run_with() in every other way, and many times as fast. */
struct run box(const struct run_setup *setup, ...) __attribute__((sentinel));
#define BOX(s, ...) box(&(s)->setup, __VA_ARGS__, NULL)
/* The same with standard input. */
struct run_setup season_in(const struct season *s, const char *in);

/* The output of a run as JSON; fails the test when it is none. Freed at the end of the program. */
json_t *json_out(struct run r);
json_t *json_at(const json_t *o, const char *key); /* a member that must be there */
const char *json_str(const json_t *o, const char *key);
long long json_int(const json_t *o, const char *key);

/* assert_exit for a run that nobody keeps. */
void ends_at(struct run r, int status, const char *file, int line);
#define ends(r, status) ends_at(r, status, __FILE__, __LINE__)

/* "boxcall: " and one line, nothing else. */
void assert_one_line_at(const struct run *r, const char *line, const char *file, int line_no);
#define assert_one_line(r, line) assert_one_line_at(&(r), line, __FILE__, __LINE__)

#endif
