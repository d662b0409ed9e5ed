/* The review: rail at the left, the picture, its transport line, the calls around now. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/correct.h"
#include "command/measuring.h"
#include "command/playing.h"
#include "command/spoken.h"
#include "command/tap.h"
#include "count/timecode.h"
#include "screen/draw.h"

enum { NARROW = 100 }; /* columns under which the transport row says less */

struct review_layout review_layout(const struct desk *d, int rows, int cols)
{
    int rail = cols >= 110 ? 26 : 20, foot = rows - 1;
    int calls = rows >= 45 ? 8 : rows >= 34 ? 6 : 4;
    if (measuring_open(d)) /* a rank of people has a line for each */
        calls += rows >= 34 ? 4 : 3;
    struct review_layout l = {.rail = {1, 0, foot - 1, rail}};
    int left = rail + 1, width = cols - left - 1;
    if (d->view == PLAYER_WINDOW)
        calls = foot - 2;
    l.calls = (struct rect){foot - calls, left, calls, width};
    l.transport = l.calls.row - 1;
    if (d->view == PLAYER_PANE)
        l.picture = (struct rect){1, left, l.transport - 1, width};
    bool narrow = cols < NARROW;
    l.bar_from = left + 19 + (!d->ties.n ? 0 : narrow ? 14 : 25);
    l.bar_to = cols - (narrow ? 14 : 20);
    return l;
}

static void draw_bar(const struct desk *d, struct canvas *c, const struct review_layout *l)
{
    int width = l->bar_to - l->bar_from;
    int at = d->play.length_us > 0
                 ? (int)((double)d->play.at_us / (double)d->play.length_us * (width - 1) + 0.5)
                 : 0;
    for (int i = 0; i < width; i++)
        canvas_text(c, strip(l->transport, l->bar_from + i, 1), i == at ? ST_STRONG : ST_DIM,
                    i == at  ? glyph(c, "●", "O")
                    : i < at ? glyph(c, "━", "=")
                             : glyph(c, "─", "-"));
    /* One sign for all calls of a column. */
    double us = width > 1 ? (double)d->play.length_us / (width - 1) : 0;
    for (int x = 0; x < width && us > 0; x++) {
        int64_t from = (int64_t)ceil((x - 0.5) * us), to = (int64_t)ceil((x + 0.5) * us);
        if (x != at && calls_before(d, to) > calls_before(d, from))
            canvas_text(c, strip(l->transport, l->bar_from + x, 1), ST_NORMAL, glyph(c, "┴", "+"));
    }
}

static bool off_tempo(const struct desk *d, const struct spot *s)
{
    size_t n;
    const struct map_span *spans = map_spans(d->map, &n);
    for (size_t i = 0; i < n; i++)
        if (spans[i].stretch == s->stretch && spans[i].set == s->set)
            return spans[i].off_tempo;
    return false;
}

/* "set 14 5/16 152 bpm" behind the times; a lit square on each count with the metronome on. */
static int draw_place(const struct desk *d, struct canvas *c, const struct review_layout *l,
                      int col)
{
    struct spot s;
    if (!desk_spot(d, &s))
        return col;
    const struct set *set = &d->app->show.sets[s.set];
    bool beat = d->metronome && !s.in_hold && s.count - floor(s.count) < 0.3;
    if (d->metronome)
        col = canvas_text(c, strip(l->transport, col, 3), beat ? ST_NOW : ST_DIM,
                          beat ? glyph(c, " ● ", " O ") : glyph(c, " ○ ", " . "));
    char bpm[24] = "";
    if (s.bpm > 0 && c->cols >= NARROW)
        snprintf(bpm, sizeof bpm, " %.0f bpm", s.bpm);
    char count[24];
    count_text(&s, set, count);
    return canvas_printf(c, strip(l->transport, col, 30), ST_STRONG, "%sset %s %s%s%s ",
                         d->metronome ? " " : "", set->label, count, bpm,
                         off_tempo(d, &s) ? "!" : "");
}

