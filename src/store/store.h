/* The show file: one SQLite database per show season.
 *
 * Opened defensively, WAL, synchronous=FULL: when a function that writes has returned true, the
 * rows are on disk. A file that is not ours, is newer than we are, or is damaged is refused
 * (ERR_SHOW) and never written to. Sections, performers, faults and sets are passed as positions
 * in the struct show that store_show() loaded last. */
#ifndef STORE_STORE_H
#define STORE_STORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/err.h"
#include "count/map.h"
#include "mark/mark.h"
#include "show/show.h"

struct store;

enum { STORE_VERSION = 10 }; /* user_version of the files we write */

/* Makes a new file (which must not exist). field: what grid_read() reads. */
bool store_create(const char *path, const char *title, const char *field, struct store **out,
                  struct err *e);
/* A file that may not be written (a folder of somebody else's, a full disk) is opened for reading
 * alone: whatever writes then fails and says so. */
bool store_open(const char *path, struct store **out, struct err *e);
bool store_read_only(const struct store *s);
void store_close(struct store *s);             /* accepts NULL */
const char *store_path(const struct store *s); /* absolute */
/* Who writes: goes into every row made from now on. */
void store_author(struct store *s, const char *author);
/* SQLite's own full check; false with its first complaint. */
bool store_check(struct store *s, struct err *e);

/* Settings of the show: "title", "field", "lead_ms". NULL when not set; lives in the arena. */
const char *store_setting(struct store *s, struct arena *a, const char *key);
bool store_set(struct store *s, const char *key, const char *value, struct err *e);

/* --- steps --------------------------------------------------------------------------------- */

/* Everything that `change` does to the store is written together or not at all: one function opens
 * the step, runs it, keeps it or takes it back, and when neither is possible nothing more is taken
 * through this connection until it is sound again. True: on disk, in the file at store_path().
 * `what` names the step for undo ("mark T3 horn angle"); NULL makes it one that cannot be undone.
 * Functions that write are steps of their own, and join the open one. */
typedef bool store_step_fn(struct store *s, void *ctx, struct err *e);
bool store_step(struct store *s, const char *what, store_step_fn *change, void *ctx, struct err *e);
/* All that `read` reads is of one moment, whatever other programs write meanwhile. */
bool store_reading(struct store *s, store_step_fn *read, void *ctx, struct err *e);

/* What a step that was taken back or done again touched. */
enum { TRAVELLED_MOST = 64 };
struct travelled {
    char what[100]; /* the step's name */
    bool drill;     /* sets or ties, or very many marks: every mark's place may be another */
    int64_t marks[TRAVELLED_MOST];
    size_t n_marks;
    bool sets;    /* rows of the set list */
    bool roster;  /* performers may be of another section now */
    bool refused; /* it cannot be taken back, whoever tries; not that the disk or a lock was */
    /* Runs within the same step, which fails with it: what follows from the rows is put right
     * there. May be NULL. */
    bool (*then)(struct store *s, struct travelled *t, struct err *e);
    void *ctx;
};
/* The step that store_undo would take back first, "" without one; *below: others, newer ones, were
 * taken back already. */
bool store_next_undo(struct store *s, char what[100], bool *below, struct err *e);
/* A plan is no step. The day of the newest one that this author stored after the step that store_undo
 * would take back first, or with no such step; "" when there is none. */
bool store_plan_since_step(struct store *s, char date[11], struct err *e);
/* Takes this author's last step back / does it again. False without an error code when there is
 * none (e->code is ERR_NONE), or with one that says who has built on it since. Refused once more,
 * the step before it is taken. */
bool store_undo(struct store *s, struct travelled *t, struct err *e);
bool store_redo(struct store *s, struct travelled *t, struct err *e);
/* Is another number once another connection has changed the file; own steps do not change it. */
int64_t store_version(struct store *s);

/* Is the file still the one that stands at its path, written by show programs alone? False with
 * what happened to it; from then on nothing is acknowledged. Cheap enough for every second. */
