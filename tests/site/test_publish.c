/* `boxcall publish` as a person runs it: what the folder holds, what stays when it is done again, what
 * is refused, and what an interruption leaves. The browsers' part is tested in tests/web. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/buf.h"
#include "lib/cases.h"
#include "lib/files.h"
#include "lib/run.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static const char roster[] = "performer,name,section\n"
                             "T1,Ada Fenwright,trumpets\nT2,Bo Larkin-Reed,trumpets\n"
                             "U1,Cy Moss,tubas\n";
static const char marks[] =
    "clip,time,target,fault,severity,cause,praise,note,author\n"
    "monday,2,T1,horn angle,2,execute,,ask Ada Fenwright and reed about it,I. Marrow\n"
    "monday,4,T2,horn angle,1,execute,,,I. Marrow\n"
    "monday,5.04,U1,late arrival,3,execute,,\"too late, <b>all</b> of it\",I. Marrow\n"
    "tuesday,3,trumpets,horn angle,1,execute,,,I. Marrow\n"
    "tuesday,6,brass,cover,1,define,,,I. Marrow\n";

static const char *dir, *web; /* a copy of the show and its clips, and where it is published */

static void must(struct run r)
{
    assert_exit(r, 0);
}

/* Made once: the show, and two clips of eight seconds. */
static const char *template_folder(void)
{
    static const char *made;
    if (made)
        return made;
    made = temp_dir();
    const char *show = path_in(made, "s.show");
    for (int i = 0; i < 2; i++)
        must(run("sh", "-c",
                 arena_printf(test_arena(),
                              "ffmpeg -nostdin -v error -f lavfi -i testsrc2=s=320x180:r=25 -t 8 "
                              "-c:v libx264 -preset ultrafast -g 25 -pix_fmt yuv420p -metadata "
                              "comment=%d %s",
                              i, path_in(made, i ? "tuesday.mp4" : "monday.mp4")),
                 NULL));
    must(run("boxcall", "new", show, "--title", "Larkspur", NULL));
    must(run_in(roster, "boxcall", "add", show, "roster", "-", NULL));
    must(run("boxcall", "add", show, "clip", path_in(made, "monday.mp4"), "--date", "2026-11-23",
             NULL));
    must(run("boxcall", "add", show, "clip", path_in(made, "tuesday.mp4"), "--date", "2026-11-24",
             NULL));
    must(run_in(marks, "boxcall", "add", show, "marks", "-", NULL));
    return made;
}

static int fresh(void **state)
{
    (void)state;
    dir = temp_dir();
    web = path_in(dir, "web");
    must(run("cp", "-a", arena_printf(test_arena(), "%s/.", template_folder()), dir, NULL));
    return 0;
}

static struct run publish(const char *more, const char *value)
{
    return run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "web", more,
                    more ? value : NULL, NULL);
}

static struct run boxcall(const char *verb, const char *a, const char *b, const char *c)
{
    return run_with(&(struct run_setup){.dir = dir}, "boxcall", verb, "s.show", a, b, c, NULL);
}

static const char *page(const char *name)
{
    return read_file(path_in(web, name), NULL);
}

static bool there(const char *name)
{
    return access(path_in(web, name), F_OK) == 0;
}

static ino_t node(const char *name)
{
    struct stat st;
    assert_int_equal(stat(path_in(web, name), &st), 0);
    return st.st_ino;
}

/* Names of all files below the folder that contain a text in their bytes. */
static const char *holding(const char *text)
{
    return run("grep", "-rlF", text, web, NULL).out;
}

static size_t times(const char *text, const char *what)
{
    size_t n = 0;
    for (const char *s = text; (s = strstr(s, what)); s++)
        n++;
    return n;
}

static size_t files_in(const char *name)
{
    return there(name) ? count_entries(path_in(web, name)) : 0;
}

/* --- what is there ---------------------------------------------------------------------------- */

