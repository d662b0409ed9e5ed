/* Does a mark wait for a decision of the staff? */
#ifndef APP_ASKS_H
#define APP_ASKS_H

#include "app/app.h"

/* Its own cause is 'define' and nothing was decided about its fault since it was made. */
bool app_mark_asks(struct store *s, const struct show *show, const struct seen_row *row);

#endif
