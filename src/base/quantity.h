/* Numbers with units as people type them: "60m", "94 °F", "100 steps". */
#ifndef BASE_QUANTITY_H
#define BASE_QUANTITY_H

/* A plain decimal number behind blanks (strtod() would also take "nan", "1e3" and "0x10"), at most
 * 13 characters, of which one may be a point; what stands behind it, without blanks, or NULL when
 * there is none. */
const char *decimal_read(const char *s, double *out);

struct unit {
    const char *name;
    double factor, offset; /* x of it are factor * x + offset of what is asked for */
};

enum quantity {
    QUANTITY_READ,
    QUANTITY_NO_NUMBER,
    QUANTITY_NO_UNIT,    /* *out is the bare number */
    QUANTITY_OTHER_UNIT, /* *out is the bare number */
};

/* Units end with a row without a name; letter case and a degree sign before it are passed over. */
enum quantity quantity_read(const char *s, const struct unit *units, double *out);

#endif