static void each_section_has_its_page_with_its_moments(void **state)
{
    (void)state;
    struct run r = publish(NULL, NULL);
    assert_exit(r, 0);
    const char *trumpets = page("trumpets.html");
    assert_contains(r.out, "/web/index.html\n");
    assert_contains(r.out, "/web/trumpets.html\n");
    /* the beginning of T1's moment, two seconds before 0:02.0, and tuesday's */
    assert_contains(trumpets, "href=\"../monday.mp4#t=0\"");
    assert_contains(trumpets, "href=\"../tuesday.mp4#t=1\"");
    assert_contains(trumpets, "With all brass");
    assert_contains(trumpets, "T1 <bdi>Ada Fenwright</bdi>");
    assert_lacks(trumpets, "U1");
    assert_contains(page("tubas.html"), "too late, &lt;b&gt;all&lt;/b&gt; of it");
    assert_contains(page("index.html"), "<a href=\"tubas.html\">");
    assert_contains(page("index.html"), "The staff decides");
    assert_contains(page("index.html"), "1 for the staff");
    assert_lacks(page("index.html"), "id=\"clips\""); /* which the script moves */
    assert_int_equal(files_in("stills"), 5); /* each moment once, on whatever pages it is */
    assert_true(there("captions/monday.vtt") && there("page.css") && there("page.js"));
}

/* The still of the first moment of the tubas' page is the picture numbered so, from 0, as ffmpeg shows
 * it: far nearer than those a frame before and behind. */
static void still_is(int frame)
{
    const char *tubas = page("tubas.html"), *src = strstr(tubas, "<img src=\"");
    assert_non_null(src);
    src += strlen("<img src=\"");
    const char *name = arena_strndup(test_arena(), src, strcspn(src, "\"")),
               *still = path_in(web, name), *truth = path_in(dir, "truth.png");
    /* ISO/IEC 10918-1: a JPEG begins with FF D8 FF */
    assert_memory_equal(read_file(still, NULL), "\xff\xd8\xff", 3);
    double psnr[3];
    for (int k = 0; k < 3; k++) {
        must(run("sh", "-c",
                 arena_printf(test_arena(),
                              "ffmpeg -nostdin -v error -y -i %s -vf "
                              "'select=eq(n\\,%d)' -frames:v 1 %s",
                              path_in(dir, "monday.mp4"), frame - 1 + k, truth),
                 NULL));
        struct run r =
            run("sh", "-c",
                arena_printf(test_arena(), "compare -metric PSNR %s %s null: 2>&1", still, truth),
                NULL);
        psnr[k] = strtod(r.out, NULL);
    }
    assert_true(psnr[1] > psnr[0] + 3 && psnr[1] > psnr[2] + 3);
}

static void stills_are_pictures_of_their_moment(void **state)
{
    (void)state;
    must(publish("--for", "tubas")); /* 0:05.04 is where a picture begins */
    still_is(126);
}

/* Between two pictures a player goes on showing the first: 25 a second, so the one of 0:05.04 until
 * 0:05.08. A time that lost less than a millisecond to rounding means the picture behind it. */
static void a_still_between_two_pictures_is_the_first(void **state)
{
    (void)state;
    static const char *const times[] = {"5.0395", "5.05", "5.06", "5.078"};
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "undo", "s.show", NULL));
    for (size_t i = 0; i < COUNT(times); i++) {
        must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "mark", "s.show", "monday",
                      times[i], "U1", "horn angle", NULL));
        must(publish("--for", "tubas"));
        still_is(126);
        must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "undo", "s.show", NULL));
    }
}

static void without_clips_there_is_no_link_to_one(void **state)
{
    (void)state;
    must(publish("--clips", "none"));
    assert_lacks(page("trumpets.html"), "<video");
    assert_lacks(page("trumpets.html"), ".mp4");
    assert_contains(page("trumpets.html"), "<a class=\"larger\" href=\"stills/");
    must(publish("--one-file", NULL));
    must(run("rm", path_in(dir, "monday.mp4"), NULL));
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "web",
                  "--one-file", "--clips", "none", NULL));
    assert_contains(page("tubas.html"),
                    "<span class=\"larger\"><img src=\"data:image/jpeg;base64,");
    assert_lacks(page("tubas.html"), "href=\"data:image"); /* no browser goes there */
}

/* What a caption says, of those within the page. */
static const char *captions_of(const char *name)
{
    return run("sh", "-c",
               arena_printf(
                   test_arena(),
                   "grep -o 'data:text/vtt;base64,[^\"]*' %s | cut -d, -f2 | while read l; "
                   "do echo \"$l\" | base64 -d; done",
                   path_in(web, name)),
               NULL)
        .out;
}

