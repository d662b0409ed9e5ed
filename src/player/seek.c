/* One seek is out at a time; the newest target waits for it. A seek is done when a new picture was
 * rendered AND its time is the wanted frame's: libmpv's exact seek alone misses at 240 frames a
 * second, in MPEG streams and before open-GOP keyframes. */
#include <stdio.h>
#include <stdlib.h>
#include <sys/timerfd.h>

#include "player/inside.h"
#include "sys/clock.h"

enum {
    SECOND = 1000000,
    SEEK_US = 30 * SECOND,    /* a long GOP in 4K on a slow disk */
    PICTURE_US = 400000,      /* from PLAYBACK_RESTART to the picture */
    STEP_US = 500000,         /* beyond the time the frames themselves take */
    STEP_COST_US = 200000,    /* about what an exact seek costs */
    TOLERANCE_US = 5000,      /* libmpv takes the first frame from target - 5 ms on */
    END_SLACK_US = 500000,    /* between the last picture and where the sound is then */
    MOVING_SLACK_US = 500000, /* a clip that plays has moved on when its time is read */
};

/* How far before the target libmpv begins to decode when the frame was missed. */
static const double ladder[] = {0, 0.5, 2, 8};
enum { RUNGS = sizeof ladder / sizeof *ladder };

static void set_deadline(struct player *p, int64_t from_now_us)
{
    p->hunt.deadline_us = clock_mono_us() + from_now_us;
    const struct itimerspec when = {
        .it_value = {.tv_sec = from_now_us / SECOND, .tv_nsec = from_now_us % SECOND * 1000}};
    timerfd_settime(p->timer_fd, 0, &when, NULL);
}

static void enter(struct player *p, enum phase phase, int64_t limit_us)
{
    p->hunt.phase = phase;
    set_deadline(p, limit_us);
}

void seek_reset(struct player *p)
{
    p->hunt = (struct hunt){.serial = p->hunt.serial + 1, .frame = -1};
    p->wish = p->settle = false;
    p->steps = 0;
    p->asked_us = -1;
    p->misses = 0;
    p->missed = false;
}

bool seek_busy(const struct player *p)
{
    return p->wish || p->settle || p->steps != 0 || p->hunt.phase != PHASE_IDLE;
}

static bool in_pane(const struct player *p)
{
    return p->now.view == PLAYER_PANE && p->now.has_video;
}

static bool picture_came(struct player *p)
{
    return !in_pane(p) || pane_since(&p->pane, p->hunt.sent_us) >= p->hunt.pictures;
}

static void begin(struct player *p, int64_t us, int64_t frame)
{
    p->hunt = (struct hunt){.serial = p->hunt.serial + 1,
                            .us = us,
                            .frame = frame,
                            .sent_us = mpv_get_time_us(p->mpv),
                            .pictures = 1,
                            .moving = p->now.playing};
}

/* --- the exact seek ------------------------------------------------------------------------ */

/* Frames shorter than libmpv's tolerance need a target a little later than their own time. */
int64_t seek_biased(const struct player *p, int64_t us, int64_t frame)
{
    const int64_t gap = timeline_gap_before(p, frame);
    return frame < 0 || gap >= 2 * TOLERANCE_US ? us : us + TOLERANCE_US - 100 - gap / 4;
}

static void send_seek(struct player *p)
{
    char target[32];
    snprintf(target, sizeof target, "%.6f",
             (double)seek_biased(p, p->hunt.us, p->hunt.frame) / SECOND);
    p->hunt.sent_us = mpv_get_time_us(p->mpv);
    p->hunt.pictures = 1;
    core_command(p, tag_of(TAG_HUNT, p->hunt.serial),
                 (const char *[]){"seek", target, "absolute+exact", NULL});
    enter(p, PHASE_SENT, SEEK_US);
}

static void begin_seek(struct player *p, int64_t us, int64_t frame)
{
    begin(p, us, frame);
    p->asked_us = frame < 0 ? us : -1;
    send_seek(p);
}

static void ask_time(struct player *p, enum phase phase)
{
    core_get(p, tag_of(TAG_HUNT_TIME, p->hunt.serial), "time-pos", MPV_FORMAT_DOUBLE);
    enter(p, phase, SEEK_US);
}

static void finish(struct player *p)
{
    const bool moved = p->hunt.moving && !p->now.playing;
    if (p->hunt.rung > 0)
        core_set_number(p, "hr-seek-demuxer-offset", p->base_offset);
    p->hunt.phase = PHASE_IDLE;
    p->stale = false;
    pane_offer(&p->pane, p->now.at_us);
    p->settle |= moved;
    seek_next(p);
}

