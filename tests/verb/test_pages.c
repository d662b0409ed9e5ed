/* The man pages and shell completions that the program prints about itself. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "verb/season.h"

/* The lines about the verbs of `boxcall help`: "  fixes    Print ...". */
static size_t each_verb(const struct season *s, void (*look)(const char *verb, const char *page),
                        const char *page)
{
    struct run help = BOX(s, "help");
    size_t n = 0;
    for (const char *line = help.out; (line = strchr(line, '\n'));) {
        char verb[20], more[2];
        line++;
        if (sscanf(line, "  %19s %1s", verb, more) != 2 || strncmp(line, "  ", 2) != 0 ||
            strcmp(verb, "boxcall") == 0)
            continue;
        look(verb, page);
        n++;
    }
    return n;
}

static void the_man_page_in_the_tree_is_the_one_the_program_prints(void **state)
{
    (void)state;
    struct season s = season_empty();
    if (access(MAN_DIR "/boxcall.1", F_OK) != 0)
        skip();
    struct run r = BOX(&s, "pages", "man");
    assert_quiet(r);
    if (strcmp(read_file(MAN_DIR "/boxcall.1", NULL), r.out) != 0)
        print_message("make it anew: boxcall pages man > man/boxcall.1\n");
    assert_file_is(MAN_DIR "/boxcall.1", r.out);
}

static void man_has(const char *verb, const char *page)
{
    assert_contains(page, arena_printf(test_arena(), "\n.It Nm Cm %s", verb));
}

static void bash_has(const char *verb, const char *page)
{
    assert_contains(page, verb);
}

static void the_man_page_has_every_verb(void **state)
{
    (void)state;
    struct season s = season_empty();
    struct run r = BOX(&s, "pages", "man");
    assert_quiet(r);
    assert_true(each_verb(&s, man_has, r.out) >= 11);
}

/* The pages refer to each other, and are not installed where this runs. */
static void assert_lint_clean(const char *page)
{
    struct run r = run("mandoc", "-Tlint", "-Wstyle", page, NULL);
    for (const char *line = r.out; *line; line += strcspn(line, "\n") + 1)
        if (strcspn(line, "\n") && !strstr(line, "referenced manual not found"))
            fail_msg("%.*s", (int)strcspn(line, "\n"), line);
    assert_string_equal(r.err, "");
}

static void mandoc_finds_nothing_to_say_about_the_man_pages(void **state)
{
    (void)state;
    struct season s = season_empty();
    if (!have_program("mandoc"))
        skip();
    assert_lint_clean(write_file(s.dir, "boxcall.1", BOX(&s, "pages", "man").out));
    if (access(MAN_DIR "/boxcall-show.5", F_OK) == 0)
        assert_lint_clean(MAN_DIR "/boxcall-show.5");
}

static void the_completion_for_bash_is_bash_and_knows_every_verb(void **state)
{
    (void)state;
    struct season s = season_empty();
    struct run r = BOX(&s, "pages", "bash");
    assert_quiet(r);
    each_verb(&s, bash_has, r.out);
    if (!have_program("bash"))
        skip();
    struct run checked = run_in(r.out, "bash", "-n", NULL);
    assert_quiet(checked);
    const char *ask = arena_printf(test_arena(),
                                   "%s\nCOMP_WORDS=(boxcall fix); COMP_CWORD=1; _boxcall\n"
                                   "echo \"${COMPREPLY[@]}\"\n"
                                   "COMP_WORDS=(boxcall pag); _boxcall\n"
                                   "echo \"${COMPREPLY[@]}\"\n" /* hidden: no person wants it */
                                   "COMP_WORDS=(boxcall fixes --fo); COMP_CWORD=2; _boxcall\n"
                                   "echo \"${COMPREPLY[@]}\"\n",
                                   r.out);
    struct run_setup in = season_in(&s, ask);
    assert_string_equal(run_with(&in, "bash", NULL).out, "fixes\n\n--for\n");
}

static void every_shell_has_a_completion(void **state)
{
    (void)state;
    struct season s = season_empty();
    assert_contains(BOX(&s, "pages", "zsh").out, "#compdef boxcall");
    assert_contains(BOX(&s, "pages", "fish").out, "complete -c boxcall");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_man_page_in_the_tree_is_the_one_the_program_prints);
    case_test(&all, the_man_page_has_every_verb);
    case_test(&all, mandoc_finds_nothing_to_say_about_the_man_pages);
    case_test(&all, the_completion_for_bash_is_bash_and_knows_every_verb);
    case_test(&all, every_shell_has_a_completion);
    return cases_run(&all, "pages");
}
