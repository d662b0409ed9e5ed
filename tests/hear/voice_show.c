#include "voice_show.h"

#include "lib/cases.h"
#include "lib/files.h"

static struct table_text table(const char *path)
{
    size_t n;
    const char *bytes = read_file(path, &n);
    return (struct table_text){.bytes = bytes, .n = n, .source = path};
}

static void read_show(struct show *show)
{
    struct err e;
    struct section_list sections;
    struct performer_list roster;
    struct fault_list faults;
    const struct table_text s = table(SOURCE "/share/sections.csv"),
                            r = table(SOURCE "/demo/band/roster.csv"),
                            f = table(SOURCE "/share/faults.csv");
    bool ok = sections_read(test_arena(), &s, &sections, &e);
    *show = (struct show){.sections = sections.at, .n_sections = sections.n};
    if (ok)
        show_link(show);
    ok = ok && roster_read(test_arena(), show, &r, &roster, &e) &&
         faults_read(test_arena(), &f, &faults, &e);
    if (!ok)
        fail_msg("%s", e.text);
    show->performers = roster.at, show->n_performers = roster.n;
    show->faults = faults.at, show->n_faults = faults.n;
}

const struct show *voice_show(void)
{
    static struct show show;
    if (!show.n_sections)
        read_show(&show);
    return &show;
}
