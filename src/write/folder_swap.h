/* write/folder_swap.h - a new folder takes the place of an old one, so that
 * at every moment a whole one stands there.
 *
 * The new folder is made beside the old as `.NAME.partial-PID`. Where the
 * system can exchange two names in one step, there is no moment without a
 * result; elsewhere the old one is first moved to `.NAME.old-PID` and the next
 * start moves it back if the run died in between. Files in an old result that
 * are not ours move on into the new one: a person may have put them there.
 */
#ifndef HN_WRITE_FOLDER_SWAP_H
#define HN_WRITE_FOLDER_SWAP_H

#include "base/status.h"

typedef struct hn_folder_swap {
    char *target;  /* absolute, links resolved */
    char *parent;  /* absolute */
    char *name;    /* last part of target */
    const char *mark; /* file that says "this folder is ours", written last; borrowed */
    char *partial; /* parent/.name.partial-PID */
    int lock;      /* descriptor that says "the maker lives", -1: none */
    int is_made;   /* partial exists and is ours to remove */
} hn_folder_swap;

/* Finds out the names; makes nothing. HN_ERR_OUTPUT when `folder` exists and
 * is no folder, or holds files but not the mark, or is a mount point. */
HN_MUST_CHECK hn_status hn_folder_swap_plan(hn_folder_swap *swap, const char *folder,
                                            const char *mark, hn_error *err);
void hn_folder_swap_clear(hn_folder_swap *swap);

/* HN_ERR_OUTPUT unless a folder can be made beside the target (missing parents
 * do not count: their nearest ancestor is tried). */
HN_MUST_CHECK hn_status hn_folder_swap_try(const hn_folder_swap *swap, hn_error *err);

/* Tidies up after dead runs: puts back a result that was moved aside, removes
 * partial folders. Failures are left for the next start. */
void hn_folder_swap_sweep(const hn_folder_swap *swap);

/* Makes the parents and the partial folder. */
HN_MUST_CHECK hn_status hn_folder_swap_begin(hn_folder_swap *swap, hn_error *err);
/* Puts the partial folder in the target's place and removes the old result. */
HN_MUST_CHECK hn_status hn_folder_swap_commit(hn_folder_swap *swap, hn_error *err);
/* Removes the partial folder, if there is one. */
void hn_folder_swap_abandon(hn_folder_swap *swap);

#endif
