/* What the terminal gets: colours it has, characters it has, sizes it has; nothing that garbles. */
#include "review/stage.h"

/* --- colours --------------------------------------------------------------------------------- */

enum colors { NONE, SIXTEEN, MANY, TRUE_COLOR };

/* The richest colour in an "ESC [ ... m" whose parameters stand at s. */
static enum colors richest(const char *s, size_t n)
{
    enum colors best = NONE;
    for (const char *p = s; p < s + n;) {
        char *end;
        long v = strtol(p, &end, 10);
        bool base = (v >= 30 && v <= 37) || (v >= 40 && v <= 47) || (v >= 90 && v <= 107);
        enum colors now = base ? SIXTEEN : NONE;
        if (v == 38 || v == 48)
            now = end[0] == ';' && end[1] == '2' ? TRUE_COLOR : MANY;
        best = now > best ? now : best;
        if (v == 38 || v == 48) /* its own numbers are no colours */
            for (int k = now == TRUE_COLOR ? 4 : 2; k && *end == ';'; k--)
                strtol(end + 1, &end, 10);
        p = end + 1;
    }
    return best;
}

static enum colors colors_used(const char *raw, size_t n)
{
    enum colors best = NONE;
    for (const char *p = raw; (p = memchr(p, 033, n - (size_t)(p - raw))) != NULL; p++) {
        if (p[1] != '[')
            continue;
        size_t len = strspn(p + 2, "0123456789;");
        enum colors now = p[2 + len] == 'm' ? richest(p + 2, len) : NONE;
        best = now > best ? now : best;
    }
    return best;
}

static const struct color_row {
    const char *name, *env[4], *options[3];
    bool mute;
    enum colors most, least;
} colors[] = {
    {"NO_COLOR means no colour at all", {"NO_COLOR=1"}, {0}, false, NONE, NONE},
    {"NO_COLOR wins over COLORTERM", {"NO_COLOR=1", "COLORTERM=truecolor"}, {0}, false, NONE, NONE},
    {"--color none means no colour at all", {0}, {"--color", "none"}, false, NONE, NONE},
    {"a terminal of 8 colours gets no more than 16", {"TERM=xterm"}, {0}, true, SIXTEEN, SIXTEEN},
    {"a terminal of 256 colours gets palette colours",
     {"TERM=xterm-256color"},
     {0},
     true,
     MANY,
     MANY},
    {"COLORTERM promises true colour", {"COLORTERM=truecolor"}, {0}, true, TRUE_COLOR, TRUE_COLOR},
    {"--color 16 holds a better terminal back", {0}, {"--color", "16"}, false, SIXTEEN, SIXTEEN},
    {"--color 256 holds a better terminal back", {0}, {"--color", "256"}, false, MANY, MANY},
    {"a terminal type without colours gets none", {"TERM=vt100"}, {0}, true, NONE, NONE},
};

static void every_screen(struct stage *s)
{
    stage_play(s);
    term_keys(s->t, "t h 3");
    term_wait_row(s->t, -1, "severity 3");
    term_keys(s->t, "m h =");
    term_wait_row(s->t, -1, "praise");
    term_keys(s->t, "j");
    term_wait_row(s->t, -1, "no section");
    stage_halt(s);
    term_keys(s->t, "t");
    term_wait_row(s->t, -1, "chord:");
    term_keys(s->t, "Esc F2");
    term_wait_row(s->t, 0, "fix list");
    term_keys(s->t, "F3");
    term_wait_row(s->t, 0, "2 clips");
    term_keys(s->t, "?");
    term_wait_row(s->t, 0, "every key");
    term_keys(s->t, "F4 Up Enter");
    term_wait_row(s->t, -1, "note:");
    term_type(s->t, "h\xc3\xb6her");
    term_keys(s->t, "Enter");
    term_wait_row(s->t, -1, "noted");
}

static void colours_fit_the_terminal(void **state)
{
    const struct color_row *r = *state;
    struct stage s = stage_new();
    memcpy(s.options, r->options, sizeof r->options);
    stage_open(&s, &(struct term_setup){.env = r->env, .mute = r->mute}, NULL);
    term_forget_raw(s.t); /* what the terminal was asked */
    every_screen(&s);
    size_t n;
    const char *raw = term_raw(s.t, &n);
    enum colors used = colors_used(raw, n);
    assert_in_range(used, r->least, r->most);
    stage_quit(&s);
}