bool store_holds(struct store *s, struct err *e);
/* Writes the whole show, marks of the log too, into a new file, all or nothing. */
bool store_copy(struct store *s, const char *to, struct err *e);
/* What is in the show as one number, whoever writes and wherever the file lies: the same as before,
 * and nothing has changed. Not what can be undone, nor where a clip was left. Reads every row. */
bool store_print(struct store *s, uint64_t *out, struct err *e);
/* Carries the log over into the file when something was written since and nobody is in the way, so
 * that a copy of the file alone is whole. For quiet moments: waits for the disk. */
void store_settle(struct store *s);

/* --- what staff bring ----------------------------------------------------------------------- */

bool store_show(struct store *s, struct arena *a, struct show *out, struct err *e);

struct put_report {
    int added, changed, same, removed, kept; /* kept: removed from the table, marks speak of them */
};

/* Makes the stored table equal to the list, matching rows by name or label. With keep_others rows
 * that are not in the list stay. The show is stale afterwards: load it again. */
bool store_put_sections(struct store *s, const struct section_list *l, bool keep_others,
                        struct put_report *r, struct err *e);
bool store_put_faults(struct store *s, const struct fault_list *l, bool keep_others,
                      struct put_report *r, struct err *e);
bool store_put_roster(struct store *s, const struct performer_list *l, bool keep_others,
                      struct put_report *r, struct err *e);
bool store_put_sets(struct store *s, const struct set_list *l, bool keep_others,
                    struct put_report *r, struct err *e);
/* Marks follow performers to the section they are in now (mark 0: all marks). store_put_roster()
 * does so by itself. */
bool store_follow_roster(struct store *s, int64_t mark, struct err *e);
bool store_put_dots(struct store *s, const struct dot_list *l, bool keep_others,
                    struct put_report *r, struct err *e);

/* --- clips ---------------------------------------------------------------------------------- */

struct clip {
    int64_t id;
    const char *label; /* unique in the show, letter case ignored */
    const char *path;  /* absolute */
    const char *link;  /* as links show it: relative to the show file's folder when inside it */
    const char *date;  /* YYYY-MM-DD of the rehearsal */
    int run;           /* 1.. within the date */
    int64_t length_us, size_bytes;
    int width, height, fps_num, fps_den;
    const char *sha256, *head_tail;
    int64_t left_us; /* where it was left; -1 when never opened */
};

struct clip_list {
    struct clip *at; /* by date, run, label */
    size_t n;
};

bool store_clips(struct store *s, struct arena *a, struct clip_list *out, struct err *e);
/* Inserts (id 0) or updates. */
bool store_clip_put(struct store *s, struct clip *c, struct err *e);
/* How many marks a clip has, and of whom; clips without marks are left out. */
struct clip_marks {
    int64_t clip, marks;
    const char *authors; /* "Ana Quill, Bo Larkin"; stands until the next row */
};
bool store_each_clip_marks(struct store *s, void (*fn)(void *ctx, const struct clip_marks *row),
                           void *ctx, struct err *e);
/* Where the person left the clip; not an undoable step. */
bool store_clip_left(struct store *s, int64_t clip, int64_t at_us, struct err *e);
/* By label, then path, then id; with the nearest label in the error. */
const struct clip *clip_named(const struct clip_list *l, const char *text, struct err *e);

/* --- marks ---------------------------------------------------------------------------------- */

struct mark_list {
    struct mark *at; /* by time */
    size_t n;
};

bool store_mark_add(struct store *s, const struct show *show, struct mark *m, struct err *e);
/* Was a mark with the same clip, time (to the millisecond), targets, fault and praise there among
 * rows up to `newest`? Then m gets its id, state and exact time; else id 0. */
bool store_mark_same(struct store *s, const struct show *show, struct mark *m, int64_t newest,
                     struct err *e);
