/* The columns of what `boxcall field` lists. */
#include <math.h>

#include "base/number.h"
#include "paper/field.h"
#include "paper/json.h"
#include "paper/table.h"

/* A number of a row; NAN is not known. */
#define NUMBER_OF(fn, type, value)                                                                 \
    static bool fn(const void *row, double *out)                                                   \
    {                                                                                              \
        const struct type *r = row;                                                                \
        *out = (double)(value);                                                                    \
        return isfinite(*out);                                                                     \
    }
#define TEXT_OF(fn, type, value)                                                                   \
    static void fn(const void *row, struct buf *out)                                               \
    {                                                                                              \
        const struct type *r = row;                                                                \
        buf_str(out, value);                                                                       \
    }
#define NUMBER(title, fn, digits, says)                                                            \
    {                                                                                              \
        .name = title, .kind = COLUMN_NUMBER, .where = IN_BOTH, .number = fn,                      \
        .format = "%." #digits "f", .unit = 1e-##digits, .help = says                              \
    }
#define WHOLE(title, fn, says)                                                                     \
    {                                                                                              \
        .name = title, .kind = COLUMN_WHOLE, .where = IN_BOTH, .number = fn, .help = says          \
    }
#define TEXT(title, fn, says)                                                                      \
    {                                                                                              \
        .name = title, .kind = COLUMN_TEXT, .where = IN_BOTH, .cell = fn, .help = says             \
    }
#define MAYBE(title, fn, says)                                                                     \
    {                                                                                              \
        .name = title, .kind = COLUMN_MAYBE, .where = IN_BOTH, .cell = fn, .help = says            \
    }

/* --- picks -------------------------------------------------------------------------------------- */

NUMBER_OF(pick_number_of, field_pick_row, r->number)
NUMBER_OF(pick_ms, field_pick_row, (double)r->us / 1000)
NUMBER_OF(pick_x, field_pick_row, r->at.x)
NUMBER_OF(pick_y, field_pick_row, r->at.y)
TEXT_OF(pick_what, field_pick_row, r->what)
NUMBER_OF(pick_off_px, field_pick_row, r->off_px)
NUMBER_OF(pick_off_steps, field_pick_row, r->off_steps)

const struct column field_picks_columns[] = {
    WHOLE("pick", pick_number_of, "its number"),
    NUMBER("ms", pick_ms, 3, "clip time in milliseconds"),
    NUMBER("x", pick_x, 2, "pixels from the left edge of the picture as shown"),
    NUMBER("y", pick_y, 2, "pixels from its top edge"),
    TEXT("what", pick_what, "the spot or the line that is there"),
    NUMBER("off_px", pick_off_px, 2, "pixels from where the camera has it; null without a camera"),
    NUMBER("off_steps", pick_off_steps, 3, "the same on the ground, steps of 22.5 in"),
    {.name = NULL},
};

/* --- a place ------------------------------------------------------------------------------------- */

static void ellipse_json(const void *row, json_t *o)
{
    const struct ellipse *x = &((const struct field_place_row *)row)->error;
    json_t *all = json_array();
    json_array_append_new(all, json_real(round(x->major * 100) / 100));
    json_array_append_new(all, json_real(round(x->minor * 100) / 100));
    json_array_append_new(all, json_real(round(x->angle * 180 / M_PI * 10) / 10));
    json_object_set_new(o, "error_in", all);
}

TEXT_OF(place_spot, field_place_row, r->spot)
NUMBER_OF(place_across, field_place_row, r->across)
NUMBER_OF(place_depth, field_place_row, r->depth)
NUMBER_OF(place_x_in, field_place_row, r->in.x)
NUMBER_OF(place_y_in, field_place_row, r->in.y)
NUMBER_OF(place_major, field_place_row, r->error.major)
NUMBER_OF(place_minor, field_place_row, r->error.minor)
NUMBER_OF(place_angle, field_place_row, r->error.angle * 180 / M_PI)
NUMBER_OF(place_error, field_place_row, r->error.major / GRID_ACROSS_IN)