static void captions_within_a_page_speak_of_its_people(void **state)
{
    (void)state;
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "mark", "s.show", "tuesday", "4",
                  "T2;U1", "horn angle", "--note", "both of them", NULL));
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "mark", "s.show", "tuesday", "5",
                  "T1;brass", "late arrival", NULL));
    must(publish("--performers", NULL));
    const char *trumpets = captions_of("trumpets.html"), *t2 = captions_of("performer-t2.html");
    assert_contains(trumpets, "\nT2: horn angle\n");
    assert_contains(trumpets, "\ntrumpets: horn angle\n");
    assert_contains(trumpets, "\nbrass: cover\n"); /* which holds for them too */
    /* a mark of two parts of the page, once */
    assert_int_equal(times(trumpets, "T1, brass: late arrival\n"), 1);
    assert_lacks(trumpets, "U1");
    assert_lacks(trumpets, "both of them"); /* it stands beside the picture */
    assert_contains(trumpets, " line:0 position:0% align:start\n");
    assert_contains(t2, "\ntrumpets: horn angle\n");
    assert_lacks(t2, "T1");
    assert_contains(captions_of("brass.html"), "\nT2, U1: horn angle\n");
    /* for players, all of it */
    assert_contains(page("captions/tuesday.vtt"), "T2, U1: horn angle\nboth of them\n");
}

static void copies_lie_in_the_folder_with_chapters(void **state)
{
    (void)state;
    must(publish("--clips", "copy"));
    assert_contains(page("trumpets.html"), "href=\"clips/monday.mp4#t=0\"");
    assert_lacks(holding("../monday.mp4"), "html");
    struct run r =
        run("ffprobe", "-v", "error", "-show_chapters", path_in(web, "clips/monday.mp4"), NULL);
    assert_contains(r.out, "TAG:title=U1: late arrival");
    assert_contains(r.out, "start_time=3.040000");
    assert_contains(r.out, "end_time=2.000000"); /* to where the next one begins */
    assert_contains(r.out, "end_time=3.040000");
}

static void short_clips_lie_in_the_folder(void **state)
{
    (void)state;
    must(publish("--clips", "cut"));
    assert_int_equal(files_in("cuts"), 5);
    assert_contains(page("tubas.html"), "src=\"cuts/");
    assert_lacks(page("tubas.html"), "monday.mp4");
    /* for paper a picture each, and none twice */
    const char *tubas = page("tubas.html");
    assert_int_equal(times(tubas, "<video "), 2);
    assert_int_equal(times(tubas, "<img "), 2);
    assert_int_equal(times(tubas, "<img class=\"still\" src=\"stills/"), 2);
}

/* What can be sent alone refers to nothing beside it. */
static void one_file_is_whole_by_itself(void **state)
{
    (void)state;
    must(publish("--one-file", NULL));
    const char *tubas = page("tubas.html");
    assert_contains(tubas, "src=\"data:video/mp4;base64,");
    assert_contains(tubas, "<img class=\"still\" src=\"data:image/jpeg;base64,");
    assert_contains(tubas, "<style>");
    assert_lacks(tubas, "src=\"stills");
    assert_lacks(tubas, "src=\"cuts");
    assert_lacks(tubas, "page.js\"");
    assert_lacks(tubas, "index.html"); /* which is not sent along */
    assert_contains(tubas, "script-src 'sha256-");
}

/* Sizes in thousands of bytes, as a telephone shows them (SI prefixes, BIPM brochure, section 3). */
static const char *size_of(const char *name)
{
    struct stat st;
    assert_int_equal(stat(path_in(web, name), &st), 0);
    assert_true(st.st_size < 999500);
    return arena_printf(test_arena(), "%s, %ld KB", name, (long)((st.st_size + 500) / 1000));
}

static void which_file_to_send_is_said(void **state)
{
    (void)state;
    struct run r = publish("--one-file", NULL);
    assert_exit(r, 0);
    assert_contains(r.err, arena_printf(test_arena(), "  for tubas: %s\n", size_of("tubas.html")));
    assert_contains(page("index.html"), size_of("tubas.html"));
    assert_contains(page("index.html"), "To send: each page is one file");
    r = publish("--one-file", NULL); /* again, though nothing is written */
    assert_contains(r.err, size_of("trumpets.html"));
    r = publish(NULL, NULL);
    assert_lacks(r.err, "to send");
    assert_lacks(page("index.html"), "To send");
}

