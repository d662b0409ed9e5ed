/* A call as it is spoken, into a pipe in place of a microphone. */
#include <fcntl.h>
#include <poll.h>
#include <string.h>
#include <unistd.h>

#include "app/voice.h"
#include "hear/live.h"
#include "lib/cases.h"
#include "lib/child.h"
#include "lib/files.h"
#include "lib/mic.h"
#include "voice_show.h"

static struct app_voice *voice;

static bool make_ear(void *user, struct speech **out, struct err *e)
{
    (void)user;
    if (!app_voice_ear(voice) && !app_voice_make_ear(voice, e))
        return false;
    *out = app_voice_ear(voice);
    return true;
}

static void wait_phase(struct live *l, enum live_phase wanted)
{
    const long long end = now_ms() + DEADLINE_MS;
    for (enum live_phase p; (p = live_phase(l)) != wanted;) {
        poll(NULL, 0, 2);
        if (p == LIVE_GONE || now_ms() > end)
            fail_msg("phase %d, not %d: %s", p, wanted, live_gone(l));
    }
}

static struct live *begun(const char *source)
{
    struct live *l;
    struct err e;
    if (!voice && !app_voice_begin(&voice, voice_show(), &e))
        fail_msg("%s", e.text);
    if (!live_begin(&l, &(struct live_want){source, make_ear, NULL}, &e))
        fail_msg("%s", e.text);
    return l;
}

static struct live *ready(const struct mic *m)
{
    struct live *l = begun(m->path);
    wait_phase(l, LIVE_READY);
    return l;
}

static void listening(struct live *l)
{
    live_listen(l);
    wait_phase(l, LIVE_LISTENING);
}

static const char *quote(struct live *l)
{
    struct speech_said said;
    struct heard_call c;
    wait_phase(l, LIVE_HEARD);
    live_take(l, test_arena(), &said);
    assert_int_equal(live_phase(l), LIVE_READY);
    return said.n && app_voice_read(voice, test_arena(), &said, &c) ? c.quote : "";
}

static void a_pause_ends_it(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    for (int again = 0; again < 2; again++) {
        listening(l);
        mic_say(&m, again ? "tubas two, feet apart" : "mellophone five, horns up late", 3);
        assert_string_equal(quote(l),
                            again ? "tubas two feet apart" : "mellophone five horns up late");
    }
    live_free(l);
    mic_close(&m);
}

/* Who presses the key behind the call as before it does so within two seconds: nothing has ended by then. */
static void a_short_pause_is_no_end(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    mic_say(&m, "trumpets, horn angle", 1.8);
    mic_wait_empty(&m);
    mic_say(&m, NULL, 0.01); /* it has looked at what came before */
    mic_wait_empty(&m);
    assert_int_equal(live_phase(l), LIVE_LISTENING);
    live_enough(l);
    assert_string_equal(quote(l), "trumpets horn angle");
    live_free(l);
    mic_close(&m);
}

/* Of what comes between calls nothing is heard. */
static void what_is_said_between_calls_is_nobodys(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    mic_say(&m, "clarinets, closed interval", 0.5);
    mic_wait_empty(&m);
    listening(l);
    mic_say(&m, "trumpets, horn angle", 0);
    mic_wait_empty(&m);
    live_enough(l);
    assert_string_equal(quote(l), "trumpets horn angle");
    live_free(l);
    mic_close(&m);
}

static void all_that_was_said_counts_however_soon_it_ends(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    const struct mic_sound s = mic_record("trumpets, horn angle", 0);
    listening(l);
    live_hold_open(l);
    mic_play(&m, &s, NULL, NULL); /* some of it is in the pipe still */
    live_enough(l);
    assert_string_equal(quote(l), "trumpets horn angle");
    live_free(l);
    mic_close(&m);
}

static void a_pause_within_is_no_end_while_it_is_held_open(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    const struct mic_sound whom = mic_record("trumpets", 3.5), what = mic_record("horn angle", 0);
    listening(l);
    live_hold_open(l);
    mic_play(&m, &whom, NULL, NULL);
    mic_wait_empty(&m);
    assert_int_equal(live_phase(l), LIVE_LISTENING);
    mic_play(&m, &what, NULL, NULL);
    live_enough(l);
    assert_string_equal(quote(l), "trumpets horn angle");
    live_free(l);
    mic_close(&m);
}

