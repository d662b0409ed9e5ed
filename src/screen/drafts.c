/* The drafts that wait for the open clip: at the left the list, at the right the clip around the
 * chosen one, what was said and why it was taken so. */
#include <stdio.h>

#include "app/app.h"
#include "base/shell.h"
#include "base/utf8.h"
#include "command/drafts.h"
#include "count/timecode.h"
#include "paper/flow.h"
#include "screen/draw.h"
#include "screen/drafts.h"

enum { HEAD_ROWS = 2, COLUMNS_MOST = 10, BELOW = 8, PANEL = 26 };

/* --- where things stand ---------------------------------------------------------------------- */

/* With the video in its own window the list takes all columns, and the words stand below it. */
struct layout {
    struct rect list, picture, text; /* picture: rows 0 without one */
    int transport;                   /* row; 0: none */
};

static struct layout layout_of(const struct desk *d, const struct canvas *c)
{
    enum { LEAST = 34, MOST = 72, TEXT_ROWS = 11 };
    const int rows = c->rows - 1;
    if (d->view == PLAYER_WINDOW)
        return (struct layout){.list = {1, 0, rows - 1 - BELOW, c->cols},
                               .text = {rows - BELOW + 1, 1, BELOW - 1, c->cols - 2},
                               .transport = rows - BELOW};
    int right = c->cols * 44 / 100;
    right = right < LEAST ? LEAST : right > MOST ? MOST : right;
    const int left = c->cols - right - 1;
    int high = ((right - 1) * 9 / 16 + 1) / 2; /* a cell is about twice as high as wide */
    if (high > rows - 2 - TEXT_ROWS)
        high = rows - 2 - TEXT_ROWS;
    return (struct layout){.list = {1, 0, rows - 1, left},
                           .picture = {1, left + 1, high, right - 1},
                           .text = {high + 2, left + 1, rows - high - 2, right - 1},
                           .transport = high + 1};
}

/* --- a line ---------------------------------------------------------------------------------- */

struct line {
    const struct desk *d;
    const struct stored_draft *x;
    int fault_cols;
};

static const struct draft *draft_of(const void *row)
{
    return &((const struct line *)row)->x->d;
}

static const struct show *show_of(const void *row)
{
    return &((const struct line *)row)->d->app->show;
}

static void time_cell(const void *row, struct buf *out)
{
    char time[24];
    time_format_short(draft_of(row)->at_us, time);
    buf_str(out, time);
}

static void place(const void *row, struct buf *out)
{
    const struct line *l = row;
    const struct mark m = draft_placed(l->d, &l->x->d);
    place_short(l->d, &m, out);
}

static void who(const void *row, struct buf *out)
{
    draft_who(show_of(row), draft_of(row), out);
}

static void fault(const void *row, struct buf *out)
{
    static const char define[] = " (define)";
    const struct draft *x = draft_of(row);
    const char *name = x->fault < 0 ? "?" : show_of(row)->faults[x->fault].name;
    const int room = ((const struct line *)row)->fault_cols - utf8_width(name);
    buf_printf(out, "%s%s", name,
               x->cause == CAUSE_DEFINE && room >= (int)sizeof define - 1 ? define : "");
}

static void severity(const void *row, struct buf *out)
{
    const struct draft *x = draft_of(row);
    if (x->praise)
        buf_str(out, "keep");
    for (int i = 0; i < x->severity && !x->praise; i++)
        buf_char(out, '!');
}

static void size(const void *row, struct buf *out)
{
    draft_size(draft_of(row), out);
}

static void sure(const void *row, struct buf *out)
{
    buf_str(out, draft_sureness(draft_of(row)->confidence));
}

static void quote(const void *row, struct buf *out)
{
    buf_str(out, draft_of(row)->quote);
}

/* What fits; the quote, which stands below in full for the chosen one, takes what is left. Returns the
 * columns of the fault. */
static int choose_columns(const struct desk *d, int cols, struct list_column out[COLUMNS_MOST])
{
    enum { TIME = 7, PLACE = 6, SEVERITY = 4, SURE = 6, SIZE = 10, QUOTE_LEAST = 24 };
    enum { WHO_MOST = 20, FAULT_MOST = 24, MIDDLING = 52, WIDE = 66 };
    const int place_cols = d->ties.n && cols >= MIDDLING ? PLACE + 1 : 0;
    const int size_cols = cols >= WIDE ? SIZE + 1 : 0;
    const int rest = cols - 1 - TIME - 1 - place_cols - SEVERITY - 1 - SURE - 1 - size_cols;
    int name = rest * 2 / 5 - 1, what = rest - rest * 2 / 5 - 1, n = 0, col = 1;
    name = name > WHO_MOST ? WHO_MOST : name;
    what = what > FAULT_MOST ? FAULT_MOST : what;
    const int left = rest - name - what - 2;
    out[n++] = (struct list_column){"time", col, TIME, time_cell};
    col += TIME + 1;
    if (place_cols)
        out[n++] = (struct list_column){"set", col, PLACE, place};
    col += place_cols;
    out[n++] = (struct list_column){"who", col, name, who};
    col += name + 1;
    out[n++] = (struct list_column){"fault", col, what, fault};
    col += what + 1;
    out[n++] = (struct list_column){"!", col, SEVERITY, severity};
    col += SEVERITY + 1;
    out[n++] = (struct list_column){"sure?", col, SURE, sure};
    col += SURE + 1;
    if (size_cols)
        out[n++] = (struct list_column){"size", col, SIZE, size};
    col += size_cols;
    if (left >= QUOTE_LEAST)
        out[n++] = (struct list_column){"said", col, left, quote};
    out[n] = (struct list_column){NULL, 0, 0, NULL};
    return what;
}