static void praise_and_trouble_are_told_without_colour(void **state)
{
    (void)state;
    static const char *const env[] = {"NO_COLOR=1", NULL};
    struct stage s = stage_new();
    stage_mark(&s, "1", "T1", "h");
    stage_open(&s, &(struct term_setup){.env = env}, NULL);
    term_keys(s.t, "Down =");
    stage_wait_call(&s, "0:01.0", "keep", NULL);
    term_keys(s.t, "= 3");
    stage_wait_call(&s, "0:01.0", "!!!", NULL);
    term_keys(s.t, "(");
    term_wait_row(s.t, -1, "✗");
    stage_quit(&s);
}

/* --- characters ------------------------------------------------------------------------------ */

static void only_ascii_is_written_where_the_locale_has_no_more(void **state)
{
    (void)state;
    static const char *const env[] = {"LANG=C", NULL};
    struct stage s = stage_new();
    struct run r = run("boxcall", "mark", s.show, "run", "1", "T1", "h", "--note",
                       "gr\xc3\xb6\xc3\x9f"
                       "er \xe8\xa7\x92",
                       NULL);
    assert_exit(r, 0);
    stage_open(&s, &(struct term_setup){.env = env}, NULL);
    stage_line(&s, "tie 1");
    term_wait_row(s.t, -1, "tie");
    every_screen(&s);
    term_keys(s.t, "F4");
    stage_wait_call(&s, "0:01.0", "gr?", NULL);
    size_t n;
    const char *raw = term_raw(s.t, &n);
    for (size_t i = 0; i < n; i++)
        if ((unsigned char)raw[i] >= 0x80)
            fail_msg("byte %02x in '%.40s'", (unsigned char)raw[i], raw + (i > 20 ? i - 20 : 0));
    stage_quit(&s);
}

/* The upright line behind the rail stands in every row, whatever the names beside it are. */
static void assert_straight(struct stage *s)
{
    term_wait_idle(s->t);
    for (int row = 1; row < 23; row++)
        if (strcmp(term_cell(s->t, row, 20).text, "│") != 0)
            fail_msg("row %d is out of line:\n%s", row, term_screen(s->t));
    assert_string_equal(term_cell(s->t, 8, 79).text, "│");
    assert_non_null(strstr(term_row(s->t, 0), "keys"));
}

static const char odd_sections[] =
    "section,parent,key,words\n"
    "ensemble,,e,\n"
    "小号小号小号小号小号小号小号,ensemble,t,\n"
    "a\xcc\x81\xcc\x81\xcc\x81\xcc\x81 trombo\xcc\x88nes,ensemble,o,\n"
    "עברית עברית,ensemble,u,\n"
    "👩\xe2\x80\x8d🚀 flags 👍🏽,ensemble,g,\n";

static void no_name_garbles_the_screen(void **state)
{
    (void)state;
    struct stage s = {.dir = temp_dir(), .home = temp_dir()};
    s.show = path_in(s.dir, "odd.show");
    struct run made = run("boxcall", "new", s.show, "--title", "Lärche 落葉松", NULL);
    assert_exit(made, 0);
    struct run put =
        run_in(odd_sections, "boxcall", "add", s.show, "sections", "-", "--replace", "--yes", NULL);
    assert_exit(put, 0);
    struct run clip = run("boxcall", "add", s.show, "clip", clip_run(), "--label", "走る", NULL);
    assert_exit(clip, 0);
    stage_open(&s, NULL, NULL);
    static const char *const chords[] = {"t", "o", "u", "g"};
    for (size_t i = 0; i < 4; i++) {
        term_keys(s.t, chords[i]);
        term_wait_row(s.t, -1, "chord:");
        assert_straight(&s);
        term_keys(s.t, "h");
        term_wait_row(s.t, -1, "horn angle");
        assert_straight(&s);
    }
    term_keys(s.t, "t +");
    term_wait_row(s.t, -1, "chord: t+");
    assert_straight(&s);
    term_keys(s.t, "Esc F2");
    term_wait_text(s.t, "小号");
    term_keys(s.t, "?");
    term_wait_text(s.t, "小号");
    stage_quit(&s);
}

