#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/arena.h"
#include "scene.h"
#include "scene_inner.h"

static struct track silence(double seconds)
{
    const size_t n = (size_t)(seconds * SCENE_RATE);
    return (struct track){xcalloc(n, sizeof(float)), n};
}

/* Mean square between two times. */
static double energy(const float *at, size_t n, double from_s, double to_s)
{
    double sum = 0;
    const size_t from = (size_t)llround(from_s * SCENE_RATE),
                 to = (size_t)llround(to_s * SCENE_RATE);
    for (size_t i = from; i < to && i < n; i++)
        sum += (double)at[i] * (double)at[i];
    return sum / (double)(to - from);
}

static double db(double ratio)
{
    return 10 * log10(ratio);
}

/* --- instruments --------------------------------------------------------------------------- */

static void every_voice_begins_within_a_millisecond(void **state)
{
    (void)state;
    for (enum voice v = 0; v < VOICES; v++) {
        struct track t = silence(1.5);
        struct dice d = {7};
        play_stroke(&t, &d, &(struct stroke){v, 0.2, 1, 1});
        assert_true(energy(t.at, t.n, 0, 0.1999) == 0);
        double peak = 0;
        for (size_t i = 0; i < t.n; i++)
            peak = fmax(peak, fabs((double)t.at[i]));
        size_t first = 0;
        while (fabs((double)t.at[first]) < 0.1 * peak)
            first++;
        const double late_ms = 1000 * ((double)first / SCENE_RATE - 0.2);
        if (!(late_ms >= 0 && late_ms < 1))
            fail_msg("voice %d begins %.2f ms late", (int)v, late_ms);
        free(t.at);
    }
}

/* Of 20 ms around its moment, which are two turns and more of the tone. */
static void a_note_stands_10_db_below_its_loudest_at_its_moment(void **state)
{
    (void)state;
    struct waves *w = waves_make();
    for (int k = 3; k <= 8; k++) {
        struct track t = silence(1.5);
        struct dice d = {5};
        play_note(&t, &d, w, &(struct note){TIMBRE_FLUTE, 0.4, 0.8, 1, 880, k * 0.01});
        const double attack_s = k * 0.01, full_s = 0.4 + (1 - 0.38) * attack_s;
        const double there = energy(t.at, t.n, 0.4 - 0.00114, 0.4 + 0.00114);
        const double full = energy(t.at, t.n, full_s - 0.00114, full_s + 0.00114);
        /* The harmonics of a soft note are softer: one more dB of the whole. */
        if (fabs(db(full / there) - 10.5) > 1.5)
            fail_msg("attack of %g s: %.1f dB below", attack_s, db(full / there));
        assert_true(energy(t.at, t.n, 0, 0.4 - 0.39 * attack_s) == 0);
        free(t.at);
    }
    waves_free(w);
}

/* --- time ---------------------------------------------------------------------------------- */

static void metronomes_click_on_their_beats(void **state)
{
    (void)state;
    for (int number = 0; number < SCENE_EACH; number += 2) {
        struct scene_plan plan = scene_plan(0, SCENE_METRONOME, number);
        struct scene s;
        plan.air = (struct scene_air){0};
        scene_make(&plan, &s);
        for (size_t i = 0; i < s.n_beats; i++) {
            const double at = s.beat[i];
            assert_true(energy(s.samples, s.n, at, at + 0.001) >
                        20 * energy(s.samples, s.n, at - 0.001, at));
        }
        scene_close(&s);
    }
}

/* The part of the beats, moved by so much, at which the sound rises tenfold within a millisecond. */
static double risen(const struct scene *s, double moved_s)
{
    size_t n = 0;
    for (size_t i = 0; i < s->n_beats; i++) {
        const double at = s->beat[i] + moved_s;
        n += energy(s->samples, s->n, at, at + 0.001) >
             10 * energy(s->samples, s->n, at - 0.001, at);
    }
    return (double)n / (double)s->n_beats;
}

