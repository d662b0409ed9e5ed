/* Measuring on the field in the picture: a hold. A crosshair that arrows or the mouse move; clicks on
 * feet say where somebody stands, how far two are apart, the gaps of a rank, who is off a line, an arc
 * or the form. While the field is not known, or when the person says so, clicks are picks: spots that
 * are named in two or three keys. */
#ifndef COMMAND_MEASURING_H
#define COMMAND_MEASURING_H

#include "command/desk.h"
#include "command/hold.h"
#include "field/measure.h"
#include "field/residual.h"
#include "mark/measure.h"

enum { MEASURING_MOST = 64, MEASURING_ZOOMS = 3 };

enum measuring_as {
    MEASURING_GAPS,
    MEASURING_LINE,
    MEASURING_ARC,
    MEASURING_FORM,
    MEASURING_ANGLE, /* on the picture */
    MEASURING_WAYS
};

struct measuring_click {
    struct pixel at; /* as shown */
    int64_t us;      /* the frame it was made in */
    double sd;       /* how well it points, pixels */
};

struct measuring {
    struct hold hold;
    bool pointing;                               /* clicks are picks */
    void (*whom)(struct desk *d, int performer); /* a click says who, is told so, and ends it */
    int64_t within;                              /* row of the section that it is of; 0: anybody */
    int clip_width, clip_height;                 /* of the picture as shown */
    struct pixel cross;
    double sd; /* how well that was put there */
    int zoom;  /* the picture around it is shown 2^zoom times as large */
    struct measuring_click at[MEASURING_MOST];
    size_t n;
    enum measuring_as as;
    /* a pick that is being named */
    bool naming;
    struct pixel named;
    char keys[8];
    int side;
    bool offered; /* `offer` is what the camera has there */
    double offer_x, offer_y;
    /* what the clicks say, made anew when they change; in `memory` */
    struct arena memory;
    struct buf said; /* lines */
    bool fitted;     /* `fit` is of these clicks, for drawing */
    struct shape_fit fit;
    bool about[MEASURING_MOST]; /* clicks on those whom the measure finds fault with; none: all */
    struct measure whole;       /* of all clicks together, of no kind where each has its own */
    struct measure each[MEASURING_MOST];
    struct measured measured; /* of the clicks, where they share a frame; n 0: not */
    bool stale;               /* they say something else by now */
    int known;                /* how the field was known when they were read */
};

/* NULL while nobody measures. */
const struct measuring *measuring_open(const struct desk *d);
/* A click on the picture, 0..1 from its top left corner; true when it was for this. */
bool measuring_clicked(struct desk *d, double x, double y, double sd_px);
/* What the measure is called: "gaps", "line" ... */
const char *measuring_name(enum measuring_as as);

/* The next click says who stands there: `whom` is told, and it ends. within: the section (a position)
 * that it is of; -1: anybody. */
void measuring_whom(struct desk *d, int within, void (*whom)(struct desk *d, int performer));

#endif
