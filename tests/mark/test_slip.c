/* Dots that march and slip: who stands for whom, when it begins, and what is seen of it. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "mark/slip.h"
#include "show/show_of.h"

static struct arena mem;

/* --- who and what ------------------------------------------------------------------------------ */

static const char sections[] = "section,parent,key\nensemble,,e\nwinds,ensemble,w\nflutes,winds,f\n"
                               "clarinets,winds,c\ntrumpets,winds,t\ntubas,winds,u\n"
                               "snares,ensemble,n\n";

static const struct field_row {
    const char *name, *sections, *roster, *faults;
    const char *expect; /* sections; and what is seen for which fault */
} fields[] = {
    {"the largest sections, in the order of the show, and four kinds that the show names", sections,
     "performer,section\nU1,tubas\nU2,tubas\nN1,snares\nF1,flutes\nF2,flutes\nT1,trumpets\n"
     "T2,trumpets\nT3,trumpets\nC1,clarinets\n",
     "fault,family,key,words\nhorn angle,horns,h,\nout of step,feet,p,\nlate arrival,timing,l,\n"
     "closed interval,form,c,\ndress,form,d,\n",
     "flutes trumpets tubas / three on the other foot: out of step; three too close: closed "
     "interval; three out of the line: dress; three half a count late: late arrival; "},
    {"without performers the first sections at the ends of the tree", sections, NULL,
     "fault,key\nhorn angle,h\n", "flutes clarinets trumpets / three horns drop: horn angle; "},
    {"the whole ensemble where there is nothing else", "section,key\nensemble,e\n", NULL,
     "fault,key\ndress,d\n", "ensemble / three out of the line: dress; "},
    {"other words of a fault count as its name", "section,key\nensemble,e\n", NULL,
     "fault,family,key,words\nspread,x,a,\nbunching,x,b,closed\nuneven,x,u,alignment\n"
     "drag,x,g,behind\n",
     "ensemble / three too close: bunching; three out of the line: uneven; three half a count "
     "late: drag; "},
    {"a part of a name is better than its family, and that than any", "section,key\nensemble,e\n",
     NULL, "fault,family,key\nfaces,look,f\nstep off,timing,s\nleft foot lead,legs,l\n",
     "ensemble / three on the other foot: left foot lead; three half a count late: step off; "
     "three too close: faces; "},
    {"no fault stands in once there are three", "section,key\nensemble,e\n", NULL,
     "fault,family,key\nfaces,look,f\nstep off,timing,s\nleft foot lead,legs,l\n"
     "spread,spacing,r\nbow,form,b\n",
     "ensemble / three on the other foot: left foot lead; three too close: spread; three out of "
     "the line: bow; "},
    {"no fault stands for two kinds", "section,key\nensemble,e\n", NULL,
     "fault,family,key\nform,form & spacing,f\n", "ensemble / three too close: form; "},
};

static void said(const struct show *show, const struct slip_field *f, char out[400])
{
    int n = 0;
    for (size_t i = 0; i < f->n_sections; i++)
        n += snprintf(out + n, 400 - (size_t)n, "%s ", show->sections[f->sections[i]].name);
    n += snprintf(out + n, 400 - (size_t)n, "/ ");
    for (size_t i = 0; i < f->n_kinds; i++)
        n += snprintf(out + n, 400 - (size_t)n, "%s: %s; ", slip_words(f->kinds[i].slip),
                      show->faults[f->kinds[i].fault].name);
}

static void stands_for_the_show(void **state)
{
    const struct field_row *r = *state;
    struct show show = show_of(&mem, r->sections, r->roster, r->faults, NULL);
    struct slip_field f;
    struct err e;
    char out[400];
    assert_true(slip_field(&show, &f, &e));
    said(&show, &f, out);
    assert_string_equal(out, r->expect);
}

static void what_was_removed_or_has_no_key_stands_for_nothing(void **state)
{
    (void)state;
    struct show show =
        show_of(&mem, sections, NULL, "fault,key\nout of step,p\ndress,d\nhorn angle,h\n", NULL);
    struct slip_field f;
    struct err e;
    char out[400];
    show.sections[2].removed = true; /* flutes */
    show.sections[3].key = "";       /* clarinets */
    show.faults[0].removed = true;
    show.faults[1].key = "";
    assert_true(slip_field(&show, &f, &e));
    said(&show, &f, out);
    assert_string_equal(out, "trumpets tubas snares / three horns drop: horn angle; ");
    show.faults[2].key = "";
    assert_false(slip_field(&show, &f, &e));
    assert_non_null(strstr(e.text, "no fault"));
    show.faults[2].key = "h";
    for (size_t i = 0; i < show.n_sections; i++)
        show.sections[i].key = "";
    assert_false(slip_field(&show, &f, &e));
    assert_non_null(strstr(e.text, "no section"));
    show.n_sections = 0;
    assert_false(slip_field(&show, &f, &e));
}

