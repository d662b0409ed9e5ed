/* The reaction lead, measured with a clock of the test's own: which answers count, and what becomes
 * of them. */
#include <stdlib.h>
#include <string.h>

#include "command/calls.h"
#include "command/chord.h"
#include "command/lead.h"
#include "command/playing.h"
#include "command/run.h"
#include "command/screen.h"
#include "command/slips.h"
#include "command/stage.h"
#include "lib/cases.h"
#include "lib/run.h"

static struct app app;
static struct desk d;

static void begin(void)
{
    stage_open(&d, &app);
}

static void end(void)
{
    stage_close(&d, &app);
}

/* What the show file keeps of this person; NULL when nothing. */
static const char *kept(const char *what)
{
    return store_setting(app.store, test_arena(), arena_printf(test_arena(), "%s Ana Quill", what));
}

/* --- a chord as an answer ---------------------------------------------------------------------- */

static struct chord answered;
static int answers;

static void take(struct desk *desk, const struct chord *c)
{
    assert_ptr_equal(desk, &d);
    assert_false(chord_open(desk)); /* what it answers may ask again */
    answered = *c;
    answers++;
}

static void a_chord_can_answer_instead_of_marking(void **state)
{
    (void)state;
    begin();
    answers = 0;
    desk_run(&d, "clips"); /* a screen on which letters mean nothing */
    chord_answer(&d, "t", take);
    assert_true(chord_open(&d));
    assert_string_equal(chord_hand(&d)->typed, "t");
    desk_key(&d, "2");
    desk_key(&d, "."); /* adds to a ripple where a mark is made */
    assert_true(chord_open(&d));
    desk_key(&d, "h");
    assert_int_equal(answers, 1);
    assert_int_equal(answered.n_targets, 1);
    assert_string_equal(app.show.performers[answered.targets[0].performer].label, "T2");
    assert_string_equal(app.show.faults[answered.fault].name, "horn angle");
    chord_answer(&d, "m", take);
    desk_key(&d, "Esc");
    assert_false(chord_open(&d));
    chord_answer(&d, "x", take); /* no section has it */
    assert_false(chord_open(&d));
    assert_true(d.trouble);
    assert_int_equal(answers, 1);
    assert_int_equal(calls_all(&d), 0);
    desk_run(&d, "review"); /* and marks as ever afterwards */
    desk_key(&d, "t");
    desk_key(&d, "h");
    assert_int_equal(answers, 1);
    assert_int_equal(calls_all(&d), 1);
    end();
}

/* --- the reaction lead ------------------------------------------------------------------------- */

static void measure(void)
{
    begin();
    begin_to_measure(&d);
}

static void nine_right_answers(const double ms[LEAD_TRIES])
{
    for (int i = 0; i < LEAD_TRIES; i++) {
        assert_int_equal(lead_trial(&d)->n, i);
        until_a_slip(&d);
        answer(&d, ms[i], right_section(&d), right_fault(&d));
        assert_false(d.trouble);
    }
}

static const double nine[LEAD_TRIES] = {840, 700, 2900, 640, 960, 790, 1010, 880, 720};

static void the_middle_of_nine_reactions_waits_to_be_chosen(void **state)
{
    (void)state;
    measure();
    nine_right_answers(nine);
    assert_string_equal(d.screen->open.name, "lead");
    assert_int_equal(lead_trial(&d)->phase, LEAD_DONE);
    const struct stat_median *m =
        &lead_trial(&d)->result.median; /* 640 700 720 790 840 880 960 1010 2900 */
    assert_true(m->value == 840 && m->low == 700 && m->high == 1010);
    assert_in_range((int)(m->level * 1000 + 0.5), 961, 961);
    assert_true(d.lead_ms == 600); /* nothing is stored, nothing is changed */
    assert_null(kept("lead_ms"));
    desk_key(&d, "1");
    assert_true(d.lead_ms == 840);
    assert_string_equal(kept("lead_ms"), "840.0");
    desk_key(&d, "2"); /* choosing again */
    assert_true(d.lead_ms == 600);
    assert_string_equal(kept("lead_ms"), "600.0");
    desk_key(&d, "1");
    desk_key(&d, "Esc");
    assert_string_equal(d.screen->open.name, "review");
    assert_true(d.lead_ms == 840);
    end();
}

static void what_was_measured_can_be_chosen_later(void **state)
{
    (void)state;
    measure();
    nine_right_answers(nine);
    desk_key(&d, "Esc");
    assert_true(d.lead_ms == 600);
    desk_run(&d, "lead measured");
    assert_true(d.lead_ms == 840);
    desk_run(&d, "lead default");
    assert_true(d.lead_ms == 600);
    desk_key(&d, "F6"); /* the result again */
    assert_int_equal(lead_trial(&d)->phase, LEAD_DONE);
    desk_key(&d, "Space"); /* measures once more; what was found stays until then */
    assert_int_equal(lead_trial(&d)->phase, LEAD_MARCH);
    assert_int_equal(lead_trial(&d)->n, 0);
    desk_key(&d, "Esc");
    desk_run(&d, "lead measured");
    assert_true(d.lead_ms == 840);
    end();
}

