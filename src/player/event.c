/* libmpv's events become one value. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "player/inside.h"
#include "sys/clock.h"

enum { FIRST_PICTURE_US = 10000000 };

/* --- observed properties: one row each ----------------------------------------------------- */

static void see_time(struct player *p, const mpv_event_property *v)
{
    /* During a seek time-pos is the target, not a frame. */
    if (v->format != MPV_FORMAT_DOUBLE || p->landing || p->opening != OPEN_DONE)
        return;
    const int64_t us = (int64_t)(*(double *)v->data * 1e6 + 0.5);
    p->seen_us = us;
    /* A clip that stands still changes its picture by our seeks only, though time-pos may follow
     * the sound; and without a seek time does not run backwards. */
    if (p->hunt.phase == PHASE_IDLE && p->now.playing && us > p->now.at_us)
        timeline_show(p, us);
}

static void see_pause(struct player *p, const mpv_event_property *v)
{
    p->paused = v->format == MPV_FORMAT_FLAG && *(int *)v->data;
}

static void see_end(struct player *p, const mpv_event_property *v)
{
    p->at_end = v->format == MPV_FORMAT_FLAG && *(int *)v->data;
}

static void see_width(struct player *p, const mpv_event_property *v)
{
    p->raw_width = v->format == MPV_FORMAT_INT64 ? (int)*(int64_t *)v->data : 0;
    timeline_size(p);
    if (p->now.view == PLAYER_PANE && p->raw_width > 2560) {
        /* Measured on 4K: 0.8 ms a frame instead of 6.7. */
        core_set_text(p, "sws-allow-zimg", "no");
        core_set_text(p, "sws-scaler", "fast-bilinear");
        core_set_text(p, "sws-fast", "yes");
    }
}

static void see_height(struct player *p, const mpv_event_property *v)
{
    p->raw_height = v->format == MPV_FORMAT_INT64 ? (int)*(int64_t *)v->data : 0;
    timeline_size(p);
}

static void see_output(struct player *p, const mpv_event_property *v)
{
    if (v->format == MPV_FORMAT_STRING && strcmp(*(char **)v->data, "x11") == 0)
        core_set_text(p, "vf", SHOWN_AS_SDR);
}

static void see_sound(struct player *p, const mpv_event_property *v)
{
    p->now.has_sound = v->format == MPV_FORMAT_INT64;
}

static void see_length(struct player *p, const mpv_event_property *v)
{
    if (v->format == MPV_FORMAT_DOUBLE && !p->listed)
        p->now.length_us = (int64_t)(*(double *)v->data * 1e6 + 0.5);
}

static void see_drops(struct player *p, const mpv_event_property *v, size_t which)
{
    p->drops[which] = v->format == MPV_FORMAT_INT64 ? *(int64_t *)v->data : 0;
    p->now.dropped = p->drops[0] + p->drops[1];
}

static void see_output_drops(struct player *p, const mpv_event_property *v)
{
    see_drops(p, v, 0);
}

static void see_decoder_drops(struct player *p, const mpv_event_property *v)
{
    see_drops(p, v, 1);
}

static void see_margins(struct player *p, const mpv_event_property *v)
{
    if (v->format == MPV_FORMAT_NODE && p->now.view == PLAYER_WINDOW)
        window_margins(p, v->data);
}

static const struct watched {
    const char *name;
    mpv_format format;
    void (*see)(struct player *p, const mpv_event_property *value);
} watched[] = {
    {"time-pos", MPV_FORMAT_DOUBLE, see_time},
    {"pause", MPV_FORMAT_FLAG, see_pause},
    {"eof-reached", MPV_FORMAT_FLAG, see_end},
    {"video-params/dw", MPV_FORMAT_INT64, see_width},
    {"video-params/dh", MPV_FORMAT_INT64, see_height},
    {"current-vo", MPV_FORMAT_STRING, see_output},
    {"current-tracks/audio/id", MPV_FORMAT_INT64, see_sound},
    {"duration", MPV_FORMAT_DOUBLE, see_length},
    {"frame-drop-count", MPV_FORMAT_INT64, see_output_drops},
    {"decoder-frame-drop-count", MPV_FORMAT_INT64, see_decoder_drops},
    {"osd-dimensions", MPV_FORMAT_NODE, see_margins},
};

void event_observe(struct player *p)
{
    for (size_t i = 0; i < sizeof watched / sizeof *watched; i++) {
        mpv_unobserve_property(p->mpv, i); /* when events were lost, all are told anew */
        mpv_observe_property(p->mpv, i, watched[i].name, watched[i].format);
    }
}

/* --- opening ------------------------------------------------------------------------------- */

static void ask_about_clip(struct player *p)
{
    const uint64_t n = p->load_serial;
    p->opening = OPEN_ASKED;
    p->timed = false;
    p->load_deadline_us = clock_mono_us() + FIRST_PICTURE_US;
    core_get(p, tag_of(TAG_VIDEO, n), "current-tracks/video/id", MPV_FORMAT_INT64);
    core_get(p, tag_of(TAG_ROTATION, n), "current-tracks/video/demux-rotation", MPV_FORMAT_INT64);
    core_get(p, tag_of(TAG_START, n), "demuxer-start-time", MPV_FORMAT_DOUBLE);
    core_get(p, tag_of(TAG_OPENED, n), "time-pos", MPV_FORMAT_DOUBLE);
}

