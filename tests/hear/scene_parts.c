/* From rows of signs to strokes and notes. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "scene_inner.h"

enum { ROW = 64, PROGRESSION = 4 };

struct hand {
    const struct performance *of;
    const struct part *part;
    struct track *track;
    struct dice *dice;
    double spread_s;
    enum voice clicks; /* what a metronome sounds like */
    double attack_s;   /* of winds */
    const int *chords; /* their roots in semitones, one every four counts */
    int degree;        /* where the tune stands in the scale */
};

/* --- struck -------------------------------------------------------------------------------- */

/* All players of a section strike at once, nearly; loud is that of the section. */
static void section(struct hand *h, const struct stroke *s)
{
    const int players = h->part->players;
    for (int p = 0; p < players; p++) {
        struct stroke own = *s;
        own.at_s += dice_normal(h->dice, h->spread_s);
        own.loud *= h->part->loud * dice_between(h->dice, 0.85, 1.15) / sqrt(players);
        own.tune *= 1 + 0.012 * (p - (players - 1) / 2.0);
        play_stroke(h->track, h->dice, &own);
    }
}

static void hit(struct hand *h, enum voice voice, double at_s, double loud, double tune)
{
    section(h, &(struct stroke){voice, at_s, loud, tune});
}

static double lower_db(double db)
{
    return pow(10, -db / 20);
}

void read_click(struct hand *h, const struct sign *s)
{
    const double tune = s->c == 'X' ? 1.5 : 1;
    hit(h, h->clicks, s->at_s, s->c == 's' ? lower_db(9) : 1, tune);
}

void read_sticks(struct hand *h, const struct sign *s)
{
    hit(h, VOICE_STICKS, s->at_s, 1, 1);
}

/* X accent, x tap, f accent with a grace note, r two taps in its step, R an accent and a tap. */
void read_snare(struct hand *h, const struct sign *s)
{
    const double tap = lower_db(12);
    if (s->c == 'f')
        hit(h, VOICE_SNARE, s->at_s - dice_between(h->dice, 0.025, 0.045), lower_db(10), 1);
    hit(h, VOICE_SNARE, s->at_s, strchr("XfR", s->c) ? 1 : tap, 1);
    if (strchr("rR", s->c))
        hit(h, VOICE_SNARE, s->at_s + s->step_s / 2, tap, 1);
}

/* 1 to 4: the drums of a set, a to d: taps on them. */
void read_tenor(struct hand *h, const struct sign *s)
{
    static const double tunes[] = {1.6, 1.25, 1, 0.8};
    const bool tap = s->c >= 'a';
    const int drum = tap ? s->c - 'a' : s->c - '1';
    hit(h, VOICE_TENOR, s->at_s, tap ? lower_db(10) : 1, tunes[drum]);
}

/* 1 to 5: one player's drum, the highest first; u: all of them. */
void read_bass(struct hand *h, const struct sign *s)
{
    static const double tunes[] = {1.7, 1.4, 1.2, 1, 0.85};
    for (int p = 0; p < 5; p++) {
        if (s->c != 'u' && s->c != '1' + p)
            continue;
        const double loud = s->c == 'u' ? 0.6 : 1;
        hit(h, VOICE_BASS, s->at_s + dice_normal(h->dice, h->spread_s), loud, tunes[p]);
    }
}

void read_hat(struct hand *h, const struct sign *s)
{
    hit(h, s->c == 'o' ? VOICE_CYMBAL : VOICE_HAT, s->at_s, s->c == 'x' ? 0.8 : 1, 1);
}

/* K bass, S snare, g a snare's tap. */
void read_groove(struct hand *h, const struct sign *s)
{
    if (s->c == 'K')
        hit(h, VOICE_BASS, s->at_s, 1, 1.1);
    else
        hit(h, VOICE_SNARE, s->at_s, s->c == 'S' ? 0.9 : 0.2, 1);
}

