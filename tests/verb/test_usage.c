/* What a person gets who mistypes: one clear line, the right exit status, and nothing changed. */
#include <stdio.h>
#include <string.h>

#include "verb/season.h"

static const struct mistake {
    const char *name;
    const char *args[8];
    int status;
    const char *said;
} mistakes[] = {
    {"an unknown verb is asked about",
     {"fixs", "a.show"},
     2,
     "no verb and no show file 'fixs'; did you mean 'fixes'?"},
    {"a word like no verb", {"zebra"}, 2, "no verb and no show file 'zebra'; see boxcall help"},
    {"a verb without its words", {"fixes"}, 2, "something is missing; usage: boxcall fixes SHOW"},
    {"a verb with too few words",
     {"mark", "a.show", "tue", "5"},
     2,
     "something is missing after '5'; usage: boxcall mark SHOW CLIP TIME TARGET FAULT"},
    {"a verb with too many words",
     {"check", "a.show", "b"},
     2,
     "did not expect 'b'; usage: boxcall check SHOW"},
    {"an unknown option is asked about",
     {"fixes", "a.show", "--fro", "tubas"},
     2,
     "fixes: no option '--fro'; did you mean '--for'?"},
    {"a short option",
     {"fixes", "a.show", "-x"},
     2,
     "fixes: no option '-x'; see boxcall fixes --help"},
    {"an option without its value", {"fixes", "a.show", "--for"}, 2, "fixes: --for needs WHO"},
    {"a flag with a value",
     {"mark", "a.show", "tue", "5", "T1", "h", "--praise=yes"},
     2,
     "mark: --praise takes no value"},
    {"an option given twice",
     {"fixes", "a.show", "--for", "T1", "--for=T2"},
     2,
     "fixes: --for is given twice"},
    {"a format that is none",
     {"fixes", "a.show", "--as", "xml"},
     2,
     "fixes: cannot write 'xml'; --as takes text, csv, json"},
    {"a format that this verb has not",
     {"fixes", "a.show", "--as", "vtt"},
     2,
     "fixes: cannot write 'vtt'; --as takes text, csv, json"},
    {"a severity that is none",
     {"mark", "a.show", "tue", "5", "T1", "h", "--severity=4"},
     2,
     "mark: --severity '4' is not a whole number from 1 to 3"},
    {"a cause that is none",
     {"mark", "a.show", "tue", "5", "T1", "h", "--cause=me"},
     2,
     "mark: no cause 'me'; write define or execute"},
    {"an unknown kind of table is asked about",
     {"add", "a.show", "rooster", "x.csv"},
     2,
     "add: cannot add 'rooster'; did you mean 'roster'?"},
    {"a label for a table",
     {"add", "a.show", "roster", "x.csv", "--label", "x"},
     2,
     "add roster: --label is for clips"},
    {"a field that is none",
     {"new", "b.show", "--field", "moon"},
     2,
     "no field 'moon'; write high-school, college, professional, or a floor with its width and "
     "depth: floor 90x60 ft"},
    {"help for a verb that is none", {"help", "fixs"}, 2, "no verb 'fixs'; did you mean 'fixes'?"},

    {"a show that is not there",
     {"fixes", "b.show"},
     3,
     "b.show: there is no such show file; make one: boxcall new b.show"},
    {"a show that is not there, to review",
     {"b.show"},
     3,
     "b.show: there is no such show file; make one: boxcall new b.show"},
    {"a show without a name", {"new", ""}, 3, "'' is no file name; give one"},
    {"a copy in a folder that is not there",
     {"check", "a.show", "--copy", "nodir/x"},
     3,
     "nodir/x: the folder it should be in does not exist"},
    {"a section with a typo",
     {"fixes", "a.show", "--for", "trumpts"},
     3,
     "no section or performer 'trumpts'; did you mean 'trumpets'?"},
    {"a performer with a typo",
     {"fixes", "a.show", "--for", "T33"},
     3,
     "no section or performer 'T33'; did you mean 'T3'?"},
    {"someone like nobody",
     {"fixes", "a.show", "--for", "saxophones"},
     3,
     "no section or performer 'saxophones'; name a section or a performer's label"},
    {"a clip with a typo", {"calls", "a.show", "teu"}, 3, "no clip 'teu'; did you mean 'tue'?"},
    {"a clip with a typo in a list",
     {"fixes", "a.show", "--clip", "tue", "--clip", "thur"},
     3,
     "no clip 'thur'; did you mean 'thu'?"},
    {"a month that is none",
     {"fixes", "a.show", "--since", "2026-13-01"},
     3,
     "since '2026-13-01' is not a date; write it as 2026-09-14"},
    {"a day that is none",
     {"fixes", "a.show", "--since", "2026-02-29"},
     3,
     "since '2026-02-29' is not a date; write it as 2026-09-14"},
    {"a time that is none",
     {"mark", "a.show", "tue", "5:99", "T1", "h"},
     3,
     "5:99: behind a colon stand two digits, 00 to 59, as in 5:08"},
    {"a time before the clip",
     {"mark", "a.show", "tue", "-5", "T1", "h"},
     3,
     "'-5' is not a time of the clip; write 5:58.2"},
    {"a time past the end",
     {"mark", "a.show", "tue", "10:01", "T1", "h"},
     3,
     "10:01 is past the end of clip 'tue' (10:00.000)"},
    {"a target with a typo",
     {"mark", "a.show", "tue", "5", "T1;trmpets", "h"},
     3,
     "no section or performer 'trmpets'; did you mean 'trumpets'?"},
    {"no target",
     {"mark", "a.show", "tue", "5", "", "h"},
     3,
     "no target; name a section or a performer's label (T3)"},
    {"a fault with a typo",
     {"mark", "a.show", "tue", "5", "T1", "horn angel"},
     3,
     "no fault 'horn angel'; did you mean 'horn angle'?"},
    {"a fault like none",
     {"mark", "a.show", "tue", "5", "T1", "purple"},
     3,
     "no fault 'purple'; boxcall keys SHOW lists them"},
    {"a table that is not there",
     {"add", "a.show", "roster", "x.csv"},
     3,
     "x.csv: there is no such file"},
    {"a folder for a table", {"add", "a.show", "roster", "."}, 3, ".: is a directory; name a file"},
    {"an empty label",
     {"add", "a.show", "clip", "tue.avi", "--label", ""},
     2,
     "add clip: the label is empty"},
    {"a label of another clip",
     {"add", "a.show", "clip", "tue.avi", "--label", "THU"},
     3,
     "label 'THU' is another clip's; choose another --label"},
    {"the show for a clip",
     {"add", "a.show", "clip", "a.show"},
     3,
     "a.show: is a database, perhaps a show file; name the clip itself"},
    {"a show that is there already",
     {"new", "a.show"},
     3,
     "a.show: is there already; choose another name"},
    {"a folder that is not there",
     {"new", "x/b.show"},
     3,
     "x/b.show: the folder it should be in does not exist"},
    {"a clip for a show",
     {"fixes", "tue.avi"},
     4,
     "tue.avi: is not a show file; name the file that 'boxcall new' made"},
    {"a folder for a show", {"fixes", "."}, 4, ".: is a directory; name a file"},
};

