/* What a key, a ':' line or a script can do in the review: one row per command. */
#ifndef COMMAND_COMMAND_H
#define COMMAND_COMMAND_H

#include "command/desk.h"

struct command {
    const char *name;
    const char *args;                             /* "TIME", "next|prev", "" */
    const char *help;                             /* one line, as the key list shows it */
    void (*run)(struct desk *d, const char *arg); /* arg: rest of the line, never NULL */
};

extern const struct command commands[]; /* ends with a row without a name */
const struct command *command_named(const char *name, size_t n);

/* One file each (or a small family): move.c make.c change.c history.c find.c list.c lead.c go.c */
typedef void command_fn(struct desk *d, const char *arg);
command_fn command_play, command_move, command_step, command_seek, command_speed, command_loop,
    command_call, command_rail, command_repeat, command_mark, command_severity, command_praise,
    command_cause, command_note, command_remove, command_undo, command_redo, command_find,
    command_filter, command_fixes, command_clips, command_review, command_help, command_lead,
    command_line, command_view, command_redraw, command_quit, command_list, command_open,
    command_back, command_tap_lead, command_volume, command_tie, command_untie, command_tie_move,
    command_set, command_tap, command_accept, command_late, command_seen, command_metronome,
    command_beats, command_tap_measure, command_state, command_decide, command_plan, command_reps,
    command_shift, command_keep, command_drop, command_tick, command_copy;

/* --- between the files of this room ---------------------------------------------------------- */

/* Where playing began or went on: called with the state before each new one. A loop that began
 * again, a jump and Space each begin anew. */
void note_beginning(struct desk *d, const struct player_state *before);
/* A key or line changed the screen: a chord that was open there is dropped, and that is said. */
void chord_leave(struct desk *d, enum desk_screen before);
/* Chord keys: true when the key was taken. */
bool chord_take(struct desk *d, const char *key);
void chord_cancel(struct desk *d);
/* The time of the frame that was seen a reaction lead before now (the beginning while the clip is
 * still opening); says so and returns false when there is no clip. */
bool seen_at(struct desk *d, int64_t *out);
/* Asks the person for a line that begins with this text. */
void ask_line(struct desk *d, enum desk_ask ask, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));
/* Stores a new mark at at_us and makes it the newest. */
bool make_mark(struct desk *d, int64_t at_us, const struct target *targets, size_t n, int fault);
/* Gives a mark this note, "" takes it away. offered: the note as the person saw it; when somebody
 * wrote another meanwhile, that is said. */
void note_set(struct desk *d, int64_t mark, const char *offered, const char *text);
/* Writes down what right looks like for the fault that was asked about. */
void decision_set(struct desk *d, const char *text);
/* "y": the tie that waits begins a new run of the drill; anything else drops it. */
void tie_answer(struct desk *d, const char *text);
/* Ties, or asks first when the tie cannot be one run with the others; false when it did not tie. */
bool tie_or_ask(struct desk *d, const struct tie *t, const char *what);
/* Takes in what happened to the show file; true when a screen has something new to show. */
bool desk_follow(struct desk *d);
/* Something was written: a quiet moment later the log is carried over. */
void desk_wrote(struct desk *d);
/* Reads the marks of the current clip again. */
bool read_marks(struct desk *d, struct err *e);
/* Reads the clip's ties and builds its map. */
bool read_map(struct desk *d, struct err *e);
/* "14.5", "set 14", "+16 counts", "5:58.2": the time it means from here; false with e set. */
bool typed_moment(const struct desk *d, const char *text, int64_t *us, struct err *e);
/* Seeks, and lets the next keys go on from there. */
void go_to(struct desk *d, int64_t at_us);
/* The time of the frame that shows a place (a set and count) reached at us: the first at or after
 * it. The nearest may lie before it, and would show the count before. */
int64_t place_us(const struct desk *d, int64_t us);
void go_to_place(struct desk *d, int64_t us);
/* Seeks to a typed moment, or says why not. */
void go_typed(struct desk *d, const char *text);
/* Changes these fields of a mark as a step of its own named `what`, and shows it as it is then. */
bool change_mark(struct desk *d, int64_t mark, const struct mark_change *c, const char *what);
/* The chosen mark, or the newest; says so when there is neither. */
struct mark *mark_in_hand(struct desk *d);
/* Esc or Enter while taps or a ripple are open; true when they took it. */
bool taps_end(struct desk *d, bool keep);
bool ripple_end(struct desk *d, bool keep);
bool listen_end(struct desk *d, bool keep);
/* Tells how far the listening is; true when there is something new to show. */
bool listen_poll(struct desk *d);
/* A chord's targets were seen now: adds them to the ripple. */
void ripple_add(struct desk *d, const struct chord *c);
void plan_forget(struct desk *d);
/* The show was loaded again: the plan on the desk is read anew; see command/plan.h. False when it
 * is not the plan any more that was shown: another program made a new one, or took it away. */
bool plan_follow(struct desk *d);
/* Ctrl-Z on the plan screen: its last change; true when that screen took it. */
bool plan_undo(struct desk *d);
/* The first moment of the chosen block; false, and said, when it has none. */
bool plan_moment(struct desk *d, int64_t *clip, int64_t *at_us, int64_t *mark);
/* Loads the fix list that the fix screen shows. */
bool fixes_load(struct desk *d, const char *for_whom);
void fixes_forget(struct desk *d);
/* Another line was chosen: fix_line says which. */
void fixes_chosen(struct desk *d);
const struct rank_item *fixes_item(const struct desk *d, size_t line, const struct report_part **p);
size_t fixes_lines(const struct desk *d);
/* Follows what is being watched; stores it now and then, and at the end. */
void watch_follow(struct desk *d);
void watch_end(struct desk *d);
void lead_tick(struct desk *d, int64_t now_us);

#endif
