/* Sets from music: shown, then stored. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "lib/term.h"
#include "score/made_midi.h"
#include "score/made_xml.h"
#include "verb/season.h"

enum { PPQ = 480 };

/* A: 16 counts at 132; B: 8 at 144 and 8 at 120; a break of 8 counts in 6/8. */
static struct buf song_bytes(void)
{
    struct smf s = {.format = 1, .tracks = 2, .division = PPQ, .end = 44 * PPQ};
    smf_text(&s, 3, 0, "Larkspur");
    smf_meter(&s, 0, 4, 2);
    smf_tempo(&s, 0, 454545);
    smf_text(&s, 6, 0, "A");
    smf_tempo(&s, 16 * PPQ, 416667);
    smf_text(&s, 6, 16 * PPQ, "B");
    smf_tempo(&s, 24 * PPQ, 500000);
    smf_meter(&s, 32 * PPQ, 6, 3);
    smf_text(&s, 6, 32 * PPQ, "Drum break");
    smf_voice(&s, 1, 0, 0x90, 60, 64);
    smf_voice(&s, 1, 44 * PPQ, 0x80, 60, 0);
    return smf_bytes(&s);
}

static const char table[] = "set,counts,tempo,tempo_end,hold,measures,name\r\n"
                            "A,16,132,,,4,\r\n"
                            "B,8,144,,,2,\r\n"
                            "B+8,8,120,,,2,\r\n"
                            "3,8,80,,,4,Drum break\r\n";
static const char shown[] =
    "Larkspur: 12 measures, 0:20.6, 4 sets:\n"
    "  set      counts  tempo                 bars  from        at    takes  name\n"
    "  A            16  132                      4  1       0:00.0   0:07.3\n"
    "  B             8  144                      2  5       0:07.3   0:03.3\n"
    "  B+8           8  120                      2  7       0:10.6   0:04.0\n"
    "  3             8  80                       4  9       0:14.6   0:06.0  Drum break\n"
    "look again: the tempo changes within B, which becomes 2 sets: B, B+8\n";

static const char *song(const struct season *s, const char *name)
{
    struct buf b = song_bytes();
    const char *path = write_bytes(s->dir, name, b.p, b.n);
    buf_free(&b);
    return path;
}

static struct season season_of_a_song(void)
{
    struct season s = season_empty();
    ends(BOX(&s, "new", "a.show"), 0);
    song(&s, "song.mid");
    return s;
}

static const char *check(const struct season *s)
{
    return BOX(s, "check", "a.show").out;
}

/* --- shown before it is stored ------------------------------------------------------------------ */

static void look_prints_a_table_and_stores_nothing(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    const char *before = check(&s);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.mid", "--look");
    assert_exit(r, 0);
    assert_string_equal(r.out, table);
    assert_string_equal(r.err, shown);
    assert_string_equal(check(&s), before);
    assert_contains(before, " 0 sets");
}

static void a_script_that_does_not_say_yes_stores_nothing(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    const char *before = check(&s);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.mid");
    assert_exit(r, 3);
    assert_string_equal(r.out, "");
    assert_string_equal(
        r.err, arena_printf(test_arena(),
                            "%sboxcall: song.mid: nothing was stored; say --yes to store the 4 "
                            "sets, or --look for a table to edit\n",
                            shown));
    assert_string_equal(check(&s), before);
}

static void a_person_is_asked(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    for (int yes = 0; yes < 2; yes++) {
        struct term_setup in = {.dir = s.dir, .home = s.dir, .cols = 100};
        struct term *t =
            term_start(&in, getenv("BOXCALL"), "add", "a.show", "sets", "song.mid", NULL);
        term_wait_text(t, "store the 4 sets? [y/N]");
        term_wait_text(t, "B+8           8  120");
        term_type(t, yes ? "y\r" : "n\r");
        assert_int_equal(term_wait_exit(t), yes ? 0 : 3);
        term_close(t);
        assert_contains(check(&s), yes ? " 4 sets" : " 0 sets");
    }
}

static void what_was_looked_at_is_what_is_stored_and_undo_takes_it_back(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    const char *before = check(&s);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.mid", "--yes");
    assert_exit(r, 0);
    assert_string_equal(r.out, "");
    assert_string_equal(
        r.err, arena_printf(test_arena(), "%ssets: 4 added, 0 changed, 0 as before\n", shown));
    assert_contains(check(&s), " 4 sets");
    struct run_setup in = season_in(&s, table);
    assert_string_equal(box(&in, "add", "a.show", "sets", "-", NULL).err,
                        "sets: 0 added, 0 changed, 4 as before\n");
    assert_string_equal(BOX(&s, "undo", "a.show").err, "taken back: add sets\n");
    assert_string_equal(check(&s), before);
}

