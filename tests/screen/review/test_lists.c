/* The fix list, the clips, the key list: each leads back to the moment. */
#include "review/stage.h"

static struct stage s;

static int open_stage(void **state)
{
    (void)state;
    s = stage_new();
    stage_mark(&s, "4", "T3", "h");
    stage_mark(&s, "6", "T1", "phasing");
    stage_mark(&s, "9", "T3", "h");
    stage_mark(&s, "12", "M2", "h");
    stage_mark(&s, "14", "brass", "late arrival");
    struct run keep = run("boxcall", "mark", s.show, "run", "16", "T2", "h", "--praise", NULL);
    assert_exit(keep, 0);
    stage_open(&s, NULL, NULL);
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

static int row_of(const char *text)
{
    int row, col;
    term_wait_text(s.t, text);
    assert_true(term_find(s.t, text, &row, &col));
    return row;
}

/* The fix list of the whole ensemble. */
static void open_fixes(void)
{
    term_keys(s.t, "F4");
    stage_calm(&s);
    stage_line(&s, "fixes ensemble");
    term_wait_row(s.t, 0, "fix list: ensemble");
    term_wait_idle(s.t);
}

static void the_fix_list_ranks_by_frequency_and_begins_with_praise(void **state)
{
    (void)state;
    term_keys(s.t, "F4 F2");
    term_wait_row(s.t, 0, "fix list: ensemble");
    int keep = row_of("keep horn angle"), often = row_of("1     3"), rare = row_of("phasing");
    assert_true(keep < often && often < rare);
    term_wait_row(s.t, often, "horn angle");
    term_keys(s.t, "Down");
    term_wait_text(s.t, "T3 ×2,");
    term_wait_text(s.t, "M2 ×1");
}

static bool in_loop_from_two(void *user)
{
    (void)user;
    return term_has(s.t, "loop") && stage_frame(&s) >= 60 && stage_frame(&s) < 120;
}

static void Enter_plays_the_moment_looped_from_two_seconds_before(void **state)
{
    (void)state;
    open_fixes();
    term_keys(s.t, "Down"); /* below the praise */
    term_wait_text(s.t, "(1 of 3)");
    term_keys(s.t, "Enter");
    term_wait_text(s.t, "▶ ");
    term_wait_until(s.t, in_loop_from_two, NULL, "frame 60 or a little later, in a loop");
    term_keys(s.t, "2"); /* it is the chosen call */
    term_wait_row(s.t, -1, "T3, horn angle");
    term_keys(s.t, "Ctrl-z");
    stage_calm(&s);
    stage_halt(&s);
}

static bool in_loop_from_seven(void *user)
{
    (void)user;
    return term_has(s.t, "loop") && stage_frame(&s) >= 210 && stage_frame(&s) < 270;
}

static void right_chooses_the_next_moment_of_a_line(void **state)
{
    (void)state;
    open_fixes();
    term_keys(s.t, "Down Right Enter");
    term_wait_until(s.t, in_loop_from_seven, NULL, "frame 210 or a little later, in a loop");
    stage_calm(&s);
    stage_halt(&s);
}

/* The key that says how far a line is speaks of no severity, and what it did is taken back. */
static void Space_takes_a_line_on_and_undo_back(void **state)
{
    (void)state;
    open_fixes();
    term_keys(s.t, "Down");
    term_wait_text(s.t, "open since");
    term_keys(s.t, "1 2 3");
    term_wait_idle(s.t);
    term_wait_text(s.t, "open since");
    term_keys(s.t, "Space");
    term_wait_row(s.t, -1, "horn angle: repped (3 marks); Ctrl-z takes it back");
    term_wait_text(s.t, "repped 2026-");
    term_keys(s.t, "Space");
    term_wait_row(s.t, -1, "horn angle: clean (3 marks)");
    term_wait_text(s.t, "[clean] horn angle");
    term_keys(s.t, "Ctrl-z");
    term_wait_text(s.t, "[repped] horn angle");
    term_keys(s.t, "Ctrl-z");
    term_wait_text(s.t, "open since");
    term_wait_gone(s.t, "[repped]");
}

static void a_sections_key_turns_the_list(void **state)
{
    (void)state;
    open_fixes();
    term_keys(s.t, "t");
    term_wait_row(s.t, 0, "fix list: trumpets");
    term_wait_text(s.t, "brass: ");
    term_wait_gone(s.t, "M2 ×1");
    term_keys(s.t, "m");
    term_wait_row(s.t, 0, "fix list: mellophones");
    term_wait_text(s.t, "M2 ×1");
    term_keys(s.t, "j");
    term_wait_row(s.t, -1, "no section has the key 'j'");
    term_keys(s.t, "u");
    term_wait_row(s.t, 0, "fix list: tubas");
    term_keys(s.t, "n");
    term_wait_row(s.t, 0, "fix list: snares");
    term_wait_text(s.t, "Nothing to fix");
    term_keys(s.t, "e");
    term_wait_row(s.t, 0, "fix list: ensemble");
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "time    marks");
}

