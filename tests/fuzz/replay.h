/* fuzz/replay.h - main of a fuzz target when libFuzzer is not there: feeds it
 * the files named on the command line, so that old finds stay fixed, and then
 * REPLAY_MUTANTS seeded changes of them. */
#ifndef HN_FUZZ_REPLAY_H
#define HN_FUZZ_REPLAY_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#ifndef HN_LIBFUZZER
#include "mutate.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

#ifndef REPLAY_MUTANTS
#define REPLAY_MUTANTS 0
#endif

enum { REPLAY_MAX_BYTES = 16 << 20, REPLAY_INPUTS_MAX = 1024 };

static seed_input replay_inputs[REPLAY_INPUTS_MAX];
static size_t replay_count;
static const uint8_t *replay_bytes; /* of the input being tried */
static size_t replay_size;

/* Writes the input down, so that it can be put into the corpus. */
static void replay_save(int signal_number)
{
    FILE *file = fopen("fuzz_find.bin", "wb");

    if (file) {
        (void)fwrite(replay_bytes, 1, replay_size, file);
        fclose(file);
        fputs("the input is in fuzz_find.bin\n", stderr);
    }
    signal(signal_number, SIG_DFL);
    raise(signal_number);
}

/* In memory of its exact size, so that a read past the end is seen. */
static void replay_one(const uint8_t *bytes, size_t size)
{
    uint8_t *exact = malloc(size ? size : 1);

    if (!exact)
        abort();
    memcpy(exact, bytes, size);
    replay_bytes = exact;
    replay_size = size;
    (void)LLVMFuzzerTestOneInput(exact, size);
    replay_bytes = NULL;
    replay_size = 0;
    free(exact);
}

static int replay_read(const char *path)
{
    uint8_t *bytes = malloc(REPLAY_MAX_BYTES), *kept;
    FILE *file = fopen(path, "rb");
    size_t size;

    if (!bytes || !file || replay_count == REPLAY_INPUTS_MAX) {
        fprintf(stderr, "cannot read %s\n", path);
        free(bytes);
        if (file)
            fclose(file);
        return 1;
    }
    size = fread(bytes, 1, REPLAY_MAX_BYTES, file);
    fclose(file);
    kept = realloc(bytes, size ? size : 1);
    replay_inputs[replay_count++] = (seed_input){kept ? kept : bytes, size};
    return 0;
}

int main(int argc, char **argv)
{
    static uint8_t mutant[MUTANT_MAX_BYTES];
    int failed = argc < 2;
    size_t mutants = 0;

    signal(SIGABRT, replay_save);
    for (int i = 1; i < argc; i++)
        failed |= replay_read(argv[i]);
    for (size_t i = 0; i < replay_count; i++)
        replay_one(replay_inputs[i].bytes, replay_inputs[i].size);
    for (; replay_count > 0 && mutants < REPLAY_MUTANTS; mutants++)
        replay_one(mutant, mutate(replay_inputs, replay_count, mutant));
    printf("%zu inputs and %zu changed ones replayed\n", replay_count, mutants);
    for (size_t i = 0; i < replay_count; i++)
        free((void *)(uintptr_t)replay_inputs[i].bytes);
    return failed;
}
#endif

#endif
