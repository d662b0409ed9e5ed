/* The rep plan and what the staff must decide, on paper. */
#include "sheet/pdf.h"

#define DAY "2026-12-01"

/* The band with its plan of a day. */
static const char *planned(void)
{
    static const char *show;
    if (!show) {
        show = band_show();
        box_ok("plan", show, "--minutes", "90", "--start", "18:00", "--date", DAY, "--fixed",
               "warm-up:15", "--wbgt", "84F");
    }
    return show;
}

static void the_stored_plan_is_there_block_by_block(void **state)
{
    (void)state;
    const char *pdf = sheet_made(planned(), "plan", "--date", DAY), *words = pdf_words(pdf, 0);
    const json_t *blocks = json_object_get(box_json("plan", planned(), "--date", DAY), "blocks");
    const char *last = "";
    assert_string_equal(pdf_info(pdf, "Title"), "Rep plan: Larkspur, " DAY);
    in_order(words, "Rep plan", "Larkspur", DAY ", 18:00 to 19:30", "WBGT 84.0 F", "18:00",
             "15 min warm-up", "water and rest", "flutes: least clean sets", "trumpets",
             "set 1 (8 at 132) ×", "horns up late (1) 0:03.8",
             "snares, tenors, bass drums, front ensemble, drum majors (11-14, 16): least clean "
             "sets of the "
             "show",
             "color guard", "ensemble: set 2 (16 at 132),", "× 0:45, 1st walked",
             "Before it the staff must decide what right looks like",
             "trumpets: near collision (1)", "Cautions",
             "Local policy, the athletic trainer and licensed practice decide", NULL);
    for (size_t i = 0; i < json_array_size(blocks); i++) {
        const char *start = text_at(row(blocks, i), "start");
        if (strcmp(start, last) != 0) /* sectionals of one time stand under one clock */
            in_order(words, last, say("%s ", start), NULL);
        last = start;
    }
}

static void each_section_has_its_own_minutes(void **state)
{
    (void)state;
    const char *pdf = sheet_made(planned(), "plan", "--date", DAY, "--for", "trumpets", "--for",
                                 "tubas", "--paper", "a4");
    const int pages = pdf_pages(pdf);
    const char *first = pdf_words(pdf, 1), *all = pdf_words(pdf, 0);
    in_order(first, "Rep plan: trumpets", "warm-up",
             "18:20 16 min trumpets: set 1 (8 at 132), 5 × 0:30", "horns up late (1) 0:03.8",
             "18:23 set 5 (16 at 132-148)", "ensemble: set 2", "trumpets: closed interval (1)",
             say("page 1 of %d", pages / 2), NULL); /* each counts its own */
    assert_lacks(first, "tubas");
    in_order(all, "Rep plan: trumpets", "Cautions", "Rep plan: tubas", "16 min tubas", "Cautions",
             NULL);
}

/* What follows a section's list stands behind it, at its minute: 18:20 and 1:00 + 6 x 0:35; 18:20 and
 * 1:00 + 6 x 0:30 + 1:00 + 4 x 0:35. */
static void then_comes_behind_what_it_follows(void **state)
{
    (void)state;
    const char *show = band_show();
    box_ok("plan", show, "--minutes", "120", "--start", "18:00", "--date", "2026-12-03", "--fixed",
           "warm-up:15", "--wbgt", "84F");
    const char *words = pdf_words(sheet_made(show, "plan", "--date", "2026-12-03"), 0);
    in_order(words, "trombones", "set 8A (16 at 160) ×6 – step size (1) 0:58.6",
             "18:24 then its choice", "baritones", "lean (1) 1:24.8",
             "18:27 then least clean sets: 3", "tubas", NULL);
    assert_lacks(words, "trombones: then");
    words = pdf_words(sheet_made(show, "plan", "--date", "2026-12-03", "--for", "trombones"), 0);
    in_order(words, "8 18:20 16 min trombones: set 8A (16 at 160), 6 × 0:35",
             "step size (1) 0:58.6", "18:24 then its choice", "water and rest", NULL);
    const char *list = box_ok("plan", show, "--date", "2026-12-03", "--for", "trombones").out;
    assert_contains(list, "step size (1) 0:58.6\n     18:24     then its choice\n");
}

/* --- what a block is called ----------------------------------------------------------------------- */

