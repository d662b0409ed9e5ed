/* Pages of a web folder: HTML that works from any place it is put, without a network and without a
 * script; page.js (share/) plays the moments where they stand. Nothing here knows files: where
 * pictures and clips are found is told by struct page_media.
 *
 * HTML Living Standard; Media Fragments URI 1.0, section 4.2.1; Content Security Policy Level 3. */
#ifndef PAGE_PAGE_H
#define PAGE_PAGE_H

#include <stdbool.h>

#include "base/arena.h"
#include "paper/paper.h"
#include "rank/history.h"

/* What the folder holds of a moment. Each function writes an address as it stands in an attribute
 * (html_address()) and returns true, or returns false: there is none. */
struct page_media {
    void *user;
    bool (*still)(void *user, const struct report_moment *m, struct buf *out);
    /* A clip of the moment's own, which begins at *from_us of the whole one. */
    bool (*cut)(void *user, const struct report_moment *m, int64_t *from_us, struct buf *out);
    bool (*clip)(void *user, const struct report_clip *c, struct buf *out);
};

struct page_style {
    const char *title; /* of the show */
    bool labels_only;  /* no names of people */
    bool in_clips;     /* moments are played in the whole clips; false: each in its own, in place */
    const char *index; /* address of the index; NULL: there is none */
    const struct page_media *media;
    /* One file alone: the stylesheet and the script, and the Content-Security-Policy's names of
     * both ("'sha256-...'"). NULL: page.css and page.js beside the page. */
    const char *css, *css_hash, *js, *js_hash;
};

/* The page of a section or of one performer. The report needs its moments; history may be NULL. */
struct page_section {
    const struct fix_report *r;
    const struct history_report *history;
};
void page_section(const struct page_section *p, const struct page_style *style, struct buf *out);

/* A row of the index. */
struct page_entry {
    const char *address, *name;
    bool performer;
    int depth;                     /* in the tree of sections, from 0 */
    int open, define, clean, keep; /* marks: not yet clean; of those, waiting for the staff; ... */
    int64_t bytes;                 /* of a page that is one file, to send; 0 else */
};
struct page_index {
    const struct page_entry *at;
    size_t n;
    const struct report_clip *clips;
    size_t n_clips;
    const struct define_report *define; /* NULL: left out */
};
void page_index(const struct page_index *p, const struct page_style *style, struct buf *out);

/* Is the page's section, or its performer, meant by the target, or somebody in it? */
bool page_is_meant(const struct fix_report *r, const struct target *t);

#endif
