/* What README.md tells a person to type works, in the order of a person who does so. */
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

static const char *readme(void)
{
    static const char *text;
    if (!text)
        text = read_file(ROOT "/README.md", NULL);
    return text;
}

static const char *cut(const char *from, const char *to)
{
    return arena_printf(test_arena(), "%.*s", (int)(to - from), from);
}

/* The text between two words that must be there, the second behind the first. */
static const char *between(const char *text, const char *open, const char *close)
{
    const char *from = strstr(text, open);
    if (!from)
        fail_msg("README.md has no '%s'", open);
    const char *to = strstr(from + strlen(open), close);
    assert_non_null(to);
    return cut(from + strlen(open), to);
}

/* "| roster | performer,name,section | `T3,Rowan Pell,trumpets` |": header, `before` and the row.
 */
static void write_table(const struct season *s, const char *name, const char *before)
{
    const char *line = between(readme(), arena_printf(test_arena(), "\n| %s | ", name), "\n");
    const char *columns = cut(line, strstr(line, " |"));
    write_file(s->dir, arena_printf(test_arena(), "%s.csv", name),
               arena_printf(test_arena(), "%s\n%s%s\n", columns, before, between(line, "`", "`")));
}

/* Lines of README.md that call boxcall, of one part of it; the review itself is left out. */
static void type_lines(const struct season *s, const char *part)
{
    const char *text = between(readme(), part, "\n## ");
    int typed = 0;
    for (const char *line = text; (line = strstr(line, "\n    boxcall ")); line++) {
        const char *command = cut(line + 1, line + 1 + strcspn(line + 1, "\n"));
        if (strcmp(command, "    boxcall larkspur.show") == 0)
            continue;
        const char *script = arena_printf(test_arena(), "boxcall() { '%s' \"$@\"; }\n%s",
                                          program_path("boxcall"), command);
        struct run r = run_with(&s->setup, "sh", "-c", script, NULL);
        if (r.status != 0)
            fail_msg("%s\n%s", command, r.err);
        typed++;
    }
    assert_true(typed >= 4);
}

static struct season own_band(void)
{
    struct season s = season_empty();
    write_table(&s, "sections", "ensemble,,e,\nbrass,ensemble,b,\n");
    write_table(&s, "roster", "T5,Kit Ovale,trumpets\n");
    write_table(&s, "sets", "11,16,144,,0,4,\n");
    write_table(&s, "faults", "");
    write_table(&s, "dots", "");
    write_table(&s, "marks", "tuesday,0:08,T3,horn angle,,,,,\n");
    season_clip(&s, "phone.mp4", 90, 7);
    return s;
}

static void the_commands_and_rows_of_the_readme_work(void **state)
{
    (void)state;
    struct season s = own_band();
    type_lines(&s, "\n## Your own band");
    static const char *const more[] = {"faults", "dots"};
    for (size_t i = 0; i < 2; i++)
        ends(
            BOX(&s, "add", "larkspur.show", more[i], arena_printf(test_arena(), "%s.csv", more[i])),
            0);
    ends(BOX(&s, "count", "larkspur.show", "tuesday", "tie", "0:05", "11"), 0);
    ends(BOX(&s, "add", "larkspur.show", "marks", "marks.csv"), 0);
    type_lines(&s, "\n## Five minutes");
    assert_contains(read_file(path_in(s.dir, "trumpets.csv"), NULL), "horn angle");
    assert_contains(read_file(path_in(s.dir, "tuesday.vtt"), NULL), "WEBVTT");
}

static void a_wrong_cell_is_told_as_the_readme_says(void **state)
{
    (void)state;
    struct season s = own_band();
    const char *said = between(readme(), "`roster.csv:14:", "`");
    struct buf table = {0};
    buf_str(&table, "performer,name,section\n");
    for (int line = 2; line < 14; line++)
        buf_printf(&table, "T%d,,trumpets\n", line);
    buf_str(&table, "T14,,trumpts\n");
    write_file(s.dir, "roster.csv", buf_text(&table));
    buf_free(&table);
    ends(BOX(&s, "new", "larkspur.show"), 0);
    struct run r = BOX(&s, "add", "larkspur.show", "roster", "roster.csv");
    assert_exit(r, 3);
    assert_contains(r.err, arena_printf(test_arena(), "roster.csv:14:%s", said));
}

static void the_keys_file_of_the_readme_is_read(void **state)
{
    (void)state;
    struct season s = season_empty();
    const char *home = path_in(s.dir, ".config");
    write_file(
        home, "boxcall/keys.ini",
        arena_printf(test_arena(), "[review]%s\n", between(readme(), "\n    [review]", "\n\n")));
    struct run_setup setup = s.setup;
    const char *const env[] = {arena_printf(test_arena(), "XDG_CONFIG_HOME=%s", home), NULL};
    setup.env = env;
    struct run r = box(&setup, "keys", NULL);
    assert_quiet(r);
    assert_contains(r.out, "  F9 ");
}

static void every_verb_in_the_readme_is_one(void **state)
{
    (void)state;
    struct season s = season_empty();
    const char *list = between(readme(), "\n## What else it does", "\n## ");
    int verbs = 0;
    for (const char *item = list; (item = strstr(item, "\n- `")); item++, verbs++)
        ends(BOX(&s, cut(item + 4, item + 4 + strcspn(item + 4, "`")), "--help"), 0);
    assert_true(verbs > 3);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_commands_and_rows_of_the_readme_work);
    case_test(&all, a_wrong_cell_is_told_as_the_readme_says);
    case_test(&all, the_keys_file_of_the_readme_is_read);
    case_test(&all, every_verb_in_the_readme_is_one);
    return cases_run(&all, "readme");
}
