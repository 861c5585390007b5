/* fuzz/replay.h - main of a fuzz target when libFuzzer is not there: feeds it
 * the files named on the command line, so that old finds stay fixed. */
#ifndef HN_FUZZ_REPLAY_H
#define HN_FUZZ_REPLAY_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#ifndef HN_LIBFUZZER
#include <stdio.h>
#include <stdlib.h>

enum { REPLAY_MAX_BYTES = 16 << 20 };

static int replay(const char *path)
{
    uint8_t *bytes = malloc(REPLAY_MAX_BYTES), *exact;
    FILE *file = fopen(path, "rb");
    size_t size;

    if (!bytes || !file) {
        fprintf(stderr, "cannot read %s\n", path);
        free(bytes);
        return 1;
    }
    size = fread(bytes, 1, REPLAY_MAX_BYTES, file);
    fclose(file);
    exact = realloc(bytes, size ? size : 1); /* so that a read past the end is seen */
    (void)LLVMFuzzerTestOneInput(exact ? exact : bytes, size);
    free(exact ? exact : bytes);
    return 0;
}

int main(int argc, char **argv)
{
    int failed = argc < 2;

    for (int i = 1; i < argc; i++)
        failed |= replay(argv[i]);
    printf("%d inputs replayed\n", argc - 1);
    return failed;
}
#endif

#endif