static void without_a_measurement_there_is_nothing_to_take(void **state)
{
    (void)state;
    begin();
    desk_run(&d, "lead measured");
    assert_true(d.trouble);
    assert_contains(d.message, "F6");
    assert_true(d.lead_ms == 600);
    end();
}

static void a_median_beyond_what_a_lead_may_be_is_not_taken(void **state)
{
    (void)state;
    static const double slow[LEAD_TRIES] = {3100, 3200, 3300, 3400, 3500, 3100, 3200, 3300, 3400};
    measure();
    nine_right_answers(slow);
    desk_key(&d, "1");
    assert_true(d.trouble);
    assert_contains(d.message, "3000 ms");
    assert_true(d.lead_ms == 600);
    end();
}

static void a_wrong_answer_does_not_count_and_says_what_it_was(void **state)
{
    (void)state;
    measure();
    for (int i = 0; i < 12; i++) {
        until_a_slip(&d);
        const char *section = right_section(&d), *fault = right_fault(&d);
        const char *was = arena_printf(
            test_arena(), "that was %s, %s;",
            app.show.sections[lead_trial(&d)->field.sections[lead_trial(&d)->slip.group]].name,
            app.show.faults[lead_trial(&d)->field.kinds[lead_trial(&d)->slip.kind].fault].name);
        if (i % 3 == 0)
            answer(&d, 500, strcmp(section, "t") == 0 ? "m" : "t", fault);
        else /* the first and the last fault of every show */
            answer(&d, 500, section, i % 3 == 1 ? "ks" : "it");
        assert_contains(d.message, was);
        assert_true(d.trouble);
        assert_int_equal(lead_trial(&d)->n, 0);
        assert_int_equal(lead_trial(&d)->spoilt, i + 1);
        assert_int_equal(lead_trial(&d)->phase, LEAD_MARCH);
    }
    end();
}

/* Whoever names a performer of the section names the section. */
static void a_performer_of_the_section_is_right(void **state)
{
    (void)state;
    measure();
    until_a_slip_of_trumpets(&d);
    answer(&d, 500, "t2", right_fault(&d));
    assert_int_equal(lead_trial(&d)->n, 1);
    assert_true(lead_trial(&d)->ms[0] == 500);
    end();
}

static void a_key_before_the_slip_does_not_count(void **state)
{
    (void)state;
    measure();
    lead_tick(&d, lead_trial(&d)->slip.count * SLIP_COUNT_US + lead_trial(&d)->began_us - 1);
    assert_int_equal(lead_trial(&d)->phase, LEAD_MARCH);
    assert_true(lead_key(&d, right_section(&d), lead_trial(&d)->now_us));
    assert_contains(d.message, "too soon");
    assert_false(chord_open(&d));
    assert_int_equal(lead_trial(&d)->spoilt, 1);
    /* And another moment was drawn, at least three counts off. */
    const int64_t now = (lead_trial(&d)->now_us - lead_trial(&d)->began_us) / SLIP_COUNT_US;
    assert_true(lead_trial(&d)->slip.count >= now + 3);
    end();
}

static void four_seconds_without_an_answer_are_a_miss(void **state)
{
    (void)state;
    measure();
    until_a_slip(&d);
    lead_tick(&d, lead_trial(&d)->seen_us + 4000000);
    assert_int_equal(lead_trial(&d)->phase, LEAD_SLIP);
    lead_tick(&d, lead_trial(&d)->seen_us + 4000001);
    assert_int_equal(lead_trial(&d)->phase, LEAD_MARCH);
    assert_contains(d.message, "missed that one");
    assert_int_equal(lead_trial(&d)->spoilt, 1);
    until_a_slip(&d); /* one that is begun in time may take longer to say */
    assert_true(lead_key(&d, right_section(&d), lead_trial(&d)->seen_us + 3999000));
    lead_tick(&d, lead_trial(&d)->seen_us + 9000000);
    assert_int_equal(lead_trial(&d)->phase, LEAD_NAMING);
    type_keys(&d, right_section(&d) + 1);
    type_keys(&d, right_fault(&d));
    assert_int_equal(lead_trial(&d)->n, 1);
    assert_true(lead_trial(&d)->ms[0] == 3999);
    end();
}

static void a_chord_that_is_dropped_does_not_count(void **state)
{
    (void)state;
    measure();
    until_a_slip(&d);
    assert_true(lead_key(&d, right_section(&d), lead_trial(&d)->seen_us + 500000));
    assert_int_equal(lead_trial(&d)->phase, LEAD_NAMING);
    desk_key(&d, "Esc");
    assert_string_equal(d.screen->open.name, "lead"); /* Esc drops the chord first, as ever */
    lead_tick(&d, lead_trial(&d)->now_us + 20000);
    assert_int_equal(lead_trial(&d)->phase, LEAD_MARCH);
    assert_int_equal(lead_trial(&d)->spoilt, 1);
    assert_int_equal(lead_trial(&d)->n, 0);
    end();
}

