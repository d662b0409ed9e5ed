/* What corrections could teach, listed by the program, and words that it is taught. Drafts are put right
 * by what the review calls. */
#include <string.h>

#include "app/drafts.h"
#include "verb/season.h"

/* Faults that only this show has: no table of share/ says anything of them. */
static const char faults[] = "fault\nburnt toast\nwet flannel\n",
                  talk[] = "[0:10] Trumpets, burnt toast spigots.\n"
                           "[0:30] Tubas, burnt toast spigots.\n"
                           "[0:50] Gonkers, burnt toast.\n";

static struct season with_talk(void)
{
    struct season s = season_new();
    write_file(s.dir, "talk.txt", talk);
    const struct run_setup in = season_in(&s, faults);
    ends(box(&in, "add", "a.show", "faults", "-", NULL), 0);
    ends(BOX(&s, "hear", "a.show", "tue", "talk.txt"), 0);
    return s;
}

/* The draft of that number says this fault, or this section. */
static void correct(const struct season *s, size_t i, const char *fault, const char *section)
{
    struct app app;
    struct err e;
    struct stored_draft_list l;
    if (!app_open(&app, path_in(s->dir, "a.show"), &e))
        fail_msg("%s", e.text);
    const struct draft_choice all = {clip_named(&app.clips, "tue", &e)->id, 0, false};
    struct draft_target who = {-1, -1};
    if (section)
        who.section = show_section(&app.show, section);
    const struct draft_change c = {.fields = (fault ? DRAFT_FAULT : 0) | (section ? DRAFT_WHO : 0),
                                   .fault = fault ? show_fault(&app.show, fault) : -1,
                                   .targets = &who,
                                   .n_targets = section != NULL};
    if (!store_drafts(app.store, test_arena(), &all, &l, &e) || i >= l.n ||
        !app_draft_change(&app, l.at[i].id, &c, "corrected", &e))
        fail_msg("%s", e.text);
    app_close(&app);
}

static struct season corrected(void)
{
    const struct season s = with_talk();
    correct(&s, 0, "wet flannel", NULL);
    correct(&s, 1, "wet flannel", NULL);
    correct(&s, 2, NULL, "tubas");
    return s;
}

static const char *drafts_of(const struct season *s)
{
    const struct run r = BOX(s, "hear", "a.show", "tue", "talk.txt", "--as", "csv");
    assert_exit(r, 0);
    return r.out;
}

/* --- listed ------------------------------------------------------------------------------------- */

static void words_are_listed_with_how_many_hold_them(void **state)
{
    (void)state;
    const struct season s = corrected();
    struct run r = BOX(&s, "hear", "a.show", "--words");
    assert_quiet(r);
    assert_string_equal(r.out, "wet flannel: 'spigots', by 2 corrections\n"
                               "    \"Trumpets, burnt toast spigots.\"\n"
                               "tubas: 'gonkers', by 1 correction\n"
                               "    \"Gonkers, burnt toast.\"\n");
    r = BOX(&s, "hear", "a.show", "--words", "--as", "csv");
    assert_quiet(r);
    assert_string_equal(r.out, "kind,name,words,corrections,quote\r\n"
                               "fault,wet flannel,spigots,2,\"Trumpets, burnt toast spigots.\"\r\n"
                               "section,tubas,gonkers,1,\"Gonkers, burnt toast.\"\r\n");
    r = BOX(&s, "hear", "a.show", "--words", "--as", "json");
    assert_quiet(r);
    const json_t *first = json_array_get(json_out(r), 0);
    assert_string_equal(json_str(first, "kind"), "fault");
    assert_string_equal(json_str(first, "words"), "spigots");
    assert_int_equal(json_int(first, "corrections"), 2);
    assert_contains(BOX(&s, "check", "a.show").err, "3 drafts"); /* none was changed by it */
}

static void without_corrections_there_is_none(void **state)
{
    (void)state;
    const struct season s = with_talk();
    const struct run r = BOX(&s, "hear", "a.show", "--words");
    assert_exit(r, 0);
    assert_string_equal(r.out, "");
    assert_string_equal(r.err, "no draft that was put right holds a word to learn\n");
    assert_string_equal(BOX(&s, "hear", "a.show", "--words", "--as", "csv").out,
                        "kind,name,words,corrections,quote\r\n");
}

/* --- taught ------------------------------------------------------------------------------------- */

static void a_word_is_learnt_and_heard_and_undo_names_it(void **state)
{
    (void)state;
    const struct season s = corrected();
    assert_null(strstr(drafts_of(&s), "0,trumpets,,wet flannel"));
    struct run r = BOX(&s, "hear", "a.show", "--teach", "wet flannel=spigots");
    assert_exit(r, 0);
    assert_string_equal(r.out, "");
    assert_string_equal(r.err, "wet flannel learns 'spigots'\n"
                               "hear a commentary again to use what was learnt\n");
    assert_contains(drafts_of(&s), ",trumpets,,wet flannel,");
    assert_string_equal(BOX(&s, "hear", "a.show", "--words").out,
                        "tubas: 'gonkers', by 1 correction\n"
                        "    \"Gonkers, burnt toast.\"\n");
    r = BOX(&s, "undo", "a.show");
    assert_exit(r, 0);
    assert_contains(arena_printf(test_arena(), "%s%s", r.out, r.err),
                    "teach 'spigots' for wet flannel");
    assert_null(strstr(drafts_of(&s), ",trumpets,,wet flannel,"));
}

