/* What `boxcall count` prints of what was tapped or heard. */
#include <math.h>
#include <stdio.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/count.h"
#include "paper/count_columns.h"
#include "paper/json.h"
#include "paper/table.h"

static double round_to(double x, double unit)
{
    return round(x / unit) * unit;
}

/* --- taps ------------------------------------------------------------------------------------ */

static bool taps_bpm(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->bpm;
    return true;
}

static bool taps_bpm_error(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->bpm_error;
    return true;
}

static bool taps_ms(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->at_us / 1000;
    return true;
}

static bool taps_ms_error(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->at_error_us / 1000;
    return true;
}

static bool taps_ratio(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->ratio;
    return f->ratio > 0;
}

static bool taps_octave(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->octave;
    return f->octave > 0;
}

static bool taps_residual(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->residual_us / 1000;
    return true;
}

static bool taps_used(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->used;
    return true;
}

static bool taps_set_aside(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->outliers + f->doubles;
    return true;
}

static bool taps_missed(const void *row, double *out)
{
    const struct tap_fit *f = row;
    *out = f->missed;
    return true;
}

const struct column taps_columns[] = {
    MICRO_COLUMN("bpm", taps_bpm, "tempo at the first tap's beat"),
    MICRO_COLUMN("bpm_error", taps_bpm_error, "its 95 % half-width"),
    MS_COLUMN(taps_ms, "clip time of the first tap's beat, milliseconds"),
    {.name = "ms_error",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = taps_ms_error,
     .format = "%.3f",
     .unit = 0.001,
     .help = "its 95 % half-width"},
    MICRO_COLUMN("ratio", taps_ratio, "played to written tempo; empty where none is written"),
    {.name = "octave",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = taps_octave,
     .format = "%g",
     .help = "2 or 0.5 when half or double time was tapped; empty when it is neither"},
    {.name = "residual_ms",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = taps_residual,
     .format = "%.3f",
     .unit = 0.001,
     .help = "how far a tap is off the line"},
    WHOLE_COLUMN("used", taps_used, "taps"),
    WHOLE_COLUMN("set_aside", taps_set_aside, "taps far off, and second ones on a beat"),
    WHOLE_COLUMN("missed", taps_missed, "beats without a tap"),
    {.name = NULL},
};

void count_taps(const struct tap_fit *f, enum format as, struct buf *out)
{
    if (as == AS_JSON) {
        json_put(table_json(taps_columns, f), out);
    } else if (as == AS_CSV) {
        table_csv_head(taps_columns, out);
        table_csv_row(taps_columns, f, out);
    } else {
        char time[24];
        time_format(near_within(f->at_us, INT64_MIN, INT64_MAX), time);
        buf_printf(out, "%.2f bpm +- %.2f; the first tap's beat at %s +- %.0f ms (95 %%)\n", f->bpm,
                   f->bpm_error, time, f->at_error_us / 1000);
        buf_printf(out,
                   "%d taps used, %d set aside, %d beats without a tap; a tap is off by %.0f ms\n",
                   f->used, f->outliers + f->doubles, f->missed, f->residual_us / 1000);
        if (f->octave == 2 || f->octave == 0.5)
            buf_printf(out, "The written tempo is %s the tapped one: %s was tapped.\n",
                       f->octave == 2 ? "twice" : "half",
                       f->octave == 2 ? "half time" : "double time");
    }
}

/* --- beats ----------------------------------------------------------------------------------- */

static bool beat_ms(const void *row, double *out)
{
    *out = (double)((const struct beat *)row)->at_us / 1000;
    return true;
}

static bool beat_bpm(const void *row, double *out)
{
    *out = ((const struct beat *)row)->bpm;
    return true;
}

static bool beat_confidence(const void *row, double *out)
{
    *out = ((const struct beat *)row)->confidence;
    return true;
}

static bool beat_heard(const void *row, double *out)
{
    *out = ((const struct beat *)row)->heard;
    return true;
}

/* JSON has lists of numbers instead: a clip has thousands of beats. */
const struct column beats_columns[] = {
    {.name = "ms",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = beat_ms,
     .format = "%.3f",
     .help = "clip time in milliseconds"},
    {.name = "bpm",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = beat_bpm,
     .format = "%.3f",
     .help = "tempo from the beats around it"},
    {.name = "confidence",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = beat_confidence,
     .format = "%.3f",
     .help = "0 to 1"},
    {.name = "heard",
     .kind = COLUMN_TRUTH,
     .where = IN_CSV,
     .number = beat_heard,
     .help = "yes where a sound begins on it"},
    {.name = NULL},
};

void count_beats(const struct beats *b, enum format as, struct buf *out)
{
    double confidence = 0;
    for (size_t i = 0; i < b->n; i++)
        confidence += b->beat[i].confidence / (double)b->n;
    if (as == AS_JSON) {
        json_t *o = json_object(), *bpm = json_array(), *beats = json_array();
        for (size_t i = 0; i < b->n; i++) {
            double ms = round_to((double)b->beat[i].at_us / 1000, 0.001);
            json_array_append_new(beats, json_real(ms));
            json_array_append_new(
                bpm, json_pack("{s:f,s:f}", "ms", ms, "bpm", round_to(b->beat[i].bpm, 0.001)));
        }
        json_object_set_new(o, "bpm", bpm);
        json_object_set_new(o, "beats", beats);
        json_object_set_new(o, "confidence", json_real(round_to(confidence, 0.001)));
        json_put(o, out);
        return;
    }
    if (as == AS_CSV)
        table_csv_head(beats_columns, out);
    else
        buf_printf(out, "%zu beats, confidence %.2f\n", b->n, confidence);
    for (size_t i = 0; i < b->n; i++) {
        const struct beat *k = &b->beat[i];
        char time[24];
        time_format(k->at_us, time);
        if (as == AS_CSV)
            table_csv_row(beats_columns, k, out);
        else
            buf_printf(out, "%-12s %7.2f bpm%s\n", time, k->bpm, k->heard ? "" : "  (between)");
    }
}