static void exact_drums_strike_on_the_beats_and_nowhere_near(void **state)
{
    (void)state;
    struct scene_plan plan = {.kind = SCENE_DRUM_LINE, .bpm = 132, .seed = 99, .exact = true};
    struct scene s;
    scene_make(&plan, &s);
    for (size_t i = 0; i < s.n_beats; i++)
        assert_true(fabs(s.beat[i] - s.begin_s - (double)i * 60 / 132) < 1e-9);
    assert_true(risen(&s, 0) > 0.8);
    assert_true(risen(&s, 0.002) < 0.1);
    assert_true(risen(&s, -0.002) < 0.1);
    scene_close(&s);
}

static void people_stay_within_a_few_milliseconds_of_the_beat(void **state)
{
    (void)state;
    struct scene_plan plan = {.kind = SCENE_DRUM_LINE, .bpm = 132, .seed = 99};
    struct scene s;
    scene_make(&plan, &s);
    double sum = 0;
    for (size_t i = 2; i < s.n_beats; i++) {
        const double bend = s.beat[i] - 2 * s.beat[i - 1] + s.beat[i - 2];
        sum += bend * bend;
    }
    /* The second difference of independent errors of 4 ms has a spread of 4 sqrt(6). */
    const double spread_ms = 1000 * sqrt(sum / (double)(s.n_beats - 2) / 6);
    assert_true(spread_ms > 3 && spread_ms < 5);
    scene_close(&s);
}

/* Every set as often as it is played, from where the scene says it is, takes what is written. */
static void check_sets(const struct scene *s)
{
    size_t beat = 0, set = 0, again = 0;
    while (beat < s->n_beats && s->beat[beat] < s->begin_s)
        beat++;
    for (; set < s->n_sets && beat < s->n_beats; set++) {
        const struct move *m = &s->set[set];
        const size_t last = beat + (size_t)m->counts - 1;
        assert_true(last < s->n_beats);
        const double took = s->beat[last] - s->beat[beat];
        assert_true(fabs(took / tempo_seconds(m, m->counts) - 1) < 0.02);
        beat = last + 1;
        if (m->hold_s > 0 && beat + 1 < s->n_beats && s->beat[beat + 1] - s->beat[beat] > 1.2 &&
            s->beat[beat] - s->beat[last] < 1)
            beat++; /* the stroke that opens the hold */
        if (again < s->n_again && beat < s->n_beats && s->beat[beat] == s->again[again].at_s)
            set = s->again[again++].set - 1;
    }
    assert_int_equal(beat, s->n_beats);
    assert_int_equal(again, s->n_again);
}

static void check_scene(const struct scene *s)
{
    const double length = (double)s->n / SCENE_RATE;
    assert_true(length > 25 && length < 50);
    assert_true(s->n_beats >= 16 && s->beat[0] > 0.9 && s->beat[s->n_beats - 1] < length - 1);
    for (size_t i = 1; i < s->n_beats; i++)
        assert_true(s->beat[i] - s->beat[i - 1] > 60 / 190.0);
    double most = 0;
    for (size_t i = 0; i < s->n; i++)
        most = fmax(most, fabs((double)s->samples[i]));
    assert_true(fabs(most - 0.9) < 1e-3);
    for (size_t i = 0; i < s->n_sets; i++)
        assert_true(s->set[i].bpm0 >= 72 && s->set[i].bpm0 <= 184 && s->set[i].bpm1 >= 72 &&
                    s->set[i].bpm1 <= 184);
    check_sets(s);
}

static void scenes_of_both_banks_are_as_the_header_says(void **state)
{
    (void)state;
    for (int bank = 0; bank < SCENE_BANKS; bank++)
        for (enum scene_kind k = 0; k < SCENE_KINDS; k++) {
            const struct scene_plan plan = scene_plan(bank, k, (2 * (int)k + bank) % SCENE_EACH);
            struct scene s;
            scene_make(&plan, &s);
            check_scene(&s);
            scene_close(&s);
        }
}

