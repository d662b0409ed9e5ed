#include "player/clips.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/arena.h"

enum { BARS = 12 };

#define SHAPE "color=black:s=192x108:r="
#define BARS_DRAWN                                                                                 \
    ",format=yuv420p,geq=cb=128:cr=128:"                                                           \
    "lum='if(mod(floor(N/pow(2\\,floor(X/16)))+gte(Y\\,54)\\,2)\\,220\\,30)'"
#define VIDEO(rate, seconds, more) "-f lavfi -i \"" SHAPE rate ":d=" seconds BARS_DRAWN more "\" "
#define TONE(seconds)              "-f lavfi -i \"sine=f=440:r=44100:d=" seconds "\" "
#define X264                       "-c:v libx264 -preset veryfast -crf 20 -bf 3 -g 30 "
#define X265                       "-c:v libx265 -preset ultrafast -x265-params log-level=error:keyint=30:bframes=3 "

static const struct recipe {
    struct clip clip;
    const char *from; /* clip that %s stands for; NULL: none */
    const char *make; /* arguments of ffmpeg without the output */
} recipes[] = {
    {{"ntsc.mp4", 120, 30000 / 1001.0, 192, 108, 0, 0},
     NULL,
     VIDEO("30000/1001", "4.0", "") TONE("4.0") X264 "-c:a aac"},
    {{"silent.mp4", 120, 30000 / 1001.0, 192, 108, 0, 0}, "ntsc.mp4", "-i %s -an -c copy"},
    {{"fast60.mp4", 180, 60, 192, 108, 0, 0}, NULL, VIDEO("60", "3", "") TONE("3") X264 "-c:a aac"},
    {{"fast240.mp4", 240, 240, 192, 108, 0, 0}, NULL, VIDEO("240", "1", "") X264},
    {{"varying.mp4", 90, 0, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "3", ",settb=1/90000,setpts='(N*33+mod(N*7\\,11)+150*floor(N/20))/1000/TB'") X264
     "-vsync passthrough -video_track_timescale 90000"},
    {{"second.mp4", 30, 30000 / 1001.0, 192, 108, 0, 0}, NULL, VIDEO("30000/1001", "1", "") X264},
    {{"turn90.mp4", 30, 30000 / 1001.0, 108, 192, 90, 0},
     "second.mp4",
     "-i %s -c copy -metadata:s:v:0 rotate=270"},
    {{"turn180.mp4", 30, 30000 / 1001.0, 192, 108, 180, 0},
     "second.mp4",
     "-i %s -c copy -metadata:s:v:0 rotate=180"},
    {{"turn270.mp4", 30, 30000 / 1001.0, 108, 192, 270, 0},
     "second.mp4",
     "-i %s -c copy -metadata:s:v:0 rotate=90"},
    {{"late.mkv", 120, 30000 / 1001.0, 192, 108, 0, 0},
     "ntsc.mp4",
     "-i %s -c copy -output_ts_offset 100"},
    {{"stream.ts", 120, 30000 / 1001.0, 192, 108, 0, 0}, "ntsc.mp4", "-i %s -c copy -f mpegts"},
    {{"deep.mp4", 60, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "2", ",format=yuv420p10le") X265 "-tag:v hvc1"},
    {{"bright.mp4", 30, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "1", ",format=yuv420p10le") X265
     "-tag:v hvc1 -color_primaries bt2020 -color_trc arib-std-b67 -colorspace bt2020nc"},
    {{"opengop.mp4", 90, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "3", "") "-c:v libx264 -preset veryfast -bf 3 -x264-params open-gop=1:keyint=30"},
    {{"mpeg2.ts", 90, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "3", "") "-c:v mpeg2video -q:v 2 -g 15 -bf 2 -f mpegts"},
    /* The first keyframe is followed by two pictures that stand before it and need what was cut. */
    {{"leading.ts", 45, 30, 192, 108, 0, 45}, "mpeg2.ts", "-i %s -ss 1.2 -c copy -f mpegts"},
    {{"uhd.mp4", 15, 30, 3840, 2160, 0, 0},
     NULL,
     VIDEO("30", "0.5", ",scale=3840:2160:flags=neighbor") "-c:v libx264 -preset ultrafast"},
    {{"wide.mp4", 30, 30, 256, 108, 0, 0}, NULL, VIDEO("30", "1", ",setsar=4/3") X264},
    {{"still.avi", 30, 30, 192, 108, 0, 0}, NULL, VIDEO("30", "1", "") "-c:v mjpeg -q:v 3"},
    {{"opus.webm", 60, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "2", "") TONE("2") "-c:v libvpx -b:v 2M -c:a libopus"},
    {{"sound.mp4", 0, 0, 0, 0, 0, 0}, NULL, TONE("3") "-c:a aac"},
    {{"trimmed.mp4", 81, 30000 / 1001.0, 192, 108, 0, 39}, "silent.mp4", "-ss 1.3 -i %s -c copy"},
    {{"pyramid.mp4", 120, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "4", "") "-c:v libx264 -preset veryfast -crf 20 -bf 8 -g 250 -x264-params "
                          "b-pyramid=normal:b-adapt=0"},
    /* Pictures two seconds apart: some that show for so long are referred to by none. */
    {{"sparse.mp4", 20, 0.5, 192, 108, 0, 0}, NULL, VIDEO("1/2", "40", "") X264},
    /* Two temporal layers, so that 'not referred to' speaks of one of them alone. */
    {{"layers.mp4", 60, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "2", "") "-c:v libx265 -preset ultrafast -x265-params "
                          "log-level=error:keyint=60:bframes=4:temporal-layers=1 -tag:v hvc1"},
    {{"latesound.mp4", 120, 30000 / 1001.0, 192, 108, 0, 0},
     "ntsc.mp4",
     "-i %1$s -itsoffset 0.7 -i %1$s -map 0:v -map 1:a -c copy"},
    {{"latepicture.mp4", 120, 30000 / 1001.0, 192, 108, 0, 0},
     "ntsc.mp4",
     "-itsoffset 0.4 -i %1$s -i %1$s -map 0:v -map 1:a -c copy"},
    /* What a telephone writes beside picture and sound; the place is in no band's town. */
    {{"phone.mp4", 120, 30000 / 1001.0, 108, 192, 90, 0},
     "ntsc.mp4",
     "-i %s -c copy -metadata:s:v:0 rotate=270 -metadata location=+12.3456-065.4321/ "
     "-metadata location-eng=+12.3456-065.4321/ -metadata make=Nowhere-Optics "
     "-metadata model=N-1 -metadata artist=Tib-Ronan -metadata creation_time=2031-02-03T04:05:06Z "
     "-metadata:s:v handler_name=Nowhere-Eye -metadata:s:a handler_name=Nowhere-Ear "
     "-metadata:s:a language=fra -timecode 01:02:03:04 -movflags use_metadata_tags"},
    {{"uneven.mp4", 120, 30000 / 1001.0, 192, 108, 0, 0},
     "silent.mp4",
     "-i %s -c copy -use_editlist 0"},
    {{"plain.mov", 30, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "1", "") TONE("1") "-c:v libx264 -preset veryfast -bf 2 -c:a pcm_s16le"},
    {{"order.avi", 60, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "2", "") TONE("2") "-c:v mpeg4 -q:v 3 -bf 2 -g 15 -c:a mp2"},
    /* None decoded ahead; one of MPEG-2; two of H.264. */
    {{"inorder.avi", 60, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "2", "") TONE("2") "-c:v mpeg4 -q:v 3 -g 15 -c:a mp2"},
    {{"order2.avi", 60, 25, 192, 108, 0, 0},
     NULL,
     VIDEO("25", "2.4", "") "-c:v mpeg2video -q:v 2 -g 12 -bf 2"},
    {{"pyramid.avi", 90, 30, 192, 108, 0, 0}, NULL, VIDEO("30", "3", "") X264},
    /* A click at each half second, on two channels. */
    {{"clicks.mp4", 120, 30, 192, 108, 0, 0},
     NULL,
     VIDEO("30", "4", "") "-f lavfi -i \"aevalsrc='if(lt(mod(t\\,0.5)\\,0.004)\\,0.8*sin(2*PI*"
                          "1000*t)\\,0)|0':s=48000:d=4\" " X264 "-c:a aac -b:a 192k"},
    {{"clicks.ts", 120, 30, 192, 108, 0, 0}, "clicks.mp4", "-i %s -c copy -f mpegts"},
    {{"clicks.mkv", 120, 30, 192, 108, 0, 0},
     "clicks.mp4",
     "-i %s -c:v copy -c:a flac -output_ts_offset 50"},
    {{"front.mp4", 120, 30000 / 1001.0, 192, 108, 0, 0},
     "silent.mp4",
     "-i %s -c copy -movflags +faststart"},
};

