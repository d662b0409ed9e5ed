/* Targets as people write them, and the moment of a mark. */
#include <string.h>

#include "lib/cases.h"
#include "mark/band.h"
#include "mark/mark.h"

static const struct target_row {
    const char *name, *text, *said; /* as targets_text() says them, or the message */
    bool ok;
} rows[] = {
    {"a section", "trumpets", "trumpets", true},
    {"a section by another word", "Everyone", "ensemble", true},
    {"a performer, letter case ignored", "t3", "T3", true},
    {"several, in their order", "T5;mellophones;T3", "T5, mellophones, T3", true},
    {"blanks around", " T5 ; T3 ", "T5, T3", true},
    {"one named twice counts once", "T3;t3;trumpets;trumpet", "T3, trumpets", true},
    {"empty places in the list are nothing", ";T3;;", "T3", true},
    {"a label is preferred to a section's key", "solo", "solo", true},
    {"nothing", "", "no target; name a section or a performer's label (T3)", false},
    {"only separators", " ; ", "no target; name a section or a performer's label (T3)", false},
    {"a typo in a section", "trumpts",
     "no section or performer 'trumpts'; did you mean "
     "'trumpets'?",
     false},
    {"a typo in a label", "T3;T14", "no section or performer 'T14'; did you mean 'T1'?", false},
    {"a comma does not separate", "T3,T5",
     "no section or performer 'T3,T5'; separate several targets with ';'", false},
    {"a name like nothing", "euphoniums",
     "no section or performer 'euphoniums'; name a section or a performer's label", false},
};

static void reads(void **state)
{
    const struct target_row *r = *state;
    struct arena a = {0};
    struct show show = band(&a);
    struct err e = {0};
    struct buf said = {0};
    const struct target *t;
    size_t n;
    bool ok = (t = targets_parse(&a, &show, r->text, &n, &e));
    if (ok)
        targets_text(&show, t, n, &said);
    assert_string_equal(ok ? buf_text(&said) : e.text, r->said);
    assert_int_equal(ok, r->ok);
    buf_free(&said);
    arena_free(&a);
}

static void a_performer_stands_in_its_section(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct err e = {0};
    const struct target *t;
    size_t n;
    assert_true((t = targets_parse(&a, &show, "M2", &n, &e)));
    assert_int_equal(t->section, show_section(&show, "mellophones"));
    arena_free(&a);
}

static void a_section_may_have_a_semicolon_in_its_name(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, "section\nrifles; sabres\nflags\n", NULL, NULL, NULL);
    struct err e = {0};
    const struct target *t;
    size_t n;
    if (!(t = targets_parse(&a, &show, "rifles; sabres", &n, &e)))
        fail_msg("%s", e.text);
    assert_int_equal(n, 1);
    assert_int_equal(t->section, 0);
    arena_free(&a);
}

static const struct moment {
    const char *name;
    int64_t now_us;
    double lead_ms, speed;
    int64_t began_us, at_us;
} moments[] = {
    {"the lead is taken off", 10000000, 600, 1, 0, 9400000},
    {"at half speed half of it", 10000000, 600, 0.5, 0, 9700000},
    {"at double speed twice", 10000000, 600, 2, 0, 8800000},
    {"a clip that stands still has none", 10000000, 600, 1, -1, 10000000},
    {"no lead, no shift", 10000000, 0, 1, 0, 10000000},
    {"never before the clip", 300000, 600, 1, 0, 0},
    {"never before where playing began", 10000000, 600, 1, 9800000, 9800000},
    {"playing began a lead ago", 10000000, 600, 1, 9400000, 9400000},
    {"playing began just now", 10000000, 600, 1, 10000000, 10000000},
    {"a time before playing began is taken as it is", 9000000, 600, 1, 9500000, 9000000},
};

static void is_taken_at(void **state)
{
    const struct moment *m = *state;
    assert_int_equal(mark_time(m->now_us, m->lead_ms, m->speed, m->began_us), m->at_us);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, reads);
    cases_of(&all, moments, is_taken_at);
    case_test(&all, a_performer_stands_in_its_section);
    case_test(&all, a_section_may_have_a_semicolon_in_its_name);
    return cases_run(&all, "marks");
}
