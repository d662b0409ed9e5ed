#include <fcntl.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/bad_disk.h"
#include "player/inside.h"
#include "clip/guard.h"
#include "clip/packets.h"
#include "player/watch.h"

#define COPY_IT "copy the clip to this laptop and name that file"

/* Files by what is in them; all have the name of a clip. */
static const struct disguise {
    const char *name;
    size_t bytes;
    const char *text;
    const char *refusal;
} disguises[] = {
    {"list.m3u", 0, "#EXTM3U\n#EXTINF:1,x\n/etc/hostname\n", "is a playlist (m3u)"},
    {"list.mp4", 0, "#EXTM3U\n/etc/hostname\n", "is a playlist (m3u)"},
    {"bom.mp4", 0, "\xef\xbb\xbf#EXTM3U\nclip.mp4\n", "is a playlist (m3u)"},
    {"bare.mp4", 0, "/home/sam/clip.mp4\n", "is a text file, not a clip"},
    {"hls.mp4", 0, "#EXTM3U\n#EXT-X-VERSION:3\n#EXTINF:1,\nclip.ts\n", "is a playlist (m3u)"},
    {"list.pls", 0, "[playlist]\nFile1=clip.mp4\n", "is a playlist (pls)"},
    {"edit.mp4", 0, "# mpv EDL v0\nclip.mp4,0,5\n", "is an edit list that points to other files"},
    {"cat.mp4", 0, "ffconcat version 1.0\nfile clip.mp4\n", "is a list of other files"},
    {"dash.mp4", 0, "<?xml version=\"1.0\"?>\n<MPD type=\"static\">\n</MPD>\n",
     "is a streaming manifest (DASH)"},
    {"asx.mp4", 0, "<ASX version=\"3\"><Entry/></ASX>", "is a playlist (asx)"},
    {"smil.mp4", 0, "<!-- x --><smil></smil>", "is a playlist (smil)"},
    {"ref.mp4", 0, "[Reference]\nRef1=http://localhost/x\n", "is a list of references"},
    {"url.mp4", 0, "http://localhost/clip.mp4\n", "is an address, not a clip"},
    {"wide.mp4.txt", 14, "\xff\xfe#\0E\0X\0T\0M\0\n", "is a text file, not a clip"},
    {"page.mp4", 0, "<html><body>not found</body></html>", "is a text file, not a clip"},
    {"zip.mp4", 8, "PK\3\4\24\0\0\0", "is a zip archive; unpack it and name the clip inside"},
    {"rar.mp4", 8, "Rar!\x1a\7\1\0", "is a rar archive"},
    {"seven.mp4", 8, "7z\xbc\xaf\x27\x1c\0\4", "is a 7z archive"},
    {"gz.mp4", 4, "\x1f\x8b\x8\0", "is a gzip archive"},
    {"photo.mp4", 6, "\xff\xd8\xff\xe0\0\x10", "is a still photo"},
    {"heic.mp4", 16,
     "\0\0\0\x18"
     "ftypheic\0\0\0\0",
     "is a still photo"},
    {"png.mp4", 8, "\x89PNG\r\n\x1a\n", "is a still picture"},
    {"pdf.mp4", 0, "%PDF-1.7\n\x80\x80", "is a PDF document"},
    {"empty.mp4", 0, "", "is empty (0 bytes); copy the clip from the phone again"},
};

static char *place(const char *name)
{
    char *path = NULL;
    assert_true(asprintf(&path, "%s/guard-%s", clip_folder(), name) > 0);
    return path;
}

static char *write_file(const char *name, const void *bytes, size_t n)
{
    char *path = place(name);
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    assert_int_equal(fwrite(bytes, 1, n, out), n);
    fclose(out);
    return path;
}

static void check_refused(const char *path, const char *refusal)
{
    struct err e = {0};
    assert_false(clip_guard(path, &e));
    assert_int_equal(e.code, ERR_INPUT);
    if (!strstr(e.text, refusal) || !strstr(e.text, path))
        fail_msg("\"%s\" does not say \"%s\"", e.text, refusal);
    assert_null(strchr(e.text, '\n'));
    struct media m = {0};
    assert_false(clip_probe(path, PROBE_DIGEST, &m, &e));
    media_free(&m);
}