static void undo_on_the_fix_list_shows_there(void **state)
{
    (void)state;
    term_keys(s.t, "F4");
    stage_calm(&s);
    term_keys(s.t, "n b");
    term_wait_row(s.t, -1, "snares, bent line");
    term_keys(s.t, "F2 n");
    term_wait_row(s.t, 0, "fix list: snares");
    term_wait_text(s.t, "bent line");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back");
    term_wait_text(s.t, "Nothing to fix");
}

static void a_click_chooses_a_line_and_a_second_opens_it(void **state)
{
    (void)state;
    open_fixes();
    int row = row_of("phasing");
    term_click(s.t, row, 20, 1);
    term_wait_text(s.t, "right: All blocks put their feet");
    term_click(s.t, row, 20, 1);
    term_wait_text(s.t, "▶ ");
    stage_calm(&s);
    stage_halt(&s);
}

/* Marks, watched share, ties, and of whom they are. */
static void the_list_of_clips_says_what_was_made_of_each(void **state)
{
    (void)state;
    term_keys(s.t, "F4");
    stage_calm(&s);
    term_keys(s.t, "F3");
    term_wait_row(s.t, 1, "label             date       run   length marks watched tied");
    term_wait_row(s.t, 2, "0:20.0");
    term_wait_row(s.t, 2, "not yet Ana Quill");
    term_wait_row(s.t, -2, "run.mp4");
    term_keys(s.t, "Esc");
}

static void the_list_of_clips_opens_the_one_chosen(void **state)
{
    (void)state;
    term_keys(s.t, "F4");
    stage_calm(&s);
    stage_go(&s, 200);
    term_keys(s.t, "F3");
    term_wait_row(s.t, 0, "2 clips");
    term_wait_row(s.t, 3, "stands");
    term_keys(s.t, "Down Enter");
    term_wait_text(s.t, "/ 0:06.0");
    term_wait_row(s.t, 0, "stands");
    stage_wait_frame(&s, 0);
    term_keys(s.t, "F3 Up Enter");
    term_wait_text(s.t, "/ 0:20.0");
    stage_wait_frame(&s, 200); /* where it was left */
}

/* --- every key ------------------------------------------------------------------------------- */

/* All screens of the help, one after the other. */
static const char *whole_help(void)
{
    const char *all = "", *last = "";
    term_keys(s.t, "F4 ?");
    term_wait_row(s.t, 0, "every key");
    for (int page = 0; page < 40; page++) {
        term_wait_idle(s.t);
        const char *now = arena_strdup(test_arena(), term_screen(s.t));
        if (strcmp(now, last) == 0)
            return all;
        all = arena_printf(test_arena(), "%s%s", all, now);
        last = now;
        term_keys(s.t, "PageDown");
    }
    fail_msg("the help has no end");
    return all;
}

/* Does a line hold the key, and behind it what it does? */
static bool line_with(const char *text, const char *key, const char *what)
{
    for (const char *line = text; *line; line += strcspn(line, "\n"), line += *line == '\n') {
        const char *at = arena_printf(test_arena(), "%.*s", (int)strcspn(line, "\n"), line);
        const char *found = strstr(at, arena_printf(test_arena(), " %s ", key));
        if (found && strstr(found, what))
            return true;
    }
    return false;
}