bool store_mark_newest(struct store *s, int64_t *out, struct err *e); /* row, 0 without marks */
/* The fields to change; all others stay as they are in the file, whoever wrote them. */
struct mark_change {
    unsigned fields; /* MARK_... below */
    int severity;
    bool praise;
    enum cause cause;
    const char *note, *author;
    double late_counts, late_error;
    struct measure measure; /* of no kind: it is taken away */
    double x, y;            /* grid steps */
};
enum {
    MARK_SEVERITY = 1,
    MARK_PRAISE = 2,
    MARK_CAUSE = 4,
    MARK_NOTE = 8,
    MARK_LATE = 16,
    MARK_AUTHOR = 32,
    MARK_MEASURE = 64,
    MARK_PLACE = 128,
};
bool store_mark_change(struct store *s, int64_t id, const struct mark_change *c, struct err *e);
/* What a mark says is put right: who, what, when or in which clip. Its lateness, its measure and its
 * place on the field are of the old moment and go with it; a cause that was its fault's own follows the new fault. Its place in
 * the drill is the caller's to find anew. */
struct mark_correction {
    unsigned fields; /* CORRECT_... */
    const struct target *targets;
    size_t n_targets;
    int fault;
    int64_t clip, at_us;
};
enum { CORRECT_WHO = 1, CORRECT_FAULT = 2, CORRECT_MOMENT = 4 };
bool store_mark_correct(struct store *s, const struct show *show, int64_t id,
                        const struct mark_correction *c, struct err *e);
/* One mark as it is now; false with ERR_INPUT when it is not there any more. */
bool store_mark_one(struct store *s, struct arena *a, int64_t id, struct mark *out, struct err *e);
bool store_mark_remove(struct store *s, int64_t id, struct err *e);
bool store_marks(struct store *s, struct arena *a, int64_t clip, struct mark_list *out,
                 struct err *e);
/* The same in slices: what comes behind a time and row of the clip, at most so many. */
struct store_after {
    int64_t clip, at_us, id;
    int most;
    bool last; /* told by store_marks_after(): nothing comes behind */
};
struct store_call {
    int64_t at_us, id;
};
/* Times and rows alone; out has room for after->most. */
bool store_call_times(struct store *s, const struct store_after *after, struct store_call *out,
                      size_t *n, struct err *e);
/* Whole marks; `after` moves behind the last of them. */
bool store_marks_after(struct store *s, struct arena *a, struct store_after *after,
                       struct mark_list *out, struct err *e);
/* How many marks of the clip are later than a time. */
bool store_calls_beyond(struct store *s, int64_t clip, int64_t us, int64_t *out, struct err *e);

/* What a row travels with: its UUID (RFC 9562) and when it was made. */
struct birth {
    char uuid[37];
    int64_t made_at; /* ms since 1970 UTC */
};
bool store_mark_birth(struct store *s, int64_t mark, struct birth *out, struct err *e);
bool store_clip_birth(struct store *s, int64_t clip, struct birth *out, struct err *e);
/* What all copies of a show have in common and no other show has: the birth of its first section. */
bool store_show_birth(struct store *s, struct birth *out, struct err *e);

/* --- ties: where a clip's time meets the drill ------------------------------------------------ */

struct tie {
    int64_t at_us;
    int set;          /* position */
    double count;     /* 1-based */
    unsigned flags;   /* ANCHOR_... of count/map.h */
    bool rests;       /* its set, count or time is not there at present (app/ties.h) */
    int64_t error_us; /* how far off at_us may be, 95 %; 0: not known */
};

struct tie_list {
    struct tie *at; /* by time */
    size_t n;
};

bool store_ties(struct store *s, struct arena *a, int64_t clip, struct tie_list *out,
                struct err *e);
/* Inserts, or replaces the one at the same time. */
bool store_tie_put(struct store *s, const struct show *show, int64_t clip, const struct tie *t,
                   struct err *e);
/* False with ERR_INPUT when there is no tie at that time. */
bool store_tie_remove(struct store *s, int64_t clip, int64_t at_us, struct err *e);
/* Gives every mark of the clip its set and count anew. */
bool store_place_mark(struct store *s, const struct show *show, struct store_call mark,
                      const struct map *map, struct err *e);
