/* HTML as text goes into it: whatever people have typed is shown as text, and nothing more. */
#ifndef PAGE_HTML_H
#define PAGE_HTML_H

#include "base/buf.h"

/* Text for an element or for an attribute in double quotes: & < > " ' are escaped; control
 * characters, overrides of direction and what is not seen become '?', line ends a blank. */
void html_text(struct buf *out, const char *text);
/* The same in a bdi element, so that a name of either direction leaves the text around it alone. */
void html_name(struct buf *out, const char *text);
/* A number with three decimals at most, without an exponent: "13.04". */
void html_number(struct buf *out, double number);
/* Bytes in base64 (RFC 4648, section 4), for data: addresses. */
void html_base64(struct buf *out, const void *bytes, size_t n);
/* A relative path as an address: percent-encoded (RFC 3986), quotes too, so that it needs no
 * escaping. A first segment with a colon gets "./" before it: it names no scheme. */
void html_address(struct buf *out, const char *path);

#endif