const struct clip *clip_row(const char *name)
{
    for (size_t i = 0; i < sizeof recipes / sizeof *recipes; i++)
        if (strcmp(recipes[i].clip.name, name) == 0)
            return &recipes[i].clip;
    return NULL;
}

const char *clip_folder(void)
{
    const char *folder = getenv("BOXCALL_CLIPS");
    folder = folder && *folder ? folder : "/tmp/boxcall-clips";
    mkdir(folder, 0777);
    return folder;
}

static char *joined(const char *fmt, const char *a, const char *b)
{
    const size_t n = strlen(fmt) + strlen(a) + strlen(b) + 1;
    char *s = xrealloc(NULL, n);
    snprintf(s, n, fmt, a, b);
    return s;
}

/* Makes the file beside its place and moves it there, so that two tests may want it at once. */
static bool make(const struct recipe *r, const char *path)
{
    char *from = r->from ? clip_path(r->from) : xstrdup("");
    if (!from)
        return false;
    char input[4096], temp[4096], line[16384];
    snprintf(input, sizeof input, r->make, from);
    snprintf(temp, sizeof temp, "%s.%d%s", path, (int)getpid(), strrchr(path, '.'));
    snprintf(line, sizeof line, "ffmpeg -nostdin -v error -y %s '%s' >&2", input, temp);
    free(from);
    if (system(line) == 0 && rename(temp, path) == 0)
        return true;
    unlink(temp);
    return false;
}

