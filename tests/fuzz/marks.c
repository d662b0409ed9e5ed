/* A table of marks put into a show: all rows or none, and what is stored is what was written. */
#include <string.h>

#include "app/marks.h"
#include "fuzz/season.h"

enum { ROOM = 2000 };

static struct app app;

static size_t stored(void)
{
    size_t n = 0;
    for (size_t i = 0; i < app.clips.n; i++) {
        struct arena mem = {0};
        struct mark_list here;
        struct err e;
        PROVE(store_marks(app.store, &mem, app.clips.at[i].id, &here, &e));
        n += here.n;
        arena_free(&mem);
    }
    return n;
}

static void prove_marks(void)
{
    struct arena mem = {0};
    for (size_t i = 0; i < app.clips.n; i++) {
        struct mark_list l;
        struct err e;
        PROVE(store_marks(app.store, &mem, app.clips.at[i].id, &l, &e));
        for (size_t k = 0; k < l.n; k++) {
            const struct mark *m = &l.at[k];
            PROVE(m->at_us >= 0 && m->at_us <= app.clips.at[i].length_us);
            PROVE(m->severity >= SEVERITY_LEAST && m->severity <= SEVERITY_MOST);
            PROVE(m->n_targets > 0);
            prove_utf8(m->note, strlen(m->note));
            prove_utf8(m->author, strlen(m->author));
        }
    }
    arena_free(&mem);
}

static void begin(void)
{
    size_t size;
    struct err e;
    if (app.store)
        app_close(&app);
    const uint8_t *sound = fuzz_season(&size);
    PROVE(app_open(&app, fuzz_show_file(sound, size), &e));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct err e = {0};
    struct marks_report r = {0};
    struct table_text text = {(const char *)data, n, "x.csv", NULL};
    if (!app.store || stored() > ROOM)
        begin();
    size_t before = stored();
    if (app_put_marks(&app, &text, &r, &e)) {
        PROVE(r.added + r.changed + r.same > 0);
        PROVE(stored() == before + r.added);
        prove_marks();
        begin();
    } else {
        prove_error(&e);
        PROVE(strncmp(e.text, "x.csv", 5) == 0);
        PROVE(stored() == before);
    }
    return 0;
}