static bool is_target(const struct player *p, int64_t us)
{
    const int64_t frame = p->hunt.frame;
    if (frame < 0)
        return true;
    const int64_t late = us - p->list.frame_us[frame], slack = timeline_slack(p, frame);
    /* Once the pictures are at their end, time-pos is some place in the sound. */
    if (frame == (int64_t)p->list.frames - 1 && p->now.has_sound)
        return llabs(late) < END_SLACK_US;
    return llabs(late) <= slack || (p->hunt.moving && late > 0 && late < MOVING_SLACK_US);
}

/* Another try with more run-up; when all are used up, what is on screen counts. */
static void missed(struct player *p, bool picture, int64_t us)
{
    if (p->hunt.frame >= 0 && p->hunt.rung + 1 < RUNGS) {
        p->hunt.rung++;
        core_set_number(p, "hr-seek-demuxer-offset", ladder[p->hunt.rung]);
        send_seek(p);
        return;
    }
    if (picture)
        timeline_show(p, us);
    p->missed = true;
    snprintf(p->now.message, sizeof p->now.message,
             "the picture at %.3f s cannot be reached; the clip may be damaged there",
             (double)p->hunt.us / SECOND);
    /* A list that never fits the clip is worse than none. */
    if (picture && ++p->misses >= 3) {
        p->listed = false;
        p->now.frame = -1;
    }
    finish(p);
}

static void take_time(struct player *p, const mpv_event *event)
{
    const mpv_event_property *v = event->data;
    const bool known = event->error >= 0 && v->format == MPV_FORMAT_DOUBLE;
    const int64_t us = known ? (int64_t)(*(double *)v->data * SECOND + 0.5) : p->now.at_us;
    if (p->hunt.phase == PHASE_SETTLE) {
        const bool past = p->at_end && p->now.has_sound && p->listed;
        timeline_show(p, past ? p->list.frame_us[p->list.frames - 1] : us);
        finish(p);
        return;
    }
    if (!known || !is_target(p, us)) {
        missed(p, known, us);
        return;
    }
    p->misses = 0;
    if (p->missed) /* take the message of the seek before back */
        p->now.message[0] = '\0';
    p->missed = false;
    timeline_show(p, p->hunt.frame >= 0 && !p->hunt.moving ? p->hunt.us : us);
    finish(p);
}

/* --- stepping ------------------------------------------------------------------------------ */

/* Playing a few frames on is exact and often cheaper than a seek. */
static bool worth_stepping(const struct player *p, int64_t frame)
{
    if (frame <= p->now.frame || p->now.frame < 0 || p->now.playing || p->at_end)
        return false;
    if (frame + 1 >= (int64_t)p->list.frames)
        return false;
    const int64_t way = p->list.frame_us[frame] - p->list.frame_us[p->now.frame];
    return (double)way / p->now.speed < STEP_COST_US && frame - p->now.frame < DUE_RING;
}

static void begin_step(struct player *p, int64_t frame)
{
    const int64_t from = p->now.frame;
    const int64_t way = p->list.frame_us[frame] - p->list.frame_us[from];
    begin(p, p->list.frame_us[frame], frame);
    p->seen_us = p->now.at_us;
    p->hunt.pictures = (int)(frame - from); /* each frame on the way is a picture of its own */
    for (int64_t i = from; i < frame; i++)
        core_command(p, 0, (const char *[]){"frame-step", NULL});
    enter(p, PHASE_STEP, STEP_US + (int64_t)((double)way / p->now.speed));
}

/* Without a list: one frame by libmpv's own measure, then see where it is. */
static void begin_blind(struct player *p)
{
    const bool forward = p->steps > 0;
    p->steps -= forward ? 1 : -1;
    begin(p, p->now.at_us, -1);
    p->seen_us = p->now.at_us;
    core_command(p, 0, (const char *[]){forward ? "frame-step" : "frame-back-step", NULL});
    enter(p, PHASE_BLIND, 2 * SECOND);
}

static void begin_target(struct player *p, int64_t us, int64_t frame)
{
    const bool there = frame >= 0 && frame == p->now.frame && !p->now.playing && !p->stale;
    if (there)
        return;
    if (worth_stepping(p, frame))
        begin_step(p, frame);
    else
        begin_seek(p, us, frame);
}

