/* One word as typed, given to every reader of a time, a place, a temperature or a distance. Each
 * refuses it in words or gives a value within its range; what is printed of that value reads back
 * as the same. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "count/moment.h"
#include "count/sound.h"
#include "fuzz/fuzz.h"
#include "mark/mark.h"
#include "plan/heat.h"

static const struct rate rates[] = {{30000, 1001}, {25, 1}, {60000, 1001}, {0, 0}, {1, 1}};

static void times(const char *s)
{
    struct err e = {0};
    char printed[24];
    int64_t us = -7, again;
    if (!time_parse(s, &us, &e)) {
        prove_error(&e);
        PROVE(us == -7);
    } else {
        PROVE(us >= 0 && us <= TIME_MAX_US);
        time_format(us, printed);
        PROVE(time_parse(printed, &again, &e) && llabs(again - us) <= 500);
        time_format_short(us, printed);
        PROVE(time_parse(printed, &again, &e) && llabs(again - us) <= 50000);
    }
    us = -7;
    if (!time_parse_shift(s, &us, &e))
        prove_error(&e);
    else
        PROVE(us >= -TIME_MAX_US && us <= TIME_MAX_US);
}

static void labels(const char *s, struct rate r)
{
    struct err e = {0};
    struct moment m = {0};
    char printed[16];
    int64_t frame = -7, again;
    if (smpte_parse(s, r, &frame, &e)) {
        PROVE(smpte_format(frame, r, rate_drops(r) && strchr(s, ';') != NULL, printed));
        PROVE(smpte_parse(printed, r, &again, &e) && again == frame);
        PROVE(moment_parse_time(s, r, &m, &e) && m.us == frame_time(frame, r));
    } else {
        prove_error(&e);
        PROVE(frame == -7);
    }
    if (moment_parse_time(s, r, &m, &e)) {
        PROVE(m.kind == MOMENT_TIME || m.kind == MOMENT_SHIFT_TIME);
        PROVE(llabs(m.us) <= TIME_MAX_US);
    } else {
        prove_error(&e);
    }
}

static void places(const char *s)
{
    const struct show *show = fuzz_band();
    struct move moves[8];
    struct moment m = {0};
    struct err e = {0};
    for (size_t i = 0; i < show->n_sets; i++)
        moves[i] = (struct move){show->sets[i].label, show->sets[i].counts, show->sets[i].tempo,
                                 show->sets[i].tempo_end, show->sets[i].hold};
    if (!moment_parse_drill(s, (struct moves){moves, show->n_sets}, &m, &e)) {
        prove_error(&e);
        return;
    }
    if (m.kind == MOMENT_PLACE) {
        PROVE(m.set >= 0 && (size_t)m.set < show->n_sets);
        PROVE(m.count >= 1 && m.count <= moves[m.set].counts + 1);
    } else if (m.kind == MOMENT_SHIFT_COUNTS) {
        PROVE(isfinite(m.count));
    } else {
        PROVE(llabs(m.us) <= TIME_MAX_US);
    }
}

static void field(const char *s)
{
    struct err e = {0};
    double at = 0;
    if (!across_parse(grid_named("high-school"), s, &at, &e))
        prove_error(&e);
    else
        PROVE(isfinite(at) && fabs(at) <= 400);
    if (!depth_parse(grid_named("college"), s, &at, &e))
        prove_error(&e);
    else
        PROVE(isfinite(at) && fabs(at) <= 400);
}

static void air(const char *s)
{
    struct err e = {0};
    double x = 0;
    if (!heat_parse_temp(s, &x, &e))
        prove_error(&e);
    else
        PROVE(x >= -60 && x <= 150);
    if (!heat_parse_humidity(s, &x, &e))
        prove_error(&e);
    else
        PROVE(x >= 0 && x <= 100);
    if (!distance_parse(s, &x, &e))
        prove_error(&e);
    else
        PROVE(x >= 0 && x <= 1000);
    if (!temperature_parse(s, &x, &e))
        prove_error(&e);
    else
        PROVE(x >= -40 && x <= 60 && sound_delay_us(1000, x) > 0);
}

static void names(const char *s)
{
    const struct show *show = fuzz_band();
    const struct target *t, *u;
    struct err e = {0};
    struct arena a = {0};
    struct buf text = {0};
    size_t n, m;
    int at;
    if (!date_check(s, "date", &e))
        prove_error(&e);
    if (!section_named(show, s, &at, &e))
        prove_error(&e);
    if (!fault_named(show, s, &at, &e))
        prove_error(&e);
    if (!(t = targets_parse(&a, show, s, &n, &e))) {
        prove_error(&e);
    } else {
        PROVE(n > 0);
        targets_text(show, t, n, &text);
        prove_utf8(text.p, text.n);
        for (char *comma = text.p; (comma = strchr(comma, ',')) != NULL;)
            *comma = ';';
        PROVE((u = targets_parse(&a, show, text.p, &m, &e)) && m == n);
        for (size_t i = 0; i < n; i++)
            PROVE(t[i].section == u[i].section && t[i].performer == u[i].performer);
    }
    buf_free(&text);
    arena_free(&a);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    char *s = fuzz_string(data, n);
    times(s);
    for (size_t i = 0; i < sizeof rates / sizeof *rates; i++)
        labels(s, rates[i]);
    places(s);
    field(s);
    air(s);
    names(s);
    free(s);
    return 0;
}
