/* Frame numbers and times: everything that asks the clip's frame list. */
#include <stdio.h>
#include <stdlib.h>

#include "base/number.h"
#include "player/inside.h"

/* Number of the first frame at or after at_us (== frames when there is none). */
static size_t first_from(const struct media *list, int64_t at_us)
{
    size_t low = 0, high = list->frames;
    while (low < high) {
        const size_t mid = low + (high - low) / 2;
        if (list->frame_us[mid] < at_us)
            low = mid + 1;
        else
            high = mid;
    }
    return low;
}

int64_t timeline_nearest(const struct player *p, int64_t at_us)
{
    const struct media *list = &p->list;
    if (!p->listed)
        return -1;
    const size_t i = first_from(list, at_us);
    if (i == 0)
        return 0;
    if (i == list->frames)
        return (int64_t)i - 1;
    const bool before =
        us_apart(at_us, list->frame_us[i - 1]) <= us_apart(list->frame_us[i], at_us);
    return (int64_t)i - before;
}

int64_t timeline_clamp(const struct player *p, int64_t frame)
{
    const int64_t last = (int64_t)p->list.frames - 1;
    return frame < 0 ? 0 : frame > last ? last : frame;
}

void timeline_show(struct player *p, int64_t at_us)
{
    p->now.frame = timeline_nearest(p, at_us);
    p->now.at_us = p->now.frame < 0 ? at_us : p->list.frame_us[p->now.frame];
}

int64_t timeline_gap_before(const struct player *p, int64_t frame)
{
    if (frame <= 0 || frame >= (int64_t)p->list.frames)
        return INT64_MAX;
    return p->list.frame_us[frame] - p->list.frame_us[frame - 1];
}

int64_t timeline_slack(const struct player *p, int64_t frame)
{
    const int64_t before = timeline_gap_before(p, frame), after = timeline_gap_before(p, frame + 1);
    const int64_t gap = before < after ? before : after;
    return gap == INT64_MAX ? 20000 : gap / 2;
}

void timeline_take_list(struct player *p, struct media *list)
{
    const int64_t size_bytes = p->list.size_bytes;
    media_free(&p->list);
    p->list = *list;
    p->list.size_bytes = size_bytes;
    /* libmpv and libavformat may disagree about the start; libmpv's clock is the one we show. */
    const int64_t shift = list->start_us - p->start_offset_us;
    for (size_t i = 0; i < p->list.frames; i++)
        p->list.frame_us[i] += shift;
    p->listed = p->list.frames > 0;
    if (*list->trouble)
        snprintf(p->now.message, sizeof p->now.message, "%s", list->trouble);
    if (!p->listed && !list->has_sound)
        return;
    p->now.length_us = list->length_us + shift;
    p->now.fps_num = list->fps_num;
    p->now.fps_den = list->fps_den ? list->fps_den : 1;
    p->now.fps_varies = list->fps_varies;
}

void timeline_size(struct player *p)
{
    const bool swap = p->rotation % 180 != 0;
    p->now.width = swap ? p->raw_height : p->raw_width;
    p->now.height = swap ? p->raw_width : p->raw_height;
}

int64_t player_frame_time(const struct player *p, int64_t n)
{
    return p->listed && n >= 0 && n < (int64_t)p->list.frames ? p->list.frame_us[n] : -1;
}

int64_t player_frame_at(const struct player *p, int64_t at_us)
{
    return timeline_nearest(p, at_us);
}

int64_t player_frame_from(const struct player *p, int64_t at_us)
{
    return p->listed ? timeline_clamp(p, (int64_t)first_from(&p->list, at_us)) : -1;
}
