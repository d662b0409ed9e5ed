/* demo-clip: a rehearsal clip of an invented band, with everything that is wrong in it known. */
#include <cairo.h>
#include <getopt.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "demo/bars.h"
#include "demo/figure.h"
#include "demo/ground.h"
#include "demo/movie.h"
#include "demo/truth.h"

static const double LEAD_IN_S = 1.5, LEAD_OUT_S = 1.5;

struct want {
    const char *out, *truth, *band, *faults, *preset;
    int width, height, fps_num, fps_den;
    int gop, bframes, threads, quality, sets;
    unsigned long seed;
    double seconds, tempo_scale, temperature_c;
    double high_ft, back_ft, aim_ft, across_ft, focal; /* focal: picture widths */
    bool bars, silent, varies;
};

static const struct want defaults = {.band = DEMO_BAND,
                                     .faults = "all",
                                     .preset = "veryfast",
                                     .width = 1280,
                                     .height = 720,
                                     .fps_num = 30,
                                     .fps_den = 1,
                                     .gop = 60,
                                     .bframes = 3,
                                     .threads = 2,
                                     .quality = 24,
                                     .seed = 1,
                                     .tempo_scale = 1,
                                     .temperature_c = 20,
                                     .high_ft = 60,
                                     .back_ft = 105,
                                     .aim_ft = 54,
                                     .across_ft = 6,
                                     .focal = 1.0};

/* --- options -------------------------------------------------------------------------------- */

static bool whole(const char *s, long least, long most, int *out)
{
    char *end;
    const long v = strtol(s, &end, 10);
    *out = (int)v;
    return end != s && *end == '\0' && v >= least && v <= most;
}

static bool real(const char *s, double least, double most, double *out)
{
    char *end;
    *out = strtod(s, &end);
    return end != s && *end == '\0' && *out >= least && *out <= most;
}

static bool take_out(struct want *w, const char *s)
{
    w->out = s;
    return *s != '\0';
}
static bool take_truth(struct want *w, const char *s)
{
    w->truth = s;
    return *s != '\0';
}
static bool take_band(struct want *w, const char *s)
{
    w->band = s;
    return *s != '\0';
}
static bool take_seed(struct want *w, const char *s)
{
    char *end;
    w->seed = strtoul(s, &end, 10);
    return end != s && *end == '\0';
}
static bool take_size(struct want *w, const char *s)
{
    int end = 0;
    return sscanf(s, "%dx%d%n", &w->width, &w->height, &end) == 2 && s[end] == '\0' &&
           w->width >= 64 && w->height >= 64 && w->width <= 7680 && w->height <= 4320 &&
           w->width % 2 == 0 && w->height % 2 == 0;
}
static bool take_fps(struct want *w, const char *s)
{
    int end = 0;
    w->fps_den = 1;
    const int n = sscanf(s, "%d%n/%d%n", &w->fps_num, &end, &w->fps_den, &end);
    return n >= 1 && s[end] == '\0' && w->fps_num > 0 && w->fps_den > 0 &&
           w->fps_num / w->fps_den <= 240 && w->fps_num >= w->fps_den;
}
static bool take_seconds(struct want *w, const char *s)
{
    return real(s, 0.1, 3600, &w->seconds);
}
static bool take_sets(struct want *w, const char *s)
{
    return whole(s, 1, 1000, &w->sets);
}
static bool take_camera(struct want *w, const char *s)
{
    int end = 0;
    return sscanf(s, "%lf,%lf,%lf%n", &w->high_ft, &w->back_ft, &w->aim_ft, &end) == 3 &&
           s[end] == '\0' && w->high_ft >= 5 && w->back_ft >= 30 && w->aim_ft >= 0;
}
static bool take_across(struct want *w, const char *s)
{
    return real(s, -150, 150, &w->across_ft);
}
static bool take_focal(struct want *w, const char *s)
{
    return real(s, 0.2, 10, &w->focal);
}
static bool take_tempo(struct want *w, const char *s)
{
    return real(s, 0.25, 4, &w->tempo_scale);
}
static bool take_temperature(struct want *w, const char *s)
{
    return real(s, -40, 55, &w->temperature_c);
}
static bool take_faults(struct want *w, const char *s)
{
    w->faults = s;
    return *s != '\0';
}
static bool take_bars(struct want *w, const char *s)
{
    (void)s;
    return w->bars = true;
}
static bool take_silent(struct want *w, const char *s)
{
    (void)s;
    return w->silent = true;
}
static bool take_vfr(struct want *w, const char *s)
{
    (void)s;
    return w->varies = true;
}
static bool take_gop(struct want *w, const char *s)
{
    return whole(s, 1, 10000, &w->gop);
}
static bool take_bframes(struct want *w, const char *s)
{
    return whole(s, 0, 16, &w->bframes);
}
static bool take_quality(struct want *w, const char *s)
{
    return whole(s, 0, 51, &w->quality);
}
static bool take_preset(struct want *w, const char *s)
{
    static const char *const names[] = {"ultrafast", "superfast", "veryfast", "faster",
                                        "fast",      "medium",    "slow",     "slower",
                                        "veryslow",  "placebo"};
    w->preset = s;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(names[i], s) == 0)
            return true;
    return false;
}

