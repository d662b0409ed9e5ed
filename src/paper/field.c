/* What `boxcall field` prints. */
#include "paper/field.h"

#include <math.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/json.h"
#include "paper/table.h"

/* Rows as CSV, or as an array in JSON. */
static json_t *rows_json(const struct column *columns, const void *rows, size_t n, size_t size)
{
    json_t *all = json_array();
    for (size_t i = 0; i < n; i++)
        json_array_append_new(all, table_json(columns, (const char *)rows + i * size));
    return all;
}

static void rows_csv(const struct column *columns, const void *rows, size_t n, size_t size,
                     struct buf *out)
{
    table_csv_head(columns, out);
    for (size_t i = 0; i < n; i++)
        table_csv_row(columns, (const char *)rows + i * size, out);
}

#define ROWS_JSON(columns, rows, n)     rows_json(columns, rows, n, sizeof *(rows))
#define ROWS_CSV(columns, rows, n, out) rows_csv(columns, rows, n, sizeof *(rows), out)

static json_t *rounded(double x, double unit)
{
    return isfinite(x) ? json_real(round(x / unit) * unit) : json_null();
}

static const char *plural(double x)
{
    return fabs(x - 1) < 0.05 ? "step" : "steps";
}

/* --- moves ------------------------------------------------------------------------------------- */

void move_text(double across, double depth, struct buf *out)
{
    static const double least = 0.05;
    if (fabs(across) < least && fabs(depth) < least) {
        buf_str(out, "in place");
        return;
    }
    if (fabs(across) >= least)
        buf_printf(out, "%.1f %s to side %d", fabs(across), plural(fabs(across)),
                   across > 0 ? 2 : 1);
    if (fabs(depth) >= least)
        buf_printf(out, "%s%.1f %s %s", fabs(across) >= least ? " and " : "", fabs(depth),
                   plural(fabs(depth)), depth > 0 ? "back" : "front");
}

static void who_text(int number, const char *performer, struct buf *out)
{
    if (*performer)
        put_text(out, performer);
    else
        buf_printf(out, "click %d", number);
}

/* --- picks and the camera ---------------------------------------------------------------------- */

static void pick_line(const struct field_pick_row *r, struct buf *out)
{
    char time[24];
    time_format(r->us, time);
    buf_printf(out, "%3d  %-10s %8.1f,%-8.1f %s", r->number, time, r->at.x, r->at.y, r->what);
    if (isfinite(r->off_px))
        buf_printf(out, "  (off by %.1f px", r->off_px);
    if (isfinite(r->off_px) && isfinite(r->off_steps))
        buf_printf(out, ", %.2f %s", r->off_steps, plural(r->off_steps));
    buf_str(out, isfinite(r->off_px) ? ")\n" : "\n");
}

void field_picks(const struct field_pick_row *r, size_t n, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(ROWS_JSON(field_picks_columns, r, n), out);
    else if (as == AS_CSV)
        ROWS_CSV(field_picks_columns, r, n, out);
    else if (n == 0)
        buf_str(out, "nothing was pointed at yet\n");
    for (size_t i = 0; as == AS_TEXT && i < n; i++)
        pick_line(&r[i], out);
}

static void feet_text(double inches, struct buf *out)
{
    buf_printf(out, "%.0f ft", inches / 12);
}

static void stands_text(const struct field_camera_row *r, struct buf *out)
{
    buf_str(out, "it stands ");
    feet_text(fabs(r->stands.y), out);
    buf_str(out,
            r->stands.y < 0 ? " in front of the front sideline, " : " behind the front sideline, ");
    feet_text(r->up, out);
    buf_str(out, " up, ");
    feet_text(fabs(r->stands.x), out);
    buf_printf(out, " to side %d of the middle\n", r->stands.x < 0 ? 1 : 2);
}

