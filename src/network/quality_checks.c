#include "network/quality_checks.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "base/hash.h"
#include "base/radix.h"
#include "table/sentence.h"

#include <stdio.h>
#include <string.h>

enum { TEXT_MAX = 512 };

/* The rule of the table that asks for a named check, or NULL. */
static const hn_quality_rule *asked(const hn_plan *plan, const char *check)
{
    for (size_t i = 0; i < plan->config.quality_count; i++)
        if (plan->config.quality[i].check && strcmp(plan->config.quality[i].check, check) == 0)
            return &plan->config.quality[i];
    return NULL;
}

void hn_quality_add(hn_issue_list *issues, const hn_table *table, size_t row,
                    hn_severity severity, const char *rule, const char *field, const char *value,
                    const char *message, const char *effect)
{
    size_t n = hn_line_points(&table->lines, row);
    const double *xy = n ? table->lines.xy + 2 * table->lines.start[row] : NULL;
    char sentence[TEXT_MAX];

    message = hn_sentence(table, row, message, (double)NAN, sentence, sizeof sentence);
    hn_issue_add(issues, severity, rule, hn_table_text(table, HN_COL_SEGMENT_ID, row), field,
                 value, message, effect, xy ? xy[0] : (double)NAN, xy ? xy[1] : (double)NAN);
}

static void end_gap(const hn_table *table, const hn_plan *plan, const hn_plane *plane,
                    const hn_nodes *nodes, size_t row, int is_up, const hn_quality_rule *rule,
                    hn_issue_list *issues)
{
    const hn_lines *lines = &table->lines;
    int32_t node = is_up ? HN_I32(table, UP_INDEX)[row] : HN_I32(table, DOWN_INDEX)[row];
    size_t at = is_up ? lines->start[row] : lines->start[row + 1] - 1;
    double place[2] = {nodes->x[node], nodes->y[node]}, gap_m;
    char value[96];

    if (isnan(place[0]))
        return;
    gap_m = hn_plane_distance_m(plane, place, lines->xy + 2 * at);
    if (!(gap_m > plan->snap_m))
        return;
    snprintf(value, sizeof value, "%.2f m from node %.40s", gap_m,
             hn_text_pool_get(table->texts, nodes->text[node]));
    hn_quality_add(issues, table, row, rule->severity, rule->id, is_up ? "up_node" : "down_node",
                   value, rule->message, rule->effect);
}

/* Distance between one end of the row's line and one of its nodes. */
static double gap_m(const hn_table *table, const hn_plane *plane, const hn_nodes *nodes,
                    size_t row, int line_end_is_last, int32_t node)
{
    const hn_lines *lines = &table->lines;
    size_t at = line_end_is_last ? lines->start[row + 1] - 1 : lines->start[row];
    double place[2] = {nodes->x[node], nodes->y[node]};

    return hn_plane_distance_m(plane, place, lines->xy + 2 * at);
}

/* Each end lies at the other end's node: drawn against the flow, nothing worse. */
static int is_reversed(const hn_table *table, const hn_plan *plan, const hn_plane *plane,
                       const hn_nodes *nodes, size_t row)
{
    int32_t up = HN_I32(table, UP_INDEX)[row], down = HN_I32(table, DOWN_INDEX)[row];

    return up != down && gap_m(table, plane, nodes, row, 0, up) > plan->snap_m &&
           gap_m(table, plane, nodes, row, 1, down) > plan->snap_m &&
           gap_m(table, plane, nodes, row, 0, down) <= plan->snap_m &&
           gap_m(table, plane, nodes, row, 1, up) <= plan->snap_m;
}

static void check_ends(const hn_table *table, const hn_plan *plan, const hn_plane *plane,
                       const hn_nodes *nodes, hn_issue_list *issues)
{
    const hn_quality_rule *rule = asked(plan, "ends_do_not_meet");

    for (size_t i = 0; rule && i < table->rows; i++) {
        if (hn_line_points(&table->lines, i) == 0)
            continue;
        if (is_reversed(table, plan, plane, nodes, i)) {
            hn_quality_add(issues, table, i, HN_SEVERITY_NOTE, "line_reversed", "geometry", "",
                           "the line is drawn against the flow", "the node ids are followed");
            continue;
        }
        end_gap(table, plan, plane, nodes, i, 1, rule, issues);
        end_gap(table, plan, plane, nodes, i, 0, rule, issues);
    }
}

