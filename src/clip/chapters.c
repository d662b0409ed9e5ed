#include "clip/chapters.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/utf8.h"
#include "clip/libav.h"

/* What every player takes: the older of the two lists in an MP4 has one byte for the length. */
enum { TITLE_MOST = 200 };

/* Heap memory. */
static char *title_of(const struct remux_chapter *c)
{
    char *title = xstrdup(c->title ? c->title : "");
    const size_t n = strlen(title);
    size_t at = 0, took = 0;
    utf8_tame(title);
    for (; at < n; at += took) {
        utf8_next(title + at, n - at, &took);
        if (at + took > TITLE_MOST)
            break;
    }
    title[at] = '\0';
    return title;
}

static int64_t earlier(int64_t a, int64_t b)
{
    return a < b ? a : b;
}

/* libavformat frees them with the muxer. */
static void add(AVFormatContext *mux, int64_t from_us, int64_t to_us, const char *title)
{
    AVChapter *c = av_mallocz(sizeof *c);
    AVChapter **all = av_realloc_array(mux->chapters, mux->nb_chapters + 1, sizeof *all);
    if (!c || !all)
        abort();
    mux->chapters = all;
    *c = (AVChapter){.id = (int64_t)mux->nb_chapters + 1,
                     .time_base = {1, 1000000},
                     .start = from_us,
                     .end = to_us};
    av_dict_set(&c->metadata, "title", title, 0);
    all[mux->nb_chapters++] = c;
}

void chapters_add(AVFormatContext *mux, const struct remux_want *want, int64_t length_us)
{
    for (size_t i = 0; i < want->n_chapters; i++) {
        const struct remux_chapter *c = &want->chapters[i];
        int64_t to = earlier(c->to_us, length_us);
        if (i + 1 < want->n_chapters)
            to = earlier(to, c[1].from_us);
        const int64_t from = c->from_us > 0 ? c->from_us : 0;
        char *title = title_of(c);
        if (from < to && title[0])
            add(mux, from, to, title);
        free(title);
    }
}
