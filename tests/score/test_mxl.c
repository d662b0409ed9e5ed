/* Compressed MusicXML: the archive, and what somebody may have put into it. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "lib/cases.h"
#include "lib/run.h"
#include "score/made_xml.h"
#include "score/made_zip.h"
#include "score/musicxml.h"

static const char container[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?><container><rootfiles>"
    "<rootfile full-path=\"song.xml\" media-type=\"application/xml\"/>"
    "<rootfile full-path=\"song.pdf\" media-type=\"application/pdf\"/></rootfiles></container>";
static const char song[] =
    XML_OPEN "<measure number=\"1\">" XML_44 XML_MARK("A") XML_NOTE("8") "</measure>" XML_CLOSE;

#define CONTAINER                                                                                  \
    {                                                                                              \
        .name = "META-INF/container.xml", .bytes = container, .n = sizeof container - 1,           \
        .method = 8                                                                                \
    }
#define SONG                                                                                       \
    {                                                                                              \
        .name = "song.xml", .bytes = song, .n = sizeof song - 1, .method = 8                       \
    }

static bool read_score(struct arena *a, const struct buf *b, struct score *out, struct err *e)
{
    return score_read(a, &(struct table_text){buf_text(b), b->n, "song.mxl", NULL}, out, e);
}

/* --- what is read ------------------------------------------------------------------------------ */

static const struct archive {
    const char *name;
    struct zipped files[3];
    size_t n;
    const char *said; /* NULL: it is read */
} archives[] = {
    {"deflated files", {CONTAINER, SONG}, 2, NULL},
    {"stored files",
     {CONTAINER, {.name = "song.xml", .bytes = song, .n = sizeof song - 1}},
     2,
     NULL},
    {"the score before its container", {SONG, CONTAINER}, 2, NULL},
    {"no container",
     {SONG},
     1,
     "song.mxl: the archive has no 'META-INF/container.xml', so it is no score in MusicXML; save a "
     "spreadsheet as CSV, or export the score again"},
    {"no score",
     {CONTAINER},
     1,
     "song.mxl: the archive has no 'song.xml', so it is no score in MusicXML; save a spreadsheet "
     "as "
     "CSV, or export the score again"},
    {"a container that names nothing",
     {{.name = "META-INF/container.xml", .bytes = "<container/>", .n = 12}},
     1,
     "song.mxl: META-INF/container.xml: it names no score; export the score again"},
    {"an encrypted file",
     {CONTAINER, {.name = "song.xml", .bytes = song, .n = sizeof song - 1, .flags = 1}},
     2,
     "song.mxl: the archive is encrypted; export the score without a password"},
    {"another way of packing",
     {CONTAINER, {.name = "song.xml", .bytes = song, .n = sizeof song - 1, .method = 99}},
     2,
     "song.mxl: the archive is packed in a way that MusicXML does not know; export the score "
     "again"},
    {"a wrong checksum",
     {CONTAINER,
      {.name = "song.xml", .bytes = song, .n = sizeof song - 1, .method = 8, .wrong_sum = true}},
     2,
     "song.mxl: the archive is damaged (a checksum is wrong); export the score again"},
    {"more bytes than it says",
     {CONTAINER,
      {.name = "song.xml", .bytes = song, .n = sizeof song - 1, .method = 8, .whole = 100}},
     2,
     "song.mxl: the archive is damaged (a file in it does not unpack); export the score again"},
    {"fewer bytes than it says",
     {CONTAINER,
      {.name = "song.xml", .bytes = song, .n = sizeof song - 1, .method = 8, .whole = 9000}},
     2,
     "song.mxl: the archive is damaged (a file in it does not unpack); export the score again"},
    {"a size beyond any score",
     {CONTAINER,
      {.name = "song.xml", .bytes = song, .n = sizeof song - 1, .method = 8, .whole = 4000000000}},
     2,
     NULL},
};

static void is_read_or_refused_in_a_line(void **row)
{
    const struct archive *r = *row;
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    struct buf b = zip_of(r->files, r->n);
    const bool ok = read_score(&a, &b, &s, &e), beyond = r->files[1].whole > 1000000000;
    if (beyond) {
        assert_false(ok);
        assert_contains(e.text, "song.mxl: the archive would unpack to 4000000000 bytes out of ");
        assert_contains(e.text, "; no score does");
    } else if (r->said) {
        assert_false(ok);
        assert_string_equal(e.text, r->said);
    } else {
        if (!ok)
            fail_msg("%s", e.text);
        assert_string_equal(s.markers[0].text, "A");
    }
    assert_int_equal(ok ? ERR_INPUT : e.code, ERR_INPUT);
    arena_free(&a);
    buf_free(&b);
}

