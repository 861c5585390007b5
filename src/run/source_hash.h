/* run/source_hash.h - SHA-256 of the sources, beside the other work.
 *
 * Reading a large file once more takes as long as some stages do, and nobody
 * needs the hash before the result is written: with more than one thread a
 * thread of its own hashes one source after the other.
 */
#ifndef HN_RUN_SOURCE_HASH_H
#define HN_RUN_SOURCE_HASH_H

#include "run/state.h"

/* Begins to fill note->sha256 of the file `from`, which must live until the
 * hashes are settled. Databases and services have no file: the field stays
 * empty. */
void hn_source_hash_begin(hn_state *state, hn_source_note *note, const char *from);

/* Waits for all of them. May be called again. */
void hn_source_hash_settle(hn_state *state);

#endif
