/* Dots that march, and what they are to be called by; then the result, and what it would do. */
#include "command/lead.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "count/timecode.h"
#include "screen/draw.h"
#include "sys/clock.h"

enum {
    LEGEND = 26,
    FIELD = LEGEND + 4,
    GROUP_ROWS = 5, /* a name, the dots and their feet, a row for those out of the line, a blank */
    FIRST_ROW = 5,
    FOOT_ROWS = 4,
};

/* --- measuring --------------------------------------------------------------------------------- */

static void draw_legend(const struct desk *d, struct canvas *c)
{
    const struct slip_field *f = &lead_trial(d)->field;
    int row = 1;
    canvas_text(c, strip(row++, 1, LEGEND - 2), ST_STRONG, "seen, and then typed");
    for (size_t i = 0; i < f->n_kinds; i++) {
        const struct fault *fault = &d->app->show.faults[f->kinds[i].fault];
        canvas_text(c, strip(++row, 1, LEGEND - 2), ST_NORMAL, slip_words(f->kinds[i].slip));
        canvas_text(c, strip(++row, 3, 3), ST_KEY, fault->key);
        canvas_text(c, strip(row++, 7, LEGEND - 8), ST_NORMAL, fault->name);
    }
}

static void draw_dot(struct canvas *c, const struct slip_dot *dot, int row, bool horns)
{
    int col = FIELD + dot->col;
    canvas_text(c, strip(row + dot->row, col, 1), ST_STRONG, glyph(c, "●", "o"));
    if (horns)
        canvas_text(c, strip(row + dot->row, col + 1, 1), ST_NORMAL, dot->horn_low ? "_" : "-");
    canvas_text(c, strip(row + dot->row + 1, col, 1), ST_NORMAL, dot->right_foot ? "\\" : "/");
}

static void draw_group(const struct desk *d, struct canvas *c, int group)
{
    const struct lead_trial *t = lead_trial(d);
    const struct slip_field *f = &t->field;
    const struct section *s = &d->app->show.sections[f->sections[group]];
    const bool wrong = t->phase == LEAD_SLIP || t->phase == LEAD_NAMING;
    bool horns = false;
    for (size_t i = 0; i < f->n_kinds; i++)
        horns |= f->kinds[i].slip == SLIP_HORNS;
    int row = FIRST_ROW + group * GROUP_ROWS;
    canvas_text(c, strip(row, FIELD - 2, 3), ST_KEY, s->key);
    canvas_text(c, strip(row, FIELD + 2, c->cols - FIELD - 3), ST_NORMAL, s->name);
    for (int i = 0; i < SLIP_DOTS; i++) {
        struct slip_dot dot =
            slip_dot(f, wrong ? &t->slip : NULL, group, i, t->now_us - t->began_us);
        draw_dot(c, &dot, row + 1, horns);
    }
}

static void draw_task(const struct desk *d, struct canvas *c)
{
    int col = FIELD - 2, cols = c->cols - col - 1;
    bool ready = lead_trial(d)->phase == LEAD_READY;
    canvas_text(c, strip(1, col, cols), ST_NORMAL,
                ready ? "Three of one rank will go wrong at some moment."
                      : "Who goes wrong, and in what?");
    canvas_text(c, strip(2, col, cols), ST_NORMAL,
                "Type it as in the review, section and fault: the");
    canvas_text(c, strip(3, col, cols), ST_NORMAL,
                "time until your first key is what is measured.");
}

static void draw_standing(const struct desk *d, struct canvas *c)
{
    const struct lead_trial *t = lead_trial(d);
    int col = FIELD - 2, cols = c->cols - col - 1, row = FIRST_ROW + SLIP_GROUPS * GROUP_ROWS;
    if (t->phase == LEAD_READY)
        draw_keys(d, c, strip(row, col, cols), ST_STRONG,
                  "{lead begin} begins; nine right answers are wanted.");
    else
        canvas_printf(c, strip(row, col, cols), ST_STRONG, "%d of %d right; %d more did not count",
                      t->n, LEAD_TRIES, t->spoilt);
    canvas_printf(c, strip(row + 1, col, cols), ST_DIM,
                  "Your lead is %.0f ms now; you choose afterwards.", d->lead_ms);
}

static void draw_field(const struct desk *d, struct canvas *c)
{
    struct review_layout l = {
        .rail = {1, 0, c->rows - 2, LEGEND},
        .calls = {c->rows - 1 - FOOT_ROWS, LEGEND + 1, FOOT_ROWS, c->cols - LEGEND - 2},
    };
    bool covered = false;
    if (chord_open(d))
        covered = draw_panel(d, c, &l);
    else
        draw_legend(d, c);
    for (int row = 1; row < c->rows - 1; row++)
        canvas_text(c, strip(row, LEGEND, 1), ST_DIM, glyph(c, "│", "|"));
    draw_task(d, c);
    for (size_t i = 0; i < lead_trial(d)->field.n_sections; i++)
        draw_group(d, c, (int)i);
    if (!covered)
        draw_standing(d, c);
}

/* --- the result -------------------------------------------------------------------------------- */

enum { LEFT = 3, SECOND = 20 };