static void what_a_note_or_author_holds_is_text_to_the_terminal(void **state)
{
    (void)state;
    static const char evil[] = "a\033]0;evil\007b\033[2Jc\rd\te\x7f\xc2\x9b"
                               "31mf \xe2\x80\xae rtl";
    struct stage s = stage_new();
    struct run r = run("boxcall", "mark", s.show, "run", "1", "T1", "h", "--note", evil, "--author",
                       "x\033[31my", NULL);
    if (r.status == 0) {
        stage_open(&s, &(struct term_setup){.cols = 120}, NULL);
        term_keys(s.t, "Down");
        stage_wait_call(&s, "0:01.0", "T1", NULL);
        term_wait_idle(s.t);
        term_keys(s.t, "Enter");
        term_wait_row(s.t, -1, "note:");
        term_keys(s.t, "Esc F2 Down");
        term_wait_row(s.t, 0, "fix list");
        term_wait_idle(s.t);
        size_t n;
        assert_string_equal(term_title(s.t), "");
        assert_null(strstr(term_raw(s.t, &n), "evil\007"));
        assert_null(strstr(term_raw(s.t, &n), "\xc2\x9b"));
        assert_null(strstr(term_raw(s.t, &n), "b\033[2Jc"));
        stage_quit(&s);
    } else {
        assert_contains(r.err, "control");
    }
}

/* --- pictures -------------------------------------------------------------------------------- */

static const struct picture_row {
    const char *name;
    enum term_pictures pictures;
    char kind; /* of the control strings that carry them */
    const char *option;
} pictures[] = {
    {"a terminal with kitty graphics gets them", TERM_KITTY, '_', NULL},
    {"a terminal with sixels gets them", TERM_SIXEL, 'P', NULL},
    {"a terminal without pictures gets neither", TERM_NO_PICTURES, 0, NULL},
    {"--picture cells holds a better terminal back", TERM_KITTY, 0, "cells"},
    {"--picture none leaves the pane empty", TERM_KITTY, 0, "none"},
};

/* Long control strings; questions and removals are short. */
static size_t pictures_sent(struct term *t, char kind)
{
    size_t n = 0;
    for (size_t i = 0; i < term_strings(t, kind); i++)
        n += strlen(term_string(t, kind, i)) > 200;
    return n;
}

static bool picture_came(void *user)
{
    struct stage *s = user;
    return pictures_sent(s->t, '_') > 0 || pictures_sent(s->t, 'P') > 0;
}

static void pictures_fit_the_terminal(void **state)
{
    const struct picture_row *r = *state;
    struct stage s = stage_new();
    s.options[0] = r->option ? "--picture" : NULL;
    s.options[1] = r->option;
    stage_open(&s, &(struct term_setup){.pictures = r->pictures}, NULL);
    if (r->kind)
        term_wait_until(s.t, picture_came, &s, "a picture");
    stage_play(&s); /* a moving picture is in cells, a still one sharp again */
    stage_wait_past(&s, 10);
    term_forget_raw(s.t);
    stage_halt(&s);
    if (r->kind)
        term_wait_until(s.t, picture_came, &s, "the still picture");
    stage_wait_frame(&s, stage_frame(&s));
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    term_wait_idle(s.t);
    assert_int_equal(pictures_sent(s.t, '_') > 0, r->kind == '_');
    assert_int_equal(pictures_sent(s.t, 'P') > 0, r->kind == 'P');
    term_keys(s.t, "F2");
    term_wait_row(s.t, 0, "fix list");
    stage_quit(&s);
}

/* --- sizes ----------------------------------------------------------------------------------- */

static void the_review_follows_the_window_down_and_up(void **state)
{
    (void)state;
    static const struct {
        int rows, cols;
    } sizes[] = {{30, 100}, {60, 200}, {24, 79},  {23, 80}, {24, 80}, {8, 40},
                 {2, 10},   {1, 1},    {45, 110}, {3, 80},  {24, 80}};
    struct stage s = stage_new();
    stage_mark(&s, "1", "T1", "h");
    stage_open(&s, NULL, NULL);
    stage_play(&s);
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        int rows = sizes[i].rows, cols = sizes[i].cols;
        term_resize(s.t, rows, cols);
        if (rows >= 24 && cols >= 80) {
            term_wait_row(s.t, 0, "keys");
            term_wait_row(s.t, 1, "time    marks");
            term_wait_text(s.t, "0:01.0  T1");
            assert_true(stage_transport(&s) > 0);
        } else if (rows >= 2 && cols >= 40) {
            term_wait_row(s.t, 0, "boxcall needs 80 columns and 24 rows");
            term_wait_row(s.t, 1, arena_printf(test_arena(), "this is %d by %d", cols, rows));
            for (int row = 2; row < rows; row++)
                assert_string_equal(term_row(s.t, row), "");
        }
    }
    long frame = stage_frame(&s);
    stage_wait_past(&s, frame); /* it played all the while */
    stage_quit(&s);
}

