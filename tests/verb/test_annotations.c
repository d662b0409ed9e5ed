/* Marks as W3C Web Annotations, out and in. What a collection, a page and an annotation must have is
 * that of the Web Annotation Data Model (W3C Recommendation, 23 February 2017; sections named below,
 * from memory). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

static struct run add(const struct season *s, const char *what, const char *text)
{
    struct run_setup in = season_in(s, text);
    return box(&in, "add", "a.show", what, "-", NULL);
}

static struct run annotations(const struct season *s)
{
    struct run r = BOX(s, "calls", "a.show", "tue", "--as", "annotations");
    assert_quiet(r);
    return r;
}

#define NASTY "<script>&\"'</script> =cmd()|\u202e\u200d\U0001F3BA"
#define CELL  "<script>&\"\"'</script> =cmd()|\u202e\u200d\U0001F3BA"
#define LONG                                                                                       \
    "three hundred characters and more: 0123456789 0123456789 0123456789 0123456789 0123456789 "   \
    "0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 "     \
    "0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 "     \
    "0123456789 0123456789 0123456789 \u00e9"

static struct season full(void)
{
    struct season s = season_new();
    ends(add(&s, "roster", "performer,section\n\"" CELL " 9\",trumpets\n"), 0);
    ends(add(&s, "sections", "section,parent\n\"" CELL "\",brass\n"), 0);
    ends(add(&s, "faults", "fault\n\"" CELL "\"\n"), 0);
    ends(add(&s, "marks",
             "clip,time,target,fault,note,severity,cause,praise,author,late_counts,late_error,"
             "state,end,measure,measure_value,measure_error,measure_of,across,depth\n"
             "tue,0:05,T1;T2;tubas,h,,1,,,Ana,,,,,interval,1.4,0.2,2,,\n"
             "tue,65.200001,\"" CELL " 9;" CELL "\",\"" CELL "\",\"" CELL "\",2,define,,\"" CELL
             "\",-0.4,0.125,repped,70.000003,step size,6.7123456789,,8,-12.25,28.125\n"
             "tue,65.2004,U1,f,\"" LONG
             "\",3,execute,,Ana,1e-05,0.000123456789,clean,,line,-0.8,0.1,,,\n"
             "tue,66,brass,style,\"two\nlines; =1+1\",3,,yes,Bo,,,,66.5,angle,12,,,,\n"
             "tue,0,ensemble,late,'=1,3,,,Bo,,,,,,,,,3,4\n"
             "tue,600,D1,late,severity 3,3,,,Bo,,,,,,,,,,\n"),
         0);
    return s;
}

/* All that the call list carries but the marks' numbers, by time. */
static const char *marks_of(const struct season *s)
{
    json_t *l = json_out(BOX(s, "calls", "a.show", "tue", "--as", "json"));
    for (size_t i = 0; i < json_array_size(l); i++)
        json_object_del(json_array_get(l, i), "id");
    char *text = json_dumps(l, JSON_SORT_KEYS | JSON_INDENT(1) | JSON_REAL_PRECISION(17));
    const char *kept = arena_strdup(test_arena(), text);
    free(text);
    return kept;
}

static void marks_go_out_and_come_in_again_without_loss(void **state)
{
    (void)state;
    struct season s = full(), other = full();
    struct run out = annotations(&s);
    ends(BOX(&other, "undo", "a.show"), 0); /* the marks, and nothing else */
    assert_string_equal(marks_of(&other), "[]");
    struct run r = add(&other, "marks", out.out);
    assert_exit(r, 0);
    assert_string_equal(r.err, "marks: 6 added\n");
    assert_string_equal(marks_of(&other), marks_of(&s));
    json_t *back = json_out(annotations(&other)), *first = json_out(out);
    for (int i = 0; i < 6; i++) { /* who it is, and when it was made, are the other show's */
        json_t *two[] = {back, first};
        for (int k = 0; k < 2; k++) {
            json_t *a = json_array_get(json_at(json_at(two[k], "first"), "items"), (size_t)i);
            json_object_del(a, "id");
            json_object_del(a, "created");
        }
    }
    assert_true(json_equal(json_at(json_at(back, "first"), "items"),
                           json_at(json_at(first, "first"), "items")));
}

static void the_same_file_again_adds_nothing(void **state)
{
    (void)state;
    struct season s = full();
    const char *before = marks_of(&s);
    struct run r = add(&s, "marks", annotations(&s).out);
    assert_exit(r, 0);
    assert_string_equal(r.err, "marks: 0 added, 6 there already\n");
    assert_string_equal(marks_of(&s), before);
}