static void help_lists_every_key_of_the_table(void **state)
{
    (void)state;
    const char *help = whole_help();
    struct run keys = run("boxcall", "keys", s.show, NULL);
    assert_quiet(keys);
    int n = 0;
    char *rows = arena_strdup(test_arena(), keys.out), *save = NULL;
    for (char *row = strtok_r(rows, "\n", &save); row; row = strtok_r(NULL, "\n", &save)) {
        char key[32], what[200] = "";
        if (row[0] != ' ' || sscanf(row, " %31s %199[^\n]", key, what) != 2)
            continue;
        char *where = strrchr(what, '(');
        if (where && strchr(where, ')') && !strchr(where, ')')[1] && where > what)
            where[-1] = '\0';                               /* "(review)" */
        what[strlen(what) < 18 ? strlen(what) : 18] = '\0'; /* long names are cut on screen */
        for (size_t i = strlen(what); i && what[i - 1] == ' ';)
            what[--i] = '\0';
        if (!line_with(help, key, what))
            fail_msg("help does not list '%s' '%s'", key, what);
        n++;
    }
    assert_true(n > 150); /* 22 sections, 79 faults, the tools */
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "time    marks");
}

static void help_goes_up_and_down_and_back(void **state)
{
    (void)state;
    term_keys(s.t, "F4 ?");
    term_wait_row(s.t, 1, "A mark: section");
    term_keys(s.t, "Down");
    term_wait_gone_row(s.t, 1, "A mark: section");
    term_keys(s.t, "Up");
    term_wait_row(s.t, 1, "A mark: section");
    term_wheel(s.t, 10, 10, 1);
    term_wait_gone_row(s.t, 1, "A mark: section");
    term_keys(s.t, "?");
    term_wait_text(s.t, "time    marks");
}

/* From whichever screen: its own keys first, and back to it. */
static const struct asked_row {
    const char *key, *first, *there;
} asked[] = {
    {"F2", "In the fix list", "fix list"},
    {"F3", "In lists", "2 clips"},
    {"F9", "In the fix list", "to decide"},
    {"F11", "On the field", "field"},
    {"F6", "While your reaction lead is measured", "your reaction lead"},
    {"F7", "While your taps are measured", "how you tap"},
};

static void help_begins_with_the_keys_of_the_screen_it_was_asked_from(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        const struct asked_row *x = &asked[i];
        for (int way = 0; way < 2; way++) {
            term_keys(s.t, "F4");
            term_wait_text(s.t, "time    marks");
            term_keys(s.t, x->key);
            term_wait_row(s.t, 0, x->there);
            term_keys(s.t, "?");
            term_wait_row(s.t, 0, "every key");
            term_wait_row(s.t, 1, x->first);
            term_keys(s.t, way ? "?" : "Esc");
            term_wait_row(s.t, 0, x->there);
        }
    }
    term_keys(s.t, "F4");
    term_wait_text(s.t, "time    marks");
}

static void keys_that_do_nothing_say_so(void **state)
{
    (void)state;
    static const char *const keys[] = {"Ctrl-t", "Shift-Tab", "}", "Insert"};
    term_keys(s.t, "F4");
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        stage_calm(&s);
        term_keys(s.t, keys[i]);
        term_wait_row(s.t, -1, arena_printf(test_arena(), "%s does nothing here", keys[i]));
    }
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_fix_list_ranks_by_frequency_and_begins_with_praise);
    case_test(&all, Enter_plays_the_moment_looped_from_two_seconds_before);
    case_test(&all, right_chooses_the_next_moment_of_a_line);
    case_test(&all, Space_takes_a_line_on_and_undo_back);
    case_test(&all, a_sections_key_turns_the_list);
    case_test(&all, undo_on_the_fix_list_shows_there);
    case_test(&all, a_click_chooses_a_line_and_a_second_opens_it);
    case_test(&all, the_list_of_clips_says_what_was_made_of_each);
    case_test(&all, the_list_of_clips_opens_the_one_chosen);
    case_test(&all, help_lists_every_key_of_the_table);
    case_test(&all, help_goes_up_and_down_and_back);
    case_test(&all, help_begins_with_the_keys_of_the_screen_it_was_asked_from);
    case_test(&all, keys_that_do_nothing_say_so);
    return _cmocka_run_group_tests("lists", all.at, all.n, open_stage, close_stage);
}
