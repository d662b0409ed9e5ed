#include "clip/order.h"

#include <libavutil/avutil.h>

void order_forget(struct order *o)
{
    o->n = o->shown = 0;
}

void order_feed(struct order *o, int64_t stamp)
{
    o->fed[o->n++ % ORDER_KEPT] = stamp;
}

int64_t order_of(struct order *o, int64_t by, int waiting)
{
    if (by == AV_NOPTS_VALUE) {
        o->shown++;
    } else {
        const size_t oldest = o->n > ORDER_KEPT ? o->n - ORDER_KEPT : 0;
        size_t k = o->n;
        while (k > oldest && o->fed[(k - 1) % ORDER_KEPT] != by)
            k--;
        if (k < oldest + 1 + (size_t)waiting)
            return AV_NOPTS_VALUE;
        o->shown = k - 1 - (size_t)waiting;
    }
    return o->shown < o->n ? o->fed[o->shown % ORDER_KEPT] : AV_NOPTS_VALUE;
}