/* 64 MB of blanks pack to a thousandth. */
static void a_bomb_is_not_unpacked(void **unused)
{
    (void)unused;
    enum { SIZE = 64 << 20 };
    char *blanks = xcalloc(SIZE, 1);
    memset(blanks, ' ', SIZE);
    const struct zipped files[] = {CONTAINER,
                                   {.name = "song.xml", .bytes = blanks, .n = SIZE, .method = 8}};
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    struct buf b = zip_of(files, 2);
    assert_true(b.n < SIZE / 900);
    assert_false(read_score(&a, &b, &s, &e));
    assert_contains(e.text, "song.mxl: the archive would unpack to 67108864 bytes out of ");
    arena_free(&a);
    buf_free(&b);
    free(blanks);
}

static void every_beginning_of_an_archive_is_refused_in_a_line(void **unused)
{
    (void)unused;
    const struct zipped files[] = {CONTAINER, SONG};
    struct buf b = zip_of(files, 2);
    for (size_t n = 0; n < b.n; n++) {
        char *cut = xcalloc(n ? n : 1, 1);
        struct arena a = {0};
        struct score s;
        struct err e = {0};
        memcpy(cut, b.p, n);
        assert_false(mxl_read(&a, &(struct table_text){cut, n, "song.mxl", NULL}, &s, &e));
        assert_memory_equal(e.text, "song.mxl: the archive ", 22);
        arena_free(&a);
        free(cut);
    }
    buf_free(&b);
}

/* Checked against zip(1), Info-ZIP 3.0. */
static void an_archive_that_zip_made_is_read(void **unused)
{
    (void)unused;
    if (!have_program("zip"))
        skip();
    const char *dir = temp_dir();
    struct run_setup in = {.dir = dir};
    write_file(dir, "META-INF/container.xml", container);
    write_file(dir, "song.xml", song);
    struct run r =
        run_with(&in, "zip", "-q", "song.mxl", "META-INF/container.xml", "song.xml", NULL);
    assert_exit(r, 0);
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    size_t n;
    const char *bytes = read_file(path_in(dir, "song.mxl"), &n);
    if (!score_read(&a, &(struct table_text){bytes, n, "song.mxl", NULL}, &s, &e))
        fail_msg("%s", e.text);
    assert_int_equal(s.n_measures, 1);
    assert_string_equal(s.markers[0].text, "A");
    arena_free(&a);
}

/* --- what a file is, whatever it is called -------------------------------------------------------- */

static const struct kind {
    const char *name, *bytes;
    enum score_kind kind;
} kinds[] = {
    {"MThd is MIDI", "MThd\1", SCORE_MIDI},
    {"PK 3 4 is an archive", "PK\3\4", SCORE_ZIP},
    {"a declaration is XML", "<?xml version=\"1.0\"?>", SCORE_XML},
    {"a root is XML, behind a byte order mark and blanks", "\xef\xbb\xbf \n<score-partwise>",
     SCORE_XML},
    {"a DOCTYPE is XML", "<!DOCTYPE score-timewise>", SCORE_XML},
    {"a table is none", "set,counts\n1,8\n", SCORE_NONE},
    {"nothing is none", "", SCORE_NONE},
    {"a name of a file is none", "song.mid", SCORE_NONE},
};

static void is_told_by_how_it_begins(void **row)
{
    const struct kind *r = *row;
    assert_int_equal(score_kind(r->bytes, strlen(r->bytes)), r->kind);
}

int main(void)
{
    static struct cases all = {0};
    cases_of(&all, archives, is_read_or_refused_in_a_line);
    case_test(&all, a_bomb_is_not_unpacked);
    case_test(&all, every_beginning_of_an_archive_is_refused_in_a_line);
    case_test(&all, an_archive_that_zip_made_is_read);
    cases_of(&all, kinds, is_told_by_how_it_begins);
    return cases_run(&all, "mxl");
}