static void draw_transport(const struct desk *d, struct canvas *c, const struct review_layout *l)
{
    char now[24], length[24];
    time_format_short(d->play.at_us, now);
    time_format_short(d->play.length_us, length);
    const char *sign = d->play.playing ? glyph(c, "▶", ">") : glyph(c, "■", "#");
    canvas_printf(c, strip(l->transport, l->rail.cols + 1, 19), ST_STRONG, "%s %s / %s", sign, now,
                  length);
    draw_bar(d, c, l);
    draw_place(d, c, l, l->rail.cols + 20);
    char end[60] = "";
    int n = snprintf(end, sizeof end, " %gx", d->play.speed);
    if (d->play.loop_a_us >= 0)
        n += snprintf(end + n, sizeof end - (size_t)n, " loop");
    if (d->play.frame >= 0)
        snprintf(end + n, sizeof end - (size_t)n, " f%lld", (long long)d->play.frame);
    canvas_text(c, strip(l->transport, l->bar_to, c->cols - l->bar_to), ST_NORMAL, end);
}

/* Text in the picture's room while there is no picture. */
static void draw_no_picture(const struct desk *d, struct canvas *c, struct rect r)
{
    const char *text = d->play.status == PLAYER_OPENING  ? "opening the clip ..."
                       : d->play.status == PLAYER_FAILED ? d->play.message
                                                         : "no clip is open";
    int row = r.row + r.rows / 2;
    canvas_text(c, strip(row, r.col + 2, r.cols - 4), ST_NORMAL, text);
}

/* "3 marks"; "3 marks so far" while a long list is being read. */
static const char *marks_text(const struct desk *d, char out[60])
{
    size_t n = calls_all(d);
    snprintf(out, 60, "%zu mark%s%s", n, n == 1 ? "" : "s", calls_reading(d) ? " so far" : "");
    return out;
}

static void draw(const struct desk *d, struct canvas *c)
{
    struct review_layout l = review_layout(d, c->rows, c->cols);
    const struct clip *clip = desk_current(d);
    char what[400], marks[60];
    if (clip && *calls_words(d))
        snprintf(what, sizeof what, "only '%.80s': %zu of %zu marks  %.80s", calls_words(d),
                 calls_shown(d), calls_all(d), clip->label);
    else if (clip && c->cols < NARROW)
        snprintf(what, sizeof what, "%.80s  %s", clip->label, marks_text(d, marks));
    else if (clip)
        snprintf(what, sizeof what, "%s  %s  %s run %d", clip->label, marks_text(d, marks),
                 clip->date, clip->run);
    else
        snprintf(what, sizeof what, "no clip");
    if (spoken_hand(d)->phase >= SPOKEN_READY)
        snprintf(what + strlen(what), sizeof what - strlen(what), "  %s voice on",
                 glyph(c, "●", "o"));
    draw_title(d, c, what);
    bool calls_covered = false;
    if (measuring_open(d)) {
        draw_measuring(d, c, &l);
        calls_covered = true;
    } else if (chord_open(d))
        calls_covered = draw_panel(d, c, &l);
    else if (correct_open(d))
        draw_correct(d, c, l.rail);
    else if (spoken_open(d))
        draw_spoken(d, c, l.rail);
    else if (taps_open(d))
        draw_taps(d, c, l.rail);
    else
        draw_rail(d, c, l.rail);
    for (int row = 1; row < c->rows - 1; row++)
        canvas_text(c, strip(row, l.rail.cols, 1), ST_DIM, glyph(c, "│", "|"));
    if (d->view == PLAYER_PANE) {
        bool shown = d->play.status == PLAYER_READY && d->play.has_video;
        /* The column right of the hole is never blank, so that curses has no reason to clear to
         * the end of a line and the picture with it. */
        for (int row = l.picture.row; row < l.picture.row + l.picture.rows; row++)
            canvas_text(c, strip(row, c->cols - 1, 1), ST_DIM, glyph(c, "│", "|"));
        if (shown)
            c->hole = l.picture;
        else
            draw_no_picture(d, c, l.picture);
    }
    draw_transport(d, c, &l);
    if (!calls_covered)
        draw_calls(d, c, l.calls);
}

