/* The person's own keys: a file keys.ini in the configuration folder. */
#include "review/stage.h"

static struct stage with_keys(const char *text)
{
    struct stage s = stage_new();
    write_file(s.home, ".config/boxcall/keys.ini", text);
    return s;
}

static const struct bad_row {
    const char *name, *text;
    const char *said[3]; /* each is in the message */
} bad[] = {
    {"a letter cannot be bound", "[review]\nt = play\n", {"keys.ini:2", "'t' is a letter"}},
    {"a key that is none is refused", "[review]\n\nHyper-x = play\n", {"keys.ini:3", "'Hyper-x'"}},
    {"a key bound twice names both lines",
     "[review]\nF9 = play\n# twice\nF9 = loop\n",
     {"keys.ini:4", "line 2", "F9"}},
    {"capitals do not make another key",
     "[review]\nf9 = play\nF9 = loop\n",
     {"keys.ini:3", "line 2"}},
    {"a command that is none is refused with a near one",
     "[review]\nF9 = plya\n",
     {"keys.ini:2", "did you mean 'play'"}},
    {"a section must come first", "F9 = play\n", {"keys.ini:1", "section"}},
    {"a section that is none is refused", "[revue]\nF9 = play\n", {"keys.ini:1", "[revue]"}},
    {"a line without = is refused", "[review]\nF9 play\n", {"keys.ini:2", "KEY = COMMAND"}},
    {"a section left open is refused", "[review\nF9 = play\n", {"keys.ini:1", "[review]"}},
    {"a file that is no text is refused", "[review]\nF9 = \xff\xfe\n", {"keys.ini", "UTF-8"}},
};

static void is_refused(void **state)
{
    const struct bad_row *r = *state;
    struct stage s = with_keys(r->text);
    stage_start(&s, &(struct term_setup){.cols = 200}, NULL);
    assert_int_equal(term_wait_exit(s.t), 3);
    for (size_t i = 0; i < 3 && r->said[i]; i++)
        if (!term_has(s.t, r->said[i]))
            fail_msg("no '%s' in\n%s", r->said[i], term_screen(s.t));
    term_assert_restored(s.t);
    stage_close(&s);
    const struct run_setup setup = {.home = s.home};
    struct run listed = run_with(&setup, "boxcall", "keys", s.show, NULL);
    assert_exit(listed, 3);
    assert_contains(listed.err, r->said[0]);
}

static const char mine[] = "# my own\n"
                           "[review]\n"
                           "Space =\n"
                           "F9 = play\n"
                           "% = mark T3 horn angle\n"
                           "; = note ; and = are keys too\n"
                           "= = severity 2\n"
                           "[ = severity 3\n"
                           "# = mark M2 horn angle\n"
                           "# == not a key ==\n"
                           "#= nor this\n"
                           "\n"
                           "[anywhere]\n"
                           "Ctrl-k = quit\n"
                           "? =\n"
                           "[lead]\n"
                           "Space =\n"
                           "Tab = lead begin\n";

static void keys_do_what_the_file_says(void **state)
{
    (void)state;
    struct stage s = with_keys(mine);
    stage_open(&s, NULL, NULL);
    stage_go(&s, 60);
    term_keys(s.t, "Space");
    term_wait_row(s.t, -1, "Space does nothing here");
    term_keys(s.t, "%");
    term_wait_row(s.t, -1, "T3, horn angle");
    term_keys(s.t, "=");
    term_wait_row(s.t, -1, "severity 2");
    term_keys(s.t, ";");
    term_wait_row(s.t, -1, "noted");
    struct call c = stage_only_call(&s);
    assert_int_equal(c.severity, 2);
    assert_string_equal(c.note, "; and = are keys too");
    term_keys(s.t, "[");
    term_wait_row(s.t, -1, "severity 3");
    term_keys(s.t, "#");
    term_wait_row(s.t, -1, "M2, horn angle");
    term_keys(s.t, "F9");
    term_wait_row(s.t, stage_transport(&s), "▶");
    term_keys(s.t, "?");
    term_wait_row(s.t, -1, "? does nothing here; F1 shows every key");
    term_keys(s.t, "Ctrl-k");
    assert_int_equal(term_wait_exit(s.t), 0);
    stage_close(&s);
}

static void hints_and_lists_name_the_keys_of_the_file(void **state)
{
    (void)state;
    struct stage s = with_keys(mine);
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, -1, "F9 plays");
    term_wait_row(s.t, -1, "F1 every key");
    term_wait_row(s.t, 0, "F1 keys");
    term_keys(s.t, "F1");
    term_wait_row(s.t, 0, "every key");
    term_keys(s.t, "Esc");
    stage_line(&s, "lead measure");
    term_wait_text(s.t, "Tab begins; nine right answers");
    stage_quit(&s);
    const struct run_setup setup = {.home = s.home};
    struct run keys = run_with(&setup, "boxcall", "keys", NULL);
    assert_quiet(keys);
    assert_contains(keys.out, "F9           Play or halt");
    assert_contains(keys.out, "Ctrl-k       Leave");
    assert_lacks(keys.out, "Space        Play or halt");
}

static void without_a_file_the_table_holds(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_wait_row(s.t, -1, "Space plays");
    term_wait_row(s.t, -1, "? every key");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, bad, is_refused);
    case_test(&all, keys_do_what_the_file_says);
    case_test(&all, hints_and_lists_name_the_keys_of_the_file);
    case_test(&all, without_a_file_the_table_holds);
    return cases_run(&all, "the person's own keys");
}
