/* consequence/inside.h - is a point inside one of many polygons? GEOS answers,
 * over an index of their boxes. One per thread. */
#ifndef HN_CONSEQUENCE_INSIDE_H
#define HN_CONSEQUENCE_INSIDE_H

#include "base/status.h"
#include "table/context_shapes.h"

typedef struct hn_inside hn_inside;

/* *out is NULL, with HN_OK, when the layer has no usable polygon. *mended: polygons
 * that cross themselves or have too few points to have an area. */
HN_MUST_CHECK hn_status hn_inside_new(const hn_context_shapes *shapes, hn_inside **out,
                                      size_t *mended, hn_error *err);
void hn_inside_free(hn_inside *inside);
int hn_inside_test(hn_inside *inside, double x, double y);

/* Version of the GEOS library, as linked. */
const char *hn_geos_version(void);

#endif