void seek_next(struct player *p)
{
    if (p->hunt.phase != PHASE_IDLE || p->opening != OPEN_DONE)
        return;
    if (p->wish) {
        p->wish = false;
        begin_target(p, p->wish_us, p->wish_frame);
    } else if (p->settle) {
        p->settle = false;
        begin(p, p->now.at_us, -1);
        ask_time(p, PHASE_SETTLE);
    } else if (p->steps != 0 && p->listed && p->now.frame >= 0) {
        const int64_t frame = timeline_clamp(p, p->now.frame + p->steps);
        p->steps = 0;
        begin_target(p, p->list.frame_us[frame], frame);
    } else if (p->steps != 0) {
        begin_blind(p);
    }
}

/* --- the newest target -------------------------------------------------------------------- */

void player_seek(struct player *p, int64_t at_us)
{
    const int64_t frame = timeline_nearest(p, at_us < 0 ? 0 : at_us);
    p->steps = 0;
    if (p->opening != OPEN_DONE) {
        p->start_us = at_us < 0 ? 0 : at_us;
        return;
    }
    p->wish = true;
    p->wish_frame = frame;
    p->wish_us = frame < 0 ? (at_us < 0 ? 0 : at_us) : p->list.frame_us[frame];
    seek_next(p);
}

/* --- what happens meanwhile ---------------------------------------------------------------- */

void seek_event(struct player *p, const mpv_event *event)
{
    const enum tag tag = (enum tag)(event->reply_userdata & 0xff);
    const bool mine = event->reply_userdata >> 8 == p->hunt.serial;
    const enum phase phase = p->hunt.phase;
    if (tag == TAG_HUNT && mine && phase == PHASE_SENT) {
        if (event->error >= 0)
            enter(p, PHASE_QUEUED, SEEK_US);
        else
            missed(p, false, 0);
    } else if (tag == TAG_HUNT_TIME && mine) {
        if (phase == PHASE_ASKED || phase == PHASE_SETTLE)
            take_time(p, event);
    } else if (event->event_id == MPV_EVENT_SEEK && phase == PHASE_QUEUED) {
        enter(p, PHASE_RUNNING, SEEK_US);
    } else if (event->event_id == MPV_EVENT_PLAYBACK_RESTART && phase == PHASE_RUNNING) {
        enter(p, PHASE_LANDED, PICTURE_US);
    } else if (event->event_id == MPV_EVENT_PLAYBACK_RESTART && phase == PHASE_IDLE) {
        /* libmpv went by itself: a loop began again, or the filters changed. */
        core_get(p, tag_of(TAG_TIME, p->hunt.serial), "time-pos", MPV_FORMAT_DOUBLE);
    } else if (tag == TAG_TIME && mine && phase == PHASE_IDLE && p->now.playing &&
               event->error >= 0) {
        const mpv_event_property *v = event->data;
        if (v->format == MPV_FORMAT_DOUBLE)
            timeline_show(p, (int64_t)(*(double *)v->data * SECOND + 0.5));
    }
}

static void check_step(struct player *p, bool late)
{
    const int64_t us = p->list.frame_us[p->hunt.frame], slack = timeline_slack(p, p->hunt.frame);
    if (p->seen_us >= us - slack && p->seen_us <= us + slack && picture_came(p)) {
        timeline_show(p, us);
        finish(p);
    } else if (late || p->seen_us > us + slack) {
        begin_seek(p, us, p->hunt.frame);
    }
}

void seek_tick(struct player *p)
{
    const enum phase phase = p->hunt.phase;
    if (phase == PHASE_IDLE) {
        seek_next(p);
        return;
    }
    const bool late = clock_mono_us() >= p->hunt.deadline_us;
    if (phase == PHASE_STEP)
        check_step(p, late);
    else if (phase == PHASE_BLIND && (late || (p->seen_us != p->now.at_us && picture_came(p))))
        ask_time(p, PHASE_SETTLE);
    else if (phase == PHASE_LANDED && picture_came(p))
        ask_time(p, PHASE_ASKED);
    else if (late)
        missed(p, false, 0);
}

void seek_settle(struct player *p)
{
    p->settle = true;
    seek_next(p);
}

void seek_listed(struct player *p)
{
    timeline_show(p, p->now.at_us);
    if (p->asked_us >= 0 && !p->now.playing && p->hunt.phase == PHASE_IDLE)
        player_seek(p, p->asked_us);
    p->asked_us = -1;
}
