/* Set charts on paper: which sets, who is lit, where the labels stand. */
#include "base/buf.h"
#include "sheet/pdf.h"

static void the_sets_that_marks_speak_of_are_drawn(void **state)
{
    (void)state;
    /* Of the trumpets' own marks in demo/band/marks.csv: 0:03.8 in set 1, 0:10.2 and 0:12.1 in 2,
     * 0:13.0 in 3, 0:28.2 in 5, 0:50.3 and 0:50.5 in 8, 0:52.9 in 8A, 0:59.3 in 9. */
    static const char *const sets[] = {"1", "2", "3", "5", "8", "8A", "9"};
    const char *pdf = sheet_made(band_show(), "chart", "--for", "trumpets");
    assert_int_equal(pdf_pages(pdf), COUNT(sets));
    for (size_t i = 0; i < COUNT(sets); i++)
        in_order(pdf_words(pdf, (int)i + 1), say("Set %s: trumpets", sets[i]), "Larkspur",
                 say("page %zu of %zu", i + 1, COUNT(sets)), NULL);
    assert_contains(pdf_info(pdf, "Page size"), "792 x 612 pts"); /* Letter, lying */
    assert_string_equal(pdf_info(pdf, "Title"), "Sets: Larkspur, trumpets");
}

static void without_for_every_set_is_drawn_with_everybody(void **state)
{
    (void)state;
    const char *pdf = sheet_made(band_show(), "chart");
    assert_int_equal(pdf_pages(pdf), 14);
    const char *words = pdf_words(pdf, 5);
    static const char *const labels[] = {
        "T10", "U4", "BD4", "FE6", "DM1", "G10", "side 1", "side 2", "front sideline: the box"};
    for (size_t i = 0; i < COUNT(labels); i++)
        assert_contains(words, labels[i]);
}

