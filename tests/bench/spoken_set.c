#include "spoken_set.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lib/files.h"
#include "lib/run.h"

/* Synthetic voices are no people: they speak more alike and more clearly. kal and kal16 are one speaker. */
const struct spoken_voice spoken_voices[SPOKEN_VOICES] = {
    {"flite rms", "tune", "flite", "rms"},
    {"flite kal16", "tune", "flite", "kal16"},
    {"festival kal", "tune", "festival", "kal_diphone"},
    {"flite slt", "judge", "flite", "slt"},
    {"flite awb", "judge", "flite", "awb"},
    {"festival ked", "judge", "festival", "ked_diphone"},
    {"festival slt (hts)", "judge", "festival", "cmu_us_slt_arctic_hts"},
};

static struct show show;

static void stop(const char *what)
{
    printf("%s\n", what);
    exit(1);
}

/* --- the show ---------------------------------------------------------------------------------------- */

static struct table_text table(const char *path)
{
    size_t n;
    const char *bytes = read_file(path, &n);
    return (struct table_text){.bytes = bytes, .n = n, .source = path};
}

static void read_show(void)
{
    struct err e;
    struct section_list sections = {0};
    struct performer_list roster = {0};
    struct fault_list faults = {0};
    const struct table_text s = table(SOURCE "/share/sections.csv"),
                            r = table(SOURCE "/demo/band/roster.csv"),
                            f = table(SOURCE "/share/faults.csv");
    if (!sections_read(test_arena(), &s, &sections, &e))
        stop(e.text);
    show = (struct show){.sections = sections.at, .n_sections = sections.n};
    show_link(&show);
    if (!roster_read(test_arena(), &show, &r, &roster, &e) ||
        !faults_read(test_arena(), &f, &faults, &e))
        stop(e.text);
    show.performers = roster.at, show.n_performers = roster.n;
    show.faults = faults.at, show.n_faults = faults.n;
}

/* --- what a call means: "tubas 2,3;trumpets" TAB fault TAB "-", "praise", "1" or "3" --------------------- */

static void add_target(struct said_call *c, char *text)
{
    char *digits = text + strcspn(text, "0123456789");
    char *numbers = arena_strdup(test_arena(), digits);
    if (digits > text)
        digits[*digits ? -1 : 0] = '\0';
    const int section = show_section(&show, text);
    if (section < 0)
        stop(text);
    if (!*numbers)
        c->targets[c->n_targets++] = (struct draft_target){section, -1};
    for (char *p = strtok(numbers, ","); p; p = strtok(NULL, ",")) {
        int who = -1;
        if (show_performers_numbered(&show, section, atoi(p), &who, 1) != 1)
            stop(text);
        c->targets[c->n_targets++] = (struct draft_target){section, who};
    }
}

static struct said_call meaning(char *targets, const char *fault, const char *manner)
{
    struct said_call c = {.fault = show_fault(&show, fault), .severity = 1};
    if (c.fault < 0)
        stop(fault);
    for (char *next, *p = targets; p; p = next) {
        next = strchr(p, ';');
        if (next)
            *next++ = '\0';
        add_target(&c, p);
    }
    c.praise = strcmp(manner, "praise") == 0;
    if (*manner == '1' || *manner == '3')
        c.severity = *manner - '0';
    return c;
}

bool spoken_same(const struct spoken_case *c, const struct said_call *heard)
{
    if (c->means.fault != heard->fault || c->means.praise != heard->praise ||
        c->means.severity != heard->severity || c->means.n_targets != heard->n_targets)
        return false;
    size_t same = 0;
    for (size_t i = 0; i < heard->n_targets; i++)
        for (size_t k = 0; k < c->means.n_targets; k++)
            same += heard->targets[i].section == c->means.targets[k].section &&
                    heard->targets[i].performer == c->means.targets[k].performer;
    return same == heard->n_targets;
}

/* --- sound ------------------------------------------------------------------------------------------- */

/* Words that the synthesisers' own rules say as nobody does. */
static const char *respelled(const char *says)
{
    static const char *const odd[][2] = {{"plie", "plee ay"}, {"releve", "rella vay"}};
    for (size_t i = 0; i < 2; i++) {
        const char *at = strstr(says, odd[i][0]);
        if (at)
            return arena_printf(test_arena(), "%.*s%s%s", (int)(at - says), says, odd[i][1],
                                at + strlen(odd[i][0]));
    }
    return says;
}

