/* The end of what an MP4 shows. Inner to the room. */
#ifndef CLIP_EDIT_LIST_H
#define CLIP_EDIT_LIST_H

#include <stdbool.h>
#include <stdint.h>

/* Lets the first track of a finished MP4 or MOV, whose clip clock counts microseconds (output.h), end
 * at this time: pictures behind it are there for others to refer to, and are not shown (ISO/IEC
 * 14496-12, 8.6.6). False, with errno set, where the file cannot be read or written, or has no edit
 * list. */
bool edit_list_end(const char *path, int64_t end_us);

#endif