/* Set 3 begins 16 * 60/132 + 8 * 60/144 + 8 * 60/120 = 14.606 s behind A: in the clip at 15.606. */
static void counts_of_a_clip_go_by_the_music(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    season_clip(&s, "tue.avi", 60, 120);
    ends(BOX(&s, "add", "a.show", "clip", "tue.avi"), 0);
    ends(BOX(&s, "add", "a.show", "sets", "song.mid", "--yes"), 0);
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:01", "A"), 0);
    struct run r = BOX(&s, "count", "a.show", "tue", "when", "3");
    assert_exit(r, 0);
    assert_contains(r.out, "0:15.606");
    r = BOX(&s, "count", "a.show", "tue", "when", "B+8", "5");
    assert_contains(r.out, "0:13.606"); /* 4 counts at 120 before it ends */
}

/* --- which file is music ------------------------------------------------------------------------ */

static void music_is_known_by_its_bytes_and_not_by_its_name(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    song(&s, "sets.csv");
    write_file(s.dir, "song.mid", "set,counts\n7,8\n");
    assert_string_equal(BOX(&s, "add", "a.show", "sets", "sets.csv", "--look").out, table);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.mid");
    assert_exit(r, 0);
    assert_string_equal(r.err, "sets: 1 added, 0 changed, 0 as before\n");
    struct buf b = song_bytes();
    struct run_setup in = s.setup;
    in.in = b.p;
    in.in_n = b.n;
    assert_string_equal(box(&in, "add", "a.show", "sets", "-", "--look", NULL).out, table);
    buf_free(&b);
}

static void musicxml_is_read_with_its_repeats(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    struct buf xml = {0};
    buf_str(&xml, XML_OPEN);
    xml_measure(&xml, 1, XML_SOUND("tempo=\"120\"") XML_FORWARD XML_MARK("A"), "");
    xml_measure(&xml, 2, XML_BACK, "");
    xml_measure(&xml, 3, XML_MARK("B"), "");
    buf_str(&xml, XML_CLOSE);
    write_file(s.dir, "song.musicxml", buf_text(&xml));
    buf_free(&xml);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.musicxml", "--look");
    assert_exit(r, 0);
    assert_string_equal(r.out, "set,counts,tempo,tempo_end,hold,measures,name\r\n"
                               "A,8,120,,,2,\r\n2,8,120,,,2,A\r\nB,4,120,,,1,\r\n");
}

/* --- what hangs on the sets that are there -------------------------------------------------------- */

static void a_hold_that_the_show_has_stays(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    struct run_setup in = season_in(&s, "set,counts,tempo,hold\nb,12,100,2.5\n");
    ends(box(&in, "add", "a.show", "sets", "-", NULL), 0);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.mid", "--look");
    assert_contains(r.out, "\r\nB,8,144,,2.5,2,\r\n");
    r = BOX(&s, "add", "a.show", "sets", "song.mid", "--yes");
    assert_contains(r.err, "sets: 3 added, 1 changed, 0 as before\n");
    ends(BOX(&s, "add", "a.show", "sets", "song.mid", "--yes"), 0);
    assert_contains(BOX(&s, "add", "a.show", "sets", "song.mid", "--look").out,
                    "\r\nB,8,144,,2.5,2,\r\n");
}

/* Marks that were placed by the old sets find other places: that is said before anybody agrees. */
static void what_it_does_to_the_sets_that_are_there_is_said_first(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    struct run_setup in = season_in(&s, "set,counts,tempo\n1,16,120\n3,8,120\nB,8,120\n");
    ends(box(&in, "add", "a.show", "sets", "-", NULL), 0);
    static const char says[] =
        "look again: the show has 3 sets already; 2 of these take the place of sets of the same "
        "label (B, 3), 2 are added, and every mark finds its set and count anew\n";
    struct run asked = BOX(&s, "add", "a.show", "sets", "song.mid");
    assert_exit(asked, 3);
    assert_contains(asked.err, says);
    assert_contains(BOX(&s, "add", "a.show", "sets", "song.mid", "--look").err, says);
    static const char left[] = "look again: 1 set of the show is not in this music and stays among "
                               "the others: 1; --replace takes what is not there away\n";
    assert_contains(asked.err, left);
    struct run replace = BOX(&s, "add", "a.show", "sets", "song.mid", "--replace", "--look");
    assert_lacks(replace.err, "look again: the show");
    assert_lacks(replace.err, "stays among");
}

static void replace_says_what_goes_and_keeps_a_copy(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    struct run_setup in = season_in(&s, "set,counts\n91,8\n92,8\n");
    ends(box(&in, "add", "a.show", "sets", "-", NULL), 0);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.mid", "--replace", "--yes");
    assert_exit(r, 0);
    assert_contains(r.err, "taken away: 2 rows of sets; the show as it was is ");
    assert_contains(r.err, "sets: 4 added, 0 changed, 0 as before, 2 removed\n");
    assert_int_equal(access(path_in(s.dir, "a.show.before-sets"), F_OK), 0);
    assert_contains(check(&s), " 4 sets");
}

/* --- trouble ---------------------------------------------------------------------------------------- */