static int draw_numbers(const struct desk *d, struct canvas *c, int row)
{
    const struct lead_result *r = &lead_trial(d)->result;
    int cols = c->cols - SECOND - 1;
    canvas_text(c, strip(row, LEFT, SECOND), ST_NORMAL, "measured");
    int col = canvas_printf(c, strip(row, SECOND, cols), ST_STRONG, "%4.0f ms", r->median.value);
    canvas_printf(c, strip(row++, col + 3, c->cols - col - 4), ST_NORMAL,
                  "%.0f %% sure that yours is %.0f to %.0f ms", r->median.level * 100,
                  r->median.low, r->median.high);
    canvas_text(c, strip(row, LEFT, SECOND), ST_NORMAL, "the default");
    canvas_printf(c, strip(row++, SECOND, cols), ST_STRONG, "%4d ms", LEAD_DEFAULT_MS);
    canvas_text(c, strip(row, LEFT, SECOND), ST_NORMAL, "in use now");
    canvas_printf(c, strip(row++, SECOND, cols), ST_STRONG, "%4.0f ms", d->lead_ms);
    row++;
    col = canvas_printf(c, strip(row++, LEFT, c->cols - LEFT), ST_NORMAL,
                        "The middle one of these %d is taken; %d more did not count:", LEAD_TRIES,
                        r->spoilt);
    col = LEFT;
    for (int i = 0; i < LEAD_TRIES; i++)
        col = canvas_printf(c, strip(row, col, 8), i == LEAD_TRIES / 2 ? ST_STRONG : ST_DIM,
                            i == LEAD_TRIES / 2 ? "[%.0f] " : "%.0f ", r->ms[i]);
    canvas_text(c, strip(row, col, 3), ST_DIM, "ms");
    return row + 2;
}

/* To a hundredth: a lead is no better known. */
static void time_text(int64_t us, char out[24])
{
    time_format((us + 5000) / 10000 * 10000, out);
    out[strlen(out) - 1] = '\0';
}

static int draw_there(const struct desk *d, struct canvas *c, int row, double ms)
{
    char there[24];
    time_text(lead_effect(d, ms).there_us, there);
    return canvas_printf(c, strip(row, LEFT + 2, 20), ST_STRONG, "%-10s", there);
}

static int draw_effect(const struct desk *d, struct canvas *c, int row)
{
    const double measured = lead_trial(d)->result.median.value;
    const struct lead_effect e = lead_effect(d, measured);
    const char *const with[] = {"with the measured lead", "with the default",
                                "with the one in use now"};
    const double leads[] = {measured, LEAD_DEFAULT_MS, d->lead_ms};
    char at[24];
    time_text(e.at_us, at);
    canvas_printf(c, strip(row++, LEFT, c->cols - LEFT), ST_NORMAL,
                  "At normal speed, a mark typed when the clip shows %s would be put at", at);
    for (int i = 0; i < 3; i++, row++)
        canvas_text(c, strip(row, draw_there(d, c, row, leads[i]), 40), ST_NORMAL, with[i]);
    if (e.bpm > 0)
        canvas_printf(c, strip(row++, LEFT, c->cols - LEFT), ST_NORMAL,
                      "At %.0f bpm the measured lead puts it %.1f counts %s than the default.",
                      e.bpm, e.earlier < 0 ? -e.earlier : e.earlier,
                      e.earlier < 0 ? "later" : "earlier");
    canvas_text(c, strip(row++, LEFT, c->cols - LEFT), ST_NORMAL,
                "Marks already made keep their moments.");
    canvas_text(c, strip(row++, LEFT, c->cols - LEFT), ST_NORMAL,
                "A band is harder to read than dots: there the lead that fits may be longer.");
    return row + 1;
}

static void draw_choice(const struct desk *d, struct canvas *c, int row)
{
    const struct {
        const char *key, *what;
        double ms;
    } choices[] = {
        {"{lead measured}", "takes the measured lead", lead_trial(d)->result.median.value},
        {"{lead default}", "takes the default", LEAD_DEFAULT_MS},
        {"{review}", "keeps the one in use", d->lead_ms},
        {"{lead begin}", "measures once more", -1},
    };
    for (size_t i = 0; i < sizeof choices / sizeof *choices; i++, row++) {
        draw_keys(d, c, strip(row, LEFT, 8), ST_KEY, choices[i].key);
        int col = canvas_text(c, strip(row, LEFT + 8, 40), ST_NORMAL, choices[i].what);
        if (choices[i].ms >= 0)
            canvas_printf(c, strip(row, col, 12), ST_NORMAL, ", %.0f ms", choices[i].ms);
    }
}

static void draw(const struct desk *d, struct canvas *c)
{
    draw_title(d, c, "your reaction lead");
    if (lead_trial(d)->phase == LEAD_DONE)
        draw_choice(d, c, draw_effect(d, c, draw_numbers(d, c, 2)));
    else
        draw_field(d, c);
}

static bool key(struct desk *d, const char *name)
{
    return lead_key(d, name, clock_mono_us());
}

static const struct key_row keys_rows[] = {
    {"Space", "lead begin", "Begin to measure, or measure once more"},
    {"1", "lead measured", "Take the measured lead"},
    {"2", "lead default", "Take the default"},
    {"Esc", "review", "Leave with the lead that is in use"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"lead", "while your reaction lead is measured", keys_rows};

const struct screen screen_lead = {
    .open = {"lead", "MS|measure|begin|measured|default", "Reaction lead in milliseconds",
             command_lead},
    .keys = &keys,
    .hint = " {review} leaves, with the lead that is in use   {help} every key",
    .draw = draw,
    .key = key,
    .left = lead_left,
    .tick = lead_tick,
    .tick_ms = 20,
    .again = "lead measure",
};
