/* The result folder: whatever goes wrong, the result before stays whole. */
#include "test_util.h"
#include "write_fixture.h"

#include "base/alloc.h"
#include "write/result_writer.h"

#include <dirent.h>
#include <errno.h>
#include <gdal.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>

static char base[64], target[80];

static int set_up(void **state)
{
    (void)state;
    GDALAllRegister();
    fixture_folder(base);
    snprintf(target, sizeof target, "%s/run", base);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    fixture_remove(base);
    return 0;
}

enum { ROWS = 20000 };
static const hn_view_column columns[] = {
    {"id", "Identity", "Who.", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"length_m", "Length", "How.", "m", HN_VIEW_REAL, 2, NULL, 0}};

static void row_of(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    (void)context;
    hn_cell_text(&cells[0], hn_scratch_printf(scratch, "S%zu", row));
    hn_cell_real(&cells[1], (double)row / 3);
}

static const hn_view view_a = {"segments", "Segments", "All.", HN_GEOMETRY_NONE, columns,
                               2,          ROWS,       NULL,   row_of,           NULL};
static const hn_view view_b = {"totals", "Totals", "Sums.", HN_GEOMETRY_NONE, columns,
                               2,        3,        NULL,    row_of,           NULL};
static const hn_view *const views[] = {&view_a, &view_b};

static hn_result_spec plain_spec(const char *manifest)
{
    return (hn_result_spec){.folder = target,
                            .views = views,
                            .view_count = 2,
                            .title = "t",
                            .lineage = "l",
                            .as_of = 20454,
                            .threads = 2,
                            .write_csv = 1,
                            .write_xlsx = 1,
                            .xlsx_row_limit = 100,
                            .manifest_json = manifest};
}

static const char *in_target(const char *name)
{
    static char paths[4][200];
    static int next;
    char *path = paths[next++ % 4];

    snprintf(path, sizeof paths[0], "%s/%s", target, name);
    return path;
}

static void assert_holds(const char *name, const char *expected)
{
    char *text = fixture_read(in_target(name), NULL);

    assert_non_null(text);
    assert_string_equal(text, expected);
    free(text);
}

static void put_file(const char *name, const char *text)
{
    FILE *file = fopen(in_target(name), "w");

    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}

static size_t entries(const char *path)
{
    DIR *folder = opendir(path);
    size_t count = 0;

    assert_non_null(folder);
    while (readdir(folder))
        count++;
    closedir(folder);
    return count - 2;
}

static void write_well(const char *manifest)
{
    const hn_result_spec spec = plain_spec(manifest);
    hn_error err = {0};

    if (hn_result_write(&spec, &err) != HN_OK)
        fail_msg("%s", err.message);
    assert_int_equal(hn_alloc_live(), 0);
}

static void a_result_has_all_its_files(void **state)
{
    (void)state;
    write_well("one");
    assert_holds("run.json", "one");
    assert_int_equal(entries(target), 4);
    assert_int_equal(entries(in_target("tables")), 4);
    assert_int_equal(entries(base), 1);
}

static void missing_parents_are_made(void **state)
{
    hn_error err = {0};

    (void)state;
    snprintf(target, sizeof target, "%s/a/b/run/", base);
    assert_int_equal(hn_result_check_folder(target, &err), HN_OK);
    assert_int_equal(entries(base), 0);
    write_well("one");
    assert_holds("run.json", "one");
}

static void a_second_result_replaces_the_first(void **state)
{
    (void)state;
    write_well("one");
    put_file("tables/gone.csv", "stale");
    put_file("result.gpkg-wal", "stale");
    write_well("two");
    assert_holds("run.json", "two");
    assert_int_equal(access(in_target("tables/gone.csv"), F_OK), -1);
    assert_int_equal(access(in_target("result.gpkg-wal"), F_OK), -1);
    assert_int_equal(entries(base), 1);
}

static void files_of_a_person_move_to_the_new_result(void **state)
{
    (void)state;
    write_well("one");
    put_file("notes.txt", "mine");
    put_file("tables/sketch.ods", "mine too");
    assert_int_equal(mkdir(in_target("map"), 0777), 0);
    put_file("map/map.qgs", "a map");
    write_well("two");
    write_well("three");
    assert_holds("notes.txt", "mine");
    assert_holds("tables/sketch.ods", "mine too");
    assert_holds("map/map.qgs", "a map");
    assert_holds("run.json", "three");
    assert_int_equal(entries(base), 1);
}

