#include <getopt.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "demo/options.h"
#include "demo/soccer.h"

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
                                     .focal = 1.0,
                                     .pan_s = 20,
                                     .spoil.contrast = 1};

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

static bool take_cameras(struct want *w, const char *s)
{
    w->cameras = s;
    return *s != '\0';
}
static bool take_places(struct want *w, const char *s)
{
    w->places = s;
    return *s != '\0';
}
static bool take_dots(struct want *w, const char *s)
{
    w->dots = s;
    return *s != '\0';
}
static bool take_field(struct want *w, const char *s)
{
    w->paint.grid = grid_named(s);
    return w->paint.grid != NULL;
}
static bool take_bump(struct want *w, const char *s)
{
    int end = 0;
    w->bump_deg = 1;
    w->bump_in = 0;
    const int n =
        sscanf(s, "%lf%n,%lf%n,%lf%n", &w->bump_s, &end, &w->bump_deg, &end, &w->bump_in, &end);
    return n >= 1 && s[end] == '\0' && w->bump_s > 0 && w->bump_s <= 3600 && w->bump_deg >= -20 &&
           w->bump_deg <= 20 && w->bump_in >= -120 && w->bump_in <= 120;
}

/* "1:35,2:20,50": side and number of each. */
static bool take_missing(struct want *w, const char *s)
{
    for (int end = 0;; s += end + 1) {
        int side, number;
        if (sscanf(s, "%d:%d%n", &side, &number, &end) != 2) {
            side = 1;
            if (sscanf(s, "%d%n", &number, &end) != 1 || number != 50)
                return false;
        }
        if (side < 1 || side > 2 || number < 0 || number > 50 || number % 5 != 0)
            return false;
        w->paint.missing[(side == 1 ? number : 100 - number) / 5] = true;
        if (s[end] != ',')
            return s[end] == '\0';
    }
}
static bool take_no_numbers(struct want *w, const char *s)
{
    (void)s;
    return w->paint.no_numbers = true;
}
static bool take_no_stripes(struct want *w, const char *s)
{
    (void)s;
    return w->paint.no_stripes = true;
}
static bool take_soccer(struct want *w, const char *s)
{
    double rgb[3];
    w->paint.soccer = s;
    return soccer_color(s, rgb);
}
static bool take_codec(struct want *w, const char *s)
{
    w->hevc = strcmp(s, "hevc") == 0;
    return w->hevc || strcmp(s, "h264") == 0;
}
static bool take_turned(struct want *w, const char *s)
{
    return whole(s, 0, 270, &w->turned) && w->turned % 90 == 0;
}

#define NUMBER(field, from, to) .at = offsetof(struct want, field), .least = from, .most = to

