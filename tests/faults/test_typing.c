/* Killed (-9) while somebody types chords: after any number of bytes, whether they were taken or
 * not. What the screen had acknowledged is in the file; what is in the file was typed, in order. */
#include <ctype.h>
#include <signal.h>

#include "review/stage.h"

#ifdef __SANITIZE_ADDRESS__
enum { KILLS = 10, CHORDS = 10 };
#else
enum { KILLS = 30, CHORDS = 10 };
#endif

static const struct {
    const char *keys, *who, *fault;
} typed[CHORDS] = {
    {"t1h", "T1", "horn angle"},      {"t2p", "T2", "out of step"}, {"m3h", "M3", "horn angle"},
    {"u1d", "U1", "dress"},           {"t8p", "T8", "out of step"}, {"m1d", "M1", "dress"},
    {"th", "trumpets", "horn angle"}, {"u3p", "U3", "out of step"}, {"t5d", "T5", "dress"},
    {"m2p", "M2", "out of step"},
};

/* "12 marks" in the title row: 12; -1 while there is none. */
static int shown(struct stage *s)
{
    const char *row = term_row(s->t, 0), *at = strstr(row, " mark");
    while (at && at > row && isdigit((unsigned char)at[-1]))
        at--;
    return at && isdigit((unsigned char)*at) ? atoi(at) : -1;
}

static const char *all_keys(void)
{
    const char *all = "";
    for (int i = 0; i < CHORDS; i++)
        all = arena_printf(test_arena(), "%s%s", all, typed[i].keys);
    return all;
}

/* How many whole chords are in the first n bytes. */
static int whole(size_t n)
{
    int i = 0;
    for (; i < CHORDS && n >= strlen(typed[i].keys); i++)
        n -= strlen(typed[i].keys);
    return i;
}

static bool has_shown(void *user)
{
    const struct {
        struct stage *s;
        int n;
    } *w = user;
    return shown(w->s) >= w->n;
}

/* The marks of the file from number `from` on are the first chords, in the order typed. */
static void assert_typed(const struct call *rows, int from, int n)
{
    int found[CHORDS] = {0};
    for (int k = 0; k < n; k++)
        for (int i = 0; i < from + n; i++)
            found[k] += strcmp(rows[i].who, typed[k].who) == 0 &&
                        strcmp(rows[i].fault, typed[k].fault) == 0;
    for (int k = 0; k < n; k++)
        assert_true(found[k] > 0);
}

static void after_any_byte_what_was_acknowledged_is_kept(void **state)
{
    (void)state;
    static struct call rows[CALLS_MOST];
    struct stage s = stage_new();
    const char *keys = all_keys();
    int in_file = 0;
    for (int i = 0; i < KILLS; i++) {
        size_t n = 1 + (size_t)i * 7 % strlen(keys);
        stage_open(&s, NULL, NULL);
        term_wait_row(s.t, 0, arena_printf(test_arena(), " %d mark", in_file));
        term_send(s.t, keys, n);
        if (i % 3 == 0) { /* let it take everything first; else it is killed on the way */
            struct {
                struct stage *s;
                int n;
            } w = {&s, in_file + whole(n)};
            term_wait_until(s.t, has_shown, &w, "every chord acknowledged");
        } else if (i % 3 == 1) {
            struct {
                struct stage *s;
                int n;
            } w = {&s, in_file + whole(n) / 2};
            term_wait_until(s.t, has_shown, &w, "half the chords acknowledged");
        }
        term_pump(s.t);
        int acknowledged = shown(&s) - in_file;
        term_signal(s.t, SIGKILL);
        assert_int_equal(term_wait_exit(s.t), -SIGKILL);
        stage_close(&s);
        int now = (int)stage_calls(&s, "run", rows);
        assert_in_range(now - in_file, acknowledged, whole(n));
        assert_typed(rows, in_file, now - in_file);
        in_file = now;
    }
    struct run check = run("boxcall", "check", s.show, NULL);
    assert_exit(check, 0);
    print_message("%d kills, %d marks\n", KILLS, in_file);
}

/* A copy of the file alone, taken after a kill and the next look at it, has every mark. */
static void a_copy_taken_after_a_kill_has_every_mark(void **state)
{
    (void)state;
    static struct call rows[CALLS_MOST];
    struct stage s = stage_new(), copy = s;
    stage_open(&s, NULL, NULL);
    term_send(s.t, "t1ht2pm3h", 9);
    term_wait_row(s.t, 0, "3 marks");
    term_signal(s.t, SIGKILL);
    term_wait_exit(s.t);
    stage_close(&s);
    assert_int_equal(stage_calls(&s, "run", rows), 3);
    size_t n;
    const char *bytes = read_file(s.show, &n);
    copy.dir = temp_dir();
    copy.show = write_bytes(copy.dir, "larkspur.show", bytes, n);
    assert_int_equal(stage_calls(&copy, "run", rows), 3);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, after_any_byte_what_was_acknowledged_is_kept);
    case_test(&all, a_copy_taken_after_a_kill_has_every_mark);
    return cases_run(&all, "killed while typing");
}