static void a_link_to_the_result_stays_a_link(void **state)
{
    char link_path[100], target_before[80];
    struct stat info;

    (void)state;
    write_well("one");
    snprintf(link_path, sizeof link_path, "%s/latest", base);
    assert_int_equal(symlink(target, link_path), 0);
    memcpy(target_before, target, sizeof target);
    snprintf(target, sizeof target, "%.78s", link_path);
    write_well("two");
    assert_int_equal(lstat(link_path, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    memcpy(target, target_before, sizeof target);
    assert_holds("run.json", "two");
}

static void a_folder_that_is_not_ours_is_refused(void **state)
{
    hn_error err = {0};
    hn_result_spec spec = plain_spec("x");

    (void)state;
    assert_int_equal(mkdir(target, 0777), 0);
    assert_int_equal(hn_result_check_folder(target, &err), HN_OK); /* empty: welcome */
    put_file("thesis.doc", "years of work");
    assert_int_equal(hn_result_check_folder(target, &err), HN_ERR_OUTPUT);
    assert_non_null(strstr(err.message, "run.json"));
    assert_true(err.hint[0] != '\0');
    assert_int_equal(hn_result_write(&spec, &err), HN_ERR_OUTPUT);
    assert_holds("thesis.doc", "years of work");
    assert_int_equal(entries(target), 1);
    assert_int_equal(hn_alloc_live(), 0);
    spec.folder = "/";
    assert_int_equal(hn_result_write(&spec, &err), HN_ERR_OUTPUT);
    spec.folder = "";
    assert_int_equal(hn_result_write(&spec, &err), HN_ERR_OUTPUT);
    spec.folder = in_target("thesis.doc");
    assert_int_equal(hn_result_write(&spec, &err), HN_ERR_OUTPUT);
}

/* In a child that is not root: root may write everywhere. */
static void a_folder_without_right_to_write_is_refused(void **state)
{
    int outcome;
    pid_t child;

    (void)state;
    assert_int_equal(chmod(base, 0555), 0);
    child = fork();
    if (child == 0) {
        hn_error err = {0};
        const hn_result_spec spec = plain_spec("x");

        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(3);
        if (hn_result_check_folder(target, &err) != HN_ERR_OUTPUT || !strstr(err.message, base))
            _exit(1);
        if (hn_result_write(&spec, &err) != HN_ERR_OUTPUT || !err.hint[0])
            _exit(2);
        _exit(0);
    }
    assert_int_equal(waitpid(child, &outcome, 0), child);
    assert_int_equal(chmod(base, 0755), 0);
    assert_int_equal(WEXITSTATUS(outcome), 0);
}

/* Every size limit from nothing to nearly enough stops another writer. */
static void a_write_that_fails_leaves_the_old_result(void **state)
{
    static const rlim_t limits[] = {0, 100, 5000, 50000, 120000, 200000, 300000, 400000};
    struct rlimit old, tight;

    (void)state;
    write_well("one");
    signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &old);
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
        const hn_result_spec spec = plain_spec("two");
        hn_error err = {0};
        hn_status rc;

        tight = old;
        tight.rlim_cur = limits[i];
        setrlimit(RLIMIT_FSIZE, &tight);
        rc = hn_result_write(&spec, &err);
        setrlimit(RLIMIT_FSIZE, &old);
        assert_int_equal(rc, HN_ERR_OUTPUT);
        assert_non_null(strstr(err.message, "cannot write"));
        assert_holds("run.json", "one");
        assert_int_equal(entries(base), 1);
        assert_int_equal(hn_alloc_live(), 0);
    }
}

