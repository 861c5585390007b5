#include "risk/rank_correlation.h"

#include "base/alloc.h"
#include "base/radix.h"

#include <math.h>

static int is_tied(const uint64_t *lead, const uint64_t *then, size_t a, size_t b)
{
    return lead[a] == lead[b] && (!then || then[a] == then[b]);
}

static void share_places(const uint64_t *lead, const uint64_t *then, const hn_keyed *order,
                         size_t count, double *out)
{
    for (size_t i = 0, end; i < count; i = end) {
        end = i + 1;
        while (end < count && is_tied(lead, then, order[i].value, order[end].value))
            end++;
        for (size_t k = i; k < end; k++) /* mean of i + 1 .. end */
            out[order[k].value] = 0.5 * (double)(i + 1 + end);
    }
}

hn_status hn_mean_ranks(const uint64_t *lead, const uint64_t *then, size_t count, double *out,
                        hn_error *err)
{
    hn_keyed *order = hn_alloc(count, sizeof *order);
    int is_sorted;

    if (!order)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < count; i++)
        order[i] = hn_keyed_of(then ? then[i] : lead[i], (uint32_t)i);
    is_sorted = hn_radix_sort(order, count);
    if (then && is_sorted) { /* stable: the leading key last */
        for (size_t i = 0; i < count; i++)
            order[i] = hn_keyed_of(lead[order[i].value], order[i].value);
        is_sorted = hn_radix_sort(order, count);
    }
    if (is_sorted)
        share_places(lead, then, order, count, out);
    hn_free(order);
    return is_sorted ? HN_OK : hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

double hn_rank_correlation(const double *a, const double *b, size_t count)
{
    const double mean = 0.5 * (double)(count + 1); /* of any ranks of so many things */
    double ab = 0.0, aa = 0.0, bb = 0.0;

    for (size_t i = 0; i < count; i++) {
        ab += (a[i] - mean) * (b[i] - mean);
        aa += (a[i] - mean) * (a[i] - mean);
        bb += (b[i] - mean) * (b[i] - mean);
    }
    return aa > 0.0 && bb > 0.0 ? ab / (sqrt(aa) * sqrt(bb)) : (double)NAN;
}