static struct speech_samples speak(const struct spoken_voice *v, const char *says)
{
    const char *wav = path_in(temp_dir(), "said.wav"), *raw = path_in(temp_dir(), "said.raw");
    says = respelled(says);
    if (strcmp(v->program, "flite") == 0)
        run("flite", "-voice", v->voice, "-t", says, "-o", wav, NULL);
    else
        run_in(arena_printf(
                   test_arena(),
                   "(voice_%s)\n(utt.save.wave (utt.synth (Utterance Text \"%s\")) \"%s\" 'riff)\n",
                   v->voice, says, wav),
               "festival", "--pipe", NULL);
    const struct run r =
        run("ffmpeg", "-y", "-v", "error", "-i", wav, "-af", "adelay=200,apad=pad_dur=0.2", "-ac",
            "1", "-ar", "16000", "-f", "s16le", raw, NULL);
    if (r.status)
        stop(r.err);
    size_t n;
    const char *bytes = read_file(raw, &n);
    int16_t *at = arena_alloc(test_arena(), n + 2);
    memcpy(at, bytes, n);
    return (struct speech_samples){at, n / 2};
}

/* Pink: white noise through P. Kellet's three poles (from memory). */
struct pink {
    unsigned long long chance;
    double b[3];
};

static double pink(struct pink *p)
{
    p->chance ^= p->chance << 13, p->chance ^= p->chance >> 7, p->chance ^= p->chance << 17;
    const double w = (double)(p->chance >> 11) / 9007199254740992.0 - 0.5;
    p->b[0] = 0.99765 * p->b[0] + w * 0.0990460;
    p->b[1] = 0.96300 * p->b[1] + w * 0.2965164;
    p->b[2] = 0.57000 * p->b[2] + w * 1.0526913;
    return p->b[0] + p->b[1] + p->b[2] + w * 0.1848;
}

/* Mean square of the frames of 20 ms that are within 30 dB of the loudest. */
static double talk_power(const struct speech_samples *s)
{
    enum { FRAME = SPEECH_RATE / 50 };
    double loudest = 0, sum = 0;
    size_t n = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i + FRAME <= s->n; i += FRAME) {
            double power = 0;
            for (size_t k = 0; k < FRAME; k++)
                power += (double)s->at[i + k] * s->at[i + k] / FRAME;
            if (pass == 0)
                loudest = fmax(loudest, power);
            else if (power > loudest * 1e-3)
                sum += power, n++;
        }
    return n ? sum / (double)n : 0;
}

struct speech_samples spoken_samples(const struct spoken_case *c, double snr_db)
{
    static int16_t with[60 * SPEECH_RATE];
    struct pink p = {.chance = 88172645463325252ULL};
    double power = 0;
    const size_t n =
        c->sound.n < sizeof with / sizeof *with ? c->sound.n : sizeof with / sizeof *with;
    for (size_t i = 0; i < n; i++) {
        const double x = pink(&p);
        power += x * x / (double)n;
    }
    const double gain =
        snr_db > 0 && power > 0 ? sqrt(talk_power(&c->sound) / power * pow(10, -snr_db / 10)) : 0;
    for (size_t i = 0; i < n; i++)
        with[i] = (int16_t)fmax(-32767, fmin(32767, c->sound.at[i] + gain * pink(&p)));
    return (struct speech_samples){with, n};
}

/* --- the sentences ----------------------------------------------------------------------------------- */

static size_t voices_of(const char *half, int out[SPOKEN_VOICES])
{
    size_t n = 0;
    const bool festival = have_program("festival");
    for (int i = 0; i < SPOKEN_VOICES; i++)
        if (strcmp(spoken_voices[i].half, half) == 0 &&
            (festival || strcmp(spoken_voices[i].program, "festival") != 0))
            out[n++] = i;
    return n;
}

static void read_file_of(struct spoken_set *set, const char *name, const char *half, size_t every)
{
    int voices[SPOKEN_VOICES];
    const size_t n_voices = voices_of(half, voices);
    char *text = read_file(path_in(SOURCE "/tests/hear/spoken", name), NULL);
    size_t taken = 0, seen = 0;
    for (char *line = text, *next; *line; line = next) {
        char *cells[5] = {line};
        size_t n = 1;
        next = line + strcspn(line, "\n");
        if (*next)
            *next++ = '\0';
        while (n < 5 && (cells[n] = strchr(cells[n - 1], '\t'))) {
            *cells[n] = '\0';
            cells[n]++;
            n++;
        }
        if (strcmp(cells[0], half) != 0 || seen++ % every)
            continue;
        const int voice = voices[taken++ % n_voices];
        set->at[set->n++] = (struct spoken_case){.voice = voice,
                                                 .is_call = n == 5,
                                                 .says = cells[1],
                                                 .sound = speak(&spoken_voices[voice], cells[1])};
        if (n == 5)
            set->at[set->n - 1].means = meaning(cells[2], cells[3], cells[4]);
    }
}

struct spoken_set spoken_set_read(const char *half, size_t every)
{
    enum { MOST = 1000 };
    read_show();
    struct spoken_set set = {.show = &show, .at = arena_alloc(test_arena(), MOST * sizeof *set.at)};
    read_file_of(&set, "calls.tsv", half, every);
    read_file_of(&set, "talk.tsv", half, every);
    return set;
}
