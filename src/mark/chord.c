#include "mark/chord.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

enum what { SECTIONS, FAULTS };

static size_t count_of(const struct show *show, enum what what)
{
    return what == SECTIONS ? show->n_sections : show->n_faults;
}

/* "" for what cannot be typed. */
static const char *key_of(const struct show *show, enum what what, size_t i)
{
    if (what == SECTIONS)
        return show->sections[i].removed ? "" : show->sections[i].key;
    return show->faults[i].removed ? "" : show->faults[i].key;
}

static const char *name_of(const struct show *show, enum what what, size_t i)
{
    return what == SECTIONS ? show->sections[i].name : show->faults[i].name;
}

struct found {
    int whole;   /* position whose key is exactly the letters, -1 */
    bool longer; /* some key goes on after them */
};

static struct found find(const struct show *show, enum what what, const char *letters, size_t n)
{
    struct found f = {.whole = -1};
    for (size_t i = 0; n && i < count_of(show, what); i++) {
        const char *key = key_of(show, what, i);
        if (strncmp(key, letters, n) != 0 || !*key)
            continue;
        if (strlen(key) > n)
            f.longer = true;
        else if (f.whole < 0)
            f.whole = (int)i;
    }
    return f;
}

struct reader {
    const struct show *show;
    const char *s;
    struct chord *c;
};

