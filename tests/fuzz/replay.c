/* replay SEEDS MUTATIONS: the target on every file of the folder SEEDS, and on so many mutations
 * of them, which are the same ones at each run. What the target was given when it failed is
 * printed, ready for printf(1). */
#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fuzz/fuzz.h"

enum { SEEDS = 64, LONGEST = 6000, SECONDS = 20 /* that one input may take */ };

struct input {
    uint8_t at[LONGEST];
    size_t n;
};

static struct input seeds[SEEDS], now;
static size_t n_seeds;
static char now_name[600];

/* --- what is being tried --------------------------------------------------------------------- */

static void tell(void)
{
    fprintf(stderr, "the input (%s):\nprintf '", now_name);
    for (size_t i = 0; i < now.n; i++) {
        uint8_t c = now.at[i];
        if (c < 0x20 || c > 0x7e || strchr("'\\%", c))
            fprintf(stderr, "\\%03o", c);
        else
            fputc(c, stderr);
    }
    fputs("'\n", stderr);
}

static void on_signal(int sig)
{
    fprintf(stderr, "%s\n", sig == SIGALRM ? "it takes too long" : strsignal(sig));
    tell();
    _exit(1);
}

/* Sanitizers end the program by themselves. */
void __sanitizer_set_death_callback(void (*callback)(void)) __attribute__((weak));

static void try(void)
{
    /* A buffer of its own size, so that a read past the end is seen. */
    uint8_t *copy = xcalloc(now.n ? now.n : 1, 1);
    memcpy(copy, now.at, now.n);
    alarm(SECONDS);
    LLVMFuzzerTestOneInput(copy, now.n);
    alarm(0);
    free(copy);
}

/* --- mutations ------------------------------------------------------------------------------- */

static uint64_t state;

static size_t chance(size_t below)
{
    state ^= state << 13; /* xorshift64 (Marsaglia, 2003) */
    state ^= state >> 7;
    state ^= state << 17;
    return below ? (size_t)(state >> 16) % below : 0;
}

static const struct {
    const char *p;
    size_t n;
} words[] = {
#define WORD(s)                                                                                    \
    {                                                                                              \
        s, sizeof s - 1                                                                            \
    }
    WORD("\""),
    WORD(","),
    WORD("\r\n"),
    WORD("\n"),
    WORD("\r"),
    WORD(";"),
    WORD("="),
    WORD(":"),
    WORD("."),
    WORD("0"),
    WORD("-1"),
    WORD("1e309"),
    WORD("nan"),
    WORD("inf"),
    WORD("99999999999999999999"),
    WORD("2147483648"),
    WORD("0.0000001"),
    WORD("\0"),
    WORD("\xff"),
    WORD("\xc3"),
    WORD("\xe2\x80\xae"),
    WORD("\xef\xbb\xbf"),
    WORD("\xc2\xa0"),
    WORD("\xc3\xa9"),
    WORD("\xf0\x9f\x9a\x80"),
    WORD("%s%n"),
    WORD("\033"),
    WORD("\033\\"),
    WORD("\033["),
    WORD("'"),
    WORD(" "),
    WORD("\t"),
    WORD("+"),
    WORD("-"),
    WORD("side 1"),
    WORD("\x7f"),
    WORD("\xed\xa0\x80"),
    WORD("\"\""),
    WORD("99"),
    WORD("1"),
#undef WORD
};

static void put(size_t at, size_t cut, const void *p, size_t n)
{
    if (at > now.n)
        at = now.n;
    if (cut > now.n - at)
        cut = now.n - at;
    if (n > LONGEST - (now.n - cut))
        return;
    uint8_t copy[LONGEST];
    memcpy(copy, p, n);
    memmove(now.at + at + n, now.at + at + cut, now.n - at - cut);
    memcpy(now.at + at, copy, n);
    now.n += n - cut;
}

static void many(void)
{
    uint8_t run[400];
    memset(run, "aA9,\"\n \xc3"[chance(8)], sizeof run);
    put(chance(now.n + 1), chance(3), run, 1 + chance(sizeof run));
}

static void mutate_once(void)
{
    size_t at = chance(now.n + 1), some = chance(9), from = chance(now.n + 1);
    const struct input *other = &seeds[chance(n_seeds)];
    size_t word = chance(sizeof words / sizeof *words);
    uint8_t byte = (uint8_t)chance(256);
    switch (chance(10)) {
    case 0:
        if (at < now.n)
            now.at[at] ^= (uint8_t)(1u << chance(8));
        break;
    case 1:
        put(at, 1, &byte, 1);
        break;
    case 2:
        put(at, 1 + some, "", 0);
        break;
    case 3:
        put(at, 0, now.at + from, chance(now.n - from + 1));
        break;
    case 4:
        from = chance(other->n + 1);
        put(at, chance(now.n + 1), other->at + from, chance(other->n - from + 1));
        break;
    case 5:
        many();
        break;
    case 6:
        put(at, now.n, "", 0);
        break;
    default:
        put(at, chance(2) ? some : 0, words[word].p, words[word].n);
    }
}

static void mutate(size_t number)
{
    state = UINT64_C(0x9e3779b97f4a7c15) * (number + 1);
    for (int i = 0; i < 4; i++)
        chance(1);
    now = seeds[number % n_seeds];
    snprintf(now_name, sizeof now_name, "mutation %zu", number);
    for (size_t i = 1 + chance(5); i > 0; i--)
        mutate_once();
}

/* --- seeds ----------------------------------------------------------------------------------- */

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static bool read_seed(const char *folder, const char *name)
{
    char path[500];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = *name == '.' ? NULL : fopen(path, "rb");
    if (!f)
        return *name == '.';
    struct input *s = &seeds[n_seeds];
    s->n = fread(s->at, 1, LONGEST, f);
    bool whole = !ferror(f) && fgetc(f) == EOF;
    fclose(f);
    now = *s;
    snprintf(now_name, sizeof now_name, "%s", path);
    n_seeds++;
    if (whole)
        try();
    return whole;
}

int main(int argc, char **argv)
{
    struct dirent **names;
    int n = argc == 3 ? scandir(argv[1], &names, NULL, by_name) : -1;
    if (n < 0)
        return fprintf(stderr, "usage: replay SEEDS MUTATIONS\n"), 2;
    static const int signals[] = {SIGABRT, SIGALRM, SIGSEGV, SIGFPE, SIGBUS};
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++)
        if (!__sanitizer_set_death_callback || signals[i] == SIGABRT || signals[i] == SIGALRM)
            signal(signals[i], on_signal);
    if (__sanitizer_set_death_callback)
        __sanitizer_set_death_callback(tell);
    for (int i = 0; i < n; i++) {
        if (n_seeds == SEEDS || !read_seed(argv[1], names[i]->d_name))
            return fprintf(stderr, "%s: too many seeds, or too long\n", names[i]->d_name), 2;
        free(names[i]);
    }
    free(names);
    if (!n_seeds)
        return fprintf(stderr, "%s: no seeds\n", argv[1]), 2;
    size_t mutations = strtoul(argv[2], NULL, 10);
    for (size_t i = 0; i < mutations; i++) {
        mutate(i);
        try();
    }
    printf("%zu seeds, %zu mutations\n", n_seeds, mutations);
    return 0;
}