bool store_place_marks(struct store *s, const struct show *show, int64_t clip,
                       const struct map *map, struct err *e);

/* --- what was watched ------------------------------------------------------------------------ */

struct stretch {
    int64_t from_us, to_us; /* half-open */
};
struct stretch_list {
    struct stretch *at; /* merged, by time */
    size_t n;
};

/* Adds stretches to what this reviewer watched; not an undoable step. */
bool store_watched_add(struct store *s, int64_t clip, const struct stretch *at, size_t n,
                       struct err *e);
/* What anybody watched of the clip. */
bool store_watched(struct store *s, struct arena *a, int64_t clip, struct stretch_list *out,
                   struct err *e);

/* The same reviewer by reviewer, by name and time; not merged over reviewers. */
struct reviewed {
    const char *reviewer;
    struct stretch at;
};
struct reviewed_list {
    struct reviewed *at;
    size_t n;
};
bool store_reviewed(struct store *s, struct arena *a, int64_t clip, struct reviewed_list *out,
                    struct err *e);

/* Who made the marks of a clip, by row. */
struct mark_author {
    int64_t mark;
    const char *author;
};
struct mark_authors {
    struct mark_author *at;
    size_t n;
};
bool store_authors(struct store *s, struct arena *a, int64_t clip, struct mark_authors *out,
                   struct err *e);

/* --- states and decisions -------------------------------------------------------------------- */

/* Which marks an item stands for: a fault of a section (and of all below it) or of one performer,
 * in these clips, within these sets when n_sets > 0. */
struct item_choice {
    int section, performer; /* performer >= 0: only theirs */
    int fault;
    const int64_t *clips;
    size_t n_clips;
    const int *sets;
    size_t n_sets;
    bool only_open;   /* leave repped and clean marks alone */
    bool only_repped; /* only those that were repped */
    bool whole;       /* only marks that name the section itself: a line 'with all brass' */
    bool answered;    /* none whose fault the staff must define first */
};
/* Moves the marks that are not in that state yet; how many, -1 with e. Who and when is kept. */
int store_item_state(struct store *s, const struct show *show, const struct item_choice *item,
                     enum mark_state state, struct err *e);
struct state_change {
    enum mark_state state;
    int marks;
    const char *author;
    int64_t made_at; /* ms since 1970 UTC */
};
/* The newest change of a section's (or performer's) fault; false when there is none. Of the item
 * only section, performer and fault count. */
bool store_last_state(struct store *s, struct arena *a, const struct show *show,
                      const struct item_choice *item, struct state_change *out);
/* All of them, oldest first. */
struct state_row {
    int section, performer, fault; /* positions; performer may be -1 */
    struct state_change change;    /* its author stands until the next row */
};
bool store_each_state(struct store *s, void (*fn)(void *ctx, const struct state_row *row),
                      void *ctx, struct err *e);
/* Writes down what right looks like for a fault; from then on its marks are the performers' to
 * mend. "" takes the decision back. */
bool store_decide(struct store *s, const struct show *show, int fault, const char *text,
                  struct err *e);

/* --- rep plans ------------------------------------------------------------------------------- */

