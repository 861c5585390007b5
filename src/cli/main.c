#include "cli/commands.h"

int main(int argc, char **argv)
{
    return hn_cli_main(argc, argv);
}
