/* The marks of a clip as W3C Web Annotations (Web Annotation Data Model, 2017). */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include "paper/json.h"
#include "paper/table.h"
#include "show/annotations.h"

static json_t *textual(const char *purpose, const char *value)
{
    return json_pack("{s:s,s:s,s:s,s:o}", "type", "TextualBody", "purpose", purpose, "format",
                     "text/plain", "value", json_text(value));
}

static void judge(json_t *bodies, const char *word, const char *value)
{
    struct buf text = {0};
    buf_printf(&text, "%s%s", word, value);
    json_array_append_new(bodies, textual(ANNOTATION_JUDGED, text.p));
    buf_free(&text);
}

/* "interval 1.4 +- 0.2 of 2" */
static void put_measure(const struct measure *m, struct buf *out)
{
    buf_printf(out, "%s ", measure_name(m->kind));
    put_exact(m->value, out);
    if (m->error > 0) {
        buf_str(out, ANNOTATION_ERROR);
        put_exact(m->error, out);
    }
    if (isfinite(m->of)) {
        buf_str(out, ANNOTATION_OF);
        put_exact(m->of, out);
    }
}

static void judgements(const struct mark *m, json_t *bodies)
{
    struct buf text = {0};
    buf_printf(&text, "%d", m->severity);
    judge(bodies, ANNOTATION_SEVERITY, text.p);
    if (m->praise)
        judge(bodies, ANNOTATION_PRAISE, "");
    judge(bodies, ANNOTATION_CAUSE, cause_name(m->cause));
    judge(bodies, ANNOTATION_STATE, mark_state_name(m->state));
    if (m->timed) {
        buf_clear(&text);
        put_exact(m->late_counts, &text);
        buf_str(&text, ANNOTATION_ERROR);
        put_exact(m->late_error, &text);
        buf_str(&text, ANNOTATION_COUNTS);
        judge(bodies, ANNOTATION_LATE, text.p);
    }
    if (m->measure.kind != MEASURE_NONE) {
        buf_clear(&text);
        put_measure(&m->measure, &text);
        judge(bodies, ANNOTATION_MEASURED, text.p);
    }
    if (m->on_field) {
        buf_clear(&text);
        put_exact(m->x, &text);
        buf_str(&text, ANNOTATION_ACROSS);
        put_exact(m->y, &text);
        buf_str(&text, ANNOTATION_DEPTH);
        judge(bodies, ANNOTATION_PLACE, text.p);
    }
    buf_free(&text);
}

static json_t *bodies_of(const struct call_report *r, const struct mark *m)
{
    json_t *bodies = json_array(),
           *fault = textual(ANNOTATION_FAULT, r->show->faults[m->fault].name);
    for (size_t i = 0; i < m->n_targets; i++) {
        struct buf name = {0};
        targets_text(r->show, &m->targets[i], 1, &name);
        json_array_append_new(bodies, textual(ANNOTATION_TAG, buf_text(&name)));
        buf_free(&name);
    }
    json_object_set_new(fault, "purpose", json_pack("[s,s]", ANNOTATION_TAG, ANNOTATION_FAULT));
    json_array_append_new(bodies, fault);
    judgements(m, bodies);
    if (*m->note)
        json_array_append_new(bodies, textual(ANNOTATION_NOTE, m->note));
    json_array_append_new(bodies, textual(ANNOTATION_CLIP, r->clip.label));
    return bodies;
}

/* "t=65.2", "t=65.2,70": what an end says that is not behind the moment, no fragment can. */
static json_t *target_of(const struct call_report *r, const struct mark *m)
{
    struct buf t = {0}, source = {0};
    iri_path(r->clip.link, &source);
    buf_str(&t, "t=");
    put_seconds(&t, m->at_us > 0 ? m->at_us : 0, true);
    if (m->end_us > m->at_us) {
        buf_char(&t, ',');
        put_seconds(&t, m->end_us, true);
    }
    json_t *o = json_pack("{s:s,s:s,s:{s:s,s:s,s:s}}", "type", "SpecificResource", "source",
                          buf_text(&source), "selector", "type", "FragmentSelector", "conformsTo",
                          ANNOTATION_FRAGMENTS, "value", t.p);
    buf_free(&t);
    buf_free(&source);
    return o;
}

static json_t *urn(const char *uuid, const char *behind)
{
    char text[80];
    snprintf(text, sizeof text, "urn:uuid:%s%s", uuid, behind);
    return json_string(text);
}

static json_t *annotation(const struct call_report *r, size_t i)
{
    const struct mark *m = &r->marks[i];
    json_t *o = json_object();
    json_object_set_new(o, "id", urn(r->born[i].uuid, ""));
    json_object_set_new(o, "type", json_string("Annotation"));
    json_object_set_new(o, "motivation", json_string(ANNOTATION_JUDGED));
    if (*m->author)
        json_object_set_new(o, "creator",
                            json_pack("{s:s,s:o}", "type", "Person", "name", json_text(m->author)));
    json_object_set_new(o, "created", json_string(r->born[i].made_at));
    json_object_set_new(o, "body", bodies_of(r, m));
    json_object_set_new(o, "target", target_of(r, m));
    return o;
}

/* A page holds one annotation or more (section 5.2), so that an empty collection has none. */
void calls_annotations(const struct call_report *r, struct buf *out)
{
    json_t *root = json_object(), *items = json_array();
    struct buf label = {0};
    buf_printf(&label, "%s: %s, %s", r->title, r->clip.label, r->clip.date);
    for (size_t i = 0; i < r->n_marks; i++)
        json_array_append_new(items, annotation(r, i));
    json_object_set_new(root, "@context", json_string(ANNOTATION_CONTEXT));
    json_object_set_new(root, "id", urn(r->of_clip.uuid, ""));
    json_object_set_new(root, "type", json_string("AnnotationCollection"));
    json_object_set_new(root, "label", json_text(label.p));
    json_object_set_new(root, "total", json_integer((json_int_t)r->n_marks));
    if (r->n_marks)
        json_object_set_new(root, "first",
                            json_pack("{s:o,s:s,s:i,s:O}", "id", urn(r->of_clip.uuid, "#page-1"),
                                      "type", "AnnotationPage", "startIndex", 0, "items", items));
    json_decref(items);
    buf_free(&label);
    json_put(root, out);
}
