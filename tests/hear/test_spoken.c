/* Calls that a synthesiser speaks, heard; and what else somebody may hand over as a voice. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/voice.h"
#include "lib/cases.h"
#include "lib/files.h"
#include "lib/run.h"
#include "voice_show.h"

static struct arena memory;
static struct show show;

static struct app_voice *ear(void)
{
    static struct app_voice *open;
    struct err e;
    if (!open && !app_voice_open(&open, &show, &e))
        fail_msg("%s", e.text);
    return open;
}

/* A recording of the text, by flite's voice. */
static const char *speak(const char *voice, const char *text)
{
    const char *path = path_in(temp_dir(), "voice.wav");
    const struct run r = run("flite", "-voice", voice, "-t", text, "-o", path, NULL);
    assert_exit(r, 0);
    return path;
}

static const char *converted(const char *from, const char *to, const char *rate,
                             const char *channels)
{
    const char *path = path_in(temp_dir(), to);
    const struct run r =
        run("ffmpeg", "-v", "error", "-i", from, "-ar", rate, "-ac", channels, path, NULL);
    assert_exit(r, 0);
    return path;
}

static bool hear(const char *path, struct heard_calls *out, struct err *e)
{
    *e = (struct err){0};
    return app_voice_file(ear(), &(struct spoken_want){.path = path}, &memory, out, e);
}

/* "tubas 2 3: feet apart at halt; trumpets: ..." of those that are sure, "-" of none. */
static const char *sure(const struct heard_calls *l)
{
    struct buf b = {0};
    for (size_t i = 0; i < l->n; i++) {
        const struct said_call *c = &l->at[i].call;
        if (l->at[i].confidence < app_voice_sure)
            continue;
        buf_printf(&b, "%s", b.n ? "; " : "");
        for (size_t k = 0; k < c->n_targets; k++)
            buf_printf(&b, "%s%s", k ? " " : "",
                       c->targets[k].performer >= 0 ? show.performers[c->targets[k].performer].label
                                                    : show.sections[c->targets[k].section].name);
        buf_printf(&b, ": %s%s", c->praise ? "good " : "", show.faults[c->fault].name);
    }
    const char *said = arena_strdup(&memory, b.n ? buf_text(&b) : "-");
    buf_free(&b);
    return said;
}

static const char *heard(const char *path)
{
    struct heard_calls l;
    struct err e;
    if (!hear(path, &l, &e))
        fail_msg("%s", e.text);
    return sure(&l);
}

/* --- calls and other talk ---------------------------------------------------------------------------- */

static const struct talk_row {
    const char *name, *voice, *says, *means;
} talk[] = {
    {"a section and a fault", "slt", "trumpets, horn angle", "trumpets: horn angle"},
    {"two performers", "rms", "tubas two and three, feet apart", "U2 U3: feet apart at halt"},
    {"from through to", "slt", "saxophones two through five, late arrival",
     "S2 S3 S4 S5: late arrival"},
    {"two sections", "rms", "clarinets and mellophones, closed interval",
     "clarinets mellophones: closed interval"},
    {"praise", "slt", "trombones, great direction change", "trombones: good direction change"},
    {"a remark that is no call", "slt", "trumpets look great tonight", "-"},
    {"chatter", "rms", "did anybody see where the bus went this morning", "-"},
    {"counting", "slt", "five six seven eight", "-"},
};

static void talk_is_heard(void **state)
{
    const struct talk_row *r = *state;
    assert_string_equal(heard(speak(r->voice, r->says)), r->means);
}

static void a_recording_of_minutes_is_parted_at_pauses(void **state)
{
    (void)state;
    const char *a = speak("slt", "trumpets, horn angle"), *b = speak("rms", "what time is it now"),
               *c = speak("slt", "flutes, open interval");
    const char *path = path_in(temp_dir(), "long.ogg");
    const struct run r = run("ffmpeg", "-v", "error", "-i", a, "-i", b, "-i", c, "-filter_complex",
                             "[0]adelay=10000,apad=pad_dur=1,aresample=48000[a];[1]apad=pad_dur=3,"
                             "aresample=48000[b];[2]aresample="
                             "48000[c];[a][b][c]concat=n=3:v=0:a=1",
                             "-ac", "2", path, NULL);
    assert_exit(r, 0);
    struct heard_calls l;
    struct err e;
    assert_true(hear(path, &l, &e));
    assert_int_equal(l.stretches, 3);
    assert_string_equal(sure(&l), "trumpets: horn angle; flutes: open interval");
    assert_in_range(l.at[0].from_us, 9990000, 10400000);
    assert_true(l.at[0].to_us > l.at[0].from_us + 800000 &&
                l.at[0].to_us < l.at[0].from_us + 3000000);
    assert_string_equal(l.at[0].quote, "trumpets horn angle");
}

