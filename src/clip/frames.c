#include "clip/frames.h"

#include "base/arena.h"
#include "base/number.h"
#include "clip/frames_inner.h"
#include "clip/guard.h"
#include "clip/libav.h"

static bool end(struct frames *f, struct err *e)
{
    e->code = ERR_NONE;
    e->text[0] = '\0';
    const bool cancelled = f->want.cancel && atomic_load(f->want.cancel);
    if (!cancelled && f->trouble.code != ERR_NONE)
        *e = f->trouble;
    else if (!cancelled && f->ended)
        container_ended(&f->file, f->end_code, e);
    return false;
}

/* --- going to a moment --------------------------------------------------------------------- */

/* How far before the wanted time reading begins. Where a clip has no index (MPEG streams), a seek
 * may land behind it: then again with more run-up, and at last from the beginning. */
static const int64_t run_up[] = {0, 2000000, 8000000, INT64_MAX};
enum { TRIES = sizeof run_up / sizeof *run_up };

static void forget(struct frames *f)
{
    avcodec_flush_buffers(f->codec);
    av_frame_unref(f->frame);
    av_frame_unref(f->shown);
    f->waiting = f->ended = false;
    f->fresh = true;
    f->key_us = f->before_us = f->last_us = INT64_MIN;
    f->fed = AV_NOPTS_VALUE;
    order_forget(&f->order);
}

/* To the beginning of the file: it is opened again, since not every kind can be sought to there. */
static bool rewind_file(struct frames *f)
{
    container_close(&f->file);
    f->stream = NULL;
    return frames_open_file(f, &f->trouble);
}

static int64_t stamp_of(const struct frames *f, int64_t us)
{
    return av_rescale_q(us_sum(us, f->file.start_us), AV_TIME_BASE_Q, f->stream->time_base);
}

static bool seek(struct frames *f)
{
    const int64_t before = run_up[f->tries++];
    const int64_t from = f->want.from_us - before;
    forget(f);
    if (f->tries == TRIES || (f->tries > 1 && from <= 0)) {
        f->tries = TRIES;
        return rewind_file(f);
    }
    if (av_seek_frame(f->file.format, f->stream->index, stamp_of(f, from), AVSEEK_FLAG_BACKWARD) <
        0)
        return rewind_file(f);
    av_packet_free(&f->file.held);
    return true;
}

bool frames_open(struct frames **out, const struct frames_want *want, struct err *e)
{
    *out = NULL;
    if (!clip_guard(want->path, e) || !libav_load(e))
        return false;
    struct frames *f = xcalloc(1, sizeof *f);
    f->want = *want;
    f->path = xstrdup(want->path);
    if (!frames_load(f, e)) {
        frames_close(f);
        return false;
    }
    forget(f);
    f->skips = f->may_skip;
    f->landed = f->want.from_us <= 0;
    if (!f->landed && !seek(f)) {
        *e = f->trouble;
        frames_close(f);
        return false;
    }
    *out = f;
    return true;
}

/* Would a seek begin at a packet that was decoded already? Without an index that reaches so far
 * nobody knows: then a moment within a second, some two groups of pictures. */
static bool seek_leads_back(const struct frames *f, int64_t from_us)
{
    enum { AHEAD_US = 1000000 };
    const int64_t at = stamp_of(f, from_us);
    const int n = avformat_index_get_entries_count(f->stream);
    const AVIndexEntry *last = n > 0 ? avformat_index_get_entry(f->stream, n - 1) : NULL;
    if (!last || last->timestamp < at || f->fed == AV_NOPTS_VALUE)
        return from_us - f->last_us <= AHEAD_US;
    const AVIndexEntry *key =
        avformat_index_get_entry_from_timestamp(f->stream, at, AVSEEK_FLAG_BACKWARD);
    return key && key->timestamp <= f->fed;
}

/* Is the picture that was decoded last the first one of that moment? Those before want.from_us
 * may have been skipped. */
static bool is_there(const struct frames *f, int64_t from_us)
{
    return f->landed && f->frame->buf[0] && from_us >= f->want.from_us && from_us > f->before_us &&
           (f->want.showing ? from_us == f->last_us : from_us <= f->last_us);
}

/* Is it reached by decoding on? */
static bool is_ahead(const struct frames *f, int64_t from_us)
{
    return f->landed && f->frame->buf[0] && from_us > f->last_us && seek_leads_back(f, from_us);
}

bool frames_seek(struct frames *f, int64_t from_us, struct err *e)
{
    const bool there = is_there(f, from_us), ahead = is_ahead(f, from_us);
    f->want.from_us = from_us;
    av_frame_unref(f->shown);
    if (from_us > 0 && (there || ahead)) {
        f->waiting = f->fresh = true; /* one that is too early is passed by */
        return true;
    }
    f->tries = 0;
    f->trouble.code = ERR_NONE;
    f->landed = from_us <= 0;
    forget(f);
    if (f->landed || !f->stream ? rewind_file(f) && (f->landed || seek(f)) : seek(f)) {
        f->skips = f->may_skip;
        return true;
    }
    return end(f, e);
}

