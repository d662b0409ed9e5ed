/* What the readers of MusicXML's elements share. Inner to the room: page.c tells each element to the
 * function that its table names. */
#ifndef SCORE_PAGE_INNER_H
#define SCORE_PAGE_INNER_H

#include "score/page.h"
#include "score/xml.h"

enum { PAGE_PARTS = 1000, PAGE_DEEPEST = 64, PAGE_METERS = 8 };

/* What is being read. One direction or sound at a time: neither holds another. */
struct page_reading {
    struct page *page;
    double divisions[PAGE_PARTS]; /* of a quarter, in each part */
    bool timewise;
    size_t part, measure;         /* positions from 1; 0: none is open yet */
    char names[PAGE_DEEPEST][24]; /* of the open elements */
    size_t depth;
    double cursor, duration; /* quarters from the measure's beginning; of the note that is open */
    bool grace, chord;
    bool in_direction, bare;         /* bare: a sound outside a direction */
    double offset, tempo;            /* of the direction or sound */
    double beat, dotted, per_minute; /* of its metronome: quarters, what dots make of them */
    int units;                       /* notes that it names */
    bool offset_sounds;
    struct meter meters[PAGE_METERS]; /* that a time adds up */
    size_t n_meters;
    int beats;
};

struct page_measure *page_measure(struct page_reading *r); /* that is open */
/* Is the element that is open now right within one of that name? */
bool page_within(const struct page_reading *r, const char *name);
/* A plain decimal number between these, blanks around it; false for anything else. */
bool page_number(const char *text, double least, double most, double *out);
/* The errors of a file that says what it cannot mean; false. */
bool page_not_a(struct page_reading *r, const char *text, const char *what, struct err *e);
bool page_refused(struct page_reading *r, struct err *e); /* the measure before the message in e */

/* The most that a number in a file's own units may say. */
#define PAGE_MOST_UNITS 1e7

typedef bool page_begin_fn(struct page_reading *r, const struct xml_element *x, struct err *e);
typedef bool page_end_fn(struct page_reading *r, const char *text, struct err *e);

/* page_time.c */
page_begin_fn page_begin_note, page_begin_grace, page_begin_chord, page_begin_time;
page_end_fn page_end_duration, page_end_note, page_end_backup, page_end_forward, page_end_divisions,
    page_end_beats, page_end_beat_type, page_end_senza_misura, page_end_time;
/* page_tempo.c */
page_begin_fn page_begin_direction, page_begin_offset, page_begin_dot;
page_end_fn page_end_offset, page_end_rehearsal, page_end_beat_unit, page_end_per_minute,
    page_end_direction;
/* page_way.c: repeats, endings, jumps */
page_begin_fn page_begin_sound, page_begin_repeat, page_begin_ending;
page_end_fn page_end_sound;
/* page_passed.c */
page_end_fn page_end_words;
bool page_pass(struct page_reading *r, enum page_passed kind, const char *text); /* true */

#endif
