/* The clips that benchmarks play, made once and kept in the folder BENCH_CLIPS (else a temporary
 * one): 1080p, 30 frames a second, H.264, without sound. */
#ifndef BENCH_CLIPS_H
#define BENCH_CLIPS_H

enum { CLIP_SECONDS = 8 };

/* The demo's band, seen from the press box (the program that DEMO_CLIP names draws it). */
const char *clip_marching(void);
/* ffmpeg's moving test pattern, where nearly every cell changes. */
const char *clip_pattern(void);
/* The marching clip from a camera that never stands still. */
const char *clip_swaying(void);
/* The marching clip so many times over. */
const char *clip_marching_long(int times);
/* A minute of the band with its sound, in a small picture, ten times over. */
const char *clip_ten_minutes(void);

#endif
