/* What pages are called: the same whatever else is published, since it stands in codes and links. */
#include <string.h>

#include "lib/cases.h"
#include "page/names.h"

static void names_that_lose_letters_are_told_apart(void **state)
{
    (void)state;
    static const char *const texts[] = {"a/b", "a:b", "a b", "Т1", "ク1", "صنج", "Трубы"};
    enum { N = sizeof texts / sizeof *texts };
    struct arena a = {0};
    const char *alone[N];
    for (int i = 0; i < N; i++) {
        alone[i] = page_name(&a, texts[i], NULL, 0);
        for (int k = 0; k < i; k++)
            assert_string_not_equal(alone[i], alone[k]);
    }
    assert_string_equal(alone[2], "a-b");
    for (int i = 0; i < N; i++) /* and among all of the others, in another order */
        assert_string_equal(page_name(&a, texts[N - 1 - i], alone, (size_t)(N - 1 - i)),
                            alone[N - 1 - i]);
    assert_string_equal(page_name(&a, "A b", alone, N), "a-b-2");
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, names_that_lose_letters_are_told_apart);
    return cases_run(&all, "names of pages");
}
