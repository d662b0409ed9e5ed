/* The reaction lead, measured as a person measures it: the test watches the dots on the screen and
 * types what it sees. */
#include "review/stage.h"

enum { GROUPS = 3, DOTS = 6, FIELD_ROW = 5, FIELD_COL = 28, GROUP_ROWS = 5, INTERVAL = 5 };

/* One whose moments come soon; which they are, the test sees. */
static const char *const chance[] = {"BOXCALL_CHANCE=15521", NULL};
static const char *const plain[] = {"BOXCALL_CHANCE=15521", "LC_ALL=C", "NO_COLOR=1", NULL};

static const struct {
    const char *key, *name;
} sections[GROUPS] = {{"t", "trumpets"}, {"m", "mellophones"}, {"u", "tubas"}};

enum kind { FEET, CLOSE, BACK, LATE, KINDS };
static const struct {
    const char *key, *name;
} faults[KINDS] = {
    {"p", "out of step"}, {"c", "closed interval"}, {"d", "dress"}, {"l", "late arrival"}};

struct eye {
    struct term *t;
    int group;
    enum kind kind;
    const char *screen; /* as it was looked at last */
};

static bool is_dot(struct term *t, int row, int col)
{
    struct term_cell c = term_cell(t, row, col);
    return strcmp(c.text, "●") == 0 || strcmp(c.text, "o") == 0;
}

/* What is wrong with a rank; KINDS when nothing is. */
static enum kind wrong_with(struct term *t, int group)
{
    const int row = FIELD_ROW + group * GROUP_ROWS + 1;
    int dots = 0, last = -1, feet[2] = {0};
    enum kind gaps = KINDS;
    for (int col = FIELD_COL; col < 80; col++) {
        if (is_dot(t, row + 1, col))
            return BACK;
        feet[0] += strcmp(term_cell(t, row + 1, col).text, "/") == 0;
        feet[1] += strcmp(term_cell(t, row + 1, col).text, "\\") == 0;
        if (!is_dot(t, row, col))
            continue;
        const int gap = dots++ ? col - last : INTERVAL;
        if (gap == INTERVAL - 2)
            gaps = CLOSE;
        else if (gap != INTERVAL && gaps != CLOSE)
            gaps = LATE;
        last = col;
    }
    if (gaps != KINDS || dots != DOTS)
        return gaps;
    return feet[0] && feet[1] ? FEET : KINDS;
}

static bool done(struct term *t)
{
    return term_has(t, "takes the measured lead");
}

/* Twice the same screen: not one that is being drawn. */
static bool somebody_slips(void *user)
{
    struct eye *e = user;
    const char *screen = arena_strdup(test_arena(), term_screen(e->t));
    const bool still = e->screen && strcmp(screen, e->screen) == 0;
    e->screen = screen;
    for (e->group = 0; still && e->group < GROUPS; e->group++)
        if ((e->kind = wrong_with(e->t, e->group)) != KINDS)
            return true;
    return false;
}

static bool no_chord(void *user)
{
    return !strstr(term_row(user, -1), "chord:") && *term_row(user, -1);
}

/* On a slow machine the slip may be over before it is answered. */
static bool taken(void *user)
{
    const char *foot = term_row(user, -1);
    return strstr(foot, "chord:") || strstr(foot, "too soon");
}

static void answer(struct term *t, int group, enum kind kind)
{
    term_keys(t, sections[group].key);
    term_wait_until(t, taken, t, "the first key taken");
    if (strstr(term_row(t, -1), "too soon"))
        return;
    term_keys(t, faults[kind].key);
    term_wait_until(t, no_chord, t, "the answer taken");
}

static struct eye look(struct term *t)
{
    struct eye e = {.t = t};
    term_wait_until(t, somebody_slips, &e, "somebody who slips");
    return e;
}

static void assert_nothing_is_cut(struct term *t)
{
    if (term_has(t, "~"))
        fail_msg("something is cut in\n%s", term_screen(t));
}

static long right_ones(struct term *t)
{
    int row, col;
    long n = 9;
    if (term_find(t, " of 9 right", &row, &col) &&
        sscanf(term_row(t, row) + strcspn(term_row(t, row), "0123456789"), "%ld", &n) != 1)
        fail_msg("no number in '%s'", term_row(t, row));
    return n;
}

static long milliseconds(struct term *t, const char *behind)
{
    int row, col;
    long ms = -1;
    assert_true(term_find(t, behind, &row, &col));
    const char *at = strstr(term_row(t, row), behind) + strlen(behind);
    assert_int_equal(sscanf(at, " %ld ms", &ms), 1);
    return ms;
}

