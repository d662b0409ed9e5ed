/* A commentary heard through the program: what it proposes, what is kept of it, what is wrong with it. */
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

static const char talk[] = "[0:10] Trumpets, your horn angles are all over the place.\n"
                           "[0:30] Good evening everybody, I've got my coffee.\n"
                           "[1:00] Tubas, great job, feet together at that halt, love it.\n"
                           "[2:00] Drums, you are four or five counts late to the form.\n";

static struct season with_talk(const char *text)
{
    struct season s = season_new();
    write_file(s.dir, "talk.txt", text);
    return s;
}

static const json_t *draft(struct run r, size_t i)
{
    const json_t *d = json_array_get(json_out(r), i);
    assert_non_null(d);
    return d;
}

static void assert_draft(const json_t *d, const char *target, const char *fault)
{
    assert_int_equal(json_array_size(json_at(d, "targets")), 1);
    assert_string_equal(json_string_value(json_array_get(json_at(d, "targets"), 0)), target);
    assert_string_equal(json_str(d, "fault"), fault);
}

/* --- shown -------------------------------------------------------------------------------------- */

static void drafts_are_shown_and_none_is_kept(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    const struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "json");
    assert_quiet(r);
    assert_int_equal(json_array_size(json_out(r)), 3);
    const json_t *d = draft(r, 0);
    assert_draft(d, "trumpets", "horn angle");
    assert_int_equal(json_integer_value(json_at(d, "ms")), 9400); /* the lead of 600 ms taken off */
    assert_true(json_is_false(json_at(d, "praise")));
    assert_string_equal(json_str(d, "quote"), "Trumpets, your horn angles are all over the place.");
    assert_true(json_is_null(json_at(d, "size")));
    d = draft(r, 1);
    assert_draft(d, "tubas", "feet apart at halt");
    assert_true(json_is_true(json_at(d, "praise")));
    d = draft(r, 2);
    assert_draft(d, "drums", "late arrival");
    assert_float_equal(json_number_value(json_at(json_at(d, "size"), "value")), 4.5, 1e-9);
    assert_string_equal(json_str(json_at(d, "size"), "unit"), "counts");
    const struct run text = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "text");
    assert_quiet(text);
    assert_contains(text.out, "0:09.4    trumpets: horn angle [");
    assert_contains(text.out, "drums: late arrival, 4.5 counts [");
    const struct run csv = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "csv");
    assert_quiet(csv);
    assert_contains(csv.out, "time,end,target,singular,fault,praise,cause,size,severity,confidence,"
                             "quote,words\r\n9.400,");
    assert_contains(BOX(&s, "check", "a.show").out, "sound");
    assert_lacks(BOX(&s, "check", "a.show").err, "draft");
}

static void one_of_a_unit_is_said_as_one(void **state)
{
    (void)state;
    const struct season s = with_talk("[0:10] Trumpets, you are one count late to the form.\n");
    const struct run text = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "text");
    assert_contains(text.out, "late arrival, 1 count [");
    const struct run csv = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "csv");
    assert_contains(csv.out, ",1 count,");
}

static void captions_and_standard_input_are_heard(void **state)
{
    (void)state;
    const struct season s = season_new();
    struct run_setup in = season_in(&s, "\xef\xbb\xbfWEBVTT\r\n\r\n00:10.000 --> 00:14.000\r\n"
                                        "<v Ana>Trumpets, <i>horn angle</i>.\r\n");
    struct run r = box(&in, "hear", "a.show", "tue", "-", "--as", "json", "--lead", "0", NULL);
    assert_quiet(r);
    assert_draft(draft(r, 0), "trumpets", "horn angle");
    assert_int_equal(json_integer_value(json_at(draft(r, 0), "ms")), 10000);
    in = season_in(&s, "00:01:10,500 --> 00:01:12,000\nTrumpets, horn angle.\n");
    r = box(&in, "hear", "a.show", "tue", "-", "--as", "json", "--lead", "0", NULL);
    assert_quiet(r);
    assert_int_equal(json_integer_value(json_at(draft(r, 0), "ms")), 70500);
}

