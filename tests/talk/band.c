#include "talk/band.h"

#include <string.h>

#include "lib/cases.h"
#include "lib/files.h"

static struct table_text table(struct band *b, const char *name)
{
    size_t n;
    const char *bytes = read_file(arena_printf(&b->memory, SHARE "/%s", name), &n);
    return (struct table_text){.bytes = bytes, .n = n, .source = name};
}

void band_begin(struct band *b)
{
    static const char *const said[] = {"talk-said-body.csv", "talk-said-form.csv",
                                       "talk-said-more.csv", "talk-said-plain.csv",
                                       "talk-said-long.csv", "talk-said-live.csv"};
    struct err e;
    struct section_list sections = {0};
    struct fault_list faults = {0};
    const struct table_text s = table(b, "sections.csv"), f = table(b, "faults.csv");
    if (!sections_read(&b->memory, &s, &sections, &e) || !faults_read(&b->memory, &f, &faults, &e))
        fail_msg("%s", e.text);
    b->show = (struct show){.sections = sections.at,
                            .n_sections = sections.n,
                            .faults = faults.at,
                            .n_faults = faults.n};
    show_link(&b->show);
    for (size_t i = 0; i < BAND_EXAMPLES; i++)
        b->examples[i] = table(b, said[i]);
    b->tables = (struct lexicon_tables){
        table(b, "talk-words.csv"), table(b, "talk-signs.csv"), b->examples, BAND_EXAMPLES, {0}};
    band_learn(b);
}

void band_learn(struct band *b)
{
    struct err e;
    b->lexicon = lexicon_new(&b->memory, &b->show, &b->tables, &e);
    if (!b->lexicon)
        fail_msg("%s", e.text);
}

void band_end(struct band *b)
{
    arena_free(&b->memory);
    *b = (struct band){0};
}

struct understood band_hear(struct band *b, const char *text)
{
    struct err e;
    struct timed t;
    struct understood u;
    const struct timed_text file = {text, strlen(text), "talk", NULL};
    if (!timed_read(&b->memory, &file, &t, &e))
        fail_msg("%s", e.text);
    talk_understand(&b->memory, b->lexicon, &t, &(struct talk_clock){.rate = 1}, &u);
    return u;
}
