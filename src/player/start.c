/* A handle of libmpv that runs: its options, what it may open, where its picture goes. */
#include <dlfcn.h>
#include <stdio.h>
#include <string.h>

#include "clip/open.h"
#include "player/inside.h"

struct option {
    const char *name, *value;
};

/* Nothing of the person's own player, nothing a file could refer to, no word on the terminal. */
static const struct option both_views[] = {
    {"config", "no"},
    {"load-scripts", "no"},
    {"ytdl", "no"},
    {"access-references", "no"},
    {"ordered-chapters", "no"},
    {"autoload-files", "no"},
    {"sid", "no"},
    {"embeddedfonts", "no"},
    {"resume-playback", "no"},
    {"save-position-on-quit", "no"},
    {"terminal", "no"},
    {"input-terminal", "no"},
    {"input-media-keys", "no"},
    {"input-default-bindings", "no"},
    {"osc", "no"},
    {"osd-level", "0"},
    {"osd-bar", "no"},
    {"audio-display", "no"},
    {"audio-fallback-to-null", "yes"},
    {"audio-pitch-correction", "yes"},
    {"audio-client-name", "boxcall"},
    {"idle", "yes"},
    {"keep-open", "yes"},
    {"hr-seek", "yes"},
    {"pause", "yes"},
    {"stop-screensaver", "no"},
    {"framedrop", "decoder+vo"},
    {"hwdec", "vaapi-copy"}, /* falls back to software by itself; other ways print on fd 2 */
};

static const struct option pane_view[] = {
    {"vo", "libmpv"},
    /* libmpv's software renderer aborts on a quarter turn; render.c turns the small picture. */
    {"video-rotate", "no"},
    {"video-timing-offset", "0"},
    {"vf", SHOWN_AS_SDR},
};

typedef void alsa_handler(const char *file, int line, const char *function, int code,
                          const char *fmt, ...);

static void alsa_silence(const char *file, int line, const char *function, int code,
                         const char *fmt, ...)
{
    (void)file, (void)line, (void)function, (void)code, (void)fmt;
}

/* Libraries below libmpv would print on the terminal that the screen is drawn on. */
static void quiet_alsa(void)
{
    int (*set)(alsa_handler * handler) = NULL;
    void *alsa = dlopen("libasound.so.2", RTLD_LAZY | RTLD_NOLOAD); /* if libmpv uses it */
    if (alsa)
        *(void **)&set = dlsym(alsa, "snd_lib_error_set_handler");
    if (set)
        set(alsa_silence);
}

static bool load_libraries(struct err *e)
{
    if (!libmpv_load(e) || !libav_load(e))
        return false;
    quiet_alsa();
    return true;
}

static void on_wakeup(void *arg)
{
    wake(((struct player *)arg)->wake_fd);
}

static bool set_options(mpv_handle *mpv, const struct option *options, size_t n, struct err *e)
{
    for (size_t i = 0; i < n; i++) {
        int rc = mpv_set_option_string(mpv, options[i].name, options[i].value);
        if (rc < 0)
            return err_set(e, ERR_FAILED, "the player library does not know %s=%s: %s",
                           options[i].name, options[i].value, mpv_error_string(rc));
    }
    return true;
}

/* libavformat opens nothing but the named file, by camera formats only, and honours the edit list
 * of a clip trimmed on the phone, as browsers do and libmpv by itself does not. */
static bool set_reader(mpv_handle *mpv, struct err *e)
{
    char text[512]; /* %n% quotes n bytes */
    snprintf(
        text, sizeof text,
        "protocol_whitelist=file,enable_drefs=0,advanced_editlist=1,format_whitelist=%%%zu%%%s",
        strlen(container_formats), container_formats);
    return set_options(mpv, &(struct option){"demuxer-lavf-o", text}, 1, e);
}

static bool configure(struct player *p, mpv_handle *mpv, enum player_view view, struct err *e)
{
    const struct option sound = {"ao", p->want.sound ? "pulse,alsa,null" : "null"};
    if (!set_options(mpv, both_views, sizeof both_views / sizeof *both_views, e) ||
        !set_options(mpv, &sound, 1, e) || !set_reader(mpv, e))
        return false;
    return view == PLAYER_PANE
               ? set_options(mpv, pane_view, sizeof pane_view / sizeof *pane_view, e)
               : window_options(mpv, p, e);
}

/* A handle that runs, has its pane or window, and reports to us. */
bool core_start(struct player *p, enum player_view view, struct err *e)
{
    if (!load_libraries(e))
        return false;
    mpv_handle *mpv = mpv_create();
    if (!mpv)
        return err_set(e, ERR_FAILED,
                       "the player cannot start: the locale of numbers is not \"C\"");
    if (!configure(p, mpv, view, e)) {
        mpv_terminate_destroy(mpv);
        return false;
    }
    int rc = mpv_initialize(mpv);
    if (rc < 0) {
        mpv_terminate_destroy(mpv);
        return err_set(e, ERR_FAILED, "the player cannot start: %s", mpv_error_string(rc));
    }
    if (view == PLAYER_PANE && !pane_start(&p->pane, mpv, e)) {
        mpv_terminate_destroy(mpv);
        return false;
    }
    p->mpv = mpv;
    p->now.view = view;
    p->now.window_width = p->now.window_height = 0;
    mpv_request_log_messages(mpv, "error");
    mpv_set_wakeup_callback(mpv, on_wakeup, p);
    event_observe(p);
    if (view == PLAYER_WINDOW)
        window_ready(p);
    wake(p->wake_fd);
    return true;
}
