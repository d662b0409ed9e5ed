/* The kinds of scenes, and what their bands play. */
#include "scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "scene_inner.h"

/* --- rows ---------------------------------------------------------------------------------- */

/* Sixteen signs are sixteenths of four counts, twelve are triplets, eight are eighths; winds have
 * eighths of eight counts. */
static const char *const click_rows[] = {"xxxx",     "xxxx",     "Xxxx",         "Xxxx",
                                         "xsxsxsxs", "XsxsXsxs", "xssxssxssxss", "xsssxsssxsssxsss",
                                         NULL};
static const char *const stick_rows[] = {"xxxx", NULL};
static const char *const snare_rows[] = {
    "XxxxXxxxXxxxXxxx", "XxxXxxXxXxxXxxXx", "XxxxxxXxXxxxXxxx", "X.xxX.xxX.xxX.xx",
    "fxxxXxxxfxxxXrrr", "XrrrXrrrXrXrXrrr", "f...f..xf.f.f...", "X.x.XxxxX.x.Xrxr",
    "xXxxxXxxXxxXxXxx", "rrrrrrrrXxxxX...", "X...X...X.X.X.X.", "f..xf..xfxxxf..x",
    "XxxXxxXxxXxx",     "fxxXxxfxxXxx",     "XxxRrrXxxfxx",     NULL};
static const char *const tenor_rows[] = {"1...2...3...4...", "1a1a2b2b3c3c4d4d", "1aa2aa3a1aa2aa3a",
                                         "1b3d..1b3d..1b3d", "4d3c2b1a4d3c2b1a", "1.2.3.4.1.2.3.4.",
                                         "3ccc2bbb1aaa2bbb", "1...1.2.3...4.2.", "123412341234",
                                         "1aa2bb3cc4dd",     "11223344",         NULL};
static const char *const bass_rows[] = {"u...u...u...u...",
                                        "u.......u.......",
                                        "u...u...u.u.u...",
                                        "1234....u...5432",
                                        "12345...u...u...",
                                        "u...3.4.u...2.1.",
                                        "5544332211..u...",
                                        "u.1.2.3.u.5.4.3.",
                                        "u..2..3.u..4..5.",
                                        "u...1234u...5432",
                                        "123345u..u..",
                                        "u..u..345u..",
                                        NULL};
static const char *const hat_rows[] = {"x.x.x.x.x.x.x.x.",
                                       "xxxxxxxxxxxxxxxx",
                                       "X.x.X.x.X.x.X.x.",
                                       "XxxxXxxxXxxxXxxx",
                                       "x.xxx.xxx.xxx.xx",
                                       "x.o.x.o.x.o.x.o.",
                                       NULL};
static const char *const groove_rows[] = {
    "K...S...K...S...", "K.....K.S.......", "K...S..KK.K.S...", "K.K.S...K.K.S.gg",
    "K..KS..K.K..S...", "K...S.g.KgK.S.gg", "K...K...K...K...", NULL};
static const char *const accent_rows[] = {"A..A..A.A..A..A.",
                                          "A..A..A...A.A...",
                                          "A..A...A..A.A...",
                                          "..A...A...A...A.",
                                          "A..A..A..A..A.A.",
                                          "..b.t.b...b.t.b.",
                                          "A.....A...A.A...",
                                          "...A...A...A...A",
                                          "A.bA.b..A.bA.b..",
                                          "b..A..A...A..A..",
                                          NULL};
static const char *const pulse_rows[] = {"x...x...x...x...", "x.......x.......", "x...............",
                                         "x...x.......x...", NULL};
static const char *const melody_rows[] = {"n-n-n-n-n-n-n-n-",
                                          "n---n---n---n---",
                                          "n-nnn-n-n-nnn---",
                                          "n--nn-n-n--nn---",
                                          "n-n-n---n-n-n---",
                                          "nnnnn-n-nnnnn---",
                                          "n---n-n-n---nnn-",
                                          ".nn-.nn-n-n-n---",
                                          "n-------n-n-n-n-",
                                          "n---------------",
                                          NULL};
