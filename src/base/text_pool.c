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

/* The hash beside the id: other texts are passed over, and the table grown,
 * without a look at the texts, which lie scattered in memory. */
typedef struct slot {
    uint32_t hash, id; /* id 0: free */
} slot;

struct hn_text_pool {
    chunk *chunks;
    const char **texts;
    uint32_t *lengths;
    uint32_t count, capacity;
    slot *slots;
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

static uint32_t hash_of(const char *text, size_t length)
{
    return (uint32_t)hn_hash_bytes(text, length);
}

/* Where the text is, or the free slot where it belongs. */
static size_t slot_of(const hn_text_pool *pool, const char *text, size_t length, uint32_t hash)
{
    size_t mask = pool->slot_count - 1;
    size_t at = hash & mask;

    for (;; at = (at + 1) & mask) {
        slot s = pool->slots[at];

        if (s.id == 0 || (s.hash == hash && pool->lengths[s.id] == length &&
                          memcmp(pool->texts[s.id], text, length) == 0))
            return at;
    }
}

static int grow_slots(hn_text_pool *pool)
{
    size_t wanted = pool->slot_count * 2, mask = wanted - 1;
    slot *slots = hn_alloc(wanted, sizeof *slots);

    if (!slots)
        return 0;
    for (size_t i = 0; i < pool->slot_count; i++) {
        size_t at = pool->slots[i].hash & mask;

        while (pool->slots[i].id && slots[at].id)
            at = (at + 1) & mask;
        if (pool->slots[i].id)
            slots[at] = pool->slots[i];
    }
    hn_free(pool->slots);
    pool->slots = slots;
    pool->slot_count = wanted;
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
    uint32_t hash;
    size_t at;
    char *copy;

    if (length == 0)
        return 0;
    if (!pool->slots)
        return UINT32_MAX;
    hash = hash_of(text, length);
    at = slot_of(pool, text, length, hash);
    if (pool->slots[at].id)
        return pool->slots[at].id;
    if (pool->count == UINT32_MAX || (pool->count == pool->capacity && !grow_ids(pool)))
        return UINT32_MAX;
    if ((size_t)pool->count * 4 > pool->slot_count * 3) {
        if (!grow_slots(pool))
            return UINT32_MAX;
        at = slot_of(pool, text, length, hash);
    }
    copy = store(pool, text, length);
    if (!copy)
        return UINT32_MAX;
    pool->texts[pool->count] = copy;
    pool->lengths[pool->count] = (uint32_t)length;
    pool->slots[at] = (slot){hash, pool->count};
    return pool->count++;
}

void hn_text_pool_warm(const hn_text_pool *pool, const hn_text_ref *texts, size_t count)
{
    uint32_t hash[HN_TEXT_WARM_MOST], id[HN_TEXT_WARM_MOST];
    const size_t mask = pool->slot_count - 1;

    if (!pool->slots || count > HN_TEXT_WARM_MOST)
        return;
    for (size_t i = 0; i < count; i++) {
        hash[i] = hash_of(texts[i].text, texts[i].length);
        __builtin_prefetch(&pool->slots[hash[i] & mask]);
    }
    for (size_t i = 0; i < count; i++) {
        size_t at = hash[i] & mask;

        while (pool->slots[at].id && pool->slots[at].hash != hash[i])
            at = (at + 1) & mask;
        id[i] = pool->slots[at].id;
        __builtin_prefetch(&pool->lengths[id[i]]);
        __builtin_prefetch(&pool->texts[id[i]]);
    }
    for (size_t i = 0; i < count; i++)
        __builtin_prefetch(pool->texts[id[i]]);
}

void hn_text_pool_seal(hn_text_pool *pool)
{
    hn_free(pool->slots);
    pool->slots = NULL;
    pool->slot_count = 0;
}

uint32_t hn_text_pool_find(const hn_text_pool *pool, const char *text, size_t length)
{
    if (length == 0 || !pool->slots)
        return 0;
    return pool->slots[slot_of(pool, text, length, hash_of(text, length))].id;
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
