/* ':' lines of the review, on a desk without a terminal and without an open clip; a line that
 * begins with '!' is a key, one that begins with '=' answers what was asked. Whatever they do, they
 * end, the message stays text, and no step is left open. */
#include <stdlib.h>
#include <string.h>

#include "command/chord.h"
#include "command/line.h"
#include "command/run.h"
#include "command/session.h"
#include "fuzz/season.h"
#include "screen/screens.h"

enum { LINES = 40 };

static struct app app;
static struct desk d;

static void begin(void)
{
    size_t size;
    struct err e;
    const uint8_t *sound = fuzz_season(&size);
    setenv("XDG_CONFIG_HOME", fuzz_folder(), 1); /* no keys.ini */
    setenv("BOXCALL_CLOCK", "1788350400000", 1); /* 2026-09-02 */
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    PROVE(app_open(&app, fuzz_show_file(sound, size), &e));
    PROVE(desk_open(&d, &app, &review_tools, &e));
}

static void end(void)
{
    desk_close(&d);
    struct err e;
    PROVE(store_set(app.store, "title", "Larkspur", &e)); /* no step was left open */
    app_close(&app);
}

static void one(char *line)
{
    if (*line == '!' && line[1])
        desk_key(&d, line + 1);
    else if (*line == '=')
        line_answer(&d, line + 1);
    else
        desk_run(&d, line);
    PROVE(memchr(d.message, '\0', sizeof d.message) != NULL);
    prove_utf8(d.message, strlen(d.message));
    prove_utf8(line_offered(&d), strlen(line_offered(&d)));
    PROVE(d.lead_ms >= 0 && d.lead_ms <= 3000);
    PROVE(chord_hand(&d)->n_typed < CHORD_KEYS);
    PROVE(d.screen != NULL);
    desk_poll(&d);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    char *text = fuzz_string(data, n), *rest = text;
    begin();
    for (int i = 0; i < LINES && rest; i++)
        one(strsep(&rest, "\n"));
    end();
    free(text);
    return 0;
}
