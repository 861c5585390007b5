#include "run/source_hash.h"

#include "base/sha256.h"

static void *hash_file(void *argument)
{
    hn_source_note *note = argument;

    if (note->hash_before) /* one file at a time */
        pthread_join(note->hash_before->hasher, NULL);
    if (hn_sha256_file(note->hash_from, note->sha256, NULL) != HN_OK)
        note->sha256[0] = '\0';
    return NULL;
}

void hn_source_hash_begin(hn_state *state, hn_source_note *note, const char *from)
{
    note->hash_from = from;
    note->hash_before = state->hashing;
    if (state->threads > 1 && pthread_create(&note->hasher, NULL, hash_file, note) == 0) {
        state->hashing = note;
        return;
    }
    state->hashing = NULL;
    hash_file(note);
}

void hn_source_hash_settle(hn_state *state)
{
    if (state->hashing)
        pthread_join(state->hashing->hasher, NULL);
    state->hashing = NULL;
}
