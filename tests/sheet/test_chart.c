/* Set charts on paper: which sets, who is lit, where the labels stand. */
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

struct word {
    double x1, y1, x2, y2;
    char text[16];
};

/* The words of a page with their boxes. */
static size_t words_of(const char *pdf, int page, struct word *out, size_t most)
{
    const char *n = say("%d", page),
               *html = well(run("pdftotext", "-bbox", "-f", n, "-l", n, pdf, "-", NULL)).out;
    size_t count = 0;
    for (const char *s = html; (s = strstr(s, "<word ")) && count < most; s++) {
        struct word *w = &out[count];
        count += sscanf(s, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\">%15[^<]",
                        &w->x1, &w->y1, &w->x2, &w->y2, w->text) == 5;
    }
    return count;
}

static bool is_label(const struct word *w)
{
    return strlen(w->text) >= 2 && w->text[0] == 'T' && w->text[1] >= '0' && w->text[1] <= '9';
}

/* Side by side two labels share no more than a hair; one above another no more than a third of a
 * line's height: capitals and figures fill 0.73 of the 1.16 em that a line of DejaVu Sans is high
 * (its OS/2 and hhea tables), so that their ink is apart. */
static bool apart(const struct word *a, const struct word *b)
{
    const double wide = fmin(a->x2, b->x2) - fmax(a->x1, b->x1),
                 high = fmin(a->y2, b->y2) - fmax(a->y1, b->y1);
    return wide <= 0.5 || high <= (a->y2 - a->y1) / 3;
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
            labels += is_label(&words[i]);
            for (size_t k = 0; k < i; k++)
                if (is_label(&words[i]) && is_label(&words[k]) && !apart(&words[i], &words[k]))
                    fail_msg("page %d: %s covers %s", page, words[i].text, words[k].text);
        }
        assert_int_equal(labels, TRUMPETS);
    }
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
    case_test(&all, a_dot_stands_where_the_yard_lines_say);
    case_test(&all, a_show_without_dots_says_what_is_missing);
    return cases_run(&all, "set charts on paper");
}