static void of_many_files_the_largest_and_all_are_said(void **state)
{
    (void)state;
    struct buf rows = {0};
    buf_str(&rows, "performer,name,section\n");
    for (int i = 1; i <= 14; i++)
        buf_printf(&rows, "T%d,,trumpets\n", i);
    must(run_with(&(struct run_setup){.dir = dir, .in = rows.p}, "boxcall", "add", "s.show",
                  "roster", "-", NULL));
    buf_free(&rows);
    struct run r = run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "web",
                            "--one-file", "--performers", NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "to send, each file by itself: ");
    assert_contains(r.err, "; index.html there says for whom each is\n");
    assert_lacks(r.err, "  for ");
}

static void the_address_on_the_web_is_told(void **state)
{
    (void)state;
    struct run r = publish("--url", "https://band.example/larkspur");
    assert_exit(r, 0);
    assert_contains(r.out, "https://band.example/larkspur/\n");
    assert_contains(r.out, "https://band.example/larkspur/trumpets.html\n");
}

/* --- people ----------------------------------------------------------------------------------- */

static void with_labels_only_no_name_leaves(void **state)
{
    (void)state;
    static const char *const names[] = {"Larkin", "Moss", "Marrow", "Whitlow"};
    must(boxcall("state", "tubas", "late arrival", "repped"));
    must(publish(NULL, NULL));
    assert_contains(holding("Whitlow"), "tubas.html");
    struct run r = publish("--labels-only", NULL);
    assert_exit(r, 0);
    for (size_t i = 0; i < COUNT(names); i++)
        assert_string_equal(holding(names[i]), "");
    /* what a person typed into a note stays, and is pointed out */
    assert_contains(holding("Fenwright"), "trumpets.html");
    assert_contains(r.err, "the note at 0:02.0 of monday has 'Ada', 'Fenwright', 'Reed' in it");
    struct run again = publish("--labels-only", NULL);
    assert_contains(again.err, "'Fenwright'");
    assert_contains(again.err, "0 files written");
}

/* A folder that is named after people, one of whom wrote marks. */
static void with_labels_only_no_path_names_anybody(void **state)
{
    (void)state;
    const char *folder = path_in(dir, "Fenwright, Marrow");
    must(run("mkdir", folder, NULL));
    must(run("mv", path_in(dir, "monday.mp4"), folder, NULL));
    must(boxcall("add", "clip", "Fenwright, Marrow/monday.mp4", "--label=monday"));
    must(publish(NULL, NULL));
    assert_contains(page("tubas.html"), "../Fenwright%2C%20Marrow/monday.mp4");
    struct run r = publish("--labels-only", NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "monday: the clip lies in ../Fenwright, Marrow/monday.mp4, which has "
                           "'Fenwright', 'Marrow' in it, so pages without names do not play it");
    assert_lacks(page("tubas.html"), "monday.mp4");
    assert_lacks(page("index.html"), "monday.mp4");
    assert_contains(page("trumpets.html"), "../tuesday.mp4"); /* which names nobody */
    r = run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "web",
                 "--labels-only", "--clips", "copy", NULL);
    assert_exit(r, 0);
    assert_lacks(r.err, "lies in");
    assert_contains(page("tubas.html"), "clips/monday.mp4");
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "web",
                  "--performers", "--yes", NULL));
    assert_contains(page("trumpets.html"),
                    "../Fenwright%2C%20Marrow/monday.mp4"); /* has names anyway */
    assert_lacks(page("performer-t1.html"), "Fenwright%2C");
}

static void a_clips_name_that_is_a_persons_is_pointed_out(void **state)
{
    (void)state;
    must(boxcall("add", "clip", "tuesday.mp4", "--label=Moss solo"));
    assert_contains(publish("--labels-only", NULL).err,
                    "look again: the name of clip Moss solo has 'Moss' in it");
    assert_lacks(
        run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "other", NULL)
            .err,
        "look again");
}

static void a_performers_page_has_labels_alone(void **state)
{
    (void)state;
    must(publish("--performers", NULL));
    assert_contains(page("performer-t1.html"), "horn angle");
    assert_lacks(page("performer-t1.html"), "<bdi>Ada Fenwright</bdi>");
    assert_lacks(page("performer-t1.html"), "T2");
    assert_contains(page("index.html"), "performer-t1.html");
}

/* --- again ------------------------------------------------------------------------------------ */

