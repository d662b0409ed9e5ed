#include "command/stage.h"

#include <poll.h>
#include <stdlib.h>

#include "command/clip.h"
#include "command/session.h"
#include "lib/run.h"
#include "screen/screens.h"

static const char *show;

static void must(struct run r)
{
    assert_exit(r, 0);
}

static bool ready(const struct desk *d)
{
    return d->play.status == PLAYER_READY && !d->play.seeking && player_frame_at(d->player, 0) >= 0;
}

void stage_settle(struct desk *d)
{
    long long end = now_ms() + DEADLINE_MS;
    do {
        struct pollfd fd = {.fd = player_fd(d->player), .events = POLLIN};
        poll(&fd, 1, 20);
        desk_poll(d);
        if (now_ms() > end)
            fail_msg("the clip does not get there: %s", d->play.message);
    } while (!ready(d));
}

const char *stage_show(void)
{
    return show;
}

const char *stage_clip(void)
{
    static const char *path;
    if (!path) {
        path = path_in(temp_dir(), "run.mp4");
        must(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=64x36:r=30",
                 "-f", "lavfi", "-i", "sine=f=440", "-t", "20", "-c:v", "libx264", "-preset",
                 "veryfast", "-g", "30", "-pix_fmt", "yuv420p", "-c:a", "aac", path, NULL));
    }
    return path;
}

static void make_season(const char *path)
{
    setenv("BOXCALL_AUTHOR", "The office", 1); /* whose tables nobody here takes back */
    must(run("boxcall", "new", path, NULL));
    must(run_in("performer,name,section\nT1,Ada Finch,trumpets\nT2,Bo Larkin,trumpets\n"
                "M1,Ida Yarrow,mellophones\n",
                "boxcall", "add", path, "roster", "-", NULL));
    must(run_in("set,counts,tempo\n1,16,120\n2,8,120\n3,16,120\n", "boxcall", "add", path, "sets",
                "-", NULL));
    must(run("boxcall", "add", path, "clip", stage_clip(), NULL));
}

/* Every program that is started takes a tenth of a second. */
static const char *made(void (*make)(const char *path), size_t *n)
{
    static char *bytes;
    static size_t size;
    static void (*by)(const char *path);
    if (by != make) {
        show = path_in(temp_dir(), "a.show");
        make(show);
        bytes = read_file(show, &size);
        by = make;
    }
    *n = size;
    return bytes;
}

void stage_open_made(struct desk *d, struct app *app, void (*make)(const char *path))
{
    struct err e;
    size_t n;
    const char *bytes = made(make, &n);
    show = write_bytes(temp_dir(), "a.show", bytes, n);
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    if (!app_open(app, show, &e) || !desk_open(d, app, &review_tools, &e) ||
        !desk_clip(d, &app->clips.at[0], 0, false, &e))
        fail_msg("%s", e.text);
    stage_settle(d);
}

void stage_open(struct desk *d, struct app *app)
{
    stage_open_made(d, app, make_season);
}

void stage_close(struct desk *d, struct app *app)
{
    desk_close(d);
    app_close(app);
}
