#include "command/lead.h"

#include <stdio.h>

#include "screen/draw.h"

static void draw(const struct desk *d, struct canvas *c)
{
    bool steady = lead_trial(d)->steady;
    draw_title(d, c, steady ? "how you tap" : "your reaction lead");
    draw_keys(d, c, strip(2, 2, c->cols - 4), ST_NORMAL,
              steady ? "Tap {tap-lead} along with the flash, sixteen times."
                     : "Press {tap-lead} as soon as the square turns. Seven times; the middle one "
                       "counts.");
    int col = canvas_printf(c, strip(3, 2, c->cols - 4), ST_DIM, "Now: %.0f ms. ",
                            steady ? d->tap_bias_us / 1000 : d->lead_ms);
    draw_keys(d, c, strip(3, col, c->cols - col - 2), ST_DIM, "{review} leaves it as it is.");
    int row = c->rows / 2 - 3;
    col = c->cols / 2 - 8;
    if (lead_trial(d)->shown) {
        canvas_fill(c, (struct rect){row, col, 6, 16}, ST_NOW);
        canvas_text(c, strip(row + 3, col + 6, 4), ST_NOW, steady ? "TAP" : "NOW");
    } else {
        canvas_fill(c, (struct rect){row, col, 6, 16}, ST_TITLE);
        canvas_text(c, strip(row + 3, col + 5, 6), ST_TITLE, "wait");
    }
    if (lead_trial(d)->on)
        canvas_printf(c, strip(row + 8, 2, c->cols - 4), ST_NORMAL, "%d of %d", lead_trial(d)->n,
                      steady ? TAP_TRIES : LEAD_TRIES);
}

static const struct key_row keys_rows[] = {
    {"Space", "tap-lead", "Now: the square has turned"},
    {"Esc", "review", "Leave without a change"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"lead", "while your reaction lead is measured", keys_rows};

const struct screen screen_lead = {
    .open = {"lead", "MS|measure", "Reaction lead in milliseconds", command_lead},
    .keys = &keys,
    .hint = " {tap-lead} when it turns   {review} leaves it as it is",
    .draw = draw,
    .tick = lead_tick,
    .tick_ms = 20,
};
