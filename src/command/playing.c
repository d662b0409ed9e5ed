#include "command/playing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/watch.h"
#include "count/late.h"
#include "mark/mark.h"

static const char still_opening[] = "the clip is still opening";

bool playing_ready(struct desk *d)
{
    if (d->player && d->play.status == PLAYER_READY)
        return true;
    desk_trouble(d, "%s", d->play.status == PLAYER_OPENING ? still_opening : "no clip is open");
    return false;
}

int64_t playing_frame_us(const struct desk *d)
{
    return d->play.fps_num > 0 ? (int64_t)1000000 * d->play.fps_den / d->play.fps_num : 0;
}

int64_t playing_hand_us(const struct desk *d)
{
    return d->play.playing ? llround(LATE_HAND_US * d->play.speed) : 0;
}

void go_to(struct desk *d, int64_t at_us)
{
    int64_t last = d->play.length_us;
    at_us = at_us < 0 ? 0 : at_us > last && last > 0 ? last : at_us;
    watch_end(d);
    player_seek(d->player, at_us);
    d->play.at_us = d->target_us = at_us;
}

int64_t place_us(const struct desk *d, int64_t us)
{
    int64_t frame = d->player ? player_frame_from(d->player, us) : -1;
    int64_t time = frame >= 0 ? player_frame_time(d->player, frame) : -1;
    return time > us ? time : us; /* past the last frame it stays what it is */
}

void go_to_place(struct desk *d, int64_t us)
{
    if (playing_ready(d))
        go_to(d, place_us(d, us));
}

/* Where playing began or went on. A loop that began again, a jump and Space each begin anew. */
static void note_beginning(struct desk *d, const struct player_state *before)
{
    const struct player_state *now = &d->play;
    enum { JITTER_US = 100000 };
    bool back = now->at_us + JITTER_US < before->at_us, looped = now->loop_a_us >= 0;
    if (!now->playing)
        d->began_us = -1;
    else if (d->target_us >= 0)
        d->began_us = d->target_us;
    else if (!before->playing || d->began_us < 0) /* from where the person stood */
        d->began_us = before->status == PLAYER_READY && !back ? before->at_us : now->at_us;
    else if (back) /* the loop began again: its first pictures may be past before we look */
        d->began_us = looped && now->loop_a_us < now->at_us ? now->loop_a_us : now->at_us;
}

bool seen_at(struct desk *d, int64_t *out)
{
    if (!d->clip || (d->play.status != PLAYER_READY && d->play.status != PLAYER_OPENING)) {
        desk_trouble(d, "no clip is playing; a mark needs a moment");
        return false;
    }
    *out = d->start_us;
    if (d->play.status == PLAYER_OPENING)
        return true;
    int64_t began = d->play.playing ? d->began_us : -1, loop = d->play.loop_a_us;
    if (began >= 0 && began < loop && loop <= d->play.at_us)
        began = loop;
    int64_t at = mark_time(d->play.at_us, d->lead_ms, d->play.speed, began);
    int64_t frame = player_frame_at(d->player, at);
    int64_t time = frame >= 0 ? player_frame_time(d->player, frame) : -1;
    if (time >= 0 && time < began && at >= began) /* the nearest frame is before it */
        time = player_frame_time(d->player, player_frame_from(d->player, began));
    *out = time >= 0 ? time : at;
    return true;
}

/* What waits for the clip to be ready: the loop around a moment from a list, playing. */
static void when_ready(struct desk *d)
{
    if (d->play.status != PLAYER_READY)
        return;
    if (d->loop_a_us >= 0) {
        player_loop(d->player, d->loop_a_us, d->loop_b_us);
        go_to(d, d->loop_a_us);
    }
    if (d->play_when_ready)
        player_play(d->player, true);
    d->loop_a_us = d->loop_b_us = -1;
    d->play_when_ready = false;
}

/* While the picture asked for is not there yet, now is where the person asked to be: keys pressed
 * fast add up. */
static void take_state(struct desk *d)
{
    d->play = player_poll(d->player);
    if (!d->play.seeking && d->play.status != PLAYER_OPENING)
        d->target_us = -1;
    if (d->target_us < 0)
        return;
    d->play.at_us = d->target_us;
    d->play.frame = player_frame_at(d->player, d->target_us);
}

bool playing_poll(struct desk *d)
{
    if (!d->player)
        return false;
    const struct player_state before = d->play;
    take_state(d);
    note_beginning(d, &before);
    if (d->play.view != d->view)
        d->view = d->play.view;
    if (d->play.status == PLAYER_FAILED && (d->play.changed & PLAYER_CHANGED_STATUS))
        desk_trouble(d, "%s", d->play.message);
    if (d->play.status == PLAYER_READY && strcmp(d->message, still_opening) == 0)
        d->message[0] = '\0'; /* it is true no longer */
    when_ready(d);
    watch_follow(d);
    return d->play.changed != 0;
}
