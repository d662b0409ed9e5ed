/* Parts of a page that several of its files write. Inner to the room. */
#ifndef PAGE_INSIDE_H
#define PAGE_INSIDE_H

#include "page/page.h"
#include "paper/fixes.h"

/* Captions stand above and to the left, where the stands are, and not on the feet they speak of. */
#define PAGE_CUES " line:0 position:0% align:start"

/* From the doctype to the end of the header; h1 is what the page is about. */
void page_begin(const struct page_style *style, const char *h1, struct buf *out);
void page_end(const struct page_style *style, struct buf *out);

/* "v12": the id of a clip's video element. */
void page_video_id(const struct report_clip *c, struct buf *out);
/* A moment as its caption says it, which is read while the clip plays: who of this page's people is
 * meant, and what; the rest stands beside the picture. Its time is that of the whole clip. */
struct mark page_caption(const struct fix_report *r, const struct report_moment *m,
                         struct arena *mem);
/* The clips in which the page's moments are played, each with its marks as captions. */
void page_videos(const struct fix_report *r, const struct page_style *style, struct buf *out);

/* An item of a list for each line of the part, kept ones or those to mend. */
void page_lines(const struct fix_report *r, const struct report_part *part, bool keep,
                const struct page_style *style, struct buf *out);

/* Where the set of a line puts everybody: those whom the line's marks in it mean, the rest of the
 * page's section, everybody else; nothing when the show has no dots of the first. SVG. */
void page_set_chart(const struct fixes_line *l, int set, struct buf *out);
/* Marks of a part from rehearsal to rehearsal, as a drawing and as a table. */
void page_history(const struct history_report *h, struct buf *out);

#endif