static struct run run_args(const struct season *s, const char *const args[8])
{
    return box(&s->setup, args[0], args[1], args[2], args[3], args[4], args[5], args[6], args[7],
               NULL);
}

static void gets_one_line(void **state)
{
    static struct season s; /* nothing is changed, so one will do */
    const struct mistake *m = *state;
    if (!s.dir)
        s = season_new();
    size_t n, k, files = count_entries(s.dir);
    char *before = read_file(path_in(s.dir, "a.show"), &n);
    struct run r = run_args(&s, m->args);
    assert_exit(r, m->status);
    assert_string_equal(r.out, "");
    assert_one_line(r, m->said);
    char *after = read_file(path_in(s.dir, "a.show"), &k);
    assert_true(n == k && memcmp(before, after, n) == 0);
    assert_int_equal(count_entries(s.dir), files);
}

static void without_a_word_it_explains_itself_and_exits_2(void **state)
{
    (void)state;
    struct season s = season_empty();
    struct run r = box(&s.setup, NULL);
    assert_exit(r, 2);
    assert_string_equal(r.out, "");
    assert_contains(r.err, "boxcall VERB --help");
    assert_contains(r.err, "boxcall: name a show file or a verb\n");
}

/* Every verb that help lists explains itself, in lines of a terminal's width, and says its usage.
 */
