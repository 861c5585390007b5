#include "base/alloc.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

static atomic_size_t live_blocks;
static atomic_size_t fail_countdown;

void hn_alloc_fail_after(size_t nth)
{
    atomic_store(&fail_countdown, nth);
}

size_t hn_alloc_live(void)
{
    return atomic_load(&live_blocks);
}

static int must_fail(void)
{
    if (atomic_load_explicit(&fail_countdown, memory_order_relaxed) == 0)
        return 0;
    return atomic_fetch_sub(&fail_countdown, 1) == 1;
}

void *hn_alloc(size_t count, size_t size)
{
    void *block;

    if (must_fail())
        return NULL;
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    block = count == 0 || size == 0 ? calloc(1, 1) : calloc(count, size);
    if (block)
        atomic_fetch_add(&live_blocks, 1);
    return block;
}

void *hn_realloc(void *block, size_t count, size_t size)
{
    void *grown;

    if (must_fail())
        return NULL;
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    grown = realloc(block, count * size == 0 ? 1 : count * size);
    if (grown && !block)
        atomic_fetch_add(&live_blocks, 1);
    return grown;
}

char *hn_copy_text_n(const char *text, size_t length)
{
    char *copy = hn_alloc(length + 1, 1);

    if (copy)
        memcpy(copy, text, length);
    return copy;
}

char *hn_copy_text(const char *text)
{
    return hn_copy_text_n(text, strlen(text));
}

void hn_free(void *block)
{
    if (!block)
        return;
    atomic_fetch_sub(&live_blocks, 1);
    free(block);
}

int hn_grow(void **items, size_t count, size_t *capacity, size_t size)
{
    size_t wanted;
    void *grown;

    if (count < *capacity)
        return 1;
    wanted = *capacity ? *capacity * 2 : 16;
    grown = hn_realloc(*items, wanted, size);
    if (!grown)
        return 0;
    *items = grown;
    *capacity = wanted;
    return 1;
}

void hn_heap_trim(void)
{
#ifdef __GLIBC__
    malloc_trim(0);
#endif
}
