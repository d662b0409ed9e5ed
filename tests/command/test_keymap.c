/* The key table and the files that change it, without a terminal. */
#include <string.h>

#include "lib/cases.h"
#include "screen/screens.h"

static void every_key_of_the_table_has_a_name_a_command_and_a_line_of_help(void **state)
{
    (void)state;
    struct keymap k;
    keymap_default(&k, &review_tools);
    for (size_t i = 0; i < k.n; i++) {
        const struct binding *b = &k.at[i];
        char name[32];
        if (!key_canonical(b->key, name) || strcmp(name, b->key) != 0)
            fail_msg("'%s' is not a key's name", b->key);
        if (!tool_named(&review_tools, b->command, strcspn(b->command, " ")))
            fail_msg("%s: no command '%s'", b->key, b->command);
        if (!*keymap_help(&k, b))
            fail_msg("%s has no help", b->key);
    }
    keymap_free(&k);
}

static void no_key_of_the_table_is_bound_twice(void **state)
{
    (void)state;
    struct keymap k;
    keymap_default(&k, &review_tools);
    for (size_t i = 0; i < k.n; i++)
        for (size_t j = 0; j < i; j++)
            if (strcmp(k.at[i].table, k.at[j].table) == 0 && strcmp(k.at[i].key, k.at[j].key) == 0)
                fail_msg("%s is bound twice", k.at[i].key);
    keymap_free(&k);
}

/* A key that lists, the plan or the review use for something else never hides what is everywhere.
 */
static void no_mode_hides_a_key_that_is_everywhere(void **state)
{
    (void)state;
    struct keymap k;
    keymap_default(&k, &review_tools);
    for (size_t i = 0; i < k.n; i++)
        for (size_t j = 0; j < k.n; j++)
            if (strcmp(k.at[i].table, "anywhere") == 0 && strcmp(k.at[j].table, "anywhere") != 0 &&
                strcmp(k.at[i].key, k.at[j].key) == 0)
                fail_msg("%s of %s hides the one of anywhere", k.at[j].key, k.at[j].table);
    keymap_free(&k);
}

static void every_command_says_what_it_does_under_a_name_of_its_own(void **state)
{
    (void)state;
    const struct command *c;
    for (size_t n = 0; (c = tool_nth(&review_tools, n)) != NULL; n++) {
        assert_non_null(c->run);
        assert_true(*c->name && *c->help);
        assert_ptr_equal(tool_named(&review_tools, c->name, strlen(c->name)), c);
    }
    assert_null(tool_named(&review_tools, "", 0));
    assert_null(tool_named(&review_tools, "pla", 3));
}

/* --- names ----------------------------------------------------------------------------------- */

static const struct name_row {
    const char *name, *text, *key; /* NULL: refused */
} names[] = {
    {"a key's name", "PageUp", "PageUp"},
    {"case does not matter", "pageup", "PageUp"},
    {"held keys", "SHIFT-left", "Shift-Left"},
    {"control and a letter", "ctrl-K", "Ctrl-k"},
    {"a sign is itself", "%", "%"},
    {"a digit is itself", "7", "7"},
    {"a letter begins chords", "t", NULL},
    {"control and a digit is no key", "Ctrl-1", NULL},
    {"two letters are no key", "tt", NULL},
    {"a function key there is not", "F13", NULL},
    {"nothing is no key", "", NULL},
    {"a blank is called Space", " ", NULL},
    {"Alt is not used", "Alt-x", NULL},
};

static void is_named(void **state)
{
    const struct name_row *r = *state;
    char key[32];
    assert_int_equal(key_canonical(r->text, key), r->key != NULL);
    if (r->key)
        assert_string_equal(key, r->key);
}

/* --- files ----------------------------------------------------------------------------------- */

static const struct file_row {
    const char *name, *text;
    const char *table;
    const char *key, *command; /* what the key runs afterwards; NULL: nothing */
} files[] = {
    {"an empty file changes nothing", "", "review", "Space", "play"},
    {"comments and blank lines are passed over", "\n  # no\n\n", "review", "Space", "play"},
    {"a key gets another command", "[review]\nSpace = loop\n", "review", "Space", "loop"},
    {"an empty command takes a key away", "[review]\nSpace =\n", "review", "Space", NULL},
    {"a new key", "[lists]\n% = list +5\n", "lists", "%", "list +5"},
    {"a mode does not touch the others", "[lists]\n% = list +5\n", "review", "%", NULL},
    {"a mode's key goes before that of anywhere", "[review]\nF2 = play\n", "review", "F2", "play"},
    {"elsewhere that of anywhere stays", "[review]\nF2 = play\n", "lists", "F2", "fixes"},
    {"a key taken away in a mode does nothing there", "[review]\nF2 =\n", "review", "F2", NULL},
    {"the equals key itself", "[review]\n= = severity 3\n", "review", "=", "severity 3"},
    {"the semicolon key itself", "[review]\n; = note x\n", "review", ";", "note x"},
    {"a semicolon line is a comment", "[review]\n; % = loop\n", "review", "%", NULL},
    {"a last line without its end", "[review]\nF9 = loop", "review", "F9", "loop"},
    {"lines that end in CR LF", "[review]\r\nF9 = loop\r\n", "review", "F9", "loop"},
    {"sections in any order and twice", "[lists]\n[review]\n[lists]\nF9 = open\n", "lists", "F9",
     "open"},
    {"an equals sign within the command", "[review]\nF9 = note a = b\n", "review", "F9",
     "note a = b"},
};

static void is_read(void **state)
{
    const struct file_row *r = *state;
    struct keymap k;
    struct err e = {0};
    keymap_default(&k, &review_tools);
    if (!keymap_read(&k, r->text, strlen(r->text), "keys.ini", &e))
        fail_msg("%s", e.text);
    const char *command = keymap_find(&k, r->table, r->key);
    assert_int_equal(command != NULL, r->command != NULL);
    if (command)
        assert_string_equal(command, r->command);
    keymap_free(&k);
}

static void a_line_without_end_is_refused(void **state)
{
    (void)state;
    char text[2000] = "[review]\nF9 = note ";
    struct keymap k;
    struct err e = {0};
    memset(text + strlen(text), 'x', 1000);
    keymap_default(&k, &review_tools);
    assert_false(keymap_read(&k, text, strlen(text), "keys.ini", &e));
    assert_non_null(strstr(e.text, "keys.ini:2"));
    keymap_free(&k);
}

static void hints_find_the_first_key_of_a_command(void **state)
{
    (void)state;
    struct keymap k;
    struct err e = {0};
    static const char text[] = "[anywhere]\n? =\n";
    keymap_default(&k, &review_tools);
    assert_string_equal(keymap_key_of(&k, "review", "play"), "Space");
    assert_string_equal(keymap_key_of(&k, "review", "help"), "?");
    assert_string_equal(keymap_key_of(&k, "lists", "play"), "");
    assert_true(keymap_read(&k, text, strlen(text), "keys.ini", &e));
    assert_string_equal(keymap_key_of(&k, "review", "help"), "F1");
    keymap_free(&k);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, every_key_of_the_table_has_a_name_a_command_and_a_line_of_help);
    case_test(&all, no_key_of_the_table_is_bound_twice);
    case_test(&all, no_mode_hides_a_key_that_is_everywhere);
    case_test(&all, every_command_says_what_it_does_under_a_name_of_its_own);
    cases_of(&all, names, is_named);
    cases_of(&all, files, is_read);
    case_test(&all, a_line_without_end_is_refused);
    case_test(&all, hints_find_the_first_key_of_a_command);
    return cases_run(&all, "keys");
}
