#include "clip/voice.h"

#include <stdlib.h>

#include "clip/libav.h"

enum { BITS_PER_CHANNEL = 56000 };

static int open_codec(struct voice *v, const AVCodec *codec)
{
    v->codec->sample_rate = heard_rate(v->from);
    v->codec->sample_fmt = AV_SAMPLE_FMT_FLTP;
    av_channel_layout_default(&v->codec->ch_layout, heard_channels(v->from));
    v->codec->bit_rate = (int64_t)BITS_PER_CHANNEL * heard_channels(v->from);
    v->codec->time_base = (AVRational){1, v->codec->sample_rate};
    v->codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    return avcodec_open2(v->codec, codec, NULL);
}

bool voice_open(struct voice *v, struct output *o, struct heard *from, struct err *e)
{
    *v = (struct voice){.from = from};
    if (!from)
        return true;
    const AVCodec *codec = avcodec_find_encoder(AV_CODEC_ID_AAC);
    if (!codec)
        return output_failed(o, AVERROR_ENCODER_NOT_FOUND, e);
    v->codec = avcodec_alloc_context3(codec);
    v->frame = av_frame_alloc();
    v->packet = av_packet_alloc();
    v->to = avformat_new_stream(o->mux, NULL);
    if (!v->codec || !v->frame || !v->packet || !v->to)
        abort();
    int code = open_codec(v, codec);
    if (code >= 0)
        code = avcodec_parameters_from_context(v->to->codecpar, v->codec);
    v->to->time_base = v->codec->time_base;
    return code >= 0 || output_failed(o, code, e);
}

void voice_close(struct voice *v)
{
    if (!v->codec)
        return;
    avcodec_free_context(&v->codec);
    av_frame_free(&v->frame);
    av_packet_free(&v->packet);
}

static bool write_ready(struct voice *v, struct output *o, struct err *e)
{
    int code;
    while ((code = avcodec_receive_packet(v->codec, v->packet)) >= 0) {
        v->packet->stream_index = v->to->index;
        if (!output_packet(o, v->packet, v->codec->time_base, e))
            return false;
    }
    return code == AVERROR(EAGAIN) || code == AVERROR_EOF || output_failed(o, code, e);
}

static bool encode(struct voice *v, struct output *o, int n, struct err *e)
{
    v->frame->format = v->codec->sample_fmt;
    v->frame->sample_rate = v->codec->sample_rate;
    v->frame->nb_samples = n;
    v->frame->pts = v->samples;
    av_channel_layout_copy(&v->frame->ch_layout, &v->codec->ch_layout);
    int code = av_frame_get_buffer(v->frame, 0);
    if (code < 0)
        return output_failed(o, code, e);
    float *channels[HEARD_MOST] = {0};
    for (int i = 0; i < heard_channels(v->from); i++)
        channels[i] = (float *)(void *)v->frame->data[i];
    const bool read = heard_read(v->from, channels, n, e);
    code = read ? avcodec_send_frame(v->codec, v->frame) : 0;
    av_frame_unref(v->frame);
    v->samples += n;
    return read && (code >= 0 ? write_ready(v, o, e) : output_failed(o, code, e));
}

static int64_t samples_at(const struct voice *v, int64_t us)
{
    return av_rescale(us, v->codec->sample_rate, 1000000);
}

bool voice_until(struct voice *v, struct output *o, int64_t until_us, struct err *e)
{
    bool ok = true;
    while (ok && v->from && v->samples + v->codec->frame_size <= samples_at(v, until_us))
        ok = encode(v, o, v->codec->frame_size, e);
    return ok;
}

bool voice_end(struct voice *v, struct output *o, int64_t end_us, struct err *e)
{
    if (!v->from)
        return true;
    if (!voice_until(v, o, end_us, e))
        return false;
    const int rest = (int)(samples_at(v, end_us) - v->samples);
    if (rest > 0 && !encode(v, o, rest, e))
        return false;
    const int code = avcodec_send_frame(v->codec, NULL);
    return code >= 0 ? write_ready(v, o, e) : output_failed(o, code, e);
}
