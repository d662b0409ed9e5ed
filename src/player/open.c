/* The player's life: opened, given a clip, switched between pane and window, closed. */
#include <stdio.h>
#include <stdlib.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <sys/timerfd.h>
#include <unistd.h>

#include "base/arena.h"
#include "player/inside.h"
#include "clip/guard.h"
#include "clip/packets.h"
#include "sys/file.h"

static bool open_descriptors(struct player *p, struct err *e)
{
    p->wake_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    p->timer_fd = timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC | TFD_NONBLOCK);
    p->poll_fd = epoll_create1(EPOLL_CLOEXEC);
    struct epoll_event in = {.events = EPOLLIN};
    if (p->wake_fd >= 0 && p->timer_fd >= 0 && p->poll_fd >= 0 &&
        epoll_ctl(p->poll_fd, EPOLL_CTL_ADD, p->wake_fd, &in) == 0 &&
        epoll_ctl(p->poll_fd, EPOLL_CTL_ADD, p->timer_fd, &in) == 0)
        return true;
    return err_set(e, ERR_FAILED, "the player cannot start: no file descriptors left");
}

bool player_open(struct player **out, const struct player_want *want, struct err *e)
{
    *out = NULL;
    if (want->view == PLAYER_WINDOW && !player_display())
        return err_set(e, ERR_FAILED,
                       "there is no display to open a window on; the picture can "
                       "be shown in the terminal");
    struct player *p = xcalloc(1, sizeof *p);
    p->want = *want;
    p->title = xstrdup(want->title ? want->title : "");
    p->want.title = p->title;
    p->volume = 100;
    p->wake_fd = p->timer_fd = p->poll_fd = -1;
    p->now = (struct player_state){.status = PLAYER_EMPTY,
                                   .frame = -1,
                                   .speed = 1,
                                   .loop_a_us = -1,
                                   .loop_b_us = -1,
                                   .fps_den = 1};
    p->said = p->now;
    seek_reset(p);
    bool ok = open_descriptors(p, e);
    pane_init(&p->pane, p->wake_fd);
    if (!ok || !core_start(p, want->view, e)) {
        player_close(p);
        return false;
    }
    p->said.view = p->now.view;
    *out = p;
    return true;
}

bool player_close(struct player *p)
{
    if (!p)
        return true;
    index_stop(p->job);
    pane_stop(&p->pane);
    if (!core_end(p->mpv) || p->left_behind) /* its threads may still look at what is ours */
        return false;
    p->mpv = NULL;
    pane_free(&p->pane);
    int fds[] = {p->poll_fd, p->timer_fd, p->wake_fd};
    for (size_t i = 0; i < sizeof fds / sizeof *fds; i++)
        if (fds[i] >= 0)
            close(fds[i]);
    media_free(&p->list);
    free(p->overlay);
    free(p->title);
    free(p->path);
    free(p);
    return true;
}

/* Sends the file to the handle. What is known about the clip's frames is kept. */
static void send_load(struct player *p, int64_t start_us, bool play)
{
    p->opening = OPEN_SENT;
    p->load_serial++;
    p->start_us = start_us;
    p->at_end = p->landing = false;
    p->trouble[0] = '\0';
    p->now.status = PLAYER_OPENING;
    p->now.playing = play;
    p->now.ended = false;
    p->now.message[0] = '\0';
    seek_reset(p);
    pane_drop(&p->pane);
    const bool big = p->list.size_bytes > PACKETS_CACHE_BYTES;
    p->base_offset = p->stream && (big || p->now.view == PLAYER_WINDOW) ? 1.5 : 0;
    core_set_flag(p, "pause", true);
    core_set_text(p, "cache", p->stream && !big ? "yes" : "auto");
    core_set_text(p, "demuxer-max-bytes", p->stream && !big ? "512MiB" : "150MiB");
    core_set_number(p, "hr-seek-demuxer-offset", p->base_offset);
    core_set_number(p, "speed", p->now.speed);
    core_set_number(p, "volume", p->volume);
    player_loop(p, p->now.loop_a_us, p->now.loop_b_us);
    p->load_sent_us = p->mpv ? mpv_get_time_us(p->mpv) : 0;
    core_command(p, tag_of(TAG_LOAD, p->load_serial),
                 (const char *[]){"loadfile", p->path, "replace", NULL});
}

static void forget_clip(struct player *p)
{
    index_stop(p->job);
    p->job = NULL;
    media_free(&p->list);
    p->list = (struct media){0};
    p->listed = false;
    const struct player_state old = p->now;
    p->now = (struct player_state){.status = PLAYER_EMPTY,
                                   .view = old.view,
                                   .frame = -1,
                                   .speed = old.speed,
                                   .loop_a_us = -1,
                                   .loop_b_us = -1,
                                   .fps_den = 1};
    p->rotation = p->raw_width = p->raw_height = 0;
    p->start_offset_us = 0;
}

bool player_load(struct player *p, const char *path, int64_t start_us, bool play, struct err *e)
{
    if (!clip_guard(path, e))
        return false;
    char *full = file_absolute(path, e);
    if (!full)
        return false;
    forget_clip(p);
    free(p->path);
    p->path = full;
    p->list.size_bytes = packets_sniff(full, &p->stream);
    p->job = index_start(full, p->wake_fd);
    send_load(p, start_us < 0 ? 0 : start_us, play);
    return true;
}

bool player_switch(struct player *p, enum player_view view, struct err *e)
{
    if (view == p->now.view && p->mpv)
        return true;
    if (view == PLAYER_WINDOW && !player_display())
        return err_set(e, ERR_FAILED, "there is no display to open a window on");
    mpv_handle *old = p->mpv;
    const int64_t at_us = p->opening == OPEN_DONE ? p->now.at_us : p->start_us;
    if (!core_start(p, view, e))
        return false;
    if (view == PLAYER_WINDOW)
        pane_stop(&p->pane);
    if (old)
        p->left_behind |= !core_end(old);
    if (p->path && p->now.status != PLAYER_FAILED)
        send_load(p, at_us, p->now.playing);
    return true;
}

void window_fall_back(struct player *p)
{
    struct err e;
    mpv_handle *lost = p->mpv;
    p->window_lost = false;
    p->mpv = NULL;
    mpv_set_wakeup_callback(lost, NULL, NULL);
    /* A handle whose video thread hangs in Xlib would hang us too: it is left behind. */
    if (!p->window_stuck)
        p->left_behind |= !core_end(lost);
    p->window_stuck = false;
    if (!player_switch(p, PLAYER_PANE, &e)) {
        player_failed(p, "the window is gone and %s", e.text);
        return;
    }
    snprintf(p->now.message, sizeof p->now.message,
             "the window is gone; the picture is in the terminal now");
}

int player_fd(const struct player *p)
{
    return p->poll_fd;
}
