/* A clip's file as libavformat reads it: opened so that nothing it refers to is opened, with the
 * time that is media time 0, and with what really ended the reading. */
#ifndef CLIP_OPEN_H
#define CLIP_OPEN_H

#include <libavformat/avformat.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

/* The demuxers a clip may need, as libavformat's format_whitelist; none that opens other files. */
extern const char container_formats[];

struct container {
    const char *path; /* the caller's */
    AVFormatContext *format;
    AVIOContext *reader;
    AVIOInterruptCB interrupt;
    int64_t start_us; /* container time of media time 0, where the player's clock begins */
    int64_t at_us;    /* media time of the packet read last */
    AVPacket *held;   /* what had to be read to know start_us */
    int held_code;
};

/* Loads FFmpeg's libraries (sys/borrow.h), without which nothing below may be called, and keeps them
 * from printing. Any number of times, in any thread. */
bool libav_load(struct err *e);

/* Opens a local file and reads its header. 0, or a code of libavutil's with nothing left open.
 * Stops early once *cancel is true; cancel may be NULL. */
int container_open(struct container *c, const char *path, const atomic_bool *cancel);
void container_close(struct container *c); /* accepts a zeroed struct */

/* A stamp of a stream as container time; false when there is none, or it is beyond what times can
 * be reckoned with (36,000 years). */
bool container_time(const AVStream *s, int64_t stamp, int64_t *us);

/* The next packet, as av_read_frame(); of any stream that is not discarded, and the first one even
 * of one that is. */
int container_read(struct container *c, AVPacket *packet);

/* What ended the reading, `code` being what container_read() returned last: true at the end of the
 * file; false with e set where the file could not be read on, or is damaged so that the rest cannot
 * be found. A file that is cut short just ends. */
bool container_ended(const struct container *c, int code, struct err *e);

/* Is it the disk that failed, and not the file that is strange? */
bool container_disk_failed(int code);
/* "clip.mp4: cannot be read: Input/output error; copy the clip again". Returns false. */
bool container_unreadable(const char *path, int code, struct err *e);

#endif