static void where_the_commentary_lies(void **state)
{
    (void)state;
    static const struct {
        const char *one, *two;
        int ms;
    } at[] = {
        {"0:12", NULL, 22000},
        {"-0:04", NULL, 6000},
        {"0:10=1:00", NULL, 60000},
        {"1:10=0:10", NULL, -1}, /* began a minute before the clip */
        {"0:00=0:05", "1:00=2:05", 25000},
    };
    const struct season s = with_talk("[0:10] Trumpets, horn angle.\n[2:00] Tubas, horn angle.\n");
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        const struct run r = at[i].two
                                 ? BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "json",
                                       "--lead", "0", "--at", at[i].one, "--at", at[i].two)
                                 : BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "json",
                                       "--lead", "0", "--at", at[i].one);
        assert_exit(r, 0);
        if (at[i].ms >= 0)
            assert_int_equal(json_integer_value(json_at(draft(r, 0), "ms")), at[i].ms);
        else
            assert_contains(r.err, "talk.txt: 1 remark lies outside the clip (10:00.0 long), left "
                                   "out; --at says where the commentary begins");
    }
}

/* --- kept --------------------------------------------------------------------------------------- */

static void the_same_file_again_adds_nothing(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt");
    assert_exit(r, 0);
    assert_string_equal(r.out, "");
    assert_contains(r.err, "3 drafts added\n3 wait for 'tue'");
    assert_contains(BOX(&s, "check", "a.show").err, "3 drafts for the clip 'tue' wait");
    r = BOX(&s, "hear", "a.show", "tue", "talk.txt");
    assert_exit(r, 0);
    assert_contains(r.err, "0 drafts added\n3 wait");
    r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--at", "0:02");
    assert_contains(r.err, "0 drafts added, 3 brought up to date\n3 wait");
    ends(BOX(&s, "undo", "a.show"), 0);
    ends(BOX(&s, "undo", "a.show"), 0);
    assert_lacks(BOX(&s, "check", "a.show").err, "draft");
}

