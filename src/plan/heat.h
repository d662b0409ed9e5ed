/* Heat: the NWS heat index as a caution, and how often a rehearsal must rest.
 *
 * Nothing here clears anybody to work. Local policy, the athletic trainer and licensed practice
 * decide; HEAT_REMINDER says so and belongs beside every figure from this file.
 *
 * Temperatures are in degrees Fahrenheit, as the policies are; humidity is relative, in percent. */
#ifndef PLAN_HEAT_H
#define PLAN_HEAT_H

#include <stdbool.h>

#include "base/buf.h"
#include "base/err.h"

#define HEAT_REMINDER                                                                              \
    "Local policy, the athletic trainer and licensed practice decide; this figure clears nobody "  \
    "to work."

/* '94F', '34C', '34 °C', '93.2 F'. The unit is needed: 34 could be either. -60 to 150 °F. */
bool heat_parse_temp(const char *text, double *temp_f, struct err *e);
/* A wet-bulb globe temperature: the same, and a plain number from 60 on is °F (policies are in °F,
 * and nobody measures 60 °C). */
bool heat_parse_wbgt(const char *text, double *wbgt_f, struct err *e);
/* '60', '60%'; 0 to 100. */
bool heat_parse_humidity(const char *text, double *percent, struct err *e);

/* NWS heat index (NOAA Weather Prediction Center, 'The Heat Index Equation'; Rothfusz 1990,
 * Technical Attachment SR 90-23). The page's wording allows several readings; this is ours:
 *   1. simple = 0.5 {T + 61 + 1.2 (T-68) + 0.094 RH}; mean = (simple + T) / 2
 *   2. mean < 80: the answer is the mean (other readings differ by up to 3.3 °F near 79)
 *   3. otherwise heat_index_regression(), less the adjustment for RH < 13 at 80..112 °F, plus the
 *      one for RH > 85 at 80..87 °F.
 * For shade and a light wind. NaN for a humidity outside 0..100 or a temperature that is not a
 * number. */
double heat_index(double temp_f, double humidity);
/* The polynomial alone. The printed NWS chart is this, rounded, without the adjustments. */
double heat_index_regression(double temp_f, double humidity);

/* The printed NWS chart (NWS Tulsa, after Rothfusz 1990) runs from 80 to 110 °F and from 40 to 100
 * %, and prints no index above 137 °F; the equation page's own adjustment ends at 112 °F. */
#define HEAT_CHART "the NWS chart (80 to 110 °F, 40 to 100 %, an index of at most 137 °F)"
enum heat_where {
    HEAT_CHARTED,
    HEAT_BESIDE, /* cooler or drier than the chart: the equation alone */
    HEAT_BEYOND, /* air above 110 °F or an index above 137 °F: the figure means nothing */
};
enum heat_where heat_where(double temp_f, double humidity);

/* NWS pages differ on the edges (90/103/125 and 90/105/130 °F); ours is the more cautious one. */
#define HEAT_CATEGORY_SOURCE "NWS heat index categories 80/90/103/125 °F, as reprinted 2015"
/* "caution" ... "extreme danger"; "" below 80 °F or for NaN (which is not 'safe'). */
const char *heat_category(double index_f);

/* One paragraph of cautions for a temperature and humidity: index, category and page, whether that
 * is outside the chart (beyond it no figure is printed), that it is for shade and rest (full sun
 * adds up to 15 °F), that a rehearsal goes by measured WBGT, and HEAT_REMINDER. Ends with a
 * newline. */
void heat_caution(double temp_f, double humidity, struct buf *out);

/* What any hour of a rehearsal must hold; rest_s 0 = no such rule.
 *
 * Every 60 minutes that lie inside the rehearsal, from its start to its end as given and whatever
 * is planned in them, beginning at any second (also in the middle of a rep or of a break), hold
 *   - rest of rest_s altogether. Rest is a break, or a fixed item that is said to be rest; what
 *     touches is one rest. One shorter than least_s counts for nothing; of one that reaches over
 *     the edge of the 60 minutes the part inside counts.
 *   - at least `breaks` rests apart from each other, wholly or in part; fewer when half of the time
 *     or more is rest.
 * Fixed items are work unless said otherwise. Resets, gathering and time in which nothing is
 * planned are not rest: nobody said so, and somebody may fill them.
 *
 * A rehearsal of exactly 60 minutes is one such window: all its rest lies inside it, a break at its
 * end included. A shorter one of m minutes is a window that asks rest_s x m / 60, rounded up to
 * minutes, and breaks x m / 60, rounded down; one no longer than work_most_s asks nothing, as the
 * rhythm's first break is not due in it. (A policy speaks of hours only; this reading is ours.) */
struct heat_hour {
    int rest_s, breaks, least_s;
};

/* How work and rest alternate. */
struct heat_breaks {
    int work_most_s; /* no stretch of work is longer; 0 = no breaks are placed */
    int break_s;     /* each break is at least this long */
    int longest_s;   /* the whole rehearsal, breaks included, is at most this long; 0 = no rule */
    const char *source; /* where the figures come from; text that outlives the struct */
    struct heat_hour hour;
};

/* Without a measured WBGT: 3 min of water at the latest every 20 min. Common practice, no source.
 */
struct heat_breaks heat_breaks_default(void);

#endif
