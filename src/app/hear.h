/* A commentary heard: its text understood in the words of the open show, its times brought to a clip's. */
#ifndef APP_HEAR_H
#define APP_HEAR_H

#include "app/app.h"
#include "app/drafts.h"
#include "base/buf.h"
#include "talk/understand.h"

struct hear_choice {
    const struct clip *clip;
    struct timed_text file;
    const char *path; /* absolute; "" where it is no file */
    const char *kind; /* "voice"; NULL: "commentary" */
    struct talk_clock clock;
};

struct heard_talk {
    struct draft_list drafts; /* those within the clip */
    size_t n_words, n_known;  /* said; of these known */
    size_t outside;           /* remarks that lie before the clip or behind its end */
};

/* Reaction lead of who sits here, microseconds. */
int64_t hear_lead_us(struct app *a, struct arena *mem);

/* What the words of the open show and of the share folder mean; in mem. */
const struct lexicon *app_lexicon(struct app *a, struct arena *mem, struct err *e);
/* SHA-256 of the file in hex, by which a source is known again. */
bool hear_digest(const struct timed_text *file, char out[65], struct err *e);

/* The drafts live in mem. Errors name the file, or the table of words that is wrong. */
bool app_hear(struct app *a, struct arena *mem, const struct hear_choice *how,
              struct heard_talk *out, struct err *e);
/* Leaves those that the clip shows; one that begins a little before it is at its beginning. */
void hear_within(struct heard_talk *h, int64_t length_us, struct arena *mem);
/* Into the show's drafts: app_drafts_put(). */
bool app_hear_keep(struct app *a, const struct hear_choice *how, const struct heard_talk *h,
                   struct drafts_report *out, struct err *e);

#endif
