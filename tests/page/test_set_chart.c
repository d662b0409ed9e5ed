/* The small drawing of a set below a line: the field's lines and sides are named, and whom the line's
 * marks in that set mean is told from the rest of their section. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "page/page.h"

enum { ENSEMBLE, BRASS, TRUMPETS, TUBAS };
enum { T1, T2, T3, U1 };

static struct section sections[] = {{.name = "ensemble", .parent = "", .up = -1},
                                    {.name = "brass", .parent = "ensemble", .up = ENSEMBLE},
                                    {.name = "trumpets", .parent = "brass", .up = BRASS},
                                    {.name = "tubas", .parent = "brass", .up = BRASS}};
static struct performer performers[] = {{.label = "T1", .name = "", .section = TRUMPETS},
                                        {.label = "T2", .name = "", .section = TRUMPETS},
                                        {.label = "T3", .name = "", .section = TRUMPETS},
                                        {.label = "U1", .name = "", .section = TUBAS}};
static struct fault faults[] = {{.name = "horn angle", .right = "", .decided_by = ""}};
static struct set sets[] = {{.label = "1", .counts = 8, .name = ""},
                            {.label = "2", .counts = 8, .name = ""}};
/* Four steps before the front hash and on it, side 1 of the 50; set 2 far from every line. */
static struct dot dots[] = {
    {.performer = T1, .set = 0, .x = -12, .y = 24}, {.performer = T2, .set = 0, .x = -10, .y = 24},
    {.performer = T3, .set = 0, .x = -8, .y = 28},  {.performer = U1, .set = 0, .x = -6, .y = 28},
    {.performer = T1, .set = 1, .x = 60, .y = 14},  {.performer = T2, .set = 1, .x = 62, .y = 14},
    {.performer = T3, .set = 1, .x = 64, .y = 14}};
static struct show show = {.sections = sections,
                           .performers = performers,
                           .faults = faults,
                           .sets = sets,
                           .dots = dots,
                           .n_sections = 4,
                           .n_performers = 4,
                           .n_faults = 1,
                           .n_sets = 2,
                           .n_dots = 7};

static bool nothing(void *user, const struct report_moment *m, struct buf *out)
{
    (void)user, (void)m, (void)out;
    return false;
}

static bool no_cut(void *user, const struct report_moment *m, int64_t *from_us, struct buf *out)
{
    (void)from_us;
    return nothing(user, m, out);
}

static bool no_clip(void *user, const struct report_clip *c, struct buf *out)
{
    (void)user, (void)c, (void)out;
    return false;
}

static struct report_moment moment(const struct target *t, size_t n, int set)
{
    return (struct report_moment){
        .uid = "00112233445566778899", .targets = t, .n_targets = n, .set = set, .note = ""};
}

/* The page of trumpets, or of one performer, with one line of these marks; its charts. */
static const char *charts(struct report_moment *m, size_t n, int performer)
{
    static struct buf page;
    static const struct report_clip clip = {.label = "monday", .date = "2026-11-23"};
    static const int in_sets[] = {0, 1};
    struct rank_item item = {
        .marks = (int)n, .sets = in_sets, .n_sets = 2, .state_by = "", .state_at = ""};
    const struct page_media media = {NULL, nothing, no_cut, no_clip};
    struct fix_report r = {
        .show = &show,
        .title = "Larkspur",
        .section = TRUMPETS,
        .performer = performer,
        .clips = &clip,
        .n_clips = 1,
        .own = {.section = TRUMPETS, .list = {.items = &item, .n_items = 1}, .moments = m, n}};
    int per_clip[] = {(int)n};
    item.per_clip = per_clip;
    show.grid = *grid_named("high-school");
    buf_clear(&page);
    page_section(&(struct page_section){.r = &r},
                 &(struct page_style){.title = "Larkspur", .media = &media}, &page);
    return page.p;
}

/* One chart, from its summary on. */
static const char *chart(const char *all, const char *set, struct buf *out)
{
    struct buf head = {0};
    buf_printf(&head, "<summary>Set %s, from the box", set);
    const char *from = strstr(all, head.p);
    buf_free(&head);
    buf_clear(out);
    if (from)
        buf_add(out, from, (size_t)(strstr(from, "</details>") - from));
    return buf_text(out);
}

static void has(const char *text, const char *what)
{
    if (!strstr(text, what))
        fail_msg("no '%s' in\n%s", what, text);
}

