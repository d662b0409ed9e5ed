/* A clip copied for others: the same packets, the same times, chapters, and nothing else that the
 * camera wrote. What the copy holds is asked of the ffprobe and ffmpeg programs. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip/frames.h"
#include "clip/packets.h"
#include "clip/remux.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "clip/clip_file.h"

static const struct remux_chapter chapters[] = {
    {0, 400000, "1: \"forms\" <b>&amp;</b>"},
    {400000, 700000, "T7; path = wide #2 \\ back"},
    {700000, 900000, "Caf\xc3\xa9 \xe2\x80\x93 \xf0\x9f\x8e\xba"},
};
enum { CHAPTERS = sizeof chapters / sizeof *chapters };

struct said {
    double last;
    int times;
    bool falls;
};

static void listen(void *user, double part)
{
    struct said *s = user;
    s->falls |= part < s->last || part > 1;
    s->last = part;
    s->times++;
}

static const char *copy_of(const char *clip)
{
    struct err e;
    struct said said = {0};
    const char *dir = temp_dir(), *ending = remux_ending(clip, &e);
    if (!ending)
        fail_msg("%s", e.text);
    const char *to = path_in(dir, arena_printf(test_arena(), "copy%s", ending));
    const struct remux_want want = {.path = clip,
                                    .to = to,
                                    .chapters = chapters,
                                    .n_chapters = CHAPTERS,
                                    .progress = listen,
                                    .user = &said};
    if (!remux(&want, &e))
        fail_msg("%s", e.text);
    assert_int_equal(e.code, ERR_NONE);
    assert_int_equal(count_entries(dir), 1);
    assert_true(said.times > 0 && !said.falls && said.last == 1);
    return to;
}

static const char *out_of(struct run r)
{
    assert_exit(r, 0);
    return r.out;
}

static const struct row {
    const char *name, *ending;
    const char *same; /* arguments of ffmpeg under which the packets' hashes are the same */
} clips[] = {
    {"ntsc.mp4", ".mp4", "copy"},      {"fast240.mp4", ".mp4", "copy"},
    {"varying.mp4", ".mp4", "copy"},   {"turn90.mp4", ".mp4", "copy"},
    {"turn180.mp4", ".mp4", "copy"},   {"turn270.mp4", ".mp4", "copy"},
    {"late.mkv", ".mkv", "copy"},      {"stream.ts", ".mp4", NULL},
    {"deep.mp4", ".mp4", "copy"},      {"bright.mp4", ".mp4", "copy"},
    {"opengop.mp4", ".mp4", "copy"},   {"wide.mp4", ".mp4", "copy"},
    {"still.avi", ".mp4", "copy"},     {"trimmed.mp4", ".mp4", "copy"},
    {"opus.webm", ".webm", "copy"},    {"leading.ts", ".mp4", "copy"},
    {"mpeg2.ts", ".mp4", "copy"},      {"pyramid.mp4", ".mp4", "copy"},
    {"sparse.mp4", ".mp4", "copy"},    {"layers.mp4", ".mp4", "copy"},
    {"latesound.mp4", ".mp4", "copy"}, {"latepicture.mp4", ".mp4", "copy"},
    {"front.mp4", ".mp4", "copy"},     {"phone.mp4", ".mp4", "copy"},
    {"uneven.mp4", ".mp4", "copy"},    {"plain.mov", ".mov", "copy"},
    {"order.avi", ".mp4", "copy"},
};

static const char *hashes(const char *path, const char *codec)
{
    return out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", path, "-map", "0:V:0", "-map",
                      "0:a:0?", "-c", codec, "-f", "streamhash", "-", NULL));
}

static void the_packets_are_the_same(void **state)
{
    const struct row *r = *state;
    const char *clip = clip_file_of(r->name), *copy = copy_of(clip);
    assert_string_equal(strrchr(copy, '.'), r->ending);
    if (r->same) {
        assert_string_equal(hashes(copy, r->same), hashes(clip, r->same));
        return;
    }
    /* H.264 in an MPEG stream is written with start codes, in MP4 with lengths (ISO/IEC 14496-15):
     * there the decoded pictures and sound are the same. */
    const char *a = out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", clip, "-map", "0:V:0",
                               "-vsync", "passthrough", "-f", "streamhash", "-", NULL));
    const char *b = out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", copy, "-map", "0:V:0",
                               "-vsync", "passthrough", "-f", "streamhash", "-", NULL));
    assert_string_equal(a, b);
}