static const char *const harmony_rows[] = {
    "n---n---n---n---", "n-------n-------", "n-n-n-n-n-n-n-n-", ".n.n.n.n.n.n.n.n",
    "n-n-n---n-n-n---", "n---n-n-n---n-n-", "n---------------", NULL};
static const char *const low_rows[] = {"n-n-n-n-n-n-n-n-",
                                       "n---n---n---n---",
                                       "n.n.n.n.n.n.n.n.",
                                       "n-n-n---n-n-n---",
                                       "n--nn---n--nn---",
                                       "n-------n---n---",
                                       NULL};

enum part_name {
    NOBODY,
    CLICK,
    STICKS,
    SNARES,
    TENORS,
    BASSES,
    HATS,
    GROOVE,
    ACCENTS,
    PULSE,
    MELODY,
    HARMONY,
    LOW,
    PARTS
};

/* rows, bar, players, spread_s, loud, rests, tap, gap, plays, wind, keeps, read, hold */
static const struct part parts[PARTS] = {
    [CLICK] = {click_rows, 4, 1, 0, 0.8, 0, 's', 's', PLAYS_ALL, false, true, read_click, NULL},
    [STICKS] = {stick_rows, 4, 1, 0.002, 0.5, 0, 'x', 'x', PLAYS_OFF, false, true, read_sticks,
                NULL},
    [SNARES] = {snare_rows, 4, 6, 0.004, 0.5, 0.15, 'x', '.', PLAYS_SETS, false, false, read_snare,
                hold_roll},
    [TENORS] = {tenor_rows, 4, 3, 0.004, 0.4, 0.3, 'a', '.', PLAYS_SETS, false, false, read_tenor,
                NULL},
    [BASSES] = {bass_rows, 4, 1, 0.004, 0.6, 0, '3', '.', PLAYS_SETS, false, false, read_bass,
                NULL},
    [HATS] = {hat_rows, 4, 2, 0.003, 0.8, 0, 'x', '.', PLAYS_SETS, false, true, read_hat, NULL},
    [GROOVE] = {groove_rows, 4, 1, 0.003, 0.5, 0, 'g', '.', PLAYS_SETS, false, false, read_groove,
                NULL},
    [ACCENTS] = {accent_rows, 4, 3, 0.004, 0.6, 0, 't', '.', PLAYS_SETS, false, false, read_accent,
                 NULL},
    [PULSE] = {pulse_rows, 4, 1, 0.003, 0.25, 0.25, 'x', '.', PLAYS_SETS, false, false, read_sticks,
               NULL},
    [MELODY] = {melody_rows, 8, 6, 0.02, 0.12, 0.1, 'n', '-', PLAYS_SETS, true, false, read_melody,
                hold_chord},
    [HARMONY] = {harmony_rows, 8, 6, 0.02, 0.1, 0.1, 'n', '-', PLAYS_SETS, true, false,
                 read_harmony, hold_chord},
    [LOW] = {low_rows, 8, 4, 0.02, 0.16, 0, 'n', '-', PLAYS_SETS, true, false, read_low,
             hold_chord},
};

/* --- kinds --------------------------------------------------------------------------------- */

enum air { AIR_MIXED, AIR_ECHO, AIR_CROWD };

#define DRUM_LINE                                                                                  \
    {                                                                                              \
        SNARES, TENORS, BASSES                                                                     \
    }
#define WINDS                                                                                      \
    {                                                                                              \
        MELODY, HARMONY, LOW                                                                       \
    }
#define FULL_BAND                                                                                  \
    {                                                                                              \
        SNARES, TENORS, BASSES, MELODY, HARMONY, LOW                                               \
    }
#define WITH_HATS                                                                                  \
    {                                                                                              \
        HATS, GROOVE, MELODY, HARMONY, LOW                                                         \
    }

