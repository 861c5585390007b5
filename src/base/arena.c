#include "base/arena.h"

#include "base/alloc.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

enum { BLOCK_BYTES = 16384, ALIGNMENT = 16 };

struct hn_arena_block {
    struct hn_arena_block *next;
    size_t used, size;
    unsigned char *bytes;
};

static struct hn_arena_block *new_block(hn_arena *arena, size_t bytes)
{
    size_t size = bytes > BLOCK_BYTES ? bytes : BLOCK_BYTES;
    struct hn_arena_block *block = hn_alloc(1, sizeof *block);

    if (!block)
        return NULL;
    block->bytes = hn_alloc(size, 1);
    if (!block->bytes) {
        hn_free(block);
        return NULL;
    }
    block->size = size;
    block->next = arena->head;
    arena->head = block;
    return block;
}

void *hn_arena_alloc(hn_arena *arena, size_t count, size_t size)
{
    struct hn_arena_block *block = arena->head;
    size_t bytes;
    void *result;

    if (size != 0 && count > (SIZE_MAX - ALIGNMENT) / size)
        return NULL;
    bytes = (count * size + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    if (bytes == 0)
        bytes = ALIGNMENT;
    if (!block || block->size - block->used < bytes)
        block = new_block(arena, bytes);
    if (!block)
        return NULL;
    result = block->bytes + block->used;
    block->used += bytes;
    return result;
}

char *hn_arena_text_n(hn_arena *arena, const char *text, size_t length)
{
    char *copy = hn_arena_alloc(arena, length + 1, 1);

    if (copy)
        memcpy(copy, text, length);
    return copy;
}

char *hn_arena_text(hn_arena *arena, const char *text)
{
    return text ? hn_arena_text_n(arena, text, strlen(text)) : NULL;
}

char *hn_arena_printf(hn_arena *arena, const char *format, ...)
{
    va_list args;
    int length;
    char *text;

    va_start(args, format);
    length = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (length < 0)
        return NULL;
    text = hn_arena_alloc(arena, (size_t)length + 1, 1);
    if (!text)
        return NULL;
    va_start(args, format);
    vsnprintf(text, (size_t)length + 1, format, args);
    va_end(args);
    return text;
}

void hn_arena_clear(hn_arena *arena)
{
    struct hn_arena_block *block = arena->head;

    while (block) {
        struct hn_arena_block *next = block->next;

        hn_free(block->bytes);
        hn_free(block);
        block = next;
    }
    arena->head = NULL;
}