static const char *evening(void)
{
    static const char *show;
    if (!show) {
        show = band_show();
        box_ok("plan", show, "--minutes", "120", "--start", "18:00", "--date", DAY, "--fixed",
               "warm-up:15", "--wbgt", "84F");
    }
    return show;
}

/* "6.2  [ ] 18:23 trumpets: set 5, 4 reps" as `tick` lists it. */
static const char *ticked(const char *show, const char *number)
{
    const char *list = box_ok("tick", show, "--date", DAY).out;
    for (const char *p = strchr(list, '\n'); p && p[1]; p = strchr(p + 1, '\n')) {
        const char *at = p + 1 + strspn(p + 1, " ");
        const size_t n = strcspn(at, " ");
        if (n == strlen(number) && strncmp(at, number, n) == 0)
            return arena_strndup(test_arena(), at, strcspn(at, "\n"));
    }
    fail_msg("tick has no %s in:\n%s", number, list);
    return "";
}

/* On the day's page, on a section's and in the list stands what tick takes, at its minute. */
static void numbers_are_those_that_tick_takes(void **state)
{
    (void)state;
    const char *show = evening(), *who = "", *all = "",
               *words = pdf_words(sheet_made(show, "plan", "--date", DAY), 0);
    const json_t *blocks = json_object_get(box_json("plan", show, "--date", DAY), "blocks");
    size_t chunks = 0;
    for (size_t i = 0; i < json_array_size(blocks); i++) {
        const json_t *b = row(blocks, i), *list = json_object_get(b, "list");
        const bool apart = strcmp(text_at(b, "kind"), "sectional") == 0;
        if (!apart) {
            in_order(words, say("%s %s ", text_at(b, "tick"), text_at(b, "start")), NULL);
            assert_contains(ticked(show, text_at(b, "tick")), text_at(b, "start"));
            continue;
        }
        who = json_string_value(json_array_get(json_object_get(b, "who"), 0));
        all = box_ok("plan", show, "--date", DAY, "--for", who).out;
        const char *theirs = pdf_words(sheet_made(show, "plan", "--date", DAY, "--for", who), 0);
        for (size_t k = 0; k < json_array_size(list); k++, chunks++) {
            const json_t *w = row(list, k);
            const char *number = text_at(w, "tick"), *begins = text_at(w, "begins");
            const char *minute = arena_strndup(test_arena(), begins, 5), *line;
            const char *set = json_string_value(json_array_get(json_object_get(w, "sets"), 0));
            line = ticked(show, number);
            in_order(line, minute, say("%s: set %s", who, set), NULL);
            in_order(all, say("%s ", number), minute, say("set %s", set), NULL);
            in_order(theirs, say("%s %s ", number, minute), say("set %s", set), NULL);
        }
    }
    assert_true(chunks > 30);
    in_order(words, "6 trumpets 6.1 18:20 set 1 (8 at 132)", "6.2 18:23 set 5 ", "6.4 18:30 set 8A",
             "8 trombones 18:20 set 8A", "drum majors (11-14, 16): least clean", ".1 18:20 set 3",
             ".4 18:30 set 1", "15 color guard 15.1 18:20 set 2 3", "17 18:36 4 min water and rest",
             NULL);
}

static void a_tick_of_a_number_is_of_what_the_page_shows_there(void **state)
{
    (void)state;
    const char *show = evening();
    assert_string_equal(ticked(show, "6.2"), "6.2  [ ] 18:23  trumpets: set 5, 4 reps");
    box_ok("tick", show, "6.2", "--date", DAY);
    box_ok("tick", show, "17", "--date", DAY);
    assert_string_equal(ticked(show, "6.2"), "6.2  [x] 18:23  trumpets: set 5, 4 reps, 4 made");
    assert_string_equal(ticked(show, "6.1"), "6.1  [ ] 18:20  trumpets: set 1, 5 reps");
    assert_string_equal(ticked(show, "17"), "17    [x] 18:36  water and rest");
    assert_contains(ticked(show, "18"), "[ ] 18:40  ensemble: set 2");
}