static bool one_of(const json_t *bodies, const char *purpose, const char *value)
{
    for (size_t i = 0; i < json_array_size(bodies); i++) {
        const json_t *b = json_array_get(bodies, i), *p = json_at(b, "purpose");
        assert_string_equal(json_str(b, "type"), "TextualBody"); /* 3.2.4 */
        const char *first = json_is_array(p)
                                ? json_string_value(json_array_get(p, json_array_size(p) - 1))
                                : json_string_value(p);
        if (strcmp(first, purpose) == 0 && strcmp(json_str(b, "value"), value) == 0)
            return true;
    }
    return false;
}

static void a_collection_has_what_the_recommendation_asks(void **state)
{
    (void)state;
    struct season s = full();
    json_t *o = json_out(annotations(&s)), *page = json_at(o, "first"),
           *items = json_at(page, "items");
    /* 5.1, 5.2: a collection, its page, their ids */
    assert_string_equal(json_str(o, "@context"), "http://www.w3.org/ns/anno.jsonld");
    assert_string_equal(json_str(o, "type"), "AnnotationCollection");
    assert_int_equal(strncmp(json_str(o, "id"), "urn:uuid:", 9), 0);
    assert_int_equal(json_int(o, "total"), 6);
    assert_string_equal(json_str(page, "type"), "AnnotationPage");
    assert_true(strcmp(json_str(page, "id"), json_str(o, "id")) != 0);
    assert_int_equal(json_int(page, "startIndex"), 0);
    for (size_t i = 0; i < 6; i++) {
        const json_t *a = json_array_get(items, i), *t = json_at(a, "target"),
                     *selector = json_at(t, "selector");
        /* 3.1: one id, a type, a target; RFC 9562: version 4, variant 10 */
        const char *id = json_str(a, "id");
        assert_int_equal(strlen(id), 9 + 36);
        assert_true(id[9 + 14] == '4' && strchr("89ab", id[9 + 19]));
        for (size_t k = 0; k < i; k++)
            assert_string_not_equal(id, json_str(json_array_get(items, k), "id"));
        assert_string_equal(json_str(a, "type"), "Annotation");
        assert_string_equal(json_str(json_at(a, "creator"), "type"), "Person"); /* 3.3.2 */
        const char *made = json_str(a, "created");
        assert_true(strlen(made) == 24 && made[10] == 'T' && made[23] == 'Z'); /* 3.3.1 */
        /* 4, 4.2.1 */
        assert_string_equal(json_str(t, "type"), "SpecificResource");
        assert_string_equal(json_str(t, "source"), "tue.avi");
        assert_string_equal(json_str(selector, "type"), "FragmentSelector");
        assert_string_equal(json_str(selector, "conformsTo"), "http://www.w3.org/TR/media-frags/");
        assert_int_equal(strncmp(json_str(selector, "value"), "t=", 2), 0);
    }
    const json_t *a = json_array_get(items, 2), *bodies = json_at(a, "body");
    assert_string_equal(json_str(json_at(json_at(a, "target"), "selector"), "value"),
                        "t=65.200001,70.000003");
    assert_true(one_of(bodies, "tagging", NASTY " 9"));
    assert_true(one_of(bodies, "tagging", NASTY));
    assert_true(one_of(bodies, "classifying", NASTY));
    assert_true(one_of(bodies, "assessing", "severity 2"));
    assert_true(one_of(bodies, "assessing", "cause define"));
    assert_true(one_of(bodies, "assessing", "state repped"));
    assert_true(one_of(bodies, "assessing", "late -0.4 +- 0.125 counts"));
    assert_true(one_of(bodies, "commenting", NASTY));
    assert_true(one_of(bodies, "identifying", "tue"));
    assert_string_equal(json_str(json_at(a, "creator"), "name"), NASTY);
}

static void an_empty_collection_has_no_page(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = annotations(&s);
    assert_int_equal(json_int(json_out(r), "total"), 0);
    assert_null(json_object_get(json_out(r), "first"));
    r = add(&s, "marks", r.out);
    assert_exit(r, 3);
    assert_one_line(r, "stdin: no annotations in it; an AnnotationCollection has them in a page, "
                       "under \"first\" and \"items\"");
}

/* share/annotations.schema.json, by a validator that is not ours; and it refuses what is broken. */
static void it_is_what_the_published_schema_says(void **state)
{
    (void)state;
    struct season s = full(), none = season_new();
    const char *dir = temp_dir(), *marks = write_file(dir, "marks.json", annotations(&s).out),
               *empty = write_file(dir, "empty.json", annotations(&none).out),
               *less = write_file(
                   dir, "less.json",
                   BOX(&s, "calls", "a.show", "tue", "--as", "annotations", "--labels-only").out);
    struct run r = run("/usr/bin/python3", ANNOTATIONS_PY, SHARE "/annotations.schema.json", marks,
                       less, empty, NULL);
    assert_string_equal(r.out, "");
    assert_exit(r, 0);
}

