/* unit/test_yaml_tree.c - what of YAML is taken, what is refused, and where
 * the message points. */
#include "base/alloc.h"
#include "plan/yaml_tree.h"
#include "test_util.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static hn_arena arena;
static hn_error err;

static hn_status parse(const char *text, const hn_yaml_node **root)
{
    memset(&err, 0, sizeof err);
    return hn_yaml_read_bytes("plan.yaml", (const unsigned char *)text, strlen(text), &arena, root,
                              &err);
}

static int teardown(void **state)
{
    (void)state;
    hn_arena_clear(&arena);
    return 0;
}

static void refused(const char *text, const char *place, const char *message)
{
    const hn_yaml_node *root;

    assert_int_equal(parse(text, &root), HN_ERR_PLAN);
    assert_null(root);
    if (!strstr(err.message, place) || !strstr(err.message, message))
        fail_msg("\"%s\" should hold \"%s\" and \"%s\"", err.message, place, message);
    assert_true(err.hint[0] != '\0');
    hn_arena_clear(&arena);
}

static void every_node_knows_its_line_and_column(void **state)
{
    const hn_yaml_node *root, *fields, *list;

    (void)state;
    assert_int_equal(
        parse("title: A\nnetwork:\n  fields: {width: DN}\nlist:\n  - one\n  - two\n", &root),
        HN_OK);
    assert_int_equal(root->count, 3);
    fields = hn_yaml_get(hn_yaml_get(root, "network"), "fields");
    assert_int_equal(fields->kind, HN_YAML_MAP);
    assert_int_equal(fields->key->line, 3);
    assert_int_equal(fields->key->column, 3);
    assert_string_equal(hn_yaml_get(fields, "width")->text, "DN");
    assert_int_equal(hn_yaml_get(fields, "width")->column, 19);
    list = hn_yaml_get(root, "list");
    assert_int_equal(list->count, 2);
    assert_string_equal(list->first->next->text, "two");
    assert_int_equal(list->first->next->line, 6);
    assert_null(hn_yaml_get(root, "nothing"));
    assert_null(hn_yaml_get(list, "nothing"));
}

static void texts_are_kept_as_written(void **state)
{
    const hn_yaml_node *root;

    (void)state;
    assert_int_equal(parse("a: yes\nb: 0.50\nc: \"5\"\nd: 'it''s'\ne: 0x10\n", &root), HN_OK);
    assert_string_equal(hn_yaml_get(root, "a")->text, "yes");
    assert_string_equal(hn_yaml_get(root, "b")->text, "0.50");
    assert_string_equal(hn_yaml_get(root, "c")->text, "5");
    assert_string_equal(hn_yaml_get(root, "d")->text, "it's");
    assert_true(hn_yaml_get(root, "b")->plain);
    assert_false(hn_yaml_get(root, "c")->plain);
}

static void emptiness_is_seen(void **state)
{
    const hn_yaml_node *root;

    (void)state;
    assert_int_equal(parse("a:\nb: ~\nc: null\nd: \"\"\ne: \"null\"\nf: []\n", &root), HN_OK);
    assert_true(hn_yaml_is_empty(hn_yaml_get(root, "a")));
    assert_true(hn_yaml_is_empty(hn_yaml_get(root, "b")));
    assert_true(hn_yaml_is_empty(hn_yaml_get(root, "c")));
    assert_true(hn_yaml_is_empty(hn_yaml_get(root, "d")));
    assert_false(hn_yaml_is_empty(hn_yaml_get(root, "e")));
    assert_false(hn_yaml_is_empty(hn_yaml_get(root, "f")));
    assert_string_equal(hn_yaml_kind_name(hn_yaml_get(root, "f")), "a list");
}

static void a_key_given_twice_is_refused(void **state)
{
    (void)state;
    refused("title: A\nas_of: B\ntitle: C\n", "plan.yaml:3:1", "`title` is given twice");
    assert_non_null(strstr(err.message, "line 1"));
    refused("x: {a: 1, b: 2, a: 3}\n", "plan.yaml:1:17", "`a` is given twice");
}

static void anchors_aliases_merges_and_tags_are_refused(void **state)
{
    (void)state;
    refused("a: &x 1\nb: *x\n", "plan.yaml:1:4", "anchors");
    refused("a: &x {b: 1}\n", "plan.yaml:1:4", "anchors");
    refused("a: &x [1]\n", "plan.yaml:1:4", "anchors");
    refused("a: 1\nb: *x\n", "plan.yaml:2:4", "aliases");
    refused("a: 1\n*x : 2\n", "plan.yaml:2:1", "aliases");
    refused("a: 1\n<<: {b: 1}\n", "plan.yaml:2:1", "merge keys");
    refused("a: !!str 1\n", "plan.yaml:1:4", "tags");
    refused("a: !x {b: 1}\n", "plan.yaml:1:4", "tags");
    refused("a: !x [b]\n", "plan.yaml:1:4", "tags");
}

static void a_second_document_is_refused(void **state)
{
    (void)state;
    refused("a: 1\n---\nb: 2\n", "plan.yaml:2:1", "second document");
}

static void keys_must_be_texts(void **state)
{
    (void)state;
    refused("? [a, b]\n: 1\n", "plan.yaml:1:3", "a key must be a plain text");
    refused("?\n: 1\n", "plan.yaml:", "without a key");
}

