/* Fix lists on paper: what is on the page, on which page, and where its codes lead. */
#include "base/buf.h"
#include "lib/term.h"
#include "sheet/pdf.h"

/* ANSI/ASME Y14.1: 8.5 x 11 in; ISO 216: 210 x 297 mm; at 72 points an inch. */
static const struct paper {
    const char *name, *option, *size;
} papers[] = {
    {"Letter is 612 by 792 points", "letter", "612 x 792 pts"},
    {"A4 is 595 by 842 points", "a4", "595.276 x 841.89 pts"},
    {"Letter is written with a capital too", "Letter", "612 x 792 pts"},
    {"A4 is written with a capital too", "A4", "595.276 x 841.89 pts"},
};

static void has_its_size(void **state)
{
    const struct paper *p = *state;
    const char *pdf = sheet_made(band_show(), "fixes", "--for", "trumpets", "--paper", p->option);
    assert_contains(pdf_info(pdf, "Page size"), p->size);
    assert_string_equal(pdf_info(pdf, "Title"), "Fix list: Larkspur, trumpets");
}

static void a_usual_section_is_one_page(void **state)
{
    (void)state;
    assert_int_equal(pdf_pages(sheet_made(band_show(), "fixes", "--for", "trumpets")), 1);
    assert_int_equal(
        pdf_pages(sheet_made(band_show(), "fixes", "--for", "trumpets", "--paper", "a4")), 1);
}

/* Ten faults of three rehearsals, two marks each with a note: what a section has after a week. */
static const char *week_show(void)
{
    static const char *const faults[] = {
        "late arrival",         "horns up late", "near collision",  "feet apart at halt",
        "horn angle",           "cover",         "closed interval", "horns down late",
        "shoulders not square", "starts late"};
    static const char *const notes[] = {
        "by three counts, starts on 2", "check the dot at the 40, guide right",
        "look at the spacing in the back of the arc, closes to one step"};
    static const char *show;
    if (show)
        return show;
    struct buf csv = {0};
    const char *made = new_show(EVEN_SETS, SMALL_BAND);
    buf_str(&csv, "clip,time,target,fault,note\n");
    for (int clip = 1; clip <= 3; clip++) {
        const char *label = say("day%d", clip);
        add_clip(made, gray_clip(60 + clip), label, say("2026-08-0%d", clip));
        box_ok("count", made, label, "tie", "0", "1");
        for (size_t f = 0; f < COUNT(faults); f++)
            for (int k = 0; k < 2; k++)
                buf_printf(&csv, "%s,%zu,T%d,%s,\"%s\"\n", label, 1 + 2 * f + (size_t)k * 9, 1 + k,
                           faults[f], notes[(size_t)clip - 1]);
    }
    add_marks(made, csv.p);
    buf_free(&csv);
    return show = made;
}

/* What does not fit whole is on one page without the times and the older notes, and says so; every
 * fault, every place and the newest note are there. */
static void a_week_of_a_section_is_one_page(void **state)
{
    (void)state;
    static const char base[] = "https://band.example/autumn/";
    const char *show = week_show();
    const json_t *items = json_object_get(box_json("fixes", show, "--for", "trumpets"), "items");
    assert_int_equal(json_array_size(items), 10);
    for (size_t p = 0; p < 2; p++) {
        const char *pdf =
            sheet_made(show, "fixes", "--for", "trumpets", "--paper", papers[p].option);
        assert_int_equal(pdf_pages(pdf), 1);
        assert_in_range(pdf_pages(sheet_made(show, "fixes", "--for", "trumpets", "--paper",
                                             papers[p].option, "--url", base)),
                        1, 2);
        const char *words = pdf_words(pdf, 1);
        for (size_t i = 0; i < json_array_size(items); i++)
            in_order(words, say("%zu %s", i + 1, text_at(row(items, i), "fault")),
                     "6 marks in 3 of 3 runs: T1 ×3, T2 ×3 · set ",
                     "newest: day3 0:", "closes to one step\"", "Right is:", NULL);
        in_order(words, "Shortened to fit this page: boxcall fixes", "--for trumpets", NULL);
        assert_lacks(words, "day1");
    }
    assert_lacks(pdf_words(sheet_made(show, "fixes", "--for", "trumpets", "--clip", "day1"), 0),
                 "Shortened");
}

