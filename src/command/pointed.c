#include "command/pointed.h"

#include "command/chord.h"
#include "command/measuring.h"

bool desk_pointed(struct desk *d, double x, double y, double sd_px)
{
    if (!measuring_open(d) && chord_open(d)) {
        chord_point(d);
        if (!measuring_open(d))
            return true; /* it said why not */
    }
    return measuring_clicked(d, x, y, sd_px);
}