static void what_is_in_a_file_decides_not_its_name(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof disguises / sizeof *disguises; i++) {
        const struct disguise *d = &disguises[i];
        char *path = write_file(d->name, d->text, d->bytes ? d->bytes : strlen(d->text));
        check_refused(path, d->refusal);
        free(path);
    }
}

/* Of a long file only the beginning is looked at, and its last letter may be cut in two there. */
static void a_long_text_is_no_clip_wherever_its_beginning_ends(void **state)
{
    (void)state;
    for (size_t before = 0; before < 4; before++) {
        char text[4200];
        memset(text, 'x', before);
        for (size_t i = before; i + 3 <= sizeof text; i += 3)
            memcpy(text + i, "\xe2\x80\xa6", 3);
        char *path = write_file("long.mp4", text, before + (sizeof text - before) / 3 * 3);
        check_refused(path, "is a text file, not a clip");
        free(path);
    }
}

static void addresses_are_refused_whatever_their_scheme(void **state)
{
    (void)state;
    static const char *const addresses[] = {
        "http://localhost/clip.mp4", "HTTPS://localhost/clip.mp4", "file:///etc/hostname",
        "edl:///etc/hostname",       "av://lavfi:testsrc",         "lavf://clip.mp4",
        "mf://a.png,b.png",          "rtsp://camera.local/1",      "x-y.z+1://clip",
    };
    for (size_t i = 0; i < sizeof addresses / sizeof *addresses; i++)
        check_refused(addresses[i], "is an address");
    check_refused("/nowhere/http://clip.mp4", "there is no such file");
    struct err e = {0};
    assert_false(clip_guard("", &e));
    assert_non_null(strstr(e.text, "no clip named"));
}

static void only_a_regular_file_is_a_clip(void **state)
{
    (void)state;
    char *fifo = place("pipe.mp4"), *folder = place("folder.mp4"), *link = place("loop.mp4");
    unlink(fifo);
    unlink(link);
    assert_int_equal(mkfifo(fifo, 0600), 0);
    mkdir(folder, 0700);
    assert_int_equal(symlink(link, link), 0);
    check_refused(fifo, "is a pipe; " COPY_IT);
    check_refused(folder, "is a folder; name one clip in it");
    check_refused("/dev/zero", "is a device; " COPY_IT);
    check_refused("/dev/null", "is a device; " COPY_IT);
    check_refused(link, "cannot be looked at");
    check_refused("/nowhere/clip.mp4", "there is no such file");
    check_refused("/dev/null/clip.mp4", "there is no such file");
    free(fifo);
    free(folder);
    free(link);
}

static void a_clip_that_may_not_be_read_says_so(void **state)
{
    (void)state;
    char *path = write_file("secret.mp4", "\0\0\0\1", 4);
    assert_int_equal(chmod(path, 0), 0);
    const bool root = geteuid() == 0;
    if (root) /* root may read everything */
        assert_int_equal(seteuid(65534), 0);
    if (euidaccess(clip_folder(), X_OK) == 0)
        check_refused(path, "may not be read");
    if (root)
        assert_int_equal(seteuid(0), 0);
    unlink(path);
    free(path);
}

