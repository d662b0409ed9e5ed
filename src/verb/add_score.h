#ifndef VERB_ADD_SCORE_H
#define VERB_ADD_SCORE_H

#include "app/app.h"
#include "verb/verb.h"

/* add SHOW sets FILE where FILE is music (score_kind()): the sets it makes are shown; then they are
 * printed as a table (--look), or stored by `store` once a person or --yes agreed to them. */
struct score_road {
    struct app *app;
    const struct table_text *text;
    /* Stores a table of sets as any other that is added. */
    bool (*store)(struct call *c, struct app *app, const struct table_text *table, struct err *e);
};
bool add_score(struct call *c, const struct score_road *road, struct err *e);

/* The options that only music has, NULL at the end. */
extern const char *const score_options[];

#endif