static const struct kind_row {
    const char *name;
    enum form form;
    enum air air;
    bool machine;
    enum part_name line_up[2][6];
} kinds[SCENE_KINDS] = {
    [SCENE_METRONOME] = {"metronome", FORM_STEADY, AIR_MIXED, true, {{CLICK}, {CLICK}}},
    [SCENE_DRUM_LINE] = {"drum-line", FORM_STEADY, AIR_MIXED, false, {DRUM_LINE, DRUM_LINE}},
    [SCENE_HATS] = {"hats", FORM_STEADY, AIR_MIXED, false, {{HATS, GROOVE}, {HATS, BASSES}}},
    [SCENE_OFF_BEAT] =
        {"off-beat", FORM_STEADY, AIR_MIXED, false, {{ACCENTS, PULSE}, {ACCENTS, PULSE, LOW}}},
    [SCENE_WINDS] = {"winds", FORM_STEADY, AIR_MIXED, false, {WINDS, WINDS}},
    [SCENE_FULL] = {"full-band", FORM_STEADY, AIR_MIXED, false, {FULL_BAND, WITH_HATS}},
    [SCENE_ECHO] = {"echo", FORM_STEADY, AIR_ECHO, false, {DRUM_LINE, FULL_BAND}},
    [SCENE_CROWD] = {"crowd", FORM_STEADY, AIR_CROWD, false, {DRUM_LINE, FULL_BAND}},
    [SCENE_RAMP] = {"ramps", FORM_RAMP, AIR_MIXED, false, {DRUM_LINE, FULL_BAND}},
    [SCENE_HOLD] = {"holds", FORM_HOLD, AIR_MIXED, false, {DRUM_LINE, FULL_BAND}},
    [SCENE_TALK] = {"talk", FORM_TALK, AIR_MIXED, false, {DRUM_LINE, FULL_BAND}},
};

const char *scene_name(enum scene_kind kind)
{
    return kinds[kind].name;
}

enum scene_kind scene_kind(const char *name)
{
    enum scene_kind k = 0;
    while (k < SCENE_KINDS && strcmp(kinds[k].name, name) != 0)
        k++;
    return k;
}

/* Of the crowd the first four levels are a drum line's, the others a full band's. */
static const enum part_name *line_up(const struct scene_plan *plan)
{
    const struct kind_row *k = &kinds[plan->kind];
    return k->line_up[k->air == AIR_CROWD ? plan->number >= 4 : plan->number % 2];
}

/* --- plans --------------------------------------------------------------------------------- */

/* Dry, noisy, in a room, in turn. */
static struct scene_air mixed_air(struct dice *d, int turn)
{
    struct scene_air air = {.noise = NOISE_LIGHT, .snr_db = dice_between(d, 40, 50)};
    if (turn == 1)
        air.snr_db = dice_between(d, 15, 28);
    if (turn == 2) {
        air.slap_s = dice_between(d, 0.012, 0.04);
        air.slap_db = dice_between(d, -9, -5);
        air.rt60_s = dice_between(d, 0.4, 0.9);
        air.tail_db = dice_between(d, -9, -4);
    }
    return air;
}

static struct scene_air draw_air(struct dice *d, enum air kind, int number)
{
    static const double crowd_db[SCENE_EACH] = {20, 10, 5, 0, 20, 10, 5, 0, 5};
    if (kind == AIR_ECHO)
        return (struct scene_air){.slap_s = dice_between(d, 0.12, 0.35),
                                  .slap_db = dice_between(d, -10, -6),
                                  .rt60_s = dice_between(d, 1.5, 2.5),
                                  .tail_db = dice_between(d, -8, -3),
                                  .noise = NOISE_LIGHT,
                                  .snr_db = dice_between(d, 25, 45)};
    if (kind == AIR_CROWD)
        return (struct scene_air){.noise = NOISE_CROWD, .snr_db = crowd_db[number]};
    return mixed_air(d, number / 3);
}

struct scene_plan scene_plan(int bank, enum scene_kind kind, int number)
{
    struct dice d = {(uint64_t)(bank * 10000 + (int)kind * 100 + number) * 2654435761u + 1};
    for (int i = 0; i < 4; i++)
        dice_even(&d);
    /* Each kind has a tempo from each ninth of the range, in an order of its own. */
    const int ninth = (number * 4 + (int)kind * 2 + bank * 5) % SCENE_EACH;
    struct scene_plan p = {.kind = kind, .number = number, .spliced = bank > 0};
    p.bpm = round(72 + (184 - 72) * (ninth + dice_even(&d)) / SCENE_EACH);
    p.air = draw_air(&d, kinds[kind].air, number);
    p.seed = d.seed;
    return p;
}

