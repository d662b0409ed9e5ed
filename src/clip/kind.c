#include "clip/kind.h"

#include <string.h>

#include "clip/libav.h"

/* By what libavformat calls the clip's kind; the first that holds its codecs. */
static const struct family {
    const char *of;
    struct kind kinds[2];
} families[] = {
    {"mov,", {{"mp4", ".mp4"}, {"mov", ".mov"}}},
    {"matroska", {{"webm", ".webm"}, {"matroska", ".mkv"}}},
    {"", {{"mp4", ".mp4"}, {"matroska", ".mkv"}}},
};

bool kind_is(const AVFormatContext *file, const char *begins)
{
    return strncmp(file->iformat->name, begins, strlen(begins)) == 0;
}

static bool holds(const struct kind *kind, AVStream *const streams[STREAMS])
{
    const AVOutputFormat *format = av_guess_format(kind->muxer, NULL, NULL);
    for (int i = 0; i < STREAMS; i++)
        if (!format || (streams[i] && avformat_query_codec(format, streams[i]->codecpar->codec_id,
                                                           FF_COMPLIANCE_NORMAL) != 1))
            return false;
    return true;
}

const struct kind *kind_of(const struct container *clip, AVStream *const streams[STREAMS],
                           struct err *e)
{
    const struct family *family = families;
    while (!kind_is(clip->format, family->of))
        family++;
    for (size_t i = 0; i < sizeof family->kinds / sizeof *family->kinds; i++)
        if (holds(&family->kinds[i], streams))
            return &family->kinds[i];
    err_set(e, ERR_INPUT,
            "%s: its picture or sound is of a kind that cannot be copied into a file for others; "
            "cut the moments out instead",
            clip->path);
    return NULL;
}
