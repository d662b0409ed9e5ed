#include "clip/open.h"
#include "clip/libav.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char container_formats[] = "mov,matroska,webm,mpegts,mpeg,avi,asf,flv,mxf,ogg,h264,hevc,"
                                 "m4v,mpegvideo,mjpeg,dv,ivf,wav,w64,aiff,caf,mp3,aac,ac3,flac,amr";

static int cancelled(void *cancel)
{
    return cancel && atomic_load((const atomic_bool *)cancel);
}

/* The reader is opened apart, so that it can still be asked when no container was found in it. */
static int open_reader(struct container *c)
{
    AVDictionary *options = NULL;
    av_dict_set(&options, "protocol_whitelist", "file", 0);
    /* With the protocol in front a name like 'a:b.mp4' is still a name. */
    char *url = av_asprintf("file:%s", c->path);
    if (!url)
        abort();
    const int code = avio_open2(&c->reader, url, AVIO_FLAG_READ, &c->interrupt, &options);
    av_free(url);
    av_dict_free(&options);
    return code;
}

static int open_file(struct container *c)
{
    AVDictionary *options = NULL;
    int code = open_reader(c);
    if (code < 0)
        return code;
    c->format = avformat_alloc_context();
    if (!c->format)
        abort();
    c->format->pb = c->reader;
    c->format->interrupt_callback = c->interrupt;
    av_dict_set(&options, "protocol_whitelist", "file", 0);
    av_dict_set(&options, "format_whitelist", container_formats, 0);
    av_dict_set(&options, "enable_drefs", "0", 0);
    code = avformat_open_input(&c->format, c->path, NULL, &options); /* frees when it fails */
    av_dict_free(&options);
    if (code >= 0)
        code = avformat_find_stream_info(c->format, NULL);
    return code < 0 && c->reader->error < 0 ? c->reader->error : code;
}

bool container_time(const AVStream *s, int64_t stamp, int64_t *us)
{
    static const int64_t most = INT64_C(1) << 60;
    if (stamp == AV_NOPTS_VALUE)
        return false;
    const int64_t t = av_rescale_q(stamp, s->time_base, AV_TIME_BASE_Q);
    if (t <= -most || t >= most)
        return false;
    *us = t;
    return true;
}

/* libmpv's clock begins at the container's start; in Matroska, which libmpv reads by itself, at the
 * first block as written, before a sound codec's delay is taken off. */
static void find_start(struct container *c)
{
    AVFormatContext *f = c->format;
    if (f->start_time != AV_NOPTS_VALUE && llabs(f->start_time / 2) < INT64_C(1) << 59)
        c->start_us = f->start_time;
    if (!strstr(f->iformat->name, "matroska"))
        return;
    c->held = av_packet_alloc();
    if (!c->held)
        abort();
    c->held_code = av_read_frame(f, c->held);
    if (c->held_code < 0)
        return;
    const AVStream *s = f->streams[c->held->stream_index];
    const AVCodecParameters *codec = s->codecpar;
    if (!container_time(s, c->held->pts, &c->start_us))
        return;
    if (codec->codec_type != AVMEDIA_TYPE_AUDIO || codec->sample_rate <= 0)
        return;
    /* Rounded to the track's clock, as libavformat did when it took it off. */
    const int64_t delay =
        av_rescale_q(codec->initial_padding, (AVRational){1, codec->sample_rate}, s->time_base);
    c->start_us += av_rescale_q(delay, s->time_base, AV_TIME_BASE_Q);
}

int container_open(struct container *c, const char *path, const atomic_bool *cancel)
{
    *c = (struct container){.path = path, .interrupt = {cancelled, (void *)(uintptr_t)cancel}};
    const int code = open_file(c);
    if (code >= 0) {
        find_start(c);
        return 0;
    }
    container_close(c);
    return code;
}

void container_close(struct container *c)
{
    av_packet_free(&c->held);
    avformat_close_input(&c->format);
    avio_closep(&c->reader);
}

int container_read(struct container *c, AVPacket *packet)
{
    int code = c->held_code;
    if (c->held) {
        av_packet_move_ref(packet, c->held);
        av_packet_free(&c->held);
    } else {
        code = av_read_frame(c->format, packet);
    }
    if (code < 0)
        return code;
    const AVStream *s = c->format->streams[packet->stream_index];
    const int64_t stamp = packet->pts != AV_NOPTS_VALUE ? packet->pts : packet->dts;
    int64_t us;
    if (container_time(s, stamp, &us))
        c->at_us = us - c->start_us;
    return 0;
}

bool container_ended(const struct container *c, int code, struct err *e)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    const int64_t tenths = c->at_us > 0 ? c->at_us / 100000 : 0;
    /* Some demuxers make an ordinary end of a failed read; the reader below them remembers. */
    const int disk = c->reader->error;
    if (disk >= 0 && code == AVERROR_EOF)
        return true;
    av_strerror(disk < 0 ? disk : code, why, sizeof why);
    return err_set(
        e, disk < 0 ? ERR_FAILED : ERR_INPUT, "%s: %s %lld:%02lld.%lld: %s; copy the clip again",
        c->path, disk < 0 ? "cannot be read beyond" : "is damaged behind",
        (long long)(tenths / 600), (long long)(tenths / 10 % 60), (long long)(tenths % 10), why);
}

bool container_disk_failed(int code)
{
    /* libavformat's own codes are far below zero; these of the system's it uses for strange files.
     */
    static const int strange[] = {EINVAL, ENOMEM, ENOSYS, ERANGE, EDOM, EAGAIN, EPERM};
    enum { SYSTEM = -4096 };
    for (size_t i = 0; i < sizeof strange / sizeof *strange; i++)
        if (code == AVERROR(strange[i]))
            return false;
    return code < 0 && code > SYSTEM;
}

bool container_unreadable(const char *path, int code, struct err *e)
{
    char why[AV_ERROR_MAX_STRING_SIZE] = "";
    av_strerror(code, why, sizeof why);
    return err_set(e, ERR_FAILED, "%s: cannot be read: %s; copy the clip again", path, why);
}
