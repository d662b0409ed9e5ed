/* A score as MusicXML writes it down, before its repeats are played. Inner to the room. */
#ifndef SCORE_PAGE_H
#define SCORE_PAGE_H

#include <stdint.h>

#include "score/draft.h"

struct page_measure {
    const char *number;
    struct meter meter;       /* {0, 0}: as before */
    double content;           /* quarters that its notes and rests fill in the fullest part */
    bool forward;             /* a repeat begins */
    bool backward;            /* and ends */
    bool after_jump;          /* that repeat is played after a da capo or dal segno too */
    int times;                /* it is played altogether */
    uint64_t ending;          /* numbers of the volta that begins here, as bits; 0: none begins */
    bool ending_stop;         /* the volta ends with this measure */
    const char *segno, *coda; /* what it is called as a place to go to; NULL */
    const char *dalsegno, *tocoda; /* where to go from its end; NULL */
    bool dacapo, fine;
};

/* A tempo or a rehearsal mark. */
struct page_event {
    size_t measure; /* position */
    double at;      /* quarters from the measure's beginning */
    size_t order;   /* in the file */
    double bpm;     /* quarters a minute; 0: a mark */
    const char *text;
};

/* Words for players, and relations of two notes, which may have nothing behind them. */
enum page_passed { PASSED_JUMP, PASSED_TEMPO, PASSED_RELATION };
struct page_pass {
    size_t measure; /* position */
    enum page_passed kind;
    const char *text;
};

struct page {
    struct arena *a;
    const char *source, *title;
    struct page_measure *measures; /* heap */
    struct page_event *events;     /* heap */
    struct page_pass *passed;      /* heap */
    size_t n_passed, cap_passed;
    size_t n_measures, cap_measures, n_events, cap_events;
};

/* Bytes of XML (score-partwise or score-timewise) -> the page; page_free() whatever comes of it. */
bool page_read(const struct table_text *file, struct page *out, struct err *e);
void page_free(struct page *p);
/* What stands in words and is not played, a line each; "" where there is nothing. */
const char *page_passed_said(const struct page *p);

#endif