static void sure_calls_become_drafts_by_the_clips_clock(void **state)
{
    (void)state;
    struct heard_call calls[2] = {
        {.from_us = 10000000,
         .to_us = 12000000,
         .quote = "tuba two serious path",
         .confidence = 0.9},
        {.from_us = 20000000, .to_us = 22000000, .quote = "", .confidence = app_voice_sure - 0.01}};
    const int fault = show_fault(&show, "path"), section = show_section(&show, "tubas");
    for (size_t i = 0; i < 2; i++)
        calls[i].call = (struct said_call){.targets = {{section, show_performer(&show, "U2")}},
                                           .n_targets = 1,
                                           .fault = fault,
                                           .severity = 3};
    const struct heard_calls l = {calls, 2, 2};
    const struct talk_clock clock = {.offset_us = 5000000, .rate = 1.1, .lead_us = 600000};
    const struct draft_list d = app_voice_drafts(&memory, &show, &l, &clock);
    assert_int_equal(d.n, 1);
    assert_int_equal(d.at[0].said_us, 10000000);
    assert_int_equal(d.at[0].at_us, 5000000 + 11000000 - 600000);
    assert_int_equal(d.at[0].end_us, 5000000 + 13200000);
    assert_int_equal(d.at[0].n_targets, 1);
    assert_int_equal(d.at[0].targets[0].performer, show_performer(&show, "U2"));
    assert_int_equal(d.at[0].fault, fault);
    assert_int_equal(d.at[0].cause, show.faults[fault].cause);
    assert_int_equal(d.at[0].severity, 3);
    assert_string_equal(d.at[0].quote, "tuba two serious path");
}

static void no_sound_says_nothing(void **state)
{
    (void)state;
    struct speech_said said = {.n = 7};
    speech_hear(app_voice_ear(ear()), &memory, &(struct speech_samples){NULL, 0}, &said);
    assert_int_equal(said.n, 0);
}

/* --- kinds of files ---------------------------------------------------------------------------------- */

static const struct kind_row {
    const char *name, *file, *rate, *channels;
} kinds[] = {
    {"8 kHz", "a.wav", "8000", "1"},
    {"48 kHz stereo", "b.wav", "48000", "2"},
    {"a compressed stereo file", "c.mp3", "44100", "2"},
    {"96 kHz", "d.flac", "96000", "1"},
};

static void any_kind_of_sound_is_heard(void **state)
{
    const struct kind_row *r = *state;
    const char *path =
        converted(speak("slt", "trumpets, horn angle"), r->file, r->rate, r->channels);
    assert_string_equal(heard(path), "trumpets: horn angle");
}

static void a_cut_off_file_gives_what_there_is(void **state)
{
    (void)state;
    size_t n;
    const char *bytes = read_file(speak("slt", "trumpets, horn angle"), &n);
    struct heard_calls l;
    struct err e;
    const size_t cuts[] = {n - 2000, n / 2 + 1, 100, 45, 44};
    for (size_t i = 0; i < sizeof cuts / sizeof *cuts; i++) {
        const char *path = write_bytes(temp_dir(), "cut.wav", bytes, cuts[i]);
        if (!hear(path, &l, &e))
            assert_contains(e.text, "cut.wav");
        else
            assert_true(l.n == 0 || i < 2);
    }
    assert_string_equal(heard(write_bytes(temp_dir(), "short.wav", bytes, n - 2000)),
                        "trumpets: horn angle");
}

static void silence_says_nothing(void **state)
{
    (void)state;
    const char *path = path_in(temp_dir(), "silence.wav");
    const struct run r = run("ffmpeg", "-v", "error", "-f", "lavfi", "-i",
                             "anullsrc=r=16000:cl=mono", "-t", "3", path, NULL);
    assert_exit(r, 0);
    assert_string_equal(heard(path), "-");
}

static const struct bad_row {
    const char *name, *file, *bytes, *says;
} bad[] = {
    {"a file that is not there", "none.wav", NULL, "none.wav"},
    {"an empty file", "empty.wav", "", "empty.wav: not a clip that can be heard"},
    {"a text", "talk.txt", "trumpets, horn angle\n", "talk.txt: not a clip that can be heard"},
};