static void a_new_mark_changes_only_the_pages_it_is_on(void **state)
{
    (void)state;
    must(publish(NULL, NULL));
    const ino_t tubas = node("tubas.html"), trumpets = node("trumpets.html");
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "mark", "s.show", "monday", "7", "U1",
                  "horn angle", NULL));
    must(publish(NULL, NULL));
    assert_true(node("trumpets.html") == trumpets);
    assert_true(node("tubas.html") != tubas);
    assert_int_equal(files_in("stills"), 6);
    must(run_with(&(struct run_setup){.dir = dir}, "boxcall", "undo", "s.show", NULL));
    struct run r = publish(NULL, NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "1 of an earlier publishing taken away");
    assert_int_equal(files_in("stills"), 5);
}

static struct run publish_part(const char *whom, const char *more)
{
    return run_with(&(struct run_setup){.dir = dir}, "boxcall", "publish", "s.show", "web", "--for",
                    whom, more, NULL);
}

/* A part is published into the folder of all: the others' pages stay until somebody says yes. */
static void no_page_goes_unasked(void **state)
{
    (void)state;
    must(publish(NULL, NULL));
    const ino_t index = node("index.html");
    struct run r = publish_part("tubas", NULL);
    assert_exit(r, 3);
    assert_contains(r.err, "web: ensemble.html, winds.html, brass.html");
    assert_contains(r.err, "trumpets.html");
    assert_contains(r.err, "would be taken away; ");
    assert_contains(r.err, "--yes");
    assert_lacks(r.err, "tubas.html");
    assert_string_equal(r.out, "");
    assert_true(there("trumpets.html") && there("brass.html"));
    assert_true(node("index.html") == index); /* nothing was made before it was asked */
    assert_contains(page("index.html"), "trumpets.html");
    assert_contains(publish(NULL, NULL).err, "0 files written");
}

/* At a terminal it is a question; script(1) is one that types the answer. */
static void at_a_terminal_it_is_asked(void **state)
{
    (void)state;
    static const struct {
        const char *answer;
        bool goes;
    } rows[] = {{"n", false}, {"y", true}};
    must(publish(NULL, NULL));
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct run r =
            run("sh", "-c",
                arena_printf(
                    test_arena(),
                    "cd %s && echo %s | script -qec '%s publish s.show web --for tubas' /dev/null",
                    dir, rows[i].answer, getenv("BOXCALL")),
                NULL);
        assert_exit(r, rows[i].goes ? 0 : 3);
        assert_contains(r.out, "low-brass.html would be taken away; go on? [y/N] ");
        assert_true(there("trumpets.html") == !rows[i].goes);
    }
}

static void what_went_is_said_and_the_index_is_in_step(void **state)
{
    (void)state;
    must(publish(NULL, NULL));
    struct run r = publish_part("tubas", "--yes");
    assert_exit(r, 0);
    assert_contains(r.err, "taken away: ensemble.html, winds.html, brass.html");
    assert_false(there("trumpets.html"));
    assert_lacks(page("index.html"), "trumpets.html");
    r = publish_part("tubas", NULL); /* nothing goes: nothing is asked */
    assert_exit(r, 0);
    assert_lacks(r.err, "taken away");
    assert_contains(r.err, "0 files written");
}

/* Leaving --performers out is no less a part. */
static void performers_pages_do_not_go_unasked(void **state)
{
    (void)state;
    must(publish("--performers", NULL));
    struct run r = publish(NULL, NULL);
    assert_exit(r, 3);
    assert_contains(r.err,
                    "performer-t1.html, performer-t2.html, performer-u1.html would be taken");
    assert_true(there("performer-t1.html"));
    r = publish("--yes", NULL);
    assert_exit(r, 0);
    assert_false(there("performer-t1.html"));
    assert_contains(r.err, "taken away: performer-t1.html");
}

static void what_others_put_there_stays(void **state)
{
    (void)state;
    must(publish(NULL, NULL));
    write_file(web, "notes.txt", "mine");
    write_file(web, "stills/own.jpg", "mine too");
    struct run r = publish_part("tubas", "--yes");
    assert_exit(r, 0);
    assert_false(there("trumpets.html"));
    assert_file_is(path_in(web, "notes.txt"), "mine");
    assert_file_is(path_in(web, "stills/own.jpg"), "mine too");
}

static void another_way_of_publishing_is_not_taken_for_the_same(void **state)
{
    (void)state;
    must(publish(NULL, NULL));
    must(publish("--clips", "none"));
    assert_lacks(page("trumpets.html"), ".mp4");
    must(publish(NULL, NULL));
    assert_contains(page("trumpets.html"), "monday.mp4");
}