static int list_room(const struct layout *l)
{
    return l->list.rows - (HEAD_ROWS - 1);
}

static void draw_list(const struct desk *d, struct canvas *c, const struct layout *l)
{
    const struct drafts *p = drafts_now(d);
    struct list_column columns[COLUMNS_MOST];
    const int room = list_room(l);
    const size_t first = list_first(p->line, room);
    const int fault_cols = choose_columns(d, l->list.cols, columns);
    list_head(c, l->list.row, columns);
    for (size_t i = first; i < p->list.n && i < first + (size_t)room; i++) {
        const struct line line = {d, &p->list.at[i], fault_cols};
        const struct draft *x = &line.x->d;
        const int row = HEAD_ROWS + (int)(i - first);
        list_line(c, row, columns, &line,
                  draft_lacks(&d->app->show, x) != DRAFT_LACKS_NOTHING ? ST_DIM
                  : x->praise                                          ? ST_PRAISE
                  : x->severity == SEVERITY_MOST                       ? ST_SERIOUS
                                                                       : ST_NORMAL);
        if (i == p->line)
            canvas_paint(c, (struct rect){row, 0, 1, l->list.cols}, ST_CHOSEN);
    }
}

/* --- the clip -------------------------------------------------------------------------------- */

static void draw_picture(const struct desk *d, struct canvas *c, const struct layout *l)
{
    const struct rect r = l->picture;
    for (int row = 1; r.rows && row < c->rows - 1; row++)
        canvas_text(c, strip(row, r.col - 1, 1), ST_DIM, glyph(c, "│", "|"));
    /* Never blank right of the hole, so that curses has no reason to clear to the end of a line. */
    for (int row = r.row; row < r.row + r.rows; row++)
        canvas_text(c, strip(row, c->cols - 1, 1), ST_DIM, glyph(c, "│", "|"));
    if (r.rows && d->play.status == PLAYER_READY && d->play.has_video)
        c->hole = r;
    else if (r.rows)
        canvas_text(c, strip(r.row + r.rows / 2, r.col + 1, r.cols - 2), ST_DIM,
                    d->play.status == PLAYER_OPENING  ? "opening the clip ..."
                    : d->play.status == PLAYER_FAILED ? d->play.message
                                                      : "no picture");
    char now[24];
    time_format_short(d->play.at_us, now);
    canvas_printf(c, strip(l->transport, l->text.col, l->text.cols), ST_DIM, "%s %s  %gx%s",
                  d->play.playing ? glyph(c, "▶", ">") : glyph(c, "■", "#"), now, d->play.speed,
                  d->play.loop_a_us >= 0 ? "  loop" : "");
}

/* --- the screen ------------------------------------------------------------------------------ */

/* A clip that is not open, as without its file, may have some. */
static void put_elsewhere(const struct desk *d, struct buf *out)
{
    const struct drafts_elsewhere x = drafts_elsewhere(d);
    const struct clip_list *l = &d->app->clips;
    buf_str(out, "No clip is open.");
    if (!x.waiting)
        return;
    buf_printf(out, " %lld draft%s for ", (long long)x.waiting,
               x.waiting == 1 ? " waits" : "s wait");
    if (x.clips > 1)
        buf_printf(out, "%zu clips", x.clips);
    for (size_t i = 0; x.clips == 1 && i < l->n; i++)
        if (l->at[i].id == x.clip)
            buf_printf(out, "the clip '%s'", l->at[i].label);
    buf_printf(out, "; %s lists the clips: once one is open, its drafts are here.",
               keymap_key_of(&d->keys, "drafts", "clips"));
}