static void what_cannot_be_heard_is_named(void **state)
{
    const struct bad_row *r = *state;
    const char *path =
        r->bytes ? write_file(temp_dir(), r->file, r->bytes) : path_in(temp_dir(), r->file);
    struct heard_calls l;
    struct err e;
    assert_false(hear(path, &l, &e));
    assert_int_not_equal(e.code, ERR_NONE);
    assert_contains(e.text, r->says);
    assert_null(strchr(e.text, '\n'));
}

static bool stop_soon(void *user, double part)
{
    int *left = user;
    assert_true(part >= 0 && part <= 1);
    return (*left)-- > 0;
}

static void progress_can_cancel(void **state)
{
    (void)state;
    const char *path = speak("slt", "trumpets, horn angle");
    for (int after = 0; after < 2; after++) {
        struct heard_calls l;
        struct err e = {.code = ERR_FAILED};
        int left = after;
        assert_false(
            app_voice_file(ear(), &(struct spoken_want){path, stop_soon, &left}, &memory, &l, &e));
        assert_int_equal(e.code, ERR_NONE);
    }
}

/* --- models ------------------------------------------------------------------------------------------ */

static void a_model_that_is_not_there_is_named(void **state)
{
    (void)state;
    const char *folder = temp_dir();
    struct app_voice *v = NULL;
    struct err e;
    setenv("BOXCALL_VOICE", folder, 1);
    assert_false(app_voice_open(&v, &show, &e));
    assert_contains(e.text, folder);
    assert_contains(e.text, "install pocketsphinx-en-us");
    write_file(folder, "cmudict-en-us.dict", "trumpets T R AH M P AH T S\npath P AE TH\n");
    assert_false(app_voice_open(&v, &show, &e));
    assert_contains(e.text, "install pocketsphinx-en-us");
    unsetenv("BOXCALL_VOICE");
    assert_null(v);
}

static void a_show_without_words_cannot_be_spoken(void **state)
{
    (void)state;
    const struct show none = {.root = -1};
    struct app_voice *v = NULL;
    struct err e;
    assert_false(app_voice_open(&v, &none, &e));
    assert_contains(e.text, "boxcall check");
}

static void words_that_no_dictionary_has_are_told(void **state)
{
    (void)state;
    struct section odd[] = {{.name = "ensemble", .words = "", .up = -1},
                            {.name = "zzyxo", .words = "brass;qqf", .up = 0},
                            {.name = "vvpl", .words = "", .say = "V IH P AH L", .up = 0}};
    const struct show s = {.sections = odd, .n_sections = 3};
    struct buf notes = {0};
    app_voice_unheard(&s, &notes);
    assert_contains(buf_text(&notes), "note: 'zzyxo' of zzyxo cannot be heard");
    assert_contains(buf_text(&notes), "'qqf'");
    assert_lacks(buf_text(&notes), "vvpl");
    buf_clear(&notes);
    app_voice_unheard(&show, &notes);
    assert_string_equal(buf_text(&notes), "");
    buf_free(&notes);
}

int main(void)
{
    struct cases all = {0};
    show = *voice_show();
    cases_of(&all, talk, talk_is_heard);
    cases_of(&all, kinds, any_kind_of_sound_is_heard);
    cases_of(&all, bad, what_cannot_be_heard_is_named);
    case_add(&all, "a recording of minutes is parted at pauses",
             a_recording_of_minutes_is_parted_at_pauses, NULL);
    case_add(&all, "sure calls become drafts by the clip's clock",
             sure_calls_become_drafts_by_the_clips_clock, NULL);
    case_add(&all, "a key that is let go at once says nothing", no_sound_says_nothing, NULL);
    case_add(&all, "a cut off file gives what there is", a_cut_off_file_gives_what_there_is, NULL);
    case_add(&all, "silence says nothing", silence_says_nothing, NULL);
    case_add(&all, "progress can cancel", progress_can_cancel, NULL);
    case_add(&all, "a model that is not there is named", a_model_that_is_not_there_is_named, NULL);
    case_add(&all, "a show without words cannot be spoken", a_show_without_words_cannot_be_spoken,
             NULL);
    case_add(&all, "words that no dictionary has are told", words_that_no_dictionary_has_are_told,
             NULL);
    const int failed = cases_run(&all, "spoken");
    app_voice_close(ear());
    arena_free(&memory);
    return failed;
}
