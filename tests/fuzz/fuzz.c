#include "fuzz/fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/utf8.h"

void fuzz_broken(const char *what, const char *file, int line)
{
    fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, what);
    abort();
}

void prove_utf8(const char *text, size_t n)
{
    size_t bad = utf8_check(text, n);
    if (bad != n)
        fprintf(stderr, "not UTF-8 from byte %zu on: %.*s\n", bad, (int)n, text);
    PROVE(bad == n);
}

void prove_error(const struct err *e)
{
    size_t n = strlen(e->text);
    PROVE(e->code != ERR_NONE);
    PROVE(n > 0);
    for (size_t i = 0; i < n; i++)
        PROVE((unsigned char)e->text[i] >= 0x20 && e->text[i] != 0x7f);
    prove_utf8(e->text, n);
}

char *fuzz_string(const uint8_t *data, size_t n)
{
    const uint8_t *nul = n ? memchr(data, '\0', n) : NULL;
    size_t length = nul ? (size_t)(nul - data) : n;
    char *s = xcalloc(length + 1, 1);
    if (length)
        memcpy(s, data, length);
    return s;
}

/* --- the band -------------------------------------------------------------------------------- */

static const char sections[] = "section,parent,key,words\n"
                               "ensemble,,e,everyone;band\n"
                               "brass,ensemble,b,\n"
                               "trumpets,brass,t,trumpet\n"
                               "mellophones,brass,m,\n"
                               "drums,ensemble,du,\n"
                               "drum major,ensemble,dm,\n"
                               "tubas,brass,u,\n";
static const char roster[] = "performer,name,section\n"
                             "T1,Ada Finch,trumpets\nT2,Bo Larkin,trumpets\nT3,Cy Moss,trumpets\n"
                             "T5,Di Reed,trumpets\nT12,Eli Stone,trumpets\nT13,,trumpets\n"
                             "T131,,trumpets\nM2,Jo Ash,mellophones\nM3,,mellophones\n"
                             "D7,,drums\nsolo,,trumpets\n";
static const char faults[] = "fault,family,key,cause,right,words\n"
                             "late arrival,timing,l,execute,On the dot on the last count.,late\n"
                             "horn angle,horns,h,execute,,bell angle\n"
                             "slouch,posture,ks,,,\n"
                             "head down,posture,kh,,,\n"
                             "style,definition,qs,define,,\n";
static const char sets[] = "set,counts,tempo,tempo_end,hold,measures,name\n"
                           "1,8,132,,0,2,opening\n"
                           "14,16,132,,0,4,\n"
                           "14.5,8,,,,,\n"
                           "15A,16,132,144,1.5,4,wedge\n";

const struct show *fuzz_band(void)
{
    static struct show show;
    static struct arena a;
    struct section_list s;
    struct performer_list p;
    struct fault_list f;
    struct set_list d;
    struct err e;
    if (show.n_sections)
        return &show;
    show = (struct show){.grid = *grid_named("high-school"), .root = -1};
    PROVE(sections_read(&a, &(struct table_text){sections, strlen(sections), "sections.csv", NULL},
                        &s, &e));
    show.sections = s.at;
    show.n_sections = s.n;
    show_link(&show);
    struct buf all = {0}; /* and more tubas than one chord takes */
    buf_str(&all, roster);
    for (int i = 1; i <= 40; i++)
        buf_printf(&all, "U%d,,tubas\n", i);
    PROVE(roster_read(&a, &show, &(struct table_text){all.p, all.n, "roster.csv", NULL}, &p, &e));
    buf_free(&all);
    PROVE(
        faults_read(&a, &(struct table_text){faults, strlen(faults), "faults.csv", NULL}, &f, &e));
    PROVE(sets_read(&a, &(struct table_text){sets, strlen(sets), "sets.csv", NULL}, &d, &e));
    show.performers = p.at;
    show.n_performers = p.n;
    show.faults = f.at;
    show.n_faults = f.n;
    show.sets = d.at;
    show.n_sets = d.n;
    return &show;
}

/* --- a folder -------------------------------------------------------------------------------- */

static char folder[64];
static const char *const endings[] = {"", "-wal", "-shm", "-journal", ".v1", ".v2", ".v3"};

static void clear_folder(void)
{
    char path[100];
    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++) {
        snprintf(path, sizeof path, "%s/x.show%s", folder, endings[i]);
        unlink(path);
    }
}

static void remove_folder(void)
{
    clear_folder();
    rmdir(folder);
}

const char *fuzz_folder(void)
{
    if (*folder)
        return folder;
    snprintf(folder, sizeof folder, "/dev/shm/fuzz-XXXXXX");
    if (!mkdtemp(folder)) {
        snprintf(folder, sizeof folder, "/tmp/fuzz-XXXXXX");
        PROVE(mkdtemp(folder) != NULL);
    }
    atexit(remove_folder);
    return folder;
}

const char *fuzz_show_file(const void *bytes, size_t n)
{
    static char path[100];
    snprintf(path, sizeof path, "%s/x.show", fuzz_folder());
    clear_folder();
    if (!n)
        return path;
    FILE *f = fopen(path, "wb");
    PROVE(f && fwrite(bytes, 1, n, f) == n);
    PROVE(fclose(f) == 0);
    return path;
}