#define CSV_NUMBER(title, fn, digits, says)                                                        \
    {                                                                                              \
        .name = title, .kind = COLUMN_NUMBER, .where = IN_CSV, .number = fn,                       \
        .format = "%." #digits "f", .help = says                                                   \
    }

const struct column field_place_columns[] = {
    TEXT("spot", place_spot, "as a dot sheet says it"),
    NUMBER("across", place_across, 3, "grid steps from the 50, side 2 positive"),
    NUMBER("depth", place_depth, 3, "grid steps from the front sideline"),
    NUMBER("x_in", place_x_in, 2, "inches from the 50, side 2 positive"),
    NUMBER("y_in", place_y_in, 2, "inches from the front sideline"),
    CSV_NUMBER("error_major_in", place_major, 2,
               "half the longer axis of the 95 % ellipse, inches"),
    CSV_NUMBER("error_minor_in", place_minor, 2, "half the shorter one"),
    CSV_NUMBER("error_angle", place_angle, 1, "of the longer one from across to the back, degrees"),
    {.name = "error_in",
     .kind = COLUMN_NUMBER,
     .where = IN_JSON,
     .json = ellipse_json,
     .help = "95 % ellipse: half its axes in inches, angle of the longer in degrees from across to "
             "the back"},
    NUMBER("error_steps", place_error, 3, "half the longer axis, steps of 22.5 in"),
    {.name = NULL},
};

/* --- who ------------------------------------------------------------------------------------------ */

TEXT_OF(who_performer, field_who_row, r->performer)
TEXT_OF(who_section, field_who_row, r->section)
NUMBER_OF(who_probability, field_who_row, r->probability)
TEXT_OF(who_dot, field_who_row, r->dot)
NUMBER_OF(who_off, field_who_row, r->off_steps)

const struct column field_who_columns[] = {
    TEXT("performer", who_performer, "label in the roster"),
    TEXT("section", who_section, "the section"),
    NUMBER("probability", who_probability, 4, "that it is this one, of those with a dot"),
    TEXT("dot", who_dot, "where that performer should be"),
    NUMBER("off_steps", who_off, 3, "from there to the click, steps of 22.5 in"),
    {.name = NULL},
};

/* --- gaps, shapes, forms --------------------------------------------------------------------------- */

NUMBER_OF(gap_from, field_gap_row, r->from)
NUMBER_OF(gap_to, field_gap_row, r->from + 1)
TEXT_OF(gap_who, field_gap_row, r->who[0])
TEXT_OF(gap_other, field_gap_row, r->who[1])
NUMBER_OF(gap_steps, field_gap_row, r->steps)
NUMBER_OF(gap_inches, field_gap_row, r->inches)
NUMBER_OF(gap_error, field_gap_row, r->error)

const struct column field_gaps_columns[] = {
    WHOLE("from", gap_from, "number of the click"),
    WHOLE("to", gap_to, "and of the next one"),
    MAYBE("performer", gap_who, "who that is, when it is known"),
    MAYBE("next", gap_other, "and the next one"),
    NUMBER("steps", gap_steps, 3, "between them, steps of 22.5 in"),
    NUMBER("inches", gap_inches, 1, "the same in inches"),
    NUMBER("error", gap_error, 3, "half its 95 % interval, steps"),
    {.name = NULL},
};

NUMBER_OF(off_number, field_off_row, r->number)
TEXT_OF(off_performer, field_off_row, r->performer)
NUMBER_OF(off_steps, field_off_row, r->steps)
NUMBER_OF(off_error, field_off_row, r->error)
NUMBER_OF(off_across, field_off_row, r->across)
NUMBER_OF(off_depth, field_off_row, r->depth)

const struct column field_off_columns[] = {
    WHOLE("click", off_number, "number of the click"),
    MAYBE("performer", off_performer, "who that is, when it is known"),
    NUMBER("off_steps", off_steps, 3, "how far off, steps of 22.5 in"),
    NUMBER("error", off_error, 3, "half its 95 % interval, steps"),
    NUMBER("off_across", off_across, 3, "how far to side 2 (negative: side 1), grid steps"),
    NUMBER("off_depth", off_depth, 3, "how far to the back (negative: front), grid steps"),
    {.name = NULL},
};

