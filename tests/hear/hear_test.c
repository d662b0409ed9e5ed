#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cmocka.h>

#include "count/beats.h"
#include "clip/sound.h"
#include "hear/onsets.h"
#include "lib/bad_disk.h"
#include "lib/files.h"
#include "band.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static struct heard listen(struct arena *a, const char *path)
{
    struct err e = {0};
    struct heard h;
    if (!hear_onsets(&(struct hear_want){.path = path}, a, &h, &e))
        fail_msg("%s", e.text);
    return h;
}

/* Runs ffmpeg over the written band; the arguments stand between input and output. */
static const char *encode(const char *dir, const char *wav, const char *arguments, const char *name)
{
    char command[1024];
    const char *out = path_in(dir, name);
    snprintf(command, sizeof command, "ffmpeg -v error -y -i '%s' %s '%s' </dev/null", wav,
             arguments, out);
    if (system(command) != 0)
        fail_msg("%s", command);
    return out;
}

/* Worst distance between a beat and the onset nearest to it. */
static double worst_ms(const struct band *b, const struct heard *h)
{
    double worst = 0;
    for (size_t i = 0; i < b->n_beats; i++) {
        double best = 1e9;
        for (size_t j = 0; j < h->n; j++)
            best = fmin(best, fabs((double)h->onset[j].at_us * 1e-3 - b->beat[i] * 1e3));
        worst = fmax(worst, best);
    }
    return worst;
}

static void onsets_stand_where_the_strokes_are(void **state)
{
    (void)state;
    static const struct {
        enum band_kind kind;
        double noise_db;
    } rows[] = {{BAND_CLICK, 0}, {BAND_CLICK, -40}, {BAND_CLICK, -30},
                {BAND_DRUMS, 0}, {BAND_DRUMS, -30}, {BAND_SNARE, -40}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct band b;
        band_open(&b, 12, i + 1);
        band_play(&b, rows[i].kind, 144, 144, 1, 24);
        if (rows[i].noise_db < 0)
            band_noise(&b, rows[i].noise_db);
        const char *wav = path_in(temp_dir(), "band.wav");
        band_write(&b, wav);
        const struct heard h = listen(&a, wav);
        assert_true(worst_ms(&b, &h) < 6);
        assert_true(h.from_us == 0 && llabs(h.to_us - 12000000) < 5000);
        band_close(&b);
        arena_free(&a);
    }
}

/* A number that ffprobe knows about the file. */
static double probe(const char *path, const char *what)
{
    char command[600];
    double v = NAN;
    snprintf(command, sizeof command, "ffprobe -v error -of default=nw=1:nk=1 %s \"%s\"", what,
             path);
    FILE *f = popen(command, "r");
    assert_non_null(f);
    assert_int_equal(fscanf(f, "%lf", &v), 1);
    pclose(f);
    return v;
}

/* When the picture begins on the player's clock. Encoded together, picture and sound begin as one;
 * but in a transport stream the encoder's run-in of the sound comes first. */
static double picture_begins(const char *path)
{
    return probe(path, "-select_streams v -show_entries stream=start_time") -
           probe(path, "-show_entries format=start_time");
}

