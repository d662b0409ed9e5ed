/* The column words of faults and sections: read as the file has it, written alone, taken back. */
#include "lib/cases.h"
#include "store/season.h"
#include "store/words.h"

static const struct named *named(struct season *s, const char *name)
{
    struct named_list l;
    OK(s, store_names(s->store, test_arena(), &l, &s->e));
    for (size_t i = 0; i < l.n; i++)
        if (strcmp(l.at[i].name, name) == 0)
            return &l.at[i];
    return NULL;
}

static void travel(struct season *s, bool back)
{
    struct travelled t = {.then = NULL};
    OK(s, (back ? store_undo : store_redo)(s->store, &t, &s->e));
    season_load(s);
}

static void names_are_those_in_use_faults_first(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    struct named_list l;
    put_faults(&s, "fault,key,words\nlate,l,behind;dragging\nbounce,b,\n", false, &r);
    OK(&s, store_names(s.store, test_arena(), &l, &s.e));
    assert_int_equal(l.n, 2 + s.show.n_sections);
    assert_string_equal(l.at[0].name, "late");
    assert_string_equal(l.at[0].words, "behind;dragging");
    assert_false(l.at[0].section);
    assert_string_equal(l.at[1].name, "bounce");
    assert_true(l.at[2].section);
    assert_int_equal(l.at[2].id, s.show.sections[0].id);
    season_close(&s);
}

static void the_column_alone_is_written(void **state)
{
    (void)state;
    struct season s = season_new();
    const int late = show_fault(&s.show, "late"), tubas = show_section(&s.show, "tubas");
    const struct fault was = s.show.faults[late];
    const struct section tuba = s.show.sections[tubas];
    const char *key = arena_strdup(test_arena(), was.key);
    const char *above = arena_strdup(test_arena(), tuba.parent);
    OK(&s, store_words_put(s.store, named(&s, "late"), "behind;dragging", &s.e));
    OK(&s, store_words_put(s.store, named(&s, "tubas"), "sousas", &s.e));
    season_load(&s);
    assert_string_equal(s.show.faults[late].words, "behind;dragging");
    assert_string_equal(s.show.faults[late].key, key);
    assert_int_equal(s.show.faults[late].cause, was.cause);
    assert_string_equal(s.show.sections[tubas].words, "sousas");
    assert_string_equal(s.show.sections[tubas].parent, above);
    for (size_t i = 0; i < s.show.n_faults; i++)
        assert_true((int)i == late || strcmp(s.show.faults[i].words, "behind;dragging") != 0);
    season_close(&s);
}

static void undo_takes_it_back_and_redo_brings_it_again(void **state)
{
    (void)state;
    struct season s = season_new();
    const char *was = arena_strdup(test_arena(), named(&s, "late")->words);
    OK(&s, store_words_put(s.store, named(&s, "late"), "dragging", &s.e));
    travel(&s, true);
    assert_string_equal(named(&s, "late")->words, was);
    travel(&s, false);
    assert_string_equal(named(&s, "late")->words, "dragging");
    season_close(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, names_are_those_in_use_faults_first);
    case_test(&all, the_column_alone_is_written);
    case_test(&all, undo_takes_it_back_and_redo_brings_it_again);
    return cases_run(&all, "words of faults and sections in the show file");
}