NUMBER_OF(pace_steps, field_pace, r->steps)
NUMBER_OF(pace_error, field_pace, r->error)
NUMBER_OF(pace_counts, field_pace, r->counts)
NUMBER_OF(pace_seconds, field_pace, r->seconds)
NUMBER_OF(pace_inches, field_pace, r->in_a_count)
NUMBER_OF(pace_five, field_pace, r->to_five)
NUMBER_OF(pace_low, field_pace, r->to_five_low)
NUMBER_OF(pace_high, field_pace, r->to_five_high)
NUMBER_OF(pace_speed, field_pace, r->speed)

const struct column field_pace_columns[] = {
    NUMBER("steps", pace_steps, 3, "from the one to the other, steps of 22.5 in"),
    NUMBER("error", pace_error, 3, "half its 95 % interval, steps"),
    NUMBER("counts", pace_counts, 3, "between them; null while the clip is not tied there"),
    NUMBER("seconds", pace_seconds, 3, "between them"),
    NUMBER("in_a_count", pace_inches, 2, "inches of each count's step"),
    NUMBER("to_five", pace_five, 2, "steps to five yards"),
    NUMBER("to_five_low", pace_low, 2, "its 95 % interval"),
    NUMBER("to_five_high", pace_high, 2, "its 95 % interval"),
    NUMBER("feet_a_second", pace_speed, 2, "the speed"),
    {.name = NULL},
};

/* --- dots ------------------------------------------------------------------------------------------ */

TEXT_OF(dot_performer, field_dot_row, r->performer)
TEXT_OF(dot_section, field_dot_row, r->section)
TEXT_OF(dot_spot, field_dot_row, r->spot)
NUMBER_OF(dot_across, field_dot_row, r->across)
NUMBER_OF(dot_depth, field_dot_row, r->depth)
NUMBER_OF(dot_x_in, field_dot_row, r->in.x)
NUMBER_OF(dot_y_in, field_dot_row, r->in.y)

const struct column field_dots_columns[] = {
    TEXT("performer", dot_performer, "label in the roster"),
    TEXT("section", dot_section, "the section"),
    TEXT("spot", dot_spot, "as a dot sheet says it"),
    NUMBER("across", dot_across, 3, "grid steps from the 50, side 2 positive"),
    NUMBER("depth", dot_depth, 3, "grid steps from the front sideline"),
    NUMBER("x_in", dot_x_in, 2, "inches from the 50, side 2 positive"),
    NUMBER("y_in", dot_y_in, 2, "inches from the front sideline"),
    {.name = NULL},
};

/* --- the camera ------------------------------------------------------------------------------------ */

static void residuals_json(const void *row, json_t *o)
{
    const struct field_camera_row *r = row;
    json_t *all = json_array();
    for (size_t i = 0; i < r->picks; i++)
        json_array_append_new(all, table_json(field_picks_columns, &r->residuals[i]));
    json_object_set_new(o, "residuals", all);
}

static void moving_json(const void *row, json_t *o)
{
    const int moving = ((const struct field_camera_row *)row)->moving;
    json_object_set_new(o, "moving", moving < 0 ? json_null() : json_boolean(moving));
}

static void bumped_json(const void *row, json_t *o)
{
    const struct field_camera_row *r = row;
    json_t *all = json_array();
    for (size_t i = 0; i < r->n_bumped; i++)
        json_array_append_new(all, json_integer(ms_of_us(r->bumped[i])));
    json_object_set_new(o, "bumped", all);
}

static void lost_json(const void *row, json_t *o)
{
    const struct field_camera_row *r = row;
    json_t *all = json_array();
    for (size_t i = 0; i < r->n_lost; i++)
        json_array_append_new(all, json_pack("{s:I,s:I}", "ms", ms_of_us(r->lost[i][0]), "end_ms",
                                             ms_of_us(r->lost[i][1])));
    json_object_set_new(o, "lost", all);
}

static bool moving_number(const void *row, double *out)
{
    *out = ((const struct field_camera_row *)row)->moving;
    return *out >= 0;
}