static bool take_threads(struct want *w, const char *s)
{
    return whole(s, 1, 64, &w->threads);
}

static const struct choice {
    const char *name, *value, *help; /* value NULL: a switch */
    bool (*take)(struct want *w, const char *s);
} choices[] = {
    {"out", "FILE", "the clip to write (.mp4, .mkv, .mov, .ts); needed", take_out},
    {"truth", "FILE", "also write what the clip shows, as JSON", take_truth},
    {"band", "DIR", "folder of the band's tables [demo/band]", take_band},
    {"seed", "N", "another human scatter [1]", take_seed},
    {"size", "WxH", "picture size, even numbers [1280x720]", take_size},
    {"fps", "N|N/D", "frame rate, as 30, 30000/1001 or 60 [30]", take_fps},
    {"seconds", "S", "stop after S seconds [the whole drill]", take_seconds},
    {"sets", "N", "play the first N sets only", take_sets},
    {"camera", "H,D,A",
     "height, distance behind the front sideline, depth aimed at, ft [60,105,54]", take_camera},
    {"across", "FT", "where the camera stands along the sideline, from the 50 [6]", take_across},
    {"focal", "F", "focal length in picture widths [1]", take_focal},
    {"tempo-scale", "F", "play every tempo F times as fast [1]", take_tempo},
    {"temperature", "C", "air temperature, which sets how late the beat is heard [20]",
     take_temperature},
    {"faults", "LIST", "all, none, or fault names and rows of injected.csv, by commas [all]",
     take_faults},
    {"bars", NULL, "burn the frame number along the top", take_bars},
    {"no-sound", NULL, "leave the sound track out", take_silent},
    {"vfr", NULL, "let the frames' times jitter", take_vfr},
    {"gop", "N", "frames between key frames [60]", take_gop},
    {"bframes", "N", "B-frames in a row [3]", take_bframes},
    {"quality", "N", "x264 constant rate factor, 0 best to 51 [24]", take_quality},
    {"preset", "NAME", "x264 preset, ultrafast to placebo [veryfast]", take_preset},
    {"threads", "N", "encoder threads [2]", take_threads},
};
enum { N_CHOICES = sizeof choices / sizeof *choices };

static void print_help(void)
{
    puts(
        "usage: demo-clip --out FILE [option ...]\n\n"
        "Makes a rehearsal clip of an invented marching band, seen from the press box, with known\n"
        "faults in it. The same options give the same clip and the same truth.\n");
    for (int i = 0; i < N_CHOICES; i++) {
        char left[40];
        snprintf(left, sizeof left, "--%s %s", choices[i].name,
                 choices[i].value ? choices[i].value : "");
        printf("  %-20s %s\n", left, choices[i].help);
    }
    printf("  %-20s %s\n", "--help", "this page");
}