/* 12 us: a tick of 1/90000 s; a millisecond is Matroska's. */
static int64_t tick_of(const struct row *r)
{
    return strcmp(r->ending, ".mkv") == 0 || strcmp(r->ending, ".webm") == 0 ? 1000 : 12;
}

static void every_moment_shows_the_same_picture(void **state)
{
    const struct row *r = *state;
    const char *clip = clip_file_of(r->name), *copy = copy_of(clip);
    struct media a = {0}, b = {0};
    struct err e;
    assert_true(packets_read(clip, NULL, &a, &e));
    assert_true(packets_read(copy, NULL, &b, &e));
    assert_int_equal(a.frames, b.frames);
    for (size_t i = 0; i < a.frames; i++)
        assert_in_range(b.frame_us[i] - a.frame_us[i] + tick_of(r), 0, 2 * tick_of(r));
    unsigned chance = 5;
    for (int i = 0; i < 20; i++) {
        chance = chance * 1664525 + 1013904223;
        const size_t k = (chance >> 8) % a.frames;
        struct frames *fa, *fb;
        struct frame x, y;
        assert_true(
            frames_open(&fa, &(struct frames_want){.path = clip, .from_us = a.frame_us[k]}, &e));
        assert_true(
            frames_open(&fb, &(struct frames_want){.path = copy, .from_us = b.frame_us[k]}, &e));
        const bool got = frames_next(fa, &x, &e);
        assert_int_equal(frames_next(fb, &y, &e), got);
        assert_true(got);
        assert_int_equal(x.width, y.width);
        assert_int_equal(x.height, y.height);
        assert_in_range(y.at_us - x.at_us + tick_of(r), 0, 2 * tick_of(r));
        assert_memory_equal(x.px, y.px, (size_t)x.width * (size_t)x.height);
        frames_close(fa);
        frames_close(fb);
    }
    media_free(&a);
    media_free(&b);
}

/* Time from the first picture to the first sound, as they are decoded or not. */
static double sound_behind_picture(const char *path)
{
    double at[2];
    static const char *const streams[] = {"V:0", "a:0"};
    for (int i = 0; i < 2; i++)
        at[i] = strtod(out_of(run("ffprobe", "-v", "error", "-select_streams", streams[i],
                                  "-show_entries", "packet=pts_time", "-read_intervals", "%+#1",
                                  "-of", "default=nk=1:nw=1", path, NULL)),
                       NULL);
    return at[1] - at[0];
}

static const struct heard {
    const char *name;
} heard[] = {{"ntsc.mp4"},      {"late.mkv"},  {"stream.ts"},       {"opus.webm"},
             {"latesound.mp4"}, {"phone.mp4"}, {"latepicture.mp4"}, {"plain.mov"}};

static void the_sound_stays_with_the_picture(void **state)
{
    const struct heard *h = *state;
    const char *clip = clip_file_of(h->name);
    assert_true(fabs(sound_behind_picture(copy_of(clip)) - sound_behind_picture(clip)) < 0.0011);
}

static void the_chapters_are_those_that_were_given(void **state)
{
    const struct row *r = *state;
    const char *copy = copy_of(clip_file_of(r->name));
    const char *line =
        out_of(run("ffprobe", "-v", "error", "-show_chapters", "-of", "default=nk=1:nw=1",
                   "-show_entries", "chapter=start_time,end_time:chapter_tags=title", copy, NULL));
    for (size_t i = 0; i < CHAPTERS; i++) {
        double from, to;
        int n = 0;
        assert_int_equal(sscanf(line, "%lf\n%lf\n%n", &from, &to, &n), 2);
        assert_true(fabs(from * 1e6 - (double)chapters[i].from_us) <= 1000);
        if (i + 1 < CHAPTERS)
            assert_true(fabs(to * 1e6 - (double)chapters[i].to_us) <= 1000);
        line += n;
        const size_t title = strcspn(line, "\n");
        assert_string_equal(arena_strndup(test_arena(), line, title), chapters[i].title);
        line += title + 1;
    }
    assert_string_equal(line, "");
}

static void a_clip_that_is_sound_alone_is_copied_too(void **state)
{
    (void)state;
    const char *clip = clip_file_of("sound.mp4"), *copy = copy_of(clip);
    assert_string_equal(out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", copy, "-map", "0:a",
                                   "-c", "copy", "-f", "streamhash", "-", NULL)),
                        out_of(run("ffmpeg", "-nostdin", "-v", "error", "-i", clip, "-map", "0:a",
                                   "-c", "copy", "-f", "streamhash", "-", NULL)));
}

