/* The form in which a rep plan is asked for: everything that the command line knows, a row each. */
#ifndef COMMAND_PLAN_FORM_H
#define COMMAND_PLAN_FORM_H

#include "app/plan_ask.h"
#include "command/desk.h"

/* Opens it with what the plan of that day was asked for with; "" is the plan on the desk's, else
 * today's. */
void plan_form_open(struct desk *d, const char *date);
/* "90", "90 18:00", "90 18:00 88F", "90 88F", "90 18:00 none": minutes, start and heat, the rest as
 * the plan of the day was asked for with. */
void plan_form_typed(struct desk *d, const char *text);

/* Rows: the fields in their order (plan_fields). */
size_t plan_form_rows(void);
size_t plan_form_row(const struct desk *d);
void plan_form_move(struct desk *d, long by);
/* The values of a field, "" when nothing is said; several are separated by "; ". A flag is "yes". */
void plan_form_value(const struct desk *d, size_t row, struct buf *out);
/* Asks for the chosen field's value; a flag is set or taken back. */
void plan_form_enter(struct desk *d);

#endif
