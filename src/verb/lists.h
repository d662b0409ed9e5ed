/* What verbs that print lists share. */
#ifndef VERB_LISTS_H
#define VERB_LISTS_H

#include "app/app.h"
#include "verb/verb.h"

#define LISTS_LINK_FROM                                                                            \
    {                                                                                              \
        "link-from", "DIR",                                                                        \
            "links are relative to this folder (default: that of the file that is written; "       \
            "through a pipe, the show's)",                                                         \
            false                                                                                  \
    }

/* app_open(), and where the links of a list begin. */
bool lists_open(struct call *c, struct app *app, struct err *e);

#endif
