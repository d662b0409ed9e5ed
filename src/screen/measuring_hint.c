/* The last row while somebody measures. */
#include "command/measuring.h"
#include "screen/draw.h"

const char *measuring_hint(const struct desk *d)
{
    const struct measuring *m = measuring_open(d);
    return m->naming ? " type its yard line, then its row   / writes it in words   Esc not this one"
           : m->whom ? " Space or a click says who stands there   arrows move   Esc goes back"
           : m->pointing
               ? " a click or Space points, a digit names   arrows move   p measures   Esc leaves"
               : " Space or a click points   arrows move   Enter marks   Esc leaves";
}
