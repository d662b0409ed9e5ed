#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>

#include "demo/bars.h"
#include "demo/watch.h"
#include "lib/run.h"

const char *demo_clip;

/* What is handed out lives until the program ends. */
static struct kept {
    json_t *json;
    void *heap;
} * kept;
static size_t n_kept, cap_kept;

static void free_kept(void)
{
    for (size_t i = 0; i < n_kept; i++) {
        json_decref(kept[i].json);
        free(kept[i].heap);
    }
    free(kept);
}

static void keep(json_t *json, void *heap)
{
    if (n_kept == 0)
        atexit(free_kept);
    kept = array_grow(kept, n_kept, &cap_kept, sizeof *kept);
    kept[n_kept++] = (struct kept){json, heap};
}

struct eye {
    AVFormatContext *file;
    AVCodecContext *codec[2]; /* picture, sound */
    int stream[2];
    struct watched *w;
    size_t cap_frames, cap_pcm;
};

static int cell_mean(const AVFrame *f, int cell)
{
    const int x = (2 * cell + 1) * f->width / (2 * BARS_CELLS), y = bars_height(f->height) / 2;
    int sum = 0;
    for (int dy = -1; dy <= 1; dy++)
        for (int dx = -2; dx <= 2; dx++)
            sum += f->data[0][(y + dy) * f->linesize[0] + x + dx];
    return sum / 15;
}

static long read_bars(const AVFrame *f)
{
    const int white = cell_mean(f, 0), black = cell_mean(f, 1), middle = (white + black) / 2;
    long number = 0;
    int parity = 0;
    if (white - black < 100)
        return -1;
    for (int i = 0; i < 16; i++) {
        const int bit = cell_mean(f, 2 + i) > middle;
        number = number << 1 | bit;
        parity ^= bit;
    }
    const bool right =
        (cell_mean(f, 18) > middle) == parity && (cell_mean(f, 19) > middle) != parity;
    return right ? number : -1;
}

static void copy_luma(uint8_t *to, const AVFrame *f)
{
    for (int y = 0; y < f->height; y++)
        memcpy(to + y * f->width, f->data[0] + y * f->linesize[0], (size_t)f->width);
}

static void see(struct eye *e, const AVFrame *f)
{
    struct watched *w = e->w;
    const AVRational tick = e->file->streams[e->stream[0]]->time_base;
    const size_t area = (size_t)f->width * (size_t)f->height;
    if (w->n_frames == 0) {
        w->first = arena_alloc(test_arena(), area);
        w->last = arena_alloc(test_arena(), area);
        copy_luma(w->first, f);
    }
    copy_luma(w->last, f);
    w->frame = array_grow(w->frame, w->n_frames, &e->cap_frames, sizeof *w->frame);
    w->frame[w->n_frames++] =
        (struct seen_frame){av_rescale_q(f->best_effort_timestamp, tick, (AVRational){1, 1000000}),
                            f->key_frame != 0, read_bars(f)};
}

static void hear(struct eye *e, const AVFrame *f)
{
    struct watched *w = e->w;
    const AVRational tick = e->file->streams[e->stream[1]]->time_base;
    const int64_t at = av_rescale_q(f->best_effort_timestamp, tick, (AVRational){1, w->rate});
    for (int i = 0; i < f->nb_samples; i++) {
        if (at + i < 0)
            continue;
        while ((int64_t)w->n_pcm <= at + i) {
            w->pcm = array_grow(w->pcm, w->n_pcm, &e->cap_pcm, sizeof *w->pcm);
            w->pcm[w->n_pcm++] = 0;
        }
        w->pcm[at + i] = ((const float *)(const void *)f->data[0])[i];
    }
}

static void decode(struct eye *e, int which, const AVPacket *p)
{
    AVFrame *f = av_frame_alloc();
    assert_true(avcodec_send_packet(e->codec[which], p) >= 0);
    while (avcodec_receive_frame(e->codec[which], f) >= 0)
        which == 0 ? see(e, f) : hear(e, f);
    av_frame_free(&f);
}

static void open_stream(struct eye *e, int which, enum AVMediaType type)
{
    const AVCodec *codec;
    e->stream[which] = av_find_best_stream(e->file, type, -1, -1, &codec, 0);
    if (e->stream[which] < 0)
        return;
    const AVStream *s = e->file->streams[e->stream[which]];
    e->codec[which] = avcodec_alloc_context3(codec);
    avcodec_parameters_to_context(e->codec[which], s->codecpar);
    e->codec[which]->pkt_timebase = s->time_base;
    assert_true(avcodec_open2(e->codec[which], codec, NULL) >= 0);
}

