/* Copies and cuts when the clip is damaged or the disk is full: one line, and nothing half made. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "clip/cut.h"
#include "clip/packets.h"
#include "clip/remux.h"
#include "lib/bad_disk.h"
#include "lib/cases.h"
#include "lib/full_disk.h"
#include "lib/run.h"
#include "clip/clip_file.h"

static bool copy(const char *clip, const char *to, struct err *e)
{
    return remux(&(struct remux_want){.path = clip, .to = to}, e);
}

static bool cut(const char *clip, const char *to, struct err *e)
{
    return cut_make(&(struct cuts_want){.path = clip}, &(struct cut){100000, 900000, to}, e);
}

static const struct work {
    const char *name;
    bool (*make)(const char *clip, const char *to, struct err *e);
} works[] = {{"a copy", copy}, {"a cut", cut}};

/* The disk is full after so many bytes, until the whole of it fits. Writing the index in front goes
 * through all of the file once more, so that the steps reach into that too. */
static void a_full_disk_is_said_in_a_line_and_leaves_what_was_there(void **state)
{
    const struct work *w = *state;
    static const char *const clips[] = {"ntsc.mp4", "opus.webm", "stream.ts"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        const char *dir = temp_dir(), *clip = clip_file_of(clips[i]);
        const char *to = write_file(dir, "made", "an older one\n");
        struct err e;
        bool ok = false;
        int failures = 0;
        for (size_t room = 0; !ok; room += 1499) {
            full_disk("/.boxcall-", room);
            ok = w->make(clip, to, &e);
            const int hits = full_disk_hits();
            full_disk(NULL, 0);
            assert_int_equal(count_entries(dir), 1);
            assert_true(ok == (hits == 0));
            if (ok)
                break;
            failures++;
            assert_int_equal(e.code, ERR_FAILED);
            assert_string_equal(
                e.text,
                arena_printf(test_arena(), "%s: cannot write it: No space left on device", to));
            assert_file_is(to, "an older one\n");
        }
        struct media m = {0};
        assert_true(failures > 3);
        assert_true(packets_read(to, NULL, &m, &e));
        media_free(&m);
    }
}

static void a_disk_that_fails_while_the_clip_is_read_is_said_too(void **state)
{
    const struct work *w = *state;
    static const char *const clips[] = {"front.mp4", "late.mkv", "stream.ts"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        struct stat st;
        const char *dir = temp_dir(), *clip = clip_file_of(clips[i]), *to = path_in(dir, "made");
        assert_int_equal(stat(clip, &st), 0);
        for (int part = 0; part < 10; part += 3) {
            struct err e;
            bad_disk(clips[i], (size_t)st.st_size * (size_t)part / 10);
            const bool ok = w->make(clip, to, &e);
            const int hits = bad_disk_hits();
            bad_disk(NULL, 0);
            assert_true(ok || hits > 0);
            assert_int_equal(count_entries(dir), ok);
            if (ok) /* all that the cut needs lies before it */
                remove(to);
            else
                assert_int_equal(e.code, ERR_FAILED);
            if (!ok && !strstr(e.text, "Input/output error; copy the clip again"))
                fail_msg("%s", e.text);
        }
        assert_true(w->make(clip, to, &(struct err){0}));
    }
}

/* Cut short anywhere, or with bytes turned over: what comes of it opens again, or there is a line. */
static void a_damaged_clip_is_refused_in_a_line_or_becomes_shorter(void **state)
{
    const struct work *w = *state;
    static const char *const clips[] = {"ntsc.mp4",  "front.mp4", "late.mkv",
                                        "stream.ts", "opus.webm", "still.avi"};
    unsigned chance = 11;
    int made = 0, refused = 0;
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        size_t n;
        const char *dir = temp_dir();
        char *sound = read_file(clip_file_of(clips[i]), &n);
        for (int round = 0; round < 12; round++) {
            char *bytes = arena_alloc(test_arena(), n);
            memcpy(bytes, sound, n);
            for (int k = 0; k < round; k++) {
                chance = chance * 1664525 + 1013904223;
                bytes[(size_t)(chance >> 4) % n] ^= (char)(chance >> 24 | 1);
            }
            const size_t length = round % 3 ? n : n - n * (size_t)(round + 1) / 14;
            const char *clip = write_bytes(dir, "damaged.bin", bytes, length);
            const char *to = path_in(dir, "made");
            struct err e;
            struct media m = {0};
            if (w->make(clip, to, &e)) {
                made++;
                if (!packets_read(to, NULL, &m, &e))
                    fail_msg("%s, %d: %s", clips[i], round, e.text);
                media_free(&m);
                remove(to);
            } else {
                refused++;
                assert_true(e.code == ERR_INPUT || e.code == ERR_FAILED);
                assert_null(strchr(e.text, '\n'));
                if (!strstr(e.text, "damaged.bin") && !strstr(e.text, to))
                    fail_msg("'%s' names no file", e.text);
                if (strstr(e.text, "/.boxcall-"))
                    fail_msg("'%s' names a file that nobody knows", e.text);
            }
            assert_int_equal(count_entries(dir), 1);
        }
    }
    print_message("%d made, %d refused\n", made, refused);
    assert_true(made > 5 && refused > 5);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, works, a_full_disk_is_said_in_a_line_and_leaves_what_was_there);
    cases_of(&all, works, a_disk_that_fails_while_the_clip_is_read_is_said_too);
    cases_of(&all, works, a_damaged_clip_is_refused_in_a_line_or_becomes_shorter);
    return cases_run(&all, "copies and cuts of damaged clips and on full disks");
}
