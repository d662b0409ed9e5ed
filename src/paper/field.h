/* Writers for `boxcall field`: the field in a clip's pictures, and what was measured there. Errors are
 * half the width of a 95 % interval; steps that feet walk are 22.5 in, places are in grid steps. */
#ifndef PAPER_FIELD_H
#define PAPER_FIELD_H

#include "field/measure.h"
#include "paper/paper.h"
#include "show/grid.h"

/* What was pointed at. Misses are NAN where no camera is known. */
struct field_pick_row {
    int number;
    int64_t us;
    struct pixel at;
    char what[2 * SPOT_TEXT]; /* "on 50; on front hash", or a line: "on 50" */
    double off_px, off_steps; /* from where the camera has it */
};

/* A place on the ground. */
struct field_place_row {
    char spot[2 * SPOT_TEXT];
    double across, depth; /* grid steps */
    struct field_place in;
    struct ellipse error;
};

struct field_who_row {
    const char *performer, *name, *section;
    double probability;
    char dot[2 * SPOT_TEXT];
    double off_steps,
        far; /* far: in units of what is usual for a step off and this click together */
};

struct field_gap_row {
    int from;                    /* the click it goes on from, from 1 */
    const char *who[2];          /* "" when not known */
    double steps, inches, error; /* error: steps */
};

struct field_gaps {
    const struct field_gap_row *at;
    size_t n;
    double mean, mean_error, of; /* of: what it should be, NAN when not said */
    int closes,
        opens; /* positions in `at` of those that are furthest from what they should be by more
                        * than the error and what is let pass, too short and too long; -1 */
};

/* Somebody in a line or an arc, or in a form. */
struct field_off_row {
    int number;            /* of the click */
    const char *performer; /* "" when not known */
    double steps, error;   /* off the shape, either way */
    double across, depth;  /* how far off, grid steps: side 2 and back positive */
};

struct field_fit {
    bool arc;
    double angle;  /* degrees, of a line against the yard lines: 0 runs along the field's length */
    double radius; /* steps of 22.5 in */
    struct field_place center; /* inches */
    char center_spot[2 * SPOT_TEXT];
    double rms; /* steps */
    const struct field_off_row *at;
    size_t n;
};

struct field_form {
    struct field_place shift;       /* grid steps: side 2 and back positive */
    double shift_error;             /* steps */
    double scale;                   /* about its middle; 1: as it should be */
    const struct field_off_row *at; /* off within the form */
    size_t n;
    const struct field_place_row *unmatched;
    const struct pixel *unmatched_at;
    size_t n_unmatched;
    const char *const *missing; /* performers whom nobody clicked on */
    size_t n_missing;
};

struct field_pace {
    double steps, error; /* walked, of 22.5 in */
    double counts, seconds;
    double in_a_count, to_five; /* inches; n-to-5 */
    double to_five_low, to_five_high;
    double speed; /* feet a second */
};

struct field_camera_row {
    double rms_px, rms_steps; /* NAN: not known */
    size_t picks;
    const struct field_pick_row *residuals;
    double distortion, crown_in;
    int moving;            /* 0, 1, -1: not known */
    double turned, zoomed; /* degrees; share */
    double followed_s, lost_s, length_s;
    const int64_t *bumped; /* microseconds */
    size_t n_bumped;
    const int64_t (*lost)[2]; /* from and to */
    size_t n_lost;
    bool by_lines;
    double bent;    /* share of the pictures that fit no camera that stands */
    double checked; /* steps; NAN: no line could be left out */
    int checked_lines;
    double error_steps;                /* in the middle of what is seen; NAN */
    struct field_place stands;         /* inches */
    double up, pan, tilt, roll, focal; /* inches, degrees, pixels */
    const char *note;                  /* "" */
};

struct field_dot_row {
    const char *performer, *section;
    char spot[2 * SPOT_TEXT];
    double across, depth;
    struct field_place in;
};

extern const struct column field_picks_columns[], field_place_columns[], field_who_columns[],
    field_gaps_columns[], field_off_columns[], field_dots_columns[], field_camera_columns[],
    field_pace_columns[];

/* --- from what was measured to what is said of it ---------------------------------------------- */

void field_place_said(const struct grid *g, const struct measured *m, size_t i,
                      struct field_place_row *out);
/* Off by so much at a place, both inches: the grid steps of the row. */
void field_off_said(const struct grid *g, struct field_place at, struct field_place off,
                    struct field_off_row *out);
/* What a pick says is there: "on 50; on front hash", of a line "on 50". */
void field_pick_said(const struct grid *g, int kind, double x, double y, char out[2 * SPOT_TEXT]);

/* --- writers ------------------------------------------------------------------------------------- */

void field_picks(const struct field_pick_row *r, size_t n, enum format as, struct buf *out);
void field_place_put(const struct field_place_row *r, enum format as, struct buf *out);
void field_pixel(struct pixel p, enum format as, struct buf *out);
void field_who(const struct field_who_row *r, size_t n, enum format as, struct buf *out);
void field_gaps(const struct field_gaps *g, enum format as, struct buf *out);
void field_fit(const struct field_fit *f, enum format as, struct buf *out);
void field_form(const struct field_form *f, enum format as, struct buf *out);
void field_pace(const struct field_pace *p, enum format as, struct buf *out);
/* An angle on the picture, degrees. */
void field_angle(double degrees, double error, enum format as, struct buf *out);
/* An angle on the ground. */
void field_corner(double degrees, double error, enum format as, struct buf *out);
void field_camera(const struct field_camera_row *r, enum format as, struct buf *out);
void field_dots(const struct field_dot_row *r, size_t n, enum format as, struct buf *out);

/* "0.8 steps back", "1.2 steps to side 1", "1 step to side 2 and 0.5 front"; "in place" below a
 * twentieth of a step. */
void move_text(double across, double depth, struct buf *out);

#endif
