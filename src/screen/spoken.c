/* A spoken call, in the rail's place: that somebody is heard, what was heard, and what to do about it. */
#include "command/spoken.h"

#include "app/app.h"
#include "count/timecode.h"
#include "paper/flow.h"
#include "screen/draw.h"

/* How loud it is, so that a person sees that the microphone hears. */
static void draw_level(const struct spoken_hand *h, struct canvas *c, struct rect r, int row)
{
    for (int i = 0; i < SPOKEN_LEVELS; i++)
        canvas_text(c, strip(row, r.col + i, 1), i < h->level ? ST_NOW : ST_DIM,
                    i < h->level ? glyph(c, "▮", "#") : glyph(c, "▯", "."));
}

static void draw_saying(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct spoken_hand *h = spoken_hand(d);
    const struct show *s = &d->app->show;
    const struct key_hint hints[] = {{keymap_key_of(&d->keys, d->screen->keys->name, "say"),
                                      "let go, or once more: that is all"},
                                     {"Esc", "it was no call"}};
    int fault = 0;
    while (fault + 1 < (int)s->n_faults && s->faults[fault].removed)
        fault++;
    canvas_text(c, strip(r.row, r.col, r.cols), ST_STRONG,
                h->phase == SPOKEN_STARTING    ? "one moment ..."
                : h->phase == SPOKEN_LISTENING ? "say the call"
                                               : "understanding ...");
    if (h->phase != SPOKEN_LISTENING)
        return;
    draw_level(h, c, r, r.row + 1);
    canvas_text(c, strip(r.row + 3, r.col, r.cols), ST_DIM, "whom, then what:");
    canvas_printf(c, strip(r.row + 4, r.col, r.cols), ST_DIM, "%s,",
                  s->sections[s->n_performers ? s->performers[0].section : 0].name);
    canvas_text(c, strip(r.row + 5, r.col, r.cols), ST_DIM, s->faults[fault].name);
    draw_key_hints(c, (struct rect){r.row + 7, r.col, r.rows - 7, r.cols}, hints, 2);
}

static void draw_heard(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct spoken_hand *h = spoken_hand(d);
    struct buf text = {0}, who = {0};
    char time[24];
    struct flow f = flow_from(&text, r.cols - 1, 0, 0);
    time_format_short(h->at_us, time);
    targets_text(&d->app->show, h->targets, h->n_targets, &who);
    flow_text(&f, time);
    flow_text(&f, buf_text(&who));
    buf_str(&text, ",");
    f.col++;
    if (h->praise)
        flow_text(&f, "keep");
    flow_text(&f, d->app->show.faults[h->fault].name);
    if (h->severity > SEVERITY_LEAST)
        flow_text(&f, h->severity == SEVERITY_MOST ? "(serious)" : "(middling)");
    flow_end(&f);
    const struct key_hint hints[] = {
        {keymap_key_of(&d->keys, d->screen->keys->name, "note"), "keeps it"},
        {"Backsp.", "drops it"},
        {keymap_key_of(&d->keys, d->screen->keys->name, "say"), "keeps it; the next call"},
        {"letters", "keep it; the next is typed"}};
    canvas_text(c, strip(r.row, r.col, r.cols), ST_DIM, "heard:");
    draw_lines(c, (struct rect){r.row + 1, r.col, 5, r.cols}, ST_STRONG, buf_text(&text));
    draw_key_hints(c, (struct rect){r.row + 7, r.col, r.rows - 7, r.cols}, hints, 4);
    buf_free(&text);
    buf_free(&who);
}

void draw_spoken(const struct desk *d, struct canvas *c, struct rect r)
{
    if (spoken_hand(d)->phase == SPOKEN_OPEN)
        draw_heard(d, c, r);
    else
        draw_saying(d, c, r);
}
