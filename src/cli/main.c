#include "cli/commands.h"

#include <malloc.h>

int main(int argc, char **argv)
{
    /* Columns come and go in blocks of megabytes. The C library would learn to
     * keep them for itself; a fixed threshold gives each back to the system. */
    mallopt(M_MMAP_THRESHOLD, 1 << 20);
    return hn_cli_main(argc, argv);
}
