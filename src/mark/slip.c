#include "mark/slip.h"

#include <stdlib.h>

#include "base/utf8.h"

enum {
    ENOUGH = 3, /* kinds, before a fault stands in for one that the show lacks */
    INTERVAL = 5,
    WAY = 16, /* steps to one side, and as many back */
    LEAST_AHEAD = 3,
    MOST_AHEAD = 20,
    ONE_IN = 4,
};

/* In the order in which they are wanted. */
static const struct {
    const char *seen, *family;
    const char *names[5];
} ways[SLIPS] = {
    [SLIP_FEET] = {"three on the other foot", "feet", {"out of step", "wrong foot", "foot"}},
    [SLIP_CLOSE] = {"three too close",
                    "spacing",
                    {"closed interval", "closed", "interval", "spacing"}},
    [SLIP_BACK] = {"three out of the line",
                   "form",
                   {"dress", "alignment", "bent line", "off line"}},
    [SLIP_LATE] = {"three half a count late",
                   "timing",
                   {"late arrival", "starts late", "dragging", "behind", "late"}},
    [SLIP_HORNS] = {"three horns drop", "horn", {"horn angle", "bell", "horn"}},
};

const char *slip_words(enum slip s)
{
    return ways[s].seen;
}

/* --- who and what -------------------------------------------------------------------------------
 */

struct part {
    size_t performers;
    bool has_parts, chosen;
};

static struct part *parts_of(const struct show *show)
{
    struct part *parts = xcalloc(show->n_sections, sizeof *parts);
    for (size_t i = 0; i < show->n_sections; i++)
        if (show->sections[i].up >= 0 && !show->sections[i].removed)
            parts[show->sections[i].up].has_parts = true;
    for (size_t i = 0; i < show->n_performers; i++)
        parts[show->performers[i].section].performers += !show->performers[i].removed;
    return parts;
}

static int largest_left(const struct show *show, const struct part *parts)
{
    int best = -1;
    for (int i = 0; i < (int)show->n_sections; i++) {
        const struct section *s = &show->sections[i];
        if (!s->removed && *s->key && !parts[i].has_parts && !parts[i].chosen &&
            (best < 0 || parts[i].performers > parts[best].performers))
            best = i;
    }
    return best;
}

static void add_section(struct slip_field *f, int section)
{
    size_t at = f->n_sections++;
    for (; at > 0 && f->sections[at - 1] > section; at--)
        f->sections[at] = f->sections[at - 1];
    f->sections[at] = section;
}

static void choose_sections(const struct show *show, struct slip_field *f)
{
    struct part *parts = parts_of(show);
    for (int s; f->n_sections < SLIP_GROUPS && (s = largest_left(show, parts)) >= 0;) {
        parts[s].chosen = true;
        add_section(f, s);
    }
    free(parts);
}

static bool is_free(const struct show *show, const struct slip_field *f, int fault)
{
    for (size_t i = 0; i < f->n_kinds; i++)
        if (f->kinds[i].fault == fault)
            return false;
    return *show->faults[fault].key && !show->faults[fault].removed;
}

enum fit { FIT_NAME, FIT_PART, FIT_FAMILY, FIT_ANY, FITS };

static int fault_like(const struct show *show, const struct slip_field *f, const char *name,
                      enum fit fit)
{
    const int named = fit == FIT_NAME ? show_fault(show, name) : -1;
    if (named >= 0 && is_free(show, f, named))
        return named;
    for (int i = 0; i < (int)show->n_faults && fit != FIT_NAME; i++) {
        const struct fault *of = &show->faults[i];
        const char *in = fit == FIT_FAMILY ? of->family : of->name;
        if (is_free(show, f, i) && (fit == FIT_ANY || utf8_casestr(in, name)))
            return i;
    }
    return -1;
}

static int fault_for(const struct show *show, const struct slip_field *f, enum slip s, enum fit fit)
{
    enum { NAMES = sizeof ways->names / sizeof *ways->names };
    if (fit == FIT_FAMILY || fit == FIT_ANY)
        return fault_like(show, f, ways[s].family, fit);
    int fault = -1;
    for (size_t i = 0; i < NAMES && ways[s].names[i] && fault < 0; i++)
        fault = fault_like(show, f, ways[s].names[i], fit);
    return fault;
}

static bool has_kind(const struct slip_field *f, enum slip s)
{
    for (size_t i = 0; i < f->n_kinds; i++)
        if (f->kinds[i].slip == s)
            return true;
    return false;
}

bool slip_field(const struct show *show, struct slip_field *out, struct err *e)
{
    *out = (struct slip_field){0};
    choose_sections(show, out);
    for (enum fit fit = 0; fit < FITS; fit++)
        for (enum slip s = 0; s < SLIPS; s++) {
            if (has_kind(out, s) || out->n_kinds >= (fit >= FIT_FAMILY ? ENOUGH : SLIP_KINDS))
                continue;
            int fault = fault_for(show, out, s, fit);
            if (fault >= 0)
                out->kinds[out->n_kinds++] = (struct slip_kind){s, fault};
        }
    if (!out->n_sections)
        return err_set(e, ERR_INPUT, "no section of the show has a key to answer with");
    if (!out->n_kinds)
        return err_set(e, ERR_INPUT, "no fault of the show has a key to answer with");
    return true;
}

/* --- chance -------------------------------------------------------------------------------------
 */

uint64_t slip_chance(uint64_t *chance)
{
    uint64_t z = *chance += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

static int below(uint64_t *chance, size_t n)
{
    return (int)((slip_chance(chance) >> 32) % n);
}

struct slip_try slip_draw(const struct slip_field *f, int64_t count, uint64_t *chance)
{
    struct slip_try t = {
        .group = below(chance, f->n_sections),
        .kind = below(chance, f->n_kinds),
        .first = below(chance, SLIP_DOTS - SLIP_TOGETHER + 1),
        .count = count + LEAST_AHEAD,
    };
    while (t.count < count + MOST_AHEAD && below(chance, ONE_IN) != 0)
        t.count++;
    return t;
}

/* --- the march ----------------------------------------------------------------------------------
 */

struct slip_dot slip_dot(const struct slip_field *f, const struct slip_try *slipping, int group,
                         int dot, int64_t at_us)
{
    const int place = slipping ? dot - slipping->first : -1;
    const bool slips = place >= 0 && place < SLIP_TOGETHER && slipping->group == group &&
                       at_us >= slipping->count * SLIP_COUNT_US;
    const enum slip how = slips ? f->kinds[slipping->kind].slip : SLIPS;
    const int64_t own_us = how == SLIP_LATE ? at_us - SLIP_COUNT_US / 2 : at_us;
    const int64_t step = own_us < 0 ? 0 : own_us / SLIP_COUNT_US;
    const int way = (int)(step % (2 * WAY));
    struct slip_dot d = {
        .row = how == SLIP_BACK,
        .col = dot * INTERVAL + (way <= WAY ? way : 2 * WAY - way),
        .right_foot = step % 2 == 1,
        .horn_low = how == SLIP_HORNS,
    };
    if (how == SLIP_FEET)
        d.right_foot = !d.right_foot;
    if (how == SLIP_CLOSE) /* towards the middle one */
        d.col += 2 * (SLIP_TOGETHER / 2 - place);
    return d;
}
