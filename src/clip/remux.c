#include "clip/remux.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/arena.h"
#include "base/number.h"
#include "clip/chapters.h"
#include "clip/edit_list.h"
#include "clip/guard.h"
#include "clip/kind.h"
#include "clip/open.h"
#include "clip/output.h"
#include "clip/packets.h"
#include "clip/stream.h"
#include "clip/libav.h"

static const AVRational microseconds = {1, 1000000};

struct copy {
    const struct remux_want *want;
    struct container file;
    struct output out;
    struct media media; /* of the clip */
    AVStream *from[STREAMS], *to[STREAMS];
    int64_t offset[STREAMS];   /* what is taken off the stamps */
    int64_t last_dts[STREAMS]; /* as written, in the clip's time base */
    AVPacket *packet;
    AVPacket **hidden; /* pictures that are not shown: written when one follows that is */
    size_t n_hidden, cap_hidden;
    int64_t shown_until_us, hidden_us; /* media times: the end of what is shown; the last picture
                                        * that was written and is not */
    int64_t said_us;                   /* media time at the last progress */
    struct err *e;
};

/* --- opening ------------------------------------------------------------------------------- */

static bool open_clip(struct copy *c, const char *path, const atomic_bool *cancel)
{
    if (!clip_guard(path, c->e) || !libav_load(c->e))
        return false;
    const int code = container_open(&c->file, path, cancel);
    if (container_disk_failed(code))
        return container_unreadable(path, code, c->e);
    if (code < 0)
        return err_set(c->e, ERR_INPUT,
                       "%s: not a clip this program can read; it may be cut short: copy it from "
                       "the phone again",
                       path);
    c->from[VIDEO] = stream_pick(c->file.format, AVMEDIA_TYPE_VIDEO);
    c->from[SOUND] = stream_pick(c->file.format, AVMEDIA_TYPE_AUDIO);
    if (c->from[VIDEO] || c->from[SOUND])
        return true;
    return err_set(c->e, ERR_INPUT, "%s: it has neither picture nor sound", path);
}

const char *remux_ending(const char *path, struct err *e)
{
    struct copy c = {.e = e};
    const struct kind *kind = open_clip(&c, path, NULL) ? kind_of(&c.file, c.from, e) : NULL;
    if (c.file.path)
        container_close(&c.file);
    return kind ? kind->ending : NULL;
}

/* --- the streams --------------------------------------------------------------------------- */

/* What says how the picture is to be shown; whatever else comes along stays out. */
static void copy_side_data(const AVStream *from, AVStream *to)
{
    static const enum AVPacketSideDataType shown[] = {
        AV_PKT_DATA_DISPLAYMATRIX,       AV_PKT_DATA_STEREO3D,
        AV_PKT_DATA_SPHERICAL,           AV_PKT_DATA_MASTERING_DISPLAY_METADATA,
        AV_PKT_DATA_CONTENT_LIGHT_LEVEL, AV_PKT_DATA_DOVI_CONF,
    };
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        size_t n = 0;
        const uint8_t *data = av_stream_get_side_data(from, shown[i], &n);
        uint8_t *copy = data ? av_stream_new_side_data(to, shown[i], n) : NULL;
        if (data && !copy)
            abort();
        if (copy)
            memcpy(copy, data, n);
    }
}

/* The four letters by which players know the codec: the clip's own where the new file knows them;
 * for HEVC 'hvc1', without which some do not show it. */
static uint32_t tag_for(const AVStream *from, const AVFormatContext *mux)
{
    const struct AVCodecTag *const *tags = mux->oformat->codec_tag;
    const AVCodecParameters *codec = from->codecpar;
    if (strcmp(mux->oformat->name, "mp4") != 0 && strcmp(mux->oformat->name, "mov") != 0)
        return 0;
    if (codec->codec_tag && av_codec_get_id(tags, codec->codec_tag) == codec->codec_id)
        return codec->codec_tag;
    return codec->codec_id == AV_CODEC_ID_HEVC ? MKTAG('h', 'v', 'c', '1') : 0;
}

