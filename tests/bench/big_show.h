/* A show file of a whole season, written straight into the tables. */
#ifndef BENCH_BIG_SHOW_H
#define BENCH_BIG_SHOW_H

/* Makes path: the demo's band, 40 clips of ten minutes on 20 days, all of them watched, and so many
 * marks, every twentieth of them with two targets, a fifth on whole sections. Some faults and
 * sections are far more frequent than others. The program ends when it fails. */
enum { BIG_CLIPS = 40 };
void big_show(const char *path, int marks);

#endif
