#include "table/pieces.h"

#include "base/alloc.h"

#include <stdlib.h>
#include <string.h>

hn_status hn_pieces_add(hn_pieces *pieces, hn_piece piece, hn_error *err)
{
    void *grown = pieces->list;

    if (!hn_grow(&grown, pieces->count, &pieces->room, sizeof piece))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory for pieces");
    pieces->list = grown;
    pieces->list[pieces->count++] = piece;
    return HN_OK;
}

static int by_id(const void *a, const void *b)
{
    const hn_piece *left = a, *right = b;

    return (left->id > right->id) - (left->id < right->id);
}

void hn_pieces_sort(hn_pieces *pieces)
{
    if (pieces->count)
        qsort(pieces->list, pieces->count, sizeof *pieces->list, by_id);
}

const hn_piece *hn_pieces_find(const hn_pieces *pieces, uint32_t id)
{
    const hn_piece key = {.id = id};

    if (!id || !pieces->count)
        return NULL;
    return bsearch(&key, pieces->list, pieces->count, sizeof key, by_id);
}

void hn_pieces_clear(hn_pieces *pieces)
{
    hn_free(pieces->list);
    memset(pieces, 0, sizeof *pieces);
}