/* Returns false with e.code NONE when help was asked for. */
static bool read_options(int argc, char **argv, struct want *w, struct err *e)
{
    struct option long_options[N_CHOICES + 2] = {{0}};
    for (int i = 0; i < N_CHOICES; i++)
        long_options[i] = (struct option){
            choices[i].name, choices[i].value ? required_argument : no_argument, NULL, i};
    long_options[N_CHOICES] = (struct option){"help", no_argument, NULL, N_CHOICES};
    opterr = 0;
    for (int i; (i = getopt_long(argc, argv, "", long_options, NULL)) != -1;) {
        if (i == N_CHOICES) {
            print_help();
            return false;
        }
        if (i == '?')
            return err_set(e, ERR_USAGE, "cannot use '%s'; see --help", argv[optind - 1]);
        if (!choices[i].take(w, optarg))
            return err_set(e, ERR_USAGE, "--%s: cannot use '%s'; wanted: %s", choices[i].name,
                           optarg, choices[i].help);
    }
    if (optind < argc)
        return err_set(e, ERR_USAGE, "'%s' is not an option; see --help", argv[optind]);
    return w->out || err_set(e, ERR_USAGE, "name the clip with --out FILE; see --help");
}

/* --- the clip ------------------------------------------------------------------------------- */

struct scene {
    struct drill drill;
    struct tempo tempo;
    struct company *company;
    struct camera camera;
    struct sound sound;
    double length_s;
    int64_t *frame_us;
    size_t n_frames;
};

/* Frame times in microseconds; with --vfr up to a quarter of a frame off, never out of order. */
static void set_frames(struct arena *a, const struct want *w, struct scene *s)
{
    const double frame_s = (double)w->fps_den / w->fps_num;
    s->n_frames = (size_t)fmax(1, floor(s->length_s / frame_s + 1e-6));
    s->frame_us = arena_alloc(a, s->n_frames * sizeof *s->frame_us);
    for (size_t i = 0; i < s->n_frames; i++) {
        const double off = w->varies && i > 0 ? (scatter_unit(11, i, w->seed) - 0.5) / 2 : 0;
        s->frame_us[i] = llround(((double)i + off) * frame_s * 1e6);
    }
}

static bool set_scene(struct arena *a, const struct want *w, struct scene *s, struct err *e)
{
    struct drill *d = &s->drill;
    if (!drill_read(a, w->band, d, e) || !drill_choose(a, d, w->faults, e))
        return false;
    if (w->sets > 0)
        drill_cut(d, (size_t)w->sets);
    for (size_t i = 0; i < d->n_sets; i++) {
        d->sets[i].tempo *= w->tempo_scale;
        d->sets[i].tempo_end *= w->tempo_scale;
    }
    s->tempo = tempo_make(a, d, LEAD_IN_S);
    s->length_s = s->tempo.start_s[d->n_sets] + LEAD_OUT_S;
    if (w->seconds > 0)
        s->length_s = fmin(s->length_s, w->seconds);
    set_frames(a, w, s);
    s->length_s = (double)s->n_frames * w->fps_den / w->fps_num;
    s->camera = camera_make(w->width, w->height, w->focal * w->width,
                            (struct vec){w->across_ft, -w->back_ft, w->high_ft},
                            (struct vec){0, w->aim_ft, 0});
    s->company = company_make(a, d, &s->tempo, w->seed);
    s->sound = sound_make(a, &s->tempo, &s->camera, w->temperature_c, s->length_s);
    return true;
}

struct actor {
    struct stance stance;
    const struct look *look;
    double build;
};