/* Body text is 11 points or more: capitals of DejaVu Sans, 0.729 em high, are then 2.8 mm, 16 minutes
 * of arc at 60 cm, the least that ISO 9241-3 (1992) wants for reading; from 46 cm on nearer it is the
 * 21 that it prefers. */
static void no_text_of_a_list_is_small(void **state)
{
    (void)state;
    const char *pdf = sheet_made(week_show(), "fixes", "--for", "trumpets");
    const char *html = well(run("pdftotext", "-bbox", pdf, "-", NULL)).out;
    size_t n = 0;
    for (const char *s = html; (s = strstr(s, "<word ")); s++, n++) {
        double x1, y1, x2, y2;
        assert_int_equal(sscanf(s, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &x1,
                                &y1, &x2, &y2),
                         4);
        const double em = (y2 - y1) / (0.928 + 0.236), capital = em * 0.729 / 72 * 25.4;
        assert_true(capital / 600 * 180 / 3.14159265 * 60 > 16);
    }
    assert_true(n > 100);
}

/* What the list says in JSON is on the paper, fault by fault. */
static void every_line_of_the_list_is_there_in_order(void **state)
{
    (void)state;
    const char *words = pdf_words(sheet_made(band_show(), "fixes", "--for", "trumpets"), 1);
    const json_t *items =
        json_object_get(box_json("fixes", band_show(), "--for", "trumpets"), "items");
    int waiting = 0;
    assert_int_equal(json_array_size(items), 7);
    for (size_t i = 0; i < json_array_size(items); i++) {
        const json_t *item = row(items, i), *moment = row(json_object_get(item, "moments"), 0);
        const double ms = number_at(moment, "ms");
        const bool waits = strcmp(text_at(item, "cause"), "define") == 0;
        in_order(words, say("%.0f %s", number_at(item, "rank"), text_at(item, "fault")),
                 say("open since %s", text_at(item, "since")),
                 say("%.0f mark", number_at(item, "marks")),
                 say("%d:%04.1f", (int)ms / 60000, floor(fmod(ms, 60000) / 100) / 10),
                 waits ? "So far:" : "Right is:", NULL);
        waiting += waits;
    }
    assert_true(waiting > 0);
    in_order(words, "trumpets", "Larkspur", "2026-08-01",
             "Keep, with the whole ensemble: impact ×1: set 10, count 16 and holding: 1:16.6",
             "late arrival", "!!! serious",
             "3 marks: T7 ×2, trumpets ×1 · set 3, count 2: 0:13.0; set 9, count 2: 0:59.3; no "
             "set: 1:40.1",
             "\"T7 by three counts\"", "no lunge.", "horns up late", "near collision",
             "the staff decides", "feet apart at halt", "horn angle", "closed interval",
             "horns down late", "With all brass", "center not held",
             "\"where does the ring sit on the hash?\"", "With all winds", "page 1 of 1", NULL);
}

static void each_section_with_marks_begins_a_page(void **state)
{
    (void)state;
    static const char *const sections[] = {"flutes",      "clarinets",  "saxophones", "trumpets",
                                           "mellophones", "trombones",  "baritones",  "tubas",
                                           "battery",     "color guard"};
    const char *pdf = sheet_made(band_show(), "fixes");
    assert_int_equal(pdf_pages(pdf), COUNT(sections));
    for (size_t i = 0; i < COUNT(sections); i++) {
        const char *words = pdf_words(pdf, (int)i + 1);
        in_order(words, "Larkspur", "2026-08-01", "Keep", NULL);
        in_order(words, sections[i], "Keep", say("Fix list %s page 1 of 1", sections[i]), NULL);
    }
}