static bool wrong(struct chord *c, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
static bool wrong(struct chord *c, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(c->why, sizeof c->why, fmt, ap);
    va_end(ap);
    c->phase = CHORD_WRONG;
    return false;
}

static bool add_target(struct chord *c, int section, int performer)
{
    for (size_t i = 0; i < c->n_targets; i++)
        if (c->targets[i].section == section && c->targets[i].performer == performer)
            return true;
    if (c->n_targets == CHORD_TARGETS)
        return wrong(c, "that is more than %d at once; mark the section", CHORD_TARGETS);
    c->targets[c->n_targets++] = (struct target){section, performer};
    return true;
}

/* Reads the longest section or fault key at s; false when it is not complete yet (or wrong). */
static bool read_key(struct reader *r, enum what what, bool finish, int *out)
{
    size_t letters = 0, best = 0;
    *out = -1;
    while (islower((unsigned char)r->s[letters])) {
        struct found f = find(r->show, what, r->s, letters + 1);
        if (f.whole < 0 && !f.longer)
            break;
        letters++;
        if (f.whole >= 0) {
            best = letters;
            *out = f.whole;
        }
        if (!f.longer)
            break;
    }
    bool at_end = !r->s[letters];
    bool may_grow = at_end && find(r->show, what, r->s, letters).longer;
    if (letters && may_grow && !finish) {
        snprintf(r->c->begun, sizeof r->c->begun, "%.*s", (int)(letters < 7 ? letters : 7), r->s);
        return false;
    }
    if (*out < 0) {
        if (r->s[letters])
            wrong(r->c, "no %s has the key '%.*s'", what == SECTIONS ? "section" : "fault",
                  (int)letters + 1, r->s);
        return false;
    }
    r->s += best;
    return true;
}

/* "brass has T3 M3 BR3: type their section first" */
static bool refuse_shared(struct reader *r, int number)
{
    enum { MOST = 64, ROOM = 18 }; /* the sentence fits a row of 80 columns */
    const struct show *show = r->show;
    int who[MOST];
    struct buf names = {0};
    size_t n = show_performers_numbered(show, r->c->section, number, who, MOST), shown = 0;
    bool apart = n <= MOST; /* each has a section of its own, below this one */
    for (size_t i = 0; i < n && i < MOST; i++) {
        const struct performer *p = &show->performers[who[i]];
        apart &= p->section != r->c->section;
        for (size_t k = 0; k < i; k++)
            apart &= p->section != show->performers[who[k]].section;
        if (shown == i && (!i || names.n + strlen(p->label) < ROOM)) {
            buf_printf(&names, " %s", p->label);
            shown++;
        }
    }
    if (shown < n)
        buf_printf(&names, " and %zu more", n - shown);
    const char *name = show->sections[r->c->section].name;
    const char *label = show->performers[who[0]].label;
    r->c->shared = true;
    if (apart)
        wrong(r->c, "%.*s has%s: type their section first", (int)utf8_fit(name, 20), name,
              buf_text(&names));
    else
        wrong(r->c, "%.*s has%s: write :mark %.*s FAULT", (int)utf8_fit(name, 20), name,
              buf_text(&names), (int)utf8_fit(label, 20), label);
    buf_free(&names);
    return false;
}

/* What digits may become: a number that nobody, that one performer (once `one` is true), or that
 * only several performers have (then `shared` is such a number, else -1). */
struct ahead {
    bool one;
    int shared;
};

static struct ahead look_ahead(const struct show *show, int section, const char *digits, size_t n)
{
    struct ahead a = {.shared = -1};
    char number[16];
    for (size_t i = 0; i < show->n_performers && !a.one; i++) {
        const struct performer *p = &show->performers[i];
        int first;
        if (p->removed || p->number < 0 || !section_within(show, p->section, section))
            continue;
        snprintf(number, sizeof number, "%d", p->number);
        if (strncmp(number, digits, n) != 0)
            continue;
        if (show_performers_numbered(show, section, p->number, &first, 1) == 1)
            a.one = true;
        else if (a.shared < 0 || strlen(number) == n)
            a.shared = p->number;
    }
    return a;
}

static bool read_number(struct reader *r, int *out)
{
    size_t n = strspn(r->s, "0123456789");
    const struct section *s = &r->show->sections[r->c->section];
    struct ahead may = look_ahead(r->show, r->c->section, r->s, n);
    int first;
    if (n > 4 || (!may.one && may.shared < 0))
        return wrong(r->c, "no performer %.*s in %s", (int)(n < 8 ? n : 8), r->s, s->name);
    if (!may.one)
        return refuse_shared(r, may.shared);
    *out = atoi(r->s);
    r->s += n;
    r->c->after_number = true;
    size_t who = show_performers_numbered(r->show, r->c->section, *out, &first, 1);
    if (*r->s && who > 1)
        return refuse_shared(r, *out);
    if (*r->s && who == 0)
        return wrong(r->c, "no performer %d in %s", *out, s->name);
    r->c->digit_due = who != 1;
    return true;
}

static bool add_range(struct reader *r, int from, int to)
{
    struct chord *c = r->c;
    bool found = false;
    if (to < from)
        return wrong(c, "%d-%d runs backward", from, to);
    for (int k = from; k <= to; k++) {
        int p;
        size_t n = show_performers_numbered(r->show, c->section, k, &p, 1);
        if (n > 1)
            return refuse_shared(r, k);
        if (n && !add_target(c, r->show->performers[p].section, p))
            return false;
        found |= n == 1;
    }
    if (!found && *r->s)
        return wrong(c, "no performer %d to %d", from, to);
    return true;
}

/* numbers := number { ',' number | '-' number }; each adds its performers. */
static bool read_numbers(struct reader *r)
{
    struct chord *c = r->c;
    int number = 0, last;
    while (isdigit((unsigned char)*r->s)) {
        if (!read_number(r, &number))
            return false;
        if (c->digit_due) /* the end: not yet a number of one */
            return true;
        if (!add_range(r, number, number))
            return false;
        if (*r->s == '-') {
            r->s++;
            c->after_number = false;
            c->digit_due = !*r->s;
            if (!*r->s)
                return true;
            if (!isdigit((unsigned char)*r->s))
                return wrong(c, "a number must follow '-'");
            if (!read_number(r, &last) || (*r->s && !add_range(r, number, last)))
                return false;
            if (!*r->s && last < number)
                c->digit_due = true; /* with one more it may run forward */
            else if (!*r->s && !add_range(r, number, last))
                return false;
        }
        if (*r->s != ',')
            return true;
        r->s++;
        c->after_number = false;
        c->digit_due = !*r->s;
        if (*r->s && !isdigit((unsigned char)*r->s))
            return wrong(c, "a number must follow ','");
    }
    return true;
}

static bool read_group(struct reader *r)
{
    struct chord *c = r->c;
    c->phase = CHORD_SECTION;
    c->section = -1;
    if (!*r->s || !read_key(r, SECTIONS, false, &c->section))
        return false;
    c->phase = CHORD_NUMBER;
    if (isdigit((unsigned char)*r->s))
        return read_numbers(r);
    c->after_number = false;
    return add_target(c, c->section, -1);
}

/* The end of a chord: letters of a fault's key. */
static void read_fault(struct reader *r, bool finish)
{
    struct chord *out = r->c;
    int fault;
    if (!islower((unsigned char)*r->s)) {
        wrong(out, "'%c' means nothing here", *r->s);
        return;
    }
    out->phase = CHORD_FAULT;
    bool complete = read_key(r, FAULTS, finish, &fault);
    out->fault = fault;
    if (!complete)
        return;
    if (*r->s)
        wrong(out, "no fault has the key '%s'", r->s);
    else
        out->phase = CHORD_DONE;
}

void chord_read_fault(const struct show *show, const char *keys, bool finish, struct chord *out)
{
    struct reader r = {.show = show, .s = keys, .c = out};
    out->phase = CHORD_FAULT;
    out->fault = out->section = -1;
    out->begun[0] = '\0';
    out->after_number = out->digit_due = out->shared = false;
    if (*keys)
        read_fault(&r, finish);
}

void chord_read(const struct show *show, const char *keys, bool finish, struct chord *out)
{
    *out = (struct chord){.fault = -1, .section = -1};
    struct reader r = {.show = show, .s = keys, .c = out};
    do {
        if (!read_group(&r))
            return;
    } while (*r.s == '+' && *++r.s != '+' && (out->phase = CHORD_SECTION, true));
    if (out->phase != CHORD_SECTION && *r.s)
        read_fault(&r, finish);
}

bool chord_takes_digit(const struct show *show, const struct chord *c)
{
    if (c->phase != CHORD_NUMBER || c->section < 0)
        return false;
    return c->digit_due || (!c->after_number && look_ahead(show, c->section, "", 0).one);
}

/* Options of one kind whose key begins with the letters begun: names that share their next letter
 * become one option when `fold`. */
static size_t offer(const struct show *show, enum what what, const char *begun, bool fold,
                    struct chord_option *out, size_t most)
{
    size_t n = 0, done = strlen(begun);
    for (size_t i = 0; i < count_of(show, what); i++) {
        const char *key = key_of(show, what, i);
        if (strncmp(key, begun, done) != 0 || strlen(key) <= done)
            continue;
        bool folded = false;
        for (size_t k = 0; fold && k < n && k < most; k++) {
            if (out[k].keys[0] != key[done])
                continue;
            out[k].more = folded = true;
            snprintf(out[k].keys, sizeof out[k].keys, "%c..", key[done]);
            if (what == FAULTS)
                out[k].what = show->faults[i].family;
        }
        if (folded)
            continue;
        if (n < most) {
            out[n] = (struct chord_option){.what = name_of(show, what, i)};
            snprintf(out[n].keys, sizeof out[n].keys, "%s", key + done);
        }
        n++;
    }
    return n;
}

static int by_keys(const void *a, const void *b)
{
    return strcmp(((const struct chord_option *)a)->keys, ((const struct chord_option *)b)->keys);
}

size_t chord_options(const struct show *show, const struct chord *c, struct chord_option *out,
                     size_t most)
{
    size_t n = 0;
    enum what what = c->phase == CHORD_SECTION ? SECTIONS : FAULTS;
    if (c->phase == CHORD_DONE || c->phase == CHORD_WRONG || c->digit_due)
        return 0;
    n = offer(show, what, c->begun, false, out, most);
    if (n > most)
        n = offer(show, what, c->begun, true, out, most);
    qsort(out, n < most ? n : most, sizeof *out, by_keys);
    return n < most ? n : most;
}
