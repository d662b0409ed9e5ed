/* Whose a plan's caution is, and what a block is called. */
#include <string.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "paper/plan.h"

#define WHO "Local policy decides."

static const char *const cautions[] = {"tubas: nobody attends", "set 2: T1 comes near T2",
                                       "set 3: T1 comes near U1", "18:00: more than 6 hard reps",
                                       WHO};

/* Sectionals of the groups 0 and 1, then reps of everyone. */
static struct plan_block blocks[] = {
    {.kind = PLAN_SECTIONAL,
     .number = 0,
     .group = 0,
     .cautions = "set 2: T1 comes near T2\n" WHO "\n"},
    {.kind = PLAN_SECTIONAL,
     .number = 1,
     .group = 1,
     .cautions = "18:00: more than 6 hard reps\n" WHO "\n"},
    {.kind = PLAN_REP,
     .number = 2,
     .group = PLAN_EVERYONE,
     .cautions = "set 3: T1 comes near U1\n" WHO "\n"},
};

static const char *of(const int *group)
{
    const struct plan_report r = {
        .plan = {.blocks = blocks, .n_blocks = 3, .cautions = cautions, .n_cautions = 5}};
    const struct plan_paper p = {.r = &r, .parts = {group, group != NULL}};
    char *said = arena_alloc(test_arena(), 6);
    for (size_t i = 0; i < 5; i++)
        said[i] = plan_caution_theirs(&p, i) ? 'x' : '-';
    return said;
}

static void a_caution_is_theirs_unless_it_is_only_about_others(void **state)
{
    (void)state;
    assert_string_equal(of(NULL), "xxxxx");
    assert_string_equal(of(&(int){0}), "xxx-x");
    assert_string_equal(of(&(int){1}), "x-xxx");
    for (size_t i = 0; i < 3; i++)
        blocks[i].cautions = NULL; /* of an older show file: nobody misses one */
    assert_string_equal(of(&(int){0}), "xxxxx");
}

static const char *number(int block, int part, int parts)
{
    struct buf text = {0};
    const struct plan_block b = {.number = block};
    plan_number_text(&b, parts ? &(struct plan_work){.part = part, .parts = parts} : NULL, &text);
    const char *kept = arena_strdup(test_arena(), buf_text(&text));
    buf_free(&text);
    return kept;
}

static void a_chunk_is_called_by_its_block_and_its_place(void **state)
{
    (void)state;
    assert_string_equal(number(2, 0, 0), "3");
    assert_string_equal(number(2, 0, 1), "3");
    assert_string_equal(number(2, 0, 2), "3.1");
    assert_string_equal(number(11, 9, 12), "12.10");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_caution_is_theirs_unless_it_is_only_about_others);
    case_test(&all, a_chunk_is_called_by_its_block_and_its_place);
    return cases_run(&all, "words of a plan");
}