/* So many faults of the first trumpet as no page holds, and one of the tubas. */
static const char *long_show(void)
{
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    struct buf csv = {0};
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    buf_str(&csv, "fault,family,cause,right\n");
    for (int i = 0; i < 30; i++)
        buf_printf(&csv, "made%02d up,timing,execute,end%02d\n", i, i);
    well(run_in(csv.p, "boxcall", "add", show, "faults", "-", NULL));
    buf_clear(&csv);
    buf_str(&csv, "clip,time,target,fault\nrun,40,tubas,cover\n");
    for (int i = 0; i < 30; i++)
        buf_printf(&csv, "run,%d,T1,made%02d up\n", 1 + i, i);
    add_marks(show, csv.p);
    buf_free(&csv);
    return show;
}

/* Who finds a page in a pile knows whose it is, and whether it is all of it. */
static void each_handout_is_numbered_on_its_own(void **state)
{
    (void)state;
    const char *pdf =
        sheet_made(long_show(), "fixes", "--for", "trumpets", "--for", "tubas", "--for", "T1");
    const int pages = pdf_pages(pdf), each = (pages - 1) / 2;
    assert_in_range(each, 2, 4);
    assert_int_equal(pages, 2 * each + 1);
    for (int page = 1; page <= pages; page++) {
        const char *words = pdf_words(pdf, page);
        if (page == each + 1)
            in_order(words, "tubas", "cover", "Fix list tubas page 1 of 1", NULL);
        else if (page <= each)
            in_order(words, page > 1 ? "trumpets (goes on)" : "trumpets", "Fix list trumpets",
                     say("page %d of %d", page, each), NULL);
        else
            in_order(words, page > each + 2 ? "T1 Ada Finch (goes on)" : "T1 Ada Finch",
                     say("Fix list T1 Ada Finch page %d of %d", page - each - 1, each), NULL);
    }
}

/* To standard output goes the PDF alone, and nothing is said. */
static void what_was_written_is_said(void **state)
{
    (void)state;
    const char *show = long_show(), *pdf = path_in(temp_dir(), "a.pdf");
    struct run r = box_ok("sheet", show, "fixes", "--out", pdf);
    assert_string_equal(r.out, "");
    const int pages = pdf_pages(pdf);
    assert_string_equal(r.err,
                        say("%s: %d pages: trumpets (%d pages), tubas\n", pdf, pages, pages - 1));
    r = box_ok("sheet", show, "fixes", "--for", "tubas", "--out", pdf);
    assert_string_equal(r.err, say("%s: 1 page: tubas\n", pdf));
    r = box_ok("sheet", show, "fixes", "--for", "T1", "--out", pdf);
    assert_string_equal(r.err, say("%s: %d pages: T1 Ada Finch\n", pdf, pdf_pages(pdf)));
    r = box_ok("sheet", show, "define", "--out", pdf);
    assert_string_equal(r.err, say("%s: 1 page: To decide: ensemble\n", pdf));
    r = box_ok("sheet", band_show(), "chart", "--set", "1", "--set", "3", "--for", "tubas", "--out",
               pdf);
    assert_string_equal(r.err, say("%s: 2 pages: sets of tubas\n", pdf));
    sheet_made(show, "fixes"); /* which wants standard error to be empty */
}

/* Only Latin, Greek, Cyrillic, Hebrew and Arabic are there (DejaVu Sans). */
static void letters_without_a_font_are_told_of(void **state)
{
    (void)state;
    const char *conf =
        write_file(temp_dir(), "few.conf",
                   "<?xml version=\"1.0\"?><fontconfig><dir>/usr/share/fonts/truetype/dejavu</dir>"
                   "</fontconfig>");
    const char *const env[] = {say("FONTCONFIG_FILE=%s", conf), NULL};
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show, "clip,time,target,fault,note\nrun,1,T1,late arrival,小号 в шаге\n");
    struct run r =
        run_with(&(struct run_setup){.env = env}, "boxcall", "sheet", show, "fixes", NULL);
    assert_exit(r, 0);
    assert_string_equal(r.err, "look again: no font is installed here for 2 letters, which stand "
                               "as boxes; install one for the script (Debian: fonts-noto-core, "
                               "fonts-noto-cjk)\n");
    assert_true(r.out_n > 5 && memcmp(r.out, "%PDF-", 5) == 0);
}