/* Which file was lost does not matter: it is made again. */
static void what_was_lost_is_made_again(void **state)
{
    (void)state;
    static const char *const lost[] = {"tubas.html", "page.js", "captions/monday.vtt", "stills",
                                       ".boxcall-made"};
    must(publish(NULL, NULL));
    for (size_t i = 0; i + 1 < COUNT(lost); i++) {
        must(run("rm", "-r", path_in(web, lost[i]), NULL));
        must(publish(NULL, NULL));
        assert_true(there(lost[i]));
    }
    assert_int_equal(files_in("stills"), 5);
}

/* --- what is refused -------------------------------------------------------------------------- */

static const struct refusal {
    const char *name, *more, *value;
    int status;
    const char *says;
} refusals[] = {
    {"an unknown section is refused with a near one", "--for", "trumpts", 3,
     "did you mean 'trumpets'?"},
    {"an unknown performer is refused as one", "--for", "T77", 3, "no section or performer 'T77'"},
    {"an unknown way with clips", "--clips", "all", 2, "copy, link, cut or none"},
    {"an address that is none", "--url", "band.example", 2, "https://"},
    {"a date that is none", "--since", "yesterday", 3, "since"},
    {"an unknown clip", "--clip", "mondy", 3, "monday"},
    {"a date behind all clips", "--since", "2027-01-01", 3,
     "no clip since 2027-01-01; the newest is of 2026-11-24"},
};

static void is_refused(void **state)
{
    const struct refusal *r = *state;
    struct run got = publish(r->more, r->value);
    assert_exit(got, r->status);
    assert_contains(got.err, r->says);
    assert_string_equal(got.out, "");
    assert_false(there("index.html"));
}

/* It may hang where everybody sees it by now. */
static void names_do_not_come_back_unasked(void **state)
{
    (void)state;
    must(publish("--labels-only", NULL));
    struct run r = publish(NULL, NULL);
    assert_exit(r, 3);
    assert_contains(r.err, "web: was published without names, and would have names of people now; "
                           "say --labels-only again, or --yes");
    assert_string_equal(holding("Cy Moss"), "");
    must(publish("--yes", NULL));
    must(publish(NULL, NULL)); /* it has names now */
}

static void a_section_with_marks_has_a_page_without_a_roster(void **state)
{
    (void)state;
    must(run_with(
        &(struct run_setup){.dir = dir, .in = "clip,time,target,fault\nmonday,1,clarinets,cover\n"},
        "boxcall", "add", "s.show", "marks", "-", NULL));
    must(publish(NULL, NULL));
    assert_contains(page("clarinets.html"), "cover");
    assert_false(there("flutes.html")); /* nobody, and no mark */
}

/* A code on paper leads there, whatever else is published, in whichever order. */
static void a_page_in_another_script_keeps_its_name(void **state)
{
    (void)state;
    must(run_with(
        &(struct run_setup){.dir = dir, .in = "section,parent\nТрубы,brass\nクラリネット,brass\n"},
        "boxcall", "add", "s.show", "sections", "-", NULL));
    must(run_with(&(struct run_setup){.dir = dir,
                                      .in = "clip,time,target,fault\nmonday,1,Трубы,cover\n"
                                            "monday,1.5,クラリネット,cover\n"},
                  "boxcall", "add", "s.show", "marks", "-", NULL));
    const char *all = publish(NULL, NULL).out, *at = strstr(all, "/page-");
    assert_non_null(at);
    for (int i = 0; i < 2; i++) { /* by itself each is called as among all */
        const char *one =
            boxcall("publish", i ? "one" : "two", i ? "--for=Трубы" : "--for=クラリネット", NULL)
                .out;
        const char *name = strstr(one, "/page-");
        assert_non_null(name);
        assert_contains(all, arena_printf(test_arena(), "%.*s", (int)strcspn(name, "\n"), name));
    }
}

static void captions_speak_of_what_is_published(void **state)
{
    (void)state;
    must(publish("--for", "tubas"));
    const char *vtt = page("captions/monday.vtt");
    assert_contains(vtt, "late arrival");
    assert_lacks(vtt, "T1");
    assert_lacks(vtt, "Fenwright");
    assert_false(there("captions/tuesday.vtt") && strstr(page("captions/tuesday.vtt"), "trumpets"));
    must(boxcall("publish", "none", "--clips=none", NULL));
    assert_int_not_equal(access(path_in(dir, "none/captions/monday.vtt"), F_OK), 0);
}

