/* The text exchange form of EN 13508-2, from memory: what is read, and how a broken
 * file says where. All texts are made by hand. */
#include "source_fixture.h"

#include "read/exchange_text.h"

#include <stdlib.h>
#include <string.h>

typedef struct taken {
    size_t inspections, observations, faults, fault_line;
    char pipe[32], up[32], down[32], direction[8], code[8], remark[32], mark[8], fault_field[8];
    double distance_m, q1, clock_from;
    int at_joint;
    int32_t date;
} taken;

static hn_status take_inspection(void *context, const hn_exchange_header *h, hn_error *err)
{
    taken *t = context;

    (void)err;
    t->inspections++;
    snprintf(t->pipe, sizeof t->pipe, "%s", h->pipe);
    snprintf(t->up, sizeof t->up, "%s", h->up_node);
    snprintf(t->down, sizeof t->down, "%s", h->down_node);
    snprintf(t->direction, sizeof t->direction, "%s", h->direction);
    t->date = h->date;
    return HN_OK;
}

static hn_status take_observation(void *context, const hn_exchange_row *r, hn_error *err)
{
    taken *t = context;

    (void)err;
    t->observations++;
    snprintf(t->code, sizeof t->code, "%s", r->code);
    snprintf(t->remark, sizeof t->remark, "%s", r->remark);
    snprintf(t->mark, sizeof t->mark, "%s", r->mark);
    t->distance_m = r->distance_m;
    t->q1 = r->q1;
    t->clock_from = r->clock_from;
    t->at_joint = r->at_joint;
    return HN_OK;
}

static void take_fault(void *context, size_t line, const char *field, const char *value)
{
    taken *t = context;

    (void)value;
    t->faults++;
    t->fault_line = line;
    snprintf(t->fault_field, sizeof t->fault_field, "%s", field);
}

static hn_status read_text(const char *text, taken *t, hn_error *err)
{
    const hn_exchange_takers takers = {take_inspection, take_observation, take_fault, t};
    const char *path = fixture_text("survey.txt", text);

    memset(t, 0, sizeof *t);
    memset(err, 0, sizeof *err);
    return hn_exchange_text_read(path, &takers, err);
}

#define FORM "#A1=ISO-8859-1:1998\n#A2=en\n#A3=;\n#A4=,\n#A5=\"\n#A6=2010\n"
#define HEAD "#B01=AAA;AAD;AAF;AAK;ABF\nP1;M1;M2;B;2023-04-05\n"

static void a_whole_file_gives_inspections_and_observations(void **state)
{
    taken t;
    hn_error err;

    (void)state;
    assert_int_equal(read_text(FORM HEAD "#B02=ACA;ACB\nA;300\n#C=I;J;A;B;D;F;G;K\n"
                                         "0,00;;BCD;;;;;\n"
                                         "12,50;A1;BAB;C;6,5;\"wide; open\";3;A\n#Z\n"
                                         "#B01=AAA\nP2\n#Z\n",
                               &t, &err),
                     HN_OK);
    assert_int_equal(t.inspections, 2);
    assert_int_equal(t.observations, 2);
    assert_int_equal(t.faults, 0);
    assert_string_equal(t.pipe, "P2");
    assert_string_equal(t.up, ""); /* nothing is left of the inspection before */
    assert_string_equal(t.code, "BAB");
    assert_string_equal(t.remark, "wide; open");
    assert_string_equal(t.mark, "A1");
    assert_close(t.distance_m, 12.5, 1e-12);
    assert_close(t.q1, 6.5, 1e-12);
    assert_close(t.clock_from, 3, 0);
    assert_true(t.at_joint);
}

