/* write/folder_tree.h - names and removal of folders. */
#ifndef HN_WRITE_FOLDER_TREE_H
#define HN_WRITE_FOLDER_TREE_H

#include "base/status.h"

/* "FOLDER/NAME", free with hn_free; NULL when out of memory. */
char *hn_path_join(const char *folder, const char *name);
int hn_path_exists(const char *path); /* a dangling link exists */
int hn_path_is_folder(const char *path);

/* Makes a folder and its missing parents. Returns 0 or an errno value. */
int hn_folder_make_all(const char *path);
/* Removes a folder with all that is in it; links are removed, not followed. */
void hn_folder_remove(const char *path);
/* 1 when the folder holds nothing; 0 otherwise or when it cannot be read. */
int hn_folder_is_empty(const char *path);

/* Removes an old result that has an heir in its place. What a run writes, and
 * what the heir has too, is removed; anything else was put there by a person
 * and moves to the heir. Without an heir it stays, and so does the folder. */
void hn_folder_bequeath(const char *old_folder, const char *heir);

#endif
