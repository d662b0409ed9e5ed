#include "paper/json.h"

#include <math.h>
#include <stdlib.h>

json_t *json_text(const char *s)
{
    json_t *j = json_string(s);
    return j ? j : json_string("?"); /* text that is not UTF-8 never gets into a show */
}

json_t *json_count(int set, double count)
{
    return set < 0 ? json_null() : json_real(round(count * 1000) / 1000);
}

json_t *json_set(const struct show *show, int set)
{
    return set < 0 ? json_null() : json_text(show->sets[set].label);
}

void json_put(json_t *root, struct buf *out)
{
    char *text = json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(12));
    buf_str(out, text);
    buf_char(out, '\n');
    free(text);
    json_decref(root);
}
