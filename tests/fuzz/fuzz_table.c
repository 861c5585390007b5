/* fuzz/fuzz_table.c - any bytes as a CSV config table: never a crash, a leak or
 * an error without a message, and no row that breaks its own specification.
 * The header line chooses the reader; the tables that it leans on are the
 * shipped ones. */
#define REPLAY_MUTANTS 5000

#include "base/alloc.h"
#include "options/prices.h"
#include "plan/config_read.h"
#include "plan/config_table.h"
#include "plan/config_tables.h"
#include "replay.h"

#include <cpl_vsi.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const input_path = "/vsimem/fuzz_table.csv";

static void must_hold(int holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "does not hold: %s\n", what);
    abort();
}

#define must(law) must_hold(law, #law)

typedef hn_status (*reader)(const char *path, hn_arena *arena, hn_config *out, hn_error *err);

/* A column that no other table has, and the reader of its table. */
static const struct {
    const char *column;
    reader read;
} readers[] = {
    {"kg_per_unit", hn_config_carbon},
    {"price_date", hn_config_rates},
    {"if_unknown", hn_config_method_rules},
    {"wall_rule", hn_config_methods},
    {"quantity", hn_config_cost_items},
    {"cohort", hn_config_deterioration},
    {"failures_per", hn_config_failure_rates},
    {"percent,mode", hn_config_markups},
    {"brittle", hn_config_materials},
    {"structural_share", hn_config_consequence},
    {"within_days", hn_config_act_now},
    {"severity", hn_config_quality_rules},
    {"segment_id", hn_config_overrides},
    {"inside_mm", hn_config_pipe_sizes},
    {"name,value,unit", hn_config_takeoff},
};

/* The shipped tables, read once. */
static const hn_config *shipped(void)
{
    static hn_arena arena;
    static hn_config config;
    static int is_read;
    hn_error err = {HN_OK, "", ""};
    hn_config_paths paths;

    if (is_read)
        return &config;
#define SHIPPED_PATH(name) paths.name = HN_SOURCE_DIR "/config/" #name ".csv";
    HN_CONFIG_TABLE_LIST(SHIPPED_PATH)
#undef SHIPPED_PATH
    paths.overrides = paths.carbon = NULL;
    must(hn_config_read(&paths, &arena, &config, &err) == HN_OK);
    is_read = 1;
    return &config;
}

static void check_error(hn_status rc, const hn_error *err)
{
    must(err->status == rc);
    must(err->message[0] != '\0');
}

typedef struct plain_row {
    const char *text;
    double number;
    int whole, choice;
} plain_row;

/* A table of one cell of each kind. */
static void check_plain_table(void)
{
    static const char *const words[] = {"low", "high", NULL};
    static const hn_cell_spec cells[] = {
        HN_TEXT_CELL(plain_row, text, HN_CELL_VALUE),
        HN_NUMBER_CELL(plain_row, number, HN_CELL_COLUMN, -5, 1e6),
        {"whole", HN_CELL_WHOLE, HN_CELL_OPTIONAL, offsetof(plain_row, whole), 0, 100, NULL, 7},
        {"choice", HN_CELL_CHOICE, HN_CELL_OPTIONAL, offsetof(plain_row, choice), 0, 0, words, 1},
        {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0}};
    static const hn_table_spec spec = {cells, sizeof(plain_row), 0, 50};
    hn_error err = {HN_OK, "", ""};
    hn_arena arena = {0};
    hn_config_input in;
    void *rows = NULL;
    const hn_status rc = hn_config_rows(&in, input_path, &arena, &spec, &rows, &err);

    if (rc != HN_OK)
        check_error(rc, &err);
    for (size_t i = 0; rc == HN_OK && i < in.count; i++) {
        const plain_row *row = (const plain_row *)rows + i;

        must(row->text && row->text[0] != '\0');
        must(isnan(row->number) || (row->number >= -5 && row->number <= 1e6));
        must(row->whole >= 0 && row->whole <= 100);
        must(row->choice == 0 || row->choice == 1);
        must(in.line[i] >= 2);
    }
    must(rc != HN_OK || (in.count > 0 && in.count <= 50));
    hn_arena_clear(&arena);
}

static void check_prices(const hn_config *config)
{
    static const double sizes[] = {1.0, 10.0, 300.0, 914.4, 20000.0};
    hn_table *table = NULL;
    hn_prices *prices = NULL;

    must(hn_table_new(&table, NULL) == HN_OK);
    must(hn_prices_new(config, table, &prices, NULL) == HN_OK);
    for (size_t m = 0; m < config->method_count; m++)
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            const hn_price flat = hn_price_of(prices, (int)m, 0, sizes[i], NAN);
            const hn_price deep = hn_price_of(prices, (int)m, 0, sizes[i], 0.05);

            must(isnan(flat.rate_per_m) || flat.rate_per_m >= 0.0);
            must(isnan(deep.rate_per_m) || deep.rate_per_m >= 0.0);
            must(hn_price_exists(prices, (int)m) || isnan(deep.rate_per_m));
        }
    hn_prices_free(prices);
    hn_table_free(table);
}

static void check_config(const hn_config *c)
{
    for (size_t i = 0; i < c->rate_count; i++) {
        const hn_rate *r = &c->rates[i];

        must(r->method >= 0 && (size_t)r->method < c->method_count);
        must(r->width_mm >= 10 && r->width_mm <= 20000 && r->rate > 0 && isfinite(r->rate));
        must(isnan(r->depth_m) || (r->depth_m >= 0.1 && r->depth_m <= 100));
        must(r->currency && r->price_date && r->place && r->scope && r->source);
    }
    for (size_t i = 0; i < c->rule_count; i++) {
        const hn_method_rule *r = &c->rules[i];

        must(r->method >= 0 && (size_t)r->method < c->method_count);
        must(r->id && r->condition && r->reason && r->source);
        must((unsigned)r->verdict < HN_VERDICT_COUNT);
    }
    must(c->method_count > 0 && c->method_count <= HN_MAX_METHODS);
    check_prices(c);
}

/* What a reader fills is forgotten first, what it leans on is kept. */
static void check_reader(reader read)
{
    hn_config config = *shipped();
    hn_error err = {HN_OK, "", ""};
    hn_arena arena = {0};
    const hn_status rc = read(input_path, &arena, &config, &err);

    if (rc == HN_OK && (read == hn_config_rates || read == hn_config_method_rules))
        check_config(&config);
    if (rc != HN_OK)
        check_error(rc, &err);
    hn_arena_clear(&arena);
}

static int header_has(const uint8_t *data, size_t size, const char *word)
{
    const uint8_t *end = memchr(data, '\n', size);

    return memmem(data, end ? (size_t)(end - data) : size, word, strlen(word)) != NULL;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static uint8_t nothing[1];
    reader read = NULL;
    size_t before;

    (void)shipped();
    before = hn_alloc_live();
    VSIFCloseL(
        VSIFileFromMemBuffer(input_path, size ? (GByte *)(uintptr_t)data : nothing, size, 0));
    for (size_t i = 0; size && !read && i < sizeof readers / sizeof *readers; i++)
        if (header_has(data, size, readers[i].column))
            read = readers[i].read;
    if (read)
        check_reader(read);
    else
        check_plain_table();
    VSIUnlink(input_path);
    must(hn_alloc_live() == before);
    return 0;
}