static void a_name_in_a_note_is_told_of_once(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show, "clip,time,target,fault,note\nrun,1,brass,cover,look at finch\n"
                    "run,2,T1,cover,Finchley Road\nrun,3,U1,cover,\n");
    const struct run r = box("sheet", show, "fixes", "--labels-only");
    assert_exit(r, 0);
    assert_string_equal(
        r.err,
        "look again: the note at 0:01.0 of run has 'Finch' in it, and is printed as it is\n");
    assert_string_equal(box("sheet", show, "fixes").err, "");
}

/* A list of so many faults does not fit; none of them is cut by the page's end. */
static void what_is_longer_goes_on_and_no_line_is_split(void **state)
{
    (void)state;
    const char *show = long_show();
    const char *pdf = sheet_made(show, "fixes", "--for", "trumpets");
    const int pages = pdf_pages(pdf);
    assert_in_range(pages, 2, 4);
    size_t found = 0;
    for (int page = 1; page <= pages; page++) {
        const char *words = pdf_words(pdf, page);
        in_order(words, page > 1 ? "trumpets (goes on)" : "trumpets",
                 say("page %d of %d", page, pages), NULL);
        for (int i = 0; i < 30; i++) {
            const bool head = strstr(words, say("made%02d up", i)) != NULL;
            assert_int_equal(head, strstr(words, say("end%02d", i)) != NULL);
            found += head;
        }
    }
    assert_int_equal(found, 30);
}

static void what_is_longer_than_a_page_is_all_there(void **state)
{
    (void)state;
    enum { LONG = 6000 };
    char title[3001], note[LONG + 1];
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    memset(title, 'w', sizeof title - 1);
    memset(note, 'Z', sizeof note - 1);
    title[sizeof title - 1] = note[LONG] = '\0';
    box_ok("setting", show, "title", title);
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show, say("clip,time,target,fault,note\nrun,1,T1,late arrival,%s\n", note));
    const char *pdf = sheet_made(show, "fixes", "--for", "T1"), *words = pdf_words(pdf, 0);
    size_t n = 0;
    for (const char *s = words; *s; s++)
        n += *s == 'Z';
    assert_int_equal(n, LONG);
    assert_in_range(pdf_pages(pdf), 2, 4);
    in_order(words, "\"ZZZ", "ZZZ\"", "Right is:", NULL);
}

static void names_and_notes_of_any_script_stay_text(void **state)
{
    (void)state;
    static const char roster[] = "performer,name,section\n"
                                 "T1,שירה לביא,trumpets\nT2,ريم الساحل,trumpets\n"
                                 "T3,Žofie Ångström,trumpets\n";
    static const char *const names[] = {"שירה לביא", "ريم الساحل", "Žofie Ångström"};
    const char *show = new_show(EVEN_SETS, roster);
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show, "clip,time,target,fault,note\n"
                    "run,1,T1,late arrival,\"<b>&amp; 100 % \\ ) \x1b[31mred\xe2\x80\xae\"\n"
                    "run,2,T2,late arrival,שלום עולם\nrun,3,T3,late arrival,مرحبا\n");
    for (int i = 0; i < 3; i++)
        in_order(pdf_words(sheet_made(show, "fixes", "--for", say("T%d", i + 1)), 1),
                 say("T%d %s", i + 1, names[i]), "late arrival", NULL);
    const char *words = pdf_words(sheet_made(show, "fixes", "--for", "trumpets"), 1);
    in_order(words, "0:01.0 \"<b>&amp; 100 % \\ ) ?[31mred?", "0:02.0", "שלום עולם", "0:03.0",
             "مرحبا", NULL);
}

