/* The band of these tests. */
#ifndef MARK_BAND_H
#define MARK_BAND_H

#include "show/show_of.h"

static inline struct show band(struct arena *a)
{
    return show_of(a,
                   "section,parent,key,words\n"
                   "ensemble,,e,everyone\n"
                   "brass,ensemble,b,\n"
                   "trumpets,brass,t,trumpet\n"
                   "mellophones,brass,m,\n"
                   "drums,ensemble,du,\n"
                   "drum major,ensemble,dm,\n",
                   "performer,section\n"
                   "T1,trumpets\nT2,trumpets\nT3,trumpets\nT5,trumpets\nT12,trumpets\n"
                   "T13,trumpets\nM2,mellophones\nM3,mellophones\nsolo,trumpets\n",
                   "fault,family,key\n"
                   "horn angle,horns,h\n"
                   "slouch,posture,ks\n"
                   "head down,posture,kh\n"
                   "late,timing,l\n",
                   NULL);
}

/* The same with faults 'h' and 'ho', sections 't' and 'tr': keys that are not complete when typed.
 */
static inline struct show muddled_band(struct arena *a)
{
    return show_of(a,
                   "section,parent,key\nensemble,,e\ntrumpets,ensemble,t\ntrombones,ensemble,tr\n",
                   "performer,section\nT1,trumpets\nB1,trombones\n",
                   "fault,key\nhorn angle,h\nhorns up late,ho\nrushing,r\n", NULL);
}

#endif
