/* Chord keys: complete when typed, short enough, and given to what has none. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "show/show.h"
#include "show/show_of.h"

static const struct clash {
    const char *name, *sections, *faults, *said; /* "" = fine */
} clashes[] = {
    {"different letters are fine", "section,key\na,t\nb,u\n", "fault,key\nx,t\ny,uu\n", ""},
    {"a section and a fault may share a key", "section,key\na,t\n", "fault,key\nx,t\n", ""},
    {"the same key twice", "section,key\na,t\nb,t\n", NULL,
     "sections 'a' and 'b' have the same key 't'; give one of them another key"},
    {"a key that begins another", "section,key\ntubas,tu\ntrumpets,t\n", NULL,
     "key 't' of section 'trumpets' begins the key 'tu' of 'tubas'; change one, so that every key "
     "is complete when typed"},
    {"the same among faults", "section,key\na,t\n", "fault,key\nslouch,k\nelbows,ke\n",
     "key 'k' of fault 'slouch' begins the key 'ke' of 'elbows'; change one, so that every key is "
     "complete when typed"},
};

static void checks(void **state)
{
    const struct clash *r = *state;
    struct arena a = {0};
    struct err e = {0};
    struct show show = show_of(&a, r->sections, NULL, r->faults, NULL);
    assert_int_equal(show_check_keys(&show, &e), !*r->said);
    assert_string_equal(e.text, r->said);
    arena_free(&a);
}

static void a_removed_row_takes_no_key(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct show show = show_of(&a, "section,key\na,t\nb,t\n", NULL, NULL, NULL);
    show.sections[0].removed = true;
    assert_true(show_check_keys(&show, &e));
    arena_free(&a);
}

static void a_key_is_made_of_the_name(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, "section,key\ntubas,t\ntrumpets,\ntoys,\n", NULL, NULL, NULL);
    assert_string_equal(show.sections[0].key, "t");
    assert_string_equal(show.sections[1].key, "r");
    assert_string_equal(show.sections[2].key, "o");
    arena_free(&a);
}

/* However many have none, from few to the 676 that two letters can name; given ones stay. */
static void every_fault_gets_a_key_and_all_are_complete_when_typed(void **state)
{
    (void)state;
    static const int sizes[] = {1, 5, 25, 26, 27, 40, 80, 150, 500, 640};
    for (size_t s = 0; s < sizeof sizes / sizeof *sizes; s++) {
        struct arena a = {0};
        struct err e = {0};
        char *text = arena_alloc(&a, 64 * 1024), *at = text;
        at += sprintf(at, "fault,key\nslouch,q\nelbows,zz\n");
        for (int i = 0; i < sizes[s]; i++)
            at += sprintf(at, "late by %d of %c,\n", i, 'a' + i % 26);
        struct show show = show_of(&a, NULL, NULL, text, NULL);
        size_t letters = 0;
        for (size_t i = 0; i < show.n_faults; i++) {
            assert_true(*show.faults[i].key);
            letters += strlen(show.faults[i].key);
        }
        assert_string_equal(show.faults[0].key, "q");
        assert_string_equal(show.faults[1].key, "zz");
        if (!show_check_keys(&show, &e))
            fail_msg("%d faults: %s", sizes[s], e.text);
        assert_true(letters <= 2 * show.n_faults);
        arena_free(&a);
    }
}

static void names_without_letters_get_keys_too(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct show show = show_of(&a, NULL, NULL, "fault\n1\n2\n日本\n", NULL);
    for (size_t i = 0; i < show.n_faults; i++)
        assert_int_equal(strlen(show.faults[i].key), 1);
    assert_true(show_check_keys(&show, &e));
    arena_free(&a);
}

static char *slurp(struct arena *a, const char *path)
{
    FILE *f = fopen(path, "rb");
    if (!f)
        fail_msg("%s is not there", path);
    char *text = arena_alloc(a, 64 * 1024);
    text[fread(text, 1, 64 * 1024 - 1, f)] = '\0';
    fclose(f);
    return text;
}

/* Every section with every fault alike: the mean of section key plus fault key, and with one digit
 * for a performer. */
static void the_shipped_keys_make_a_mark_in_three_keys(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct show show = show_of(&a, slurp(&a, SHARE_DIR "/sections.csv"), NULL,
                               slurp(&a, SHARE_DIR "/faults.csv"), NULL);
    if (!show_check_keys(&show, &e))
        fail_msg("%s", e.text);
    double section = 0, fault = 0;
    for (size_t i = 0; i < show.n_sections; i++) {
        assert_true(*show.sections[i].key);
        section += (double)strlen(show.sections[i].key) / (double)show.n_sections;
    }
    for (size_t i = 0; i < show.n_faults; i++) {
        assert_true(*show.faults[i].key);
        fault += (double)strlen(show.faults[i].key) / (double)show.n_faults;
    }
    print_message("mean keys: section %.2f, fault %.2f, together %.2f\n", section, fault,
                  section + fault);
    assert_true(section + fault <= 3);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, clashes, checks);
    case_test(&all, a_removed_row_takes_no_key);
    case_test(&all, a_key_is_made_of_the_name);
    case_test(&all, every_fault_gets_a_key_and_all_are_complete_when_typed);
    case_test(&all, names_without_letters_get_keys_too);
    case_test(&all, the_shipped_keys_make_a_mark_in_three_keys);
    return cases_run(&all, "keys");
}