static void several_are_learnt_in_one_step_and_heard_at_once(void **state)
{
    (void)state;
    const struct season s = with_talk();
    struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--teach", "wet flannel=spigots",
                       "--teach", "tubas=gonkers");
    assert_exit(r, 0);
    assert_contains(r.err, "wet flannel learns 'spigots'\ntubas learns 'gonkers'\n0 drafts added, "
                           "3 brought up to date\n");
    ends(BOX(&s, "undo", "a.show"), 0); /* what was heard */
    r = BOX(&s, "undo", "a.show");
    assert_contains(arena_printf(test_arena(), "%s%s", r.out, r.err), "teach 2 words");
    r = BOX(&s, "hear", "a.show", "--words", "--teach", "tubas=gonkers");
    assert_exit(r, 0);
    assert_string_equal(r.err, "tubas learns 'gonkers'\n"
                               "no draft that was put right holds a word to learn\n");
}

/* --- what is wrong ------------------------------------------------------------------------------ */

static const struct bad {
    const char *name;
    const char *words[6];
    int exit;
    const char *says;
} bads[] = {
    {"no clip",
     {NULL},
     2,
     "boxcall: hear: CLIP and FILE are missing; usage: boxcall hear SHOW [CLIP FILE]\n"},
    {"no file",
     {"tue"},
     2,
     "boxcall: hear: CLIP or FILE is missing; usage: boxcall hear SHOW [CLIP FILE]\n"},
    {"no file, though it teaches",
     {"tue", "--teach", "horn angle=spigots"},
     2,
     "boxcall: hear: CLIP or FILE is missing; usage: boxcall hear SHOW [CLIP FILE]\n"},
    {"words of a file",
     {"tue", "talk.txt", "--words"},
     2,
     "boxcall: hear: --words lists what drafts that were put right could teach; leave CLIP and "
     "FILE out\n"},
    {"words as what is none",
     {"--words", "--as", "pdf"},
     2,
     "boxcall: hear: cannot write 'pdf'; --as takes text, csv, json\n"},
    {"teaching is no list",
     {"--teach", "horn angle=spigots", "--as", "csv"},
     2,
     "boxcall: hear: --as shows drafts, or with --words what could be taught; leave it out to "
     "teach\n"},
    {"no =",
     {"--teach", "spigots"},
     2,
     "boxcall: hear: --teach 'spigots' lacks its '='; write FAULT=WORDS or SECTION=WORDS\n"},
    {"no such fault",
     {"--teach", "horn angel=spigots"},
     3,
     "boxcall: hear: --teach: no fault or section 'horn angel'; did you mean 'horn angle'?\n"},
    {"no such section",
     {"--teach", "tubsa=spigots"},
     3,
     "boxcall: hear: --teach: no fault or section 'tubsa'; did you mean 'tubas'?\n"},
    {"a word that says nothing",
     {"--teach", "horn angle=the"},
     3,
     "boxcall: hear: --teach: 'the' says nothing by itself; teach it with the words around it\n"},
    {"no word",
     {"--teach", "horn angle="},
     3,
     "boxcall: hear: --teach: there is no word in ''; write what people say\n"},
    {"two at once",
     {"--teach", "horn angle=a;b"},
     3,
     "boxcall: hear: --teach: 'a;b' holds a ';', which parts words; teach each by itself\n"},
    {"another's",
     {"--teach", "horn angle=tuba"},
     3,
     "boxcall: hear: --teach: 'tuba' means tubas already; one word cannot mean both\n"},
    {"the second is another's",
     {"--teach", "horn angle=spigots", "--teach", "tubas=spigot"},
     3,
     "boxcall: hear: --teach: 'spigot' means horn angle already; one word cannot mean both\n"},
};

/* All that is in the show. */
static uint64_t print_of(const struct season *s)
{
    struct app app;
    struct err e;
    uint64_t out = 0;
    if (!app_open(&app, path_in(s->dir, "a.show"), &e) || !store_print(app.store, &out, &e))
        fail_msg("%s", e.text);
    app_close(&app);
    return out;
}

static void bad_input_is_one_line_and_teaches_nothing(void **state)
{
    const struct bad *b = *state;
    const struct season s = with_talk();
    const uint64_t before = print_of(&s);
    const char *const *w = b->words;
    const struct run r = box(&s.setup, "hear", "a.show", w[0], w[0] ? w[1] : NULL,
                             w[0] && w[1] ? w[2] : NULL, w[0] && w[1] && w[2] ? w[3] : NULL, NULL);
    assert_exit(r, b->exit);
    assert_string_equal(r.out, "");
    assert_string_equal(r.err, b->says);
    assert_int_equal(print_of(&s), before);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, words_are_listed_with_how_many_hold_them);
    case_test(&all, without_corrections_there_is_none);
    case_test(&all, a_word_is_learnt_and_heard_and_undo_names_it);
    case_test(&all, several_are_learnt_in_one_step_and_heard_at_once);
    cases_of(&all, bads, bad_input_is_one_line_and_teaches_nothing);
    return cases_run(&all, "words taught by the program");
}