static void old_code_pages_and_line_ends_are_read(void **state)
{
    taken t;
    hn_error err;

    (void)state;
    assert_int_equal(read_text("\xef\xbb\xbf#A1=utf-8\r\n#A3=,\r\n#B01=AAA,ABF\r\nP1,2023-02-31\r\n"
                               "#C=A,F,I\r\nBAB,gr\xfcn,1.5\r\n#Z\r\n",
                               &t, &err),
                     HN_OK);
    assert_string_equal(t.remark, "gr\xc3\xbcn");
    assert_close(t.distance_m, 1.5, 1e-12);
    assert_int_equal(t.faults, 1); /* there is no 31st of February */
    assert_string_equal(t.fault_field, "ABF");
}

static void a_value_that_cannot_be_read_is_missing_and_told(void **state)
{
    taken t;
    hn_error err;

    (void)state;
    assert_int_equal(read_text(FORM HEAD "#C=I;A;D\n1,5;BAB;2 mm\n#Z\n", &t, &err), HN_OK);
    assert_true(isnan(t.q1));
    assert_int_equal(t.faults, 1);
    assert_int_equal(t.fault_line, 10);
    assert_string_equal(t.fault_field, "D");
}

static void a_broken_file_says_line_and_field(void **state)
{
    static const struct {
        const char *text, *line, *what;
    } broken[] = {
        {"", "line 0", "the file is empty"},
        {"BAB;1\n", "line 1, field #A1", "the first line is not #A1="},
        {"#A1=x\nP1;M1\n", "line 2", "values without"},
        {"#A1=x\n#C=A\nBAB\n", "line 2, field #C", "without a header"},
        {FORM HEAD "#C=I;D\n1;2\n#Z\n", "line 9, field #C", "no column A"},
        {FORM HEAD "#C=I;A\n1;BAB;3\n#Z\n", "line 10", "more values than #C="},
        {FORM HEAD "#C=I;A\n1;\n#Z\n", "line 10, field A", "without its main code"},
        {FORM HEAD "#C=I;A\n1;BAB\n", "line 10, field #Z", "ends inside of an inspection"},
        {FORM HEAD "#C=I;A\n1;BAB\n" HEAD, "line 11, field #B01", "does not end with #Z"},
        {FORM "#B01=AAA;ABF\n#C=A\n", "line 8, field #B", "the line of values"},
        {FORM "#B01=ABF\n2023-01-01\n#C=A\n", "line 9, field AAA", "names neither its pipe"},
        {FORM "#B01=AAA\nP1;M1\n", "line 8", "more values than the #B line"},
        {FORM "#Z\n", "line 7, field #Z", "an end without an inspection"},
        {FORM "#Q=1\n", "line 7", "none of #A, #B, #C, #Z"},
        {FORM "#B01\n", "line 7, field #B", "is not #B01="},
    };
    taken t;
    hn_error err;

    (void)state;
    for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++) {
        if (read_text(broken[i].text, &t, &err) != HN_ERR_INPUT)
            fail_msg("case %zu is not refused", i);
        if (!strstr(err.message, broken[i].line) || !strstr(err.message, broken[i].what))
            fail_msg("case %zu says: %s", i, err.message);
        assert_true(err.hint[0] != '\0');
    }
}

static void cut_files_never_crash(void **state)
{
    static const char whole[] = FORM HEAD "#C=I;J;A;F\n12,50;A1;BAB;\"open; x\"\n#Z\n";
    char cut[sizeof whole];
    taken t;
    hn_error err;

    (void)state;
    for (size_t n = 0; n < sizeof whole; n++) {
        hn_status rc;

        memcpy(cut, whole, n);
        cut[n] = '\0';
        rc = read_text(cut, &t, &err);
        assert_true(rc == HN_OK || (rc == HN_ERR_INPUT && err.message[0]));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_file_gives_inspections_and_observations),
        cmocka_unit_test(old_code_pages_and_line_ends_are_read),
        cmocka_unit_test(a_value_that_cannot_be_read_is_missing_and_told),
        cmocka_unit_test(a_broken_file_says_line_and_field),
        cmocka_unit_test(cut_files_never_crash),
    };

    return cmocka_run_group_tests(tests, fixture_begin, fixture_end);
}
