/* Marks as chapters, read back by FFmpeg itself (its metadata format: "Metadata" of the
 * ffmpeg-formats documentation). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

static struct run add(const struct season *s, const char *what, const char *text)
{
    struct run_setup in = season_in(s, text);
    return box(&in, "add", "a.show", what, "-", NULL);
}

#define LONG                                                                                       \
    "0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 0123456789 "

/* What is marked, and which chapters come of it: the clip's own up to the first, then one for each mark
 * from two seconds before it to the next; none without length. A blank stands behind a title that ends
 * with a '\': FFmpeg 5.1 would take the line's end for a part of it. */
static const char marks[] = "clip,time,target,fault,note,praise\n"
                            "tue,0:05.1234,T1;T2,h,,\n"
                            "tue,0:06,tubas,late,\"a=b;c#d\\e\\\",\n"
                            "tue,0:09,U1,f,\"[CHAPTER]\nSTART=1\r\n;two\",\n"
                            "tue,0:09,U1,late,=cmd()|<script>\u202e\U0001F3BA,yes\n"
                            "tue,0:09.0002,U1,h,#x,\n"
                            "tue,1:00,D1,f," LONG LONG LONG LONG "end,\n"
                            "tue,10:00,brass,style,\\,\n";
static const struct chapter {
    double from, to;
    const char *title;
} chapters[] = {
    {0, 3.123, "tue"},
    {3.123, 4, "T1, T2: horn angle"},
    {4, 7, "tubas: late arrival; a=b;c#d\\e\\ "},
    {7, 7.001, "U1: feet apart at halt; [CHAPTER] START=1  ;two"},
    {7.001, 7.002, "U1: keep late arrival; =cmd()|<script>???\U0001F3BA"},
    {7.002, 58, "U1: horn angle; #x"},
    {58, 598, "D1: feet apart at halt; " LONG LONG LONG LONG "end"},
    {598, 600, "brass: style; \\ "},
};
enum { CHAPTERS = sizeof chapters / sizeof *chapters };

static struct season marked(void)
{
    struct season s = season_new();
    ends(add(&s, "marks", marks), 0);
    struct run r = BOX(&s, "calls", "a.show", "tue", "--as", "chapters");
    assert_quiet(r);
    assert_int_equal(strncmp(r.out, ";FFMETADATA1\n", 13), 0);
    write_file(s.dir, "tue.txt", r.out);
    return s;
}

static void assert_chapters(const struct season *s, const char *input)
{
    struct run r = run_with(&s->setup, "sh", "-c", "ffprobe -v error -show_chapters -of json $1",
                            "-", input, NULL);
    assert_exit(r, 0);
    json_t *list = json_at(json_out(r), "chapters");
    assert_int_equal(json_array_size(list), CHAPTERS);
    for (size_t i = 0; i < CHAPTERS; i++) {
        const json_t *c = json_array_get(list, i);
        assert_string_equal(json_str(json_at(c, "tags"), "title"), chapters[i].title);
        assert_true(fabs(atof(json_str(c, "start_time")) - chapters[i].from) < 1e-9);
        assert_true(fabs(atof(json_str(c, "end_time")) - chapters[i].to) < 1e-9);
    }
}

static void ffprobe_reads_every_chapter_back(void **state)
{
    (void)state;
    if (!have_program("ffprobe"))
        skip();
    struct season s = marked();
    assert_chapters(&s, "-f ffmetadata tue.txt");
}

static const struct container {
    const char *name;
} containers[] = {{"in.mkv"}, {"in.mp4"}};

static void takes_every_chapter_from_ffmpeg(void **state)
{
    const struct container *c = *state;
    if (!have_program("ffmpeg"))
        skip();
    struct season s = marked();
    struct run r =
        run_with(&s.setup, "sh", "-c",
                 "ffmpeg -nostdin -v error -f lavfi -i color=s=16x16:r=1:d=600 -i tue.txt "
                 "-map_chapters 1 -c:v mpeg4 $1 >&2",
                 "-", c->name, NULL);
    assert_exit(r, 0);
    assert_chapters(&s, c->name);
}

static void a_mark_at_the_beginning_needs_no_chapter_before_it(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "mark", "a.show", "tue", "0:01", "T1", "h"), 0);
    assert_string_equal(BOX(&s, "calls", "a.show", "tue", "--as", "chapters").out,
                        ";FFMETADATA1\n\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=600000\n"
                        "title=T1: horn angle\n");
}

static void a_clip_without_marks_is_one_chapter(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_string_equal(BOX(&s, "calls", "a.show", "thu", "--as", "chapters").out,
                        ";FFMETADATA1\n\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=300000\n"
                        "title=thu\n");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, ffprobe_reads_every_chapter_back);
    cases_of(&all, containers, takes_every_chapter_from_ffmpeg);
    case_test(&all, a_mark_at_the_beginning_needs_no_chapter_before_it);
    case_test(&all, a_clip_without_marks_is_one_chapter);
    return cases_run(&all, "chapters");
}
