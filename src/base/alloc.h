/* base/alloc.h - the one door to the heap.
 *
 * Library code calls nothing else, so that tests can make the nth allocation
 * fail and see every cleanup path, and so that sizes are checked for overflow.
 */
#ifndef HN_BASE_ALLOC_H
#define HN_BASE_ALLOC_H

#include <stddef.h>

/* Zeroed array of count items; NULL when out of memory or when count * size
 * overflows. A count of 0 gives a valid pointer that can be freed. */
void *hn_alloc(size_t count, size_t size);

/* Grows or shrinks a block from hn_alloc. On failure the old block is left as
 * it was and NULL is returned. New bytes are not zeroed. */
void *hn_realloc(void *block, size_t count, size_t size);

/* Copy of a text, or of its first `length` bytes. NULL when out of memory. */
char *hn_copy_text(const char *text);
char *hn_copy_text_n(const char *text, size_t length);

void hn_free(void *block); /* NULL is fine */

/* Makes room for one more item in a growing array: doubles *capacity when
 * *items is full. Returns 0 when out of memory (the array stays whole). */
int hn_grow(void **items, size_t count, size_t *capacity, size_t size);

/* Gives freed pages back to the system, where the C library can: after a stage
 * that made and dropped much. */
void hn_heap_trim(void);

/* Test hooks. The nth allocation from now fails (1 is the next one, 0 never);
 * hn_alloc_live() counts blocks not yet freed. */
void hn_alloc_fail_after(size_t nth);
size_t hn_alloc_live(void);

#endif