static void another_file_in_a_clips_place_is_not_taken_for_it(void **state)
{
    (void)state;
    must(run("sh", "-c", "(cat \"$1\"/tuesday.mp4; echo) >\"$1\"/monday.mp4", "sh", dir, NULL));
    struct run r = publish(NULL, NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "monday.mp4: not the file that was added as clip monday (");
    assert_contains(r.err, "boxcall add SHOW clip FILE --label monday");
    assert_lacks(page("tubas.html"), "monday.mp4");
    assert_int_equal(files_in("stills"), 2); /* of tuesday */
}

static void a_page_of_somebody_elses_is_not_written_over(void **state)
{
    (void)state;
    write_file(web, "index.html", "my page");
    struct run r = publish(NULL, NULL);
    assert_exit(r, 3);
    assert_contains(r.err, "index.html: was not made here");
    assert_file_is(path_in(web, "index.html"), "my page");
    assert_int_equal(count_entries(web), 1); /* it is looked at first */
}

static void a_file_in_place_of_the_folder_is_refused(void **state)
{
    (void)state;
    write_file(dir, "web", "a file");
    struct run r = publish(NULL, NULL);
    assert_exit(r, 3);
    assert_contains(r.err, "is a file; name a folder");
    assert_file_is(web, "a file");
}

/* --- meanwhile -------------------------------------------------------------------------------- */

static void a_clip_that_is_gone_is_said_and_the_rest_is_made(void **state)
{
    (void)state;
    must(run("rm", path_in(dir, "monday.mp4"), NULL));
    struct run r = publish(NULL, NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "monday: the clip is not where it was");
    assert_contains(page("tubas.html"), "late arrival");
    assert_lacks(page("tubas.html"), "monday.mp4");
    assert_int_equal(files_in("stills"), 2); /* of tuesday */
}

static void a_clip_that_went_is_no_longer_played(void **state)
{
    (void)state;
    must(publish(NULL, NULL));
    assert_contains(page("tubas.html"), "../monday.mp4");
    must(run("rm", path_in(dir, "monday.mp4"), NULL));
    must(publish(NULL, NULL));
    assert_lacks(page("tubas.html"), "monday.mp4");
}

/* What was made while it was there is as good as before. */
static void what_was_made_of_a_clip_stays_when_it_is_gone(void **state)
{
    (void)state;
    static const char *const ways[] = {"cut", "copy"};
    for (size_t i = 0; i < COUNT(ways); i++) {
        must(publish("--clips", ways[i]));
        const char *before = page("tubas.html");
        assert_int_equal(rename(path_in(dir, "monday.mp4"), path_in(dir, "elsewhere")), 0);
        struct run r = publish("--clips", ways[i]);
        assert_exit(r, 0);
        assert_contains(r.err, "add SHOW clip FILE --label monday");
        assert_string_equal(page("tubas.html"), before);
        assert_int_equal(files_in("stills"), 5);
        assert_int_equal(rename(path_in(dir, "elsewhere"), path_in(dir, "monday.mp4")), 0);
    }
}

static void a_clip_that_is_no_clip_is_said_and_the_rest_is_made(void **state)
{
    (void)state;
    write_file(dir, "monday.mp4", "not a clip");
    struct run r = publish(NULL, NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "monday.mp4: ");
    assert_int_equal(files_in("stills"), 2);
    assert_contains(publish(NULL, NULL).err, "monday.mp4: "); /* and again */
}

static bool has_pictures(void)
{
    return files_in("stills") > 0;
}

/* Many moments, so that there is something to interrupt. */
static void many_marks(void)
{
    struct buf rows = {0};
    buf_str(&rows, "clip,time,target,fault\n");
    for (int i = 0; i < 180; i++)
        buf_printf(&rows, "monday,%.2f,U1,horn angle\n", i * 0.04);
    must(run_with(&(struct run_setup){.dir = dir, .in = rows.p}, "boxcall", "add", "s.show",
                  "marks", "-", NULL));
    buf_free(&rows);
}

static const struct end {
    const char *name;
    int signal;
} ends[] = {{"interrupted it stops, says so and leaves nothing half made", SIGINT},
            {"killed it leaves nothing half made", SIGKILL}};

static void no_half_is_left(void)
{
    const char *odd =
        run("find", web, "-name", ".boxcall-*", "!", "-name", ".boxcall-made", NULL).out;
    assert_string_equal(odd, "");
}

