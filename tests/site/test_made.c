/* A folder that is kept in step: what is the same stays, what is ours goes, what is not ours is never
 * touched, and a publishing that was cut off is gone on with. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/files.h"
#include "site/made.h"
#include "sys/file.h"

static struct err e;

static struct made *begin(const char *dir)
{
    struct made *m;
    e = (struct err){0};
    if (!made_open(&m, dir, &e))
        fail_msg("%s", e.text);
    return m;
}

static bool put(struct made *m, const char *name, const char *text)
{
    return made_put(m, name, (struct made_bytes){text, strlen(text)}, &e);
}

static struct made_report finish(struct made *m)
{
    struct made_report r;
    assert_true(made_finish(m, &r, &e));
    made_close(m);
    return r;
}

/* Two pages and a picture. */
static struct made_report publish(const char *dir, const char *one, const char *other)
{
    struct made *m = begin(dir);
    assert_true(put(m, "one.html", one));
    if (other)
        assert_true(put(m, "other.html", other));
    if (!made_has(m, "stills/a.jpg", 7))
        assert_true(made_put_from(m, "stills/a.jpg", 7, (struct made_bytes){"jpeg", 4}, &e));
    return finish(m);
}

static const char *text_of(const char *dir, const char *name)
{
    size_t n;
    return read_file(path_in(dir, name), &n);
}

static void is(struct made_report r, int written, int same, int gone, int left)
{
    assert_int_equal(r.written, written);
    assert_int_equal(r.same, same);
    assert_int_equal(r.gone, gone);
    assert_int_equal(r.left, left);
}

static void what_has_not_changed_is_not_written(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    struct stat before, after;
    is(publish(dir, "1", "2"), 3, 0, 0, 0);
    assert_int_equal(stat(path_in(dir, "one.html"), &before), 0);
    is(publish(dir, "1", "two"), 1, 2, 0, 0);
    assert_int_equal(stat(path_in(dir, "one.html"), &after), 0);
    assert_int_equal(before.st_ino, after.st_ino);
    assert_string_equal(text_of(dir, "other.html"), "two");
    assert_string_equal(text_of(dir, "stills/a.jpg"), "jpeg");
}

static void what_is_no_longer_wanted_goes_and_nothing_else(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    publish(dir, "1", "2");
    write_bytes(dir, "notes.txt", "mine", 4);
    struct made *m = begin(dir);
    assert_true(put(m, "one.html", "1"));
    is(finish(m), 0, 1, 2, 0);
    assert_false(file_exists(path_in(dir, "other.html")));
    assert_false(file_exists(path_in(dir, "stills"))); /* empty now */
    assert_string_equal(text_of(dir, "notes.txt"), "mine");
    assert_string_equal(text_of(dir, "one.html"), "1");
}

static void what_somebody_else_put_there_is_not_written_over(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    write_bytes(dir, "one.html", "my own page", 11);
    struct made *m = begin(dir);
    assert_false(put(m, "one.html", "1"));
    assert_int_equal(e.code, ERR_INPUT);
    assert_non_null(strstr(e.text, "one.html: was not made here"));
    made_close(m);
    assert_string_equal(text_of(dir, "one.html"), "my own page");
}

static void a_page_that_somebody_changed_is_theirs(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    publish(dir, "1", "2");
    write_bytes(dir, "other.html", "3", 1); /* as long as before */
    struct made *m = begin(dir);
    assert_false(put(m, "other.html", "4"));
    made_close(m);
    is(publish(dir, "1", NULL), 0, 2, 0, 1);
    assert_string_equal(text_of(dir, "other.html"), "3");
}

/* What would go can be asked about first; what somebody changed stays, and is no question. */
static void what_was_made_before_can_be_listed(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    publish(dir, "1", "2");
    write_bytes(dir, "one.html", "3", 1);
    struct made *m = begin(dir);
    size_t at = 0;
    assert_string_equal(made_before(m, &at), "other.html");
    assert_string_equal(made_before(m, &at), "stills/a.jpg");
    assert_null(made_before(m, &at));
    made_close(m);
}

