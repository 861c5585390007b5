#include "network/merge_values.h"

#include <stdio.h>
#include <string.h>

enum { MEMBERS_MAX = 1024 };

static size_t last_of(size_t head, const int32_t *next)
{
    while (next[head] >= 0)
        head = (size_t)next[head];
    return head;
}

/* Sum over the pieces; missing when any piece is missing. */
static void take_sum(hn_table *table, hn_column_id id, size_t head, const int32_t *next,
                     size_t keeper)
{
    double sum = 0.0;

    if (!table->column[id])
        return;
    for (int32_t k = (int32_t)head; k >= 0; k = next[k])
        sum += hn_table_number(table, id, (size_t)k);
    hn_table_set_number(table, id, keeper, sum);
}

/* The largest known value: the worst defect or grade. */
static void take_worst(hn_table *table, hn_column_id id, size_t head, const int32_t *next,
                       size_t keeper)
{
    double worst = (double)NAN;

    if (!table->column[id])
        return;
    for (int32_t k = (int32_t)head; k >= 0; k = next[k]) {
        double value = hn_table_number(table, id, (size_t)k);

        if (isnan(worst) || value > worst)
            worst = value;
    }
    hn_table_set_number(table, id, keeper, worst);
}

/* Recorded lengths of pieces are either per piece or, when every piece repeats
 * the same number, the length of the whole reach. */
static void take_recorded_length(hn_table *table, size_t head, const int32_t *next, size_t keeper)
{
    double first = hn_f64(table, HN_COL_LENGTH_RECORDED_M, head), drawn = 0.0;
    int same = 1;

    if (!table->column[HN_COL_LENGTH_RECORDED_M])
        return;
    for (int32_t k = (int32_t)head; k >= 0; k = next[k]) {
        same = same && hn_f64(table, HN_COL_LENGTH_RECORDED_M, (size_t)k) == first;
        drawn += hn_f64(table, HN_COL_LENGTH_GEOMETRY_M, (size_t)k);
    }
    if (same && fabs(first - drawn) <= 0.1 * drawn)
        HN_F64(table, LENGTH_RECORDED_M)[keeper] = first;
    else
        take_sum(table, HN_COL_LENGTH_RECORDED_M, head, next, keeper);
}

static void copy_value(hn_table *table, hn_column_id id, size_t from, size_t to)
{
    size_t size = hn_kind_size(hn_column_definition(id)->kind);
    char *values = table->column[id];

    if (values && from != to)
        memcpy(values + to * size, values + from * size, size);
}

static hn_status take_pieces(hn_table *table, size_t head, const int32_t *next, size_t keeper,
                             hn_error *err)
{
    const double *length = table->column[HN_COL_LENGTH_GEOMETRY_M];
    double whole = 0.0, begin = 0.0;
    hn_status rc = HN_OK;

    for (int32_t k = (int32_t)head; k >= 0; k = next[k])
        whole += length[k];
    for (int32_t k = (int32_t)head; k >= 0 && whole > 0.0; k = next[k]) {
        HN_TRY(hn_pieces_add(&table->pieces,
                             (hn_piece){.id = hn_str(table, HN_COL_SEGMENT_ID, (size_t)k),
                                        .whole = hn_str(table, HN_COL_SEGMENT_ID, keeper),
                                        .row = -1,
                                        .begin = (float)(begin / whole),
                                        .share = (float)(length[k] / whole)},
                             err));
        begin += length[k];
    }
out:
    return rc;
}

static hn_status take_members(hn_table *table, size_t head, const int32_t *next, size_t keeper,
                              hn_error *err)
{
    char names[MEMBERS_MAX];
    size_t used = 0;
    int32_t count = 0;
    uint32_t id;

    for (int32_t k = (int32_t)head; k >= 0; k = next[k], count++) {
        const char *name = hn_table_text(table, HN_COL_SEGMENT_ID, (size_t)k);
        int n = snprintf(names + used, sizeof names - used, "%s%s", count ? "; " : "", name);

        if (n > 0 && used + (size_t)n < sizeof names)
            used += (size_t)n;
    }
    id = hn_text_pool_add(table->texts, names, used);
    if (id == UINT32_MAX)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    HN_STR(table, MEMBERS)[keeper] = id;
    HN_I32(table, SOURCE_ROWS)[keeper] = count;
    return HN_OK;
}

static void take_known_text(hn_table *table, hn_column_id id, size_t head, const int32_t *next,
                            size_t keeper)
{
    uint32_t *values = table->column[id];

    if (!values || values[keeper])
        return;
    for (int32_t k = (int32_t)head; k >= 0 && !values[keeper]; k = next[k])
        values[keeper] = values[k];
}

