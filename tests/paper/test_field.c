/* What is printed of the field: the sentence, and that it is true whatever the error is. */
#include <math.h>
#include <string.h>

#include "lib/cases.h"
#include "lib/run.h"
#include "paper/field.h"

static struct buf out;

static const char *form_with(double steps, double error)
{
    const struct field_off_row t3 = {1, "T3", steps, error, 0, steps};
    const struct field_form f = {.shift_error = 0.3, .scale = 1, .at = &t3, .n = 1};
    buf_clear(&out);
    field_form(&f, AS_TEXT, &out);
    return buf_text(&out);
}

static const char *line_with(double steps, double error)
{
    const struct field_off_row at[3] = {
        {1, "", 0, 1, 0, 0}, {2, "", 0, 1, 0, 0}, {3, "", steps, error, 0, steps}};
    const struct field_fit f = {.rms = 0.2, .at = at, .n = 3};
    buf_clear(&out);
    field_fit(&f, AS_TEXT, &out);
    return buf_text(&out);
}

/* Two steps off, told to three, is neither well nor ill. */
static void who_cannot_be_told_to_be_off_may_be_right(void **state)
{
    (void)state;
    assert_contains(form_with(0.3, 0.6), "T3 may be on the dot (off by 0.3 ± 0.6)\n");
    assert_contains(form_with(2, 3), "T3 may be on the dot (off by 2.0 ± 3.0)\n");
    assert_contains(form_with(1.6, 0.4),
                    "T3 is 1.6 ± 0.4 steps off it: 1.6 steps front mends it\n");
    assert_contains(line_with(0.3, 0.6), ": may be in it (off by 0.3 ± 0.6)\n");
    assert_contains(line_with(2, 3), ": may be in it (off by 2.0 ± 3.0)\n");
    assert_contains(line_with(0.8, 0.4), ": 0.8 steps front mends it (off by 0.8 ± 0.4)\n");
}

static void as_many_as_always_lie_on_it_are_not_said_to(void **state)
{
    (void)state;
    static const struct field_off_row at[4] = {
        {1, "", 0, 0, 0, 0}, {2, "", 0, 0, 0, 0}, {3, "", 0, 0, 0, 0}, {4, "", 0, 0, 0, 0}};
    struct field_fit f = {.angle = 36.5, .at = at, .n = 2};
    buf_clear(&out);
    field_fit(&f, AS_TEXT, &out);
    assert_string_equal(buf_text(&out), "a line at 36.5 degrees to the sidelines; 2 clicks always "
                                        "lie on one, more tell who is off it\n");
    f = (struct field_fit){
        .arc = true, .radius = 7.5, .center_spot = "on 50; on front hash", .at = at, .n = 3};
    buf_clear(&out);
    field_fit(&f, AS_TEXT, &out);
    assert_string_equal(buf_text(&out), "an arc of 7.5 steps around on 50; on front hash; 3 clicks "
                                        "always lie on one, more tell who is off it\n");
    f.n = 4;
    buf_clear(&out);
    field_fit(&f, AS_TEXT, &out);
    assert_contains(buf_text(&out), "people stand 0.00 step off it (rms)\nclick 1: may be in it");
}

static const char *camera_with(double bent)
{
    const struct field_camera_row r = {.rms_px = 0.2,
                                       .rms_steps = NAN,
                                       .checked = NAN,
                                       .error_steps = NAN,
                                       .by_lines = true,
                                       .moving = -1,
                                       .bent = bent,
                                       .note = ""};
    buf_clear(&out);
    field_camera(&r, AS_TEXT, &out);
    return buf_text(&out);
}

static void pictures_that_fit_no_camera_are_told(void **state)
{
    (void)state;
    static const char said[] =
        " of the pictures fit no camera that stands (a phone steadies them, or "
        "it was moved); they are bent to the lines\n";
    assert_null(strstr(camera_with(0), "no camera that stands"));
    assert_contains(camera_with(0.002), arena_printf(test_arena(), "\nunder 1 %%%s", said));
    assert_contains(camera_with(0.5), arena_printf(test_arena(), "\n50 %%%s", said));
    assert_contains(camera_with(1), arena_printf(test_arena(), "\n100 %%%s", said));
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, who_cannot_be_told_to_be_off_may_be_right);
    case_test(&all, as_many_as_always_lie_on_it_are_not_said_to);
    case_test(&all, pictures_that_fit_no_camera_are_told);
    const int failed = cases_run(&all, "the field on paper");
    buf_free(&out);
    return failed;
}