NUMBER_OF(camera_rms_px, field_camera_row, r->rms_px)
NUMBER_OF(camera_rms_steps, field_camera_row, r->rms_steps)
NUMBER_OF(camera_picks, field_camera_row, r->picks)
NUMBER_OF(camera_k1, field_camera_row, r->distortion)
NUMBER_OF(camera_crown, field_camera_row, r->crown_in)
NUMBER_OF(camera_followed, field_camera_row, r->followed_s)
NUMBER_OF(camera_lost, field_camera_row, r->lost_s)
NUMBER_OF(camera_bent_share, field_camera_row, r->bent)
NUMBER_OF(camera_by_lines, field_camera_row, r->by_lines)
NUMBER_OF(camera_checked, field_camera_row, r->checked)
NUMBER_OF(camera_checked_lines, field_camera_row, r->checked_lines)
NUMBER_OF(camera_error, field_camera_row, r->error_steps)
NUMBER_OF(camera_x, field_camera_row, r->stands.x)
NUMBER_OF(camera_y, field_camera_row, r->stands.y)
NUMBER_OF(camera_up, field_camera_row, r->up)
NUMBER_OF(camera_pan, field_camera_row, r->pan)
NUMBER_OF(camera_tilt, field_camera_row, r->tilt)
NUMBER_OF(camera_roll, field_camera_row, r->roll)
NUMBER_OF(camera_focal, field_camera_row, r->focal)

const struct column field_camera_columns[] = {
    {.name = "by_lines",
     .kind = COLUMN_TRUTH,
     .where = IN_BOTH,
     .number = camera_by_lines,
     .help = "held by the painted lines; else by the picks alone"},
    NUMBER("rms_px", camera_rms_px, 3, "of what holds it (lines, or picks), pixels"),
    NUMBER("rms_steps", camera_rms_steps, 4, "the same on the ground, steps of 22.5 in"),
    NUMBER("error_steps", camera_error, 4,
           "of the ground in the picture's middle, without a click: half its 95 % interval, steps"),
    WHOLE("picks", camera_picks, "how many there are"),
    {.name = "residuals", .kind = COLUMN_TEXT, .where = IN_JSON, .json = residuals_json},
    NUMBER("distortion", camera_k1, 5,
           "by which share of half the width the lens moves the middle of the left edge"),
    NUMBER("crown_in", camera_crown, 2, "inches by which the field is higher in its middle"),
    {.name = "moving",
     .kind = COLUMN_TRUTH,
     .where = IN_CSV,
     .number = moving_number,
     .help = "it turned or zoomed, as far as it was followed"},
    {.name = "moving", .kind = COLUMN_TRUTH, .where = IN_JSON, .json = moving_json},
    NUMBER("followed_s", camera_followed, 3, "seconds of the clip that it was followed"),
    NUMBER("lost_s", camera_lost, 3, "of those, without the lines"),
    NUMBER("bent", camera_bent_share, 3,
           "share of the pictures that fit no camera that stands, and are bent to the lines"),
    {.name = "bumped", .kind = COLUMN_TEXT, .where = IN_JSON, .json = bumped_json},
    {.name = "lost", .kind = COLUMN_TEXT, .where = IN_JSON, .json = lost_json},
    NUMBER("checked_steps", camera_checked, 4,
           "by how much lines that were not used were missed, steps; null without such lines"),
    WHOLE("checked_lines", camera_checked_lines, "how many those were"),
    NUMBER("x_in", camera_x, 1, "where it stands: inches from the 50, side 2 positive"),
    NUMBER("y_in", camera_y, 1, "inches from the front sideline, in front of it negative"),
    NUMBER("up_in", camera_up, 1, "inches up"),
    NUMBER("pan", camera_pan, 3, "where it looks: degrees to side 2"),
    NUMBER("tilt", camera_tilt, 3, "degrees down"),
    NUMBER("roll", camera_roll, 3, "degrees, its right side down"),
    NUMBER("focal_px", camera_focal, 2, "focal length in pixels of the picture as shown"),
    {.name = NULL},
};
