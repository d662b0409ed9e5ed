/* A clip that was moved or renamed is found by what it holds; another of its name is not it. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "clip/find.h"
#include "clip/probe.h"
#include "lib/cases.h"
#include "lib/files.h"
#include "player/clips.h"

static struct media known;

/* A copy of a clip of the table. */
static const char *copy(const char *clip, const char *dir, const char *name)
{
    size_t n;
    char *from = clip_path(clip);
    assert_non_null(from);
    const char *bytes = read_file(from, &n);
    free(from);
    return write_bytes(dir, name, bytes, n);
}

static struct clip_file lost(const char *path)
{
    struct err e;
    if (!clip_probe(path, 0, &known, &e))
        fail_msg("%s", e.text);
    media_free(&known);
    return (struct clip_file){path, known.size_bytes, known.head_tail};
}

static void it_is_found_where_it_was_beside_the_show_and_under_another_name(void **state)
{
    (void)state;
    const char *old = temp_dir(), *show = temp_dir();
    const char *path = copy("second.mp4", old, "run.mp4");
    const struct clip_file clip = lost(path);
    assert_string_equal(clip_find(&clip, show, test_arena()), path);
    assert_int_equal(unlink(path), 0);
    assert_null(clip_find(&clip, show, test_arena()));
    const char *renamed = copy("second.mp4", old, "tuesday.mp4");
    assert_string_equal(clip_find(&clip, show, test_arena()), renamed);
    const char *moved = copy("second.mp4", show, "run.mp4");
    assert_string_equal(clip_find(&clip, show, test_arena()), moved);
}

static void another_clip_of_its_name_is_not_it(void **state)
{
    (void)state;
    const char *old = temp_dir(), *show = temp_dir();
    const char *path = copy("second.mp4", old, "run.mp4");
    const struct clip_file clip = lost(path);
    assert_int_equal(unlink(path), 0);
    copy("silent.mp4", show, "run.mp4");
    assert_null(clip_find(&clip, show, test_arena()));
    const char *whole = copy("second.mp4", show, "b.mp4");
    assert_string_equal(clip_find(&clip, show, test_arena()), whole);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, it_is_found_where_it_was_beside_the_show_and_under_another_name);
    case_test(&all, another_clip_of_its_name_is_not_it);
    return cases_run(&all, "clips that were moved");
}
