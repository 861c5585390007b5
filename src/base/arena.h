/* base/arena.h - memory whose lifetime is a job: allocate freely, free once. */
#ifndef HN_BASE_ARENA_H
#define HN_BASE_ARENA_H

#include <stddef.h>

typedef struct hn_arena {
    struct hn_arena_block *head;
} hn_arena;

/* Zeroed bytes, aligned for any type; NULL when out of memory. Valid until
 * hn_arena_clear. A zero-initialised hn_arena is empty and ready. */
void *hn_arena_alloc(hn_arena *arena, size_t count, size_t size);
char *hn_arena_text(hn_arena *arena, const char *text); /* NULL in, NULL out */
char *hn_arena_text_n(hn_arena *arena, const char *text, size_t length);
char *hn_arena_printf(hn_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void hn_arena_clear(hn_arena *arena);

#endif