static void bytes_without_sense_are_no_clip(void **state)
{
    (void)state;
    unsigned char noise[5000];
    srand(7);
    for (size_t i = 0; i < sizeof noise; i++)
        noise[i] = (unsigned char)rand();
    char *path = write_file("noise.mp4", noise, sizeof noise);
    struct err e = {0};
    struct media m = {0};
    assert_true(clip_guard(path, &e));
    assert_false(clip_probe(path, 0, &m, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_non_null(strstr(e.text, "not a clip this program can read; it may be cut short: copy it "
                                   "from the phone again"));
    media_free(&m);
    free(path);
}

/* Wherever the disk gives up, the clip is refused with the time and the cause: part of it is not
 * the clip. */
static void a_disk_that_fails_is_an_error_and_no_shorter_clip(void **state)
{
    (void)state;
    static const char *const clips[] = {"front.mp4", "late.mkv",  "stream.ts",
                                        "still.avi", "sound.mp4", "ntsc.mp4"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        struct stat st;
        char *path = clip_path(clips[i]);
        assert_non_null(path);
        assert_int_equal(stat(path, &st), 0);
        for (int part = 0; part < 10; part++) {
            struct media m = {.fps_den = 1};
            struct err e = {0};
            bad_disk(clips[i], (size_t)st.st_size * (size_t)part / 10);
            const bool read = packets_read(path, NULL, &m, &e);
            const int hits = bad_disk_hits();
            bad_disk(NULL, 0);
            assert_true(hits > 0);
            if (read || e.code != ERR_FAILED || !strstr(e.text, path) ||
                !strstr(e.text, "cannot be read") ||
                !strstr(e.text, "Input/output error; copy the clip again"))
                fail_msg("%s, %d tenths: %s", clips[i], part, read ? "was read" : e.text);
            if (part == 8 && i < 3 && !strstr(e.text, "beyond 0:0"))
                fail_msg("%s does not say when: %s", clips[i], e.text);
            media_free(&m);
        }
        free(path);
    }
}

static void a_review_without_a_frame_list_says_why(void **state)
{
    (void)state;
    char *path = clip_path("late.mkv");
    struct player p = {0};
    struct media list;
    bad_disk("late.mkv", 20000);
    const int woken = eventfd(0, 0);
    struct index_job *job = index_start(path, woken);
    uint64_t n;
    assert_int_equal(read(woken, &n, sizeof n), sizeof n);
    assert_true(index_take(job, &list));
    close(woken);
    index_stop(job);
    bad_disk(NULL, 0);
    timeline_take_list(&p, &list);
    assert_false(p.listed);
    assert_non_null(strstr(p.now.message, "late.mkv: cannot be read beyond 0:0"));
    free(path);
}

/* --- behind the guard ---------------------------------------------------------------------- */

static bool load_is_over(const struct watch *w, int64_t arg)
{
    (void)arg;
    return w->s.status == PLAYER_FAILED || w->s.status == PLAYER_READY;
}

/* The file may be exchanged after the guard has looked; libavformat and libmpv must not follow
 * references either. Each disguise points to a clip that could be played. */
static void nothing_behind_the_guard_follows_a_reference(void **state)
{
    (void)state;
    char *clip = clip_path("ntsc.mp4");
    assert_non_null(clip);
    static const char *const texts[] = {
        "#EXTM3U\n%s\n",
        "#EXTM3U\n#EXT-X-VERSION:3\n#EXT-X-TARGETDURATION:4\n#EXTINF:4,\n%s\n#EXT-X-ENDLIST\n",
        "[playlist]\nFile1=%s\nNumberOfEntries=1\n",
        "# mpv EDL v0\n%s,0,2\n",
        "ffconcat version 1.0\nfile '%s'\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        char text[5000];
        snprintf(text, sizeof text, texts[i], clip);
        char *path = write_file("behind.mp4", text, strlen(text));
        struct media m = {.fps_den = 1};
        struct err e = {0};
        assert_false(packets_read(path, NULL, &m, &e));
        media_free(&m);

        struct watch w;
        watch_open(&w, "silent.mp4", 0, false);
        WATCH(&w, watch_settled);
        w.p->opening = OPEN_SENT;
        w.p->now.status = PLAYER_OPENING;
        core_command(w.p, tag_of(TAG_LOAD, ++w.p->load_serial),
                     (const char *[]){"loadfile", path, "replace", NULL});
        WATCH(&w, load_is_over);
        assert_int_equal(w.s.status, PLAYER_FAILED);
        watch_close(&w);
        free(path);
    }
    free(clip);
}

/* --- what the probe tells ------------------------------------------------------------------ */

static void run_text(const char *line, char *out, size_t n)
{
    FILE *in = popen(line, "r");
    assert_non_null(in);
    const size_t got = fread(out, 1, n - 1, in);
    out[got] = '\0';
    assert_int_equal(pclose(in), 0);
}

/* Reference: sha256sum of GNU coreutils. */
static void the_digests_are_those_of_sha256sum(void **state)
{
    (void)state;
    static const char *const clips[] = {"ntsc.mp4", "long.bin"};
    char line[9000], sum[200];
    char *big = clip_path("long.bin"); /* 2.5 MiB: head and tail do not overlap */
    char *ntsc = clip_path("ntsc.mp4");
    snprintf(line, sizeof line, "(cat '%s'; head -c 2621440 /dev/zero) > '%s'", ntsc, big);
    assert_int_equal(system(line), 0);
    for (size_t i = 0; i < 2; i++) {
        char *path = clip_path(clips[i]);
        struct media m;
        struct err e = {0};
        if (!clip_probe(path, PROBE_DIGEST, &m, &e))
            fail_msg("%s", e.text);
        snprintf(line, sizeof line, "sha256sum < '%s'", path);
        run_text(line, sum, sizeof sum);
        assert_memory_equal(m.sha256, sum, 64);
        uint8_t size[8];
        for (int k = 0; k < 8; k++)
            size[k] = (uint8_t)((uint64_t)m.size_bytes >> (56 - 8 * k));
        char *head = write_file("size.bin", size, sizeof size);
        snprintf(line, sizeof line,
                 "t=$(($(stat -c %%s '%s') > 2097152 ? 1048576 : 0)); "
                 "(cat '%s'; head -c 1048576 '%s'; tail -c $t '%s') | sha256sum",
                 path, head, path, path);
        free(head);
        run_text(line, sum, sizeof sum);
        assert_memory_equal(m.head_tail, sum, 64);
        assert_int_equal(strlen(m.head_tail), 64);
        media_free(&m);
        assert_true(clip_probe(path, 0, &m, &e));
        assert_string_equal(m.sha256, "");
        media_free(&m);
        free(path);
    }
    free(big);
    free(ntsc);
}

/* The probe, which plays nothing, and libmpv agree on every frame's time. */
static void the_probe_and_the_player_agree(void **state)
{
    (void)state;
    static const char *const clips[] = {
        "ntsc.mp4",    "silent.mp4",  "fast240.mp4", "varying.mp4", "turn90.mp4",  "turn180.mp4",
        "turn270.mp4", "late.mkv",    "stream.ts",   "deep.mp4",    "opengop.mp4", "wide.mp4",
        "still.avi",   "trimmed.mp4", "sound.mp4",   "uhd.mp4",     "opus.webm"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        const struct clip *clip = clip_row(clips[i]);
        struct watch w;
        struct media m;
        struct err e = {0};
        watch_open(&w, clips[i], 0, false);
        WATCH(&w, watch_settled);
        if (!clip_probe(w.path, 0, &m, &e))
            fail_msg("%s", e.text);
        print_message("%s\n", clips[i]);
        assert_int_equal(m.frames, clip->frames);
        for (size_t n = 0; n < m.frames; n++)
            assert_int_equal(m.frame_us[n], player_frame_time(w.p, (int64_t)n));
        assert_int_equal(m.width, w.s.width);
        assert_int_equal(m.height, w.s.height);
        assert_int_equal(m.rotation, clip->turned);
        assert_int_equal(m.has_video, w.s.has_video);
        assert_int_equal(m.has_sound, w.s.has_sound);
        assert_int_equal(m.fps_num, w.s.fps_num);
        assert_int_equal(m.fps_den, w.s.fps_den);
        if (clip->frames > 0)
            assert_in_range(m.length_us - m.frame_us[m.frames - 1], 4000, 60000);
        else
            assert_in_range(m.length_us, 2950000, 3100000);
        media_free(&m);
        watch_close(&w);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_in_a_file_decides_not_its_name),
        cmocka_unit_test(a_long_text_is_no_clip_wherever_its_beginning_ends),
        cmocka_unit_test(addresses_are_refused_whatever_their_scheme),
        cmocka_unit_test(only_a_regular_file_is_a_clip),
        cmocka_unit_test(a_clip_that_may_not_be_read_says_so),
        cmocka_unit_test(bytes_without_sense_are_no_clip),
        cmocka_unit_test(a_disk_that_fails_is_an_error_and_no_shorter_clip),
        cmocka_unit_test(a_review_without_a_frame_list_says_why),
        cmocka_unit_test(nothing_behind_the_guard_follows_a_reference),
        cmocka_unit_test(the_digests_are_those_of_sha256sum),
        cmocka_unit_test(the_probe_and_the_player_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