/* A everybody, b bass alone, t a tap of the snare. */
void read_accent(struct hand *h, const struct sign *s)
{
    if (s->c != 't')
        hit(h, VOICE_BASS, s->at_s, 1, 1);
    if (s->c != 'b')
        hit(h, VOICE_SNARE, s->at_s, s->c == 'A' ? 0.8 : lower_db(14), 1);
    if (s->c == 'A')
        hit(h, VOICE_TENOR, s->at_s, 0.5, 1);
}

/* Everybody for himself, on from a stroke of all. */
void hold_roll(struct hand *h, const struct leg *l)
{
    const double from = l->at[l->n], to = from + l->hold_s - 0.3;
    hit(h, VOICE_SNARE, from, 1, 1);
    for (int p = 0; p < h->part->players; p++) {
        const double step = dice_between(h->dice, 0.04, 0.055);
        for (double s = from + step; s < to; s += step * dice_between(h->dice, 0.9, 1.1))
            play_stroke(h->track, h->dice,
                        &(struct stroke){VOICE_SNARE, s, 0.25 * h->part->loud, 1});
    }
}

/* --- blown --------------------------------------------------------------------------------- */

static const int scale[] = {0, 2, 4, 5, 7, 9, 11};
static const int progressions[][PROGRESSION] = {
    {0, 5, 7, 0}, {0, 9, 5, 7}, {0, 7, 9, 5}, {0, 2, 7, 0}, {0, 4, 5, 7}};
static const double lowest_hz = 58.27; /* B flat 1 */

static double pitch(double semitones)
{
    return lowest_hz * exp2(semitones / 12);
}

struct breath {
    enum timbre timbre;
    double hz, loud, at_s, to_s;
};

static void blow(struct hand *h, const struct breath *b)
{
    const double at = b->at_s + dice_normal(h->dice, h->spread_s);
    play_note(h->track, h->dice, h->of->waves,
              &(struct note){
                  .timbre = b->timbre,
                  .at_s = at,
                  .length_s = 0.93 * (b->to_s - at),
                  .loud = b->loud * h->part->loud * dice_between(h->dice, 0.8, 1.2),
                  .hz = b->hz * (1 + dice_normal(h->dice, 0.0035)),
                  .attack_s = h->attack_s * dice_between(h->dice, 0.85, 1.15),
              });
}

/* The chord's tones from its root up: major on the first, fourth and fifth of the scale. */
static double chord_tone(int root, int tone)
{
    const bool major = root == 0 || root == 5 || root == 7;
    const int third = major ? 4 : 3;
    return root + (tone == 1 ? third : tone == 2 ? 7 : 0);
}

static int root_at(const struct hand *h, double counts)
{
    return h->chords[(size_t)(counts / 4 + 1e-6) % PROGRESSION];
}

void read_melody(struct hand *h, const struct sign *s)
{
    const int step = (int)dice_below(h->dice, 5) - 2;
    h->degree = h->degree + step < 0 || h->degree + step > 9 ? 4 : h->degree + step;
    const double semitones = scale[h->degree % 7] + 12 * (h->degree / 7);
    for (int p = 0; p < h->part->players; p++) {
        const bool flute = p % 4 == 3;
        blow(h, &(struct breath){flute        ? TIMBRE_FLUTE
                                 : p % 4 == 2 ? TIMBRE_REED
                                              : TIMBRE_BRASS,
                                 pitch(semitones + (flute ? 48 : 36)), 0.8, s->at_s, s->to_s});
    }
}

void read_harmony(struct hand *h, const struct sign *s)
{
    for (int p = 0; p < h->part->players; p++)
        blow(h, &(struct breath){p % 3 == 2 ? TIMBRE_REED : TIMBRE_BRASS,
                                 pitch(chord_tone(root_at(h, s->counts), p % 3) + 24), 0.7, s->at_s,
                                 s->to_s});
}

