#include "lib/mic.h"

#include <fcntl.h>
#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/files.h"
#include "lib/run.h"

struct mic mic_open(void)
{
    struct mic m = {path_in(temp_dir(), "mic"), -1};
    assert_int_equal(mkfifo(m.path, 0600), 0);
    m.fd = open(m.path, O_RDWR | O_CLOEXEC | O_NONBLOCK);
    assert_true(m.fd >= 0);
    return m;
}

void mic_close(struct mic *m)
{
    close(m->fd);
    m->fd = -1;
}

enum { RATE = 16000, TENTH = RATE / 10 * 2 /* bytes */ };

struct mic_sound mic_record(const char *text, double quiet_s)
{
    struct mic_sound s = {0};
    if (!text) {
        s.n = (size_t)(quiet_s * RATE) * 2;
        s.bytes = arena_alloc(test_arena(), s.n);
        return s;
    }
    const char *dir = temp_dir(), *wav = path_in(dir, "said.wav"), *raw = path_in(dir, "said.raw");
    struct run r = run("flite", "-voice", "slt", "-t", text, "-o", wav, NULL);
    assert_exit(r, 0);
    r = run("ffmpeg", "-v", "error", "-i", wav, "-af",
            arena_printf(test_arena(), "adelay=333,apad=pad_dur=%g", quiet_s), "-ar", "16000",
            "-ac", "1", "-f", "s16le", raw, NULL);
    assert_exit(r, 0);
    s.bytes = read_file(raw, &s.n);
    return s;
}

void mic_play(const struct mic *m, const struct mic_sound *s, void (*each)(void *user), void *user)
{
    const long long end = now_ms() + DEADLINE_MS;
    for (size_t at = 0; at < s->n;) {
        const ssize_t n = write(m->fd, s->bytes + at, s->n - at < TENTH ? s->n - at : TENTH);
        if (n > 0)
            at += (size_t)n;
        else
            poll(&(struct pollfd){.fd = m->fd, .events = POLLOUT}, 1, 20);
        if (each)
            each(user);
        if (now_ms() > end)
            fail_msg("nobody reads what the microphone hears");
    }
}

void mic_say(const struct mic *m, const char *text, double quiet_s)
{
    const struct mic_sound s = mic_record(text, quiet_s);
    mic_play(m, &s, NULL, NULL);
}

bool mic_empty(void *mic)
{
    int left = 0;
    assert_int_equal(ioctl(((struct mic *)mic)->fd, FIONREAD, &left), 0);
    return left == 0;
}

void mic_wait_empty(struct mic *m)
{
    const long long end = now_ms() + DEADLINE_MS;
    while (!mic_empty(m)) {
        poll(NULL, 0, 2);
        if (now_ms() > end)
            fail_msg("nobody reads what the microphone hears");
    }
}