static void add_stream(struct copy *c, int i)
{
    AVStream *from = c->from[i], *to = avformat_new_stream(c->out.mux, NULL);
    if (!to || avcodec_parameters_copy(to->codecpar, from->codecpar) < 0)
        abort();
    to->codecpar->codec_tag = tag_for(from, c->out.mux);
    to->time_base = from->time_base;
    to->disposition = AV_DISPOSITION_DEFAULT;
    to->avg_frame_rate = from->avg_frame_rate;
    to->r_frame_rate = from->r_frame_rate;
    if (i == VIDEO)
        to->sample_aspect_ratio = to->codecpar->sample_aspect_ratio =
            av_guess_sample_aspect_ratio(c->file.format, from, NULL);
    copy_side_data(from, to);
    c->to[i] = to;
    c->offset[i] = av_rescale_q(c->file.start_us, microseconds, from->time_base);
    /* What libavformat takes off a block's time in Matroska, its muxer does not put on again. */
    if (kind_is(c->file.format, "matroska") && i == SOUND && from->codecpar->sample_rate > 0)
        c->offset[i] -= av_rescale_q(from->codecpar->initial_padding,
                                     (AVRational){1, from->codecpar->sample_rate}, from->time_base);
    c->last_dts[i] = INT64_MIN;
}

static bool begin(struct copy *c)
{
    const struct kind *kind = kind_of(&c->file, c->from, c->e);
    if (!kind || !output_open(&c->out, c->want->to, kind->muxer, c->e))
        return false;
    for (int i = 0; i < STREAMS; i++)
        if (c->from[i])
            add_stream(c, i);
    chapters_add(c->out.mux, c->want, c->media.length_us);
    for (unsigned i = 0; i < c->file.format->nb_streams; i++) {
        AVStream *s = c->file.format->streams[i];
        if (s != c->from[VIDEO] && s != c->from[SOUND])
            s->discard = AVDISCARD_ALL;
    }
    if (kind_is(c->file.format, "avi"))
        c->file.format->flags |= AVFMT_FLAG_GENPTS;
    c->out.mux->avoid_negative_ts = AVFMT_AVOID_NEG_TS_DISABLED; /* it would move media time 0 */
    return output_begin(&c->out, c->e);
}

/* --- packet by packet ---------------------------------------------------------------------- */

static bool cancelled(const struct copy *c)
{
    return c->want->cancel && atomic_load(c->want->cancel);
}

static void say(struct copy *c, double part)
{
    if (c->want->progress)
        c->want->progress(c->want->user, part);
}

/* The copying is most of the work; looking at the copy is the rest. */
static void say_where(struct copy *c)
{
    static const double copying = 0.9;
    enum { EVERY_US = 1000000 };
    if (c->file.at_us - c->said_us < EVERY_US || c->media.length_us <= 0)
        return;
    c->said_us = c->file.at_us;
    say(c, copying * fmin((double)c->file.at_us / (double)c->media.length_us, 1));
}

static int place_of(const struct copy *c, const AVPacket *packet)
{
    int i = 0;
    while (i < STREAMS && !(c->from[i] && c->from[i]->index == packet->stream_index))
        i++;
    return i;
}

/* An AVI says only in which order its pictures are decoded: the first one is decoded and shown at
 * 0. libavformat makes its times so that none is decoded before 0, and all are shown later. */
static void put_first_at_0(struct copy *c, const AVPacket *packet)
{
    if (packet->pts > packet->dts && packet->dts != AV_NOPTS_VALUE)
        c->offset[VIDEO] += packet->pts - packet->dts;
}

static bool moved(struct copy *c)
{
    return err_set(
        c->e, ERR_INPUT,
        "%s: a copy would not keep the times of its pictures; cut the moments out instead",
        c->want->path);
}

static bool write_packet(struct copy *c, int i, AVPacket *packet)
{
    if (packet->pts != AV_NOPTS_VALUE)
        packet->pts -= c->offset[i];
    if (packet->dts != AV_NOPTS_VALUE) {
        packet->dts -= c->offset[i];
        /* The muxer wants them ascending; they are guessed where the clip does not say them. */
        if (packet->dts <= c->last_dts[i])
            packet->dts = c->last_dts[i] + 1;
        c->last_dts[i] = packet->dts;
    }
    packet->stream_index = c->to[i]->index;
    if (output_packet(&c->out, packet, c->from[i]->time_base, c->e))
        return true;
    return c->e->code == ERR_INPUT ? moved(c) : false;
}

/* What an edit list leaves out, but other pictures may refer to. Behind the last one that is shown
 * nothing does. */
static void hide(struct copy *c, AVPacket *packet)
{
    AVPacket *kept = av_packet_alloc();
    if (!kept)
        abort();
    av_packet_move_ref(kept, packet);
    c->hidden = array_grow(c->hidden, c->n_hidden, &c->cap_hidden, sizeof(AVPacket *));
    c->hidden[c->n_hidden++] = kept;
}