/* The last word with this in it. */
static struct word word_with(const char *pdf, const char *part)
{
    enum { MOST = 300 };
    static struct word words[MOST];
    size_t n = words_of(pdf, 1, words, MOST);
    while (n > 0 && !strstr(words[n - 1].text, part))
        n--;
    if (n == 0)
        fail_msg("no word with %s", part);
    return words[n - 1];
}

/* What follows words that run from right to left stands right of them, and is not drawn into them,
 * when a figure is their end (Unicode Standard Annex 9, W2, N1 and L2). */
static void what_follows_words_from_the_right_stays_behind_them(void **state)
{
    (void)state;
    static const struct {
        const char *first, *then;
    } pairs[] = {{"א", "×1"}, {"ש", "0:02.0"}, {"م", "0:03.0"}, {"ת", "(Ana"}};
    const char *show = new_show(EVEN_SETS, "performer,section\nא2,trumpets\nT3,trumpets\n");
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    box_ok("define", show, "late arrival", "--decide", "תורת 8");
    add_marks(show, "clip,time,target,fault,note\nrun,1,א2;T3,late arrival,שלום 7\n"
                    "run,2,T3,late arrival,مرحبا ٧\nrun,3,T3,late arrival,ok\n");
    const char *pdf = sheet_made(show, "fixes", "--for", "trumpets");
    for (size_t i = 0; i < COUNT(pairs); i++) {
        const struct word first = word_with(pdf, pairs[i].first),
                          then = word_with(pdf, pairs[i].then);
        if (fabs(then.y1 - first.y1) > 1 || then.x1 < first.x2)
            fail_msg("%s does not stand right of %s", then.text, first.text);
    }
}

/* Lines of 60 points, as some fonts have them: higher than the foot of a page. */
static void a_font_of_high_lines_breaks_nothing(void **state)
{
    (void)state;
    const char *conf = write_file(
        temp_dir(), "high.conf",
        "<?xml version=\"1.0\"?><fontconfig><dir>/usr/share/fonts/truetype/dejavu</dir>"
        "<match target=\"font\"><edit name=\"pixelsize\" mode=\"assign\"><double>60</double></edit>"
        "</match></fontconfig>");
    const char *const env[] = {say("FONTCONFIG_FILE=%s", conf), NULL};
    static const char *const sheets[] = {"fixes", "define", "chart"};
    for (size_t i = 0; i < COUNT(sheets); i++)
        sheet_whole(run_with(&(struct run_setup){.env = env}, "boxcall", "sheet", band_show(),
                             sheets[i], "--for", "tubas", NULL));
}

static void without_names_nobody_is_named(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show, "clip,time,target,fault,note\nrun,1,T1,late arrival,\n"
                    "run,2,T1,horn angle,\nrun,3,T1,cover,\n");
    box_ok("state", show, "T1", "horn angle", "repped");
    box_ok("state", show, "T1", "cover", "clean");
    box_ok("define", show, "late arrival", "--decide", "on eight");
    static const char *const people[] = {"Ada Finch", "Ana Quill"};
    const char *named = pdf_words(sheet_made(show, "fixes", "--for", "T1"), 0),
               *bare = pdf_words(sheet_made(show, "fixes", "--for", "T1", "--labels-only"), 0);
    for (size_t i = 0; i < COUNT(people); i++) {
        assert_contains(named, people[i]);
        assert_lacks(bare, people[i]);
    }
    in_order(named, "Decided: on eight (Ana Quill)", "Came clean: cover ×1", NULL);
    in_order(bare, "Decided: on eight", "Came clean: cover ×1", NULL);
}

static void published(struct run r)
{
    assert_exit(r, 0);
}

