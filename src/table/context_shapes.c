#include "table/context_shapes.h"

#include "base/alloc.h"

#include <string.h>

void hn_context_shapes_clear(hn_context_shapes *shapes)
{
    hn_free(shapes->kind);
    hn_free(shapes->feature);
    hn_free(shapes->start);
    hn_free(shapes->xy);
    memset(shapes, 0, sizeof *shapes);
}
