/* Numbers that must agree to a tolerance; NAN agrees with nothing. */
#ifndef TESTS_COUNT_CLOSE_TO_H
#define TESTS_COUNT_CLOSE_TO_H

#include <math.h>

#define assert_close(got, want, tolerance)                                                         \
    do {                                                                                           \
        const double got_ = (got), want_ = (want);                                                 \
        if (!(fabs(got_ - want_) <= (tolerance)))                                                  \
            fail_msg("%s is %.15g, not %.15g", #got, got_, want_);                                 \
    } while (0)

#endif