struct rep_fix {
    int section, fault, marks;
};
/* A chunk with its reps, or a block that has none. */
struct rep_block {
    int block, part;        /* number of the block in the plan and of the chunk in it, from 0 */
    int start_s, seconds;   /* the block */
    int begins_s, works_s;  /* the chunk */
    int kind;               /* enum plan_kind */
    const char *who, *what; /* names, as printed */
    const char *sets;       /* labels, separated by spaces; "" for breaks and fixed items */
    int reps, reps_made;    /* made: -1 until ticked off */
    int rep_s, setup_s, walk_s, counts; /* as in struct plan_work; 0 from an older file */
    double bpm_low, bpm_high, gain;
    bool kept;
    const char
        *cautions; /* about the block, each ended by '\n'; NULL: not known, from an older file */
    const struct rep_fix *fixes;
    size_t n_fixes;
};
struct rep_plan {
    int64_t id, made_at; /* made_at: ms since 1970 UTC; told by the store */
    const char *date;    /* YYYY-MM-DD */
    int start_min, minutes;
    double gain, open_weight;
    const char *asked, *wishes; /* what it was made from (app/plan_ask.h, app/plan_kept.h); "" from
                                 * an older file */
    const char *cautions;       /* a line each */
    struct rep_block *blocks;
    size_t n_blocks;
};
/* Stores a plan; one of the same date of which nothing was ticked off is replaced. */
bool store_plan_put(struct store *s, const struct show *show, struct rep_plan *p, struct err *e);
/* The plan of a date, or (NULL) the newest; false with ERR_INPUT when there is none. */
bool store_plan(struct store *s, struct arena *a, const char *date, struct rep_plan *out,
                struct err *e);
/* The plan of the same date that was stored before this one (ticked off, or it would be gone); false
 * with ERR_INPUT when there is none. */
bool store_plan_before(struct store *s, struct arena *a, const struct rep_plan *of,
                       struct rep_plan *out, struct err *e);
/* The plan of a row; false with ERR_INPUT when another took its place. */
bool store_plan_row(struct store *s, struct arena *a, int64_t id, struct rep_plan *out,
                    struct err *e);
/* Each line that a ticked block of any plan was about, by date, plan and block. */
struct rep_row {
    const char *date; /* stands until the next row */
    int64_t plan;     /* row, and the block's place in it, from 0 */
    int place;
    int reps; /* made */
    int section, fault;
};
bool store_each_rep(struct store *s, void (*fn)(void *ctx, const struct rep_row *row), void *ctx,
                    struct err *e);
/* Block number `place` (from 0) was done with so many reps; -1 takes the tick back. */
bool store_plan_tick(struct store *s, int64_t plan, int place, int reps_made, struct err *e);
/* Deletes the plans of a date of which nothing was ticked off; without one it is no error. */
bool store_plan_drop(struct store *s, const char *date, struct err *e);

/* --- for lists ------------------------------------------------------------------------------ */

/* One (mark, target) row. Rows of one section, fault and praise come one after the other. */
struct seen_row {
    int section, performer, fault, set; /* positions; performer and set may be -1 */
    bool praise;
    int64_t clip, mark, at_us;
    int severity;
    enum cause cause;
    enum mark_state state;
    bool again; /* this mark was given already: count it for the performer only */
};
typedef bool seen_fn(void *ctx, const struct seen_row *row); /* false stops */

struct seen_choice {
    const int *sections; /* positions; rows of these sections */
    size_t n_sections;
    int performer; /* >= 0: only rows of this performer */
    bool whole;    /* only rows that name the section itself, not a performer */
};

bool store_each_seen(struct store *s, const struct seen_choice *choice, seen_fn *fn, void *ctx,
                     struct err *e);
/* The marks of the choice whose lateness was measured. */
struct timed_row {
    int section, performer, fault, set;
    int64_t clip, at_us;
    double late_counts, late_error;
};
typedef void timed_fn(void *ctx, const struct timed_row *row);
bool store_each_timed(struct store *s, timed_fn *fn, void *ctx, struct err *e);

/* What a list quotes of a mark. */
struct mark_words {
    const char *uid; /* its random number in lower-case hex: the same on every laptop */
    const struct target *targets;
    size_t n_targets;
    double count; /* within its set; 0 without one */
    const char *note;
    int64_t made_at; /* ms since 1970 UTC */
    bool timed;      /* its lateness was measured */
    double late_counts, late_error;
    struct measure measure;
    bool on_field;
    double x, y; /* with on_field: grid steps */
};
bool store_mark_words(struct store *s, struct arena *a, int64_t mark, struct mark_words *out,
                      struct err *e);

#endif
