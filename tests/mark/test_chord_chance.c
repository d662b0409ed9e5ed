/* The chord under random keys: whatever is typed, the answer keeps its promises. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "mark/band.h"
#include "mark/chord.h"

static unsigned chance_state = 20260914;

static unsigned chance(unsigned below)
{
    chance_state = chance_state * 1664525u + 1013904223u;
    return (chance_state >> 10) % below;
}

static void assert_promises(const struct show *show, const char *keys, const struct chord *c)
{
    assert_true(c->n_targets <= CHORD_TARGETS);
    for (size_t i = 0; i < c->n_targets; i++) {
        const struct target *t = &c->targets[i];
        assert_in_range(t->section, 0, show->n_sections - 1);
        assert_false(show->sections[t->section].removed);
        assert_true(t->performer >= -1 && t->performer < (int)show->n_performers);
        if (t->performer >= 0)
            assert_int_equal(show->performers[t->performer].section, t->section);
        for (size_t k = 0; k < i; k++)
            assert_false(c->targets[k].section == t->section &&
                         c->targets[k].performer == t->performer);
    }
    assert_true(c->fault >= -1 && c->fault < (int)show->n_faults);
    if (c->phase == CHORD_DONE && (c->n_targets == 0 || c->fault < 0))
        fail_msg("'%s' is done without target or fault", keys);
    if (c->phase == CHORD_WRONG && !*c->why)
        fail_msg("'%s' is wrong and does not say why", keys);
    assert_true(strlen(c->why) < sizeof c->why && strlen(c->begun) < sizeof c->begun);
}

static void assert_options(const struct show *show, const struct chord *c)
{
    struct chord_option o[8];
    size_t n = chord_options(show, c, o, 1 + chance(8));
    assert_true(n <= 8);
    for (size_t i = 0; i < n; i++)
        assert_true(*o[i].keys && o[i].what);
}

static void random_keys_never_break_a_promise(void **state)
{
    (void)state;
    static const char *const alphabets[] = {"tmbdue0123456789,-+hklsqrxT {\x7f\xc3", "tm1235,-+hl",
                                            "trho1"};
    struct arena a = {0};
    struct show shows[] = {band(&a), muddled_band(&a), show_of(&a, NULL, NULL, NULL, NULL)};
    size_t done = 0;
    for (int round = 0; round < 30000; round++) {
        const struct show *show = &shows[round % 3];
        char keys[CHORD_KEYS + 1];
        const char *alphabet = alphabets[chance(3)];
        size_t n = chance(round % 10 == 0 ? CHORD_KEYS + 1 : round % 2 ? 5 : 9);
        for (size_t i = 0; i < n; i++)
            keys[i] = alphabet[chance((unsigned)strlen(alphabet))];
        keys[n] = '\0';
        struct chord c;
        chord_read(show, keys, round & 1, &c);
        assert_promises(show, keys, &c);
        assert_options(show, &c);
        done += c.phase == CHORD_DONE;
    }
    assert_true(done > 50); /* or this test would prove nothing */
    arena_free(&a);
}

/* What the panel offers is never refused, and no number marks one of several. */
static void what_is_offered_is_taken(void **state)
{
    (void)state;
    static const char *const alphabets[] = {"tmbeud0123456789,-+", "be1235,-", "tmr1,+-"};
    struct arena a = {0};
    struct show shows[] = {band(&a), muddled_band(&a)};
    size_t offered = 0, digits = 0;
    for (int round = 0; round < 30000; round++) {
        const struct show *show = &shows[round % 2];
        char keys[CHORD_KEYS + 8];
        const char *alphabet = alphabets[chance(3)];
        size_t n = 1 + chance(9);
        for (size_t i = 0; i < n; i++)
            keys[i] = alphabet[chance((unsigned)strlen(alphabet))];
        keys[n] = '\0';
        struct chord c, next;
        chord_read(show, keys, false, &c);
        for (size_t i = 0; i < c.n_targets && c.phase != CHORD_WRONG; i++) {
            const struct performer *p =
                c.targets[i].performer >= 0 ? &show->performers[c.targets[i].performer] : NULL;
            int first;
            if (p && c.section >= 0 && !strchr(keys, '+'))
                assert_int_equal(show_performers_numbered(show, c.section, p->number, &first, 1),
                                 1);
        }
        struct chord_option o[8];
        size_t options = chord_options(show, &c, o, 8);
        for (size_t i = 0; i < options; i++) {
            keys[n] = o[i].keys[0];
            keys[n + 1] = '\0';
            chord_read(show, keys, false, &next);
            if (next.phase == CHORD_WRONG)
                fail_msg("'%s' was offered: %s", keys, next.why);
            offered++;
        }
        if (!chord_takes_digit(show, &c))
            continue;
        bool some = false;
        for (char digit = '0'; digit <= '9' && !some; digit++) {
            keys[n] = digit;
            keys[n + 1] = '\0';
            chord_read(show, keys, false, &next);
            some = next.phase != CHORD_WRONG;
        }
        /* Behind a dash every number may run backward or over one that several have. */
        if (!some && !strchr(keys, '-'))
            fail_msg("a digit was offered behind '%.*s'", (int)n, keys);
        digits += some;
    }
    assert_true(offered > 500 && digits > 100);
    arena_free(&a);
}