/* A section whose parts have gone is itself the end of the tree. */
static void a_section_whose_parts_were_removed_is_a_leaf(void **state)
{
    (void)state;
    struct show show = show_of(&mem, sections, NULL, "fault,key\ndress,d\n", NULL);
    struct slip_field f;
    struct err e;
    char out[400];
    for (size_t i = 2; i < 6; i++)
        show.sections[i].removed = true;
    assert_true(slip_field(&show, &f, &e));
    said(&show, &f, out);
    assert_string_equal(out, "winds snares / three out of the line: dress; ");
}

/* --- chance ------------------------------------------------------------------------------------ */

/* The first numbers from 1234567 (Rosetta Code, 'Pseudo-random numbers/Splitmix64', from memory). */
static void chance_is_splitmix64(void **state)
{
    (void)state;
    static const uint64_t known[] = {UINT64_C(6457827717110365317), UINT64_C(3203168211198807973),
                                     UINT64_C(9817491932198370423), UINT64_C(4593380528125082431),
                                     UINT64_C(16408922859458223821)};
    uint64_t chance = 1234567;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        assert_true(slip_chance(&chance) == known[i]);
}

static const struct slip_field whole = {
    .sections = {0, 1, 2},
    .kinds = {{SLIP_FEET, 0}, {SLIP_CLOSE, 1}, {SLIP_BACK, 2}, {SLIP_LATE, 3}},
    .n_sections = 3,
    .n_kinds = 4,
};

/* Of n tries each with chance p, five standard deviations around n p. */
static void assert_share(int got, int n, double p)
{
    const double off = got - n * p;
    if (off * off > 25 * n * p * (1 - p))
        fail_msg("%d of %d where %.1f were due", got, n, n * p);
}

static void every_slip_is_as_likely_as_any_other(void **state)
{
    (void)state;
    enum { N = 24000 };
    int seen[3][4][4] = {{{0}}};
    uint64_t chance = 1;
    for (int i = 0; i < N; i++) {
        struct slip_try t = slip_draw(&whole, 0, &chance);
        assert_in_range(t.first, 0, SLIP_DOTS - SLIP_TOGETHER);
        seen[t.group][t.kind][t.first]++;
    }
    for (int g = 0; g < 3; g++)
        for (int k = 0; k < 4; k++)
            for (int first = 0; first < 4; first++)
                assert_share(seen[g][k][first], N, 1.0 / 48);
}

/* Having waited long says nothing about the next count. */
static void no_count_is_likelier_than_the_one_before(void **state)
{
    (void)state;
    enum { N = 20000, FROM = 100 };
    int begun[21] = {0}, waiting = N;
    uint64_t chance = 7;
    for (int i = 0; i < N; i++) {
        struct slip_try t = slip_draw(&whole, FROM, &chance);
        assert_in_range((int)t.count - FROM, 3, 20); /* at most ten seconds */
        begun[t.count - FROM]++;
    }
    for (int after = 3; after < 15; after++) {
        assert_share(begun[after], waiting, 0.25);
        waiting -= begun[after];
    }
}

/* --- what is seen ------------------------------------------------------------------------------ */

/* A rank as two rows of text, 'o' with a horn up or '.' with it down, and the feet. */
static const char *rank(const struct slip_try *t, int group, double counts)
{
    static char text[4 * (SLIP_COLS + 2)];
    enum { LINE = SLIP_COLS + 1 };
    memset(text, ' ', sizeof text);
    for (int dot = 0; dot < SLIP_DOTS; dot++) {
        struct slip_dot at =
            slip_dot(&whole, t, group, dot, (int64_t)(counts * SLIP_COUNT_US + 0.5));
        assert_in_range(at.row, 0, SLIP_ROWS - 1);
        assert_in_range(at.col, 0, SLIP_COLS - 1);
        text[at.row * LINE + at.col] = at.right_foot ? 'R' : 'L';
    }
    text[LINE - 1] = '/';
    size_t n = 2 * LINE;
    while (text[n - 1] == ' ')
        n--;
    text[n] = '\0';
    char *slash = strchr(text, '/'), *end = slash;
    while (end > text && end[-1] == ' ')
        end--;
    memmove(end, slash, strlen(slash) + 1);
    return text;
}

