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

/* Made once and copied. */
static const char *season(const char *clip, size_t *n)
{
    static char *bytes;
    static size_t size;
    if (!bytes) {
        const char *first = path_in(temp_dir(), "a.show");
        setenv("BOXCALL_AUTHOR", "The office", 1); /* whose tables nobody here takes back */
        must(run("boxcall", "new", first, NULL));
        must(run_in("performer,name,section\nT1,Ada Finch,trumpets\nT2,Bo Larkin,trumpets\n"
                    "M1,Ida Yarrow,mellophones\n",
                    "boxcall", "add", first, "roster", "-", NULL));
        must(run_in("set,counts,tempo\n1,16,120\n2,8,120\n3,16,120\n", "boxcall", "add", first,
                    "sets", "-", NULL));
        must(run("boxcall", "add", first, "clip", clip, NULL));
        bytes = read_file(first, &size);
    }
    *n = size;
    return bytes;
}

static const char *clip_file(void)
{
    static const char *path;
    if (!path) {
        path = path_in(temp_dir(), "run.mp4");
        must(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=64x36:r=30",
                 "-t", "20", "-c:v", "libx264", "-preset", "veryfast", "-g", "30", "-pix_fmt",
                 "yuv420p", path, NULL));
    }
    return path;
}

void stage_open(struct desk *d, struct app *app)
{
    struct err e;
    size_t n;
    const char *bytes = season(clip_file(), &n);
    show = write_bytes(temp_dir(), "a.show", bytes, n);
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    if (!app_open(app, show, &e) || !desk_open(d, app, &review_tools, &e) ||
        !desk_clip(d, &app->clips.at[0], 0, false, &e))
        fail_msg("%s", e.text);
    stage_settle(d);
}

void stage_close(struct desk *d, struct app *app)
{
    desk_close(d);
    app_close(app);
}
