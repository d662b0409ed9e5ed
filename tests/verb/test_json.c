/* What every verb prints with --as json is what share/boxcall.schema.json says: by the columns that the
 * program has, and by an independent validator of JSON Schema (draft 2020-12, python3-jsonschema). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/drafts.h"
#include "base/buf.h"
#include "paper/count.h"
#include "verb/season.h"
#include "verb/verbs.h"

static json_t *schema(void)
{
    json_t *o = json_load_file(SHARE "/boxcall.schema.json", JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(o);
    return o;
}

/* --- the columns -------------------------------------------------------------------------------- */

/* Which definition holds the rows of a table; one that is not named is the test's to fail on. */
static const struct {
    const char *verb, *table, *of;
} rows[] = {
    {"fixes", "", "fix"},
    {"calls", "", "mark"},
    {"hear", "drafts", "draft"},
    {"hear", "words", "lesson"},
    {"define", "", "question"},
    {"compare", "", "change"},
    {"history", "", "rehearsal"},
    {"plan", "", "block"},
    {"count", "ties", "tie"},
    {"count", "at and when", "count_place"},
    {"count", "taps", "count_taps"},
    {"count", "beats", "count_beats"},
    {"field", "picks", "field_pick"},
    {"field", "camera", "field_camera"},
    {"field", "at", "field_place"},
    {"field", "who", "field_candidate"},
    {"field", "gaps", "field_gap"},
    {"field", "fit and check", "field_off"},
    {"field", "pace", "field_pace"},
    {"field", "dots", "field_dot"},
    {"keys", "", "key"},
};

static const char *definition(const struct verb *v, const char *table)
{
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].verb, v->name) == 0 && strcmp(rows[i].table, table) == 0)
            return rows[i].of;
    fail_msg("the table '%s' of %s has no definition in the schema", table, v->name);
    return "";
}

/* What may be null is known to the writer of a column alone; the validator sees to that. */
static void assert_kind(const struct column *c, const json_t *type)
{
    static const char *const types[] = {[COLUMN_TEXT] = "string",
                                        [COLUMN_MAYBE] = "string",
                                        [COLUMN_WHOLE] = "integer",
                                        [COLUMN_NUMBER] = "number",
                                        [COLUMN_TRUTH] = "boolean"};
    const json_t *first = json_is_array(type) ? json_array_get(type, 0) : type;
    assert_string_equal(json_string_value(first), types[c->kind]);
    if (c->kind == COLUMN_MAYBE)
        assert_string_equal(json_string_value(json_array_get(type, 1)), "null");
}

static void every_column_has_its_member_with_its_help_and_kind(void **state)
{
    (void)state;
    json_t *o = schema();
    size_t seen = 0;
    for (size_t i = 0; verbs[i]; i++)
        for (const struct verb_written *w = verbs[i]->written; w && w->columns; w++) {
            const char *of = definition(verbs[i], w->name);
            const json_t *all = json_at(json_at(json_at(o, "$defs"), of), "properties");
            for (const struct column *c = w->columns; c->name; c++) {
                if (!(c->where & IN_JSON) || c->json)
                    continue;
                const json_t *p = json_at(all, c->key ? c->key : c->name);
                assert_string_equal(json_str(p, "description"), c->help);
                assert_kind(c, json_at(p, "type"));
                seen++;
            }
        }
    assert_true(seen > 80);
    json_decref(o);
}

static void nothing_of_the_schema_lets_a_member_in_that_it_does_not_name(void **state)
{
    (void)state;
    json_t *o = schema();
    const char *name;
    json_t *def;
    json_object_foreach(json_at(o, "$defs"), name, def)
    {
        const json_t *all = json_object_get(def, "properties");
        if (!all)
            continue;
        assert_true(json_is_false(json_at(def, "additionalProperties")));
        const size_t may = strcmp(name, "count_at") == 0; /* "all": where there are several */
        assert_int_equal(json_array_size(json_at(def, "required")) + may, json_object_size(all));
    }
    json_decref(o);
}

/* --- the documents ------------------------------------------------------------------------------ */

static struct buf given; /* NAME=FILE for the validator, a line each */
static int documents;

static void keep(const struct season *s, const char *name, const char *text)
{
    char file[40];
    snprintf(file, sizeof file, "json/%d", ++documents);
    buf_printf(&given, "%s=%s\n", name, write_file(s->dir, file, text));
}

#define KEEP(s, verb, ...)                                                                         \
    do {                                                                                           \
        struct run r = BOX(s, verb, "--as", "json", __VA_ARGS__);                                  \
        assert_exit(r, 0);                                                                         \
        keep(s, verb, r.out);                                                                      \
    } while (0)

