/* What may be put right about a call, in the rail's place while it is. */
#include "command/correct.h"

#include "app/app.h"
#include "count/timecode.h"
#include "paper/flow.h"
#include "paper/paper.h"
#include "screen/draw.h"

static const struct key_hint ways[] = {
    {"letters", "whom (Enter), and what"},
    {"=", "what"},
    {";", "when: it is now"},
    {"arrows", "when: move and Enter"},
    {"@", "when, typed"},
    {"|", "in which clip"},
    {"Esc", "as it was"},
};

void draw_correct(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct mark *m = correct_open(d);
    struct buf text = {0}, who = {0};
    char time[24];
    if (!m)
        return;
    struct flow f = flow_from(&text, r.cols - 1, 0, 0);
    time_format_short(m->at_us, time);
    targets_text(&d->app->show, m->targets, m->n_targets, &who);
    flow_text(&f, time);
    flow_text(&f, buf_text(&who));
    buf_str(&text, ",");
    f.col++;
    flow_text(&f, d->app->show.faults[m->fault].name);
    flow_end(&f);
    canvas_text(c, strip(r.row, r.col, r.cols), ST_DIM, "what is right?");
    draw_lines(c, (struct rect){r.row + 1, r.col, 4, r.cols}, ST_STRONG, buf_text(&text));
    draw_key_hints(c, (struct rect){r.row + 5, r.col, r.rows - 5, r.cols}, ways,
                   sizeof ways / sizeof *ways);
    buf_free(&text);
    buf_free(&who);
}