static void a_damaged_file_leaves_the_show_as_it_was(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    ends(BOX(&s, "add", "a.show", "sets", "song.mid", "--yes"), 0);
    const char *before = check(&s);
    struct buf b = song_bytes();
    for (size_t n = 4; n < b.n; n += 17) {
        write_bytes(s.dir, "cut.mid", b.p, n);
        struct run r = BOX(&s, "add", "a.show", "sets", "cut.mid", "--yes", "--replace");
        assert_exit(r, 3);
        assert_string_equal(r.out, "");
        assert_memory_equal(r.err, "boxcall: cut.mid: byte ", 23);
        assert_ptr_equal(strchr(r.err, '\n'), r.err + strlen(r.err) - 1);
    }
    buf_free(&b);
    assert_string_equal(check(&s), before);
}

/* UTF-16 with half of a surrogate pair; the XML library has a voice of its own for that. */
static void broken_letters_are_refused_in_one_line(void **state)
{
    (void)state;
    struct season s = season_of_a_song();
    static const char text[] = "<score-partwise><part>", bad[] = "\x3d\xd8\x3d\xd8\x3d\xd8\x3d\xd8";
    struct buf b = {0};
    buf_add(&b, "\xff\xfe", 2);
    for (const char *c = text; *c; c++)
        buf_add(&b, (const char[]){*c, 0}, 2);
    buf_add(&b, bad, sizeof bad - 1);
    write_bytes(s.dir, "song.xml", b.p, b.n);
    buf_free(&b);
    struct run r = BOX(&s, "add", "a.show", "sets", "song.xml", "--look");
    assert_exit(r, 3);
    assert_memory_equal(r.err, "boxcall: song.xml:1:", 20);
    assert_ptr_equal(strchr(r.err, '\n'), r.err + strlen(r.err) - 1);
}

static const struct refusal {
    const char *name, *words[5], *said;
    int status;
} refusals[] = {
    {"two ways to begin a set",
     {"sets", "song.mid", "--every", "4", "--markers"},
     "add sets: --markers and --every exclude each other; leave one out",
     2},
    {"a beat that is none",
     {"sets", "song.mid", "--beat", "third"},
     "add sets: --beat 'third' is not eighth, quarter, dotted-quarter or half",
     2},
    {"no measures at all",
     {"sets", "song.mid", "--every", "0"},
     "add: --every '0' is not a whole number from 1 to 999",
     2},
    {"a look at a table",
     {"sets", "sets.csv", "--look"},
     "add sets: --look is for music (MIDI or MusicXML) that sets are made from; sets.csv is none",
     2},
    {"a beat of a roster",
     {"roster", "roster.csv", "--beat", "half"},
     "add roster: --beat is for music (MIDI or MusicXML) that sets are made from; roster.csv is "
     "none",
     2},
    {"markers of a clip",
     {"clip", "tue.avi", "--markers"},
     "add clip: --markers is for music that sets are made from",
     2},
    {"eighths that nobody counts",
     {"sets", "fast.mid", "--beat", "eighth"},
     "fast.mid: measure 1: 480 counts a minute, and a set has 20 to 400; choose another beat "
     "(--beat)",
     3},
    {"a spreadsheet",
     {"sets", "sets.xlsx"},
     "sets.xlsx: the archive is cut or damaged (it has no end); export the score again",
     3},
};

static void is_refused_in_a_line(void **state)
{
    static struct season s;
    const struct refusal *r = *state;
    if (!s.dir) {
        s = season_of_a_song();
        struct smf fast = {.division = PPQ, .end = 16 * PPQ};
        smf_tempo(&fast, 0, 250000);
        struct buf b = smf_bytes(&fast);
        write_bytes(s.dir, "fast.mid", b.p, b.n);
        write_file(s.dir, "sets.csv", "set,counts\n7,8\n");
        write_file(s.dir, "roster.csv", "performer,section\nT1,trumpets\n");
        write_bytes(s.dir, "sets.xlsx", "PK\3\4", 4);
        buf_free(&b);
    }
    const char *const *w = r->words;
    struct run got = box(&s.setup, "add", "a.show", w[0], w[1], w[2], w[3], w[4], NULL);
    assert_exit(got, r->status);
    assert_one_line(got, r->said);
    assert_contains(check(&s), " 0 sets");
}

int main(void)
{
    static struct cases all = {0};
    case_test(&all, look_prints_a_table_and_stores_nothing);
    case_test(&all, a_script_that_does_not_say_yes_stores_nothing);
    case_test(&all, a_person_is_asked);
    case_test(&all, what_was_looked_at_is_what_is_stored_and_undo_takes_it_back);
    case_test(&all, counts_of_a_clip_go_by_the_music);
    case_test(&all, music_is_known_by_its_bytes_and_not_by_its_name);
    case_test(&all, musicxml_is_read_with_its_repeats);
    case_test(&all, a_hold_that_the_show_has_stays);
    case_test(&all, what_it_does_to_the_sets_that_are_there_is_said_first);
    case_test(&all, replace_says_what_goes_and_keeps_a_copy);
    case_test(&all, a_damaged_file_leaves_the_show_as_it_was);
    case_test(&all, broken_letters_are_refused_in_one_line);
    cases_of(&all, refusals, is_refused_in_a_line);
    return cases_run(&all, "sets from music");
}