static void keep_all(const struct season *s, const char *clip)
{
    KEEP(s, "fixes", "a.show");
    KEEP(s, "fixes", "a.show", "--for", "trumpets", "--labels-only");
    KEEP(s, "calls", "a.show", clip);
    KEEP(s, "define", "a.show");
    KEEP(s, "history", "a.show");
    KEEP(s, "plan", "a.show", "--try", "--minutes", "30");
    KEEP(s, "plan", "a.show", "--try", "--minutes", "90", "--start", "18:00", "--fixed",
         "warm-up:15", "--wbgt", "84F", "--temp", "90F", "--humidity", "60");
    KEEP(s, "count", "a.show", clip, "ties");
    KEEP(s, "count", "a.show", clip, "at", "12");
    KEEP(s, "count", "a.show", clip, "at", "0:00");
    KEEP(s, "count", "a.show", clip, "when", "2", "3");
    KEEP(s, "keys", "a.show");
}

static void put(const struct season *s, const char *what, const char *text)
{
    struct run_setup in = season_in(s, text);
    ends(box(&in, "add", "a.show", what, "-", NULL), 0);
}

/* In quotes of a table, and as it is. */
#define CELL  "<b>&\"\"'</b> =cmd()|\u202e\U0001F3BA\u00e9"
#define NASTY "<b>&\"'</b> =cmd()|\u202e\U0001F3BA\u00e9"

/* A draft of the season is put right, and holds a word that nobody knows. */
static void keep_words(const struct season *s)
{
    struct app app;
    struct err e;
    struct stored_draft_list l;
    if (!app_open(&app, path_in(s->dir, "a.show"), &e))
        fail_msg("%s", e.text);
    const struct draft_choice all = {clip_named(&app.clips, "tue", &e)->id, 0, true};
    const struct draft_change c = {.fields = DRAFT_FAULT, .fault = show_fault(&app.show, "style")};
    if (!store_drafts(app.store, test_arena(), &all, &l, &e) || !l.n ||
        !app_draft_change(&app, l.at[0].id, &c, "corrected", &e))
        fail_msg("%s", e.text);
    app_close(&app);
    const struct run r = BOX(s, "hear", "a.show", "--words", "--as", "json");
    assert_exit(r, 0);
    assert_int_equal(json_array_size(json_out(r)), 1);
    keep(s, "hear_words", r.out);
}

/* Every name is a nasty one; a clip was seen twice; something was measured, decided, mended. */
static void keep_nasty(void)
{
    struct season s = season_new();
    put(&s, "roster",
        "performer,name,section\n\"" CELL " 9\",\"" CELL "\",trumpets\nT8,,trumpets\n");
    put(&s, "faults", "fault,cause,right,family\n\"" CELL "\",,\"" CELL "\",\"" CELL "\"\n");
    put(&s, "sets", "set,counts,tempo,hold\n\"" CELL "\",8,120,2\n");
    put(&s, "marks",
        "clip,time,target,fault,note,severity,cause,praise,author,late_counts,late_error,measure,"
        "measure_value,measure_error,measure_of,across,depth\n"
        "tue,0:05.1234,\"" CELL " 9;T1\",\"" CELL "\",\"" CELL "\n2\",3,,,\"" CELL
        "\",-0.4,0.1,,,,,,\n"
        "tue,0:06,trumpets,h,,1,,yes,,,,,,,,,\ntue,0:07,T1,style,,2,define,,,,,,,,,,\n"
        "tue,0:08,brass,late,,2,,,,,,,,,,,\n"
        "thu,0:09,T2,h,x,1,,,,,,step size,6.7,0.2,8,,\n"
        "tue,0:12,T2,h,,2,,,,,,interval,1.4,,,-12.5,28\ntue,0:30,T2,h,,2,,,,,,,,,,,\n");
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:04", "1"), 0);
    ends(BOX(&s, "count", "a.show", "tue", "tie", "5:00", "1", "--break"), 0);
    ends(BOX(&s, "watched", "a.show", "tue", "0", "5:00"), 0);
    ends(BOX(&s, "watched", "a.show", "thu", "0", "5:00"), 0);
    ends(BOX(&s, "state", "a.show", "trumpets", "h", "repped"), 0);
    ends(BOX(&s, "define", "a.show", "style", "--decide", NASTY), 0);
    keep_all(&s, "tue");
    write_file(s.dir, "talk.txt",
               "[0:05] Trumpets, spigots horn angle, two counts late.\n"
               "[0:20] Drums look great.\n[0:40] T1, " NASTY "\n");
    KEEP(&s, "hear", "a.show", "tue", "talk.txt");
    ends(BOX(&s, "hear", "a.show", "tue", "talk.txt"), 0);
    keep_words(&s);
    KEEP(&s, "calls", "a.show", "thu");
    KEEP(&s, "history", "a.show", "--for", "trumpets");
    KEEP(&s, "compare", "a.show", "--from", "2026-09-01", "--to", "2026-09-03");
    KEEP(&s, "compare", "a.show", "--from-clip", "tue", "--to-clip", "thu", "--for", "trumpets");
    struct run_setup in = season_in(&s, "1.0\n1.5\n2.0\n2.51\n3.0\n3.5\n4.0\n4.5\n");
    struct run r = box(&in, "count", "a.show", "tue", "taps", "-", "--as", "json", NULL);
    assert_exit(r, 0);
    keep(&s, "count", r.out);
    struct beat beat[2] = {{500000, 120, 0.5, true}, {1000000, 120, 0.25, false}};
    struct buf out = {0};
    count_beats(&(struct beats){.beat = beat, .n = 2}, AS_JSON, &out);
    keep(&s, "count", out.p);
    buf_free(&out);
}

