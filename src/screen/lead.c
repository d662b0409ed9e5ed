#include "command/lead.h"

#include <stdio.h>

#include "screen/draw.h"

static void draw(const struct desk *d, struct canvas *c)
{
    draw_title(d, c, "your reaction lead");
    draw_keys(d, c, strip(2, 2, c->cols - 4), ST_NORMAL,
              "Press {lead now} as soon as the square turns. Seven times; the middle one "
              "counts.");
    int col = canvas_printf(c, strip(3, 2, c->cols - 4), ST_DIM, "Now: %.0f ms. ", d->lead_ms);
    draw_keys(d, c, strip(3, col, c->cols - col - 2), ST_DIM, "{review} leaves it as it is.");
    int row = c->rows / 2 - 3;
    col = c->cols / 2 - 8;
    if (lead_trial(d)->shown) {
        canvas_fill(c, (struct rect){row, col, 6, 16}, ST_NOW);
        canvas_text(c, strip(row + 3, col + 6, 4), ST_NOW, "NOW");
    } else {
        canvas_fill(c, (struct rect){row, col, 6, 16}, ST_TITLE);
        canvas_text(c, strip(row + 3, col + 5, 6), ST_TITLE, "wait");
    }
    if (lead_trial(d)->on)
        canvas_printf(c, strip(row + 8, 2, c->cols - 4), ST_NORMAL, "%d of %d", lead_trial(d)->n,
                      LEAD_TRIES);
}

static const struct key_row keys_rows[] = {
    {"Space", "lead now", "Now: the square has turned"},
    {"Esc", "review", "Leave without a change"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"lead", "while your reaction lead is measured", keys_rows};

const struct screen screen_lead = {
    .open = {"lead", "MS|measure", "Reaction lead in milliseconds", command_lead},
    .keys = &keys,
    .hint = " {lead now} when it turns   {review} leaves it as it is",
    .draw = draw,
    .tick = lead_tick,
    .tick_ms = 20,
};