static void followed_text(const struct field_camera_row *r, struct buf *out)
{
    buf_printf(out, "followed through %.1f of %.1f s", r->followed_s, r->length_s);
    if (r->lost_s > 0)
        buf_printf(out, ", lost for %.1f s of them", r->lost_s);
    if (r->moving == 0)
        buf_str(out, "; it stood still");
    else if (r->moving > 0)
        buf_printf(out, "; it turned by %.1f degrees and zoomed by %.0f %%", r->turned,
                   r->zoomed * 100);
    buf_str(out, "\n");
    if (r->bent > 0) {
        if (r->bent < 0.01)
            buf_str(out, "under 1 %");
        else
            buf_printf(out, "%.0f %%", r->bent * 100);
        buf_str(out, " of the pictures fit no camera that stands (a phone steadies them, or it was "
                     "moved); they are bent to the lines\n");
    }
    char from[24], to[24];
    for (size_t i = 0; i < r->n_bumped; i++) {
        time_format(r->bumped[i], from);
        buf_printf(out, "it was knocked at %s\n", from);
    }
    for (size_t i = 0; i < r->n_lost && i < 8; i++) {
        time_format(r->lost[i][0], from);
        time_format(r->lost[i][1], to);
        buf_printf(out, "without the lines from %s to %s\n", from, to);
    }
}

static void camera_text(const struct field_camera_row *r, struct buf *out)
{
    buf_str(out, r->by_lines ? "held by the painted lines" : "by the picks alone");
    if (isfinite(r->rms_px))
        buf_printf(out, ", which it meets to %.2f px", r->rms_px);
    buf_str(out, "\n");
    if (*r->note)
        buf_printf(out, "%s\n", r->note);
    if (isfinite(r->checked))
        buf_printf(out, "checked against lines that were not used: %.2f step (%d lines)\n",
                   r->checked, r->checked_lines);
    if (isfinite(r->error_steps))
        buf_printf(out, "in the middle of the picture the ground is known to ± %.2f step (95 %%)\n",
                   r->error_steps);
    stands_text(r, out);
    if (fabs(r->distortion) >= 0.0005)
        buf_printf(out, "its lens bends: the middle of the left edge moves by %.1f %%\n",
                   r->distortion * 100);
    if (fabs(r->crown_in) >= 0.05)
        buf_printf(out, "the field is %.1f in higher in its middle\n", r->crown_in);
    if (r->by_lines)
        followed_text(r, out);
    if (r->picks && r->by_lines)
        buf_str(out, "what was pointed at (roughly is well, the lines hold the field):\n");
    for (size_t i = 0; i < r->picks; i++)
        pick_line(&r->residuals[i], out);
}

void field_camera(const struct field_camera_row *r, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(table_json(field_camera_columns, r), out);
    else if (as == AS_CSV)
        rows_csv(field_camera_columns, r, 1, sizeof *r, out);
    else
        camera_text(r, out);
}

/* --- a place ----------------------------------------------------------------------------------- */

void field_place_put(const struct field_place_row *r, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(table_json(field_place_columns, r), out);
    else if (as == AS_CSV)
        rows_csv(field_place_columns, r, 1, sizeof *r, out);
    else
        buf_printf(out, "%s  ± %.2f %s (95 %%)\n", r->spot, r->error.major / GRID_ACROSS_IN,
                   plural(r->error.major / GRID_ACROSS_IN));
}

void field_pixel(struct pixel p, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(json_pack("{s:o,s:o}", "x", rounded(p.x, 0.001), "y", rounded(p.y, 0.001)), out);
    else
        buf_printf(out, as == AS_CSV ? "x,y\r\n%.3f,%.3f\r\n" : "%.1f,%.1f\n", p.x, p.y);
}

void field_dots(const struct field_dot_row *r, size_t n, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(ROWS_JSON(field_dots_columns, r, n), out);
    else if (as == AS_CSV)
        ROWS_CSV(field_dots_columns, r, n, out);
    else if (n == 0)
        buf_str(out, "nobody has a dot there\n");
    for (size_t i = 0; as == AS_TEXT && i < n; i++) {
        pad_text(out, r[i].performer, 8);
        buf_printf(out, " %s\n", r[i].spot);
    }
}

/* --- who --------------------------------------------------------------------------------------- */

/* Two that are about as likely are a tie: nobody is named for the coin's sake. */
static size_t tied(const struct field_who_row *r, size_t n)
{
    static const double about = 0.5;
    size_t k = 1;
    while (k < n && r[k].probability > about * r[0].probability)
        k++;
    return k;
}

static void who_lines(const struct field_who_row *r, size_t n, struct buf *out)
{
    static const double unlikely = 4;
    if (n == 0)
        return;
    if (r[0].far > unlikely)
        buf_printf(out, "nobody's dot is near; the nearest is %.1f steps away\n", r[0].off_steps);
    else if (tied(r, n) > 1)
        buf_printf(out, "a tie of %zu: the click does not tell them apart\n", tied(r, n));
    for (size_t i = 0; i < n; i++) {
        buf_printf(out, "%3.0f %%  ", r[i].probability * 100);
        pad_text(out, r[i].performer, 8);
        buf_printf(out, " %.1f %s from %s\n", r[i].off_steps, plural(r[i].off_steps), r[i].dot);
    }
}

