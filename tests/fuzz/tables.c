/* The staff's tables. The first letter says which: s(ections) r(oster) f(aults) t (sets) d(ots).
 * What was read is written down again, every cell in quotes, and reads the same. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "count/tempo.h"
#include "fuzz/fuzz.h"

static void cell(struct buf *out, const char *text)
{
    prove_utf8(text, strlen(text));
    buf_char(out, '"');
    for (; *text; text++) {
        if (*text == '"')
            buf_char(out, '"');
        buf_char(out, *text);
    }
    buf_str(out, "\",");
}

static void number(struct buf *out, double x)
{
    PROVE(isfinite(x));
    buf_printf(out, "%.17g,", x);
}

typedef bool reader(struct arena *a, const char *bytes, size_t n, struct buf *out, struct err *e);

static bool sections(struct arena *a, const char *bytes, size_t n, struct buf *out, struct err *e)
{
    struct section_list l;
    if (!sections_read(a, &(struct table_text){bytes, n, "x.csv", NULL}, &l, e))
        return false;
    buf_str(out, "section,parent,key,words,\n");
    for (size_t i = 0; i < l.n; i++) {
        cell(out, l.at[i].name);
        cell(out, l.at[i].parent);
        cell(out, l.at[i].key);
        cell(out, l.at[i].words);
        buf_char(out, '\n');
    }
    struct show show = {.sections = l.at, .n_sections = l.n, .root = -1};
    sections_fill_keys(a, &l);
    if (sections_need_root(&l))
        return true; /* `boxcall add` puts one there first */
    show_link(&show);
    PROVE(show.root >= 0 && (size_t)show.root < l.n);
    for (size_t i = 0; i < l.n; i++) {
        PROVE(section_within(&show, (int)i, show.root));
        PROVE(show_section(&show, l.at[i].name) == (int)i);
    }
    struct err clash;
    if (!show_check_keys(&show, &clash))
        prove_error(&clash);
    return true;
}

static bool roster(struct arena *a, const char *bytes, size_t n, struct buf *out, struct err *e)
{
    struct performer_list l;
    if (!roster_read(a, fuzz_band(), &(struct table_text){bytes, n, "x.csv", NULL}, &l, e))
        return false;
    buf_str(out, "performer,name,section,\n");
    for (size_t i = 0; i < l.n; i++) {
        PROVE(l.at[i].section >= 0 && (size_t)l.at[i].section < fuzz_band()->n_sections);
        PROVE(l.at[i].number >= -1 && l.at[i].number <= 9999);
        cell(out, l.at[i].label);
        cell(out, l.at[i].name);
        cell(out, fuzz_band()->sections[l.at[i].section].name);
        buf_char(out, '\n');
    }
    return true;
}

static bool faults(struct arena *a, const char *bytes, size_t n, struct buf *out, struct err *e)
{
    struct fault_list l;
    if (!faults_read(a, &(struct table_text){bytes, n, "x.csv", NULL}, &l, e))
        return false;
    buf_str(out, "fault,family,key,cause,right,words,\n");
    for (size_t i = 0; i < l.n; i++) {
        cell(out, l.at[i].name);
        cell(out, l.at[i].family);
        cell(out, l.at[i].key);
        cell(out, l.at[i].cause == CAUSE_DEFINE ? "define" : "execute");
        cell(out, l.at[i].right);
        cell(out, l.at[i].words);
        buf_char(out, '\n');
    }
    faults_fill_keys(a, &l);
    return true;
}

static bool sets(struct arena *a, const char *bytes, size_t n, struct buf *out, struct err *e)
{
    struct set_list l;
    if (!sets_read(a, &(struct table_text){bytes, n, "x.csv", NULL}, &l, e))
        return false;
    buf_str(out, "set,counts,tempo,tempo_end,hold,measures,name,\n");
    for (size_t i = 0; i < l.n; i++) {
        const struct set *s = &l.at[i];
        const struct move move = {s->label, s->counts, s->tempo, s->tempo_end, s->hold};
        struct err off;
        if (!moves_check((struct moves){&move, 1}, &off))
            fuzz_broken(off.text, __FILE__, __LINE__);
        const double optional[] = {s->tempo, s->tempo_end, s->hold, s->measures};
        cell(out, s->label);
        number(out, s->counts);
        for (size_t k = 0; k < 4; k++) {
            if (optional[k] > 0) /* an empty cell is 0 */
                number(out, optional[k]);
            else
                buf_char(out, ',');
        }
        cell(out, s->name);
        buf_char(out, '\n');
    }
    return true;
}

static bool dots(struct arena *a, const char *bytes, size_t n, struct buf *out, struct err *e)
{
    struct dot_list l;
    if (!dots_read(a, fuzz_band(), &(struct table_text){bytes, n, "x.csv", NULL}, &l, e))
        return false;
    buf_str(out, "performer,set,x,y,\n");
    for (size_t i = 0; i < l.n; i++) {
        const struct dot *d = &l.at[i];
        PROVE(d->performer >= 0 && (size_t)d->performer < fuzz_band()->n_performers);
        PROVE(d->set >= 0 && (size_t)d->set < fuzz_band()->n_sets);
        cell(out, fuzz_band()->performers[d->performer].label);
        cell(out, fuzz_band()->sets[d->set].label);
        number(out, d->x);
        number(out, d->y);
        buf_char(out, '\n');
    }
    return true;
}

static reader *reader_of(char letter)
{
    static const struct {
        char letter;
        reader *read;
    } readers[] = {{'s', sections}, {'r', roster}, {'f', faults}, {'t', sets}, {'d', dots}};
    for (size_t i = 0; i < sizeof readers / sizeof *readers; i++)
        if (readers[i].letter == letter)
            return readers[i].read;
    return NULL;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    reader *read = n ? reader_of((char)data[0]) : NULL;
    if (!read)
        return 0;
    struct arena a = {0};
    struct buf once = {0}, again = {0};
    struct err e = {0};
    if (!read(&a, (const char *)data + 1, n - 1, &once, &e)) {
        prove_error(&e);
        PROVE(strncmp(e.text, "x.csv", 5) == 0);
    } else {
        if (!read(&a, once.p, once.n, &again, &e))
            fuzz_broken(e.text, once.p, 0);
        PROVE(strcmp(once.p, again.p) == 0);
    }
    buf_free(&once);
    buf_free(&again);
    arena_free(&a);
    return 0;
}