/* A show in which nothing was done yet. */
static void keep_empty(void)
{
    struct season s = season_new();
    KEEP(&s, "fixes", "a.show");
    KEEP(&s, "calls", "a.show", "tue");
    KEEP(&s, "define", "a.show");
    KEEP(&s, "history", "a.show");
    KEEP(&s, "count", "a.show", "tue", "ties");
    KEEP(&s, "count", "a.show", "tue", "at", "5");
    KEEP(&s, "keys", NULL);
}

/* The field in a clip of the demo's, twice: before anything is known of it, by the lines, by picks
 * alone of a second clip. Each document is one of `field`, and of what its sub-verb has. */
#define KEEP_FIELD(s, name, ...)                                                                   \
    do {                                                                                           \
        struct run r = BOX(s, "field", "f.show", "--as", "json", __VA_ARGS__);                     \
        assert_exit(r, 0);                                                                         \
        keep(s, name, r.out);                                                                      \
        keep(s, "field", r.out);                                                                   \
    } while (0)

static void keep_measures(const struct season *s, const char *clip)
{
    KEEP_FIELD(s, "field_picks", clip, "picks");
    KEEP_FIELD(s, "field_camera", clip, "camera");
    KEEP_FIELD(s, "field_camera", clip, "camera", "0.1");
    KEEP_FIELD(s, "field_place", clip, "at", "0.1", "640,400");
    KEEP_FIELD(s, "field_pixel", clip, "pixel", "0.1", "on 50; on front hash");
    KEEP_FIELD(s, "field_who", clip, "who", "0.1", "640,400");
    KEEP_FIELD(s, "field_gaps", clip, "gaps", "0.1", "600,400", "640,400", "645,400", "690,401");
    KEEP_FIELD(s, "field_gaps", clip, "gaps", "0.1", "600,400", "640,400", "--of", "2");
    KEEP_FIELD(s, "field_fit", clip, "fit", "0.1", "line", "600,400", "640,400", "690,410");
    KEEP_FIELD(s, "field_fit", clip, "fit", "0.1", "arc", "600,400", "640,410", "690,400");
    KEEP_FIELD(s, "field_form", clip, "check", "0.1", "600,400", "640,400", "690,410");
    KEEP_FIELD(s, "field_form", clip, "check", "0.1", "600,400", "--for", "flutes");
    KEEP_FIELD(s, "field_pace", clip, "pace", "0.1", "600,400", "0.3", "640,400");
    KEEP_FIELD(s, "field_pace", clip, "pace", "0.1", "600,400", "0.3", "600,400", "--counts", "2");
    KEEP_FIELD(s, "field_corner", clip, "corner", "0.1", "600,400", "640,400", "640,450");
    KEEP_FIELD(s, "field_angle", clip, "angle", "0.1", "1,1", "9,9", "20,1", "20,9");
    KEEP_FIELD(s, "field_dots", clip, "dots", "2", "3");
    KEEP_FIELD(s, "field_dots", clip, "dots");
}