static void sound_keeps_the_players_clock_in_every_container(void **state)
{
    (void)state;
    /* Encoder delay, a picture beside it, 48 kHz stereo, 8 kHz, an awkward name. */
    static const struct {
        const char *arguments, *name;
    } rows[] = {
        {"-f lavfi -i color=size=64x48:rate=30:duration=12 -shortest -c:a aac", "a.mp4"},
        {"-f lavfi -i color=size=64x48:rate=30:duration=12 -c:v mpeg2video -c:a aac -ac 2", "a.ts"},
        {"-c:a libmp3lame -ar 48000 -ac 2", "a.mp3"},
        {"-c:a flac", "a:b 'c.mkv"},
        {"-c:a pcm_s16le -ar 8000", "a.mov"},
    };
    struct band b;
    band_open(&b, 12, 3);
    band_play(&b, BAND_DRUMS, 132, 132, 0.5, 24);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        const char *name = strchr(rows[i].name, '\'') ? "plain.mkv" : rows[i].name;
        const char *path = encode(dir, wav, rows[i].arguments, name);
        if (name != rows[i].name) {
            const char *odd = path_in(dir, rows[i].name);
            assert_int_equal(rename(path, odd), 0);
            path = odd;
        }
        struct heard h = listen(&a, path);
        const int64_t picture_us =
            strstr(path, ".mp4") || strstr(path, ".ts") ? llround(picture_begins(path) * 1e6) : 0;
        for (size_t k = 0; k < h.n; k++)
            h.onset[k].at_us -= picture_us;
        if (worst_ms(&b, &h) > 8)
            fail_msg("%s: %.1f ms off", path, worst_ms(&b, &h));
        arena_free(&a);
    }
    band_close(&b);
}

static void a_hole_in_the_sound_is_silence_and_not_a_shift(void **state)
{
    (void)state;
    struct arena a = {0};
    struct band b;
    band_open(&b, 12, 3);
    band_play(&b, BAND_CLICK, 120, 120, 0.5, 4);
    band_play(&b, BAND_CLICK, 120, 120, 8.5, 5);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    const char *path =
        encode(dir, wav, "-af \"aselect='not(between(t,4,7))'\" -c:a pcm_s16le", "hole.mkv");
    const struct heard h = listen(&a, path);
    assert_true(worst_ms(&b, &h) < 6);
    band_close(&b);
    arena_free(&a);
}

static void sound_that_begins_behind_the_picture_keeps_its_time(void **state)
{
    (void)state;
    struct arena a = {0};
    struct band b;
    band_open(&b, 6, 3);
    band_play(&b, BAND_CLICK, 120, 120, 0.5, 10);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    struct heard h = listen(&a, encode(dir, wav,
                                       "-f lavfi -i color=size=64x48:rate=30:duration=7 -c:v mpeg4 "
                                       "-af asetpts=PTS+1/TB -c:a pcm_s16le",
                                       "behind.mkv"));
    assert_true(llabs(h.from_us - 1000000) < 5000 && llabs(h.to_us - 7000000) < 5000);
    for (size_t k = 0; k < h.n; k++)
        h.onset[k].at_us -= 1000000;
    assert_true(worst_ms(&b, &h) < 6);
    band_close(&b);
    arena_free(&a);
}

static bool find(struct arena *a, const struct heard *h, const struct beat_prior *p,
                 struct beats *out, struct err *e)
{
    struct onset *on = arena_alloc(a, (h->n + 1) * sizeof *on);
    for (size_t i = 0; i < h->n; i++)
        on[i] = (struct onset){h->onset[i].at_us, h->onset[i].strength};
    const struct beat_sound sound = {{on, h->n}, h->rises.rise,    h->rises.loud,
                                     h->rises.n, h->rises.from_us, HEAR_STEP_US};
    return beats_find(a, &sound, p, out, e);
}

/* Within `around` beats of where the tempo begins or ends to change (band.h: at 30 and 70 %). */
static bool at_corner(const struct band *b, size_t i, double around)
{
    const double n = (double)b->n_beats, k = (double)i;
    return fabs(k - 0.3 * n) <= around || fabs(k - 0.7 * n) <= around;
}

/* Part of the true beats that have one within 30 ms; the worst tempo error away from the ends, and
 * from the corners when asked. */
static double hits(const struct band *b, const struct beats *found, double around,
                   double *tempo_error)
{
    size_t hit = 0;
    *tempo_error = 0;
    for (size_t i = 0; i < b->n_beats; i++) {
        const struct beat *best = &found->beat[0];
        for (size_t j = 0; j < found->n; j++)
            if (fabs((double)found->beat[j].at_us * 1e-6 - b->beat[i]) <
                fabs((double)best->at_us * 1e-6 - b->beat[i]))
                best = &found->beat[j];
        hit += fabs((double)best->at_us * 1e-6 - b->beat[i]) <= 0.03;
        if (i < 2 || i + 2 >= b->n_beats || at_corner(b, i, around))
            continue;
        const double bpm = 120 / (b->beat[i + 1] - b->beat[i - 1]);
        *tempo_error = fmax(*tempo_error, fabs(best->bpm / bpm - 1));
    }
    return (double)hit / (double)b->n_beats;
}