/* Of the first hold; number 0 is silent, 1 a full band's chord after a count-off, 2 a roll. */
static void a_hold_that_sounds_opens_with_a_beat_and_a_silent_one_with_none(void **state)
{
    (void)state;
    for (int number = 0; number < 3; number++) {
        const struct scene_plan plan = {
            .kind = SCENE_HOLD, .number = number, .bpm = 120, .seed = 4, .exact = true};
        struct scene s;
        scene_make(&plan, &s);
        size_t counts = number == 1 ? 8 : 0, holds = 0;
        for (size_t i = 0; i < s.n_sets; i++) {
            counts += (size_t)s.set[i].counts;
            holds += s.set[i].hold_s > 0;
        }
        assert_true(holds + 1 == s.n_sets);
        assert_int_equal(s.n_beats, counts + (number > 0 ? holds : 0));
        const double from = s.begin_s + s.set[0].counts * 0.5;
        const double over = energy(s.samples, s.n, from + 0.5, from + s.set[0].hold_s - 0.4) /
                            energy(s.samples, s.n, s.begin_s, from);
        assert_true(number > 0 ? db(over) > -20 : db(over) < -30);
        scene_close(&s);
    }
}

static void plans_have_tempi_from_the_whole_range(void **state)
{
    (void)state;
    for (int bank = 0; bank < SCENE_BANKS; bank++)
        for (enum scene_kind k = 0; k < SCENE_KINDS; k++) {
            int in_ninth[SCENE_EACH] = {0};
            for (int i = 0; i < SCENE_EACH; i++) {
                const double bpm = scene_plan(bank, k, i).bpm;
                assert_true(bpm >= 72 && bpm <= 184 && bpm == round(bpm));
                in_ninth[(int)fmin((bpm - 72) / (184 - 72) * SCENE_EACH, SCENE_EACH - 1)]++;
                assert_true(scene_plan(0, k, i).seed != scene_plan(1, k, i).seed);
            }
            for (int i = 0; i < SCENE_EACH; i++)
                assert_true(in_ninth[i] <= 2);
        }
}

static void the_same_plan_makes_the_same_scene_and_another_seed_another(void **state)
{
    (void)state;
    struct scene_plan plan = scene_plan(1, SCENE_CROWD, 5);
    struct scene a, b;
    scene_make(&plan, &a);
    scene_make(&plan, &b);
    assert_int_equal(a.n, b.n);
    assert_memory_equal(a.samples, b.samples, a.n * sizeof *a.samples);
    assert_int_equal(a.n_beats, b.n_beats);
    assert_memory_equal(a.beat, b.beat, a.n_beats * sizeof *a.beat);
    scene_close(&b);
    plan.seed++;
    scene_make(&plan, &b);
    assert_true(a.n != b.n || memcmp(a.samples, b.samples, a.n * sizeof *a.samples) != 0);
    scene_close(&a);
    scene_close(&b);
}

/* --- air ----------------------------------------------------------------------------------- */

/* The noise is what the clean scene, at the gain that fits best, leaves over. */
static double snr_of(const struct scene *clean, const struct scene *noisy)
{
    double both = 0, own = 0, left = 0;
    const size_t from = (size_t)(clean->beat[0] * SCENE_RATE),
                 to = (size_t)(clean->beat[clean->n_beats - 1] * SCENE_RATE);
    for (size_t i = from; i < to; i++) {
        both += (double)clean->samples[i] * (double)noisy->samples[i];
        own += (double)clean->samples[i] * (double)clean->samples[i];
    }
    const double gain = both / own;
    for (size_t i = from; i < to; i++) {
        const double x = (double)noisy->samples[i] - gain * (double)clean->samples[i];
        left += x * x;
    }
    return db(gain * gain * own / left);
}

