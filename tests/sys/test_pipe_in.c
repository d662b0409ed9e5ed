/* A named pipe read without waiting. */
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "sys/pipe_in.h"

static const char *pipe_made(void)
{
    const char *path = path_in(temp_dir(), "pipe");
    assert_int_equal(mkfifo(path, 0600), 0);
    return path;
}

static int opened(const char *path)
{
    struct err e;
    const int fd = pipe_in_open(path, &e);
    if (fd < 0)
        fail_msg("%s", e.text);
    return fd;
}

static void nobody_needs_to_write_yet(void **state)
{
    (void)state;
    char bytes[8];
    struct err e;
    const char *path = pipe_made();
    const int fd = opened(path);
    assert_int_equal(pipe_in_read(fd, bytes, sizeof bytes, 1, &e), 0);
    const int writer = open(path, O_WRONLY | O_CLOEXEC);
    assert_int_equal(pipe_in_read(fd, bytes, sizeof bytes, 1, &e), 0);
    assert_int_equal(write(writer, "abc", 3), 3);
    assert_int_equal(pipe_in_read(fd, bytes, 2, 1, &e), 2);
    assert_memory_equal(bytes, "ab", 2);
    assert_int_equal(pipe_in_read(fd, bytes, sizeof bytes, 1, &e), 1);
    assert_int_equal(pipe_in_read(fd, bytes, sizeof bytes, 1, &e), 0);
    close(writer);
    pipe_in_close(fd);
}

static void what_was_written_comes_before_the_end(void **state)
{
    (void)state;
    char bytes[8];
    struct err e;
    const char *path = pipe_made();
    const int fd = opened(path), writer = open(path, O_WRONLY | O_CLOEXEC);
    assert_int_equal(write(writer, "z", 1), 1);
    close(writer);
    assert_int_equal(pipe_in_read(fd, bytes, sizeof bytes, 1, &e), 1);
    assert_int_equal(pipe_in_read(fd, bytes, sizeof bytes, 1, &e), -1);
    assert_string_equal(e.text, "the sound ended");
    pipe_in_close(fd);
}

static void what_is_no_pipe_is_refused(void **state)
{
    (void)state;
    struct err e;
    const char *dir = temp_dir(), *file = write_file(dir, "x.wav", "RIFF");
    assert_int_equal(pipe_in_open(file, &e), -1);
    assert_non_null(strstr(e.text, "x.wav is no named pipe"));
    assert_int_equal(pipe_in_open(dir, &e), -1);
    assert_non_null(strstr(e.text, "is no named pipe"));
    assert_int_equal(pipe_in_open(path_in(dir, "none"), &e), -1);
    assert_non_null(strstr(e.text, "none: No such file or directory"));
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, nobody_needs_to_write_yet);
    case_test(&all, what_was_written_comes_before_the_end);
    case_test(&all, what_is_no_pipe_is_refused);
    return cases_run(&all, "named pipes");
}