static void begin_to_measure(struct term *t)
{
    term_keys(t, "F6");
    term_wait_text(t, "Space begins; nine right answers are wanted");
    for (int i = 0; i < GROUPS; i++)
        term_wait_row(t, FIELD_ROW + i * GROUP_ROWS, sections[i].name);
    for (int i = 0; i < KINDS; i++)
        term_wait_text(t, faults[i].name);
    assert_nothing_is_cut(t);
    term_keys(t, "Space");
    term_wait_text(t, "0 of 9 right; 0 more did not count");
}

static void who_slips_is_named_nine_times_and_then_the_person_chooses(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, &(struct term_setup){.env = chance}, NULL);
    stage_line(&s, "seek 1");
    stage_line(&s, "tie 1.1");
    term_wait_row(s.t, -1, "tie 0:01.000 to set 1, count 1");
    stage_go(&s, 300);
    begin_to_measure(s.t);
    struct eye e = look(s.t);
    term_keys(s.t, sections[e.group].key); /* the panel of the review */
    term_wait_row(s.t, -1, "chord:");
    term_wait_row(s.t, 1, sections[e.group].name);
    term_wait_text(s.t, "horn angle");
    assert_nothing_is_cut(s.t);
    term_keys(s.t, "h"); /* it was none of that kind */
    term_wait_row(s.t, -1,
                  arena_printf(test_arena(), "that was %s, %s; it does not count",
                               sections[e.group].name, faults[e.kind].name));
    term_wait_text(s.t, "0 of 9 right; 1 more did not count");
    while (!done(s.t)) {
        e = look(s.t);
        const long before = right_ones(s.t);
        answer(s.t, e.group, e.kind);
        if (strstr(term_row(s.t, -1), "s: "))
            assert_int_equal(right_ones(s.t), before + 1);
        else
            assert_int_equal(right_ones(s.t), before);
        if (before == 8 && right_ones(s.t) == 9)
            term_wait_text(s.t, "takes the measured lead");
    }
    const long ms = milliseconds(s.t, "measured  ");
    assert_in_range(ms, 1, 4000);
    assert_int_equal(milliseconds(s.t, "in use now"), 600);
    term_wait_text(s.t, "96 % sure that yours is");
    term_wait_text(s.t, "when the clip shows 0:10.00 would be put at");
    term_wait_text(s.t, "0:09.40   with the default");
    term_wait_text(s.t, "At 120 bpm the measured lead puts it");
    term_wait_text(s.t, "Marks already made keep their moments.");
    assert_nothing_is_cut(s.t);
    term_keys(s.t, "1");
    term_wait_row(s.t, -1, arena_printf(test_arena(), "reaction lead: %ld ms", ms));
    assert_int_equal(milliseconds(s.t, "in use now"), ms);
    term_keys(s.t, "2");
    term_wait_row(s.t, -1, "reaction lead: 600 ms");
    term_keys(s.t, "1");
    term_wait_row(s.t, -1, arena_printf(test_arena(), "reaction lead: %ld ms", ms));
    stage_quit(&s);
    struct call calls[CALLS_MOST];
    assert_int_equal(stage_calls(&s, "run", calls), 0); /* no answer made a mark */
    stage_open(&s, NULL, NULL);
    stage_line(&s, "lead");
    term_wait_row(s.t, -1, arena_printf(test_arena(), "reaction lead: %ld ms", ms));
    stage_quit(&s);
}

static void it_works_in_plain_characters_and_when_the_window_changes(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, &(struct term_setup){.env = plain}, NULL);
    begin_to_measure(s.t);
    for (int row = 1; row < 24; row++) {
        const char *text = term_row(s.t, row);
        for (const char *c = text; *c; c++)
            if ((unsigned char)*c >= 0x80)
                fail_msg("not ASCII: %s", text);
    }
    term_resize(s.t, 10, 40);
    term_wait_row(s.t, 0, "boxcall needs");
    term_resize(s.t, 30, 100);
    term_wait_row(s.t, 0, "your reaction lead");
    while (right_ones(s.t) == 0) {
        struct eye e = look(s.t);
        answer(s.t, e.group, e.kind);
    }
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "time    marks");
    stage_line(&s, "lead");
    term_wait_row(s.t, -1, "reaction lead: 600 ms");
    stage_quit(&s);
}

static void taps_are_measured_along_with_a_flash(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F7");
    term_wait_text(s.t, "Tap Space along with the flash, sixteen times.");
    term_wait_text(s.t, "0 of 16");
    term_wait_text(s.t, "TAP");
    term_keys(s.t, "Space");
    term_wait_text(s.t, "1 of 16");
    term_wait_text(s.t, "wait");
    assert_nothing_is_cut(s.t);
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "time    marks");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, who_slips_is_named_nine_times_and_then_the_person_chooses);
    case_test(&all, it_works_in_plain_characters_and_when_the_window_changes);
    case_test(&all, taps_are_measured_along_with_a_flash);
    return cases_run(&all, "what is measured of a person");
}
