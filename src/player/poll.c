/* The state as one value: what libmpv told, what the frame list and the pictures say by now. */
#include <stdio.h>
#include <string.h>

#include "player/inside.h"
#include "sys/clock.h"

/* --- opening ------------------------------------------------------------------------------- */

static void check_list(struct player *p)
{
    struct media list;
    if (p->opening != OPEN_DONE || !index_take(p->job, &list))
        return;
    index_stop(p->job);
    p->job = NULL;
    timeline_take_list(p, &list);
    if (p->listed)
        seek_listed(p);
}

static void become_ready(struct player *p)
{
    p->opening = OPEN_DONE;
    p->now.status = PLAYER_READY;
    if (!p->now.has_video)
        snprintf(p->now.message, sizeof p->now.message, "this clip has sound only, no picture");
    check_list(p);
    p->stale = p->start_us > 0;
    if (p->stale)
        player_seek(p, p->start_us);
    else
        pane_offer(&p->pane, p->now.at_us);
    if (p->now.playing)
        core_set_flag(p, "pause", false);
}

/* Ready once the questions are answered and the first picture is there. */
static void check_opened(struct player *p)
{
    if (p->opening != OPEN_ASKED || !p->timed)
        return;
    const bool picture = p->now.view == PLAYER_WINDOW || !p->now.has_video ||
                         pane_since(&p->pane, p->load_sent_us) > 0;
    if (picture)
        become_ready(p);
    else if (clock_mono_us() > p->load_deadline_us)
        player_failed(p, "%s: its pictures cannot be decoded; copy it from the phone again",
                      p->path);
}

/* --- running ------------------------------------------------------------------------------- */

static void check_end(struct player *p)
{
    const bool ended = p->at_end && p->opening == OPEN_DONE && !seek_busy(p);
    p->now.ended = ended && !p->now.playing;
    /* keep-open halts the clip at its end; a loop goes on by itself. */
    if (ended && p->paused && p->now.playing) {
        p->now.playing = false;
        seek_settle(p);
    }
}

static unsigned differences(const struct player_state *a, const struct player_state *b)
{
    const bool status = a->status != b->status || a->view != b->view ||
                        a->has_video != b->has_video || a->has_sound != b->has_sound ||
                        a->length_us != b->length_us || a->width != b->width ||
                        a->height != b->height || a->fps_num != b->fps_num ||
                        a->fps_den != b->fps_den || a->fps_varies != b->fps_varies ||
                        a->dropped != b->dropped || a->window_width != b->window_width ||
                        a->window_height != b->window_height || a->in_window_x != b->in_window_x ||
                        a->in_window_y != b->in_window_y || a->in_window_w != b->in_window_w ||
                        a->in_window_h != b->in_window_h || strcmp(a->message, b->message) != 0;
    const bool run = a->playing != b->playing || a->ended != b->ended || a->seeking != b->seeking ||
                     a->speed != b->speed || a->loop_a_us != b->loop_a_us ||
                     a->loop_b_us != b->loop_b_us;
    const bool time = a->at_us != b->at_us || a->frame != b->frame;
    return (status ? PLAYER_CHANGED_STATUS : 0) | (run ? PLAYER_CHANGED_RUN : 0) |
           (time ? PLAYER_CHANGED_TIME : 0);
}

struct player_state player_poll(struct player *p)
{
    event_drain(p);
    if (display_died() && p->now.view == PLAYER_WINDOW)
        p->window_lost = p->window_stuck = true;
    if (p->window_lost)
        window_fall_back(p);
    check_opened(p);
    check_list(p);
    seek_tick(p);
    check_end(p);
    p->now.seeking = seek_busy(p);
    /* While a seek is out its pictures are not shown before their time is known. */
    if (p->now.status == PLAYER_READY && p->hunt.phase == PHASE_IDLE)
        pane_offer(&p->pane, p->now.at_us);
    struct player_state out = p->now;
    out.changed = differences(&p->now, &p->said);
    if (p->pane.offered_new)
        out.changed |= PLAYER_CHANGED_FRAME;
    if (p->ring_head != p->ring_tail)
        out.changed |= PLAYER_CHANGED_EVENT;
    p->said = p->now;
    return out;
}