/* The web folder itself says where each moment is. */
static void each_code_leads_to_its_moment_on_the_web(void **state)
{
    (void)state;
    static const char base[] = "https://band.example/autumn/";
    const char *web = path_in(temp_dir(), "web");
    published(box("publish", band_show(), web, "--clips", "none"));
    const char *page = read_file(path_in(web, "trumpets.html"), NULL);
    const char *codes = pdf_codes(sheet_made(band_show(), "fixes", "--for", "trumpets", "--url",
                                             "https://band.example/autumn"));
    assert_int_equal(
        pdf_pages(sheet_made(band_show(), "fixes", "--for", "trumpets", "--url", base)), 1);
    const size_t n = strlen(base) + strlen("trumpets.html#");
    size_t found = 0;
    for (const char *c = codes; *c; c += strcspn(c, "\n"), c += *c == '\n', found++) {
        if (strncmp(c, say("%strumpets.html#", base), n) != 0)
            fail_msg("another address: %s", c);
        const char *id = say("id=\"%.*s\"", (int)strcspn(c + n, "\n"), c + n);
        assert_int_equal(strlen(id), strlen("id=\"m=0123456789\""));
        assert_contains(page, id);
    }
    assert_int_equal(found, 9); /* seven lines of their own, one of the brass, one of the winds */
}

static void sections_of_like_names_lead_to_their_own_pages(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, NULL), *web = path_in(temp_dir(), "web");
    well(run_in("section,parent\nHigh Horns!,winds\nhigh-horns,winds\n", "boxcall", "add", show,
                "sections", "-", NULL));
    well(run_in("performer,section\nA1,High Horns!\nB1,high-horns\n", "boxcall", "add", show,
                "roster", "-", NULL));
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show, "clip,time,target,fault\nrun,1,A1,late arrival\nrun,2,B1,horn angle\n");
    published(box("publish", show, web, "--clips", "none")); /* no pages of performers */
    static const char *const whom[] = {"High Horns!", "high-horns", "B1"};
    for (size_t i = 0; i < COUNT(whom); i++) {
        const char *code = pdf_codes(
            sheet_made(show, "fixes", "--for", whom[i], "--url", "http://band.example/w/"));
        const char *file = code + strlen("http://band.example/w/"), *id = strchr(code, '#');
        assert_non_null(id);
        assert_contains(read_file(path_in(web, say("%.*s", (int)(id - file), file)), NULL),
                        say("id=\"%.*s\"", (int)strcspn(id + 1, "\n"), id + 1));
    }
}

static void a_terminal_gets_no_pdf(void **state)
{
    (void)state;
    struct term *t = term_start(&(struct term_setup){.cols = 200}, "boxcall", "sheet", band_show(),
                                "fixes", NULL);
    assert_int_equal(term_wait_exit(t), 2);
    term_pump(t);
    assert_true(term_has(t, "a PDF does not go to a terminal; name a file: --out FILE"));
    assert_false(term_has(t, "%PDF"));
    term_close(t);
}

static void a_file_of_another_kind_is_not_written_over(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND), *dir = temp_dir(),
               *pdf = path_in(dir, "a.pdf");
    size_t n, m;
    const char *before = read_file(show, &n);
    refused(box("sheet", show, "fixes", "--out", show), 3, "is there already and is no PDF");
    const char *after = read_file(show, &m);
    assert_true(n == m && memcmp(before, after, n) == 0);
    well(box("sheet", show, "fixes", "--out", pdf));
    well(box("sheet", show, "fixes", "--out", pdf)); /* a PDF is made anew */
    well(run("qpdf", "--check", pdf, NULL));
    assert_int_equal(count_entries(dir), 1);
}

