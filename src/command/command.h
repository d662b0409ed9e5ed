/* What a key, a ':' line or a script can do in the review: one row per command. */
#ifndef COMMAND_COMMAND_H
#define COMMAND_COMMAND_H

#include "command/desk.h"

typedef void command_fn(struct desk *d, const char *arg); /* arg: rest of the line, never NULL */

struct command {
    const char *name;
    const char *args; /* "TIME", "next|prev", "" */
    const char *help; /* one line, as the key list shows it */
    command_fn *run;
};

extern const struct command commands[]; /* ends with a row without a name */

/* One file each, or a small family. */
extern command_fn command_play, command_move, command_step, command_seek, command_speed,
    command_volume, command_loop, command_call, command_rail; /* move.c */
extern command_fn command_set, command_tie, command_untie, command_tie_move,
    command_metronome;                          /* tie.c */
extern command_fn command_tap, command_accept;  /* tap.c */
extern command_fn command_late, command_seen;   /* late.c */
extern command_fn command_beats;                /* listen.c */
extern command_fn command_voice, command_say;   /* spoken.c */
extern command_fn command_mark, command_repeat; /* new_mark.c */
extern command_fn command_severity, command_praise, command_cause, command_note,
    command_remove;                              /* change_mark.c */
extern command_fn command_undo, command_redo;    /* history.c */
extern command_fn command_find, command_filter;  /* find.c */
extern command_fn command_state, command_decide; /* fixes.c */
extern command_fn command_reps, command_shift, command_keep, command_drop,
    command_tick;                                                    /* plan_change.c */
extern command_fn command_plan_form, command_ask, command_plan_make; /* plan_form.c */
extern command_fn command_list, command_open, command_line, command_redraw, command_quit,
    command_back, command_view;                          /* go.c */
extern command_fn command_lead;                          /* lead.c */
extern command_fn command_tap_measure, command_tap_lead; /* tap_bias.c */
extern command_fn command_correct;                       /* correct.c */
extern command_fn command_compare_all;                   /* compare.c */
extern command_fn command_grid, command_ghosts;          /* ground.c */
extern command_fn command_measure;                       /* measuring.c */
extern command_fn command_draft;                         /* drafts_change.c */
extern command_fn command_teach;                         /* teach.c */
extern command_fn command_copy;                          /* copy.c */
extern command_fn command_field;                         /* field.c */

#endif