static bool inside(struct rect r, int row, int col)
{
    return row >= r.row && row < r.row + r.rows && col >= r.col && col < r.col + r.cols;
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    struct review_layout l = review_layout(d, c->rows, c->cols);
    char line[64];
    if (inside(l.rail, row, col)) {
        int64_t at = rail_time(d, l.rail, row);
        if (at >= 0)
            go_to_place(d, at);
    } else if (row == l.transport && col >= l.bar_from && col < l.bar_to) {
        double part = (double)(col - l.bar_from) / (l.bar_to - l.bar_from - 1);
        snprintf(line, sizeof line, "seek %.3f", part * (double)d->play.length_us / 1e6);
        desk_run(d, line);
    } else if (row == l.transport && col < l.bar_from && col > l.rail.cols) {
        desk_run(d, "play");
    } else if (inside(l.calls, row, col)) {
        struct mark *m = desk_mark(d, call_on_row(d, l.calls, row));
        if (!m)
            return;
        d->selected = m->id;
        snprintf(line, sizeof line, "seek %.6f", (double)m->at_us / 1e6);
        desk_run(d, line);
    } else if (inside(l.picture, row, col)) {
        desk_run(d, "play");
    }
}

static void wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "move -1" : "move +1");
}

static void open(struct desk *d, const char *arg)
{
    (void)arg;
    screen_show(d, "review");
}

static const struct key_row keys_rows[] = {
    {"Space", "play", NULL},
    {"Left", "move -1", "One second back (one count once sets are tied)"},
    {"Right", "move +1", "One second on (one count once sets are tied)"},
    {"Shift-Left", "step -1", "One frame back"},
    {"Shift-Right", "step +1", "One frame on"},
    {"Up", "call prev", "To the call before"},
    {"Down", "call next", "To the next call"},
    {"PageUp", "rail prev", "To the set before (half-minute until sets are tied)"},
    {"PageDown", "rail next", "To the next set (half-minute until sets are tied)"},
    {"Home", "seek 0", "To the beginning of the clip"},
    {"End", "seek end", "To the end of the clip"},
    {"<", "speed slower", "Slower"},
    {">", "speed faster", "Faster"},
    {"\\", "loop", "Loop around the chosen call; again: go on"},
    {"'", "repeat", NULL},
    {"-", "say", NULL},
    {"1", "severity 1", "Newest mark: small"},
    {"2", "severity 2", "Newest mark: middling"},
    {"3", "severity 3", "Newest mark: serious"},
    {"=", "praise", NULL},
    {"*", "cause", NULL},
    {"Enter", "note", NULL},
    {"#", "correct", NULL},
    {"Delete", "remove", NULL},
    {";", "tie", "Now is count 1 of the next set"},
    {"@", "tie ?", "Now is a set and count that you type"},
    {"_", "untie", NULL},
    {"[", "tie-move -1", "The nearest tie one frame earlier"},
    {"]", "tie-move +1", "The nearest tie one frame later"},
    {"`", "tap", NULL},
    {"Tab", "field", NULL},
    {".", "seen", NULL},
    {"~", "beats", NULL},
    {"|", "metronome", NULL},
    {"+", "measure", NULL},
    {"(", "grid", NULL},
    {")", "ghosts", NULL},
    {"/", "find", NULL},
    {"&", "filter", NULL},
    {"Esc", "back", NULL},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"review", "in the review", keys_rows};

const struct screen screen_review = {
    .open = {"review", "", "The review", open},
    .keys = &keys,
    .hint = " letters mark: section, fault   {play} plays   arrows move   {help} every key",
    .draw = draw,
    .key = chord_begin,
    .click = click,
    .wheel = wheel,
};