static void take_answer(struct player *p, enum tag tag, const mpv_event *event)
{
    const mpv_event_property *v = event->data;
    const bool known = event->error >= 0;
    if (tag == TAG_VIDEO)
        p->now.has_video = known;
    if (tag == TAG_ROTATION) {
        p->rotation = known && v->format == MPV_FORMAT_INT64 ? (int)*(int64_t *)v->data : 0;
        pane_rotate(&p->pane, p->rotation);
        timeline_size(p);
    }
    if (tag == TAG_START && known && v->format == MPV_FORMAT_DOUBLE)
        p->start_offset_us = (int64_t)(*(double *)v->data * 1e6 + 0.5);
    if (tag == TAG_OPENED) {
        p->timed = true;
        /* With a start to seek to, the time shown waits for that picture. */
        if (known && v->format == MPV_FORMAT_DOUBLE && p->start_us == 0)
            timeline_show(p, (int64_t)(*(double *)v->data * 1e6 + 0.5));
    }
}

static void take_load_reply(struct player *p, const mpv_event *event)
{
    if (event->error >= 0)
        p->opening = OPEN_QUEUED;
    else
        player_failed(p, "%s: cannot be opened: %s", p->path, mpv_error_string(event->error));
}

static void take_end_file(struct player *p, const mpv_event_end_file *end)
{
    if (p->opening < OPEN_STARTED || end->reason != MPV_END_FILE_REASON_ERROR)
        return;
    if (end->error == MPV_ERROR_VO_INIT_FAILED && p->now.view == PLAYER_WINDOW)
        p->window_lost = true;
    else if (end->error == MPV_ERROR_UNKNOWN_FORMAT || end->error == MPV_ERROR_NOTHING_TO_PLAY)
        player_failed(p,
                      "%s: not a clip this program can read; it may be cut short: copy it from "
                      "the phone again",
                      p->path);
    else
        player_failed(p, "%s: cannot be opened: %s%s%s", p->path, mpv_error_string(end->error),
                      p->trouble[0] ? ": " : "", p->trouble);
}

/* --- one event ----------------------------------------------------------------------------- */

static void take_log(struct player *p, const mpv_event_log_message *line)
{
    snprintf(p->trouble, sizeof p->trouble, "%s", line->text);
    p->trouble[strcspn(p->trouble, "\n")] = '\0';
}

static void take_reply(struct player *p, const mpv_event *event)
{
    const enum tag tag = (enum tag)(event->reply_userdata & 0xff);
    const uint64_t serial = event->reply_userdata >> 8;
    if (tag >= TAG_LOAD && tag <= TAG_OPENED && serial != p->load_serial)
        return;
    if (tag == TAG_LOAD && p->opening == OPEN_SENT)
        take_load_reply(p, event);
    else if (tag > TAG_LOAD && tag <= TAG_OPENED)
        take_answer(p, tag, event);
    else if (tag >= TAG_TIME)
        seek_event(p, event);
}

static void take_event(struct player *p, const mpv_event *event)
{
    switch (event->event_id) {
    case MPV_EVENT_PROPERTY_CHANGE:
        watched[event->reply_userdata].see(p, event->data);
        break;
    case MPV_EVENT_COMMAND_REPLY:
    case MPV_EVENT_GET_PROPERTY_REPLY:
        take_reply(p, event);
        break;
    case MPV_EVENT_START_FILE:
        if (p->opening == OPEN_QUEUED)
            p->opening = OPEN_STARTED;
        break;
    case MPV_EVENT_PLAYBACK_RESTART:
        p->landing = false;
        if (p->opening == OPEN_STARTED)
            ask_about_clip(p);
        else
            seek_event(p, event);
        break;
    case MPV_EVENT_SEEK:
        p->landing = true;
        seek_event(p, event);
        break;
    case MPV_EVENT_END_FILE:
        take_end_file(p, event->data);
        break;
    case MPV_EVENT_LOG_MESSAGE:
        take_log(p, event->data);
        break;
    case MPV_EVENT_CLIENT_MESSAGE: {
        const mpv_event_client_message *m = event->data;
        window_message(p, m->num_args, m->args);
        break;
    }
    case MPV_EVENT_QUEUE_OVERFLOW:
        event_observe(p);
        break;
    default:
        break;
    }
}

void event_drain(struct player *p)
{
    uint64_t ignored;
    while (read(p->wake_fd, &ignored, sizeof ignored) > 0 ||
           read(p->timer_fd, &ignored, sizeof ignored) > 0)
        ;
    while (p->mpv) {
        const mpv_event *event = mpv_wait_event(p->mpv, 0);
        if (event->event_id == MPV_EVENT_NONE)
            break;
        take_event(p, event);
    }
}
