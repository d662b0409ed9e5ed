#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "demo/options.h"

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

bool options_read(int argc, char **argv, struct want *w, struct err *e)
{
    struct option long_options[N_CHOICES + 2] = {{0}};
    *w = defaults;
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
