/* Every verb's row. */
#ifndef VERB_ROWS_H
#define VERB_ROWS_H

#include "verb/verb.h"

extern const struct verb verb_review, verb_new, verb_add, verb_mark, verb_hear, verb_calls,
    verb_fixes, verb_count, verb_field, verb_define, verb_compare, verb_history, verb_state,
    verb_plan, verb_tick, verb_watched, verb_setting, verb_undo, verb_keys, verb_check,
    verb_help_row, verb_version, verb_publish, verb_sheet, verb_pages;

#endif
