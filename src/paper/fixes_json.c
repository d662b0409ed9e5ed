#include "paper/fixes.h"
#include "paper/json.h"
#include "paper/table.h"

static json_t *items(const struct fix_report *r, const struct fixes_style *style,
                     const struct report_part *part, const struct rank_item *at, size_t n)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++)
        json_array_append_new(
            list, table_json(fixes_columns, &(struct fixes_line){r, style, part, &at[i]}));
    return list;
}

static json_t *clips(const struct fix_report *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->n_clips; i++)
        json_array_append_new(list, json_text(r->clips[i].label));
    return list;
}

void fixes_json(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    json_t *root = json_object(), *with = json_array();
    for (size_t i = 0; i < r->n_with; i++) {
        const struct report_part *p = &r->with[i];
        json_t *o = json_object();
        json_object_set_new(o, "section", json_text(r->show->sections[p->section].name));
        json_object_set_new(o, "keep", items(r, style, p, p->list.keep, p->list.n_keep));
        json_object_set_new(o, "items", items(r, style, p, p->list.items, p->list.n_items));
        json_array_append_new(with, o);
    }
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "for", json_text(report_for(r)));
    json_object_set_new(root, "clips", clips(r));
    json_object_set_new(root, "by", json_text(rank_by_name(r->own.list.by)));
    json_object_set_new(root, "rule", json_text(rank_rule(r->own.list.by)));
    json_object_set_new(root, "watched_minutes",
                        r->watched_min > 0 ? json_real(r->watched_min) : json_null());
    json_object_set_new(root, "clip_minutes", json_real(r->length_min));
    json_object_set_new(root, "rests_on_little", json_boolean(report_rests_on_little(r)));
    json_object_set_new(root, "share_items", json_integer((json_int_t)r->own.list.share_items));
    json_object_set_new(root, "keep",
                        items(r, style, &r->own, r->own.list.keep, r->own.list.n_keep));
    json_object_set_new(root, "items",
                        items(r, style, &r->own, r->own.list.items, r->own.list.n_items));
    json_object_set_new(root, "with", with);
    json_put(root, out);
}