static void crowds_are_as_loud_as_they_say(void **state)
{
    (void)state;
    for (int number = 0; number < 4; number++) {
        struct scene_plan plan = scene_plan(0, SCENE_CROWD, number);
        struct scene noisy, clean;
        scene_make(&plan, &noisy);
        const double asked = plan.air.snr_db;
        plan.air.noise = NOISE_NONE;
        scene_make(&plan, &clean);
        const double got = snr_of(&clean, &noisy);
        if (fabs(got - asked) > 0.5)
            fail_msg("%g dB asked, %.2f got", asked, got);
        scene_close(&noisy);
        scene_close(&clean);
    }
}

/* What a room makes of one sample of 1; the sample itself taken out. */
static struct track answer(const struct scene_air *air)
{
    struct track t = silence(4);
    t.at[0] = 1;
    room_add(&t, air);
    t.at[0] = 0;
    return t;
}

static double total(const struct track *t)
{
    return energy(t->at, t->n, 0, (double)t->n / SCENE_RATE) * (double)t->n;
}

/* Seconds for 60 dB, from the slope of what is left (M. R. Schroeder, 1965) between -5 and -35 dB. */
static double decay(const struct track *t)
{
    double left = 0, all = total(t), from = 0, to = 0;
    for (size_t i = t->n; i-- > 0;) {
        left += (double)t->at[i] * (double)t->at[i];
        if (db(left / all) < -35)
            to = (double)i / SCENE_RATE;
        if (db(left / all) < -5)
            from = (double)i / SCENE_RATE;
    }
    return 2 * (to - from);
}

static void tails_last_and_weigh_what_they_say(void **state)
{
    (void)state;
    for (double rt60 = 0.5; rt60 < 2.6; rt60 += 0.5) {
        struct track t = answer(&(struct scene_air){.rt60_s = rt60, .tail_db = -5});
        if (fabs(decay(&t) / rt60 - 1) > 0.15)
            fail_msg("%g s asked, %.2f s got", rt60, decay(&t));
        assert_true(fabs(db(total(&t)) + 5) < 0.1);
        free(t.at);
    }
}

static void a_far_stand_answers_when_and_as_loud_as_it_says(void **state)
{
    (void)state;
    struct track t = answer(&(struct scene_air){.slap_s = 0.2, .slap_db = -8});
    assert_true(energy(t.at, t.n, 0, 0.1999) == 0);
    assert_true(energy(t.at, t.n, 0.2, 0.201) > 0);
    free(t.at);
    /* A tone low enough for the air to leave it, so long that the seats' answers add up. */
    t = silence(4);
    struct dice d = {3};
    for (size_t i = 0; i < t.n / 2; i++)
        t.at[i] = (float)(2 * dice_even(&d) - 1);
    const double before = energy(t.at, t.n, 0, 2);
    room_add(&t, &(struct scene_air){.slap_s = 2, .slap_db = -8});
    /* White noise loses what is above 6 kHz: with one pole, a part keep of the samples stays. */
    const double keep = exp(-6.283185307179586 * 6000 / SCENE_RATE);
    const double stays = (1 - keep) / (1 + keep);
    assert_true(fabs(db(energy(t.at, t.n, 2.02, 3.98) / before / stays) + 8) < 0.3);
    free(t.at);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_voice_begins_within_a_millisecond),
        cmocka_unit_test(a_note_stands_10_db_below_its_loudest_at_its_moment),
        cmocka_unit_test(metronomes_click_on_their_beats),
        cmocka_unit_test(exact_drums_strike_on_the_beats_and_nowhere_near),
        cmocka_unit_test(people_stay_within_a_few_milliseconds_of_the_beat),
        cmocka_unit_test(scenes_of_both_banks_are_as_the_header_says),
        cmocka_unit_test(a_hold_that_sounds_opens_with_a_beat_and_a_silent_one_with_none),
        cmocka_unit_test(plans_have_tempi_from_the_whole_range),
        cmocka_unit_test(the_same_plan_makes_the_same_scene_and_another_seed_another),
        cmocka_unit_test(crowds_are_as_loud_as_they_say),
        cmocka_unit_test(tails_last_and_weigh_what_they_say),
        cmocka_unit_test(a_far_stand_answers_when_and_as_loud_as_it_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
