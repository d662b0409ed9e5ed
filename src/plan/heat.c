#include "plan/heat.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/quantity.h"

enum { COLDEST_F = -60, HOTTEST_F = 150, PLAIN_WBGT_LEAST_F = 60 };
enum { CHART_LEAST_F = 80, CHART_MOST_F = 110, CHART_LEAST_HUMIDITY = 40, CHART_INDEX_F = 137 };

/* "29,5C" as "29.5C": a meter's number is never in thousands. */
static const char *with_point(const char *text, char out[32])
{
    if (strlen(text) >= 32)
        return text;
    strcpy(out, text);
    char *comma = strchr(out, ',');
    if (comma && !strchr(out, '.'))
        *comma = '.';
    return out;
}

bool heat_parse_temp(const char *text, double *temp_f, struct err *e)
{
    static const struct unit units[] = {{"F", 1, 0}, {"C", 9.0 / 5, 32}, {NULL, 0, 0}};
    double f;
    char points[32];
    switch (quantity_read(with_point(text, points), units, &f)) {
    case QUANTITY_READ:
        break;
    case QUANTITY_NO_NUMBER:
        return err_set(e, ERR_INPUT, "temperature '%s': not a number with a unit; write 94F or 34C",
                       text);
    default:
        return err_set(e, ERR_INPUT, "temperature '%s': no unit; write %.4gF or %.4gC", text, f, f);
    }
    if (f < COLDEST_F || f > HOTTEST_F)
        return err_set(e, ERR_INPUT, "temperature '%s': outside %d to %d °F; read the meter again",
                       text, COLDEST_F, HOTTEST_F);
    *temp_f = f;
    return true;
}

bool heat_parse_wbgt(const char *text, double *wbgt_f, struct err *e)
{
    double plain;
    char points[32];
    const char *end = decimal_read(with_point(text, points), &plain);
    if (!end || *end || plain < PLAIN_WBGT_LEAST_F)
        return heat_parse_temp(text, wbgt_f, e);
    *wbgt_f = plain;
    return true;
}

bool heat_parse_humidity(const char *text, double *percent, struct err *e)
{
    static const struct unit units[] = {{"%", 1, 0}, {NULL, 0, 0}};
    double value;
    const enum quantity read = quantity_read(text, units, &value);
    if ((read != QUANTITY_READ && read != QUANTITY_NO_UNIT) || !(value >= 0 && value <= 100))
        return err_set(e, ERR_INPUT,
                       "humidity '%s': not a percentage; write 0 to 100, as 60 or 60%%", text);
    *percent = value;
    return true;
}

double heat_index_regression(double t, double r)
{
    return -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r - 0.00683783 * t * t -
           0.05481717 * r * r + 0.00122874 * t * t * r + 0.00085282 * t * r * r -
           0.00000199 * t * t * r * r;
}

double heat_index(double t, double r)
{
    if (!isfinite(t) || !(r >= 0 && r <= 100))
        return NAN;
    const double simple = 0.5 * (t + 61 + (t - 68) * 1.2 + r * 0.094);
    const double mean = (simple + t) / 2;
    if (mean < 80)
        return mean;
    double index = heat_index_regression(t, r);
    if (r < 13 && t >= 80 && t <= 112)
        index -= (13 - r) / 4 * sqrt((17 - fabs(t - 95)) / 17);
    else if (r > 85 && t >= 80 && t <= 87)
        index += (r - 85) / 10 * ((87 - t) / 5);
    return index;
}

static const struct {
    double from_f;
    const char *name;
} categories[] = {
    {125, "extreme danger"}, {103, "danger"}, {90, "extreme caution"}, {80, "caution"}};

const char *heat_category(double index_f)
{
    for (size_t i = 0; i < sizeof categories / sizeof *categories; i++)
        if (index_f >= categories[i].from_f)
            return categories[i].name;
    return "";
}

enum heat_where heat_where(double t, double r)
{
    if (t > CHART_MOST_F || heat_index(t, r) > CHART_INDEX_F + 0.5)
        return HEAT_BEYOND;
    return t < CHART_LEAST_F || r < CHART_LEAST_HUMIDITY ? HEAT_BESIDE : HEAT_CHARTED;
}

void heat_caution(double temp_f, double humidity, struct buf *out)
{
    const double index = heat_index(temp_f, humidity);
    if (isnan(index)) {
        buf_str(out,
                "Heat index unknown: it needs a temperature and a humidity. " HEAT_REMINDER "\n");
        return;
    }
    const enum heat_where where = heat_where(temp_f, humidity);
    const char *name = heat_category(index);
    if (where == HEAT_BEYOND)
        buf_printf(
            out,
            "Heat index: %.4g °F at %.4g %% is beyond %s, so it has no figure: extreme danger, or "
            "a wrong reading; measure again. ",
            temp_f, humidity, HEAT_CHART);
    else
        buf_printf(out, "Heat index about %.0f °F: %s%s (%s). ", index,
                   *name ? "" : "below the lowest category, which does not mean no risk", name,
                   HEAT_CATEGORY_SOURCE);
    if (where == HEAT_BESIDE)
        buf_str(out, "That is outside " HEAT_CHART ", from the equation alone. ");
    buf_str(out, "It is made for shade and rest; full sun can add up to 15 °F. A rehearsal goes by "
                 "wet-bulb globe temperature measured on site. " HEAT_REMINDER "\n");
}

struct heat_breaks heat_breaks_default(void)
{
    return (struct heat_breaks){
        .work_most_s = 20 * 60,
        .break_s = 3 * 60,
        .source = "water every 20 min at most, 3 min or more (common practice, no source)",
    };
}
