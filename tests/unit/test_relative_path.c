#include "test_util.h"

#include "base/relative_path.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static char root[] = "/tmp/haunch-relative.XXXXXX";

static void check(const char *folder, const char *file, const char *expected)
{
    hn_arena arena = {0};
    char from[256], to[256];
    const char *way;

    snprintf(from, sizeof from, "%s%s", root, folder);
    snprintf(to, sizeof to, "%s%s", root, file);
    way = hn_relative_path(from, to, &arena);
    if (expected)
        assert_string_equal(way, expected);
    else
        assert_null(way);
    hn_arena_clear(&arena);
}

static int make(void **state)
{
    static const char *const folders[] = {"/a", "/a/out", "/a/out2", "/b"};
    static const char *const files[] = {"/a/plan.yaml", "/b/plan.yaml", "/a/out/plan.yaml"};
    char path[256];

    (void)state;
    if (!mkdtemp(root))
        return 1;
    for (size_t i = 0; i < 4; i++) {
        snprintf(path, sizeof path, "%s%s", root, folders[i]);
        if (mkdir(path, 0700) != 0)
            return 1;
    }
    for (size_t i = 0; i < 3; i++) {
        FILE *file;

        snprintf(path, sizeof path, "%s%s", root, files[i]);
        if (!(file = fopen(path, "w")))
            return 1;
        fclose(file);
    }
    snprintf(path, sizeof path, "%s/link", root);
    return symlink("a", path) != 0;
}

static int remove_all(void **state)
{
    static const char *const all[] = {"/link",  "/a/plan.yaml", "/b/plan.yaml", "/a/out/plan.yaml",
                                      "/a/out", "/a/out2",      "/a",           "/b",
                                      ""};
    char path[256];

    (void)state;
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        snprintf(path, sizeof path, "%s%s", root, all[i]);
        remove(path);
    }
    return 0;
}

static void the_way_is_as_short_as_it_can_be(void **state)
{
    (void)state;
    check("/a/out", "/a/plan.yaml", "../plan.yaml");
    check("/a", "/a/plan.yaml", "plan.yaml");
    check("/a/out", "/b/plan.yaml", "../../b/plan.yaml");
    check("/a/out2", "/a/out/plan.yaml", "../out/plan.yaml");
    check("/a/out/", "/a/plan.yaml", "../plan.yaml");
}

static void links_and_dots_make_no_difference(void **state)
{
    (void)state;
    check("/link/out", "/a/plan.yaml", "../plan.yaml");
    check("/b/../a/out", "/link/plan.yaml", "../plan.yaml");
}

static void the_folder_need_not_be_there_yet(void **state)
{
    (void)state;
    check("/a/new/deep", "/a/plan.yaml", "../../plan.yaml");
    check("/b/../a/new", "/a/plan.yaml", "../plan.yaml");
}

static void a_file_that_is_not_there_still_has_a_way(void **state)
{
    (void)state;
    check("/a/out", "/a/gone.yaml", "../gone.yaml");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_way_is_as_short_as_it_can_be),
        cmocka_unit_test(links_and_dots_make_no_difference),
        cmocka_unit_test(the_folder_need_not_be_there_yet),
        cmocka_unit_test(a_file_that_is_not_there_still_has_a_way),
    };
    return cmocka_run_group_tests(tests, make, remove_all);
}