static void a_mark_can_be_made_while_the_window_is_too_small(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_resize(s.t, 10, 40);
    term_wait_row(s.t, 0, "boxcall needs");
    term_keys(s.t, "t h");
    term_resize(s.t, 24, 80);
    term_wait_row(s.t, 0, "1 mark");
    assert_string_equal(stage_only_call(&s).who, "trumpets");
    stage_quit(&s);
}

/* What stands on both edges at once only when the last size is drawn: at each size before it one of
 * them is elsewhere. */
static bool fills_28_by_90(void *user)
{
    struct term *t = user;
    int row, col;
    return term_find(t, "keys", &row, &col) && row == 0 && col + 5 == 90 &&
           term_cell(t, 0, 89).reverse && strstr(term_row(t, 27), "letters mark");
}

/* No screen, no line, no chord minds how small the window is. */
static const struct small_row {
    const char *name, *keys, *after; /* what is on the screen again at 24 by 80 */
} small[] = {
    {"the review in the smallest windows", "F4", "letters mark"},
    {"a line in the smallest windows", ":", " :"},
    {"a note's line in the smallest windows", "t h Enter a b c", " note: abc"},
    {"a chord in the smallest windows", "t 3", "chord: t3"},
    {"the fix list in the smallest windows", "F2", "fix"},
    {"the clips in the smallest windows", "F3", "left at"},
    {"the decisions in the smallest windows", "F9", "to decide"},
    {"the plan in the smallest windows", "F5", "plan"},
    {"the drafts in the smallest windows", "\"", "Nothing is proposed"},
    {"the field in the smallest windows", "F11", "no dots yet"},
    {"the keys in the smallest windows", "?", "every key"},
    {"the lead in the smallest windows", "F6", "Space begins"},
    {"measuring taps in the smallest windows", "F7", "Tap Space along"},
};

static void survives_small_windows(void **state)
{
    const struct small_row *r = *state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, r->keys);
    term_wait_text(s.t, r->after);
    for (int rows = 6; rows >= 1; rows--)
        for (int cols = 6; cols >= 1; cols--) {
            term_resize(s.t, rows, cols);
            if (strcmp(r->keys, "F6") != 0 && strcmp(r->keys, "F7") != 0) /* they are never idle */
                term_wait_idle(s.t);
            else
                term_pump(s.t);
        }
    term_resize(s.t, 24, 80);
    term_wait_text(s.t, r->after);
    term_keys(s.t, "Esc");
    stage_quit(&s);
}

static void many_sizes_in_a_row_end_in_the_last(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    stage_play(&s);
    for (int i = 0; i < 30; i++)
        term_resize(s.t, 20 + i % 15, 70 + i * 3 % 50);
    term_resize(s.t, 28, 90);
    term_wait_until(s.t, fills_28_by_90, s.t, "a title row of 90 columns and 28 rows");
    stage_quit(&s);
}

static void nothing_is_cut_on_a_screen_of_80_by_24(void **state)
{
    (void)state;
    static const char *const screens[] = {"F4", "F2", "F3", "?"};
    struct stage s = stage_new();
    for (int i = 0; i < 12; i++)
        stage_mark(&s, "1", "T1", "h");
    stage_open(&s, NULL, NULL);
    for (size_t i = 0; i < sizeof screens / sizeof *screens; i++) {
        term_keys(s.t, screens[i]);
        term_wait_idle(s.t);
        assert_null(strchr(term_row(s.t, 0), '~'));
        assert_null(strchr(term_row(s.t, -1), '~'));
    }
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, colors, colours_fit_the_terminal);
    case_test(&all, praise_and_trouble_are_told_without_colour);
    case_test(&all, only_ascii_is_written_where_the_locale_has_no_more);
    case_test(&all, no_name_garbles_the_screen);
    case_test(&all, what_a_note_or_author_holds_is_text_to_the_terminal);
    cases_of(&all, pictures, pictures_fit_the_terminal);
    case_test(&all, the_review_follows_the_window_down_and_up);
    case_test(&all, a_mark_can_be_made_while_the_window_is_too_small);
    cases_of(&all, small, survives_small_windows);
    case_test(&all, many_sizes_in_a_row_end_in_the_last);
    case_test(&all, nothing_is_cut_on_a_screen_of_80_by_24);
    return cases_run(&all, "what the terminal gets");
}