static int farther_first(const void *a, const void *b)
{
    const double ya = ((const struct actor *)a)->stance.body.y;
    const double yb = ((const struct actor *)b)->stance.body.y;
    return (ya < yb) - (ya > yb);
}

static void draw_frame(struct canvas *c, const struct want *w, const struct scene *s, size_t frame,
                       struct actor *actors)
{
    const double at_s = (double)s->frame_us[frame] / 1e6;
    for (size_t p = 0; p < s->drill.n_performers; p++)
        actors[p] = (struct actor){company_stance(s->company, p, at_s),
                                   look_of(s->drill.sections[s->drill.performers[p].section].name),
                                   scatter_unit(w->seed, p, 2000)};
    qsort(actors, s->drill.n_performers, sizeof *actors, farther_first);
    canvas_clear(c);
    for (size_t p = 0; p < s->drill.n_performers; p++)
        figure_draw(c, &s->camera, actors[p].look, &actors[p].stance, actors[p].build);
    if (w->bars) {
        bars_draw(c->cr, w->width, w->height, (unsigned)frame);
        canvas_touch(c, 0, 0, w->width, bars_height(w->height));
    }
    canvas_finish(c);
}

static bool draw_all(struct arena *a, const struct want *w, const struct scene *s, struct movie *m,
                     struct err *e)
{
    struct canvas c;
    struct actor *actors = arena_alloc(a, s->drill.n_performers * sizeof *actors);
    bool ok = canvas_open(a, &c, ground_draw(&s->camera), w->width, w->height) ||
              err_set(e, ERR_FAILED, "no memory for a %dx%d picture", w->width, w->height);
    for (size_t i = 0; ok && i < s->n_frames; i++) {
        draw_frame(&c, w, s, i, actors);
        ok = movie_frame(m, &c.planes, w->varies ? s->frame_us[i] : (int64_t)i, e);
    }
    canvas_close(&c);
    return ok;
}

static bool write_clip(struct arena *a, const struct want *w, const struct scene *s, struct err *e)
{
    const struct movie_want how = {.path = w->out,
                                   .width = w->width,
                                   .height = w->height,
                                   .tick_num = w->varies ? 1 : w->fps_den,
                                   .tick_den = w->varies ? 1000000 : w->fps_num,
                                   .fps_num = w->fps_num,
                                   .fps_den = w->fps_den,
                                   .gop = w->gop,
                                   .bframes = w->bframes,
                                   .threads = w->threads,
                                   .quality = w->quality,
                                   .preset = w->preset,
                                   .sound = w->silent ? NULL : &s->sound};
    struct movie *m = movie_open(&how, e);
    if (!m)
        return false;
    const bool drawn = draw_all(a, w, s, m, e);
    struct err late = {0};
    if (movie_close(m, s->length_s, &late) && drawn)
        return true;
    if (drawn)
        *e = late;
    return false;
}

static bool run(struct arena *a, const struct want *w, struct err *e)
{
    struct scene s = {0};
    if (!set_scene(a, w, &s, e) || !write_clip(a, w, &s, e))
        return false;
    const struct truth truth = {.drill = &s.drill,
                                .tempo = &s.tempo,
                                .company = s.company,
                                .camera = &s.camera,
                                .sound = &s.sound,
                                .has_sound = !w->silent,
                                .has_bars = w->bars,
                                .varies = w->varies,
                                .fps_num = w->fps_num,
                                .fps_den = w->fps_den,
                                .seed = w->seed,
                                .frame_us = s.frame_us,
                                .n_frames = s.n_frames,
                                .length_s = s.length_s};
    return !w->truth || truth_write(w->truth, &truth, e);
}

int main(int argc, char **argv)
{
    struct want w = defaults;
    struct arena a = {0};
    struct err e = {0};
    if (read_options(argc, argv, &w, &e))
        run(&a, &w, &e);
    arena_free(&a);
    if (e.code != ERR_NONE)
        fprintf(stderr, "demo-clip: %s\n", e.text);
    return (int)e.code;
}
