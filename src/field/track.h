/* The camera of every frame of a clip, as it was followed: what stands still once, what moves for each
 * frame. */
#ifndef FIELD_TRACK_H
#define FIELD_TRACK_H

#include <stddef.h>
#include <stdint.h>

#include "field/measure.h"

struct track_frame {
    int64_t us;        /* media time */
    bool held;         /* by the lines; else it is the last camera that was */
    float bend[BENDS]; /* of the picture (field/camera.h) */
    float moving[4];   /* pan, tilt, roll (radians), focal length (pixels) */
};

/* Frames near each other; how sure the camera is differs little among them. */
struct track_piece {
    int64_t from_us;        /* of its first frame */
    struct track_frame *at; /* ascending */
    size_t n;
    double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS];
};

struct track {
    struct camera fixed; /* position, k1 and crown; the picture's size as it was followed in */
    double unsure[CAMERA_PARAMETERS][CAMERA_PARAMETERS]; /* covariance of what is fixed; else 0 */
    int views;              /* pictures that what is fixed was found in */
    double sideline_width;  /* inches; 0: none is seen */
    int64_t from_us, to_us; /* first and last frame that was followed; from_us > to_us: none */
    bool whole;             /* all of the clip */
    double checked;         /* steps by which lines that were not used were missed */
    int checked_lines;      /* how many; 0: none could be left out */
    struct track_piece *at; /* ascending; those of one clip do not overlap */
    size_t n;
};

/* One more piece, before all or behind all of them, copied into the arena; from_us, to_us and whole become
 * those of by_then. p NULL: only those. */
void track_extend(struct arena *a, struct track *t, const struct track *by_then,
                  const struct track_piece *p);

/* The camera of the frame that shows at a time, with its error; *held as of the frame. False where
 * nothing was followed yet: beyond a frame's length behind the last one, or before the first. */
bool track_at(const struct track *t, int64_t us, struct seen_by *out, bool *held);
/* The frame itself; NULL as above. */
const struct track_frame *track_frame_at(const struct track *t, int64_t us);

struct camera track_camera(const struct track *t, const struct track_frame *f);

/* What the whole of it says. */
struct track_sum {
    size_t frames, lost; /* that were followed; of those, not held */
    size_t bent;         /* of the held, those whose picture is bent */
    double turned;       /* between the furthest of pan and tilt, radians */
    double zoomed; /* share between the shortest focal length and the longest: 0.25 is a quarter */
};
struct track_sum track_sum(const struct track *t);

/* --- as bytes: TRACK_FRAME_BYTES a frame, little-endian ----------------------------------------- */

/* Bends stand by themselves, TRACK_BEND_BYTES a frame; a piece without any has none. */
enum { TRACK_BEND_BYTES = 4 * BENDS };
bool track_bent(const struct track_piece *p);
void track_bends_put(const struct track_piece *p, unsigned char *out);
/* For frames that were taken; n 0: none is bent. False as below. */
bool track_bends_take(const unsigned char *bytes, size_t n, struct track_piece *p);

enum { TRACK_FRAME_BYTES = 21, TRACK_COV_BYTES = 4 * 45, TRACK_UNSURE_BYTES = 4 * 15 };
/* A piece's frames lie within an hour of its from_us. What is fixed: X, Y, Z, k1, crown. */
void track_frames_put(const struct track_piece *p, unsigned char *out);
void track_cov_put(const struct track_piece *p, unsigned char out[TRACK_COV_BYTES]);
void track_unsure_put(const struct track *t, unsigned char out[TRACK_UNSURE_BYTES]);
/* p->from_us is set, and p->at has room for the frames of n bytes. False: bytes that no track has (a
 * wrong length, a number that is none, times that do not ascend or lie an hour off, a variance below
 * nothing). */
bool track_frames_take(const unsigned char *bytes, size_t n, struct track_piece *p);
bool track_cov_take(const unsigned char *bytes, size_t n, struct track_piece *p);
bool track_unsure_take(const unsigned char *bytes, size_t n, struct track *t);

#endif
