/* Writers: a struct of results in, the bytes of a file out. One file per format. */
#ifndef PAPER_PAPER_H
#define PAPER_PAPER_H

#include <stdbool.h>

#include "base/buf.h"
#include "mark/mark.h"
#include "paper/column.h"
#include "rank/report.h"

enum format {
    AS_TEXT,
    AS_CSV,
    AS_JSON,
    AS_VTT,
    AS_ANNOTATIONS,
    AS_CHAPTERS,
    AS_ICS,
    AS_PDF,
    AS_FORMATS
};

/* "text", "csv", "json", "vtt", "annotations", "chapters", "ics", "pdf" -> format; false when unknown. */
bool format_named(const char *name, enum format *out);
const char *format_name(enum format f);

/* --- fix lists ------------------------------------------------------------------------------ */

struct fixes_style {
    bool labels_only; /* no names of people */
    int width;        /* columns of a terminal; 0: 80 */
    bool brief;       /* one line for each fault */
    bool numbers;     /* rates, intervals, brackets, and how they are computed */
    bool links;       /* OSC 8 hyperlinks around moments (a terminal that has them) */
};

extern const struct column fixes_columns[];

/* Needs the moments. */
void fixes_text(const struct fix_report *r, const struct fixes_style *style, struct buf *out);
/* Needs the moments, too. */
void fixes_csv(const struct fix_report *r, struct buf *out);
/* {show, for, clips, keep, items, with}; needs the moments. */
void fixes_json(const struct fix_report *r, const struct fixes_style *style, struct buf *out);

/* --- call lists: the marks of one clip in time order ---------------------------------------- */

/* A UUID as it is written (RFC 9562, section 4), and the day and time (RFC 3339, UTC). */
struct call_birth {
    const char *uuid, *made_at;
};

struct call_report {
    const struct show *show;
    const char *title;
    struct report_clip clip;
    int fps_num, fps_den;
    const char *cues; /* WebVTT settings of every cue (" line:0"); NULL: none */
    bool timecode; /* text: SMPTE ST 12-1 instead of m:ss.mmm, drop-frame where the rate has it */
    int64_t length_us;
    const struct mark *marks;
    size_t n_marks;
    struct call_birth of_clip;     /* annotations */
    const struct call_birth *born; /* annotations: of each mark */
};

extern const struct column calls_columns[];

void calls_text(const struct call_report *r, struct buf *out);
void calls_csv(const struct call_report *r, struct buf *out);
void calls_json(const struct call_report *r, struct buf *out);
/* WebVTT: a cue per mark, two seconds before to three after. */
void calls_vtt(const struct call_report *r, struct buf *out);
/* W3C Web Annotation Data Model (2017): an AnnotationCollection with its one page, in the words of
 * show/annotations.h, from which `add marks` makes the same marks again. A mark without an author has
 * no creator. */
void calls_annotations(const struct call_report *r, struct buf *out);
/* FFmpeg's metadata format: a chapter from two seconds before each mark to where the next one begins,
 * and one of the clip's name before the first. */
void calls_chapters(const struct call_report *r, struct buf *out);

/* --- parts the writers share ---------------------------------------------------------------- */

/* One CSV cell (RFC 4180). A cell a spreadsheet would run (= + - @ tab) gets a ' before it, unless
 * it is a plain number; table_read() takes it off again. */
void csv_cell(struct buf *out, const char *text, bool first);
void csv_end(struct buf *out); /* CRLF */

/* A path, percent-encoded (RFC 3986). */
void iri_path(const char *path, struct buf *out);
/* The shortest that reads back as the same number. */
void put_exact(double x, struct buf *out);

/* "clip.mp4#t=356.2" for a moment at 358.2 s: it begins MARK_LEAD_IN_US before, as captions do. W3C Media Fragments URI 1.0, section 4.2.1 (npt seconds); the path is
 * percent-encoded (RFC 3986). */
void moment_link(const char *path, int64_t at_us, struct buf *out);

/* A mark's address within a web page, wherever one leads to it: "m=" and the first digits of its
 * number. */
enum { MOMENT_ID_DIGITS = 10 };
void moment_id(const struct report_moment *m, struct buf *out);

/* "830 KB", "1.2 MB", "61 MB": of 1000, as telephones and letter boxes count. */
void size_text(int64_t bytes, struct buf *out);

/* Text cut or padded to columns; "..." marks a cut. Control characters become '?'. */
void pad_text(struct buf *out, const char *text, int columns);

/* Columns that pad_text() needs to show it whole. */
int text_width(const char *text);

/* Text on one line: control characters become '?', line breaks a blank. Nothing is cut. */
void put_text(struct buf *out, const char *text);

/* "65.200" seconds; exact: to the microsecond where it is not a whole millisecond. */
void put_seconds(struct buf *out, int64_t us, bool exact);

/* Signs of the writers' own (×, –, ±) in ASCII; what else is not ASCII stays. */
void plain_text(struct buf *b);

/* What is safe to show anywhere: control characters become '?', except line ends and tabs. */
void tame_lines(struct buf *b);

/* "12 14 15A" */
void sets_text(const struct show *show, const struct rank_item *item, size_t most, struct buf *out);
/* A place as it is said, of a set and a count of 1 .. counts + 1 as they are stored: the end of a
 * set is its hold, else count 1 of the next set, else the end of the drill. */
struct place_said {
    enum { PLACE_NONE, PLACE_COUNT, PLACE_HOLD, PLACE_END } kind;
    int set;
    double count; /* PLACE_COUNT: 1 <= count < counts + 1, in thousandths; PLACE_HOLD: the last */
};
struct place_said place_said(const struct show *show, int set, double count);
/* What was measured at a mark and where that is: "late by 0.4 ± 0.1 counts; interval 1.4 ± 0.2 of 2, at
 * side 1, 2 outside 35; 4 behind front hash". Nothing where nothing is known. The place is said to a quarter of a
 * step. */
void measured_text(const struct show *show, const struct mark *m, struct buf *out);
/* "set 14, count 5 of 16", "set 14, count 16 and holding", "the end of set 14"; "" without a set */
void place_text(const struct show *show, int set, double count, struct buf *out);

#endif