static void from_sound_to_beats_within_thirty_ms_and_half_a_per_cent(void **state)
{
    (void)state;
    static const struct {
        enum band_kind kind;
        double bpm, noise_db;
        bool known;
    } rows[] = {
        {BAND_CLICK, 96, -40, true},   {BAND_CLICK, 184, -40, true},  {BAND_CLICK, 152, -30, false},
        {BAND_DRUMS, 96, -40, false},  {BAND_DRUMS, 120, -30, true},  {BAND_DRUMS, 172, -30, false},
        {BAND_DRUMS, 184, -30, true},  {BAND_SNARE, 104, -30, false}, {BAND_SNARE, 160, -40, true},
        {BAND_SNARE, 184, -30, false},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct err e = {0};
        struct band b;
        struct beats found;
        double tempo_error;
        band_open(&b, 18, i + 10);
        band_play(&b, rows[i].kind, rows[i].bpm, rows[i].bpm, 1, (size_t)(16 * rows[i].bpm / 60));
        band_noise(&b, rows[i].noise_db);
        const char *wav = path_in(temp_dir(), "band.wav");
        band_write(&b, wav);
        const struct heard h = listen(&a, wav);
        const struct tempo_point written = {0, rows[i].bpm * 1.04};
        const struct beat_prior p = {.points = &written, .n = rows[i].known};
        if (!find(&a, &h, &p, &found, &e))
            fail_msg("row %zu: %s", i, e.text);
        const double part = hits(&b, &found, -1, &tempo_error);
        if (part < 0.95 || tempo_error > 0.005 || found.n > b.n_beats + 2)
            fail_msg("row %zu: %.3f of the beats, tempo off by %.4f", i, part, tempo_error);
        band_close(&b);
        arena_free(&a);
    }
}

static void a_ritardando_is_heard_along_the_written_tempo(void **state)
{
    (void)state;
    /* Written 4 % faster than played. Where the clip is tied the change comes when it is expected;
     * where it comes 0.4 s late, the tempo at its two corners (3 beats) is not judged. */
    static const struct {
        double bpm0, bpm1, early_s, around;
    } rows[] = {{152, 96, 0, -1}, {112, 160, 0, -1}, {152, 96, 0.4, 3}, {112, 160, 0.4, 3}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct err e = {0};
        struct band b;
        struct beats found;
        struct tempo_point points[64];
        double tempo_error;
        const size_t n = COUNT(points);
        band_open(&b, 36, i + 50);
        band_play(&b, BAND_DRUMS, rows[i].bpm0, rows[i].bpm1, 1, n);
        band_noise(&b, -40);
        const char *wav = path_in(temp_dir(), "band.wav");
        band_write(&b, wav);
        const struct heard h = listen(&a, wav);
        for (size_t k = 0; k + 1 < n; k++)
            points[k] = (struct tempo_point){llround((b.beat[k] - rows[i].early_s) * 1e6),
                                             1.04 * 60 / (b.beat[k + 1] - b.beat[k])};
        const struct beat_prior p = {.points = points, .n = n - 1};
        assert_true(find(&a, &h, &p, &found, &e));
        const double part = hits(&b, &found, rows[i].around, &tempo_error);
        if (part < 0.95 || tempo_error > 0.005)
            fail_msg("row %zu: %.3f of the beats, tempo off by %.4f", i, part, tempo_error);
        band_close(&b);
        arena_free(&a);
    }
}