/* "T10", "DM1": no other word of a chart is capitals and then figures. */
static bool is_label(const struct word *w)
{
    const size_t letters = strspn(w->text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"),
                 figures = strspn(w->text + letters, "0123456789");
    return letters && figures && !w->text[letters + figures];
}

/* What is inked of a word of capitals and figures: they are 0.729 em high and stand on the baseline,
 * 0.928 em below the top and 0.236 em above the bottom of the line (DejaVu Sans Bold: its OS/2 and
 * hhea tables). */
static struct word ink_of(const struct word *w)
{
    const double em = (w->y2 - w->y1) / (0.928 + 0.236);
    struct word ink = *w;
    ink.y1 = w->y1 + (0.928 - 0.729) * em;
    ink.y2 = w->y1 + 0.928 * em;
    return ink;
}

static bool cover(const struct word *a, const struct word *b)
{
    return a->x1 < b->x2 && b->x1 < a->x2 && a->y1 < b->y2 && b->y1 < a->y2;
}

struct circle {
    double x, y, radius;
};

/* What a page draws, as its content stream has it (ISO 32000-1, 8.5.2), from the upper left corner:
 * circles, which are paths "x y m" from the right that go on with curves alone, "... x y c", by the left;
 * and lines half a point wide, "0.5 w", "x y m x y l", which join labels with dots. */
struct joint {
    double x1, y1, x2, y2;
};
struct drawing {
    struct circle dots[400];
    struct joint joints[400];
    size_t n_dots, n_joints;
    double number[6]; /* the last that were read */
    double wide, x, y, left;
    int curves; /* of a path of curves alone; -1: another */
    bool upside_down;
};

static double down(const struct drawing *d, double y)
{
    return d->upside_down ? y : 612 - y;
}

static void read_operator(struct drawing *d, const char *word, size_t n)
{
    const double *at = d->number + 4; /* x, y */
    const char op = n == 1 ? *word : 0;
    if (n == 2 && strncmp(word, "cm", 2) == 0 && d->number[3] == -1 && at[1] == 612) {
        d->upside_down = true;
    } else if (op == 'w') {
        d->wide = at[1];
    } else if (op == 'm') {
        d->left = d->x = at[0], d->y = at[1], d->curves = 0;
    } else if (op == 'c' && d->curves >= 0) {
        d->left = fmin(d->left, at[0]), d->curves++;
    } else if (op == 'l' && fabs(d->wide - 0.5) < 0.01 && d->n_joints < COUNT(d->joints)) {
        d->joints[d->n_joints++] = (struct joint){d->x, down(d, d->y), at[0], down(d, at[1])};
    } else if ((op == 'f' || op == 'S') && d->curves >= 2 && d->n_dots < COUNT(d->dots)) {
        d->dots[d->n_dots++] =
            (struct circle){(d->x + d->left) / 2, down(d, d->y), (d->x - d->left) / 2};
    }
    if (!strchr("mch", op) || !op)
        d->curves = -1;
}

static struct drawing *drawing_of(const char *pdf, int page)
{
    static struct drawing d;
    const char *plain = say("%s.plain", pdf);
    d = (struct drawing){.curves = -1};
    well(run("qpdf", "--qdf", "--object-streams=disable", pdf, "--pages", pdf, say("%d", page),
             "--", plain, NULL));
    size_t n;
    const char *bytes = read_file(plain, &n), *end = bytes + n;
    for (const char *s = bytes; s < end; s += s < end) {
        const size_t word = strcspn(s, " \n\r\t");
        char *stop;
        const double value = strtod(s, &stop);
        if (word && stop == s + word) {
            memmove(d.number, d.number + 1, 5 * sizeof *d.number);
            d.number[5] = value;
        } else if (word) {
            read_operator(&d, s, word);
        }
        s += word;
    }
    for (size_t i = 0; i < d.n_dots; i++)
        assert_true(d.dots[i].radius > 1 && d.dots[i].radius < 4);
    return &d;
}

static bool covers_circle(const struct word *w, const struct circle *c)
{
    const double dx = c->x - fmin(fmax(c->x, w->x1), w->x2),
                 dy = c->y - fmin(fmax(c->y, w->y1), w->y2);
    return hypot(dx, dy) < c->radius - 0.05;
}

static double from_joint(const struct joint *j, double x, double y)
{
    const double dx = j->x2 - j->x1, dy = j->y2 - j->y1, all = dx * dx + dy * dy;
    const double part = all > 0 ? ((x - j->x1) * dx + (y - j->y1) * dy) / all : 0;
    const double at = fmin(fmax(part, 0), 1);
    return hypot(x - j->x1 - at * dx, y - j->y1 - at * dy);
}

/* Each begins at a dot and runs through no other, nor through a label on its way. */
static void joints_are_clear(const struct drawing *d, const struct word *ink, size_t n)
{
    for (size_t i = 0; i < d->n_joints; i++) {
        size_t touched = 0;
        const struct joint *j = &d->joints[i];
        for (size_t k = 0; k < d->n_dots; k++)
            touched += from_joint(j, d->dots[k].x, d->dots[k].y) < d->dots[k].radius + 0.05;
        if (touched != 1)
            fail_msg("a line touches %zu dots", touched);
        for (double part = 0.05; part < 0.9; part += 0.05) {
            const double x = j->x1 + part * (j->x2 - j->x1), y = j->y1 + part * (j->y2 - j->y1);
            for (size_t k = 0; k < n; k++)
                if (x > ink[k].x1 && x < ink[k].x2 && y > ink[k].y1 && y < ink[k].y2)
                    fail_msg("a line runs through %s", ink[k].text);
        }
    }
}

/* On every page of so many people: every label is there, none lies on a dot or off the page, and no
 * two words of the page lie on each other. */
static void labels_are_apart(const char *pdf, size_t people)
{
    enum { MOST = 400 };
    static struct word words[MOST], ink[MOST];
    for (int page = 1; page <= pdf_pages(pdf); page++) {
        const size_t n = words_of(pdf, page, words, MOST);
        const struct drawing *d = drawing_of(pdf, page);
        size_t labels = 0;
        for (size_t i = 0; i < n; i++)
            ink[i] = ink_of(&words[i]);
        for (size_t i = 0; i < n; i++) {
            for (size_t k = 0; k < i; k++)
                if (cover(&ink[i], &ink[k]))
                    fail_msg("page %d: %s covers %s", page, words[i].text, words[k].text);
            if (!is_label(&words[i]))
                continue;
            labels++;
            for (size_t k = 0; k < d->n_dots; k++)
                if (covers_circle(&ink[i], &d->dots[k]))
                    fail_msg("page %d: %s covers a dot", page, words[i].text);
            /* printers leave some 6 mm free (common practice, no source) */
            assert_true(ink[i].x1 > 17 && ink[i].x2 < 792 - 17);
        }
        joints_are_clear(d, ink, n);
        assert_int_equal(d->n_dots, people);
        assert_int_equal(labels, people);
        assert_lacks(pdf_words(pdf, page), "left out");
    }
}

static void no_label_of_a_section_covers_another(void **state)
{
    (void)state;
    enum { PAGES = 7, TRUMPETS = 10, MOST = 200 };
    const char *pdf = sheet_made(band_show(), "chart", "--for", "trumpets");
    for (int page = 1; page <= PAGES; page++) {
        struct word words[MOST];
        const size_t n = words_of(pdf, page, words, MOST);
        size_t labels = 0;
        for (size_t i = 0; i < n; i++) {
            const struct word one = ink_of(&words[i]);
            labels += is_label(&words[i]);
            for (size_t k = 0; k < i; k++) {
                const struct word other = ink_of(&words[k]);
                if (is_label(&words[i]) && is_label(&words[k]) && cover(&one, &other))
                    fail_msg("page %d: %s covers %s", page, words[i].text, words[k].text);
            }
        }
        assert_int_equal(labels, TRUMPETS);
    }
}

static void no_label_of_the_whole_band_covers_another(void **state)
{
    (void)state;
    labels_are_apart(sheet_made(band_show(), "chart"), 79);
}

/* People of long labels on one set, placed by `at`. */
static const char *placed(int people, void (*at)(int i, double *x, double *y))
{
    struct buf roster = {0}, dots = {0};
    buf_str(&roster, "performer,section\n");
    buf_str(&dots, "performer,set,x,y\n");
    for (int i = 0; i < people; i++) {
        double x, y;
        at(i, &x, &y);
        buf_printf(&roster, "CL%d,trumpets\n", 10 + i);
        buf_printf(&dots, "CL%d,1,%.3f,%.3f\n", 10 + i, x, y);
    }
    const char *show = new_show(EVEN_SETS, roster.p);
    well(run_in(dots.p, "boxcall", "add", show, "dots", "-", NULL));
    buf_free(&roster);
    buf_free(&dots);
    return show;
}

/* Ten wide, two steps from one to the next either way. */
static void in_a_block(int i, double *x, double *y)
{
    *x = -9 + 2 * (i % 10);
    *y = 30 + 2 * (i / 10);
}

/* An arc of a circle, one and a half steps along it from one to the next. */
static void on_an_arc(int i, double *x, double *y)
{
    const double radius = 40, turn = (i - 19.5) * 1.5 / radius;
    *x = radius * sin(turn);
    *y = 60 - radius * cos(turn);
}

/* One step from one to the next, sixteen in a rank, one rank. */
static void in_a_close_rank(int i, double *x, double *y)
{
    *x = i - 8;
    *y = 40;
}

/* Below the words 'front hash' at the goal line, where the label's first place would be, and far from
 * it, so that the whole field is drawn. */
static void at_a_word(int i, double *x, double *y)
{
    *x = i ? 75 : -75;
    *y = 27;
}

/* The block, and two who keep the picture from coming closer. */
static void in_a_block_and_far(int i, double *x, double *y)
{
    in_a_block(i, x, y);
    if (i >= 80)
        *x = i > 80 ? 80 : -80, *y = 0;
}

static const struct form {
    const char *name;
    int people;
    void (*at)(int i, double *x, double *y);
} forms[] = {
    {"no label covers another in a block of two steps", 80, in_a_block},
    {"no label covers another on an arc", 40, on_an_arc},
    {"no label covers another in a rank of one step", 16, in_a_close_rank},
    {"no label covers a word of the field", 2, at_a_word},
};

static void keeps_labels_apart(void **state)
{
    const struct form *f = *state;
    const char *show = placed(f->people, f->at);
    labels_are_apart(sheet_made(show, "chart"), (size_t)f->people);
    labels_are_apart(sheet_made(show, "chart", "--for", "trumpets", "--labels-only"),
                     (size_t)f->people);
}

/* A label for which there is no room is named, and not laid over another. */
static void a_label_without_room_is_left_out_and_named(void **state)
{
    (void)state;
    enum { PEOPLE = 82, MOST = 400 };
    static struct word words[MOST];
    const char *pdf = sheet_made(placed(PEOPLE, in_a_block_and_far), "chart");
    const size_t n = words_of(pdf, 1, words, MOST);
    size_t labels = 0;
    const char *said = strstr(pdf_words(pdf, 1), " labels left out for want of room: ");
    assert_non_null(said);
    for (size_t i = 0; i < n; i++) {
        const struct word one = ink_of(&words[i]);
        char bare[16];
        snprintf(bare, sizeof bare, "%.*s", (int)strcspn(words[i].text, ",;"), words[i].text);
        labels += strncmp(bare, "CL", 2) == 0;
        for (size_t k = 0; k < i; k++) {
            const struct word other = ink_of(&words[k]);
            if (is_label(&words[i]) && is_label(&words[k]) && cover(&one, &other))
                fail_msg("%s covers %s", words[i].text, words[k].text);
        }
    }
    assert_int_equal(labels, PEOPLE);
    static struct word ink[MOST];
    for (size_t i = 0; i < n; i++)
        ink[i] = ink_of(&words[i]);
    const struct drawing *d = drawing_of(pdf, 1);
    assert_true(d->n_joints > 5);
    joints_are_clear(d, ink, n);
}

/* demo/band/sets.csv: set 1 is 8 counts at 132 on 2 measures, set 2 and set 3 16 on 4 each. 132 beats
 * a minute: 24 counts take 24 * 60 / 132 = 10.909 s, 40 take 18.182 s. The whole field is there where ten are lit; everybody is
 * drawn larger, without the back of the field. */
static void the_head_says_what_set_it_is_and_where_in_the_music(void **state)
{
    (void)state;
    const char *words = pdf_words(sheet_made(band_show(), "chart", "--set", "3"), 1);
    in_order(words, "Set 3", "Larkspur", "wedge", "16 counts at 132",
             "from set 1 on: measures 7 to 10, 0:10.9 to 0:18.2", NULL);
    static const char *const field[] = {"back hash", "front hash", "front sideline: the box",
                                        "side 1", "side 2"};
    const char *few =
        pdf_words(sheet_made(band_show(), "chart", "--set", "3", "--for", "trumpets"), 1);
    for (size_t i = 0; i < COUNT(field); i++) {
        assert_contains(words, field[i]);
        assert_contains(few, field[i]);
    }
    assert_contains(few, "back sideline");
    assert_lacks(words, "back sideline");
    const char *bare = pdf_words(
        sheet_made(placed(16, in_a_close_rank), "chart", "--for", "trumpets", "--set", "1"), 1);
    in_order(bare, "Set 1: trumpets", "16 counts at 120", NULL);
    assert_lacks(bare, "measure");
}

/* What cannot be counted from the first set on is not said: set 1 has no measures, set 3 no tempo. */
static void what_is_not_known_of_the_music_is_not_said(void **state)
{
    (void)state;
    static const char sets[] = "set,counts,tempo,tempo_end,hold,measures\n1,16,120,,,\n"
                               "2,16,120,160,2,4\n3,16,,,,1\n4,1,120,,,4\n";
    static const struct {
        const char *set, *says;
    } facts[] = {
        {"1", "16 counts at 120; from set 1 on: 0:00.0 to 0:08.0 "},
        /* 60/s * ln(160/120) with s = 40/16 a count: 6.904 s, and the hold */
        {"2", "16 counts at 120 to 160, then held for 2 s, 4 measures; from set 1 on: 0:08.0 to "
              "0:16.9 "},
        {"3", "16 counts, 1 measure "},
        {"4", "1 count at 120, 4 measures "},
    };
    const char *show = new_show(sets, SMALL_BAND);
    well(run_in("performer,set,x,y\nT1,1,0,12\nT1,2,0,12\nT1,3,0,12\nT1,4,0,12\n", "boxcall", "add",
                show, "dots", "-", NULL));
    for (size_t i = 0; i < COUNT(facts); i++)
        in_order(pdf_words(sheet_made(show, "chart", "--set", facts[i].set), 1),
                 say("%s0 5 10 15", facts[i].says), NULL);
}

static void a_long_name_leaves_the_counts(void **state)
{
    (void)state;
    char name[301];
    memset(name, 'w', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    const char *show = new_show(say("set,counts,tempo,name\n1,16,120,%s\n", name), SMALL_BAND);
    well(run_in("performer,set,x,y\nT1,1,0,12\n", "boxcall", "add", show, "dots", "-", NULL));
    struct word words[200];
    bool there = false;
    const size_t n = words_of(sheet_made(show, "chart"), 1, words, 200);
    /* What is cut off is still in the text of a PDF, but has no width on the paper. */
    for (size_t i = 0; i < n; i++)
        there |= strcmp(words[i].text, "counts") == 0 && words[i].x2 - words[i].x1 > 30;
    assert_true(there);
}

/* 8 steps to 5 yards (common practice, no source): a dot on the 50 and 12 steps behind the front
 * sideline, one 16 steps to side 2 of it. The label of the second stands right of the first's by ten
 * yards, as the numbers below say. */
static void a_dot_stands_where_the_yard_lines_say(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    well(run_in("performer,set,x,y\nT1,1,0,12\nT2,1,16,12\nU1,1,0,40\n", "boxcall", "add", show,
                "dots", "-", NULL));
    const char *pdf = sheet_made(show, "chart", "--set", "1", "--paper", "a4");
    struct word words[100];
    const size_t n = words_of(pdf, 1, words, 100);
    double t1 = 0, t2 = 0, t1_y = 0, u1_y = 0, fifty = 0, forty = 0;
    for (size_t i = 0; i < n; i++) {
        const double middle = (words[i].x1 + words[i].x2) / 2;
        t1 = strcmp(words[i].text, "T1") == 0 ? middle : t1;
        t1_y = strcmp(words[i].text, "T1") == 0 ? words[i].y1 : t1_y;
        u1_y = strcmp(words[i].text, "U1") == 0 ? words[i].y1 : u1_y;
        t2 = strcmp(words[i].text, "T2") == 0 ? middle : t2;
        fifty = strcmp(words[i].text, "50") == 0 ? middle : fifty;
        forty = strcmp(words[i].text, "40") == 0 ? fmax(forty, middle) : forty;
    }
    assert_true(fabs(t1 - fifty) < 1 && fabs(t2 - forty) < 1 && t2 > t1);
    /* 28 steps further back, higher on the page, at the same scale */
    assert_true(fabs((t1_y - u1_y) / (t2 - t1) - 28.0 / 16) < 0.02);
}

static void a_show_without_dots_says_what_is_missing(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    refused(box("sheet", show, "chart"), 3, "the show has no dots; add them: boxcall add");
    well(run_in("performer,set,x,y\nT1,1,0,12\n", "boxcall", "add", show, "dots", "-", NULL));
    refused(box("sheet", show, "chart", "--set", "2"), 3, "set 2 has no dots");
    refused(box("sheet", show, "chart", "--set", "9"), 3, "no set '9' in the show");
    refused(box("sheet", show, "fixes", "--set", "1"), 2, "--set is not for 'fixes'");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_sets_that_marks_speak_of_are_drawn);
    case_test(&all, without_for_every_set_is_drawn_with_everybody);
    case_test(&all, no_label_of_a_section_covers_another);
    case_test(&all, no_label_of_the_whole_band_covers_another);
    cases_of(&all, forms, keeps_labels_apart);
    case_test(&all, a_label_without_room_is_left_out_and_named);
    case_test(&all, the_head_says_what_set_it_is_and_where_in_the_music);
    case_test(&all, what_is_not_known_of_the_music_is_not_said);
    case_test(&all, a_long_name_leaves_the_counts);
    case_test(&all, a_dot_stands_where_the_yard_lines_say);
    case_test(&all, a_show_without_dots_says_what_is_missing);
    return cases_run(&all, "set charts on paper");
}
