/* Open addressing over 32-bit ids; texts lie in chunks that never move. */
#include "base/text_pool.h"

#include "base/alloc.h"
#include "base/hash.h"

#include <string.h>

enum { CHUNK_BYTES = 1 << 18 };

typedef struct chunk {
    struct chunk *next;
    size_t used, size;
    char *bytes;
} chunk;

struct hn_text_pool {
    chunk *chunks;
    const char **texts;
    uint32_t *lengths;
    uint32_t count, capacity;
    uint32_t *slots; /* id or 0 */
    size_t slot_count;
    size_t bytes;
};

void hn_text_pool_free(hn_text_pool *pool)
{
    if (!pool)
        return;
    while (pool->chunks) {
        chunk *next = pool->chunks->next;

        hn_free(pool->chunks->bytes);
        hn_free(pool->chunks);
        pool->chunks = next;
    }
    hn_free(pool->texts);
    hn_free(pool->lengths);
    hn_free(pool->slots);
    hn_free(pool);
}

hn_text_pool *hn_text_pool_new(void)
{
    hn_text_pool *pool = hn_alloc(1, sizeof *pool);

    if (!pool)
        return NULL;
    pool->capacity = 64;
    pool->slot_count = 256;
    pool->texts = hn_alloc(pool->capacity, sizeof *pool->texts);
    pool->lengths = hn_alloc(pool->capacity, sizeof *pool->lengths);
    pool->slots = hn_alloc(pool->slot_count, sizeof *pool->slots);
    if (!pool->texts || !pool->lengths || !pool->slots) {
        hn_text_pool_free(pool);
        return NULL;
    }
    pool->texts[0] = "";
    pool->count = 1;
    return pool;
}

static size_t slot_of(const hn_text_pool *pool, const char *text, size_t length)
{
    size_t mask = pool->slot_count - 1;
    size_t slot = (size_t)hn_hash_bytes(text, length) & mask;

    for (;; slot = (slot + 1) & mask) {
        uint32_t id = pool->slots[slot];

        if (id == 0 || (pool->lengths[id] == length && memcmp(pool->texts[id], text, length) == 0))
            return slot;
    }
}

static int grow_slots(hn_text_pool *pool)
{
    uint32_t *old = pool->slots;
    uint32_t *slots = hn_alloc(pool->slot_count * 2, sizeof *slots);

    if (!slots)
        return 0;
    pool->slots = slots;
    pool->slot_count *= 2;
    for (uint32_t id = 1; id < pool->count; id++)
        slots[slot_of(pool, pool->texts[id], pool->lengths[id])] = id;
    hn_free(old);
    return 1;
}

static int grow_ids(hn_text_pool *pool)
{
    uint32_t wanted = pool->capacity * 2;
    const char **texts = hn_realloc((void *)pool->texts, wanted, sizeof *texts);
    uint32_t *lengths;

    if (!texts)
        return 0;
    pool->texts = texts;
    lengths = hn_realloc(pool->lengths, wanted, sizeof *lengths);
    if (!lengths)
        return 0;
    pool->lengths = lengths;
    pool->capacity = wanted;
    return 1;
}

static char *store(hn_text_pool *pool, const char *text, size_t length)
{
    chunk *head = pool->chunks;
    char *place;

    if (!head || head->size - head->used < length + 1) {
        size_t size = length + 1 > CHUNK_BYTES ? length + 1 : CHUNK_BYTES;

        head = hn_alloc(1, sizeof *head);
        if (!head)
            return NULL;
        head->bytes = hn_alloc(size, 1);
        if (!head->bytes) {
            hn_free(head);
            return NULL;
        }
        head->size = size;
        head->next = pool->chunks;
        pool->chunks = head;
        pool->bytes += size;
    }
    place = head->bytes + head->used;
    memcpy(place, text, length);
    place[length] = '\0';
    head->used += length + 1;
    return place;
}

uint32_t hn_text_pool_add(hn_text_pool *pool, const char *text, size_t length)
{
    size_t slot = slot_of(pool, text, length);
    char *copy;

    if (length == 0)
        return 0;
    if (pool->slots[slot])
        return pool->slots[slot];
    if (pool->count == UINT32_MAX || (pool->count == pool->capacity && !grow_ids(pool)))
        return UINT32_MAX;
    if ((size_t)pool->count * 2 > pool->slot_count) {
        if (!grow_slots(pool))
            return UINT32_MAX;
        slot = slot_of(pool, text, length);
    }
    copy = store(pool, text, length);
    if (!copy)
        return UINT32_MAX;
    pool->texts[pool->count] = copy;
    pool->lengths[pool->count] = (uint32_t)length;
    pool->slots[slot] = pool->count;
    return pool->count++;
}

uint32_t hn_text_pool_find(const hn_text_pool *pool, const char *text, size_t length)
{
    return length == 0 ? 0 : pool->slots[slot_of(pool, text, length)];
}

const char *hn_text_pool_get(const hn_text_pool *pool, uint32_t id)
{
    return id < pool->count ? pool->texts[id] : "";
}

uint32_t hn_text_pool_length(const hn_text_pool *pool, uint32_t id)
{
    return id < pool->count ? pool->lengths[id] : 0;
}

uint32_t hn_text_pool_count(const hn_text_pool *pool)
{
    return pool->count;
}

size_t hn_text_pool_bytes(const hn_text_pool *pool)
{
    return pool->bytes + pool->capacity * (sizeof *pool->texts + sizeof *pool->lengths) +
           pool->slot_count * sizeof *pool->slots;
}