/* A set that the show has no more takes no number from what is left, nor goes unsaid. */
static void what_the_show_has_no_more_keeps_its_number(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND), *day = "2026-08-09";
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    add_marks(show, "clip,time,target,fault,severity\nrun,11,ensemble,phasing,3\n"
                    "run,20,ensemble,phasing,3\nrun,28,ensemble,phasing,3\n");
    box_ok("plan", show, "--minutes", "40", "--date", day, "--together", "--no-run", "--fixed",
           "warm-up:5");
    const json_t *blocks = json_object_get(box_json("plan", show, "--date", day), "blocks");
    const char *before = box_ok("tick", show, "--date", day).out;
    assert_true(json_array_size(blocks) >= 2);
    const char *sets = "set,counts,tempo\n99,16,120\n";
    struct run r = run_in(sets, "boxcall", "add", show, "sets", "-", "--replace", "--yes", NULL);
    assert_exit(r, 0);
    assert_string_equal(box_ok("tick", show, "--date", day).out, before);
    const char *words = pdf_words(sheet_made(show, "plan", "--date", day), 0);
    for (size_t i = 0; i < json_array_size(blocks); i++)
        in_order(words,
                 say("%s %s ", text_at(row(blocks, i), "tick"), text_at(row(blocks, i), "start")),
                 NULL);
    assert_contains(words, "which the show has no more");
}

/* A leader's page of two hours in the heat: one sheet, larger where there is room. */
static void a_leaders_page_is_one_sheet(void **state)
{
    (void)state;
    static const char *const papers[] = {"letter", "a4"};
    const char *show = evening();
    for (size_t i = 0; i < 2; i++) {
        const char *pdf =
            sheet_made(show, "plan", "--date", DAY, "--for", "trumpets", "--paper", papers[i]);
        assert_int_equal(pdf_pages(pdf), 1);
        in_order(pdf_words(pdf, 1), "no. time min", "18:00", "19:56", "Cautions", "set 2: T2",
                 "hard on the body", "any 60 min", "Local policy", NULL);
    }
    assert_int_equal(
        pdf_pages(sheet_made(show, "plan", "--date", DAY, "--for", "tubas", "--for", "snares")), 2);
}

static void a_day_without_a_plan_says_how_to_make_one(void **state)
{
    (void)state;
    refused(box("sheet", planned(), "plan", "--date", "2026-12-02"), 3, "boxcall plan SHOW");
    refused(box("sheet", planned(), "plan", "--date", "soon"), 3, "soon");
    refused(box("sheet", planned(), "plan", "--date", DAY, "--for", "trumpts"), 3,
            "did you mean 'trumpets'?");
    refused(box("sheet", planned(), "plan", "--url", "https://band.example"), 2,
            "--url is not for 'plan'");
}

static void what_waits_for_a_decision_has_room_to_write_it(void **state)
{
    (void)state;
    const char *show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(60), "run", "2026-08-01");
    add_marks(show,
              "clip,time,target,fault,cause,note\nrun,1,trumpets,horn angle,define,how high?\n"
              "run,2,T1,cover,define,\n");
    box_ok("define", show, "cover", "--decide", "to the\xd7\x90 spine");
    const char *pdf = sheet_made(show, "define"), *words = pdf_words(pdf, 1);
    assert_int_equal(pdf_pages(pdf), 1);
    in_order(words, "To decide: ensemble", "Larkspur", "horn angle", "1 mark: trumpets ×1",
             "\"how high?\"", "So far:", "Right is:", "decided by", "on", "Decided", "cover",
             "Ana Quill, ", "page 1 of 1", NULL);
    const char *bare = pdf_words(sheet_made(show, "define", "--labels-only"), 1);
    in_order(bare, "horn angle", "Decided", "cover", NULL);
    assert_lacks(bare, "Ana Quill");
    const char *both = sheet_made(show, "define", "--for", "trumpets", "--for", "tubas");
    assert_int_equal(pdf_pages(both), 2);
    in_order(pdf_words(both, 2), "To decide: tubas", "Nothing waits for a decision.", NULL);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_stored_plan_is_there_block_by_block);
    case_test(&all, each_section_has_its_own_minutes);
    case_test(&all, then_comes_behind_what_it_follows);
    case_test(&all, numbers_are_those_that_tick_takes);
    case_test(&all, a_tick_of_a_number_is_of_what_the_page_shows_there);
    case_test(&all, what_the_show_has_no_more_keeps_its_number);
    case_test(&all, a_leaders_page_is_one_sheet);
    case_test(&all, a_day_without_a_plan_says_how_to_make_one);
    case_test(&all, what_waits_for_a_decision_has_room_to_write_it);
    return cases_run(&all, "plans and decisions on paper");
}