/* --- one after the other ------------------------------------------------------------------- */

/* Nothing refers to a picture that is skipped, and it would not be handed out. Where the one that
 * shows is wanted, it is no longer known which that is, if they stand a second apart. */
enum { SHOWS_US = 1000000 };

static bool is_needed(const struct frames *f, const AVPacket *packet)
{
    int64_t us;
    if (!f->skips || packet->flags & AV_PKT_FLAG_KEY ||
        !container_time(f->stream, packet->pts, &us))
        return true;
    return us - f->file.start_us >= us_sum(f->want.from_us, f->want.showing ? -SHOWS_US : 0);
}

/* Sends the next packet of the stream, or that there are no more. */
static void feed(struct frames *f)
{
    while ((f->end_code = container_read(&f->file, f->packet)) >= 0) {
        const bool ours = f->packet->stream_index == f->stream->index;
        int64_t us;
        if (ours && f->key_us == INT64_MIN && f->packet->flags & AV_PKT_FLAG_KEY &&
            container_time(f->stream, f->packet->pts, &us))
            f->key_us = us - f->file.start_us;
        if (ours) {
            f->fed = f->packet->dts != AV_NOPTS_VALUE ? f->packet->dts : f->packet->pts;
            order_feed(&f->order, f->fed);
            f->codec->skip_frame = is_needed(f, f->packet) ? AVDISCARD_DEFAULT : AVDISCARD_NONREF;
            avcodec_send_packet(f->codec, f->packet); /* damaged: its picture is left out */
        }
        av_packet_unref(f->packet);
        if (ours)
            return;
    }
    f->ended = true;
    avcodec_send_packet(f->codec, NULL);
}

/* Can it be decoded rightly, and does it come behind the one before? */
static bool is_next(struct frames *f)
{
    int64_t us, stamp = f->frame->best_effort_timestamp;
    if (f->decode_only)
        stamp = order_of(&f->order, f->frame->pkt_dts, f->codec->has_b_frames);
    if (!container_time(f->stream, stamp, &us))
        return false;
    us -= f->file.start_us;
    if (us < f->key_us || us <= f->last_us)
        return false;
    f->before_us = f->last_us;
    f->last_us = us;
    return true;
}

/* The next picture of the file into f->frame; false at its end. */
static bool receive(struct frames *f)
{
    while (!f->waiting && f->trouble.code == ERR_NONE) {
        const int code = avcodec_receive_frame(f->codec, f->frame);
        if (code >= 0)
            f->waiting = is_next(f);
        else if (code == AVERROR(EAGAIN) || !f->ended)
            feed(f);
        else if (f->landed || f->tries == TRIES || !seek(f))
            break;
    }
    return f->waiting;
}

/* The first picture after a seek may lie behind what is wanted: then the seek is made again. */
static bool has_landed(struct frames *f)
{
    f->landed |= f->last_us <= f->want.from_us || f->tries == TRIES;
    return f->landed;
}

/* To the first picture at or behind the beginning, and in f->shown the one before it when that is
 * wanted; false at the end. */
static bool reach(struct frames *f)
{
    while (receive(f)) {
        if (f->last_us >= f->want.from_us && has_landed(f))
            return true;
        if (!has_landed(f)) {
            if (!seek(f))
                return false;
            continue;
        }
        f->waiting = false;
        if (!f->want.showing)
            continue;
        av_frame_unref(f->shown);
        av_frame_move_ref(f->shown, f->frame);
        f->shown_us = f->last_us;
    }
    return false;
}

/* Is it known which picture shows at the beginning, or may it have been skipped? */
static bool is_sure(const struct frames *f)
{
    const int64_t from = f->want.from_us;
    if (!f->want.showing || !f->skips || from <= 0 || !f->fresh)
        return true;
    if (f->waiting && f->last_us == from)
        return true;
    return f->shown->buf[0] && f->shown_us >= from - SHOWS_US;
}

/* The picture that is to be handed out next and its time; NULL at the end. */
static const AVFrame *next_frame(struct frames *f, int64_t *us)
{
    bool got = reach(f);
    if (!is_sure(f) && f->trouble.code == ERR_NONE) { /* once more, skipping none */
        f->skips = f->landed = false;
        f->tries = 0;
        got = seek(f) && reach(f);
    }
    f->fresh = false;
    if (f->shown->buf[0] && !(got && f->last_us == f->want.from_us)) {
        av_frame_unref(f->given);
        av_frame_move_ref(f->given, f->shown);
        *us = f->shown_us;
        return f->given;
    }
    av_frame_unref(f->shown);
    if (!got || (f->want.to_us > 0 && f->last_us >= f->want.to_us))
        return NULL;
    f->waiting = false;
    *us = f->last_us;
    return f->frame;
}

bool frames_next(struct frames *f, struct frame *out, struct err *e)
{
    int64_t us = 0;
    const AVFrame *frame;
    do {
        frame = next_frame(f, &us);
        if (!frame)
            return end(f, e);
    } while (!paint_frame(&f->paint, frame));
    *out = (struct frame){f->paint.upright, f->paint.shape.width, f->paint.shape.height, us};
    return true;
}