static void on_a_full_disk_the_old_sheet_stays(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *pdf = path_in(dir, "a.pdf");
    well(box("sheet", band_show(), "fixes", "--out", pdf));
    const char *before = say("%s.before", pdf);
    well(run("cp", pdf, before, NULL));
    refused(run_with(&(struct run_setup){.file_limit = 1000}, "boxcall", "sheet", band_show(),
                     "fixes", "--for", "tubas", "--out", pdf, NULL),
            1, "a.pdf");
    assert_same_file(pdf, before);
    assert_int_equal(count_entries(dir), 2);
    struct run r = run_with(&(struct run_setup){.out_to = "/dev/full"}, "boxcall", "sheet",
                            band_show(), "fixes", NULL);
    assert_exit(r, 1);
    assert_contains(r.err, "cannot write the output");
}

static void without_a_font_it_says_so(void **state)
{
    (void)state;
    const char *conf =
        write_file(temp_dir(), "none.conf", "<?xml version=\"1.0\"?><fontconfig></fontconfig>");
    const char *const env[] = {say("FONTCONFIG_FILE=%s", conf), NULL};
    struct run r =
        run_with(&(struct run_setup){.env = env}, "boxcall", "sheet", band_show(), "fixes", NULL);
    refused(r, 1, "no font is installed here");
}

static const struct refusal {
    const char *name;
    int status;
    const char *args[6], *says;
} refusals[] = {
    {"an unknown sheet", 2, {"fixed"}, "sheet: no sheet 'fixed'; there are fixes"},
    {"an unknown paper", 2, {"fixes", "--paper", "a5"}, "--paper takes letter or a4"},
    {"another format", 2, {"fixes", "--as", "csv"}, "sheet: cannot write 'csv'; --as takes pdf"},
    {"nobody of that name", 3, {"fixes", "--for", "trumpts"}, "did you mean 'trumpets'?"},
    {"a clip that is not there", 3, {"fixes", "--clip", "monday"}, "monday"},
    {"a day that is none", 3, {"fixes", "--since", "soon"}, "soon"},
    {"an address without a scheme", 2, {"fixes", "--url", "band.example"}, "begins with https://"},
    {"an address with a fragment", 2, {"fixes", "--url", "https://band.example/#x"}, "no blank, #"},
    {"an address that no code holds",
     2,
     {"fixes", "--url",
      "https://band.example/0123456789012345678901234567890123456789012345678901234567890123456789"
      "0123456789012345678901234567890123456789012345678901234567890123456789"},
     "too long for a code"},
};

static void is_refused_in_one_line(void **state)
{
    const struct refusal *f = *state;
    refused(
        run("boxcall", "sheet", band_show(), f->args[0], f->args[1], f->args[2], f->args[3], NULL),
        f->status, f->says);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, papers, has_its_size);
    case_test(&all, a_usual_section_is_one_page);
    case_test(&all, a_week_of_a_section_is_one_page);
    case_test(&all, no_text_of_a_list_is_small);
    case_test(&all, every_line_of_the_list_is_there_in_order);
    case_test(&all, each_section_with_marks_begins_a_page);
    case_test(&all, each_handout_is_numbered_on_its_own);
    case_test(&all, what_was_written_is_said);
    case_test(&all, letters_without_a_font_are_told_of);
    case_test(&all, what_is_longer_goes_on_and_no_line_is_split);
    case_test(&all, what_is_longer_than_a_page_is_all_there);
    case_test(&all, names_and_notes_of_any_script_stay_text);
    case_test(&all, what_follows_words_from_the_right_stays_behind_them);
    case_test(&all, a_font_of_high_lines_breaks_nothing);
    case_test(&all, without_names_nobody_is_named);
    case_test(&all, a_name_in_a_note_is_told_of_once);
    case_test(&all, each_code_leads_to_its_moment_on_the_web);
    case_test(&all, sections_of_like_names_lead_to_their_own_pages);
    case_test(&all, a_terminal_gets_no_pdf);
    case_test(&all, a_file_of_another_kind_is_not_written_over);
    case_test(&all, on_a_full_disk_the_old_sheet_stays);
    case_test(&all, without_a_font_it_says_so);
    cases_of(&all, refusals, is_refused_in_one_line);
    return cases_run(&all, "fix lists on paper");
}