static void keep_field(void)
{
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    /* as demo-clip's camera has them (60 ft up, 105 ft before the sideline, 6 ft to side 2) */
    static const char *const picks[][2] = {{"305,555", "side 1, on 40; on front sideline"},
                                           {"938,572", "side 2, on 40; on front sideline"},
                                           {"300,250", "side 1, on 30; on back hash"},
                                           {"1008,252", "side 2, on 30; on back hash"}};
    struct season s = season_empty();
    ends(BOX(&s, "new", "f.show", "--field", "high-school"), 0);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        const char *file = arena_printf(test_arena(), BAND "/%s.csv", tables[i]);
        ends(BOX(&s, "add", "f.show", tables[i], file, i < 2 ? "--replace" : NULL, "--yes"), 0);
    }
    for (int lines = 0; lines < 2; lines++) {
        const char *clip = lines ? "drawn" : "gray";
        const char *file = arena_printf(test_arena(), "%s/%s.mp4", s.dir, clip);
        if (lines)
            ends(run(getenv("DEMO_CLIP"), "--out", file, "--no-sound", "--preset", "ultrafast",
                     "--seconds", "0.5", "--band", BAND, NULL),
                 0);
        else
            ends(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i",
                     "color=c=gray:s=1280x720:r=10", "-t", "0.5", "-c:v", "libx264", "-preset",
                     "ultrafast", "-pix_fmt", "yuv420p", file, NULL),
                 0);
        ends(BOX(&s, "add", "f.show", "clip", file, "--label", clip), 0);
        ends(BOX(&s, "count", "f.show", clip, "tie", "0", "2"), 0);
        KEEP_FIELD(&s, "field_picks", clip, "picks");
        for (size_t i = 0; i < sizeof picks / sizeof *picks; i++)
            ends(BOX(&s, "field", "f.show", clip, "pick", "0.1", picks[i][0], picks[i][1]), 0);
        keep_measures(&s, clip);
        const json_t *o = json_out(BOX(&s, "field", "f.show", clip, "camera", "--as", "json"));
        assert_int_equal(json_is_true(json_at(o, "by_lines")), lines);
    }
}

/* The show of the demo, on a clip that shows nothing. */
static void keep_demo(void)
{
    static const char *const tables[] = {"sections", "faults", "roster", "sets", "dots"};
    struct season s = season_empty();
    ends(BOX(&s, "new", "a.show"), 0);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        const char *file = arena_printf(test_arena(), BAND "/%s.csv", tables[i]);
        ends(BOX(&s, "add", "a.show", tables[i], file, i < 2 ? "--replace" : NULL, "--yes"), 0);
    }
    ends(BOX(&s, "add", "a.show", "clip", season_clip(&s, "tuesday.avi", 120, 9)), 0);
    ends(BOX(&s, "count", "a.show", "tuesday", "tie", "0:01.5", "1"), 0);
    ends(BOX(&s, "add", "a.show", "marks", BAND "/marks.csv"), 0);
    keep_all(&s, "tuesday");
    ends(BOX(&s, "plan", "a.show", "--minutes", "60"), 0);
    KEEP(&s, "plan", "a.show");
}

static void every_document_is_what_the_schema_says_and_no_broken_one_is(void **state)
{
    (void)state;
    if (run("/usr/bin/python3", "-c", "import jsonschema", NULL).status != 0) {
        print_message("python3-jsonschema is not there\n");
        skip();
    }
    keep_empty();
    keep_nasty();
    keep_demo();
    keep_field();
    assert_true(documents > 30);
    struct run r =
        run_in(given.p, "sh", "-c", "tr '\\n' '\\0' | xargs -0 /usr/bin/python3 \"$1\" \"$2\"", "-",
               SCHEMA_PY, SHARE "/boxcall.schema.json", NULL);
    if (r.status != 0)
        fail_msg("%s%s", r.out, r.err);
    assert_contains(r.out, " broken documents");
    buf_free(&given);
}

static void a_document_of_another_verb_is_refused(void **state)
{
    (void)state;
    if (run("/usr/bin/python3", "-c", "import jsonschema", NULL).status != 0)
        skip();
    struct season s = season_new();
    struct run calls = BOX(&s, "fixes", "a.show", "--as", "json");
    const char *file =
        arena_printf(test_arena(), "define=%s", write_file(s.dir, "fixes.json", calls.out));
    struct run r = run("/usr/bin/python3", SCHEMA_PY, SHARE "/boxcall.schema.json", file, NULL);
    assert_exit(r, 1);
    assert_contains(r.out, "Additional properties are not allowed");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, every_column_has_its_member_with_its_help_and_kind);
    case_test(&all, nothing_of_the_schema_lets_a_member_in_that_it_does_not_name);
    case_test(&all, every_document_is_what_the_schema_says_and_no_broken_one_is);
    case_test(&all, a_document_of_another_verb_is_refused);
    return cases_run(&all, "json");
}