static void what_is_dropped_never_comes(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    mic_say(&m, "clarinets, closed interval", 0);
    mic_wait_empty(&m);
    live_enough(l);
    wait_phase(l, LIVE_THINKING);
    live_drop(l);
    listening(l);
    mic_say(&m, "trumpets, horn angle", 3);
    assert_string_equal(quote(l), "trumpets horn angle");
    live_free(l);
    mic_close(&m);
}

static void nobody_who_speaks_is_nothing(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    mic_say(&m, NULL, 7);
    assert_string_equal(quote(l), "");
    live_free(l);
    mic_close(&m);
}

/* A key that is kept down: what comes in twelve seconds is all. */
static void no_call_is_longer_than_twelve_seconds(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    live_hold_open(l);
    mic_say(&m, NULL, 13);
    assert_string_equal(quote(l), "");
    live_free(l);
    mic_close(&m);
}

static void louder_is_more(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    mic_say(&m, NULL, 0.5);
    mic_wait_empty(&m);
    const double silence = live_level(l);
    assert_true(silence < 0.05);
    const struct mic_sound s = mic_record("trumpets", 0);
    mic_play(&m, &(struct mic_sound){s.bytes + s.n / 2, 3200}, NULL, NULL);
    mic_wait_empty(&m);
    const long long end = now_ms() + DEADLINE_MS;
    while (live_level(l) < 0.4 && now_ms() < end)
        poll(NULL, 0, 2);
    assert_true(live_level(l) >= 0.4 && live_level(l) <= 1);
    live_free(l);
    mic_close(&m);
}

/* --- none, and none any more ------------------------------------------------------------------------- */

static const char *why_gone(struct live *l)
{
    const long long end = now_ms() + DEADLINE_MS;
    while (live_phase(l) != LIVE_GONE && now_ms() < end)
        poll(NULL, 0, 2);
    const char *why = arena_strdup(test_arena(), live_gone(l));
    live_free(l);
    return why;
}

static void one_that_ends_is_gone(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    mic_say(&m, "trumpets", 0);
    mic_close(&m);
    assert_string_equal(why_gone(l), "the sound ended");
}

static void one_from_which_nothing_comes_is_gone(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    listening(l);
    assert_string_equal(why_gone(l), "no sound comes from it");
    mic_close(&m);
}

static void one_that_is_not_there_is_named(void **state)
{
    (void)state;
    assert_string_equal(why_gone(begun("nosuch")),
                        "there is none called nosuch here; arecord -L lists their names");
    assert_non_null(strstr(why_gone(begun("/nowhere/mic")), "/nowhere/mic: No such file"));
}

static void half_a_sample_waits_for_its_other_half(void **state)
{
    (void)state;
    struct mic m = mic_open();
    struct live *l = ready(&m);
    const struct mic_sound s = mic_record("trumpets, horn angle", 0);
    listening(l);
    for (size_t at = 0; at < s.n;) {
        const size_t n = s.n - at < 333 ? s.n - at : 333;
        mic_play(&m, &(struct mic_sound){s.bytes + at, n}, NULL, NULL);
        at += n;
    }
    live_enough(l);
    assert_string_equal(quote(l), "trumpets horn angle");
    live_free(l);
    mic_close(&m);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_pause_ends_it);
    case_test(&all, a_short_pause_is_no_end);
    case_test(&all, what_is_said_between_calls_is_nobodys);
    case_test(&all, all_that_was_said_counts_however_soon_it_ends);
    case_test(&all, a_pause_within_is_no_end_while_it_is_held_open);
    case_test(&all, what_is_dropped_never_comes);
    case_test(&all, nobody_who_speaks_is_nothing);
    case_test(&all, no_call_is_longer_than_twelve_seconds);
    case_test(&all, louder_is_more);
    case_test(&all, one_that_ends_is_gone);
    case_test(&all, one_from_which_nothing_comes_is_gone);
    case_test(&all, one_that_is_not_there_is_named);
    case_test(&all, half_a_sample_waits_for_its_other_half);
    const int failed = cases_run(&all, "a call as it is spoken");
    app_voice_close(voice);
    return failed;
}