static void check_pseudo_nodes(const hn_table *table, const hn_plan *plan, hn_issue_list *issues)
{
    const hn_quality_rule *rule = asked(plan, "pseudo_node_id");
    static const hn_column_id columns[] = {HN_COL_UP_NODE, HN_COL_DOWN_NODE};

    for (size_t i = 0; rule && i < table->rows; i++) {
        for (size_t k = 0; k < 2; k++) {
            const char *id = hn_table_text(table, columns[k], i);

            if (table->column[columns[k]] && hn_is_pseudo_node_id(id))
                hn_quality_add(issues, table, i, rule->severity, rule->id,
                               hn_column_definition(columns[k])->name, id[0] ? id : "(empty)",
                               rule->message, rule->effect);
        }
    }
}

static void check_slope(const hn_table *table, const hn_plan *plan, hn_issue_list *issues)
{
    const hn_quality_rule *rule = asked(plan, "adverse_slope");
    char value[64];

    for (size_t i = 0; rule && i < table->rows; i++) {
        double fall = hn_f64(table, HN_COL_INVERT_UP_M, i) - hn_f64(table, HN_COL_INVERT_DOWN_M, i);

        if (!(fall < 0.0))
            continue;
        snprintf(value, sizeof value, "rises %.3f m downstream", -fall);
        hn_quality_add(issues, table, i, rule->severity, rule->id, "invert_down_m", value,
                       rule->message, rule->effect);
    }
}

static void check_dates(const hn_table *table, const hn_plan *plan, hn_issue_list *issues)
{
    const hn_quality_rule *future = asked(plan, "date_in_future");
    const hn_quality_rule *before = asked(plan, "inspection_before_built");
    char date[HN_DATE_TEXT];

    for (size_t i = 0; i < table->rows; i++) {
        int32_t day = hn_i32(table, HN_COL_INSPECTED_ON, i);
        double built = (double)hn_f32(table, HN_COL_YEAR_BUILT, i);

        if (future && built > plan->as_of_year + 1.0) {
            snprintf(date, sizeof date, "%.0f", built);
            hn_quality_add(issues, table, i, future->severity, future->id, "year_built", date,
                           future->message, future->effect);
        }
        if (day == HN_I32_MISSING)
            continue;
        hn_date_text(day, date);
        if (future && day > plan->as_of)
            hn_quality_add(issues, table, i, future->severity, future->id, "inspected_on", date,
                           future->message, future->effect);
        if (before && hn_date_year(day) < built && built <= plan->as_of_year + 1.0)
            hn_quality_add(issues, table, i, before->severity, before->id, "inspected_on", date,
                           before->message, before->effect);
    }
}

/* Same line, either way round. */
static uint64_t line_hash(const hn_lines *lines, size_t row)
{
    size_t n = hn_line_points(lines, row);
    const double *xy = lines->xy + 2 * lines->start[row];
    uint64_t forward = 0, backward = 0;

    for (size_t k = 0; k < n; k++) {
        forward = hn_hash_mix(forward ^ hn_hash_bytes((const char *)(xy + 2 * k), 16));
        backward = hn_hash_mix(backward ^ hn_hash_bytes((const char *)(xy + 2 * (n - 1 - k)), 16));
    }
    return forward < backward ? forward : backward;
}