static bool in_file(const char *path, const char *word)
{
    size_t n;
    const char *bytes = read_file(path, &n);
    return memmem(bytes, n, word, strlen(word)) != NULL;
}

static void nothing_that_the_camera_wrote_is_left_but_how_the_picture_stands(void **state)
{
    (void)state;
    static const char *const words[] = {"12.3456",   "065.4321",    "Nowhere",       "N-1",
                                        "Tib-Ronan", "Nowhere-Eye", "creation_time", "TAG:location",
                                        "=fra",      "tmcd",        "Lavf",          "01:02:03:04"};
    const char *clip = clip_file_of("phone.mp4");
    assert_true(in_file(clip, "12.3456"));
    assert_true(in_file(clip, "Nowhere-Eye"));
    const char *copy = copy_of(clip);
    const char *told = out_of(run("ffprobe", "-v", "error", "-show_format", "-show_streams",
                                  "-show_programs", copy, NULL));
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        assert_lacks(told, words[i]);
        if (strlen(words[i]) > 4)
            assert_false(in_file(copy, words[i]));
    }
    assert_contains(told, "rotation=-90");
}

static void an_index_in_front_lets_a_browser_begin(void **state)
{
    (void)state;
    size_t n;
    const char *copy = copy_of(clip_file_of("ntsc.mp4")), *bytes = read_file(copy, &n);
    const char *moov = memmem(bytes, n, "moov", 4), *mdat = memmem(bytes, n, "mdat", 4);
    assert_true(moov && mdat && moov < mdat);
}

static void colours_stay_as_the_clip_says_them(void **state)
{
    (void)state;
    const char *copy = copy_of(clip_file_of("bright.mp4"));
    const char *told = out_of(run("ffprobe", "-v", "error", "-show_streams", copy, NULL));
    assert_contains(told, "color_transfer=arib-std-b67");
    assert_contains(told, "color_primaries=bt2020");
    assert_contains(told, "color_space=bt2020nc");
    assert_contains(told, "codec_tag_string=hvc1");
}

static const char *titles_of(const char *copy)
{
    return out_of(run("ffprobe", "-v", "error", "-show_chapters", "-of", "default=nk=1:nw=1",
                      "-show_entries", "chapter=start_time:chapter_tags=title", copy, NULL));
}

static const struct sort {
    const char *name, *clip;
} sorts[] = {{"in an MP4", "ntsc.mp4"}, {"in Matroska", "late.mkv"}};

static void odd_chapters_are_put_right(void **state)
{
    const struct sort *s = *state;
    static char longest[1000];
    memset(longest, 'x', 199);
    strcpy(longest + 199, "\xc3\xa9 and on"); /* the 200th byte is half a letter */
    const struct remux_chapter odd[] = {
        {-5000000, 500000, "early"},
        {500000, 9000000, "a\nb\r\x1b[31m\x07"},
        {1000000, 1000000, "no length"},
        {1000000, 1500000, ""},
        {1500000, 1600000, NULL},
        {1600000, 2000000, "\xff\xfe bad \xe2\x80\xae back"},
        {2000000, 3000000, longest},
        {3000000, INT64_MAX, "the last"},
        {INT64_C(99000000), INT64_C(100000000), "behind the end"},
    };
    struct err e;
    const char *to = path_in(temp_dir(), "odd");
    const struct remux_want want = {.path = clip_file_of(s->clip),
                                    .to = to,
                                    .chapters = odd,
                                    .n_chapters = sizeof odd / sizeof *odd};
    assert_true(remux(&want, &e));
    longest[199] = '\0';
    assert_string_equal(
        titles_of(to),
        arena_printf(
            test_arena(),
            "0.000000\nearly\n0.500000\na?b??[31m?\n1.600000\n?? bad ??? back\n2.000000\n%s\n"
            "3.000000\nthe last\n",
            longest));
    const char *duration = out_of(run("ffprobe", "-v", "error", "-show_entries", "format=duration",
                                      "-of", "default=nk=1:nw=1", to, NULL));
    assert_true(strtod(duration, NULL) < 105); /* of 4 s, at 100 s in late.mkv */
}

static void many_chapters_are_all_there(void **state)
{
    (void)state;
    enum { MANY = 1000 };
    static struct remux_chapter many[MANY];
    struct err e;
    const char *to = path_in(temp_dir(), "many.mp4");
    for (int i = 0; i < MANY; i++)
        many[i] = (struct remux_chapter){i * 3000, i * 3000 + 3000,
                                         arena_printf(test_arena(), "call %d", i)};
    const struct remux_want want = {
        .path = clip_file_of("ntsc.mp4"), .to = to, .chapters = many, .n_chapters = MANY};
    assert_true(remux(&want, &e));
    assert_contains(titles_of(to), "2.997000\ncall 999\n");
}

