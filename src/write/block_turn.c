#include "write/block_turn.h"

void hn_block_turn_init(hn_block_turn *turn)
{
    *turn = (hn_block_turn){.rc = HN_OK};
    pthread_mutex_init(&turn->lock, NULL);
    pthread_cond_init(&turn->moved, NULL);
}

void hn_block_turn_clear(hn_block_turn *turn)
{
    pthread_cond_destroy(&turn->moved);
    pthread_mutex_destroy(&turn->lock);
}

int hn_block_turn_wait(hn_block_turn *turn, size_t block)
{
    int is_well;

    pthread_mutex_lock(&turn->lock);
    while (turn->next != block && turn->rc == HN_OK)
        pthread_cond_wait(&turn->moved, &turn->lock);
    is_well = turn->rc == HN_OK;
    pthread_mutex_unlock(&turn->lock);
    return is_well;
}

void hn_block_turn_pass(hn_block_turn *turn)
{
    pthread_mutex_lock(&turn->lock);
    turn->next++;
    pthread_cond_broadcast(&turn->moved);
    pthread_mutex_unlock(&turn->lock);
}

void hn_block_turn_fail(hn_block_turn *turn, hn_status rc, const hn_error *error)
{
    pthread_mutex_lock(&turn->lock);
    if (turn->rc == HN_OK) {
        turn->rc = rc;
        turn->error = *error;
    }
    pthread_cond_broadcast(&turn->moved);
    pthread_mutex_unlock(&turn->lock);
}

int hn_block_turn_has_failed(hn_block_turn *turn)
{
    int has_failed;

    pthread_mutex_lock(&turn->lock);
    has_failed = turn->rc != HN_OK;
    pthread_mutex_unlock(&turn->lock);
    return has_failed;
}

hn_status hn_block_turn_outcome(const hn_block_turn *turn, hn_error *err)
{
    if (turn->rc != HN_OK && err)
        *err = turn->error;
    return turn->rc;
}