void read_low(struct hand *h, const struct sign *s)
{
    for (int p = 0; p < h->part->players; p++)
        blow(h, &(struct breath){TIMBRE_BRASS, pitch(root_at(h, s->counts) + 12 * (p % 2)), 1,
                                 s->at_s, s->to_s});
}

void hold_chord(struct hand *h, const struct leg *l)
{
    const double from = l->at[l->n];
    h->part->read(h, &(struct sign){'n', 0, from, from + l->hold_s - 0.15, 0});
}

/* --- rows ---------------------------------------------------------------------------------- */

static const char *draw_row(struct dice *d, const struct part *part, size_t length)
{
    size_t n = 0, fit[ROW], fitting = 0;
    for (; part->rows[n]; n++)
        if (length == 0 || strlen(part->rows[n]) == length)
            fit[fitting++] = n;
    return part->rows[fit[dice_below(d, fitting)]];
}

/* Half of one row and half of another, some of their light strokes gone and others come. */
static void splice(struct dice *d, const struct part *part, char *row)
{
    const size_t length = strlen(row);
    const char *other = draw_row(d, part, length);
    memcpy(row + length / 2, other + length / 2, length - length / 2);
    for (size_t i = 0; i < length; i++)
        if (dice_even(d) < 0.1)
            row[i] = row[i] == part->tap ? part->gap : row[i] == part->gap ? part->tap : row[i];
}

/* Two rows of one length: a tune is a, a, a, b. */
static void draw_rows(const struct performance *p, const struct part *part, char row[2][ROW])
{
    strcpy(row[0], draw_row(p->dice, part, 0));
    strcpy(row[1], draw_row(p->dice, part, strlen(row[0])));
    for (int k = 0; k < 2 && p->plan->spliced; k++)
        splice(p->dice, part, row[k]);
    if (part->keeps)
        strcpy(row[1], row[0]);
}

/* Reads the signs of a leg in time; a sign lasts until one that is not '-'. */
static void play_leg(struct hand *h, const struct leg *l, char row[2][ROW])
{
    const size_t length = strlen(row[0]), bar = (size_t)h->part->bar;
    const size_t steps = l->n * length / bar;
    const double step = (double)bar / (double)length;
    for (size_t i = 0, to; i < steps; i = to) {
        const char c = row[i / length % 4 == 3][i % length];
        for (to = i + 1; to < steps && row[to / length % 4 == 3][to % length] == '-'; to++)
            ;
        if (c == '.' || c == '-')
            continue;
        const double counts = step * (double)i, at = leg_time(l, counts);
        h->part->read(h, &(struct sign){c, counts, at, leg_time(l, step * (double)to),
                                        leg_time(l, counts + step) - at});
    }
}

void part_play(const struct performance *p, const struct part *part, struct track *t)
{
    struct dice *d = p->dice;
    static const enum voice clicks[] = {VOICE_BEEP, VOICE_BLOCK, VOICE_BELL};
    char row[2][ROW];
    struct hand h = {
        .of = p,
        .part = part,
        .track = t,
        .dice = d,
        .spread_s = p->plan->exact ? 0 : part->spread_s * dice_between(d, 0.75, 1.25),
        .clicks = clicks[dice_below(d, 3)],
        .attack_s = dice_between(d, 0.03, 0.08),
        .chords =
            progressions[(p->plan->seed >> 20) % (sizeof progressions / sizeof *progressions)],
        .degree = 4,
    };
    draw_rows(p, part, row);
    for (size_t k = 0; k < p->sheet->n; k++) {
        const struct leg *l = &p->sheet->leg[k];
        const bool off = l->set == COUNTED_OFF;
        if (part->plays != PLAYS_ALL && off != (part->plays == PLAYS_OFF))
            continue;
        if (!part->keeps)
            draw_rows(p, part, row);
        if (dice_even(d) >= part->rests)
            play_leg(&h, l, row);
        if (l->hold_s > 0 && p->sheet->held && part->hold)
            part->hold(&h, l);
    }
}
