/* The field screen: where everybody should be as the clip runs.
 *
 * Set 1 (16 counts at 120) is tied to 0:03, so set 2 (8 counts) lasts from 0:11 to 0:15. In set 2 T1
 * goes from the 50 to side 2's 40 along the front hash: 16 steps, two a count. */
#include "review/stage.h"

static const char dots[] = "performer,set,x,y\n"
                           "T1,1,0,28\nT1,2,16,28\nT1,3,16,56\n"
                           "T2,1,-16,28\nT2,2,-16,28\nT2,3,-16,28\n"
                           "M1,1,-16,0\nM1,2,-16,0\nM1,3,-16,0\n"
                           "U1,1,16,56\nU1,2,16,56\nU1,3,16,56\n";

static struct stage s;

static void add_dots(void)
{
    must(run_in(dots, "boxcall", "add", s.show, "dots", "-", NULL));
}

static int open_without_dots(void **state)
{
    (void)state;
    s = stage_new();
    stage_open(&s, NULL, NULL);
    return 0;
}

/* At set 2, count 1; marks: T1 at its count 5, T2 at its count 1. */
static void open_at(const struct term_setup *setup)
{
    s = stage_new();
    add_dots();
    must(run("boxcall", "count", s.show, "run", "tie", "0:03", "1", NULL));
    stage_mark(&s, "13", "T1", "h");
    stage_mark(&s, "13", "mellophones", "h");
    stage_mark(&s, "5", "T2", "h");
    stage_open(&s, setup, NULL);
    stage_go(&s, 330);
    term_keys(s.t, "Tab");
    term_wait_text(s.t, "set 2 count 1 of 8");
    term_wait_idle(s.t);
}

static int open_tied(void **state)
{
    (void)state;
    open_at(NULL);
    return 0;
}

static int close_stage(void **state)
{
    (void)state;
    stage_quit(&s);
    return 0;
}

/* --- where things are ------------------------------------------------------------------------- */

static int numbers_row(void)
{
    return term_rows(s.t) - 6;
}

/* The column of a yard line: side 2's lies behind the 50 in the row of numbers. */
static int line_col(const char *number, bool side_2)
{
    const char *row = term_row(s.t, numbers_row()), *fifty = strstr(row, "50");
    assert_non_null(fifty);
    const char *at = strstr(side_2 ? fifty : row, number);
    assert_non_null(at);
    return (int)(at - row) + 1;
}

static void chosen_at(int *row, int *col)
{
    if (!term_find(s.t, "●", row, col))
        fail_msg("nobody is chosen:\n%s", term_screen(s.t));
}

/* --- tests ------------------------------------------------------------------------------------ */

static void without_dots_it_says_how_to_bring_them(void **state)
{
    (void)state;
    term_keys(s.t, "Tab");
    term_wait_text(s.t, "This show has no dots yet.");
    term_wait_text(s.t, arena_printf(test_arena(), "boxcall add %s dots FILE", s.show));
    term_keys(s.t, "Down Shift-Down + % PageDown Enter");
    term_wait_row(s.t, -1, "nobody is chosen");
    add_dots(); /* from elsewhere: they are there at once */
    term_wait_text(s.t, "4 on the field; nobody is chosen");
}

static void opens_from_the_review_and_from_lists_and_leads_back(void **state)
{
    (void)state;
    term_keys(s.t, "Esc");
    term_wait_row(s.t, -1, "letters mark");
    term_keys(s.t, "F2");
    term_wait_row(s.t, 0, "fix list");
    term_keys(s.t, "F11");
    term_wait_text(s.t, "set 2 count 1 of 8");
    term_keys(s.t, "Tab");
    term_wait_row(s.t, -1, "letters mark");
}

static void a_dot_stands_at_its_line_and_goes_along_with_the_counts(void **state)
{
    (void)state;
    int row, col, later_row, later_col;
    stage_line(&s, "field T1");
    term_wait_text(s.t, "on 50; on front hash");
    term_wait_idle(s.t);
    chosen_at(&row, &col);
    assert_int_equal(col, line_col("50", true));
    term_keys(s.t, "Right Right Right Right Right Right Right Right");
    term_wait_text(s.t, "set 3 count 1 of 16");
    term_wait_text(s.t, "side 2, on 40; on front hash");
    term_wait_idle(s.t);
    chosen_at(&later_row, &later_col);
    assert_int_equal(later_row, row);
    assert_int_equal(later_col, line_col("40", true));
    assert_string_equal(term_cell(s.t, row, col).text, "┼"); /* the hash that T1 left */
}

