#include "table/codes.h"

#include <stddef.h>
#include <string.h>

const char *const hn_shape_names[] = {"circle", "egg",     "horseshoe", "rectangle", "ellipse",
                                      "arch",   "channel", "other",     NULL};
const char *const hn_length_basis_names[] = {
    "drawn, none recorded", "recorded, agrees", "drawn, recorded differs",
    "recorded, drawn differs", "recorded, no line", NULL};
const char *const hn_condition_basis_names[] = {"observed", "inferred", "none", NULL};
const char *const hn_verdict_names[] = {"fits", "fits after works", "cannot tell", "ruled out",
                                        NULL};
const char *const hn_programme_names[] = {"no work", "committed", "funded", "unfunded", "no method", NULL};

int hn_code_of(const char *const *names, const char *name)
{
    for (int i = 0; names[i]; i++)
        if (strcmp(names[i], name) == 0)
            return i;
    return -1;
}