void field_who(const struct field_who_row *r, size_t n, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(ROWS_JSON(field_who_columns, r, n), out);
    else if (as == AS_CSV)
        ROWS_CSV(field_who_columns, r, n, out);
    else
        who_lines(r, n, out);
}

/* --- gaps -------------------------------------------------------------------------------------- */

static void gaps_lines(const struct field_gaps *g, struct buf *out)
{
    for (size_t i = 0; i < g->n; i++) {
        const struct field_gap_row *r = &g->at[i];
        buf_printf(out, "%5.2f ± %.2f %s  ", r->steps, r->error, plural(r->steps));
        who_text(r->from, r->who[0], out);
        buf_str(out, " to ");
        who_text(r->from + 1, r->who[1], out);
        buf_str(out, (int)i == g->closes ? "  closes\n" : (int)i == g->opens ? "  opens\n" : "\n");
    }
    buf_printf(out, "mean %.2f ± %.2f %s", g->mean, g->mean_error, plural(g->mean));
    if (isfinite(g->of))
        buf_printf(out, " of %g", g->of);
    buf_str(out, "\n");
}

static json_t *gaps_json(const struct field_gaps *g)
{
    const int closes = g->closes >= 0 ? g->at[g->closes].from : 0;
    const int opens = g->opens >= 0 ? g->at[g->opens].from : 0;
    return json_pack("{s:o,s:o,s:o,s:o,s:o,s:o}", "gaps",
                     ROWS_JSON(field_gaps_columns, g->at, g->n), "mean", rounded(g->mean, 0.001),
                     "mean_error", rounded(g->mean_error, 0.001), "of", rounded(g->of, 0.001),
                     "closes", closes ? json_integer(closes) : json_null(), "opens",
                     opens ? json_integer(opens) : json_null());
}

void field_gaps(const struct field_gaps *g, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(gaps_json(g), out);
    else if (as == AS_CSV)
        ROWS_CSV(field_gaps_columns, g->at, g->n, out);
    else
        gaps_lines(g, out);
}

/* --- shapes and forms -------------------------------------------------------------------------- */

/* What is more than chance is worth a move. */
static void off_line(const struct field_off_row *r, struct buf *out)
{
    who_text(r->number, r->performer, out);
    buf_str(out, ": ");
    if (r->steps <= r->error)
        buf_printf(out, "may be in it (off by %.1f ± %.1f)\n", r->steps, r->error);
    else {
        move_text(-r->across, -r->depth, out);
        buf_printf(out, " mends it (off by %.1f ± %.1f)\n", r->steps, r->error);
    }
}

static json_t *fit_json(const struct field_fit *f)
{
    json_t *o =
        json_pack("{s:s,s:o,s:o}", "shape", f->arc ? "arc" : "line", "rms_steps",
                  rounded(f->rms, 0.001), "performers", ROWS_JSON(field_off_columns, f->at, f->n));
    json_object_set_new(o, "angle", f->arc ? json_null() : rounded(f->angle, 0.01));
    json_object_set_new(o, "radius_steps", f->arc ? rounded(f->radius, 0.001) : json_null());
    json_object_set_new(o, "center", f->arc ? json_text(f->center_spot) : json_null());
    return o;
}

static void fit_lines(const struct field_fit *f, struct buf *out)
{
    const size_t always = f->arc ? 3 : 2; /* as many that they lie on it whoever they are */
    if (f->arc)
        buf_printf(out, "an arc of %.1f steps around %s", f->radius, f->center_spot);
    else
        buf_printf(out, "a line at %.1f degrees to the sidelines", f->angle);
    if (f->n <= always) {
        buf_printf(out, "; %zu clicks always lie on one, more tell who is off it\n", f->n);
        return;
    }
    buf_printf(out, "; people stand %.2f step off it (rms)\n", f->rms);
    for (size_t i = 0; i < f->n; i++)
        off_line(&f->at[i], out);
}

void field_fit(const struct field_fit *f, enum format as, struct buf *out)
{
    if (as == AS_JSON) {
        json_put(fit_json(f), out);
        return;
    }
    if (as == AS_CSV) {
        ROWS_CSV(field_off_columns, f->at, f->n, out);
        return;
    }
    fit_lines(f, out);
}