static int64_t stream_us(const struct eye *e, int which)
{
    const AVStream *s = e->file->streams[e->stream[which]];
    return av_rescale_q(s->duration, s->time_base, (AVRational){1, 1000000});
}

static void describe(struct eye *e)
{
    struct watched *w = e->w;
    open_stream(e, 0, AVMEDIA_TYPE_VIDEO);
    open_stream(e, 1, AVMEDIA_TYPE_AUDIO);
    assert_true(e->stream[0] >= 0);
    const AVStream *s = e->file->streams[e->stream[0]];
    w->codec = avcodec_get_name(s->codecpar->codec_id);
    w->width = s->codecpar->width;
    w->height = s->codecpar->height;
    w->fps_num = s->avg_frame_rate.num;
    w->fps_den = s->avg_frame_rate.den;
    w->length_us = stream_us(e, 0);
    const uint8_t *turn = av_stream_get_side_data(s, AV_PKT_DATA_DISPLAYMATRIX, NULL);
    if (turn)
        memcpy(w->matrix, turn, sizeof w->matrix);
    if (e->stream[1] < 0)
        return;
    w->sound_codec = avcodec_get_name(e->codec[1]->codec_id);
    w->rate = e->codec[1]->sample_rate;
    w->sound_us = stream_us(e, 1);
    assert_int_equal(e->codec[1]->sample_fmt, AV_SAMPLE_FMT_FLTP);
}

struct watched watch(const char *path)
{
    struct watched w = {0};
    struct eye e = {.w = &w};
    AVPacket *p = av_packet_alloc();
    av_log_set_level(AV_LOG_ERROR);
    assert_true(avformat_open_input(&e.file, path, NULL, NULL) >= 0);
    assert_true(avformat_find_stream_info(e.file, NULL) >= 0);
    describe(&e);
    int64_t last = INT64_MIN;
    while (av_read_frame(e.file, p) >= 0) {
        for (int which = 0; which < 2; which++)
            if (p->stream_index == e.stream[which])
                decode(&e, which, p);
        if (p->stream_index == e.stream[0]) {
            w.reorders |= p->pts < last;
            last = p->pts;
        }
        av_packet_unref(p);
    }
    for (int which = 0; which < 2; which++)
        if (e.codec[which])
            decode(&e, which, NULL);
    av_packet_free(&p);
    avcodec_free_context(&e.codec[0]);
    avcodec_free_context(&e.codec[1]);
    avformat_close_input(&e.file);
    keep(NULL, w.frame);
    keep(NULL, w.pcm);
    return w;
}

struct made make_clip(const char *options)
{
    const char *dir = temp_dir(), *words[25] = {0};
    struct made m = {path_in(dir, "clip.mp4"), path_in(dir, "truth.json"), NULL,
                     path_in(dir, "c.csv"),    path_in(dir, "p.csv"),      path_in(dir, "d.csv")};
    char *rest = arena_strdup(test_arena(), options);
    size_t n = 0;
    for (char *word; (word = strsep(&rest, " ")) && n < 24;)
        if (*word)
            words[n++] = word;
    assert_null(rest);
    const struct run r =
        run(demo_clip, "--out", m.clip, "--truth", m.truth, "--cameras", m.cameras, "--places",
            m.places, "--dots", m.dots, "--threads", "1", words[0], words[1], words[2], words[3],
            words[4], words[5], words[6], words[7], words[8], words[9], words[10], words[11],
            words[12], words[13], words[14], words[15], words[16], words[17], words[18], words[19],
            words[20], words[21], words[22], words[23], NULL);
    assert_quiet(r);
    json_error_t why;
    m.json = json_load_file(m.truth, JSON_REJECT_DUPLICATES, &why);
    if (!m.json)
        fail_msg("%s:%d: %s", m.truth, why.line, why.text);
    keep(m.json, NULL);
    return m;
}

double json_number_at(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);
    assert_true(json_is_number(v));
    return json_number_value(v);
}

const char *json_string_at(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);
    assert_true(json_is_string(v));
    return json_string_value(v);
}

const json_t *json_row(const json_t *list, const char *key, const char *text)
{
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *row = json_array_get(list, i);
        if (strcmp(json_string_at(row, key), text) == 0)
            return row;
    }
    return NULL;
}