static const struct choice {
    const char *name, *value, *help;             /* value NULL: a switch */
    bool (*take)(struct want *w, const char *s); /* NULL: a number */
    size_t at;                                   /* the number's place in struct want */
    double least, most;
} choices[] = {
    {"out", "FILE", "the clip to write (.mp4, .mkv, .mov, .ts); needed", .take = take_out},
    {"truth", "FILE", "also write what the clip shows, as JSON", .take = take_truth},
    {"band", "DIR", "folder of the band's tables [demo/band]", .take = take_band},
    {"seed", "N", "another human scatter [1]", .take = take_seed},
    {"size", "WxH", "picture size, even numbers [1280x720]", .take = take_size},
    {"fps", "N|N/D", "frame rate, as 30, 30000/1001 or 60 [30]", .take = take_fps},
    {"seconds", "S", "stop after S seconds [the whole drill]", NUMBER(seconds, 0.1, 3600)},
    {"sets", "N", "play the first N sets only", .take = take_sets},
    {"camera", "H,D,A",
     "height, distance behind the front sideline, depth aimed at, ft [60,105,54]",
     .take = take_camera},
    {"across", "FT", "where the camera stands along the sideline, from the 50 [6]",
     NUMBER(across_ft, -150, 150)},
    {"focal", "F", "focal length in picture widths [1]", NUMBER(focal, 0.2, 10)},
    {"tempo-scale", "F", "play every tempo F times as fast [1]", NUMBER(tempo_scale, 0.25, 4)},
    {"temperature", "C", "air temperature, which sets how late the beat is heard [20]",
     NUMBER(temperature_c, -40, 55)},
    {"faults", "LIST", "all, none, or fault names and rows of injected.csv, by commas [all]",
     .take = take_faults},
    {"bars", NULL, "burn the frame number along the top", .take = take_bars},
    {"no-sound", NULL, "leave the sound track out", .take = take_silent},
    {"vfr", NULL, "let the frames' times jitter", .take = take_vfr},
    {"gop", "N", "frames between key frames [60]", .take = take_gop},
    {"bframes", "N", "B-frames in a row [3]", .take = take_bframes},
    {"quality", "N", "constant rate factor, 0 best to 51 [24]", .take = take_quality},
    {"preset", "NAME", "encoder preset, ultrafast to placebo [veryfast]", .take = take_preset},
    {"threads", "N", "encoder threads [2]", .take = take_threads},
    {"cameras", "FILE", "write where the camera was in every frame, as CSV", .take = take_cameras},
    {"places", "FILE", "write where everybody was in every frame, as CSV", .take = take_places},
    {"dots", "FILE", "write the dots in the words of the painted field, as CSV", .take = take_dots},
    {"from", "S", "begin S seconds into the drill [0]", NUMBER(from_s, 0, 3600)},
    {"field", "NAME", "high-school, college or professional lines [high-school]",
     .take = take_field},
    {"crown", "IN", "height of the field's middle over its sidelines [0]", NUMBER(crown_in, 0, 60)},
    {"missing", "LIST", "yard lines that are not painted, as 1:35,2:20,50 (side:number)",
     .take = take_missing},
    {"faded", "SHARE", "of the paint, worn off in patches [0]", NUMBER(paint.faded, 0, 1)},
    {"no-numbers", NULL, "paint no numbers", .take = take_no_numbers},
    {"no-stripes", NULL, "mow no stripes into the turf", .take = take_no_stripes},
    {"soccer", "COLOR", "a second sport's lines: white, yellow, blue or red", .take = take_soccer},
    {"toward", "FT", "look there along the sideline, from the 50 [0]",
     NUMBER(toward_ft, -150, 150)},
    {"roll", "DEG", "of the camera, its right side down [0]", NUMBER(roll_deg, -45, 45)},
    {"lens", "K1", "share by which the lens moves the middle of the left edge outward [0]",
     NUMBER(k1, -0.15, 0.15)},
    {"pan", "DEG", "pan so far to either side, there and back [0]", NUMBER(pan_deg, -45, 45)},
    {"pan-time", "S", "seconds of it; 0.85 of them zoom in and out [20]", NUMBER(pan_s, 1, 600)},
    {"zoom", "SHARE", "zoom in by that share and out again [0]", NUMBER(zoom, 0, 3)},
    {"sway", "DEG", "a hand's sway, at most; 0.4 of it in roll [0]", NUMBER(sway_deg, 0, 10)},
    {"bump", "S[,DEG[,IN]]", "knock the camera then, by so much [1] and so far aside [0]",
     .take = take_bump},
    {"sun", "DEG", "height of a low sun behind the far stands; long shadows [high]",
     NUMBER(sun_deg, 2, 60)},
    {"glare", "SHARE", "of white that shines in, up at the left [0]", NUMBER(spoil.glare, 0, 1)},
    {"blur", "PX", "standard deviation of an unsharp lens [0]", NUMBER(spoil.blur_px, 0, 20)},
    {"contrast", "SHARE", "of the picture's contrast that is left [1]",
     NUMBER(spoil.contrast, 0.05, 1)},
    {"noise", "LEVELS", "standard deviation of a sensor's noise, of 219 levels [0]",
     NUMBER(spoil.noise, 0, 60)},
    {"codec", "NAME", "h264 or hevc [h264]", .take = take_codec},
    {"turned", "DEG", "store the picture turned by 90, 180 or 270, and say so [0]",
     .take = take_turned},
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

static bool take(const struct choice *c, struct want *w, const char *s)
{
    return c->take ? c->take(w, s)
                   : real(s, c->least, c->most, (double *)(void *)((char *)w + c->at));
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
        if (!take(&choices[i], w, optarg))
            return err_set(e, ERR_USAGE, "--%s: cannot use '%s'; wanted: %s", choices[i].name,
                           optarg, choices[i].help);
    }
    if (optind < argc)
        return err_set(e, ERR_USAGE, "'%s' is not an option; see --help", argv[optind]);
    return w->out || err_set(e, ERR_USAGE, "name the clip with --out FILE; see --help");
}
