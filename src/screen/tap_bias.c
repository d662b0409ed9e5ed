#include "command/tap_bias.h"

#include "screen/draw.h"

static void draw(const struct desk *d, struct canvas *c)
{
    const struct tap_trial *t = tap_trial(d);
    draw_title(d, c, "how you tap");
    draw_keys(d, c, strip(2, 2, c->cols - 4), ST_NORMAL,
              "Tap {tap-lead} along with the flash, sixteen times.");
    int col =
        canvas_printf(c, strip(3, 2, c->cols - 4), ST_DIM, "Now: %.0f ms. ", d->tap_bias_us / 1000);
    draw_keys(d, c, strip(3, col, c->cols - col - 2), ST_DIM, "{review} leaves it as it is.");
    int row = c->rows / 2 - 3;
    col = c->cols / 2 - 8;
    canvas_fill(c, (struct rect){row, col, 6, 16}, t->lit ? ST_NOW : ST_TITLE);
    canvas_text(c, strip(row + 3, col + 6, 4), t->lit ? ST_NOW : ST_TITLE, t->lit ? "TAP" : "wait");
    if (t->on)
        canvas_printf(c, strip(row + 8, 2, c->cols - 4), ST_NORMAL, "%d of %d", t->n, TAP_TRIES);
}

static const struct key_row keys_rows[] = {
    {"Space", "tap-lead", "Now: the square flashes"},
    {"Esc", "review", "Leave without a change"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"tap-measure", "while your taps are measured", keys_rows};

const struct screen screen_tap_bias = {
    .open = {"tap-measure", "", "Measure how late or early your own taps are", command_tap_measure},
    .keys = &keys,
    .hint = " {tap-lead} when it flashes   {review} leaves it as it is",
    .draw = draw,
    .left = tap_trial_left,
    .tick = tap_trial_tick,
    .tick_ms = 20,
    .again = "tap-measure",
};