static void silence_and_hiss_give_no_beats(void **state)
{
    (void)state;
    for (int hiss = 0; hiss < 2; hiss++) {
        struct arena a = {0};
        struct err e = {0};
        struct band b;
        struct beats found;
        const struct beat_prior none = {0};
        band_open(&b, 12, 4);
        if (hiss)
            band_noise(&b, -20);
        const char *wav = path_in(temp_dir(), "band.wav");
        band_write(&b, wav);
        const struct heard h = listen(&a, wav);
        assert_true(fabs(h.loudness_db - (hiss ? -20 : -120)) < 0.5);
        assert_false(find(&a, &h, &none, &found, &e));
        assert_non_null(strstr(e.text, "beat to be heard"));
        band_close(&b);
        arena_free(&a);
    }
}

static void what_cannot_be_heard_is_named(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    struct band b;
    band_open(&b, 2, 4);
    const char *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    char list[600];
    snprintf(list, sizeof list, "#EXTM3U\n#EXTINF:2,\n%s\n", wav);
    char concat[600];
    snprintf(concat, sizeof concat, "ffconcat version 1.0\nfile '%s'\n", wav);
    const struct {
        const char *path, *says;
    } rows[] = {
        {path_in(dir, "missing.mp4"), "missing.mp4"},
        {dir, dir},
        {write_file(dir, "empty.mp4", ""), "not a clip that can be heard"},
        {write_file(dir, "notes.mp4", "ten minutes of notes\n"), "not a clip that can be heard"},
        {write_file(dir, "list.mp4", list), "not a clip that can be heard"},
        {write_file(dir, "concat.mp4", concat), "not a clip that can be heard"},
        {encode(dir, wav, "-f lavfi -i color=size=64x48:rate=30:duration=1 -map 1:v", "mute.mp4"),
         "the clip has no sound; tap the beat instead"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct err e = {0};
        struct heard h;
        assert_false(hear_onsets(&(struct hear_want){.path = rows[i].path}, &a, &h, &e));
        assert_true(e.code == ERR_INPUT || e.code == ERR_FAILED);
        if (!strstr(e.text, rows[i].says))
            fail_msg("%s: %s", rows[i].path, e.text);
        arena_free(&a);
    }
    band_close(&b);
}

struct patience {
    double last;
    int calls, most;
};

static bool count_calls(void *user, double part)
{
    struct patience *p = user;
    assert_true(part >= p->last && part <= 1);
    p->last = part;
    return ++p->calls < p->most;
}

static void progress_rises_and_can_cancel(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct heard h;
    struct band b;
    band_open(&b, 20, 4);
    const char *wav = path_in(temp_dir(), "band.wav");
    band_write(&b, wav);
    struct patience all = {.most = 10000}, few = {.most = 3};
    assert_true(hear_onsets(&(struct hear_want){wav, 0, count_calls, &all}, &a, &h, &e));
    assert_true(all.calls > 20 && all.last > 0.9);
    assert_false(hear_onsets(&(struct hear_want){wav, 0, count_calls, &few}, &a, &h, &e));
    assert_int_equal(few.calls, 3);
    assert_int_equal(e.code, ERR_NONE);
    assert_string_equal(e.text, "");
    band_close(&b);
    arena_free(&a);
}

static void a_cut_off_file_gives_what_there_is(void **state)
{
    (void)state;
    struct arena a = {0};
    struct band b;
    size_t n;
    band_open(&b, 12, 3);
    band_play(&b, BAND_CLICK, 120, 120, 0.5, 22);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    const char *whole = encode(dir, wav, "-c:a aac -f mpegts", "whole.ts");
    char *bytes = read_file(whole, &n);
    const struct heard h = listen(&a, write_bytes(dir, "cut.ts", bytes, n / 2));
    assert_true(h.n >= 8 && h.to_us > 4000000 && h.to_us < 8000000);
    band_close(&b);
    arena_free(&a);
}

/* Part of a clip's sound is not its sound: wherever the disk gives up, that is an error that says
 * when, and beats from half a clip are not found. */
static void a_disk_that_fails_is_an_error_and_no_shorter_clip(void **state)
{
    (void)state;
    static const char *const names[] = {"a.mkv",  "a.mp4",  "a.ts",  "a.wav",
                                        "a.webm", "a.flac", "a.mp3", "a.avi"};
    struct band b;
    band_open(&b, 12, 3);
    band_play(&b, BAND_CLICK, 120, 120, 0.5, 22);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    for (size_t i = 0; i < COUNT(names); i++) {
        size_t n;
        const char *path = encode(dir, wav, "", names[i]);
        read_file(path, &n);
        for (size_t part = 0; part < 10; part++) {
            struct arena a = {0};
            struct err e = {0};
            struct heard h;
            bad_disk(names[i], n * part / 10);
            const bool heard = hear_onsets(&(struct hear_want){.path = path}, &a, &h, &e);
            if (bad_disk_hits() == 0)
                fail_msg("%s was not read from byte %zu on", path, n * part / 10);
            bad_disk(NULL, 0);
            if (heard || e.code != ERR_FAILED || !strstr(e.text, "cannot be read") ||
                !strstr(e.text, "Input/output error; copy the clip again"))
                fail_msg("%s, %zu tenths: %s", names[i], part, heard ? "was heard" : e.text);
            const bool last = strcmp(names[i], "a.mp4") == 0; /* its index is behind its sound */
            if (part >= 8 && !last && !strstr(e.text, "beyond 0:"))
                fail_msg("%s does not say when: %s", names[i], e.text);
            arena_free(&a);
        }
    }
    band_close(&b);
}

/* Silence costs memory and time, so it ends with the clip. */
static bool count_samples(void *user, const struct sound_chunk *chunk)
{
    *(int64_t *)user += (int64_t)chunk->n;
    return true;
}

static void a_hole_of_hours_is_not_listened_to(void **state)
{
    (void)state;
    struct band b;
    struct err e = {0};
    band_open(&b, 3, 3);
    band_play(&b, BAND_CLICK, 120, 120, 0.5, 4);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    const char *path = encode(dir, wav,
                              "-f lavfi -i color=size=64x48:rate=30:duration=3 "
                              "-af \"asetpts='PTS+gte(T,1.5)*3600/TB'\" -c:a pcm_s16le -c:v mpeg4",
                              "gap.mkv");
    int64_t samples = 0;
    assert_true(sound_decode(path, 3000000, count_samples, &samples, &e));
    assert_true(samples > SOUND_RATE && samples <= 3 * SOUND_RATE + SOUND_RATE / 10);
    samples = 0;
    assert_false(sound_decode(path, 0, count_samples, &samples, &e));
    assert_true(samples <= 2 * SOUND_RATE);
    assert_int_equal(e.code, ERR_INPUT);
    assert_non_null(strstr(e.text, "its sound stops at 0:01 and goes on 60 minutes later"));
    assert_non_null(strstr(e.text, "tap the beat instead"));
    band_close(&b);
}

/* The time of every click in what is decoded: its loudest sample. */
struct clicks {
    const struct band *band;
    double loud[64], at_s[64];
};

static bool find_clicks(void *user, const struct sound_chunk *chunk)
{
    struct clicks *c = user;
    for (size_t i = 0; i < chunk->n; i++) {
        const double s = (double)chunk->at_us * 1e-6 + (double)i / SOUND_RATE;
        for (size_t k = 0; k < c->band->n_beats; k++) {
            if (fabs(s - c->band->beat[k]) > 0.1 || fabs(chunk->samples[i]) <= c->loud[k])
                continue;
            c->loud[k] = fabs(chunk->samples[i]);
            c->at_s[k] = s;
        }
    }
    return true;
}

/* Matroska carries a sound codec's delay apart (RFC 9559, CodecDelay), and libavformat and the
 * player take it off at different places. */
static void the_same_clicks_stand_at_the_same_times_in_every_container(void **state)
{
    (void)state;
    static const struct {
        const char *arguments, *name;
    } rows[] = {
        {"-c:a pcm_s16le", "a.mov"},
        {"-f lavfi -i color=size=64x48:rate=30:duration=6 -c:v libvpx -c:a libopus -b:a 192k",
         "a.webm"},
        {"-f lavfi -i color=size=64x48:rate=30:duration=6 -c:v mpeg4 -c:a flac", "a.mkv"},
        {"-f lavfi -i color=size=64x48:rate=30:duration=6 -c:v mpeg4 -c:a aac -b:a 192k", "a.mp4"},
        {"-c:a libopus -b:a 192k", "sound.webm"},
        {"-c:a libopus -b:a 192k", "a.ogg"},
    };
    struct band b;
    band_open(&b, 6, 3);
    band_play(&b, BAND_CLICK, 120, 120, 0.5, 10);
    const char *dir = temp_dir(), *wav = path_in(dir, "band.wav");
    band_write(&b, wav);
    struct clicks plain = {.band = &b};
    struct err e = {0};
    assert_true(sound_decode(wav, 0, find_clicks, &plain, &e));
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct clicks c = {.band = &b};
        assert_true(sound_decode(encode(dir, wav, rows[i].arguments, rows[i].name), 0, find_clicks,
                                 &c, &e));
        for (size_t k = 0; k < b.n_beats; k++)
            if (fabs(c.at_s[k] - plain.at_s[k]) > 0.001)
                fail_msg("%s: click %zu is %+.1f ms off", rows[i].name, k,
                         (c.at_s[k] - plain.at_s[k]) * 1e3);
    }
    band_close(&b);
}