static void names_can_be_left_out(void **state)
{
    (void)state;
    struct season s = full();
    struct run r = BOX(&s, "calls", "a.show", "tue", "--as", "annotations", "--labels-only");
    assert_quiet(r);
    assert_lacks(r.out, "creator");
    assert_lacks(r.out, "Ana");
    const char *before = marks_of(&s);
    ends(add(&s, "marks", r.out), 0);
    assert_string_equal(marks_of(&s), before); /* whose marks they are stays */
    assert_lacks(BOX(&s, "calls", "a.show", "tue", "--as", "csv", "--labels-only").out, "Ana");
}

/* --- of other programs -------------------------------------------------------------------------- */

#define ONE(target, body)                                                                          \
    "{\"@context\": \"http://www.w3.org/ns/anno.jsonld\", \"id\": \"http://a.example/1\", "        \
    "\"type\": \"Annotation\", \"target\": " target ", \"body\": " body "}"
#define TAGS                                                                                       \
    "[{\"type\": \"TextualBody\", \"purpose\": \"tagging\", \"value\": \"T1\"}, "                  \
    "{\"type\": \"TextualBody\", \"purpose\": [\"tagging\", \"classifying\"], \"value\": "         \
    "\"late\"}, "                                                                                  \
    "{\"type\": \"TextualBody\", \"value\": \"a note\"}]"
#define AT(t)                                                                                      \
    "{\"source\": \"http://a.example/clips/tue.avi\", \"selector\": {\"type\": "                   \
    "\"FragmentSelector\", \"value\": \"" t "\"}}"

static const struct foreign {
    const char *name, *text;
    int ms, end_ms; /* -1: none */
} foreigns[] = {
    {"an annotation by itself, its clip known by the file's name", ONE(AT("t=65.2"), TAGS), 65200,
     -1},
    {"an end makes a mark that goes on", ONE(AT("t=npt:00:01:05,00:01:10.5"), TAGS), 65000, 70500},
    {"no beginning is the beginning", ONE(AT("t=,7"), TAGS), 0, 7000},
    {"a fragment of the target's own IRI", ONE("\"file:///x/tue.avi#t=3\"", TAGS), 3000, -1},
    {"a target with an id", ONE("{\"id\": \"tue.avi#t=3\", \"type\": \"Video\"}", TAGS), 3000, -1},
    {"a target in a list", ONE("[" AT("t=4") "]", TAGS), 4000, -1},
    {"a list of annotations", "[" ONE(AT("t=5"), TAGS) "]", 5000, -1},
    {"a page behind a byte order mark",
     "\xef\xbb\xbf {\"type\": \"AnnotationPage\", \"items\": [" ONE(AT("t=6"), TAGS) "]}", 6000,
     -1},
};