/* --- making -------------------------------------------------------------------------------- */

static struct track silence(size_t n)
{
    return (struct track){xcalloc(n, sizeof(float)), n};
}

/* Drums and winds apart, since their balance is of the band and not of one part. */
static void play_band(const struct performance *p, struct track *t)
{
    struct track winds = silence(t->n);
    const double louder_db = dice_between(p->dice, 2, 8);
    const enum part_name *names = line_up(p->plan);
    for (int k = 0; k < 6 && names[k] != NOBODY; k++)
        part_play(p, &parts[names[k]], parts[names[k]].wind ? &winds : t);
    if (p->plan->kind != SCENE_METRONOME)
        part_play(p, &parts[STICKS], t);
    const double drums = track_level(t, p->sheet), wind = track_level(&winds, p->sheet);
    const double even = drums > 0 && wind > 0 ? drums / wind : 1;
    /* Off the beat the winds only fill. */
    const double db = p->plan->kind == SCENE_OFF_BEAT ? -louder_db - 4 : louder_db;
    track_mix(t, &winds, even * (drums > 0 ? pow(10, db / 20) : 1));
    free(winds.at);
}

static void add_talk(const struct performance *p, struct track *t)
{
    const struct span *first = p->sheet->talk;
    struct track speech = silence(t->n);
    double sum = 0, lasts = 0;
    for (size_t k = 0; k < p->sheet->n_talk; k++) {
        talk_add(&speech, p->dice, &first[k]);
        lasts += first[k].to_s - first[k].from_s;
    }
    for (size_t i = 0; i < speech.n; i++)
        sum += (double)speech.at[i] * (double)speech.at[i];
    const double level = sqrt(sum / (lasts * SCENE_RATE));
    const double lower = pow(10, -dice_between(p->dice, 3, 12) / 20);
    if (p->sheet->n_talk > 0)
        track_mix(t, &speech, lower * track_level(t, p->sheet) / level);
    free(speech.at);
}

static void add_noise(const struct performance *p, struct track *t)
{
    const struct scene_air *air = &p->plan->air;
    if (air->noise == NOISE_NONE)
        return;
    struct track noise = silence(t->n);
    if (air->noise == NOISE_LIGHT)
        noise_light(&noise, p->dice);
    else
        noise_crowd(&noise, p->dice);
    const double even = track_level(t, p->sheet) / track_level(&noise, p->sheet);
    track_mix(t, &noise, even * pow(10, -air->snr_db / 20));
    free(noise.at);
}

static void set_peak(struct track *t, double peak)
{
    double most = 0;
    for (size_t i = 0; i < t->n; i++)
        most = fmax(most, fabs((double)t->at[i]));
    for (size_t i = 0; i < t->n && most > 0; i++)
        t->at[i] = (float)((double)t->at[i] * peak / most);
}

void scene_make(const struct scene_plan *plan, struct scene *out)
{
    struct dice dice = {plan->seed};
    struct sheet sheet;
    const struct kind_row *kind = &kinds[plan->kind];
    const struct timing how = {
        .form = kind->form,
        .machine = kind->machine,
        .sticks = plan->kind != SCENE_WINDS,
        .dice = &dice,
    };
    *out = (struct scene){0};
    sheet_make(plan, &how, &sheet, out);
    struct track t = silence((size_t)(sheet.end_s * SCENE_RATE));
    struct waves *waves = waves_make();
    const struct performance p = {plan, &sheet, waves, &dice};
    play_band(&p, &t);
    room_add(&t, &plan->air);
    phone_hear(&t);
    add_talk(&p, &t);
    add_noise(&p, &t);
    set_peak(&t, 0.9);
    waves_free(waves);
    out->samples = t.at;
    out->n = t.n;
}

void scene_close(struct scene *s)
{
    free(s->samples);
    free(s->beat);
    *s = (struct scene){0};
}
