/* One method on one segment: rules, design, price, benefit, verdict. */
#include "options/options_state.h"

#include <string.h>

static const unsigned RULED_OUT_FINDINGS = HN_FIND_WALL_TOO_THICK | HN_FIND_OVAL |
                                           HN_FIND_BORE_GONE | HN_FIND_CAPACITY_SHORT |
                                           HN_FIND_NO_PIPE;
static const unsigned CANNOT_TELL_FINDINGS = HN_FIND_WALL_UNKNOWN | HN_FIND_NO_SCREENING_RULE |
                                             HN_FIND_PRICE_UNKNOWN | HN_FIND_SIZE_UNKNOWN;

int hn_option_rule_holds(const hn_options *o, size_t row, size_t rule)
{
    return (int)(o->holds[hn_option_place(o, row) * o->words + rule / HN_WORD_BITS] >>
                     (rule % HN_WORD_BITS) & 1);
}

int hn_option_rule_unknown(const hn_options *o, size_t row, size_t rule)
{
    int bit = o->unknown_bit[rule];

    return bit >= 0 && (o->unknown[hn_option_place(o, row) * o->unknown_words + (size_t)bit / HN_WORD_BITS] >>
                            (bit % HN_WORD_BITS) & 1);
}

static hn_verdict worse(hn_verdict a, hn_verdict b)
{
    return a > b ? a : b; /* fits < after works < cannot tell < ruled out */
}

static int any_of(const hn_rule_word *bits, const hn_rule_word *mask, size_t words)
{
    unsigned found = 0;

    for (size_t w = 0; w < words; w++)
        found |= (unsigned)(bits[w] & mask[w]);
    return found != 0;
}

/* Ruled out beats cannot tell beats after works. */
static hn_verdict judge_rules(const hn_options *o, size_t row, int method, uint64_t *works)
{
    const size_t place = hn_option_place(o, row);
    const hn_rule_word *holds = o->holds + place * o->words;

    *works = 0;
    for (size_t w = 0; w < o->words; w++)
        for (uint64_t left = holds[w] & o->after_works[method][w]; left; left &= left - 1)
            *works |= (uint64_t)1 << o->rule_item[w * HN_WORD_BITS + (size_t)hn_lowest_bit(left)];
    if (any_of(holds, o->ruled_out[method], o->words))
        return HN_VERDICT_RULED_OUT;
    if (any_of(o->unknown + place * o->unknown_words, o->cannot_tell[method], o->unknown_words))
        return HN_VERDICT_CANNOT_TELL;
    return any_of(holds, o->after_works[method], o->words) ? HN_VERDICT_AFTER_WORKS
                                                           : HN_VERDICT_FITS;
}

static void find_benefit(const hn_options *o, size_t row, hn_option *out)
{
    double cost[HN_DRIVERS] = {hn_f64(o->table, HN_COL_CONSEQUENCE_MONEY, row),
                               hn_f64(o->table, HN_COL_CONSEQUENCE_SERVICE, row),
                               hn_f64(o->table, HN_COL_CONSEQUENCE_TIGHTNESS, row)};

    out->loss_avoided =
        hn_loss_avoided(o->loss, o->outlook, row, (size_t)out->method, 0, cost);
    out->net_benefit = out->loss_avoided - out->horizon_cost;
}

void hn_option_look_at_host(const hn_options *o, size_t row, hn_host *host)
{
    uint8_t shape = hn_code(o->table, HN_COL_SHAPE, row);

    host->section = hn_section_from_size(shape < HN_SHAPE_COUNT ? (hn_section_shape)shape
                                                                : HN_SECTION_OTHER,
                                         hn_f64(o->table, HN_COL_WIDTH_MM, row),
                                         hn_f64(o->table, HN_COL_HEIGHT_MM, row));
    host->full = hn_section_full(&host->section);
    host->n = hn_option_host_n(o, row);
    hn_option_look_at_flow(o, row, host);
    host->is_counted = 0;
    host->skips_impossible = 0;
    host->is_followed = 0;
    host->is_sized = 0;
    host->new_n = 0.0;
    host->amounts_of = -1;
}

void hn_option_evaluate(const hn_options *o, size_t row, int method, hn_option *out)
{
    hn_host host;

    hn_option_look_at_host(o, row, &host);
    hn_option_evaluate_host(o, row, method, &host, out);
}

void hn_option_evaluate_host(const hn_options *o, size_t row, int method, hn_host *host,
                             hn_option *out)
{
    const hn_method *m = &o->plan->config.methods[method];

    uint64_t works;
    const hn_verdict verdict = judge_rules(o, row, method, &works);

    if (host->skips_impossible && verdict >= HN_VERDICT_CANNOT_TELL) {
        out->method = method;
        out->verdict = verdict; /* nobody looks at the rest of it */
        return;
    }
    memset(out, 0, sizeof *out);
    out->method = method;
    out->verdict = verdict;
    out->works = works;
    hn_option_design(o, row, m, host, out);
    hn_option_price(o, row, m, host, out);
    find_benefit(o, row, out);
    if (out->findings & RULED_OUT_FINDINGS)
        out->verdict = worse(out->verdict, HN_VERDICT_RULED_OUT);
    if (out->findings & CANNOT_TELL_FINDINGS)
        out->verdict = worse(out->verdict, HN_VERDICT_CANNOT_TELL);
}
