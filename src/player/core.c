/* Talking to libmpv: nothing here waits for an answer. */
#include <unistd.h>

#include "player/inside.h"

void wake(int fd)
{
    const uint64_t one = 1;
    /* A full counter is as good as a wake-up. */
    ssize_t n = write(fd, &one, sizeof one);
    (void)n;
}

void core_command(struct player *p, uint64_t tag, const char **args)
{
    if (p->mpv)
        mpv_command_async(p->mpv, tag, args);
}

void core_set_flag(struct player *p, const char *name, bool on)
{
    int value = on;
    if (p->mpv)
        mpv_set_property_async(p->mpv, 0, name, MPV_FORMAT_FLAG, &value);
}

void core_set_number(struct player *p, const char *name, double value)
{
    if (p->mpv)
        mpv_set_property_async(p->mpv, 0, name, MPV_FORMAT_DOUBLE, &value);
}

void core_set_text(struct player *p, const char *name, const char *value)
{
    if (p->mpv)
        mpv_set_property_async(p->mpv, 0, name, MPV_FORMAT_STRING, &value);
}

void core_get(struct player *p, uint64_t tag, const char *name, mpv_format format)
{
    if (p->mpv)
        mpv_get_property_async(p->mpv, tag, name, format);
}
