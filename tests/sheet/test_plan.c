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
    in_order(
        words, "Rep plan", "Larkspur", DAY ", 18:00 to 19:30", "WBGT 84.0 F", "18:00",
        "15 min warm-up", "water and rest", "flutes: least clean sets", "trumpets",
        "set 1 (8 at 132) ×", "horns up late (1) 0:03.8",
        "snares, tenors, bass drums, front ensemble, drum majors: least clean sets of the show",
        "color guard", "ensemble: set 2, 16 counts at 132,", "reps of 0:45", "the first walked",
        "Before it the staff must decide what right looks like", "trumpets: near collision (1)",
        "Cautions", "Local policy, the athletic trainer and licensed practice decide", NULL);
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
    in_order(first, "Rep plan: trumpets", "warm-up", "18:20", "16 min trumpets",
             "set 1, 8 counts at 132, 5 reps of 0:30", "horns up late (1) 0:03.8",
             "18:23 set 5, 16 counts", "ensemble: set 2", "trumpets: closed interval (1)",
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
    in_order(words, "16 min trombones set 8A, 16 counts", "step size (1) 0:58.6",
             "18:24 then its choice", "water and rest", NULL);
    const char *list = box_ok("plan", show, "--date", "2026-12-03", "--for", "trombones").out;
    assert_contains(list, "step size (1) 0:58.6\n    18:24     then its choice\n");
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
    case_test(&all, a_day_without_a_plan_says_how_to_make_one);
    case_test(&all, what_waits_for_a_decision_has_room_to_write_it);
    return cases_run(&all, "plans and decisions on paper");
}