static void drop_hidden(struct copy *c)
{
    for (size_t k = 0; k < c->n_hidden; k++)
        av_packet_free(&c->hidden[k]);
    c->n_hidden = 0;
}

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static bool write_picture(struct copy *c, AVPacket *packet)
{
    if (c->last_dts[VIDEO] == INT64_MIN && c->n_hidden == 0 && kind_is(c->file.format, "avi"))
        put_first_at_0(c, packet);
    if (packet->flags & AV_PKT_FLAG_DISCARD) {
        hide(c, packet);
        return true;
    }
    const AVStream *s = c->from[VIDEO];
    int64_t us;
    for (size_t k = 0; k < c->n_hidden; k++) {
        if (container_time(s, c->hidden[k]->pts, &us))
            c->hidden_us = later(c->hidden_us, us - c->file.start_us);
        if (!write_packet(c, VIDEO, c->hidden[k]))
            return false;
    }
    drop_hidden(c);
    if (container_time(s, us_sum(packet->pts, packet->duration), &us))
        c->shown_until_us = later(c->shown_until_us, us - c->file.start_us);
    return write_packet(c, VIDEO, packet);
}

static bool copy_packets(struct copy *c)
{
    int code = 0;
    bool ok = true;
    while (ok && (code = container_read(&c->file, c->packet)) >= 0) {
        const int i = place_of(c, c->packet);
        ok = i == STREAMS ||
             (i == VIDEO ? write_picture(c, c->packet) : write_packet(c, i, c->packet));
        av_packet_unref(c->packet);
        say_where(c);
    }
    return ok && container_ended(&c->file, code, c->e);
}

/* --- is it the same? ----------------------------------------------------------------------- */

static bool same_times(const struct media *a, const struct media *b, int64_t tick_us)
{
    if (a->frames != b->frames)
        return false;
    for (size_t i = 0; i < a->frames; i++)
        if (llabs(a->frame_us[i] - b->frame_us[i]) > tick_us)
            return false;
    return a->has_video == b->has_video && a->has_sound == b->has_sound &&
           a->rotation == b->rotation && a->width == b->width && a->height == b->height;
}

/* Nothing that is hidden may be seen behind the end of what is shown. */
static bool end_shown(struct copy *c)
{
    if (c->hidden_us == INT64_MIN || c->hidden_us < c->shown_until_us ||
        edit_list_end(c->out.temp, c->shown_until_us))
        return true;
    return errno == EINVAL
               ? moved(c)
               : err_set(c->e, ERR_FAILED, "%s: cannot write it: %s", c->want->to, strerror(errno));
}

/* Of a clock of 1/90000 s or more both roundings, in Matroska a millisecond. */
static bool check(struct copy *c)
{
    const bool matroska = strcmp(c->out.mux->oformat->name, "mp4") != 0 &&
                          strcmp(c->out.mux->oformat->name, "mov") != 0;
    struct media made = {.fps_den = 1};
    struct err unread;
    const bool ok = packets_read(c->out.temp, c->want->cancel, &made, &unread) &&
                    same_times(&c->media, &made, matroska ? 1000 : 12);
    media_free(&made);
    return ok || moved(c);
}

static bool same_file(const char *a, const char *b)
{
    struct stat x, y;
    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

static bool run(struct copy *c)
{
    const struct remux_want *w = c->want;
    if (!open_clip(c, w->path, w->cancel))
        return false;
    if (same_file(w->path, w->to))
        return err_set(c->e, ERR_INPUT, "%s: is the clip itself; name another file for the copy",
                       w->to);
    if (!packets_read(w->path, w->cancel, &c->media, c->e) || !begin(c) || !copy_packets(c) ||
        !output_end(&c->out, c->e) || !end_shown(c) || !check(c) || cancelled(c) ||
        !output_place(&c->out, c->e))
        return false;
    say(c, 1);
    return true;
}

bool remux(const struct remux_want *want, struct err *e)
{
    struct copy c = {.want = want,
                     .media = {.fps_den = 1},
                     .shown_until_us = INT64_MIN,
                     .hidden_us = INT64_MIN,
                     .e = e};
    e->code = ERR_NONE;
    e->text[0] = '\0';
    if (!libav_load(e))
        return false;
    c.packet = av_packet_alloc();
    if (!c.packet)
        abort();
    const bool ok = run(&c);
    if (!ok && cancelled(&c)) {
        e->code = ERR_NONE;
        e->text[0] = '\0';
    }
    av_packet_free(&c.packet);
    drop_hidden(&c);
    free(c.hidden);
    output_close(&c.out);
    if (c.file.path)
        container_close(&c.file);
    media_free(&c.media);
    return ok;
}
