/* A little band whose calls are spoken, and a dictionary that knows some of its words. */
#ifndef TALK_SPOKEN_BAND_H
#define TALK_SPOKEN_BAND_H

#include <string.h>

#include "talk/grammar.h"

enum { BRASS = 1, TRUMPETS, TUBAS, DRUMLINE, GONE };
enum { HORN_ANGLE, HORNS_UP, FEET, OPEN, PATH, RELEVE, OLD };

static struct section band_sections[] = {
    {.name = "ensemble", .words = "everybody;8th notes", .up = -1},
    {.name = "Brass", .words = "", .up = 0},
    {.name = "trumpets", .words = "trumps", .up = BRASS, .say = ""},
    {.name = "tubas",
     .words = "low horns;contras",
     .up = BRASS,
     .say = " contras:  k aa1 n t  r ah0 z ;low: QQ L OW; low: L OWW;low:"},
    {.name = "drumline", .words = "quads", .up = 0, .say = ""},
    {.name = "flags", .words = "", .up = 0, .removed = true},
};
static struct performer band_performers[] = {
    {.label = "T1", .section = TRUMPETS, .number = 1},
    {.label = "T2", .section = TRUMPETS, .number = 2},
    {.label = "T3", .section = TRUMPETS, .number = 3},
    {.label = "T5", .section = TRUMPETS, .number = 5},
    {.label = "T20", .section = TRUMPETS, .number = 20},
    {.label = "T22", .section = TRUMPETS, .number = 22},
    {.label = "U2", .section = TUBAS, .number = 2},
    {.label = "U20", .section = TUBAS, .number = 20},
    {.label = "Una", .section = TUBAS, .number = -1},
    {.label = "T9", .section = TRUMPETS, .number = 9, .removed = true},
};
static struct fault band_faults[] = {
    {.name = "horn angle", .words = "horn-angles;angles", .cause = CAUSE_EXECUTE},
    {.name = "horns up late", .words = "horns up", .cause = CAUSE_EXECUTE},
    {.name = "feet apart at halt", .words = "feet;feet apart;angles", .cause = CAUSE_EXECUTE},
    {.name = "open", .words = "", .cause = CAUSE_DEFINE},
    {.name = "path", .words = "relevé dropped;slouches", .cause = CAUSE_EXECUTE},
    {.name = "releve",
     .words = "",
     .say = "R EH L AH V EY; R EH L AH V IY",
     .cause = CAUSE_EXECUTE},
    {.name = "old", .words = "", .removed = true},
};
static const struct show band_show = {
    .sections = band_sections,
    .performers = band_performers,
    .faults = band_faults,
    .n_sections = sizeof band_sections / sizeof *band_sections,
    .n_performers = sizeof band_performers / sizeof *band_performers,
    .n_faults = sizeof band_faults / sizeof *band_faults,
};

/* Sounds from the CMU dictionary as Debian's pocketsphinx-en-us has it; a few words are left out. */
static const char *const band_dictionary[][3] = {
    {"ensemble", "AA N S AA M B AH L"},
    {"everybody", "EH V R IY B AA D IY"},
    {"notes", "N OW T S"},
    {"brass", "B R AE S"},
    {"trumpet", "T R AH M P AH T"},
    {"trumps", "T R AH M P S"},
    {"tuba", "T UW B AH"},
    {"low", "L OW"},
    {"horn", "HH AO R N"},
    {"horns", "HH AO R N Z"},
    {"drum", "D R AH M"},
    {"line", "L AY N"},
    {"quads", "K W AA D Z"},
    {"angle", "AE NG G AH L"},
    {"angles", "AE NG G AH L Z"},
    {"up", "AH P"},
    {"late", "L EY T"},
    {"feet", "F IY T"},
    {"apart", "AH P AA R T"},
    {"at", "AE T"},
    {"halt", "HH AO L T"},
    {"open", "OW P AH N"},
    {"path", "P AE TH"},
    {"slouch", "S L AW CH"},
    {"dropped", "D R AA P T"},
    {"one", "W AH N", "HH W AH N"},
    {"two", "T UW"},
    {"three", "TH R IY"},
    {"five", "F AY V"},
    {"twenty", "T W EH N T IY", "T W EH N IY"},
    {"and", "AH N D", "AE N D"},
    {"the", "DH AH"},
    {"through", "TH R UW"},
    {"good", "G UH D"},
    {"small", "S M AO L"},
    {"serious", "S IH R IY AH S"},
    {"flags", "F L AE G Z"},
    {"old", "OW L D"},
};

static const char *band_find(void *user, const char *word, size_t nth)
{
    (void)user;
    for (size_t i = 0; i < sizeof band_dictionary / sizeof *band_dictionary; i++)
        if (nth < 2 && strcmp(band_dictionary[i][0], word) == 0)
            return band_dictionary[i][1 + nth];
    return NULL;
}

static inline struct grammar band_grammar(struct arena *a)
{
    const struct sounds dictionary = {band_find, NULL};
    struct grammar g;
    grammar_of(a, &band_show, &dictionary, &g);
    return g;
}

#endif
