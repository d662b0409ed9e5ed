/* What the screen asks for: turned into the newest target, and started when nothing is out. */
#include <stdio.h>

#include "player/inside.h"

/* The frame steps are counted from: the newest target, else the picture once it stands still. */
static int64_t step_base(const struct player *p)
{
    if (p->wish)
        return p->wish_frame;
    if (p->hunt.phase != PHASE_IDLE)
        return p->hunt.moving ? -1 : p->hunt.frame;
    return p->settle ? -1 : p->now.frame;
}

void player_step(struct player *p, int n)
{
    if (p->opening != OPEN_DONE || n == 0)
        return;
    player_play(p, false);
    if (!p->now.has_video)
        return;
    const int64_t base = step_base(p);
    if (p->listed && base >= 0 && p->steps == 0) {
        p->wish = true;
        p->wish_frame = timeline_clamp(p, base + n);
        p->wish_us = p->list.frame_us[p->wish_frame];
    } else {
        p->steps += n;
    }
    seek_next(p);
}

void player_play(struct player *p, bool on)
{
    if (p->now.playing == on || p->now.status == PLAYER_FAILED)
        return;
    if (on && p->now.ended)
        player_seek(p, p->now.loop_a_us > 0 ? p->now.loop_a_us : 0);
    p->now.playing = on;
    p->hunt.moving = true;
    if (p->opening != OPEN_DONE)
        return;
    core_set_flag(p, "pause", !on);
    if (!on)
        seek_settle(p);
}

void player_speed(struct player *p, double speed)
{
    p->now.speed = speed < 0.25 ? 0.25 : speed > 2 ? 2 : speed;
    core_set_number(p, "speed", p->now.speed);
}

void player_loop(struct player *p, int64_t a_us, int64_t b_us)
{
    const bool on = a_us >= 0 && b_us > a_us;
    char a[32] = "no", b[32] = "no";
    if (on) {
        const int64_t frame = timeline_nearest(p, a_us);
        snprintf(a, sizeof a, "%.6f", (double)seek_biased(p, a_us, frame) / 1e6);
        snprintf(b, sizeof b, "%.6f", (double)b_us / 1e6);
    }
    p->now.loop_a_us = on ? a_us : -1;
    p->now.loop_b_us = on ? b_us : -1;
    core_set_text(p, "ab-loop-a", a);
    core_set_text(p, "ab-loop-b", b);
}

void player_volume(struct player *p, double percent)
{
    p->volume = percent < 0 ? 0 : percent > 100 ? 100 : percent;
    core_set_number(p, "volume", p->volume);
}

void player_hush(struct player *p, bool on)
{
    core_set_flag(p, "mute", on);
}