static void ended_by(void **state)
{
    const struct end *end = *state;
    many_marks();
    const pid_t child = fork();
    if (child == 0) {
        if (chdir(dir) != 0 || !freopen("said", "w", stderr) || !freopen("/dev/null", "w", stdout))
            _exit(99);
        execl(getenv("BOXCALL"), "boxcall", "publish", "s.show", "web", (char *)NULL);
        _exit(98);
    }
    int status = 0;
    while (!has_pictures() && waitpid(child, &status, WNOHANG) == 0)
        usleep(1000);
    kill(child, end->signal);
    assert_int_equal(waitpid(child, &status, 0), child);
    if (end->signal == SIGINT) {
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 1);
        assert_contains(read_file(path_in(dir, "said"), NULL), "stopped; what is there is whole");
        no_half_is_left();
    }
    assert_false(there("index.html"));      /* pages come when all they show is there */
    const size_t made = files_in("stills"); /* one more when killed while it writes */
    assert_true(made > 0 && made < 186);
    write_file(dir, "web/stills/.boxcall-0123456789abcdef", "half"); /* of one that was killed */
    write_file(dir, "web/stills/.boxcall-0123456789abcdeg", "somebody's");
    must(publish(NULL, NULL));
    assert_int_equal(files_in("stills"), 186);
    assert_false(there("stills/.boxcall-0123456789abcdef"));
    assert_true(there("stills/.boxcall-0123456789abcdeg"));
    assert_contains(publish(NULL, NULL).err, "0 files written");
}

static void on_a_full_disk_it_says_so_and_leaves_no_half(void **state)
{
    (void)state;
    struct run r = run_with(&(struct run_setup){.dir = dir, .file_limit = 4096}, "boxcall",
                            "publish", "s.show", "web", NULL);
    assert_exit(r, 1);
    assert_contains(r.err, "cannot write it");
    no_half_is_left();
    must(publish(NULL, NULL));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, refusals, is_refused);
    cases_of(&all, ends, ended_by);
    case_test(&all, each_section_has_its_page_with_its_moments);
    case_test(&all, stills_are_pictures_of_their_moment);
    case_test(&all, a_still_between_two_pictures_is_the_first);
    case_test(&all, without_clips_there_is_no_link_to_one);
    case_test(&all, captions_within_a_page_speak_of_its_people);
    case_test(&all, copies_lie_in_the_folder_with_chapters);
    case_test(&all, short_clips_lie_in_the_folder);
    case_test(&all, one_file_is_whole_by_itself);
    case_test(&all, which_file_to_send_is_said);
    case_test(&all, of_many_files_the_largest_and_all_are_said);
    case_test(&all, the_address_on_the_web_is_told);
    case_test(&all, with_labels_only_no_name_leaves);
    case_test(&all, with_labels_only_no_path_names_anybody);
    case_test(&all, a_clips_name_that_is_a_persons_is_pointed_out);
    case_test(&all, a_performers_page_has_labels_alone);
    case_test(&all, a_new_mark_changes_only_the_pages_it_is_on);
    case_test(&all, no_page_goes_unasked);
    case_test(&all, names_do_not_come_back_unasked);
    case_test(&all, a_section_with_marks_has_a_page_without_a_roster);
    case_test(&all, a_page_in_another_script_keeps_its_name);
    case_test(&all, captions_speak_of_what_is_published);
    case_test(&all, another_file_in_a_clips_place_is_not_taken_for_it);
    case_test(&all, at_a_terminal_it_is_asked);
    case_test(&all, what_went_is_said_and_the_index_is_in_step);
    case_test(&all, performers_pages_do_not_go_unasked);
    case_test(&all, what_others_put_there_stays);
    case_test(&all, another_way_of_publishing_is_not_taken_for_the_same);
    case_test(&all, what_was_lost_is_made_again);
    case_test(&all, a_page_of_somebody_elses_is_not_written_over);
    case_test(&all, a_file_in_place_of_the_folder_is_refused);
    case_test(&all, a_clip_that_is_gone_is_said_and_the_rest_is_made);
    case_test(&all, a_clip_that_went_is_no_longer_played);
    case_test(&all, what_was_made_of_a_clip_stays_when_it_is_gone);
    case_test(&all, a_clip_that_is_no_clip_is_said_and_the_rest_is_made);
    case_test(&all, on_a_full_disk_it_says_so_and_leaves_no_half);
    for (size_t i = 0; i < all.n; i++)
        all.at[i].setup_func = fresh;
    return cases_run(&all, "publish");
}
