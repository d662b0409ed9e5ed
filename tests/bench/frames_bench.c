/* A whole clip of 1080p looked through without a player, beside what cannot be saved: decoding it.
 *     frames_bench          CPU seconds, medians of interleaved repetitions */
#include <libavcodec/avcodec.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench.h"
#include "clip/frames.h"
#include "clip/open.h"
#include "clip/stream.h"
#include "clips.h"

enum { ROUNDS = 5 };

static void must(bool ok, const struct err *e)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", e->text);
    exit(1);
}

static double looking(const char *clip, enum frames_kind kind, int width)
{
    struct frames *f;
    struct frame fr;
    struct err e;
    const double from = bench_cpu();
    must(frames_open(&f, &(struct frames_want){.path = clip, .kind = kind, .width = width}, &e),
         &e);
    while (frames_next(f, &fr, &e))
        ;
    must(e.code == ERR_NONE, &e);
    frames_close(f);
    return bench_cpu() - from;
}

static double decoding(const char *clip)
{
    struct container c;
    const double from = bench_cpu();
    struct err e;
    must(libav_load(&e), &e);
    if (container_open(&c, clip, NULL) < 0)
        exit(1);
    const AVStream *s = stream_pick(c.format, AVMEDIA_TYPE_VIDEO);
    AVCodecContext *codec = avcodec_alloc_context3(avcodec_find_decoder(s->codecpar->codec_id));
    AVPacket *packet = av_packet_alloc();
    AVFrame *frame = av_frame_alloc();
    avcodec_parameters_to_context(codec, s->codecpar);
    codec->thread_count = 0;
    if (avcodec_open2(codec, codec->codec, NULL) < 0)
        exit(1);
    while (container_read(&c, packet) >= 0) {
        avcodec_send_packet(codec, packet);
        av_packet_unref(packet);
        while (avcodec_receive_frame(codec, frame) >= 0)
            ;
    }
    av_frame_free(&frame);
    av_packet_free(&packet);
    avcodec_free_context(&codec);
    container_close(&c);
    return bench_cpu() - from;
}

int main(void)
{
    double bare[ROUNDS], small[ROUNDS], whole[ROUNDS], colour[ROUNDS];
    const char *clip = clip_marching();
    decoding(clip); /* the file is in memory from here on */
    for (int i = 0; i < ROUNDS; i++) {
        bare[i] = decoding(clip);
        small[i] = looking(clip, FRAMES_LUMA, 320);
        whole[i] = looking(clip, FRAMES_LUMA, 0);
        colour[i] = looking(clip, FRAMES_RGB, 640);
    }
    const double per_second = bench_median(small, ROUNDS) / CLIP_SECONDS;
    printf("luma at 320 columns: %.3f CPU seconds a second of 1080p30\n", per_second);
    bench_at_most("luma, 320 columns / decoding alone", bench_ratio(small, bare, ROUNDS), 2, "");
    bench_at_most("luma, 1920 columns / decoding alone", bench_ratio(whole, bare, ROUNDS), 2, "");
    bench_at_most("RGB, 640 columns / decoding alone", bench_ratio(colour, bare, ROUNDS), 3, "");
    return bench_end();
}