static void take_known_number(hn_table *table, hn_column_id id, size_t head, const int32_t *next,
                              size_t keeper)
{
    for (int32_t k = (int32_t)head;
         table->column[id] && k >= 0 && isnan(hn_table_number(table, id, keeper)); k = next[k])
        hn_table_set_number(table, id, keeper, hn_table_number(table, id, (size_t)k));
}

static void take_collapsed(hn_table *table, size_t head, const int32_t *next, size_t keeper)
{
    uint8_t *values = table->column[HN_COL_COLLAPSED];

    for (int32_t k = (int32_t)head; values && k >= 0; k = next[k])
        if (values[k] == 1 || values[keeper] == HN_CODE_MISSING)
            values[keeper] = values[k];
}

hn_status hn_merge_values(hn_table *table, size_t head, const int32_t *next, size_t keeper,
                          hn_issue_list *issues, hn_error *err)
{
    static const hn_column_id up_end[] = {HN_COL_UP_NODE,     HN_COL_UP_INDEX,  HN_COL_INVERT_UP_M,
                                          HN_COL_GROUND_UP_M, HN_COL_DEPTH_UP_M};
    static const hn_column_id down_end[] = {HN_COL_DOWN_NODE, HN_COL_DOWN_INDEX,
                                            HN_COL_INVERT_DOWN_M, HN_COL_GROUND_DOWN_M,
                                            HN_COL_DEPTH_DOWN_M};
    static const hn_column_id sums[] = {HN_COL_LENGTH_GEOMETRY_M, HN_COL_LATERALS,
                                        HN_COL_SPOT_DEFECTS,      HN_COL_INFILTRATION_FLOW,
                                        HN_COL_PEOPLE,            HN_COL_FLOW_ADDED};
    static const hn_column_id worst[] = {HN_COL_BEND_RECORDED_DEG, HN_COL_OFFSET_PCT,
                                         HN_COL_OVALITY_PCT,       HN_COL_SAG_PCT,
                                         HN_COL_DEPOSITS_PCT,      HN_COL_GRADE_STRUCTURAL,
                                         HN_COL_GRADE_SERVICE,     HN_COL_GRADE_TIGHTNESS,
                                         HN_COL_GROUNDWATER_M};
    static const hn_column_id known[] = {HN_COL_MATERIAL, HN_COL_DISTRICT, HN_COL_STREET,
                                         HN_COL_SURFACE, HN_COL_SOIL,      HN_COL_DUTY};
    static const hn_column_id known_numbers[] = {
        HN_COL_WIDTH_MM,    HN_COL_HEIGHT_MM,      HN_COL_WIDTH_UP_MM,  HN_COL_WIDTH_DOWN_MM,
        HN_COL_YEAR_BUILT,  HN_COL_SLOPE_RECORDED, HN_COL_FLOW_REQUIRED, HN_COL_ACCESS_MM};
    size_t tail = last_of(head, next);
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(table, HN_COL_MEMBERS, err));
    HN_TRY(hn_table_want(table, HN_COL_SOURCE_ROWS, err));
    HN_TRY(take_members(table, head, next, keeper, err));
    HN_TRY(take_pieces(table, head, next, keeper, err)); /* before the lengths are summed */
    take_recorded_length(table, head, next, keeper);
    for (size_t i = 0; i < sizeof sums / sizeof sums[0]; i++)
        take_sum(table, sums[i], head, next, keeper);
    for (size_t i = 0; i < sizeof worst / sizeof worst[0]; i++)
        take_worst(table, worst[i], head, next, keeper);
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
        take_known_text(table, known[i], head, next, keeper);
    for (size_t i = 0; i < sizeof known_numbers / sizeof known_numbers[0]; i++)
        take_known_number(table, known_numbers[i], head, next, keeper);
    take_collapsed(table, head, next, keeper);
    for (size_t i = 0; i < sizeof up_end / sizeof up_end[0]; i++)
        copy_value(table, up_end[i], head, keeper);
    for (size_t i = 0; i < sizeof down_end / sizeof down_end[0]; i++)
        copy_value(table, down_end[i], tail, keeper);
    hn_issue_add(issues, HN_SEVERITY_NOTE, "fragment_merged",
                 hn_table_text(table, HN_COL_SEGMENT_ID, keeper), "segment_id",
                 hn_table_text(table, HN_COL_MEMBERS, keeper),
                 "pieces between the same manholes", "merged into one segment",
                 (double)NAN, (double)NAN);
out:
    return rc;
}