static void lacks(const char *text, const char *what)
{
    if (strstr(text, what))
        fail_msg("'%s' in\n%s", what, text);
}

static size_t times(const char *text, const char *what)
{
    size_t n = 0;
    for (const char *s = text; (s = strstr(s, what)); s++)
        n++;
    return n;
}

static void the_field_is_named(void **state)
{
    (void)state;
    static const struct target t1[] = {{TRUMPETS, T1}};
    struct report_moment m[] = {moment(t1, 1, 0), moment(t1, 1, 1)};
    struct buf one = {0};
    const char *all = charts(m, 2, -1), *c = chart(all, "1", &one);
    static const char *const names[] = {"side 1", "side 2", "front: the box", "back", "front hash"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        has(c, names[i]);
    lacks(c, "front sideline"); /* which is not in the picture */
    /* high school: hashes 28 steps deep, a stroke over the 50 */
    has(c, "<line class=\"hash\" x1=\"-1\" y1=\"-28\" x2=\"1\" y2=\"-28\"/>");
    has(c, ">45</text>");
    /* From 14 steps deep both lines are 14 away: one of them is reached, the edge of a yard line is not
     * left hanging. */
    has(chart(all, "2", &one), "front sideline");
    has(one.p, "<line class=\"side\"");
    buf_free(&one);
}

static void those_who_are_meant_are_told_from_their_section(void **state)
{
    (void)state;
    static const struct target t1[] = {{TRUMPETS, T1}}, t2[] = {{TRUMPETS, T2}, {TUBAS, U1}};
    struct report_moment m[] = {moment(t1, 1, 0), moment(t2, 2, 1)};
    struct buf one = {0};
    const char *all = charts(m, 2, -1), *c = chart(all, "1", &one);
    assert_int_equal(times(c, "class=\"meant\""), 1);
    assert_int_equal(times(c, "class=\"rest\""), 2);
    assert_int_equal(times(c, "class=\"other\""), 1);
    has(c, "<circle class=\"meant\" r=\"0.84\" cx=\"-12\" cy=\"-24\"/>");
    has(c, "<p class=\"legend\">Filled: T1. Rings: the rest of the <bdi>trumpets</bdi>. Points: "
           "everybody else.</p>");
    has(c, "aria-label=\"Set 1: T1\"");
    /* who is marked in set 2 alone */
    has(chart(all, "2", &one), "Filled: T2. Rings: the rest of the <bdi>trumpets</bdi>.</p>");
    lacks(one.p, "U1");
    buf_free(&one);
}

static void a_mark_on_all_means_all_of_the_pages_section(void **state)
{
    (void)state;
    static const struct target all_of[] = {{TRUMPETS, -1}}, above[] = {{BRASS, -1}},
                               both[] = {{TRUMPETS, -1}, {TRUMPETS, T3}};
    struct buf one = {0};
    struct report_moment m[] = {moment(all_of, 1, 0)};
    has(chart(charts(m, 1, -1), "1", &one), "Filled: trumpets. Points: everybody else.</p>");
    assert_int_equal(times(one.p, "class=\"meant\""), 3);
    m[0] = moment(above, 1, 0);
    has(chart(charts(m, 1, -1), "1", &one), "Filled: trumpets. Points");
    m[0] = moment(both, 2, 0); /* a name beside it is what the eye is to go to */
    has(chart(charts(m, 1, -1), "1", &one), "Filled: T3. Rings: the rest of the");
    buf_free(&one);
}

static void a_performers_page_names_no_other(void **state)
{
    (void)state;
    static const struct target two[] = {{TRUMPETS, T1}, {TRUMPETS, T2}}, above[] = {{BRASS, -1}};
    struct report_moment m[] = {moment(two, 2, 0)};
    struct buf one = {0};
    has(chart(charts(m, 1, T1), "1", &one), "Filled: T1. Points: everybody else.</p>");
    lacks(one.p, "T2");
    m[0] = moment(above, 1, 0);
    has(chart(charts(m, 1, T1), "1", &one), "Filled: T1. Points");
    buf_free(&one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_field_is_named),
        cmocka_unit_test(those_who_are_meant_are_told_from_their_section),
        cmocka_unit_test(a_mark_on_all_means_all_of_the_pages_section),
        cmocka_unit_test(a_performers_page_names_no_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