static void accepted_are_marks_with_their_quote(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--accept", "0");
    assert_exit(r, 0);
    assert_contains(r.err, "3 drafts added\n3 became marks\n");
    r = BOX(&s, "calls", "a.show", "tue", "--as", "json");
    assert_int_equal(json_array_size(json_out(r)), 3);
    assert_string_equal(json_str(draft(r, 0), "note"),
                        "Trumpets, your horn angles are all over the place.");
    assert_string_equal(json_str(draft(r, 2), "note"),
                        "4.5 counts: Drums, you are four or five counts late to the form.");
    r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--accept", "0");
    assert_contains(r.err, "0 drafts added, 3 settled before and left as they are\n0 became marks");
    assert_int_equal(json_array_size(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json"))),
                     3);
}

static void a_percentage_is_a_confidence_too(void **state)
{
    (void)state;
    static const char *const half[] = {"0.5", "50", "50%"};
    const char *said = NULL;
    for (size_t i = 0; i < 3; i++) {
        const struct season s = with_talk(talk);
        const struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--accept", half[i]);
        assert_exit(r, 0);
        if (said)
            assert_string_equal(r.err, said);
        said = r.err;
    }
}

/* The same words at the same moment, whatever file they stand in. */
static void an_edited_copy_proposes_only_what_is_new(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    ends(BOX(&s, "hear", "a.show", "tue", "talk.txt", "--accept", "0.9"), 0);
    write_file(s.dir, "other.txt",
               "[0:10] Trumpets, your horn angles are all over the place.\r\n"
               "[1:00] Tubas, great job, feet together at that halt, love it.\r\n"
               "[2:00] Drums, you are four or five counts late to the form.\r\n"
               "[3:00] Trumpets, your feet are apart at the halt.\r\n");
    struct run r = BOX(&s, "hear", "a.show", "tue", "other.txt");
    assert_exit(r, 0);
    assert_contains(r.err, "1 draft added, 3 that another file proposed already\n");
}

static void the_less_sure_wait(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    const struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--accept", "1");
    assert_exit(r, 0);
    assert_contains(r.err, "0 became marks, 3 less sure wait\n");
}

/* --- spoken ------------------------------------------------------------------------------------- */

/* Calls by a voice of flite's, a second between them; false where there is none, or no recogniser. */
static bool spoken(const struct season *s, const char *calls)
{
    if (!have_program("flite"))
        return false;
    const struct run r =
        run_with(&s->setup, "flite", "-voice", "slt", "-t", calls, "-o", "talk.wav", NULL);
    assert_exit(r, 0);
    const struct run none = BOX(s, "hear", "a.show", "tue", "--voice", "talk.wav", "--as", "json");
    return !strstr(none.err, "built without");
}

static void spoken_calls_become_drafts(void **state)
{
    (void)state;
    const struct season s = season_new();
    if (!spoken(&s, "trumpets, horn angle."))
        skip();
    struct run r =
        BOX(&s, "hear", "a.show", "tue", "--voice", "talk.wav", "--as", "json", "--at", "1:00");
    assert_exit(r, 0);
    assert_draft(draft(r, 0), "trumpets", "horn angle");
    const long long ms = json_integer_value(json_at(draft(r, 0), "ms"));
    assert_true(ms > 59000 && ms < 60500); /* where it begins to be said, the lead taken off */
    assert_string_equal(json_str(draft(r, 0), "quote"), "trumpets horn angle");
    r = BOX(&s, "hear", "a.show", "tue", "--voice", "talk.wav");
    assert_contains(r.err, "1 draft added\n1 wait for 'tue'");
    r = BOX(&s, "hear", "a.show", "tue", "--voice", "talk.wav");
    assert_contains(r.err, "0 drafts added\n1 wait");
}

static void other_talk_is_no_call(void **state)
{
    (void)state;
    const struct season s = season_new();
    if (!spoken(&s, "we had a really nice sandwich for lunch today"))
        skip();
    const struct run r = BOX(&s, "hear", "a.show", "tue", "--voice", "talk.wav", "--as", "json");
    assert_exit(r, 0);
    assert_contains(r.err, "talk.wav: no call that is sure enough in 1 of 1 stretches of talk");
    assert_int_equal(json_array_size(json_out(r)), 0);
}

static void a_recording_that_is_none(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--voice", "talk.txt");
    assert_exit(r, 2);
    assert_one_line(r, "hear: --voice is heard in place of FILE; leave one of them out");
    r = BOX(&s, "hear", "a.show", "tue", "--voice", "nosuch.wav");
    assert_true(r.status != 0);
    assert_contains(r.err, "nosuch.wav");
    r = BOX(&s, "hear", "a.show", "tue", "--voice", "talk.txt");
    assert_true(r.status != 0);
    assert_string_equal(strchr(r.err, '\n'), "\n");
}

/* --- what is wrong ------------------------------------------------------------------------------ */

static void broken_stamps_are_named_and_the_rest_is_read(void **state)
{
    (void)state;
    const struct season s = season_new();
    write_file(s.dir, "talk.srt",
               "1\n00:00:1x,000 --> 00:00:12,000\nTubas, horn angle.\n\n"
               "2\n00:00:20,000 --> 00:00:22,000\nTrumpets, horn angle.\n");
    const struct run r = BOX(&s, "hear", "a.show", "tue", "talk.srt", "--as", "json");
    assert_exit(r, 0);
    assert_contains(r.err, "talk.srt:2: ");
    assert_int_equal(json_array_size(json_out(r)), 1);
    assert_draft(draft(r, 0), "trumpets", "horn angle");
}

static const struct bad {
    const char *name, *text, *option, *value;
    int exit;
    const char *says;
} bads[] = {
    {"an empty file", "", NULL, NULL, 3, "talk.txt: "},
    {"no time in it", "Trumpets, horn angle.\n", NULL, NULL, 3, "talk.txt: "},
    {"no clip of that time", "[20:00] Trumpets, horn angle.\n", NULL, NULL, 3,
     "talk.txt: all of its 1 remarks lie outside the clip (10:00.0 long); --at says where the "
     "commentary begins"},
    {"a time that is none", talk, "--at", "soon", 3, "hear: --at soon: "},
    {"a tie that is none", talk, "--at", "0:10=later", 3, "hear: --at 0:10=later: "},
    {"a confidence that is none", talk, "--accept", "900", 2,
     "hear: --accept 900 is no confidence; write 0 to 1, as in --accept 0.8, or 80%"},
    {"a lead that is none", talk, "--lead", "soon", 2, "lead"},
    {"a format that is none", talk, "--as", "pdf", 2, "pdf"},
};

static void bad_input_is_one_line_and_changes_nothing(void **state)
{
    const struct bad *b = *state;
    const struct season s = with_talk(b->text);
    const struct run r = b->option
                             ? BOX(&s, "hear", "a.show", "tue", "talk.txt", b->option, b->value)
                             : BOX(&s, "hear", "a.show", "tue", "talk.txt");
    assert_exit(r, b->exit);
    assert_string_equal(r.out, "");
    assert_contains(r.err, b->says);
    assert_string_equal(strchr(r.err, '\n'), "\n");
    assert_lacks(BOX(&s, "check", "a.show").err, "draft");
}

static void a_show_or_clip_or_file_that_is_not_there(void **state)
{
    (void)state;
    const struct season s = with_talk(talk);
    ends(BOX(&s, "hear", "a.show", "wed", "talk.txt"), 3);
    assert_contains(BOX(&s, "hear", "a.show", "wed", "talk.txt").err, "wed");
    struct run r = BOX(&s, "hear", "a.show", "tue", "tlak.txt");
    assert_true(r.status != 0);
    assert_contains(r.err, "tlak.txt");
    r = BOX(&s, "hear", "a.show", "tue", ".");
    assert_true(r.status != 0);
    assert_contains(r.err, "directory");
    r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--at", "0:01=0:02", "--at", "0:03=0:40");
    assert_exit(r, 2);
    assert_contains(r.err, "19 times as fast");
    r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "csv", "--accept", "0.8");
    assert_exit(r, 2);
}