static json_t *form_json(const struct field_form *f)
{
    json_t *unmatched = json_array(), *missing = json_array();
    for (size_t i = 0; i < f->n_unmatched; i++) {
        json_t *o = table_json(field_place_columns, &f->unmatched[i]);
        json_object_set_new(o, "x", rounded(f->unmatched_at[i].x, 0.01));
        json_object_set_new(o, "y", rounded(f->unmatched_at[i].y, 0.01));
        json_array_append_new(unmatched, o);
    }
    for (size_t i = 0; i < f->n_missing; i++)
        json_array_append_new(missing, json_text(f->missing[i]));
    return json_pack("{s:{s:o,s:o,s:o,s:o},s:o,s:o,s:o}", "shift", "across",
                     rounded(f->shift.x, 0.001), "depth", rounded(f->shift.y, 0.001), "error",
                     rounded(f->shift_error, 0.001), "scale", rounded(f->scale, 0.0001),
                     "performers", ROWS_JSON(field_off_columns, f->at, f->n), "unmatched",
                     unmatched, "missing", missing);
}

static void form_lines(const struct field_form *f, struct buf *out)
{
    static const double askew = 0.02;
    if (hypot(f->shift.x, f->shift.y) > f->shift_error) {
        buf_str(out, "the form stands ");
        move_text(f->shift.x, f->shift.y, out);
        buf_printf(out, " (± %.1f)\n", f->shift_error);
    } else
        buf_printf(out, "the form stands where it should, to ± %.1f step\n", f->shift_error);
    if (fabs(f->scale - 1) > askew)
        buf_printf(out, "it is %.0f %% too %s\n", fabs(f->scale - 1) * 100,
                   f->scale > 1 ? "wide" : "narrow");
    for (size_t i = 0; i < f->n; i++) {
        const struct field_off_row *r = &f->at[i];
        who_text(r->number, r->performer, out);
        if (r->steps > r->error) {
            buf_printf(out, " is %.1f ± %.1f %s off it: ", r->steps, r->error, plural(r->steps));
            move_text(-r->across, -r->depth, out);
            buf_str(out, " mends it\n");
        } else
            buf_printf(out, " may be on the dot (off by %.1f ± %.1f)\n", r->steps, r->error);
    }
    for (size_t i = 0; i < f->n_unmatched; i++)
        buf_printf(out, "nobody's dot is near the click at %.0f,%.0f: %s\n", f->unmatched_at[i].x,
                   f->unmatched_at[i].y, f->unmatched[i].spot);
}

void field_form(const struct field_form *f, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(form_json(f), out);
    else if (as == AS_CSV)
        ROWS_CSV(field_off_columns, f->at, f->n, out);
    else
        form_lines(f, out);
}

/* --- pace and angle ---------------------------------------------------------------------------- */

void field_pace(const struct field_pace *p, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(table_json(field_pace_columns, p), out);
    else if (as == AS_CSV)
        rows_csv(field_pace_columns, p, 1, sizeof *p, out);
    if (as != AS_TEXT)
        return;
    buf_printf(out, "%.2f ± %.2f %s", p->steps, p->error, plural(p->steps));
    if (isfinite(p->counts))
        buf_printf(out, " in %.1f counts: %.1f to 5 (%.1f to %.1f), %.1f in a count", p->counts,
                   p->to_five, p->to_five_low, p->to_five_high, p->in_a_count);
    buf_printf(out, ", %.1f feet a second\n", p->speed);
}

void field_angle(double degrees, double error, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(json_pack("{s:o,s:o}", "picture_angle", rounded(degrees, 0.01), "error",
                           rounded(error, 0.01)),
                 out);
    else
        buf_printf(out,
                   as == AS_CSV
                       ? "picture_angle,error\r\n%.2f,%.2f\r\n"
                       : "%.1f ± %.1f degrees between them on the picture (not in space)\n",
                   degrees, error);
}

void field_corner(double degrees, double error, enum format as, struct buf *out)
{
    if (as == AS_JSON)
        json_put(
            json_pack("{s:o,s:o}", "angle", rounded(degrees, 0.01), "error", rounded(error, 0.01)),
            out);
    else
        buf_printf(out,
                   as == AS_CSV ? "angle,error\r\n%.2f,%.2f\r\n"
                                : "%.1f ± %.1f degrees on the ground\n",
                   degrees, error);
}
