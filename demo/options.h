/* What was asked for on the command line. */
#ifndef DEMO_OPTIONS_H
#define DEMO_OPTIONS_H

#include <stdbool.h>

#include "demo/lines.h"
#include "demo/spoil.h"

struct want {
    const char *out, *truth, *band, *faults, *preset;
    int width, height, fps_num, fps_den;
    int gop, bframes, threads, quality, sets;
    unsigned long seed;
    double seconds, tempo_scale, temperature_c;
    double high_ft, back_ft, aim_ft, across_ft, focal; /* of the camera; focal in picture widths */
    bool bars, silent, varies;
    const char *cameras, *places, *dots; /* files to write; NULL: none */
    double from_s;
    double crown_in, k1, roll_deg, toward_ft, pan_deg, pan_s, zoom, sway_deg, sun_deg;
    double bump_s, bump_deg, bump_in;
    struct paint paint;
    struct spoil spoil;
    bool hevc;
    int turned;
};

/* Fills *w, which begins with the defaults. False with e->code NONE when help was asked for (it is
 * printed), else with a usage error. */
bool options_read(int argc, char **argv, struct want *w, struct err *e);

#endif
