/* The line to the terminal: one segment at a time, and a bound on what is out unanswered. */
#ifndef PANE_WIRE_H
#define PANE_WIRE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/err.h"

enum { WIRE_SEGMENTS = 16, WIRE_SILENCE_US = 2000000 };

struct wire {
    int fd;
    bool answers;       /* each segment ends with CSI 5n and will be answered */
    bool shared;        /* fd is the caller's own, blocking: written in bits, when there is room */
    bool dead;          /* the terminal is gone; nothing is written any more */
    size_t bound;       /* most bytes out unanswered */
    struct buf segment; /* being written */
    size_t sent;        /* bytes of it that are out */
    struct {
        size_t bytes, ahead; /* its own; with all that was out when it went */
        int64_t at_us;
    } flight[WIRE_SEGMENTS]; /* oldest first */
    int in_flight;
    size_t flight_bytes, flight_most;
    int late;         /* answers given up on, which may still come */
    int64_t next_us;  /* without answers: not before then */
    int64_t rate_bps; /* smoothed, 0 while unknown */
    int64_t bytes, segments;
};

/* Opens the terminal behind fd once more, without blocking; where that is refused (the terminal is
 * another user's after su), makes do with a copy of fd. */
bool wire_open(struct wire *w, int fd, bool answers, size_t bound, struct err *e);
void wire_close(struct wire *w);

/* May a segment of so many bytes be begun now? (None is being written, and the bound holds.) */
bool wire_ready(struct wire *w, size_t bytes, int64_t now_us);
/* Writes on what is in w->segment; true when it is all out (or there was none). */
bool wire_write(struct wire *w, int64_t now_us);
bool wire_busy(const struct wire *w);
void wire_acknowledge(struct wire *w, int64_t now_us);
/* Answers that were asked for and may still come. */
int wire_awaited(const struct wire *w);
/* Microseconds until wire_ready() may change by itself; -1: it will not. */
int64_t wire_wait_us(const struct wire *w, int64_t now_us);
/* Writes the segment to its end, waiting for the terminal at most so long. */
void wire_drain(struct wire *w, int timeout_ms, int64_t now_us);

#endif