static void every_verb_has_help(void **state)
{
    (void)state;
    struct season s = season_empty();
    struct run all = BOX(&s, "help");
    assert_quiet(all);
    size_t verbs = 0;
    for (const char *line = all.out; (line = strchr(line, '\n'));) {
        char verb[20], more[2];
        line++;
        if (sscanf(line, "  %19s %1s", verb, more) != 2 || strncmp(line, "  ", 2) != 0 ||
            strcmp(verb, "boxcall") == 0)
            continue;
        struct run r = BOX(&s, verb, "--help");
        assert_quiet(r);
        assert_contains(r.out, arena_printf(test_arena(), "boxcall %s", verb));
        for (const char *l = r.out; *l; l += strcspn(l, "\n") + 1)
            if (strcspn(l, "\n") > 100)
                fail_msg("%s --help has a line of %zu columns: %.60s", verb, strcspn(l, "\n"), l);
        verbs++;
    }
    assert_true(verbs >= 11);
}

static void help_and_version_have_their_usual_names(void **state)
{
    (void)state;
    struct season s = season_empty();
    struct run help = BOX(&s, "help"), dashed = BOX(&s, "--help"), short_one = BOX(&s, "-h");
    assert_string_equal(help.out, dashed.out);
    assert_string_equal(help.out, short_one.out);
    assert_contains(BOX(&s, "--version").out, "boxcall ");
    assert_string_equal(BOX(&s, "help", "fixes").out, BOX(&s, "fixes", "--help").out);
}

static const struct printed {
    const char *name;
    const char *args[8];
} printed[] = {
    {"a fix list", {"fixes", "a.show"}},
    {"a fix list as JSON", {"fixes", "a.show", "--as=json"}},
    {"a call list as CSV", {"calls", "a.show", "tue", "--as", "csv"}},
    {"the keys", {"keys", "a.show"}},
    {"help", {"help"}},
};

static void to_a_full_device_fails(void **state)
{
    static struct season s;
    const struct printed *p = *state;
    if (!s.dir)
        s = season_new();
    struct season full = s;
    full.setup.out_to = "/dev/full";
    struct run r = run_args(&full, p->args);
    assert_exit(r, 1);
    assert_one_line(r, "cannot write the output: No space left on device");
}

static void words_behind_two_dashes_are_no_options(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = BOX(&s, "fixes", "--as", "csv", "--", "a.show");
    assert_quiet(r);
    r = BOX(&s, "fixes", "--", "--for");
    assert_exit(r, 3);
    assert_one_line(r, "--for: there is no such show file; make one: boxcall new --for");
}

/* What stands behind an option is its value, whatever it looks like: the mark is made. */
static void the_value_of_an_option_is_never_a_call_for_help(void **state)
{
    (void)state;
    static const char *const notes[] = {"-h", "--help", "--", "--cause"};
    struct season s = season_new();
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++) {
        struct run r = BOX(&s, "mark", "a.show", "tue", arena_printf(test_arena(), "%zu", 5 + i),
                           "T1", "horn angle", "--note", notes[i]);
        assert_exit(r, 0);
        assert_lacks(r.out, "Options:");
    }
    json_t *calls = json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json"));
    assert_int_equal(json_array_size(calls), sizeof notes / sizeof *notes);
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++)
        assert_string_equal(json_str(json_array_get(calls, i), "note"), notes[i]);
    assert_contains(BOX(&s, "mark", "a.show", "--note", "x", "--help").out, "Options:");
    assert_contains(BOX(&s, "mark", "a.show", "--note=x", "-h").out, "Options:");
    assert_contains(BOX(&s, "mark", "--unknown", "-h").out, "Options:");
    ends(BOX(&s, "mark", "--", "-h"), 2);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, mistakes, gets_one_line);
    cases_of(&all, printed, to_a_full_device_fails);
    case_test(&all, without_a_word_it_explains_itself_and_exits_2);
    case_test(&all, every_verb_has_help);
    case_test(&all, help_and_version_have_their_usual_names);
    case_test(&all, words_behind_two_dashes_are_no_options);
    case_test(&all, the_value_of_an_option_is_never_a_call_for_help);
    return cases_run(&all, "the command line");
}