/* --- edit lists ---------------------------------------------------------------------------- */

struct edit {
    int32_t long_ms, from_ms; /* from_ms -1: nothing is shown */
};

static void put(char *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (char)(value >> (24 - 8 * i));
}

static uint32_t get(const char *at)
{
    uint32_t value = 0;
    for (int i = 0; i < 4; i++)
        value = value << 8 | (uint8_t)at[i];
    return value;
}

/* silent.mp4 with another edit list (ISO/IEC 14496-12, 8.6.6, version 0), its boxes made longer. Its
 * clocks: 1000 a second for the clip, 30000 for the pictures; the first is shown at 2002 of those. */
static const char *edited(const struct edit *edits, size_t n_edits)
{
    enum { BEHIND_NAME = 4, ENTRY = 12, FIRST = 2002 };
    static const char *const around[] = {"moov", "trak", "edts", "elst"};
    size_t n;
    char *old = read_file(clip_file_of("silent.mp4"), &n), *at = old;
    const size_t more = (n_edits - 1) * ENTRY;
    for (size_t i = 0; i < 4; i++) {
        at = memmem(at, n - (size_t)(at - old), around[i], 4);
        put(at - 4, get(at - 4) + (uint32_t)more);
    }
    assert_int_equal(get(at + 8), 1); /* entries */
    put(at + 8, (uint32_t)n_edits);
    char *entry = at + 12;
    const size_t head = (size_t)(entry - old);
    char *bytes = arena_alloc(test_arena(), n + more);
    memcpy(bytes, old, head);
    memcpy(bytes + head + n_edits * ENTRY, entry + ENTRY, n - head - ENTRY);
    for (size_t i = 0; i < n_edits; i++) {
        put(bytes + head + i * ENTRY, (uint32_t)edits[i].long_ms);
        put(bytes + head + i * ENTRY + 4,
            edits[i].from_ms < 0 ? UINT32_MAX : (uint32_t)edits[i].from_ms * 30 + FIRST);
        put(bytes + head + i * ENTRY + 8, 1 << 16);
    }
    return write_bytes(temp_dir(), "edited.mp4", bytes, n + more);
}

static const struct edit_row {
    const char *name;
    struct edit edits[3];
    size_t n;
    bool refused;
} edit_rows[] = {
    {"the whole clip", {{4004, 0}}, 1, false},
    {"a beginning within a group of pictures", {{2700, 1300}}, 1, false},
    {"an end before the clip's", {{2000, 0}}, 1, false},
    {"an end one picture later", {{2034, 0}}, 1, false},
    {"an end two pictures later", {{2067, 0}}, 1, false},
    {"an end three pictures later", {{2100, 0}}, 1, false},
    {"both", {{1500, 1300}}, 1, false},
    {"half a second of nothing first", {{500, -1}, {4004, 0}}, 2, false},
    {"two pieces, the second from a keyframe on", {{1001, 0}, {1001, 2002}}, 2, true},
    {"two pieces, the second from anywhere", {{1001, 0}, {1001, 2500}}, 2, true},
    {"the same piece twice", {{1001, 1001}, {1001, 1001}}, 2, true},
};

static void what_an_edit_list_leaves_out_stays_out_or_the_clip_is_refused(void **state)
{
    const struct edit_row *r = *state;
    const char *clip = edited(r->edits, r->n), *dir = temp_dir(), *to = path_in(dir, "copy.mp4");
    struct media a = {0}, b = {0};
    struct err e;
    assert_true(packets_read(clip, NULL, &a, &e));
    const bool ok = remux(&(struct remux_want){.path = clip, .to = to}, &e);
    print_message("%s: %zu frames, %s\n", r->name, a.frames, ok ? "copied" : e.text);
    assert_int_equal(ok, !r->refused);
    assert_int_equal(count_entries(dir), ok);
    if (ok) {
        assert_true(packets_read(to, NULL, &b, &e));
        assert_int_equal(a.frames, b.frames);
        struct frames *fa, *fb;
        struct frame x, y;
        assert_true(frames_open(&fa, &(struct frames_want){.path = clip}, &e));
        assert_true(frames_open(&fb, &(struct frames_want){.path = to}, &e));
        size_t n = 0;
        for (; frames_next(fa, &x, &e); n++) {
            assert_true(frames_next(fb, &y, &e));
            assert_in_range(y.at_us - x.at_us + 12, 0, 24);
            assert_memory_equal(x.px, y.px, (size_t)x.width * (size_t)x.height);
        }
        assert_false(frames_next(fb, &y, &e));
        assert_int_equal(n, a.frames);
        frames_close(fa);
        frames_close(fb);
    } else {
        assert_contains(e.text, "would not keep the times of its pictures; cut the moments out");
    }
    media_free(&a);
    media_free(&b);
}

