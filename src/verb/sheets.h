/* What the verb sheet prints of the show, kind by kind. Inner to the room. */
#ifndef VERB_SHEETS_H
#define VERB_SHEETS_H

#include "app/app.h"
#include "sheet/sheet.h"
#include "verb/verb.h"

typedef bool (*sheets_fn)(struct call *c, struct app *a, const struct sheet_style *style,
                          struct sheet_made *out, struct err *e);
bool sheets_fixes(struct call *c, struct app *a, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e);
/* Tells of notes among the report's moments that have a performer's name in them, each once, where no
 * names are to be printed. */
void sheets_names(struct call *c, const struct fix_report *r, const struct sheet_style *style);
bool sheets_chart(struct call *c, struct app *a, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e);
bool sheets_define(struct call *c, struct app *a, const struct sheet_style *style,
                   struct sheet_made *out, struct err *e);
bool sheets_plan(struct call *c, struct app *a, const struct sheet_style *style,
                 struct sheet_made *out, struct err *e);

#endif
