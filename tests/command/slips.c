#include "command/slips.h"

#include <string.h>

#include "command/run.h"
#include "command/screen.h"
#include "command/stage.h"

enum { TICK_US = 20000 };

void begin_to_measure(struct desk *d)
{
    desk_key(d, "F6");
    assert_string_equal(d->screen->open.name, "lead");
    assert_int_equal(lead_trial(d)->phase, LEAD_READY);
    desk_key(d, "Space");
    assert_int_equal(lead_trial(d)->phase, LEAD_MARCH);
}

void until_a_slip(struct desk *d)
{
    for (int i = 0; lead_trial(d)->phase == LEAD_MARCH; i++) {
        assert_true(i < 12000000 / TICK_US); /* it comes within twelve seconds */
        lead_tick(d, lead_trial(d)->now_us + TICK_US);
    }
    assert_int_equal(lead_trial(d)->phase, LEAD_SLIP);
}

const char *right_section(const struct desk *d)
{
    const struct lead_trial *t = lead_trial(d);
    return d->app->show.sections[t->field.sections[t->slip.group]].key;
}

const char *right_fault(const struct desk *d)
{
    const struct lead_trial *t = lead_trial(d);
    return d->app->show.faults[t->field.kinds[t->slip.kind].fault].key;
}

void type_keys(struct desk *d, const char *letters)
{
    for (; *letters; letters++)
        desk_key(d, (const char[]){*letters, '\0'});
}

void answer(struct desk *d, double ms, const char *section, const char *fault)
{
    const char first[] = {section[0], '\0'};
    assert_true(lead_key(d, first, lead_trial(d)->seen_us + (int64_t)(ms * 1000)));
    type_keys(d, section + 1);
    type_keys(d, fault);
}

void until_a_slip_of_trumpets(struct desk *d)
{
    until_a_slip(d);
    while (strcmp(right_section(d), "t") != 0) {
        answer(d, 500, "e", "h");
        until_a_slip(d);
    }
}
