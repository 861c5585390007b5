/* What a failure costs, part by part, and the yearly loss that follows. */
#include "report/sheet_parts.h"

static const hn_view_column columns[] = {
    {"factor", "Factor", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"class", "Class that holds", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"points", "Points", "", "", HN_VIEW_REAL, 1, NULL, 0},
    {"money", "Structural", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"service_money", "Service", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"tightness_money", "Tightness", "", "money", HN_VIEW_REAL, 2, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

/* To the cent, as the stage adds it. */
static double part(const hn_sheet_facts *f, size_t factor, hn_driver driver)
{
    uint8_t class_of = f->parts->class_of[factor][f->row];
    double money = hn_part_money(f->parts, factor, f->row);

    if (class_of == 255 || isnan(money))
        return (double)NAN;
    return round(money * f->plan->config.factors[class_of].share[driver] * 100.0) / 100.0;
}

static void add_part(const hn_sheet_facts *f, size_t factor, hn_sheet *s, hn_sheet_item *t)
{
    uint8_t c = f->parts->class_of[factor][f->row];
    const hn_factor_class *found = c == 255 ? NULL : &f->plan->config.factors[c];

    hn_sheet_cell_word(s, t, f->plan->config.factor_names[factor]);
    hn_sheet_cell_word(s, t, found ? found->name : "none of the classes");
    hn_sheet_cell_number(s, t, found ? found->points : 0.0);
    for (int d = 0; d < HN_DRIVERS; d++)
        hn_sheet_cell_number(s, t, part(f, factor, (hn_driver)d));
    hn_sheet_cell_word(s, t, found ? found->source : "");
}

static void add_total(const hn_sheet_facts *f, hn_sheet *s, hn_sheet_item *t)
{
    hn_sheet_cell_word(s, t, "total");
    hn_sheet_cell_word(s, t, "");
    hn_sheet_cell_number(s, t, (double)hn_f32(f->table, HN_COL_CONSEQUENCE_POINTS, f->row));
    hn_sheet_cell_number(s, t, hn_f64(f->table, HN_COL_CONSEQUENCE_MONEY, f->row));
    hn_sheet_cell_number(s, t, hn_f64(f->table, HN_COL_CONSEQUENCE_SERVICE, f->row));
    hn_sheet_cell_number(s, t, hn_f64(f->table, HN_COL_CONSEQUENCE_TIGHTNESS, f->row));
    hn_sheet_cell_word(s, t, "");
}

static void add_loss(const hn_sheet_facts *f, hn_sheet *s)
{
    static const hn_column_id chance[] = {HN_COL_CHANCE_STRUCTURAL, HN_COL_CHANCE_SERVICE,
                                          HN_COL_CHANCE_TIGHTNESS};
    static const hn_column_id money[] = {HN_COL_CONSEQUENCE_MONEY, HN_COL_CONSEQUENCE_SERVICE,
                                         HN_COL_CONSEQUENCE_TIGHTNESS};
    const char *numbers = "";
    hn_sheet_item *item;

    for (int d = 0; d < 3; d++)
        numbers = hn_sheet_text(s, "%s%s%s x %s", numbers, d ? " + " : "",
                                hn_sheet_digits(s, (double)hn_f32(f->table, chance[d], f->row)),
                                hn_sheet_grouped(s, hn_f64(f->table, money[d], f->row), 2));
    item = hn_sheet_formula(s, "expected_loss_per_year",
                            "Expected loss in the next year if nothing is done",
                            "L = p(structural) C(structural) + p(service) C(service) + "
                            "p(tightness) C(tightness)",
                            numbers, hn_f64(f->table, HN_COL_LOSS_NOW, f->row), 2, "money/year",
                            "expected value, standard engineering economy");
    item->layer_column = "expected_loss_per_year";
}

void hn_sheet_consequence(const hn_sheet_facts *f, hn_sheet *s)
{
    hn_sheet_item *t;

    hn_sheet_begin(s, "consequence", "Consequence of a failure");
    t = hn_sheet_table(s, "parts", "Parts; each driver's column adds up to its total", columns,
                       sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < f->parts->factors; i++)
        add_part(f, i, s, t);
    add_total(f, s, t);
    hn_sheet_column(f, s, HN_COL_CONSEQUENCE_MONEY, "C", "one structural failure");
    hn_sheet_column(f, s, HN_COL_CONSEQUENCE_SERVICE, "C", "one service failure");
    hn_sheet_column(f, s, HN_COL_CONSEQUENCE_TIGHTNESS, "C", "one tightness failure");
    hn_sheet_column(f, s, HN_COL_CONSEQUENCE_POINTS, NULL, "sum of the points");
    hn_sheet_column(f, s, HN_COL_CONSEQUENCE_LOW, NULL, "unknown classes taken as the best case");
    hn_sheet_column(f, s, HN_COL_CONSEQUENCE_HIGH, NULL, "unknown classes taken as the worst case");
    add_loss(f, s);
    hn_sheet_column(f, s, HN_COL_LOSS_HORIZON, NULL, "present value to the horizon");
    hn_sheet_end(s);
}