#ifndef __SANITIZE_ADDRESS__ /* which takes all addresses at once */
/* The libraries that decode are loaded first. */
static void without_room_for_its_libraries_there_is_an_error_and_no_crash(void **state)
{
    (void)state;
    struct band b;
    band_open(&b, 2, 4);
    const char *wav = path_in(temp_dir(), "band.wav");
    band_write(&b, wav);
    band_close(&b);
    const pid_t child = fork();
    if (child == 0) {
        struct arena a = {0};
        struct err e = {0};
        struct heard h;
        static char line[200];
        FILE *f = fopen("/proc/self/statm", "r");
        const rlim_t pages = f && fgets(line, sizeof line, f) ? strtoul(line, NULL, 10) : 0;
        const rlim_t room = pages * (rlim_t)sysconf(_SC_PAGESIZE) + (512 << 10);
        setrlimit(RLIMIT_AS, &(struct rlimit){room, room});
        const bool heard = hear_onsets(&(struct hear_want){.path = wav}, &a, &h, &e);
        _exit(heard                  ? 2
              : e.code != ERR_FAILED ? 3
                                     : !strstr(e.text, "a library cannot be loaded: lib"));
    }
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
}
#endif

int main(void)
{
    const struct CMUnitTest tests[] = {
#ifndef __SANITIZE_ADDRESS__
        cmocka_unit_test(without_room_for_its_libraries_there_is_an_error_and_no_crash),
#endif
        cmocka_unit_test(onsets_stand_where_the_strokes_are),
        cmocka_unit_test(sound_keeps_the_players_clock_in_every_container),
        cmocka_unit_test(a_hole_in_the_sound_is_silence_and_not_a_shift),
        cmocka_unit_test(sound_that_begins_behind_the_picture_keeps_its_time),
        cmocka_unit_test(from_sound_to_beats_within_thirty_ms_and_half_a_per_cent),
        cmocka_unit_test(a_ritardando_is_heard_along_the_written_tempo),
        cmocka_unit_test(silence_and_hiss_give_no_beats),
        cmocka_unit_test(what_cannot_be_heard_is_named),
        cmocka_unit_test(progress_rises_and_can_cancel),
        cmocka_unit_test(a_cut_off_file_gives_what_there_is),
        cmocka_unit_test(a_disk_that_fails_is_an_error_and_no_shorter_clip),
        cmocka_unit_test(a_hole_of_hours_is_not_listened_to),
        cmocka_unit_test(the_same_clicks_stand_at_the_same_times_in_every_container),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