static void says_the_next_dot_and_what_the_move_asks_for(void **state)
{
    (void)state;
    stage_line(&s, "field T1");
    term_wait_row(s.t, 0, "T1");
    term_wait_row(s.t, -4, "now      on 50; on front hash");
    term_wait_row(s.t, -3, "set 2    side 2, on 40; on front hash");
    /* 16 steps of 22.5 in are 30 ft; over 8 counts 45 in each, of which 4 make five yards. */
    term_wait_row(s.t, -2, "16 steps (30 ft 0 in) in 8 counts: 4-to-5, each 45 in");
    term_keys(s.t, "Right");
    term_wait_row(s.t, -4, "now      side 2, 2 outside 50; on front hash");
    stage_line(&s, "field M1");
    term_wait_row(s.t, -2, "stays");
}

/* Where T1 is on each count, and where they come to. */
static void the_way_ahead_is_drawn(void **state)
{
    (void)state;
    int row, col;
    stage_line(&s, "field T1");
    term_wait_row(s.t, -4, "on 50;");
    term_wait_idle(s.t);
    chosen_at(&row, &col);
    const int end = line_col("40", true);
    assert_string_equal(term_cell(s.t, row, end).text, "○");
    int counts = 0;
    for (int k = col; k < end; k++)
        counts += strcmp(term_cell(s.t, row, k).text, "·") == 0;
    assert_true(counts >= 3);   /* of seven; the label lies over the first */
    term_keys(s.t, "PageDown"); /* from there to the back hash, upwards */
    term_wait_row(s.t, -4, "side 2, on 40; on front hash");
    term_wait_idle(s.t);
    int to_row, to_col;
    assert_true(term_find(s.t, "○", &to_row, &to_col));
    assert_true(to_row < row && to_col == end);
}

static void plays_along_with_the_clip(void **state)
{
    (void)state;
    stage_line(&s, "field T1");
    term_wait_row(s.t, -4, "on 50;");
    term_keys(s.t, "Space");
    term_wait_row(s.t, -5, "▶");
    term_wait_gone_row(s.t, -4, "on 50;");
    term_wait_row(s.t, -4, "side 2, on 40; on front hash"); /* it comes there by itself */
    term_keys(s.t, "Space");
    term_wait_row(s.t, -5, "■");
}

static void keys_go_through_performers_and_sections(void **state)
{
    (void)state;
    static const struct {
        const char *key, *title;
    } steps[] = {{"Down", "T1"},
                 {"Down", "T2"},
                 {"Down", "M1"}, /* T3 has no dot */
                 {"Up", "T2"},
                 {"Shift-Down", "field  mellophones"},
                 {"Down", "M1"},
                 {"Shift-Down", "field  tubas"},
                 {"Shift-Down", "field  tubas"}, /* the last */
                 {"Shift-Up", "field  mellophones"},
                 {"Up", "T2"}};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        term_keys(s.t, steps[i].key);
        term_wait_row(s.t, 0, steps[i].title);
    }
}

static void a_section_is_lit_and_says_its_longest_way(void **state)
{
    (void)state;
    stage_line(&s, "field trumpets");
    term_wait_row(s.t, -4, "trumpets, 2 on the field");
    term_wait_row(s.t, -3, "to set 2, the longest way: T1");
    term_wait_text(s.t, "T2");
    term_keys(s.t, "Shift-Down");
    term_wait_row(s.t, -3, "to set 2: all stay");
}

static void a_click_chooses_who_is_nearest(void **state)
{
    (void)state;
    int row, col;
    stage_line(&s, "field T2");
    term_wait_row(s.t, 0, "T2");
    term_wait_idle(s.t);
    chosen_at(&row, &col); /* T1 stands on the same hash */
    term_click(s.t, row, line_col("50", true) + 1, 1);
    term_wait_row(s.t, 0, "T1");
    term_click(s.t, 3, 3, 1);
    term_wait_row(s.t, -4, "nobody is chosen");
    term_click(s.t, term_rows(s.t) - 5, 3, 1);
    term_wait_row(s.t, -5, "▶");
    term_keys(s.t, "Space");
    term_wait_row(s.t, -5, "■");
}

