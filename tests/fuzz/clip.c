/* A damaged clip: bytes of a sound one are replaced. The first byte says which clip, and whether its
 * end is cut off too; then three bytes say where and one with what. It is looked through, copied
 * and cut: what is made opens again, what is refused says so, and no other file is left. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip/cut.h"
#include "clip/frames.h"
#include "clip/packets.h"
#include "clip/picture.h"
#include "clip/remux.h"
#include "fuzz/fuzz.h"
#include "player/clips.h"

static const char *const clips[] = {"second.mp4", "opus.webm", "turn90.mp4", "still.avi",
                                    "trimmed.mp4"};
enum { CLIPS = sizeof clips / sizeof *clips, MOST = 1 << 20 };

struct sound_clip {
    uint8_t bytes[MOST];
    size_t n;
};

static const struct sound_clip *sound_clip(size_t i)
{
    static struct sound_clip kept[CLIPS];
    struct sound_clip *c = &kept[i];
    if (c->n > 0)
        return c;
    char *path = clip_path(clips[i]);
    FILE *in = path ? fopen(path, "rb") : NULL;
    PROVE(in != NULL);
    c->n = fread(c->bytes, 1, MOST, in);
    fclose(in);
    free(path);
    return c;
}

static const char *in_folder(const char *name)
{
    static char path[300];
    snprintf(path, sizeof path, "%s/%s", fuzz_folder(), name);
    return path;
}

static size_t files(void)
{
    size_t n = 0;
    DIR *dir = opendir(fuzz_folder());
    PROVE(dir != NULL);
    for (struct dirent *d; (d = readdir(dir));)
        n += d->d_name[0] != '.' || strncmp(d->d_name, ".boxcall", 8) == 0;
    closedir(dir);
    return n;
}

static void prove_made(bool made, const char *to, const struct err *e)
{
    struct media m = {0};
    struct err unread;
    if (made)
        PROVE(packets_read(to, NULL, &m, &unread));
    else
        prove_error(e);
    media_free(&m);
    unlink(to);
    PROVE(files() == 1);
}

static void look(const char *clip)
{
    static const int64_t moments[] = {700000, 100000, 130000, 0, 5000000};
    struct frames *f;
    struct frame fr;
    struct err e;
    if (!frames_open(&f, &(struct frames_want){.path = clip, .kind = FRAMES_RGB, .width = 64},
                     &e)) {
        prove_error(&e);
        return;
    }
    for (size_t i = 0; i < sizeof moments / sizeof *moments; i++) {
        struct buf b = {0};
        if (frames_seek(f, moments[i], &e) && frames_next(f, &fr, &e))
            PROVE(fr.at_us >= moments[i] && picture_jpeg(&fr, &b, &e) && b.n > 100);
        else if (e.code != ERR_NONE)
            prove_error(&e);
        buf_free(&b);
    }
    frames_close(f);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    static uint8_t bytes[MOST];
    if (n < 2)
        return 0;
    const struct sound_clip *sound = sound_clip(data[0] % CLIPS);
    memcpy(bytes, sound->bytes, sound->n);
    const size_t length = data[0] & 128 ? sound->n - data[1] * (size_t)97 % sound->n : sound->n;
    for (size_t i = 1; i + 3 < n; i += 4)
        bytes[(size_t)(data[i] << 16 | data[i + 1] << 8 | data[i + 2]) % sound->n] = data[i + 3];

    char clip[300], to[300];
    strcpy(clip, in_folder("clip.bin"));
    strcpy(to, in_folder("made"));
    FILE *out = fopen(clip, "wb");
    PROVE(out && fwrite(bytes, 1, length, out) == length);
    fclose(out);
    struct err e;
    look(clip);
    const struct remux_chapter chapter = {0, 500000, "a"};
    bool made = remux(
        &(struct remux_want){.path = clip, .to = to, .chapters = &chapter, .n_chapters = 1}, &e);
    prove_made(made, to, &e);
    made = cut_make(&(struct cuts_want){.path = clip}, &(struct cut){100000, 300000, to}, &e);
    prove_made(made, to, &e);
    unlink(clip);
    return 0;
}
