/* What a plan is asked for with: a list of names and values, the same from the command line, from
 * the form on the plan's screen and from the show file, which keeps it beside the plan. */
#ifndef APP_PLAN_ASK_H
#define APP_PLAN_ASK_H

#include "app/plan.h"

/* Name, what stands behind it (NULL: a flag), what it is, may be given several times. In the order of
 * --help and of the form. */
#define PLAN_FIELDS(X)                                                                             \
    X("minutes", "N", "how long the rehearsal is", false)                                          \
    X("start", "18:00", "when it begins", false)                                                   \
    X("date", "YYYY-MM-DD", "of which day (default: today)", false)                                \
    X("with", "SECTIONS", "who is there, separated by commas (default: everybody)", false)         \
    X("fixed", "NAME:MIN[:WHEN][:rest]",                                                           \
      "warm-up:15, run-through:10:last, talk:5:19:00; it is work to the heat policy unless it "    \
      "ends in :rest, as talk:10:rest or talk:10:19:00:rest",                                      \
      true)                                                                                        \
    X("together", NULL, "no sectionals", false)                                                    \
    X("order", "ORDER", "of the blocks for everyone: show (default) or worst-first", false)        \
    X("no-run", NULL, "time that is left over stays empty, instead of a run of the show", false)   \
    X("wbgt", "91F|33C|none",                                                                      \
      "measured wet-bulb globe temperature; none drops that of the day's stored plan", false)      \
    X("temp", "94F|34C", "air temperature, with --humidity: heat index", false)                    \
    X("humidity", "PERCENT", "relative humidity", false)                                           \
    X("policy", "FILE", "the local heat policy (CSV)", false)                                      \
    X("indoors", NULL, "rehearse inside: plan although it is too hot outdoors", false)             \
    X("breaks", "WORK:REST", "minutes of work at most, then of water (default 20:3)", false)       \
    X("least", "N",                                                                                \
      "minutes of a block at least (default 5, less where there is no stretch of 5)", false)       \
    X("worth", "SEVERITY",                                                                         \
      "what a minute must mend, a small mark being 1 (default 0.1); what is not worth it goes to " \
      "the run",                                                                                   \
      false)                                                                                       \
    X("sectional", "WORTH",                                                                        \
      "what counts of a mark that is mended in a sectional, with everyone being 1: 0 to 1 "        \
      "(default 1)",                                                                               \
      false)                                                                                       \
    X("learn", "SHARE|history",                                                                    \
      "what a rep mends of what was said (default 0.3; 0.4 in a sectional); history: as this "     \
      "show's own rehearsals did",                                                                 \
      false)                                                                                       \
    X("say", "N", "most things said before a rep; the faults of a block take turns (default 2)",   \
      false)                                                                                       \
    X("reset", "SECONDS",                                                                          \
      "from the last count back to the first dot (default 35; 25 in a sectional)", false)          \
    X("setup", "SECONDS", "once for each block: the talk and the walk (default 60)", false)        \
    X("most-reps", "N", "of one block (default 8)", false)                                         \
    X("seconds", "SET:SECONDS", "playing time of a set without a tempo", true)                     \
    X("clip", "CLIP", "marks of this clip only; may be given several times", true)                 \
    X("since", "YYYY-MM-DD", "only clips from this date on", false)

struct plan_field {
    const char *name, *value, *help;
    bool many;
};
extern const struct plan_field plan_fields[];                /* ends with a row without a name */
const struct plan_field *plan_field_named(const char *name); /* NULL */

struct plan_said {
    const char *name, *value; /* "" for a flag */
};

struct plan_ask {
    struct plan_said *at; /* the arena's; what was said last counts, but for fields of many */
    size_t n;
    struct table_talk *talk; /* where all wrong cells of a policy are told; NULL */
};

void plan_ask_add(struct plan_ask *ask, const char *name, const char *value, struct arena *mem);
/* The last value, or NULL. */
const char *plan_ask_value(const struct plan_ask *ask, const char *name);
/* Puts a value in the place of all there were; NULL only takes them away. */
void plan_ask_set(struct plan_ask *ask, const char *name, const char *value, struct arena *mem);

/* "minutes 90\nfixed warm-up:15\n", and back; lines that say nothing known are left out. */
const char *plan_ask_text(const struct plan_ask *ask, struct arena *mem);
void plan_ask_parse(const char *text, struct arena *mem, struct plan_ask *out);

/* Reads what was asked; the policy's file too. False with e: one line for the first value that is
 * wrong. The choice points into the arena and the ask. */
bool plan_ask_choice(const struct plan_ask *ask, struct arena *mem, struct plan_choice *out,
                     struct err *e);

#endif