/* T1's mark of count 5 stands on the way, at side 2's 45. */
static void marks_stand_where_their_performers_were(void **state)
{
    (void)state;
    int row, col;
    stage_line(&s, "field T1");
    term_wait_row(s.t, -4, "on 50;");
    term_wait_row(s.t, -5, "2 marks in this move ×");
    term_wait_idle(s.t);
    chosen_at(&row, &col);
    const int at = (line_col("50", true) + line_col("40", true)) / 2;
    const bool there = strcmp(term_cell(s.t, row, at).text, "×") == 0 ||
                       strcmp(term_cell(s.t, row, at + 1).text, "×") == 0;
    if (!there)
        fail_msg("no mark in row %d, column %d:\n%s", row, at, term_screen(s.t));
    term_keys(s.t, "%");
    term_wait_row(s.t, -5, "2 of 3 marks by place ░1 ▒2 ▓3 █5+");
    term_wait_idle(s.t);
    assert_true(strcmp(term_cell(s.t, row, at).text, "░") == 0 ||
                strcmp(term_cell(s.t, row, at + 1).text, "░") == 0);
    term_keys(s.t, "%");
    term_wait_row(s.t, -5, "3 marks by set");
    term_wait_row(s.t, -4, "1    2");
    term_wait_row(s.t, -2, "1    2    3");
    term_click(s.t, term_rows(s.t) - 3, 12, 1); /* set 3's bar */
    term_wait_row(s.t, -5, "set 3 count 1 of 16");
    term_click(s.t, term_rows(s.t) - 3, 7, 1);
    term_wait_row(s.t, -5, "set 2 count 1 of 8");
    term_keys(s.t, "%");
    term_wait_row(s.t, -5, "2 marks in this move ×");
}

static void a_chord_marks_here_too_and_the_mark_stands_at_once(void **state)
{
    (void)state;
    term_keys(s.t, "u");
    term_wait_row(s.t, -1, "chord: u");
    term_wait_text(s.t, "tubas");
    term_keys(s.t, "1 h");
    term_wait_row(s.t, -1, "U1, horn angle");
    term_wait_row(s.t, -5, "3 marks in this move ×");
    assert_string_equal(stage_newest_call(&s).who, "U1");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -5, "2 marks in this move ×");
}

static void enter_opens_the_fix_list_of_who_is_chosen(void **state)
{
    (void)state;
    stage_line(&s, "field T1");
    term_wait_row(s.t, 0, "T1");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, 0, "fix list");
    term_wait_row(s.t, 0, "T1");
}

static void nearer_and_wider_show_less_and_more_of_the_field(void **state)
{
    (void)state;
    assert_null(strstr(term_row(s.t, numbers_row()), "0    10"));
    term_keys(s.t, "-");
    term_wait_row(s.t, -1, "all of the field");
    term_wait_idle(s.t);
    /* Goal line to goal line. */
    assert_non_null(strstr(term_row(s.t, numbers_row()), "20"));
    assert_true(line_col("10", false) < line_col("20", false));
    const int wide = line_col("40", true) - line_col("50", true);
    term_keys(s.t, "- + +");
    term_wait_row(s.t, -1, "where the move is");
    term_wait_idle(s.t);
    assert_true(line_col("40", true) - line_col("50", true) >= wide);
}

static void an_untied_clip_lets_one_leaf_through_the_drill(void **state)
{
    (void)state;
    add_dots();
    term_keys(s.t, "Tab");
    term_wait_row(s.t, -5, "the clip is not tied to the sets");
    term_keys(s.t, "Down PageDown PageDown");
    term_wait_row(s.t, -4, "side 2, on 40; on front hash");
    term_wait_row(s.t, -3, "set 3    side 2, on 40; on back hash");
    term_keys(s.t, "Left Left Left Left");
    term_wait_row(s.t, -5, "set 2 count 5 of 8");
    term_wait_row(s.t, -4, "now      side 2, on 45; on front hash");
    term_keys(s.t, "PageUp");
    term_wait_row(s.t, -4, "now      on 50; on front hash");
}

static void a_person_who_is_not_there_is_not_chosen(void **state)
{
    (void)state;
    stage_line(&s, "field T77");
    term_wait_row(s.t, -1, "T77");
    term_wait_row(s.t, -1, "✗");
    stage_line(&s, "field T1;T2");
    term_wait_row(s.t, -1, "one performer or one section at a time");
}

/* A count on writes what moved, never the whole screen: nothing can flicker. */
static void a_step_writes_what_moved_alone(void **state)
{
    (void)state;
    stage_line(&s, "field T1");
    term_wait_row(s.t, -4, "on 50;");
    term_wait_idle(s.t);
    term_forget_raw(s.t);
    term_keys(s.t, "Right");
    term_wait_row(s.t, -4, "2 outside 50;");
    term_wait_idle(s.t);
    size_t n;
    const char *raw = term_raw(s.t, &n);
    assert_null(strstr(raw, "\033[2J"));
    assert_null(strstr(raw, "\033[J"));
    assert_true(n < 1000);
}

