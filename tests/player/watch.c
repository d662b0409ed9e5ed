#include "player/watch.h"

#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "sys/clock.h"

enum { DEADLINE_US = 60000000 };

void watch_load(struct watch *w, const char *path, int64_t start_us, bool play)
{
    struct err e = {0};
    if (!player_load(w->p, path, start_us, play, &e))
        fail_msg("%s", e.text);
}

void watch_open(struct watch *w, const char *clip, int64_t start_us, bool play)
{
    const struct clip *row = clip_row(clip);
    struct err e = {0};
    *w = (struct watch){.bars = -2};
    w->path = clip_path(clip);
    if (!w->path)
        fail_msg("%s cannot be made; is ffmpeg installed?", clip);
    if (!player_open(&w->p, &(struct player_want){.view = PLAYER_PANE}, &e))
        fail_msg("%s", e.text);
    if (row) {
        const bool upright = row->height > row->width;
        w->turned = row->turned;
        w->first = row->first;
        player_pane_size(w->p, upright ? 108 : row->width == 256 ? 256 : 192, upright ? 192 : 108);
    }
    watch_load(w, w->path, start_us, play);
}

void watch_close(struct watch *w)
{
    player_close(w->p);
    free(w->path);
    *w = (struct watch){0};
}

static void take_picture(struct watch *w)
{
    if (!player_frame(w->p, &w->f))
        return;
    w->bars = bars_read(w->f.rgba, w->f.stride, w->f.width, w->f.height, w->turned);
    w->bars -= w->bars >= 0 ? w->first : 0;
    w->pictures++;
    const int64_t frame = player_frame_at(w->p, w->f.at_us);
    w->strays += frame >= 0 && frame != w->bars;
}

void watch_until(struct watch *w, watch_test *test, int64_t arg)
{
    const int64_t deadline = clock_mono_us() + DEADLINE_US;
    for (;;) {
        w->s = player_poll(w->p);
        take_picture(w);
        if (test(w, arg))
            return;
        if (clock_mono_us() > deadline)
            fail_msg("nothing came: status %d, seeking %d, playing %d, frame %lld, %s", w->s.status,
                     w->s.seeking, w->s.playing, (long long)w->s.frame, w->s.message);
        struct pollfd fd = {.fd = player_fd(w->p), .events = POLLIN};
        poll(&fd, 1, 1000);
    }
}

bool watch_settled(const struct watch *w, int64_t arg)
{
    (void)arg;
    if (w->s.status == PLAYER_FAILED)
        return true;
    const bool listed = !w->s.has_video || player_frame_time(w->p, 0) != -1;
    return w->s.status == PLAYER_READY && listed && !w->s.seeking;
}

bool watch_ended(const struct watch *w, int64_t arg)
{
    (void)arg;
    return w->s.ended;
}

bool watch_frame_past(const struct watch *w, int64_t arg)
{
    return w->s.frame > arg;
}

bool watch_pictures(const struct watch *w, int64_t arg)
{
    return w->pictures > arg;
}