static void is_read_as_a_mark(void **state)
{
    const struct foreign *f = *state;
    struct season s = season_new();
    struct run r = add(&s, "marks", f->text);
    assert_exit(r, 0);
    assert_string_equal(r.err, "marks: 1 added\n");
    const json_t *m =
        json_array_get(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json")), 0);
    assert_int_equal(json_int(m, "ms"), f->ms);
    if (f->end_ms < 0)
        assert_true(json_is_null(json_at(m, "end_ms")));
    else
        assert_int_equal(json_int(m, "end_ms"), f->end_ms);
    assert_string_equal(json_str(m, "fault"), "late arrival");
    assert_string_equal(json_str(m, "note"), "a note");
    assert_string_equal(json_str(m, "author"), "D. Whitlow"); /* who adds it */
}

static const struct refusal {
    const char *name, *text, *said; /* all of standard error */
} refusals[] = {
    {"every annotation that lacks something is named by its number",
     "[" ONE(AT("t=5"), TAGS) ", " ONE(AT("t=3,3"), "[]") ", " ONE("\"\"", TAGS) ", {}, " ONE(
         "[" AT("t=1") ", " AT("t=2") "]", TAGS) "]",
     "stdin: annotation 2: time: 't=3,3' says no moment; write t=65.2 (Media Fragments URI 1.0)\n"
     "stdin: annotation 2: target: no tag says whom; give a body with the purpose tagging and a "
     "section or a performer\n"
     "stdin: annotation 2: fault: no tag says what; give a body with the purposes tagging and "
     "classifying and a fault\n"
     "stdin: annotation 3: time: no moment; the target needs a FragmentSelector with t=65.2 (Media "
     "Fragments URI 1.0)\n"
     "stdin: annotation 3: clip: no clip; the target needs a source\n"
     "stdin: annotation 4: target: this is no Annotation\n"
     "stdin: annotation 5: time: several targets, and a mark has one moment; part them\n"
     "boxcall: stdin: 7 things are wrong; nothing of it was taken\n"},
    {"what is not in the show is named as in a table",
     ONE("\"thu.avi#t=999\"", "[{\"purpose\": \"tagging\", \"value\": \"T77\"}, {\"purpose\": "
                              "\"classifying\", \"value\": \"lat\"}, {\"purpose\": \"assessing\", "
                              "\"value\": \"severity 9\"}]"),
     "stdin: annotation 1: time: 999.000000 is past the end of clip 'thu'\n"
     "stdin: annotation 1: target: no section or performer 'T77'; name a section or a performer's "
     "label\n"
     "stdin: annotation 1: fault: no fault 'lat'; did you mean 'late'?\n"
     "stdin: annotation 1: severity: 9 is outside 1 to 3\n"
     "boxcall: stdin: 4 things are wrong; nothing of it was taken\n"},
    {"a page that is elsewhere",
     "{\"type\": \"AnnotationCollection\", \"total\": 3, \"first\": \"http://a.example/p1\"}",
     "boxcall: stdin: no annotations in it; an AnnotationCollection has them in a page, under "
     "\"first\" and \"items\"\n"},
};

static void is_refused_and_nothing_is_stored(void **state)
{
    const struct refusal *f = *state;
    struct season s = season_new();
    struct run r = add(&s, "marks", f->text);
    assert_exit(r, 3);
    assert_string_equal(r.err, f->said);
    assert_string_equal(marks_of(&s), "[]");
}

static void twenty_are_named(void **state)
{
    (void)state;
    struct season s = season_new();
    struct buf text = {0};
    for (int i = 0; i < 25; i++)
        buf_printf(&text, "%s{}", i ? "," : "[");
    buf_str(&text, "]");
    struct run r = add(&s, "marks", text.p);
    assert_exit(r, 3);
    assert_contains(r.err,
                    "stdin: annotation 20: target: this is no Annotation\nboxcall: stdin: 25 "
                    "things are wrong, the first 20 are named above and 5 more are there; "
                    "nothing of it was taken\n");
    buf_free(&text);
}

static void a_wrong_word_of_all_is_named_once(void **state)
{
    (void)state;
    struct season s = season_new();
    struct buf text = {0};
    for (int i = 0; i < 25; i++)
        buf_printf(&text, "%s" ONE("\"thursday.avi#t=%d\"", TAGS), i ? "," : "[", i);
    buf_str(&text, "]");
    struct run r = add(&s, "marks", text.p);
    assert_exit(r, 3);
    assert_string_equal(
        r.err, "stdin: annotation 1: clip: no clip 'thursday.avi'; the first one is 'tue'\n"
               "boxcall: stdin: 25 things are wrong, and 24 of these say again what is "
               "named above; nothing of it was taken\n");
    buf_free(&text);
}

static void text_that_is_no_json_is_refused_with_its_place(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "marks", "{\"a\":\n 1,}");
    assert_exit(r, 3);
    assert_contains(r.err, "boxcall: stdin:2:");
    assert_contains(r.err, ": this is no JSON: ");
}

static void what_is_passed_over_is_said(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r =
        add(&s, "marks",
            "{\"type\": \"AnnotationCollection\", \"total\": 12, \"first\": {\"items\": "
            "[" ONE(AT("t=6"), "[{\"purpose\": \"tagging\", \"value\": \"T1\"}, "
                               "{\"purpose\": \"classifying\", \"value\": \"h\"}, "
                               "{\"purpose\": \"linking\", \"value\": \"x\"}, "
                               "{\"purpose\": \"assessing\", \"value\": \"5 stars\"}]") "]}}");
    assert_exit(r, 0);
    assert_string_equal(r.err,
                        "marks: 1 added\n"
                        "stdin: 2 bodies of other purposes are passed over\n"
                        "stdin: the collection has 12 annotations, and 1 are in this file\n");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, marks_go_out_and_come_in_again_without_loss);
    case_test(&all, the_same_file_again_adds_nothing);
    case_test(&all, a_collection_has_what_the_recommendation_asks);
    case_test(&all, an_empty_collection_has_no_page);
    case_test(&all, it_is_what_the_published_schema_says);
    case_test(&all, names_can_be_left_out);
    cases_of(&all, foreigns, is_read_as_a_mark);
    cases_of(&all, refusals, is_refused_and_nothing_is_stored);
    case_test(&all, twenty_are_named);
    case_test(&all, a_wrong_word_of_all_is_named_once);
    case_test(&all, text_that_is_no_json_is_refused_with_its_place);
    case_test(&all, what_is_passed_over_is_said);
    return cases_run(&all, "annotations");
}