static void a_publishing_that_was_cut_off_knows_its_files(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    publish(dir, "1", "2");
    struct made *m = begin(dir);
    assert_true(put(m, "one.html", "one"));
    assert_true(put(m, "third.html", "3"));
    made_close(m); /* no end */
    is(publish(dir, "1", "2"), 1, 2, 1, 0);
    assert_string_equal(text_of(dir, "one.html"), "1");
    assert_false(file_exists(path_in(dir, "third.html")));
}

/* Cut off when a page's line was written and the page was not: what lies there is the one before. */
static void a_page_that_was_announced_alone_is_still_ours(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web"), *list;
    publish(dir, "1", "2");
    list = arena_printf(test_arena(), "%s0000000000000009 1 one.html\n",
                        text_of(dir, ".boxcall-made"));
    write_bytes(dir, ".boxcall-made", list, strlen(list));
    is(publish(dir, "3", "2"), 1, 2, 0, 0);
    assert_string_equal(text_of(dir, "one.html"), "3");
}

/* What all of it was made from; files of these contents. */
static bool all_is(const char *dir, const char *one, const char *other)
{
    struct made *m = begin(dir);
    const bool same = made_all(m, 5);
    if (!same) {
        assert_true(put(m, "one.html", one));
        if (other)
            assert_true(put(m, "other.html", other));
    }
    finish(m);
    return same;
}

static void all_is_the_same_until_something_was_written_or_left(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    assert_false(all_is(dir, "1", "2"));
    assert_true(all_is(dir, "1", "2"));
    struct made *m = begin(dir);
    assert_true(put(m, "one.html", "x")); /* as long as before */
    made_close(m);                        /* no end */
    assert_false(all_is(dir, "1", "2"));
    assert_string_equal(text_of(dir, "one.html"), "1");
    assert_true(all_is(dir, "1", "2"));
    assert_int_equal(unlink(path_in(dir, "one.html")), 0);
    assert_false(all_is(dir, "1", "2"));
    write_bytes(dir, "other.html", "mine", 4);
    assert_false(all_is(dir, "1", NULL)); /* it is not as it was made, and stays */
    assert_false(all_is(dir, "1", NULL)); /* so all is looked at once more */
    assert_true(all_is(dir, "1", NULL));
    assert_string_equal(text_of(dir, "other.html"), "mine");
}

static void two_at_once_do_not_mix(void **state)
{
    (void)state;
    const char *dir = path_in(temp_dir(), "web");
    struct made *m = begin(dir), *second;
    assert_false(made_open(&second, dir, &e));
    assert_non_null(strstr(e.text, "another boxcall is writing there"));
    finish(m);
    finish(begin(dir));
}

/* A list that somebody gave us could name what lies elsewhere. */
static void a_list_that_names_other_folders_takes_nothing_away(void **state)
{
    (void)state;
    const char *outer = temp_dir(), *dir = path_in(outer, "web");
    publish(dir, "1", "2");
    write_bytes(outer, "victim", "v", 1);
    static const char list[] = "0000000000000007 1 ../victim\n0000000000000007 1 a/../../victim\n"
                               "0000000000000007 1 ./../victim\n0000000000000007 1 /etc/hostname\n"
                               "0000000000000007 1 a/b/../../../victim\n";
    assert_int_equal(mkdir(path_in(dir, "a"), 0777), 0);
    assert_int_equal(mkdir(path_in(dir, "a/b"), 0777), 0);
    write_bytes(dir, ".boxcall-made", list, sizeof list - 1);
    finish(begin(dir));
    assert_string_equal(text_of(outer, "victim"), "v");
    assert_true(file_exists("/etc/hostname"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_has_not_changed_is_not_written),
        cmocka_unit_test(what_is_no_longer_wanted_goes_and_nothing_else),
        cmocka_unit_test(what_somebody_else_put_there_is_not_written_over),
        cmocka_unit_test(a_page_that_somebody_changed_is_theirs),
        cmocka_unit_test(what_was_made_before_can_be_listed),
        cmocka_unit_test(a_publishing_that_was_cut_off_knows_its_files),
        cmocka_unit_test(a_page_that_was_announced_alone_is_still_ours),
        cmocka_unit_test(all_is_the_same_until_something_was_written_or_left),
        cmocka_unit_test(two_at_once_do_not_mix),
        cmocka_unit_test(a_list_that_names_other_folders_takes_nothing_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