static void no_words_and_another_language_are_said(void **state)
{
    (void)state;
    struct season s = with_talk("[0:10] Okay, here we go, five, six, seven, eight.\n");
    struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt");
    assert_exit(r, 0);
    assert_contains(r.err, "talk.txt: no remark in 8 words\n0 drafts added\n");
    s = with_talk(
        "[0:10] Guten Abend zusammen, die Trompeten sind heute wirklich viel zu tief, und "
        "die Klarinetten laufen so langsam nach hinten, das gef\xc3\xa4llt mir gar nicht.\n");
    r = BOX(&s, "hear", "a.show", "tue", "talk.txt");
    assert_exit(r, 0);
    assert_contains(r.err, "talk.txt: few words are known (");
    assert_contains(r.err, "it is understood in English alone");
}

static void two_hours_are_heard(void **state)
{
    (void)state;
    struct buf text = {0};
    for (int minute = 0; minute < 120; minute++)
        buf_printf(&text, "[%d:%02d:05] Trumpets, your horn angles are all over the place.\n",
                   minute / 60, minute % 60);
    const struct season s = with_talk(text.p);
    buf_free(&text);
    const struct run r = BOX(&s, "hear", "a.show", "tue", "talk.txt", "--as", "json");
    assert_exit(r, 0);
    assert_int_equal(json_array_size(json_out(r)), 10);
    assert_contains(r.err, "110 remarks lie outside the clip (10:00.0 long)");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, drafts_are_shown_and_none_is_kept);
    case_test(&all, one_of_a_unit_is_said_as_one);
    case_test(&all, captions_and_standard_input_are_heard);
    case_test(&all, where_the_commentary_lies);
    case_test(&all, the_same_file_again_adds_nothing);
    case_test(&all, accepted_are_marks_with_their_quote);
    case_test(&all, the_less_sure_wait);
    case_test(&all, a_percentage_is_a_confidence_too);
    case_test(&all, an_edited_copy_proposes_only_what_is_new);
    case_test(&all, broken_stamps_are_named_and_the_rest_is_read);
    cases_of(&all, bads, bad_input_is_one_line_and_changes_nothing);
    case_test(&all, a_show_or_clip_or_file_that_is_not_there);
    case_test(&all, no_words_and_another_language_are_said);
    case_test(&all, two_hours_are_heard);
    case_test(&all, spoken_calls_become_drafts);
    case_test(&all, other_talk_is_no_call);
    case_test(&all, a_recording_that_is_none);
    return cases_run(&all, "a commentary heard");
}
