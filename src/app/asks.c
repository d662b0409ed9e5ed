#include "app/asks.h"

bool app_mark_asks(struct store *s, const struct show *show, const struct seen_row *row)
{
    const struct fault *f = &show->faults[row->fault];
    struct arena scratch = {0};
    struct mark_words words;
    struct err ignored;
    if (row->cause != CAUSE_DEFINE)
        return false;
    const bool answered = f->decided &&
                          store_mark_words(s, &scratch, row->mark, &words, &ignored) &&
                          words.made_at <= f->decided_at;
    arena_free(&scratch);
    return !answered;
}
