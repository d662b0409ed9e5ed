/* What corrections propose to learn, and which words are taken up. The band and its tables are ours and
 * small, so that each word's meaning stands here. */
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "lib/cases.h"
#include "talk/teach.h"

static const char sections[] = "section,parent,key,words\nensemble,,e,everybody\n"
                               "trumpets,ensemble,t,\ntubas,ensemble,u,sousas\n"
                               "flutes,ensemble,f,\n",
                  faults[] = "fault,key,words\nhorn angle,h,\ndress,d,sloppy lines\n"
                             "late,l,behind the beat\nwilt,w,file rank\nbend,b,wander\n",
                  words[] =
                      "words,means,of,leans\n"
                      "nice;crisp,good,,\nugly;messy,bad,,\nnot;isn't,not,,\n"
                      "the;that;those;my;of,join,,\nyour,you,,\nyour,join,,\nyou,you,,\n"
                      "and,and,,\nokay;hey,turn,,\nreally;so,strong,,\ntwo;three,number,2,\n"
                      "is;are;it's;there;at;again,english,,\nline;hit,english,,\n"
                      "bell;bells,idea,horn,\nrank;line;file,idea,rank,\nwander,idea,bend,bad\n"
                      "hit,idea,time,\nlow,idea,low,bad\n",
                  signs[] = "fault,signs\nhorn angle,horn + low\ndress,rank + bend\nlate,time\n",
                  said[] = "said,fault,praise\nthe picket fence is bent,dress,\n"
                           "that picket fence again,dress,\nlook at the picket fence there,dress,\n"
                           "gate gate gate,late,\nmy coffee is cold,-,\ngate is open,-,\n"
                           "shut that gate,-,\nanother gate there,late,\n"
                           "bells,horn angle,\nlow bells,horn angle,\nbells there,horn angle,\n"
                           "low bells again,horn angle,\nbells low,horn angle,\nhit,late,\n"
                           "hit again,late,\nhit there,late,\n";

static struct arena mem;
static struct show show;
static const struct lexicon *lexicon;

static struct table_text text_of(const char *bytes)
{
    return (struct table_text){.bytes = bytes, .n = strlen(bytes), .source = "t"};
}

static void begin(void)
{
    struct err e;
    struct section_list s;
    struct fault_list f;
    struct performer_list p = {0};
    const struct table_text st = text_of(sections), ft = text_of(faults), example = text_of(said),
                            rt = text_of("performer,name,section\nT1,Ida Moss,trumpets\n");
    if (!sections_read(&mem, &st, &s, &e) || !faults_read(&mem, &ft, &f, &e))
        fail_msg("%s", e.text);
    show = (struct show){.sections = s.at, .n_sections = s.n, .faults = f.at, .n_faults = f.n};
    show_link(&show);
    if (!roster_read(&mem, &show, &rt, &p, &e))
        fail_msg("%s", e.text);
    show.performers = p.at;
    show.n_performers = p.n;
    lexicon =
        lexicon_new(&mem, &show,
                    &(struct lexicon_tables){text_of(words), text_of(signs), &example, 1, {0}}, &e);
    if (!lexicon)
        fail_msg("%s", e.text);
}

/* --- proposed ----------------------------------------------------------------------------------- */

/* "tubas: late" */
struct meant {
    struct draft_target who[2];
    size_t n;
    int fault;
};

static struct meant meant(const char *text)
{
    struct meant m = {.fault = -1};
    char who[40] = "", what[40] = "";
    sscanf(text, "%39[^:]: %39[^\n]", who, what);
    for (char *at = strtok(who, "+"); at; at = strtok(NULL, "+")) {
        const int performer = show_performer(&show, at);
        m.who[m.n++] = (struct draft_target){performer >= 0 ? show.performers[performer].section
                                                            : show_section(&show, at),
                                             performer};
        assert_true(m.who[m.n - 1].section >= 0);
    }
    if (strcmp(what, "?") != 0)
        m.fault = show_fault(&show, what);
    assert_true(m.fault >= 0 || strcmp(what, "?") == 0);
    return m;
}

