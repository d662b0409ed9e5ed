/* What is usual of cameras before anything is seen. */
#include <math.h>

#include "field/inside.h"

static const double unsure = 4;                        /* standard deviations */
static const double least_k1 = 0.001, least_crown = 1; /* what less is, is below a hundredth step */

/* Where press boxes are (common practice, no source); wide enough to be of no weight beside lines. */
struct prior usual_prior(int parameter)
{
    static const struct prior usual[CAMERA_PARAMETERS] = {[CAMERA_Y] = {-1000, 1500},
                                                          [CAMERA_Z] = {480, 400},
                                                          [CAMERA_ROLL] = {0, 0.1},
                                                          [CAMERA_K1] = {0, 0.015},
                                                          [CAMERA_CROWN] = {8, 16}};
    return usual[parameter];
}

bool is_asked_for(int parameter, double value, double variance)
{
    if (parameter == CAMERA_CROWN && value < 0)
        return false;
    return fabs(value) > (parameter == CAMERA_K1 ? least_k1 : least_crown) &&
           fabs(value) > unsure * sqrt(variance);
}
