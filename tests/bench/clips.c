#include "clips.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lib/files.h"
#include "lib/run.h"

static const char *setting(const char *name, const char *otherwise)
{
    const char *value = getenv(name);
    return value && *value ? value : otherwise;
}

static const char *folder(void)
{
    static const char *dir;
    if (!dir)
        dir = setting("BENCH_CLIPS", NULL);
    if (!dir)
        dir = temp_dir();
    mkdir(dir, 0777);
    return dir;
}

/* command: a format of sh with the file to write as its only %s. */
static const char *made(const char *name, const char *command)
{
    const char *path = path_in(folder(), name);
    if (access(path, R_OK) == 0)
        return path;
    const char *half = arena_printf(test_arena(), "%s.%d.mp4", path, (int)getpid());
    const struct run r = run("sh", "-c", arena_printf(test_arena(), command, half), NULL);
    if (r.status != 0 || rename(half, path) != 0) {
        fprintf(stderr, "%s: cannot be made: %s\n", path, r.err);
        exit(1);
    }
    return path;
}

const char *clip_marching(void)
{
    return made("marching.mp4",
                arena_printf(test_arena(),
                             "'%s' --size 1920x1080 --seconds %d --no-sound --out %%s",
                             setting("DEMO_CLIP", "demo-clip"), CLIP_SECONDS));
}

const char *clip_pattern(void)
{
    return made("pattern.mp4",
                arena_printf(test_arena(),
                             "ffmpeg -nostdin -v error -y -f lavfi -i testsrc2=s=1920x1080:r=30 "
                             "-t %d -c:v libx264 -preset veryfast -crf 24 -pix_fmt yuv420p %%s",
                             CLIP_SECONDS));
}

const char *clip_swaying(void)
{
    return made("swaying.mp4",
                arena_printf(test_arena(),
                             "ffmpeg -nostdin -v error -y -i '%s' -vf 'crop=1600:900:"
                             "160+120*sin(2*PI*t/3):90+60*sin(2*PI*t/2),scale=1920:1080' "
                             "-c:v libx264 -preset veryfast -crf 24 -pix_fmt yuv420p %%s",
                             clip_marching()));
}

const char *clip_marching_long(int times)
{
    return made(arena_printf(test_arena(), "marching-%d.mp4", times),
                arena_printf(test_arena(),
                             "ffmpeg -nostdin -v error -y -stream_loop %d -i '%s' -c copy %%s",
                             times - 1, clip_marching()));
}

const char *clip_ten_minutes(void)
{
    const char *minute =
        made("minute.mp4",
             arena_printf(test_arena(),
                          "'%s' --size 128x72 --fps 5 --preset ultrafast --seconds 60 --out %%s",
                          setting("DEMO_CLIP", "demo-clip")));
    return made("ten-minutes.mp4",
                arena_printf(test_arena(),
                             "ffmpeg -nostdin -v error -y -stream_loop 9 -i '%s' -c copy %%s",
                             minute));
}
