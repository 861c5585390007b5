/* write/block_turn.h - blocks are made at the same time and put down in order.
 *
 * Whoever has made block n waits until all blocks before it have had their
 * turn. Blocks are handed out in order, so somebody always works at the one
 * that is next. The first failure ends the waiting of all.
 */
#ifndef HN_WRITE_BLOCK_TURN_H
#define HN_WRITE_BLOCK_TURN_H

#include "base/status.h"

#include <pthread.h>
#include <stddef.h>

typedef struct hn_block_turn {
    pthread_mutex_t lock;
    pthread_cond_t moved;
    size_t next;
    hn_status rc; /* of the block that failed first */
    hn_error error;
} hn_block_turn;

void hn_block_turn_init(hn_block_turn *turn);
void hn_block_turn_clear(hn_block_turn *turn);

/* Waits for the turn of a block. 0 when another block has failed: then nothing
 * is to be done any more. */
int hn_block_turn_wait(hn_block_turn *turn, size_t block);
/* The turn goes to the block after this one. */
void hn_block_turn_pass(hn_block_turn *turn);
/* Ends the work of all blocks; the first failure is kept. */
void hn_block_turn_fail(hn_block_turn *turn, hn_status rc, const hn_error *error);
/* 1 when a block has failed. */
int hn_block_turn_has_failed(hn_block_turn *turn);
/* The outcome, when all threads have ended. */
hn_status hn_block_turn_outcome(const hn_block_turn *turn, hn_error *err);

#endif
