#include "verb/verbs.h"

#include "verb/rows.h"

const struct verb *const verbs[] = {
    &verb_review,  &verb_new,     &verb_add,     &verb_mark,    &verb_calls,    &verb_hear,
    &verb_fixes,   &verb_define,  &verb_compare, &verb_history, &verb_state,    &verb_plan,
    &verb_tick,    &verb_publish, &verb_sheet,   &verb_undo,    &verb_count,    &verb_field,
    &verb_watched, &verb_setting, &verb_keys,    &verb_check,   &verb_help_row, &verb_version,
    &verb_pages,   NULL,
};
