#include "score/xml.h"

#include <string.h>

#include "base/buf.h"
#include "score/xml_guard.h"

#include "score/libxml.h"

enum { TEXT_MOST = 4096, CHUNK = 1 << 20, SNIFFED = 4 };

struct reading {
    const struct xml_listener *listener;
    const char *source;
    xmlParserCtxtPtr parser;
    struct buf text;
    bool refused;
    struct err *e;
};

const char *xml_attribute(const struct xml_element *x, const char *name)
{
    for (const char *const *a = x->attributes; a && a[0]; a += 2)
        if (strcmp(a[0], name) == 0)
            return a[1] ? a[1] : "";
    return NULL;
}

/* --- what the parser tells ------------------------------------------------------------------- */

static void refuse(struct reading *r)
{
    const xmlParserInput *in = r->parser->input;
    if (in)
        err_in(r->e, "%s:%d:%d", r->source, in->line, in->col);
    else
        err_in(r->e, "%s", r->source);
    r->refused = true;
    xmlStopParser(r->parser);
}

static void on_begin(void *ctx, const xmlChar *name, const xmlChar **attributes)
{
    struct reading *r = ctx;
    const struct xml_element x = {(const char *)name, (const char *const *)attributes};
    buf_clear(&r->text);
    if (!r->refused && !r->listener->begin(r->listener->ctx, &x, r->e))
        refuse(r);
}

static void on_end(void *ctx, const xmlChar *name)
{
    struct reading *r = ctx;
    if (!r->refused &&
        !r->listener->end(r->listener->ctx, (const char *)name, buf_text(&r->text), r->e))
        refuse(r);
    buf_clear(&r->text);
}

static void on_text(void *ctx, const xmlChar *text, int n)
{
    struct reading *r = ctx;
    const size_t room = TEXT_MOST - (r->text.n < TEXT_MOST ? r->text.n : TEXT_MOST);
    if (n > 0)
        buf_add(&r->text, text, (size_t)n < room ? (size_t)n : room);
}

/* An entity can name a file, or double itself a hundred times. Music has no use for either. */
static void on_entity(void *ctx, const xmlChar *name, int type, const xmlChar *public_id,
                      const xmlChar *system_id, xmlChar *content)
{
    struct reading *r = ctx;
    (void)type, (void)public_id, (void)system_id, (void)content;
    if (r->refused)
        return;
    err_set(r->e, ERR_INPUT,
            "it declares an entity '%s' of its own, which no score needs; export "
            "the score again",
            (const char *)name);
    refuse(r);
}

static xmlEntityPtr known_entity(void *ctx, const xmlChar *name)
{
    (void)ctx;
    return xmlGetPredefinedEntity(name);
}

static xmlEntityPtr no_entity(void *ctx, const xmlChar *name)
{
    (void)ctx, (void)name;
    return NULL;
}

/* --- reading --------------------------------------------------------------------------------- */

static bool broken(struct reading *r)
{
    const xmlError *why = xmlCtxtGetLastError(r->parser);
    if (!why || !why->message)
        return err_set(r->e, ERR_INPUT, "%s: not XML; export the score again", r->source);
    if (why->code == XML_ERR_TAG_NAME_MISMATCH && why->str1 && why->str2)
        return err_set(r->e, ERR_INPUT,
                       "%s:%d:%d: not sound XML: '%.40s' is closed by '%.40s'; export the score "
                       "again",
                       r->source, why->line, why->int2, why->str1, why->str2);
    const size_t n = strcspn(why->message, "\n");
    return err_set(r->e, ERR_INPUT, "%s:%d:%d: not sound XML: %.*s; export the score again",
                   r->source, why->line, why->int2, (int)(n < 200 ? n : 200), why->message);
}

static bool feed(struct reading *r, const struct table_text *file)
{
    size_t at = file->n < SNIFFED ? 0 : SNIFFED; /* the encoding is told from the first four */
    while (!r->refused && file->n - at > CHUNK) {
        if (xmlParseChunk(r->parser, file->bytes + at, CHUNK, 0) != 0)
            break;
        at += CHUNK;
    }
    if (!r->refused && file->n - at <= CHUNK)
        xmlParseChunk(r->parser, file->bytes + at, (int)(file->n - at), 1);
    if (r->refused)
        return false;
    return r->parser->wellFormed || broken(r);
}

bool xml_read(const struct table_text *file, const struct xml_listener *listener, struct err *e)
{
    xmlSAXHandler told = {
        .startElement = on_begin,
        .endElement = on_end,
        .characters = on_text,
        .cdataBlock = on_text,
        .entityDecl = on_entity,
        .getEntity = known_entity,
        .getParameterEntity = no_entity,
    };
    struct reading r = {.listener = listener, .source = file->source, .e = e};
    if (!xml_guard(file, e) || !libxml_load(e))
        return false;
    r.parser = xmlCreatePushParserCtxt(&told, &r, file->n < SNIFFED ? NULL : file->bytes,
                                       file->n < SNIFFED ? 0 : SNIFFED, NULL);
    if (!r.parser)
        return err_set(e, ERR_FAILED, "%s: no memory for the XML parser", file->source);
    xmlCtxtUseOptions(r.parser, XML_PARSE_NONET | XML_PARSE_SAX1);
    const bool ok = feed(&r, file);
    if (r.parser->myDoc) /* made for entities, even where nobody asked for a tree */
        xmlFreeDoc(r.parser->myDoc);
    xmlFreeParserCtxt(r.parser);
    buf_free(&r.text);
    return ok;
}