struct corrected {
    const char *quote, *heard, *now;
};

/* "late: gimbal x1; tubas: dwellers x2" */
static const char *lessons_of(const struct corrected *at, size_t n)
{
    struct correction c[4];
    struct meant heard[4], now[4];
    struct lessons l;
    struct buf b = {0};
    for (size_t i = 0; i < n; i++) {
        heard[i] = meant(at[i].heard);
        now[i] = meant(at[i].now);
        c[i] = (struct correction){at[i].quote, heard[i].fault, now[i].fault, heard[i].who,
                                   now[i].who,  heard[i].n,     now[i].n};
    }
    teach_lessons(&mem, lexicon, &(struct corrections){c, n}, &l);
    for (size_t i = 0; i < l.n; i++)
        buf_printf(&b, "%s%s: %s x%zu", i ? "; " : "",
                   l.at[i].section ? show.sections[l.at[i].of].name : show.faults[l.at[i].of].name,
                   l.at[i].words, l.at[i].n);
    const char *out = arena_strdup(&mem, buf_text(&b));
    buf_free(&b);
    return out;
}

static const struct one {
    const char *name;
    struct corrected c;
    const char *lessons;
} ones[] = {
    /* a fault */
    {"a new word",
     {"Trumpets, your spigots are low.", "trumpets: late", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"nothing was heard",
     {"Trumpets, your spigots!", "trumpets: ?", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"without its 's",
     {"Tubas, that spigot's ugly.", "tubas: late", "tubas: horn angle"},
     "horn angle: spigot x1"},
    {"two that stand together",
     {"Trumpets, your twisty spigots are low.", "trumpets: late", "trumpets: horn angle"},
     "horn angle: twisty spigots x1"},
    {"two that a comma parts",
     {"Trumpets, your spigots, gimbals.", "trumpets: late", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"what stands behind 'the' before what does not",
     {"Trumpets, wobbling the spigots.", "trumpets: late", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"an adverb comes last",
     {"Trumpets, it's wobblingly spigots.", "trumpets: ?", "trumpets: horn angle"},
     "horn angle: wobblingly spigots x1"},
    {"and alone only where nothing else is",
     {"Trumpets, your wobblingly ugly spigots.", "trumpets: ?", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"a number and a short word are none",
     {"Trumpets, 12 xy of 3 two.", "trumpets: late", "trumpets: horn angle"},
     ""},
    {"somebody's name is none",
     {"Trumpets, Ida and that Wendell are low.", "trumpets: late", "trumpets: horn angle"},
     ""},
    {"known words that spoke for the wrong one",
     {"Trumpets, look at the picket fence.", "trumpets: dress", "trumpets: horn angle"},
     "horn angle: picket fence x1"},
    {"ideas that spoke for the wrong one",
     {"Trumpets, rank wanders.", "trumpets: dress", "trumpets: horn angle"},
     "horn angle: rank wanders x1"},
    {"words that spoke for neither are none",
     {"Trumpets, look at the picket fence.", "trumpets: late", "trumpets: horn angle"},
     ""},
    {"a common word alone is none",
     {"Trumpets, hit.", "trumpets: late", "trumpets: horn angle"},
     ""},
    {"words that join, praise and blame are none",
     {"Okay, nice and crisp, isn't that ugly, trumpets.", "trumpets: late", "trumpets: dress"},
     ""},
    {"what names the right one is none",
     {"Trumpets, sloppy lines.", "trumpets: late", "trumpets: dress"},
     ""},
    {"what names another is none",
     {"Trumpets, behind the beat.", "trumpets: late", "trumpets: dress"},
     ""},
    {"a section's word is none", {"Sousas, sousas.", "tubas: late", "tubas: dress"}, ""},
    {"a word of few examples, where no fault was heard",
     {"Trumpets, that picket fence.", "trumpets: ?", "trumpets: horn angle"},
     "horn angle: picket fence x1"},
    {"one of many is common", {"Trumpets, that gate.", "trumpets: ?", "trumpets: horn angle"}, ""},
    {"behind 'your', too",
     {"Trumpets, wobbling your spigots.", "trumpets: ?", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"an adverb before it",
     {"Trumpets, wobblingly, spigots.", "trumpets: ?", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    {"two words that are another fault's are taken apart",
     {"Trumpets, file rank.", "trumpets: dress", "trumpets: horn angle"},
     "horn angle: file x1"},
    {"what holds a word of the right one is none",
     {"Trumpets, rank wanders.", "trumpets: dress", "trumpets: bend"},
     "bend: rank x1"},
    {"no fault any more", {"Trumpets, your spigots.", "trumpets: late", "trumpets: ?"}, ""},
    {"no quote", {"", "trumpets: late", "tubas: dress"}, ""},
    {"nothing was corrected", {"Trumpets, your spigots.", "trumpets: late", "trumpets: late"}, ""},
    {"who is called alone is no fault",
     {"Gonkers, your bells are low.", "tubas: late", "tubas: horn angle"},
     ""},
    {"but it is where somebody is called beside",
     {"Spigots, trumpets.", "trumpets: late", "trumpets: horn angle"},
     "horn angle: spigots x1"},
    /* a section */
    {"at the head",
     {"Gonkers, your bells are low.", "ensemble: horn angle", "tubas: horn angle"},
     "tubas: gonkers x1"},
    {"behind what leads to it",
     {"Okay, hey my gonkers are low.", "ensemble: horn angle", "tubas: horn angle"},
     "tubas: gonkers x1"},
    {"behind 'the'",
     {"Bells low at the gonkers again.", "ensemble: horn angle", "tubas: horn angle"},
     "tubas: gonkers x1"},
    {"but not behind 'your'",
     {"Bells low at your gonkers again.", "ensemble: horn angle", "tubas: horn angle"},
     ""},
    {"before a comma",
     {"Nice gonkers, hit.", "ensemble: late", "tubas: late"},
     "tubas: gonkers x1"},
    {"not in the midst", {"Bells low at gonkers again.", "ensemble: late", "tubas: late"}, ""},
    {"not for a performer", {"Gonkers, low.", "ensemble: late", "T1: late"}, ""},
    {"not for two", {"Gonkers, low.", "ensemble: late", "tubas+flutes: late"}, ""},
    {"one that joins those that were heard",
     {"Flutes and gonkers, low.", "flutes: late", "flutes+tubas: late"},
     "tubas: gonkers x1"},
    {"a section less", {"Gonkers, low.", "flutes+tubas: late", "tubas: late"}, ""},
    {"both",
     {"Gonkers, your spigots are low.", "ensemble: late", "tubas: horn angle"},
     "tubas: gonkers x1; horn angle: spigots x1"},
    {"both, and nobody is called",
     {"Bells low at the spigots again.", "ensemble: late", "tubas: horn angle"},
     "horn angle: spigots x1"},
};

static void a_correction_proposes(void **state)
{
    const struct one *x = *state;
    assert_string_equal(lessons_of(&x->c, 1), x->lessons);
}

static const struct several {
    const char *name;
    struct corrected c[4];
    size_t n;
    const char *lessons;
} severals[] = {
    {"what more speak for comes first, forms of a word are one, and each speaks for one lesson",
     {{"Trumpets, that gimbal.", "trumpets: late", "trumpets: dress"},
      {"Trumpets, your twisty spigots.", "trumpets: late", "trumpets: horn angle"},
      {"Tubas, the spigot.", "tubas: late", "tubas: horn angle"},
      {"Tubas, spigot spigot.", "tubas: late", "tubas: horn angle"}},
     4,
     "horn angle: spigots x3; dress: gimbal x1"},
    {"the same word for two faults is two lessons",
     {{"Trumpets, your spigots.", "trumpets: late", "trumpets: dress"},
      {"Tubas, your spigots.", "tubas: late", "tubas: horn angle"}},
     2,
     "dress: spigots x1; horn angle: spigots x1"},
    {"sections fold apart from faults",
     {{"Gonkers, your spigots.", "ensemble: late", "tubas: dress"},
      {"Nice, gonkers.", "ensemble: late", "tubas: late"}},
     2,
     "tubas: gonkers x2; dress: spigots x1"},
};

static void several_propose(void **state)
{
    const struct several *x = *state;
    assert_string_equal(lessons_of(x->c, x->n), x->lessons);
}

static void the_first_quote_stands_for_all(void **state)
{
    (void)state;
    const struct correction c[] = {
        {"Tubas, no word.", 2, 1, NULL, NULL, 0, 0},
        {"Your spigots.", 2, 0, NULL, NULL, 0, 0},
        {"Low, that spigot there.", 2, 0, NULL, NULL, 0, 0},
    };
    struct lessons l;
    teach_lessons(&mem, lexicon, &(struct corrections){c, 3}, &l);
    assert_string_equal(l.at[0].quote, "Your spigots.");
    assert_int_equal(l.at[0].n, 2);
    teach_lessons(&mem, lexicon, &(struct corrections){NULL, 0}, &l);
    assert_int_equal(l.n, 0);
}

/* --- taken up ----------------------------------------------------------------------------------- */

static const struct named called[] = {
    {false, 1, "horn angle", "bell heights"},
    {false, 2, "dress", ""},
    {true, 1, "tubas", "sousas;low end"},
};

static const struct taught {
    const char *name;
    size_t own;
    const char *words, *now, *error;
} taught[] = {
    {"the first", 1, "picket fence", "picket fence", NULL},
    {"one more", 0, "  twisty   spigots ", "bell heights;twisty spigots", NULL},
    {"of a section", 2, "gonkers", "sousas;low end;gonkers", NULL},
    {"none", 0, "", NULL, "there is no word in ''; write what people say"},
    {"signs alone", 0, "?!", NULL, "there is no word in '?!'; write what people say"},
    {"two at once", 0, "a;b", NULL, "'a;b' holds a ';', which parts words; teach each by itself"},
    {"a control character", 0, "be\033ll", NULL,
     "'be?ll' holds a character that is not seen; type it anew"},
    {"nine words", 0, "a b c d e f g h i", NULL,
     "'a b c d e f g h i ...' is too long; at most 8 words and 80 letters can be taught"},
    {"very many letters", 0,
     "bellllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllllll", NULL,
     "'bellllllllllllllllllllllllllllllllllllll ...' is too long; at most 8 words and 80 letters "
     "can be taught"},
    {"its own, in another form", 0, "Bell height", NULL, "'Bell height' means horn angle already"},
    {"its own name", 1, "dressing", NULL, "'dressing' means dress already"},
    {"another fault's", 1, "bell heights", NULL,
     "'bell heights' means horn angle already; one word cannot mean both"},
    {"a section's", 1, "sousa", NULL, "'sousa' means tubas already; one word cannot mean both"},
    {"a section's name", 0, "tuba", NULL, "'tuba' means tubas already; one word cannot mean both"},
};

static void words_are_taken_up_or_refused(void **state)
{
    const struct taught *t = *state;
    struct err e = {0};
    const struct named_list all = {called, sizeof called / sizeof *called};
    const char *now = teach_words(&mem, &all, t->own, t->words, &e);
    if (t->now) {
        assert_non_null(now);
        assert_string_equal(now, t->now);
        return;
    }
    assert_null(now);
    assert_int_equal(e.code, ERR_INPUT);
    assert_string_equal(e.text, t->error);
}

int main(void)
{
    struct cases all = {0};
    begin();
    cases_of(&all, ones, a_correction_proposes);
    cases_of(&all, severals, several_propose);
    case_test(&all, the_first_quote_stands_for_all);
    cases_of(&all, taught, words_are_taken_up_or_refused);
    const int failed = cases_run(&all, "what corrections teach");
    arena_free(&mem);
    return failed;
}