/* Keys as a person types them: each one is offered, refused when it is wrong, sometimes taken back.
 * What stands after that is what the kept keys alone mean. */
static void a_key_taken_back_leaves_no_trace(void **state)
{
    (void)state;
    static const char alphabet[] = "tmbdu1235,-+hkls";
    struct arena a = {0};
    struct show show = band(&a);
    for (int round = 0; round < 2000; round++) {
        char keys[CHORD_KEYS + 1] = "";
        struct chord now, again;
        chord_read(&show, keys, false, &now);
        for (size_t n = 0, typed = 0; typed < 30 && n < CHORD_KEYS; typed++) {
            if (n && chance(4) == 0) {
                keys[--n] = '\0';
                chord_read(&show, keys, false, &now);
                continue;
            }
            keys[n] = alphabet[chance(sizeof alphabet - 1)];
            keys[n + 1] = '\0';
            struct chord next;
            chord_read(&show, keys, false, &next);
            assert_promises(&show, keys, &next);
            if (next.phase == CHORD_WRONG || next.phase == CHORD_DONE) {
                keys[n] = '\0';
            } else {
                n++;
                now = next;
            }
        }
        chord_read(&show, keys, false, &again);
        assert_int_equal(now.phase, again.phase);
        assert_int_equal(now.n_targets, again.n_targets);
        assert_string_equal(now.begun, again.begun);
    }
    arena_free(&a);
}

/* A chord made from a choice of targets gives exactly these targets back, in their order. */
static void targets_written_as_keys_come_back(void **state)
{
    (void)state;
    static const int trumpets[] = {1, 2, 3, 5, 12, 13};
    struct arena a = {0};
    struct show show = band(&a);
    for (int round = 0; round < 3000; round++) {
        char keys[64] = "t", label[8];
        struct target want[8];
        size_t n = 0, from = chance(6), to = from + chance((unsigned)(6 - from));
        bool as_range = chance(2);
        for (size_t i = from; i <= to; i++) {
            sprintf(label, "T%d", trumpets[i]);
            want[n++] =
                (struct target){show_section(&show, "trumpets"), show_performer(&show, label)};
            if (!as_range)
                sprintf(keys + strlen(keys), "%s%d", i > from ? "," : "", trumpets[i]);
        }
        if (as_range)
            sprintf(keys + strlen(keys), "%d-%d", trumpets[from], trumpets[to]);
        if (chance(2)) {
            strcat(keys, "+du");
            want[n++] = (struct target){show_section(&show, "drums"), -1};
        }
        int fault = (int)chance((unsigned)show.n_faults);
        strcat(keys, show.faults[fault].key);
        struct chord c;
        chord_read(&show, keys, false, &c);
        assert_int_equal(c.phase, CHORD_DONE);
        assert_int_equal(c.fault, fault);
        assert_int_equal(c.n_targets, n);
        for (size_t i = 0; i < n; i++)
            assert_true(c.targets[i].section == want[i].section &&
                        c.targets[i].performer == want[i].performer);
    }
    arena_free(&a);
}

/* With keys that are complete when typed, a chord is done at its last key and not before: what it
 * could have been any earlier is never taken. */
static void no_chord_is_done_before_its_last_key(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    for (size_t s = 0; s < show.n_sections; s++)
        for (size_t f = 0; f < show.n_faults; f++) {
            char keys[16], part[16];
            struct chord c;
            sprintf(keys, "%s%s", show.sections[s].key, show.faults[f].key);
            for (size_t n = 1; n < strlen(keys); n++) {
                sprintf(part, "%.*s", (int)n, keys);
                chord_read(&show, part, false, &c);
                assert_true(c.phase != CHORD_DONE && c.phase != CHORD_WRONG);
            }
            chord_read(&show, keys, false, &c);
            assert_int_equal(c.phase, CHORD_DONE);
            assert_int_equal(c.fault, f);
            assert_int_equal(c.targets[0].section, s);
        }
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, random_keys_never_break_a_promise);
    case_test(&all, what_is_offered_is_taken);
    case_test(&all, a_key_taken_back_leaves_no_trace);
    case_test(&all, targets_written_as_keys_come_back);
    case_test(&all, no_chord_is_done_before_its_last_key);
    return cases_run(&all, "chord by chance");
}