static void what_is_no_plan_is_refused_with_its_line(void **state)
{
    (void)state;
    refused("", "plan.yaml:1", "empty");
    refused("# only a remark\n\n", "plan.yaml:1", "empty");
    refused("just some words\n", "plan.yaml:1:1", "key: value");
    refused("- a\n- b\n", "plan.yaml:1:1", "key: value");
    refused("a: 1\nb: [1, 2\nc: 3\n", "plan.yaml:3", "not valid YAML");
    refused("a: 1\n\tb: 2\n", "plan.yaml:2", "not valid YAML");
    refused("a: 'open\n", "plan.yaml:2", "not valid YAML");
    refused("title: a: b\n", "plan.yaml:1", "not valid YAML");
    assert_non_null(strstr(err.hint, "quotes"));
}

static void binary_is_refused_with_its_line(void **state)
{
    static const unsigned char geopackage[] = "SQLite format 3\0\020\0\001\001";
    static const unsigned char latin[] = "a: 1\nb: caf\xe9\n";
    const hn_yaml_node *root;

    (void)state;
    assert_int_equal(hn_yaml_read_bytes("x", geopackage, sizeof geopackage, &arena, &root, &err),
                     HN_ERR_PLAN);
    assert_non_null(strstr(err.message, "x:1: not a text file in UTF-8"));
    assert_int_equal(hn_yaml_read_bytes("x", latin, sizeof latin - 1, &arena, &root, &err),
                     HN_ERR_PLAN);
    assert_non_null(strstr(err.message, "x:2: not a text file in UTF-8"));
    refused("a: \"b\\0c\"\n", "plan.yaml:1:4", "zero byte");
}

static void nesting_and_size_are_bounded(void **state)
{
    enum { DEEP = 400, MANY = HN_YAML_MAX_KEYS + 10 };
    char *text = hn_alloc(MANY, 12);
    size_t used = 0;

    (void)state;
    memset(text, '[', DEEP);
    memcpy(text, "a: ", 3);
    refused(text, "plan.yaml:1:", "nested too deeply");
    for (int i = 0; i < MANY; i++)
        used += (size_t)snprintf(text + used, 12, "k%d: 1\n", i);
    refused(text, "plan.yaml:5001:1", "too many keys");
    hn_free(text);
    text = hn_alloc(2 * HN_YAML_MAX_NODES + 100, 1);
    memcpy(text, "a: [", 4);
    for (size_t i = 0; i < HN_YAML_MAX_NODES; i++)
        memcpy(text + 4 + 2 * i, "1,", 2);
    refused(text, "plan.yaml:1:", "too many entries");
    hn_free(text);
}

static void a_file_that_cannot_be_read_is_an_input_error(void **state)
{
    const hn_yaml_node *root;

    (void)state;
    assert_int_equal(hn_yaml_read_file("/nowhere/plan.yaml", &arena, &root, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "/nowhere/plan.yaml"));
    assert_non_null(strstr(err.hint, "haunch draft"));
    assert_int_equal(hn_yaml_read_file("/", &arena, &root, &err), HN_ERR_INPUT);
}

static void a_file_too_large_is_refused(void **state)
{
    char path[] = "/tmp/hn_yaml_XXXXXX";
    int fd = mkstemp(path);
    const hn_yaml_node *root;

    (void)state;
    assert_true(fd >= 0);
    assert_int_equal(ftruncate(fd, HN_YAML_MAX_BYTES + 1), 0);
    close(fd);
    assert_int_equal(hn_yaml_read_file(path, &arena, &root, &err), HN_ERR_PLAN);
    assert_non_null(strstr(err.message, "larger than 4 MB"));
    unlink(path);
}

static void memory_that_runs_out_is_an_error_and_not_a_leak(void **state)
{
    const hn_yaml_node *root;
    size_t before = hn_alloc_live();
    hn_status rc = HN_ERR_MEMORY;

    (void)state;
    for (size_t nth = 1; rc != HN_OK && nth < 100; nth++) {
        hn_alloc_fail_after(nth);
        rc = parse("a: [1, 2, {b: c}]\n", &root);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        hn_arena_clear(&arena);
    }
    assert_int_equal(rc, HN_OK);
    assert_int_equal(hn_alloc_live(), before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(every_node_knows_its_line_and_column, teardown),
        cmocka_unit_test_teardown(texts_are_kept_as_written, teardown),
        cmocka_unit_test_teardown(emptiness_is_seen, teardown),
        cmocka_unit_test_teardown(a_key_given_twice_is_refused, teardown),
        cmocka_unit_test_teardown(anchors_aliases_merges_and_tags_are_refused, teardown),
        cmocka_unit_test_teardown(a_second_document_is_refused, teardown),
        cmocka_unit_test_teardown(keys_must_be_texts, teardown),
        cmocka_unit_test_teardown(what_is_no_plan_is_refused_with_its_line, teardown),
        cmocka_unit_test_teardown(binary_is_refused_with_its_line, teardown),
        cmocka_unit_test_teardown(nesting_and_size_are_bounded, teardown),
        cmocka_unit_test_teardown(a_file_that_cannot_be_read_is_an_input_error, teardown),
        cmocka_unit_test_teardown(a_file_too_large_is_refused, teardown),
        cmocka_unit_test_teardown(memory_that_runs_out_is_an_error_and_not_a_leak, teardown),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
