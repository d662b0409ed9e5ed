#include "screen/screens.h"

extern const struct screen screen_review, screen_fixes, screen_clips, screen_plan, screen_lead,
    screen_plan_form, screen_define, screen_drafts, screen_compare, screen_tap_bias, screen_field,
    screen_help;

const struct screen *const screens[] = {
    &screen_review, &screen_fixes,   &screen_clips, &screen_plan, &screen_plan_form, &screen_define,
    &screen_drafts, &screen_compare, &screen_field, &screen_lead, &screen_tap_bias,  &screen_help,
    NULL,
};

const struct tools review_tools = {commands, screens};
