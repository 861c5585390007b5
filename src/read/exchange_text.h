/* read/exchange_text.h - the text exchange form of EN 13508-2, Annex B.
 *
 * From memory of the standard; re-check against it before relying on rare parts.
 *
 *   #A1=... to #A6=...   form of the data: character set, language, column separator
 *                        (A3), decimal sign (A4), quote (A5), version; #A1 is the first
 *                        line of the file
 *   #B01=AAA;AAD;...     header codes of an inspection; the next line holds their
 *                        values. #B02, #B03 ... continue the header
 *   #C=I;A;B;...         codes of the columns of the observations, one a line, up to
 *   #Z                   the end of the inspection
 *
 * Read as a stream, line by line. A fault of the structure fails with line and field; a
 * value that cannot be read is missing and told to `fault`.
 */
#ifndef HN_READ_EXCHANGE_TEXT_H
#define HN_READ_EXCHANGE_TEXT_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

/* Texts are UTF-8, "" when missing, valid during the call. */
typedef struct hn_exchange_header {
    const char *pipe;                /* AAA */
    const char *start_node;          /* AAB: where the survey began */
    const char *up_node, *down_node; /* AAD, AAF */
    const char *direction;           /* AAK: A downstream, B upstream */
    int32_t date;                    /* ABF; HN_I32_MISSING */
    size_t line;
} hn_exchange_header;

typedef struct hn_exchange_row {
    const char *code, *ch1, *ch2; /* A, B, C */
    double q1, q2;                /* D, E; NaN */
    const char *remark;           /* F */
    double clock_from, clock_to;  /* G, H */
    double distance_m;            /* I */
    const char *mark;             /* J: A1 begins, B1 ends */
    int at_joint;                 /* K */
    size_t line;
} hn_exchange_row;

typedef struct hn_exchange_takers {
    hn_status (*inspection)(void *context, const hn_exchange_header *header, hn_error *err);
    hn_status (*observation)(void *context, const hn_exchange_row *row, hn_error *err);
    void (*fault)(void *context, size_t line, const char *field, const char *value);
    void *context;
} hn_exchange_takers;

/* Errors: HN_ERR_INPUT with the path, line and field. */
HN_MUST_CHECK hn_status hn_exchange_text_read(const char *path, const hn_exchange_takers *takers,
                                              hn_error *err);

#endif
