/* The top of the sheet: which segment, what is proposed, and what to mind. */
#include "report/sheet_parts.h"

#include "base/dates.h"

static const char *place_of(const hn_sheet_facts *f, hn_sheet *s)
{
    const char *street = hn_table_text(f->table, HN_COL_STREET, f->row);
    const char *district = hn_table_text(f->table, HN_COL_DISTRICT, f->row);

    return hn_sheet_text(s, "%s%s%s", street, street[0] && district[0] ? ", " : "", district);
}

static const char *when_of(const hn_sheet_facts *f, hn_sheet *s)
{
    int32_t year = hn_i32(f->table, HN_COL_YEAR, f->row);

    switch (hn_code(f->table, HN_COL_PROGRAMME, f->row)) {
    case HN_PROGRAMME_COMMITTED:
        if (isnan(f->contract_sum))
            return hn_sheet_text(s, "committed for %d", (int)year);
        return hn_sheet_text(s, "committed for %d at a contract sum of %s", (int)year,
                             hn_sheet_money(s, f->contract_sum, 0));
    case HN_PROGRAMME_FUNDED:
        return hn_sheet_text(s, "funded in %d", (int)year);
    case HN_PROGRAMME_UNFUNDED:
        return hn_sheet_text(
            s, "not funded: the money of %d years goes to work that avoids more loss per cost",
            f->plan->years);
    default:
        return "no work in the programme";
    }
}

static const char *verdict_text(const hn_sheet_facts *f, hn_sheet *s)
{
    int method = hn_sheet_method_in(f, HN_COL_METHOD);
    const hn_method *m;

    if (method < 0)
        return "No method fits or can be judged; nothing is proposed.";
    m = &f->plan->config.methods[method];
    if (m->kind == HN_METHOD_WATCH)
        return "Watch: no method that fits avoids more loss than it costs.";
    return hn_sheet_text(
        s, "%s%s for %s (%s to %s), %s.", m->title,
        hn_code(f->table, HN_COL_VERDICT, f->row) == HN_VERDICT_AFTER_WORKS ? ", after works," : "",
        hn_sheet_money(s, hn_f64(f->table, HN_COL_COST, f->row), 0),
        hn_sheet_grouped(s, hn_table_derived(f->table, HN_COL_COST_LOW, f->row), 0),
        hn_sheet_grouped(s, hn_table_derived(f->table, HN_COL_COST_HIGH, f->row), 0),
        when_of(f, s));
}

void hn_sheet_verdict(const hn_sheet_facts *f, hn_sheet *s)
{
    const char *place = place_of(f, s);
    char date[HN_DATE_TEXT];

    if (place[0])
        s->title = hn_sheet_text(s, "%s - %s", s->title, place);
    hn_date_text(f->plan->as_of, date);
    hn_sheet_begin(s, "summary", "Summary");
    hn_sheet_say(s, "verdict", "%s", verdict_text(f, s))->is_emphasised = 1;
    if (s->is_us)
        hn_sheet_say(
            s, "units_note",
            "Formulas are worked in SI units; their results are given in US customary units too.");
    hn_sheet_column(f, s, HN_COL_SEGMENT_ID, NULL,
                    f->asked_id && strcmp(f->asked_id, s->segment_id) != 0
                        ? hn_sheet_text(s, "asked for as %s, a piece of this reach", f->asked_id)
                        : "");
    hn_sheet_column(f, s, HN_COL_STREET, NULL, "");
    hn_sheet_column(f, s, HN_COL_DISTRICT, NULL, "");
    hn_sheet_column(f, s, HN_COL_METHOD, NULL, "");
    hn_sheet_column(f, s, HN_COL_VERDICT, NULL, "");
    hn_sheet_column(f, s, HN_COL_COST, NULL, "works and mark-ups included");
    hn_sheet_column(f, s, HN_COL_COST_LOW, NULL,
                    hn_sheet_text(s, "estimate class %s", f->plan->estimate_class));
    hn_sheet_column(f, s, HN_COL_COST_HIGH, NULL, "");
    hn_sheet_column(f, s, HN_COL_LOSS_NOW, NULL, "if nothing is done");
    hn_sheet_column(f, s, HN_COL_LOSS_AVOIDED, NULL, "present value to the horizon");
    hn_sheet_column(f, s, HN_COL_PRIORITY, NULL, hn_sheet_text(s, "of %zu", f->table->rows));
    hn_sheet_word(s, "plan", "Plan", f->plan->title,
                  f->plan->prepared_by ? f->plan->prepared_by : "");
    hn_sheet_word(s, "as_of", "Date of the assessment", date, "");
    hn_sheet_end(s);
}

/* ---- cautions ---- */

static int needs_entry(const hn_sheet_facts *f)
{
    double width_mm = hn_f64(f->table, HN_COL_WIDTH_MM, f->row);

    return width_mm >= 800.0; /* size from which crews work inside. Common practice, no source */
}

static void caution(hn_sheet *s, const char *key, const char *text)
{
    hn_sheet_say(s, key, "%s", text)->is_emphasised = 1;
}

void hn_sheet_cautions(const hn_sheet_facts *f, hn_sheet *s)
{
    hn_sheet_begin(s, "cautions", "Cautions");
    caution(
        s, "level",
        "Screening and planning level, not a design. Local codes and a licensed engineer decide.");
    if (f->plan->config.prices_invented)
        caution(s, "prices", "Prices are invented samples: replace them before use.");
    if (needs_entry(f))
        caution(s, "entry",
                "A sewer of this size is worked in by people: entering it is permit-required "
                "confined-space work (29 CFR 1910.146 and 1926 Subpart AA, or the local rule).");
    else
        caution(s, "entry",
                "Entering a sewer or manhole is permit-required confined-space work (29 CFR "
                "1910.146 and 1926 Subpart AA, or the local rule).");
    if (hn_code(f->table, HN_COL_SPECIAL_DESIGN, f->row) == 1)
        caution(s, "special_design",
                "The chosen lining is outside the circular design method: its wall is a screening "
                "thickness and needs special design.");
    if (hn_code(f->table, HN_COL_COST_INCOMPLETE, f->row) == 1)
        caution(
            s, "incomplete",
            "A quantity of the chosen method is unknown and not priced: the cost is incomplete.");
    if (hn_code(f->table, HN_COL_CONDITION_BASIS, f->row) != HN_BASIS_OBSERVED)
        caution(s, "not_seen",
                "Nobody graded this sewer: condition and chances are those of its cohort, fair for "
                "totals, weak for the single pipe.");
    if (hn_code(f->table, HN_COL_ACT_NOW, f->row) != HN_CODE_MISSING)
        caution(s, "act_now",
                "On the act-now list, whatever its rank. A hint from recorded data, no emergency "
                "service.");
    for (int i = 0; i < HN_SHEET_CAUTIONS && f->cautions[i]; i++)
        caution(s, hn_sheet_text(s, "run_%d", i + 1), f->cautions[i]);
    hn_sheet_end(s);
}
