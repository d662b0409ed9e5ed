/* Spoken calls of a show: its own words as what may be said, a recording in, calls out. */
#ifndef APP_VOICE_H
#define APP_VOICE_H

#include "base/buf.h"
#include "hear/spoken.h"
#include "talk/said_call.h"
#include "talk/understand.h"

/* An ear for the show as it is now. The show must stay where it is; app_voice_again() after it was read again. */
struct app_voice;
bool app_voice_open(struct app_voice **out, const struct show *show, struct err *e);
void app_voice_close(struct app_voice *v); /* accepts NULL */

/* The same in two steps, for whoever must not wait: what may be said, some 30 ms, and the ear, a quarter
 * of a second, which another thread may make. */
bool app_voice_begin(struct app_voice **out, const struct show *show, struct err *e);
bool app_voice_make_ear(struct app_voice *v, struct err *e);
struct speech *app_voice_ear(struct app_voice *v); /* for samples that are there already */
/* The show was read again. True: the same may be said of it, so that the ear serves, and what it hears is
 * read as the show is now; false: begin anew. */
bool app_voice_again(struct app_voice *v, const struct show *show);

struct heard_call {
    int64_t from_us, to_us; /* of the recording: first word's beginning, last one's end */
    struct said_call call;
    const char *quote; /* the words */
    double confidence; /* 0 .. 1 that it was said, and so */
};
struct heard_calls {
    const struct heard_call *at; /* in time order, however unlikely */
    size_t n;
    size_t stretches; /* in which somebody talked */
};
/* Below this confidence it was other talk rather. */
extern const double app_voice_sure;

/* All that is said in a file with sound, a call between pauses each. */
bool app_voice_file(struct app_voice *v, const struct spoken_want *want, struct arena *a,
                    struct heard_calls *out, struct err *e);
/* What speech_hear() handed out, as a call; false when it is none. */
bool app_voice_read(struct app_voice *v, struct arena *a, const struct speech_said *said,
                    struct heard_call *out);

/* Those that are sure, as drafts whose times are the clip's. */
struct draft_list app_voice_drafts(struct arena *a, const struct show *show,
                                   const struct heard_calls *calls, const struct talk_clock *clock);

/* Adds a line for each name or word of the show that cannot be heard, "note: ..."; nothing where there is
 * no recogniser. */
void app_voice_unheard(const struct show *show, struct buf *talk);

#endif
