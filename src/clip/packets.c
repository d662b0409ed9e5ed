#include "clip/packets.h"

#include <fcntl.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/arena.h"
#include "base/number.h"
#include "clip/open.h"
#include "clip/stream.h"
#include "clip/libav.h"

static const AVRational microseconds = {1, 1000000};

struct packet_list {
    int64_t *us;
    size_t n, cap;
    int64_t key_us;  /* of the first keyframe: nothing before it can be decoded */
    int64_t last_us; /* the latest frame, and how long it lasts */
    int64_t last_long;
};

static bool unreadable(struct err *e, const char *path)
{
    return err_set(e, ERR_INPUT,
                   "%s: not a clip this program can read; it may be cut short: copy it from the "
                   "phone again",
                   path);
}

static int compare_us(const void *a, const void *b)
{
    const int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

static void add_packet(struct packet_list *list, const AVStream *s, const AVPacket *packet)
{
    const int64_t stamp = packet->pts != AV_NOPTS_VALUE ? packet->pts : packet->dts;
    int64_t us;
    if (!container_time(s, stamp, &us))
        return;
    if (list->key_us == AV_NOPTS_VALUE && !(packet->flags & AV_PKT_FLAG_KEY))
        return;
    if (list->key_us == AV_NOPTS_VALUE)
        list->key_us = us;
    if (us < list->key_us || packet->flags & AV_PKT_FLAG_DISCARD)
        return;
    list->us = array_grow(list->us, list->n, &list->cap, sizeof *list->us);
    list->us[list->n++] = us;
    if (us >= list->last_us) {
        list->last_us = us;
        if (!container_time(s, packet->duration, &list->last_long))
            list->last_long = 0;
    }
}

/* False with e set when the file did not end by itself. */
static bool read_all_packets(struct container *c, const AVStream *s, struct packet_list *list,
                             struct err *e)
{
    list->key_us = AV_NOPTS_VALUE;
    list->last_us = INT64_MIN;
    for (unsigned i = 0; i < c->format->nb_streams; i++)
        if (c->format->streams[i] != s)
            c->format->streams[i]->discard = AVDISCARD_ALL;
    AVPacket *packet = av_packet_alloc();
    if (!packet)
        abort();
    int code;
    while ((code = container_read(c, packet)) >= 0) {
        if (packet->stream_index == s->index)
            add_packet(list, s, packet);
        av_packet_unref(packet);
    }
    av_packet_free(&packet);
    return container_ended(c, code, e);
}

static size_t sort_unique(int64_t *us, size_t n)
{
    if (n == 0)
        return 0;
    qsort(us, n, sizeof *us, compare_us);
    size_t kept = 1;
    for (size_t i = 1; i < n; i++)
        if (us[i] != us[kept - 1])
            us[kept++] = us[i];
    return kept;
}

/* Do more than 2 % of the intervals differ from the usual one by over a tenth (and over what
 * rounding to the container's clock explains)? */
static bool varies(const int64_t *us, size_t n, int64_t tick_us)
{
    if (n < 3)
        return false;
    int64_t *gap = xcalloc(n - 1, sizeof *gap);
    for (size_t i = 0; i + 1 < n; i++)
        gap[i] = us[i + 1] - us[i];
    qsort(gap, n - 1, sizeof *gap, compare_us);
    const int64_t usual = gap[(n - 1) / 2];
    const int64_t slack = usual / 10 > 2 * tick_us ? usual / 10 : 2 * tick_us;
    size_t odd = 0;
    for (size_t i = 0; i + 1 < n; i++)
        odd += llabs(gap[i] - usual) > slack;
    free(gap);
    return odd * 50 > n - 1;
}

/* The container's nominal rate where the frames bear it out, else the measured mean. */
static void read_rate(AVFormatContext *file, AVStream *s, struct media *out)
{
    const int64_t tick = av_rescale_q(1, s->time_base, microseconds);
    out->fps_varies = varies(out->frame_us, out->frames, tick);
    const AVRational guess = av_guess_frame_rate(file, s, NULL);
    AVRational rate = guess;
    if (out->frames > 1) {
        const int64_t span = out->frame_us[out->frames - 1] - out->frame_us[0];
        const double mean = (double)(out->frames - 1) * 1e6 / (double)span;
        const double slack = 0.003 + 2.0 * (double)tick / (double)span;
        if (guess.num <= 0 || guess.den <= 0 || fabs(av_q2d(guess) / mean - 1) > slack)
            rate = av_d2q(mean, 1001);
    }
    out->fps_num = rate.num > 0 && rate.den > 0 ? rate.num : 0;
    out->fps_den = out->fps_num > 0 ? rate.den : 1;
}

static void read_video(AVFormatContext *file, AVStream *s, struct packet_list *list,
                       struct media *out)
{
    out->has_video = true;
    const struct stream_shape shape = stream_shape(file, s);
    out->width = shape.width;
    out->height = shape.height;
    out->rotation = shape.rotation;
    for (size_t i = 0; i < list->n; i++)
        list->us[i] -= out->start_us;
    out->frames = sort_unique(list->us, list->n);
    out->frame_us = list->us;
    read_rate(file, s, out);
    int64_t last = list->last_long;
    if (last <= 0 && out->frames > 1)
        last = out->frame_us[out->frames - 1] - out->frame_us[out->frames - 2];
    out->length_us = out->frames ? out->frame_us[out->frames - 1] + last : 0;
}

static void read_sound(const AVFormatContext *file, const AVStream *s,
                       const struct packet_list *list, struct media *out)
{
    out->fps_den = 1;
    if (list->n > 0)
        out->length_us = list->last_us + list->last_long - out->start_us;
    else if (s->duration != AV_NOPTS_VALUE)
        out->length_us = av_rescale_q(s->duration, s->time_base, microseconds);
    else if (file->duration != AV_NOPTS_VALUE)
        out->length_us = file->duration;
}

bool packets_read(const char *path, const atomic_bool *cancel, struct media *out, struct err *e)
{
    struct container c;
    if (!libav_load(e))
        return false;
    const int code = container_open(&c, path, cancel);
    if (container_disk_failed(code))
        return container_unreadable(path, code, e);
    if (code < 0)
        return unreadable(e, path);
    AVStream *video = stream_pick(c.format, AVMEDIA_TYPE_VIDEO),
             *sound = stream_pick(c.format, AVMEDIA_TYPE_AUDIO);
    AVStream *main_stream = video ? video : sound;
    struct packet_list list = {0};
    bool ok = main_stream ? read_all_packets(&c, main_stream, &list, e) : unreadable(e, path);
    ok = ok && (list.n > 0 || unreadable(e, path));
    out->start_us = c.start_us;
    if (ok) {
        out->has_sound = sound != NULL;
        if (video) {
            read_video(c.format, video, &list, out);
            list.us = NULL;
        } else {
            read_sound(c.format, sound, &list, out);
        }
    }
    free(list.us);
    container_close(&c);
    return ok;
}

int64_t packets_sniff(const char *path, bool *stream)
{
    enum { TS = 188, M2TS = 192, PACKETS = 4 };
    uint8_t head[M2TS * PACKETS + 4] = {0};
    struct stat st = {0};
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0 || fstat(fd, &st) != 0 || pread(fd, head, sizeof head, 0) < 0)
        head[0] = 0;
    if (fd >= 0)
        close(fd);
    int ts = 0, m2ts = 0;
    for (size_t i = 0; i < PACKETS; i++) {
        ts += head[i * TS] == 0x47;
        m2ts += head[i * M2TS + 4] == 0x47;
    }
    *stream = ts == PACKETS || m2ts == PACKETS || memcmp(head, "\0\0\1\xba", 4) == 0;
    return st.st_size;
}
