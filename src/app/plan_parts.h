/* The parts that app_plan() is put together from. Inner to the room. */
#ifndef APP_PLAN_PARTS_H
#define APP_PLAN_PARTS_H

#include "app/plan.h"

/* The sets as the planner takes them: seconds from the tempo map, steps from the dots. */
struct plan_set *part_sets(struct app *a, struct arena *mem);
/* Puts the choice's own seconds in. */
bool part_seconds(struct app *a, const struct plan_choice *choice, struct plan_set *sets,
                  struct arena *mem, struct err *e);

/* An open mark: one of a fault whose name or words speak of a collision makes its set one that is
 * walked first. */
void part_collision(const struct show *show, int fault, int set, struct plan_set *sets,
                    struct arena *mem);

/* The cautions of the weather, and the breaks that the policy asks for. */
bool part_heat(const struct plan_choice *choice, struct arena *mem, struct plan_report *out,
               struct err *e);
/* No blocks, but the reason first: the policy leaves no rehearsal outdoors. */
void part_closed(const struct plan_choice *choice, struct arena *mem, struct plan_report *out);

#endif