static hn_status check_same_lines(const hn_table *table, const hn_plan *plan,
                                  hn_issue_list *issues, hn_error *err)
{
    const hn_quality_rule *rule = asked(plan, "duplicate_geometry");
    hn_keyed *lines; /* by hash; of one hash in the order of the rows */
    size_t count = 0;
    hn_status rc = HN_OK;

    if (!rule || table->rows == 0)
        return HN_OK;
    lines = hn_alloc(table->rows, sizeof *lines);
    HN_TRY_ALLOC(lines);
    for (size_t i = 0; i < table->rows; i++)
        if (hn_line_points(&table->lines, i))
            lines[count++] = hn_keyed_of(line_hash(&table->lines, i), (uint32_t)i);
    if (!hn_radix_sort(lines, count))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t k = 1; k < count; k++)
        if (hn_key_in(&lines[k]) == hn_key_in(&lines[k - 1]))
            hn_quality_add(issues, table, lines[k].value, rule->severity, rule->id, "geometry",
                           hn_table_text(table, HN_COL_SEGMENT_ID, lines[k - 1].value),
                           rule->message, rule->effect);
out:
    hn_free(lines);
    return rc;
}

/* Days before 1970 are negative. */
static uint64_t day_key(int32_t day)
{
    return (uint64_t)((int64_t)day - INT32_MIN);
}

static int32_t day_of_key(uint64_t key)
{
    return (int32_t)((int64_t)key + INT32_MIN);
}

/* One day that carries more inspections than a crew films in a day, and more than
 * a fiftieth of all, looks assigned and not inspected. (local rules: 50
 * segments, 2 %) */
static hn_status check_assigned_days(const hn_table *table, const hn_plan *plan,
                                     hn_issue_list *issues, hn_error *err)
{
    const hn_quality_rule *rule = asked(plan, "dates_assigned_in_one_day");
    enum { CREW_DAY_SEGMENTS = 50 };
    hn_keyed *days;
    size_t count = 0;
    char value[96], date[HN_DATE_TEXT];
    hn_status rc = HN_OK;

    if (!rule || !table->column[HN_COL_INSPECTED_ON])
        return HN_OK;
    days = hn_alloc(table->rows, sizeof *days);
    HN_TRY_ALLOC(days);
    for (size_t i = 0; i < table->rows; i++)
        if (hn_i32(table, HN_COL_INSPECTED_ON, i) != HN_I32_MISSING)
            days[count++] = hn_keyed_of(day_key(hn_i32(table, HN_COL_INSPECTED_ON, i)), 0);
    if (!hn_radix_sort(days, count))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0, k; i < count; i = k) {
        for (k = i; k < count && hn_key_in(&days[k]) == hn_key_in(&days[i]); k++)
            ;
        if (k - i <= CREW_DAY_SEGMENTS || (k - i) * 50 < count)
            continue;
        hn_date_text(day_of_key(hn_key_in(&days[i])), date);
        snprintf(value, sizeof value, "%zu of %zu inspections on %s", k - i, count, date);
        hn_issue_add(issues, rule->severity, rule->id, "", "inspected_on", value,
                     "many segments carry one inspection date", rule->effect, (double)NAN,
                     (double)NAN);
    }
out:
    hn_free(days);
    return rc;
}

hn_status hn_quality_checks(const hn_table *table, const hn_plan *plan, const hn_plane *plane,
                            const hn_nodes *nodes, hn_issue_list *issues, hn_error *err)
{
    hn_status rc = HN_OK;

    check_ends(table, plan, plane, nodes, issues);
    check_pseudo_nodes(table, plan, issues);
    check_slope(table, plan, issues);
    HN_TRY(check_same_lines(table, plan, issues, err));
    HN_TRY(check_assigned_days(table, plan, issues, err));
out:
    return rc;
}

void hn_network_dates(hn_table *table, const hn_plan *plan, hn_issue_list *issues)
{
    float *built = table->column[HN_COL_YEAR_BUILT];
    int32_t *inspected = table->column[HN_COL_INSPECTED_ON];

    check_dates(table, plan, issues);
    for (size_t i = 0; i < table->rows; i++) {
        if (built && (double)built[i] > plan->as_of_year + 1.0)
            built[i] = NAN;
        if (inspected && inspected[i] != HN_I32_MISSING && inspected[i] > plan->as_of)
            inspected[i] = HN_I32_MISSING;
    }
}