static void a_full_disk_says_how_much_is_needed(void **state)
{
    static const char *const sizes[] = {"size=64k", "size=600k", "size=780k"};

    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        char disk[80];
        hn_result_spec spec = plain_spec("x");
        hn_error err = {0};
        hn_status rc;

        snprintf(disk, sizeof disk, "%s/disk", base);
        mkdir(disk, 0777);
        if (mount("tmpfs", disk, "tmpfs", 0, sizes[i]) != 0) {
            print_message("no right to mount a small disk: step left out\n");
            return;
        }
        snprintf(target, sizeof target, "%.60s/disk/run", base);
        rc = hn_result_write(&spec, &err);
        if (rc == HN_ERR_OUTPUT && entries(disk) != 0)
            rc = HN_ERR_INTERNAL; /* a partial folder was left */
        assert_int_equal(umount(disk), 0);
        assert_int_equal(rc, HN_ERR_OUTPUT);
        assert_non_null(strstr(err.message, disk));
        assert_non_null(strstr(err.hint, "MB are left"));
    }
}

/* A run that is killed at a given share of its progress. */
static double kill_at;

static void kill_when_due(void *context, double share)
{
    (void)context;
    if (share >= kill_at)
        kill(getpid(), SIGKILL);
}

static void killed_run(double share)
{
    int outcome;
    pid_t child = fork();

    if (child == 0) {
        hn_result_spec spec = plain_spec("killed");

        kill_at = share;
        spec.progress = kill_when_due;
        spec.threads = 1;
        if (hn_result_write(&spec, NULL) != HN_OK)
            _exit(1);
        _exit(0);
    }
    assert_int_equal(waitpid(child, &outcome, 0), child);
    assert_true(WIFSIGNALED(outcome));
}

static void a_killed_run_leaves_the_old_result_and_is_swept(void **state)
{
    static const double shares[] = {0, 0.3, 0.6, 0.95};
    hn_error err = {0};

    (void)state;
    write_well("one");
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        killed_run(shares[i]);
        assert_holds("run.json", "one");
        assert_int_equal(entries(target), 4);
        assert_int_equal(entries(base), 2); /* the partial folder */
        assert_int_equal(hn_result_check_folder(target, &err), HN_OK);
        assert_int_equal(entries(base), 1);
    }
    killed_run(0.5);
    write_well("two");
    assert_int_equal(entries(base), 1);
}

/* Killed after any number of microseconds: the result is the old or the new
 * one, whole. */
static void a_kill_at_any_moment_finds_a_whole_result(void **state)
{
    int found_old = 0, found_new = 0;

    (void)state;
    write_well("one");
    for (int i = 0; i < 60; i++) {
        pid_t child = fork();
        hn_error err = {0};
        char *manifest;

        if (child == 0) {
            const hn_result_spec spec = plain_spec(i % 2 ? "one" : "two");

            if (hn_result_write(&spec, NULL) != HN_OK)
                _exit(1);
            _exit(0);
        }
        usleep((useconds_t)(i * 5000));
        kill(child, SIGKILL);
        waitpid(child, NULL, 0);
        manifest = fixture_read(in_target("run.json"), NULL);
        assert_non_null(manifest);
        assert_int_equal(entries(target), 4);
        found_new += strcmp(manifest, i % 2 ? "one" : "two") == 0;
        found_old += strcmp(manifest, i % 2 ? "one" : "two") != 0;
        free(manifest);
        assert_int_equal(hn_result_check_folder(target, &err), HN_OK);
        assert_int_equal(entries(base), 1);
    }
    print_message("killed: %d times the old result, %d times the new one\n", found_old, found_new);
}

static void a_result_left_aside_is_put_back(void **state)
{
    char aside[100];
    hn_error err = {0};
    pid_t child = fork(); /* its number is surely dead */

    (void)state;
    if (child == 0)
        _exit(0);
    waitpid(child, NULL, 0);
    write_well("one");
    snprintf(aside, sizeof aside, "%s/.run.old-%d", base, (int)child);
    assert_int_equal(rename(target, aside), 0);
    assert_int_equal(hn_result_check_folder(target, &err), HN_OK);
    assert_holds("run.json", "one");
    assert_int_equal(entries(base), 1);
}

