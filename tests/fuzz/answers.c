/* What a terminal answers when it is asked what it can do, and its mouse reports: any bytes, cut
 * anywhere. However they are cut, the same is understood and the same is left as typed. */
#include <stdlib.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "screen/mouse.h"
#include "pane/termcaps.h"

enum { TYPED = 64, MOST = 1500 };

struct heard {
    struct term_caps caps;
    char typed[TYPED];
    size_t n_typed, used;
};

/* Reads as term_caps_query() does, `step` bytes more at a time. */
static struct heard hear(const char *bytes, size_t n, size_t step)
{
    struct heard h;
    memset(&h, 0, sizeof h);
    struct term_typed typed = {h.typed, TYPED, 0};
    for (size_t there = 0; there < n && !h.caps.answered;) {
        there = there + step < n ? there + step : n;
        h.used += term_caps_read(&h.caps, bytes + h.used, there - h.used, &typed);
        h.n_typed = typed.n;
        PROVE(h.used <= there && h.n_typed <= TYPED);
    }
    return h;
}

static void prove_same(const struct heard *a, const struct heard *b)
{
    const struct term_caps *x = &a->caps, *y = &b->caps;
    PROVE(x->answered == y->answered && x->dsr == y->dsr && x->kitty == y->kitty);
    PROVE(x->kitty_shm == y->kitty_shm && x->sixel == y->sixel && x->light == y->light);
    PROVE(x->synchronized == y->synchronized && x->pixel_mouse == y->pixel_mouse);
    PROVE(x->rgb_echoed == y->rgb_echoed && strcmp(x->version, y->version) == 0);
    PROVE(x->cell_width == y->cell_width && x->cell_height == y->cell_height);
    PROVE(a->n_typed == b->n_typed && memcmp(a->typed, b->typed, a->n_typed) == 0);
}

static char *no_environment(const char *name)
{
    (void)name;
    return NULL;
}

static void mouse(const uint8_t *data, size_t n)
{
    static const enum mouse_kind kinds[] = {MOUSE_SGR, MOUSE_BYTES};
    for (size_t k = 0; k < 2; k++) {
        struct mouse_report r = {.kind = kinds[k]};
        size_t taken = 0;
        for (size_t i = 0; i < n; i++) {
            struct mouse_event ev;
            bool whole = mouse_take(&r, data[i], &ev);
            PROVE(++taken <= sizeof r.text); /* no report goes on for ever */
            PROVE(whole || ev.what == MOUSE_NOTHING);
            PROVE(r.n <= sizeof r.text && whole == (r.kind == MOUSE_NONE));
            if (!whole)
                continue;
            r = (struct mouse_report){.kind = kinds[k]};
            taken = 0;
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    const char *bytes = (const char *)data;
    n = n < MOST ? n : MOST;
    struct heard whole = hear(bytes, n, n ? n : 1);
    for (size_t step = 1; step < 8; step += 3) {
        struct heard cut = hear(bytes, n, step);
        prove_same(&whole, &cut);
    }
    struct err e = {0};
    PROVE(term_caps_decide(&whole.caps, no_environment, NULL, &e));
    for (const char *p = whole.caps.version; *p; p++)
        PROVE(*p >= ' ' && *p <= '~');
    mouse(data, n);
    return 0;
}