char *clip_path(const char *name)
{
    char *path = joined("%s/%s", clip_folder(), name);
    if (access(path, R_OK) == 0)
        return path;
    for (size_t i = 0; i < sizeof recipes / sizeof *recipes; i++) {
        if (strcmp(recipes[i].clip.name, name) == 0 && !make(&recipes[i], path)) {
            free(path);
            return NULL;
        }
    }
    return path;
}

/* Is the place (x, y), fractions of the stored picture, bright? */
static bool bright(const uint8_t *rgba, size_t stride, int width, int height, int turned, double x,
                   double y)
{
    const double sx = turned == 90 ? 1 - y : turned == 180 ? 1 - x : turned == 270 ? y : x;
    const double sy = turned == 90 ? x : turned == 180 ? 1 - y : turned == 270 ? 1 - x : y;
    return rgba[(size_t)(sy * height) * stride + (size_t)(sx * width) * 4 + 1] > 125;
}

int64_t bars_read(const uint8_t *rgba, size_t stride, int width, int height, int turned)
{
    int64_t n = 0;
    for (int k = 0; k < BARS; k++) {
        const double x = (k + 0.5) / BARS;
        const bool up = bright(rgba, stride, width, height, turned, x, 0.25);
        if (up == bright(rgba, stride, width, height, turned, x, 0.75))
            return -1;
        n |= (int64_t)up << k;
    }
    return n;
}