static void only_ascii_where_the_locale_has_no_more(void **state)
{
    (void)state;
    static const char *const env[] = {"LANG=C", NULL};
    open_at(&(struct term_setup){.env = env});
    stage_line(&s, "field T1");
    term_wait_text(s.t, "@T1");
    term_wait_text(s.t, "2 marks in this move x");
    term_wait_text(s.t, "+----");
    term_keys(s.t, "%");
    term_wait_text(s.t, ".1 :2 *3 #5+");
    term_keys(s.t, "%");
    term_wait_text(s.t, "3 marks by set");
    term_keys(s.t, "Shift-Up");
    term_wait_text(s.t, "T2");
    term_wait_idle(s.t);
    size_t n;
    const char *raw = term_raw(s.t, &n);
    for (size_t i = 0; i < n; i++)
        assert_true((unsigned char)raw[i] < 0x80);
    stage_quit(&s);
}

static const struct size {
    const char *name;
    int rows, cols;
} sizes[] = {{"small", 24, 80}, {"wide", 30, 132}, {"large", 60, 200}, {"tall", 70, 80}};

/* The lines stand straight, the chosen dot on its line, nothing cut at the edge or the foot. */
static void fits_the_window(void **state)
{
    const struct size *z = *state;
    int row, col, corner, left;
    open_at(&(struct term_setup){.rows = z->rows, .cols = z->cols});
    stage_line(&s, "field T1");
    term_wait_row(s.t, -4, "on 50;");
    term_wait_row(s.t, -1, "every key");
    term_keys(s.t, "-");
    term_wait_row(s.t, -1, "all of the field");
    term_wait_idle(s.t);
    chosen_at(&row, &col);
    assert_int_equal(col, line_col("50", true));
    assert_true(term_find(s.t, "┌", &corner, &left));
    assert_string_equal(term_cell(s.t, corner, col).text, "┬");
    for (int r = corner + 1; r < row; r++) {
        const char *text = term_cell(s.t, r, col).text;
        assert_true(strcmp(text, "│") == 0 || strcmp(text, "┼") == 0);
    }
    /* As far left of the 50 as right of it. */
    assert_string_equal(term_cell(s.t, corner, 2 * col - left).text, "┐");
    stage_quit(&s);
}

static void a_window_that_is_too_small_says_so(void **state)
{
    (void)state;
    term_resize(s.t, 18, 60);
    term_wait_row(s.t, 0, "boxcall needs 80 columns and 24 rows");
    term_keys(s.t, "Right");
    term_resize(s.t, 24, 80);
    term_wait_text(s.t, "set 2 count 2 of 8");
}

static void add_case(struct cases *c, const char *name, CMUnitTestFunction fn,
                     CMFixtureFunction open)
{
    case_add(c, name, fn, NULL);
    c->at[c->n - 1].setup_func = open;
    c->at[c->n - 1].teardown_func = close_stage;
}
#define case_with(c, fn, open) add_case(c, #fn, fn, open)

int main(void)
{
    struct cases all = {0};
    case_with(&all, without_dots_it_says_how_to_bring_them, open_without_dots);
    case_with(&all, an_untied_clip_lets_one_leaf_through_the_drill, open_without_dots);
    case_with(&all, opens_from_the_review_and_from_lists_and_leads_back, open_tied);
    case_with(&all, a_dot_stands_at_its_line_and_goes_along_with_the_counts, open_tied);
    case_with(&all, says_the_next_dot_and_what_the_move_asks_for, open_tied);
    case_with(&all, the_way_ahead_is_drawn, open_tied);
    case_with(&all, plays_along_with_the_clip, open_tied);
    case_with(&all, keys_go_through_performers_and_sections, open_tied);
    case_with(&all, a_section_is_lit_and_says_its_longest_way, open_tied);
    case_with(&all, a_click_chooses_who_is_nearest, open_tied);
    case_with(&all, marks_stand_where_their_performers_were, open_tied);
    case_with(&all, a_chord_marks_here_too_and_the_mark_stands_at_once, open_tied);
    case_with(&all, enter_opens_the_fix_list_of_who_is_chosen, open_tied);
    case_with(&all, nearer_and_wider_show_less_and_more_of_the_field, open_tied);
    case_with(&all, a_person_who_is_not_there_is_not_chosen, open_tied);
    case_with(&all, a_step_writes_what_moved_alone, open_tied);
    case_test(&all, only_ascii_where_the_locale_has_no_more);
    cases_of(&all, sizes, fits_the_window);
    case_with(&all, a_window_that_is_too_small_says_so, open_tied);
    return cases_run(&all, "the field");
}
