/* base/text_pool.h - every distinct text once, known by a small number.
 *
 * Id 0 is always "no text" (missing). Ids are given in order of first sight.
 * The pool owns its texts; pointers stay valid until hn_text_pool_free.
 */
#ifndef HN_BASE_TEXT_POOL_H
#define HN_BASE_TEXT_POOL_H

#include <stddef.h>
#include <stdint.h>

typedef struct hn_text_pool hn_text_pool;

hn_text_pool *hn_text_pool_new(void); /* NULL when out of memory */
void hn_text_pool_free(hn_text_pool *pool);

/* Id of the text, added when new. UINT32_MAX when out of memory. */
uint32_t hn_text_pool_add(hn_text_pool *pool, const char *text, size_t length);
/* Id of the text, or 0 when the pool has never seen it. */
uint32_t hn_text_pool_find(const hn_text_pool *pool, const char *text, size_t length);
/* Fetches what adding or finding these texts will look at, for all of them at
 * once: each alone waits for memory four times. A hint, no result. */
typedef struct hn_text_ref {
    const char *text;
    size_t length;
} hn_text_ref;
enum { HN_TEXT_WARM_MOST = 64 };
void hn_text_pool_warm(const hn_text_pool *pool, const hn_text_ref *texts, size_t count);
/* Text of an id, NUL-terminated; "" for id 0. Borrowed. */
const char *hn_text_pool_get(const hn_text_pool *pool, uint32_t id);
uint32_t hn_text_pool_length(const hn_text_pool *pool, uint32_t id);
/* Number of ids, the empty id 0 included. */
uint32_t hn_text_pool_count(const hn_text_pool *pool);
/* Gives the memory of the look-up index back: texts can still be read by id,
 * but neither added nor found. */
void hn_text_pool_seal(hn_text_pool *pool);
/* Bytes held, for the memory account. */
size_t hn_text_pool_bytes(const hn_text_pool *pool);

#endif
