/* What clauses of talk say, before remarks are made of them. Inner to the room. */
#ifndef TALK_SENSE_H
#define TALK_SENSE_H

#include "talk/draft.h"
#include "talk/examples.h"
#include "talk/lexicon_inner.h"

struct talk {
    struct arena *a;
    const struct lexicon *l;
    const struct timed *timed;
    struct words w;
    struct hits hits;
    size_t *hit_at; /* of a word: its place among hits.at, or SIZE_MAX */
    struct uses uses;
    size_t *use_at; /* of a word: the first use at or behind it */
};

/* Words [from, to). */
struct span {
    size_t from, to;
};

/* --- the hits of a span ------------------------------------------------------------------------ */

const struct meaning *span_means(const struct talk *t, struct span s, enum mean is);
/* Is somebody spoken to in it, or spoken of: 'you', 'your feet'; 'they', 'their'? Whatever else these words
 * are a part of. */
bool speaks_to(const struct talk *t, struct span s);
bool speaks_of(const struct talk *t, struct span s);
/* The phrase's words as they were said. */
const char *said(const struct talk *t, size_t from, size_t n);

/* --- what it is about -------------------------------------------------------------------------- */

struct topic {
    int fault;                       /* -1 */
    double score, second;            /* of the fault, and of the next best one */
    double sign;                     /* what signs alone say of it */
    bool by_name;                    /* it is called as the show calls it, in two words or more */
    struct span where;               /* the words that speak of it most */
    double told_remark, told_praise; /* by examples, signed */
};

/* What clauses say that are added one by one. */
struct tally;
struct tally *tally_new(const struct talk *t);
void tally_clear(struct tally *k);
void tally_add(struct tally *k, struct span s);
/* Of all that was added, which is the words of s. */
struct topic tally_topic(struct tally *k, struct span s);
/* The words of s that speak of that fault most, "bells", "different heights" ... */
const char *topic_words(const struct talk *t, struct span s, const struct topic *topic);

/* --- praise or blame --------------------------------------------------------------------------- */

struct lean {
    double good, bad;
    bool wish, unsure;
    struct span words; /* that lean most; empty where none does */
};
struct lean lean_of(const struct talk *t, struct span s);

/* --- who --------------------------------------------------------------------------------------- */

enum { WHO_MOST = 8 };
struct who {
    struct draft_target at[WHO_MOST];
    size_t n;
    bool place;   /* they are only named as a place */
    bool all;     /* everybody */
    bool one;     /* one of them */
    bool some;    /* a few */
    size_t first; /* word of the first */
};
/* Who is spoken of; those that are only named as a place come when nobody else is. */
struct who spoken_of(const struct talk *t, struct span s);

/* --- how far off ------------------------------------------------------------------------------- */

bool size_of(const struct talk *t, struct span s, double *value, enum draft_unit *unit);

/* --- clauses ----------------------------------------------------------------------------------- */

enum clause_end { CLAUSE_GOES_ON, CLAUSE_SENTENCE, CLAUSE_PAUSE };
struct clause {
    struct span s;
    enum clause_end ends;
    struct who who;
    bool same, aside, story, self;
    size_t sentence; /* its number */
    bool loose;      /* nobody set stops around it: a sentence may begin anywhere */
};
struct clause *clauses_of(struct talk *t, size_t *n);

#endif