/* The moment is that of the chord's first key, as where a mark is made. */
static void a_key_that_is_no_section_is_refused_and_the_next_one_counts(void **state)
{
    (void)state;
    measure();
    until_a_slip(&d);
    assert_true(lead_key(&d, "x", lead_trial(&d)->seen_us + 300000));
    assert_contains(d.message, "no section");
    assert_true(lead_key(&d, "3", lead_trial(&d)->seen_us + 400000));
    assert_int_equal(lead_trial(&d)->phase, LEAD_SLIP);
    answer(&d, 900, right_section(&d), right_fault(&d));
    assert_int_equal(lead_trial(&d)->n, 1);
    assert_true(lead_trial(&d)->ms[0] == 900);
    end();
}

static void leaving_half_way_changes_nothing(void **state)
{
    (void)state;
    measure();
    until_a_slip(&d);
    assert_true(lead_key(&d, right_section(&d), lead_trial(&d)->seen_us + 500000));
    desk_key(&d, "F3");
    assert_string_equal(d.screen->open.name, "clips");
    assert_false(chord_open(&d));
    assert_int_equal(lead_trial(&d)->phase, LEAD_IDLE);
    assert_int_equal(calls_all(&d), 0);
    assert_true(d.lead_ms == 600);
    desk_key(&d, "F6");
    assert_int_equal(lead_trial(&d)->phase, LEAD_READY);
    end();
}

static void what_is_said_is_what_is_kept(void **state)
{
    (void)state;
    begin();
    desk_run(&d, "lead 10.52"); /* kept as 10.5 it would be 10 ms another day */
    assert_string_equal(d.message, "reaction lead: 11 ms");
    assert_true(d.lead_ms == 11);
    end();
}

static void opening_it_drops_a_chord_that_is_open(void **state)
{
    (void)state;
    begin();
    desk_key(&d, "t");
    desk_key(&d, "F6");
    assert_false(chord_open(&d));
    assert_string_equal(d.message, "the chord t was dropped");
    desk_key(&d, "Space");
    until_a_slip(&d);
    assert_true(lead_key(&d, right_section(&d), lead_trial(&d)->seen_us + 500000));
    assert_true(chord_open(&d));
    desk_key(&d, "F6"); /* from the beginning */
    assert_false(chord_open(&d));
    assert_int_equal(lead_trial(&d)->phase, LEAD_READY);
    end();
}

/* --- what the lead would do to a mark ---------------------------------------------------------- */

static void go(int64_t us)
{
    go_to(&d, us);
    stage_settle(&d);
}

static void the_effect_is_said_at_the_playhead_and_in_counts(void **state)
{
    (void)state;
    begin();
    struct lead_effect e = lead_effect(&d, 850);
    assert_int_equal(e.at_us, 14000000); /* at the beginning of the clip there is no room for it */
    assert_int_equal(e.there_us, 13150000);
    assert_true(e.bpm == 0); /* not tied */
    go(1000000);
    desk_run(&d, "tie 1.1");
    go(5000000);
    e = lead_effect(&d, 850);
    assert_int_equal(e.at_us, d.play.at_us);
    assert_int_equal(e.there_us, d.play.at_us - 850000);
    assert_true(e.bpm > 119.99 && e.bpm < 120.01);
    assert_true(e.earlier > 0.4999 && e.earlier < 0.5001); /* 250 ms more than the default */
    e = lead_effect(&d, 350);
    assert_true(e.earlier < -0.4999 && e.earlier > -0.5001);
    go(0); /* before the band steps off the tempo of its first set is taken */
    assert_true(lead_effect(&d, 850).bpm > 119.99);
    end();
}

static void without_a_section_to_answer_with_it_is_not_begun(void **state)
{
    (void)state;
    begin();
    for (size_t i = 0; i < app.show.n_sections; i++)
        app.show.sections[i].key = "";
    desk_key(&d, "F6");
    assert_string_equal(d.screen->open.name, "review");
    assert_true(d.trouble);
    assert_contains(d.message, "no section of the show has a key");
    assert_contains(d.message, ":lead MS");
    end();
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_chord_can_answer_instead_of_marking);
    case_test(&all, the_middle_of_nine_reactions_waits_to_be_chosen);
    case_test(&all, what_was_measured_can_be_chosen_later);
    case_test(&all, without_a_measurement_there_is_nothing_to_take);
    case_test(&all, a_median_beyond_what_a_lead_may_be_is_not_taken);
    case_test(&all, a_wrong_answer_does_not_count_and_says_what_it_was);
    case_test(&all, a_performer_of_the_section_is_right);
    case_test(&all, a_key_before_the_slip_does_not_count);
    case_test(&all, four_seconds_without_an_answer_are_a_miss);
    case_test(&all, a_chord_that_is_dropped_does_not_count);
    case_test(&all, a_key_that_is_no_section_is_refused_and_the_next_one_counts);
    case_test(&all, leaving_half_way_changes_nothing);
    case_test(&all, what_is_said_is_what_is_kept);
    case_test(&all, opening_it_drops_a_chord_that_is_open);
    case_test(&all, the_effect_is_said_at_the_playhead_and_in_counts);
    case_test(&all, without_a_section_to_answer_with_it_is_not_begun);
    return cases_run(&all, "the reaction lead");
}