/* Nothing waits: how to bring something, or what was done. */
static void draw_none(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct drafts *p = drafts_now(d);
    const struct clip *clip = desk_current(d);
    struct buf text = {0}, lines = {0};
    struct flow f = flow_from(&lines, r.cols - 2, 0, 0);
    if (!clip)
        put_elsewhere(d, &text);
    else if (p->counts.accepted + p->counts.dropped > 0)
        buf_printf(&text, "Done: %lld accepted, %lld dropped.", (long long)p->counts.accepted,
                   (long long)p->counts.dropped);
    else
        buf_printf(&text,
                   "Nothing is proposed for this clip yet. A commentary with its times is heard "
                   "by boxcall hear %s %s FILE; what it says waits here, and is no mark before "
                   "you accept it.",
                   shell_word(store_path(d->app->store)).text, shell_word(clip->label).text);
    flow_text(&f, text.p);
    flow_end(&f);
    draw_lines(c, (struct rect){r.row + 1, r.col + 1, r.rows - 1, r.cols - 2}, ST_NORMAL, lines.p);
    buf_free(&text);
    buf_free(&lines);
}

/* While a chord is open its keys stand in the list's place; the clip and the words stay in sight. */
static void draw_chord(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct review_layout l = {
        .rail = {r.row, r.col, r.rows, PANEL},
        .calls = {r.row, r.col + PANEL + 1, r.rows, r.cols - PANEL - 1}};
    draw_panel(d, c, &l);
}

static void draw(const struct desk *d, struct canvas *c)
{
    const struct drafts *p = drafts_now(d);
    const struct layout l = layout_of(d, c);
    const struct clip *clip = desk_current(d);
    const int64_t all = p->counts.waiting + p->counts.accepted + p->counts.dropped;
    char what[400];
    if (clip)
        snprintf(what, sizeof what, "%.80s  %lld of %lld wait", clip->label,
                 (long long)p->counts.waiting, (long long)all);
    else
        snprintf(what, sizeof what, "drafts  no clip is open");
    draw_title(d, c, what);
    if (chord_open(d))
        draw_chord(d, c, l.list);
    else if (p->list.n)
        draw_list(d, c, &l);
    else
        draw_none(d, c, l.list);
    draw_picture(d, c, &l);
    drafts_draw_words(d, c, l.text);
}

/* --- hands ----------------------------------------------------------------------------------- */

static void open(struct desk *d, const char *arg)
{
    (void)arg;
    screen_show(d, "drafts");
    if (drafts_now(d)->shown) /* they were open, under the help at most */
        return;
    drafts_shown(d, true);
    drafts_load(d);
}

static void left(struct desk *d)
{
    drafts_shown(d, false);
}

static void move(struct desk *d, long by)
{
    drafts_choose(d, list_moved(drafts_now(d)->line, drafts_now(d)->list.n, by));
}

static void enter(struct desk *d)
{
    desk_run(d, "draft play");
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    const struct layout l = layout_of(d, c);
    const size_t now = drafts_now(d)->line;
    const size_t line = list_first(now, list_room(&l)) + (size_t)(row - HEAD_ROWS);
    const bool listed = row >= HEAD_ROWS && row < HEAD_ROWS + list_room(&l) && col < l.list.cols &&
                        line < drafts_now(d)->list.n && !chord_open(d);
    if (col >= l.list.cols && row <= l.transport)
        desk_run(d, "play");
    else if (listed && line == now)
        desk_run(d, "draft play");
    else if (listed)
        drafts_choose(d, line);
}

static const struct key_row keys_rows[] = {
    LIST_KEYS,
    {"Enter", "draft accept", "The chosen draft becomes a mark"},
    {"Delete", "draft drop", "It is not what was meant: it will not be asked again"},
    {"'", "draft fault", "The same people, another fault: its key follows"},
    {"1", "draft severity 1", "Small"},
    {"2", "draft severity 2", "Middling"},
    {"3", "draft severity 3", "Serious"},
    {"=", "draft praise", "Something to keep, not a fault"},
    {"*", "draft cause", "Staff must define it, or performers must do it"},
    {"-", "draft split", "One for each target; or two that share the words, here"},
    {"+", "draft join", "One draft of this and the next"},
    {"&", "teach", "The show learns the word that a correction proposed"},
    {"\\", "draft play", "Loop around it again"},
    {"Space", "play", "The clip halts, or plays on"},
    {"Left", "move -1", "One second back (one count once sets are tied)"},
    {"Right", "move +1", "One second on (one count once sets are tied)"},
    {"Shift-Left", "step -1", "One frame back"},
    {"Shift-Right", "step +1", "One frame on"},
    {"<", "speed slower", "Slower"},
    {">", "speed faster", "Faster"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"drafts", "in the drafts", keys_rows};

const struct screen screen_drafts = {
    .open = {"drafts", "", "What is proposed for the clip, to accept or put right", open},
    .keys = &keys,
    .hint = " {draft accept} accepts   letters, {draft fault} put right   {draft drop} drops   "
            "{help} every key",
    .draw = draw,
    .key = drafts_key,
    .move = move,
    .enter = enter,
    .left = left,
    .click = click,
    .wheel = list_wheel,
};