/* --- what is refused ----------------------------------------------------------------------- */

static void refused(const char *path, const char *to, enum err_code code, const char *text)
{
    struct err e;
    assert_false(remux(&(struct remux_want){.path = path, .to = to}, &e));
    assert_int_equal(e.code, code);
    assert_contains(e.text, text);
    assert_null(strchr(e.text, '\n'));
}

static void what_cannot_be_copied_is_refused_in_words(void **state)
{
    (void)state;
    struct err e;
    const char *dir = temp_dir(), *to = path_in(dir, "copy.mp4");
    const char *text = write_file(temp_dir(), "text.mp4", "not a clip\n");
    refused(text, to, ERR_INPUT, "text.mp4: is a text file, not a clip");
    assert_null(remux_ending(text, &e));
    assert_contains(e.text, "is a text file");
    refused("/nowhere/at-all.mp4", to, ERR_INPUT, "there is no such file");
    refused(clip_file_of("ntsc.mp4"), "/nowhere/at/all.mp4", ERR_FAILED,
            "/nowhere/at/all.mp4: cannot write it: No such file or directory");
    refused(clip_file_of("ntsc.mp4"), dir, ERR_INPUT, "is a directory; name a file");
    assert_int_equal(count_entries(dir), 0);
}

static void the_clip_itself_is_never_replaced(void **state)
{
    (void)state;
    size_t n;
    const char *dir = temp_dir(), *bytes = read_file(clip_file_of("ntsc.mp4"), &n);
    const char *clip = write_bytes(dir, "clip.mp4", bytes, n), *link = path_in(dir, "link.mp4");
    assert_int_equal(symlink(clip, link), 0);
    refused(clip, clip, ERR_INPUT, "is the clip itself");
    refused(clip, link, ERR_INPUT, "is the clip itself");
    refused(link, clip, ERR_INPUT, "is the clip itself");
    assert_same_file(clip, clip_file_of("ntsc.mp4"));
    assert_int_equal(count_entries(dir), 2);
}

struct stopper {
    atomic_bool cancel;
    double at;
};

static void stop(void *user, double part)
{
    struct stopper *s = user;
    if (part >= s->at)
        atomic_store(&s->cancel, true);
}

static void a_copy_that_is_given_up_leaves_what_was_there(void **state)
{
    (void)state;
    static const double parts[] = {-1, 0, 0.3};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        struct err e = {.code = ERR_FAILED, .text = "old"};
        struct stopper s = {.at = parts[i]};
        const char *dir = temp_dir(), *to = write_file(dir, "copy.mp4", "an older copy\n");
        atomic_store(&s.cancel, parts[i] < 0);
        assert_false(remux(&(struct remux_want){.path = clip_file_of("ntsc.mp4"),
                                                .to = to,
                                                .cancel = &s.cancel,
                                                .progress = stop,
                                                .user = &s},
                           &e));
        assert_int_equal(e.code, ERR_NONE);
        assert_file_is(to, "an older copy\n");
        assert_int_equal(count_entries(dir), 1);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, clips, the_packets_are_the_same);
    cases_of(&all, clips, every_moment_shows_the_same_picture);
    cases_of(&all, heard, the_sound_stays_with_the_picture);
    cases_of(&all, clips, the_chapters_are_those_that_were_given);
    case_test(&all, nothing_that_the_camera_wrote_is_left_but_how_the_picture_stands);
    case_test(&all, a_clip_that_is_sound_alone_is_copied_too);
    case_test(&all, an_index_in_front_lets_a_browser_begin);
    case_test(&all, colours_stay_as_the_clip_says_them);
    cases_of(&all, sorts, odd_chapters_are_put_right);
    case_test(&all, many_chapters_are_all_there);
    cases_of(&all, edit_rows, what_an_edit_list_leaves_out_stays_out_or_the_clip_is_refused);
    case_test(&all, what_cannot_be_copied_is_refused_in_words);
    case_test(&all, the_clip_itself_is_never_replaced);
    case_test(&all, a_copy_that_is_given_up_leaves_what_was_there);
    return cases_run(&all, "clips copied for others");
}
