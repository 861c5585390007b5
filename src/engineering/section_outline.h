/* engineering/section_outline.h - a section as points, to draw it. */
#ifndef HN_ENGINEERING_SECTION_OUTLINE_H
#define HN_ENGINEERING_SECTION_OUTLINE_H

#include "engineering/section.h"

/* Points of the longest outline of any shape but a polygon. */
enum { HN_OUTLINE_POINTS = 1024 };

/* Inner outline in metres, 2 numbers per point, x right of the axis, y above the
 * invert: from the crown or the left bank down and up again. The points lie on
 * the exact arcs, 64 to a piece. A closed outline is closed by its last edge; an
 * open channel is not. Returns the points, 0 when there is no geometry or they
 * are more than `room`. A polygon gives its own points as they are; its inset
 * (inset_m) has none, so 0. */
size_t hn_section_outline(const hn_section *section, double *xy_m, size_t room);

#endif