static void folders_of_live_runs_and_others_are_left_alone(void **state)
{
    static const char *const names[] = {".run.partial-1", ".run.partial-x",
                                        ".other.partial-99999999", ".run.partial-",
                                        ".runner.partial-99999999"};
    char path[200];
    hn_error err = {0};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(path, sizeof path, "%s/%s", base, names[i]);
        assert_int_equal(mkdir(path, 0777), 0);
    }
    assert_int_equal(hn_result_check_folder(target, &err), HN_OK);
    assert_int_equal(entries(base), sizeof names / sizeof *names);
}

static void stop_at_half(void *context, double share)
{
    (void)context;
    if (share > 0.5)
        hn_result_abandon();
}

static void an_abandoned_run_leaves_nothing(void **state)
{
    hn_result_spec spec;
    hn_error err = {0};

    (void)state;
    hn_result_abandon(); /* nothing under way */
    write_well("one");
    for (int threads = 1; threads <= 2; threads++) {
        spec = plain_spec("two");
        spec.threads = threads;
        spec.progress = stop_at_half;
        assert_int_equal(hn_result_write(&spec, &err), HN_ERR_OUTPUT);
        assert_holds("run.json", "one");
        assert_int_equal(entries(base), 1);
        assert_int_equal(hn_alloc_live(), 0);
    }
}

static void note_share(void *context, double share)
{
    double *last = context;

    assert_true(share >= *last && share <= 1);
    *last = share;
}

static hn_status more(void *context, const char *folder, hn_error *err)
{
    char path[200];
    FILE *file;

    if (context)
        return hn_fail(err, HN_ERR_OUTPUT, "no more");
    snprintf(path, sizeof path, "%s/report.html", folder);
    file = fopen(path, "w");
    assert_non_null(file);
    fputs("<html>", file);
    fclose(file);
    return HN_OK;
}

static void progress_goes_up_and_more_files_come_along(void **state)
{
    hn_result_spec spec = plain_spec("one");
    double last = 0;
    hn_error err = {0};

    (void)state;
    spec.progress = note_share;
    spec.progress_context = &last;
    spec.threads = 1;
    spec.write_more = more;
    assert_int_equal(hn_result_write(&spec, &err), HN_OK);
    assert_true(last == 1);
    assert_holds("report.html", "<html>");
    spec.more_context = &last;
    last = 0;
    assert_int_equal(hn_result_write(&spec, &err), HN_ERR_OUTPUT);
    assert_string_equal(err.message, "no more");
    assert_holds("report.html", "<html>");
}

static void one_thread_and_two_give_the_same_bytes(void **state)
{
    static const char *const names[] = {"result.gpkg", "tables.xlsx", "tables/segments.csv",
                                        "tables/totals.csv", "tables/segments.csvt"};
    hn_result_spec spec = plain_spec("one");
    char other[80];
    hn_error err = {0};

    (void)state;
    write_well("one");
    snprintf(other, sizeof other, "%s/other", base);
    spec.folder = other;
    spec.threads = 1;
    sleep(2); /* the clock of a zip file counts by two seconds */
    assert_int_equal(hn_result_write(&spec, &err), HN_OK);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[200];

        snprintf(path, sizeof path, "%s/%s", other, names[i]);
        assert_true(fixture_same_bytes(path, in_target(names[i])));
    }
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(a_result_has_all_its_files),
        IN_FOLDER(missing_parents_are_made),
        IN_FOLDER(a_second_result_replaces_the_first),
        IN_FOLDER(files_of_a_person_move_to_the_new_result),
        IN_FOLDER(a_link_to_the_result_stays_a_link),
        IN_FOLDER(a_folder_that_is_not_ours_is_refused),
        IN_FOLDER(a_folder_without_right_to_write_is_refused),
        IN_FOLDER(a_write_that_fails_leaves_the_old_result),
        IN_FOLDER(a_full_disk_says_how_much_is_needed),
        IN_FOLDER(a_killed_run_leaves_the_old_result_and_is_swept),
        IN_FOLDER(a_kill_at_any_moment_finds_a_whole_result),
        IN_FOLDER(a_result_left_aside_is_put_back),
        IN_FOLDER(folders_of_live_runs_and_others_are_left_alone),
        IN_FOLDER(an_abandoned_run_leaves_nothing),
        IN_FOLDER(progress_goes_up_and_more_files_come_along),
        IN_FOLDER(one_thread_and_two_give_the_same_bytes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
