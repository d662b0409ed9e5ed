/* What a terminal sends, cut anywhere: the same keys come out, every call gets on, and no byte of
 * an answer is a key, however long the line pauses within it. */
#include "screen/key_reader.h"

#include <string.h>

#include "fuzz/fuzz.h"

enum { EVENTS = 2000, MOST = 1000, PAUSE_US = 300000 };

struct heard {
    struct key_event at[EVENTS];
    size_t n, presses;
};

static void add(struct heard *h, const struct key_event *ev)
{
    size_t n = strlen(ev->key);
    bool key = ev->kind == KEY_PRESS || ev->kind == KEY_PASTED;
    PROVE(n < sizeof ev->key && key == (n > 0));
    prove_utf8(ev->key, n);
    PROVE(ev->kind != KEY_WHEELED || ev->wheel == 1 || ev->wheel == -1);
    PROVE(h->n < EVENTS);
    h->at[h->n++] = *ev;
    h->presses += ev->kind == KEY_PRESS;
}

/* `step` bytes at a time, with a pause before each piece. */
static void hear(const char *bytes, size_t n, size_t step, int64_t pause_us, struct heard *h)
{
    struct key_reader r;
    struct key_event ev;
    int64_t now_us = 1000000;
    key_reader_begin(&r);
    h->n = h->presses = 0;
    for (size_t from = 0; from < n; from += step, now_us += pause_us) {
        size_t left = n - from < step ? n - from : step, calls = 0;
        const char *at = bytes + from;
        if (pause_us && key_reader_pause(&r, now_us, &ev))
            add(h, &ev);
        do {
            size_t used = key_reader_take(&r, at, left, now_us, &ev);
            PROVE(used <= left && (used > 0 || !left || ev.kind != KEY_NONE));
            PROVE(++calls <= 4 * step + 8);
            at += used;
            left -= used;
            if (ev.kind != KEY_NONE)
                add(h, &ev);
        } while (left > 0 || ev.kind != KEY_NONE);
        PROVE(key_reader_wait_ms(&r, now_us) >= -1);
    }
}

static void prove_same(const struct heard *a, const struct heard *b)
{
    PROVE(a->n == b->n);
    for (size_t i = 0; i < a->n; i++) {
        const struct key_event *x = &a->at[i], *y = &b->at[i];
        PROVE(x->kind == y->kind && strcmp(x->key, y->key) == 0 && x->wheel == y->wheel);
        PROVE(x->row == y->row && x->col == y->col);
    }
}

/* The same bytes as the text of an answer; its last byte comes with the one before it. */
static void prove_no_key_in_answer(const uint8_t *data, size_t n)
{
    static const char kinds[] = "P]_^X";
    static struct heard h;
    char answer[MOST + 4];
    size_t used = 0;
    answer[used++] = '\033';
    answer[used++] = kinds[n % 5];
    for (size_t i = 0; i < n; i++)
        if (data[i] >= ' ' && data[i] <= '~')
            answer[used++] = (char)data[i];
    answer[used++] = '\033';
    answer[used++] = '\\';
    for (size_t step = 2; step < 9; step += 3) {
        hear(answer, used, step, PAUSE_US, &h);
        PROVE(h.presses == 0);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    static struct heard whole, cut;
    const char *bytes = (const char *)data;
    n = n < MOST ? n : MOST;
    hear(bytes, n, n ? n : 1, 0, &whole);
    for (size_t step = 1; step < 8; step += 3) {
        hear(bytes, n, step, 0, &cut);
        prove_same(&whole, &cut);
    }
    prove_no_key_in_answer(data, n);
    return 0;
}