static void a_rank_steps_on_every_count_and_turns_back(void **state)
{
    (void)state;
    assert_string_equal(rank(NULL, 0, 0), "L    L    L    L    L    L/");
    assert_string_equal(rank(NULL, 1, 0.999), "L    L    L    L    L    L/");
    assert_string_equal(rank(NULL, 2, 1), " R    R    R    R    R    R/");
    assert_string_equal(rank(NULL, 0, 3), "   R    R    R    R    R    R/");
    assert_string_equal(rank(NULL, 0, 31), " R    R    R    R    R    R/");
    assert_string_equal(rank(NULL, 0, 32), "L    L    L    L    L    L/");
    for (int count = 0; count < 70; count++) { /* one column on or back, on the other foot */
        struct slip_dot a = slip_dot(&whole, NULL, 0, 5, (int64_t)count * SLIP_COUNT_US);
        struct slip_dot b = slip_dot(&whole, NULL, 0, 5, (int64_t)(count + 1) * SLIP_COUNT_US);
        assert_int_equal(abs(a.col - b.col), 1);
        assert_true(a.right_foot != b.right_foot);
    }
}

static const struct seen_row {
    const char *name;
    int kind;
    double counts;
    const char *looks; /* of dots 2 to 4 from count 4 on */
} seen[] = {
    {"nothing is seen before its count", 0, 3.999, "   R    R    R    R    R    R/"},
    {"out of step: the other foot from that count on", 0, 4, "    L    R    R    R    L    L/"},
    {"and on the next", 0, 5, "     R    L    L    L    R    R/"},
    {"too close: the outer two at the middle one's sides", 1, 4, "    L      L  L  L      L    L/"},
    {"out of the line: one row back", 2, 4, "    L                   L    L/         L    L    L"},
    {"late: they stand on the count", 3, 4, "    L   R    R    R     L    L/"},
    {"and step half a count behind the others", 3, 4.5, "    L    L    L    L    L    L/"},
    {"and again", 3, 5, "     R   L    L    L     R    R/"},
};

static void looks(void **state)
{
    const struct seen_row *r = *state;
    const struct slip_try t = {.group = 1, .kind = r->kind, .first = 1, .count = 4};
    assert_string_equal(rank(&t, 1, r->counts), r->looks);
    char others[200];
    snprintf(others, sizeof others, "%s", rank(NULL, 0, r->counts));
    assert_string_equal(rank(&t, 0, r->counts), others);
    assert_string_equal(rank(&t, 2, r->counts), others);
}

static void horns_drop_and_nothing_else(void **state)
{
    (void)state;
    const struct slip_field f = {.kinds = {{SLIP_HORNS, 0}}, .n_sections = 1, .n_kinds = 1};
    const struct slip_try t = {.first = 2, .count = 4};
    for (int dot = 0; dot < SLIP_DOTS; dot++) {
        struct slip_dot is = slip_dot(&f, &t, 0, dot, 4 * SLIP_COUNT_US);
        struct slip_dot was = slip_dot(&f, NULL, 0, dot, 4 * SLIP_COUNT_US);
        assert_int_equal(is.horn_low, dot >= 2 && dot <= 4);
        assert_false(was.horn_low);
        assert_true(is.row == was.row && is.col == was.col && is.right_foot == was.right_foot);
    }
}

/* Whatever slips, wherever it begins: two dots never share a cell, a horn never hides a dot, and
 * within a count of its beginning something looks different. */
static void every_slip_can_be_seen_and_hides_nobody(void **state)
{
    (void)state;
    for (int kind = 0; kind < 4; kind++)
        for (int first = 0; first <= SLIP_DOTS - SLIP_TOGETHER; first++)
            for (int from = 3; from < 40; from++) {
                const struct slip_try t = {.kind = kind, .first = first, .count = from};
                int differ = 0;
                for (int half = 0; half < 8; half++) {
                    const double counts = from + half / 2.0;
                    const int64_t at_us = (int64_t)(counts * SLIP_COUNT_US);
                    char usual[200];
                    snprintf(usual, sizeof usual, "%s", rank(NULL, 0, counts));
                    const bool same = strcmp(rank(&t, 0, counts), usual) == 0;
                    differ += half < 2 && !same;
                    for (int dot = 0; dot + 1 < SLIP_DOTS; dot++) {
                        struct slip_dot a = slip_dot(&whole, &t, 0, dot, at_us);
                        struct slip_dot b = slip_dot(&whole, &t, 0, dot + 1, at_us);
                        assert_true(b.col - a.col >= 3);
                    }
                }
                assert_true(differ > 0);
            }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, fields, stands_for_the_show);
    case_test(&all, what_was_removed_or_has_no_key_stands_for_nothing);
    case_test(&all, a_section_whose_parts_were_removed_is_a_leaf);
    case_test(&all, chance_is_splitmix64);
    case_test(&all, every_slip_is_as_likely_as_any_other);
    case_test(&all, no_count_is_likelier_than_the_one_before);
    case_test(&all, a_rank_steps_on_every_count_and_turns_back);
    cases_of(&all, seen, looks);
    case_test(&all, horns_drop_and_nothing_else);
    case_test(&all, every_slip_can_be_seen_and_hides_nobody);
    int failed = cases_run(&all, "dots that slip");
    arena_free(&mem);
    return failed;
}
