#!/bin/sh
# Fails when code outside base/ calls the heap itself: base/alloc.h checks for
# overflow and lets tests make any allocation fail.
. "$(dirname "$0")/lib_check.sh"

calls='malloc|calloc|realloc|reallocarray|free|strdup|strndup|aligned_alloc|posix_memalign|asprintf|vasprintf|getline|getdelim|open_memstream|alloca'
# shellcheck disable=SC2046
code_of $(sources_outside base) |
    { grep -E "(^|[^A-Za-z0-9_>.])($calls)[[:space:]]*\(" || true; } |
    report_faults "The heap is used through base/alloc.h and base/arena.h only:"
