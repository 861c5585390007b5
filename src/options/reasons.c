/* Reasons as sentences, the graver ones first. */
#include "options/options_state.h"
#include "table/sentence.h"

#include <stdio.h>
#include <string.h>

enum { SENTENCE_MAX = 512 };

typedef struct text_out {
    char *at;
    size_t used, size;
} text_out;

/* By hand and not by printf: made for every line of the options table. */
static void put(text_out *out, const char *text)
{
    size_t n = strlen(text), room = out->size - 1 - out->used;

    n = n < room ? n : room;
    memcpy(out->at + out->used, text, n);
    out->used += n;
    out->at[out->used] = '\0';
}

static void add(text_out *out, const char *prefix, const char *sentence)
{
    if (out->used)
        put(out, "; ");
    put(out, prefix);
    put(out, sentence);
}

static void add_rules(const hn_options *o, const hn_option *option, size_t row, int unknown,
                      hn_verdict verdict, const char *prefix, text_out *out)
{
    char sentence[SENTENCE_MAX];

    for (size_t k = o->first_rule[option->method]; k < o->first_rule[option->method + 1]; k++) {
        size_t rule = o->rule_order[k];
        const hn_method_rule *r = &o->plan->config.rules[rule];

        if (unknown ? !(r->unknown_cannot_tell && hn_option_rule_unknown(o, row, rule))
                    : !(r->verdict == verdict && hn_option_rule_holds(o, row, rule)))
            continue;
        hn_sentence(o->table, row, r->reason, r->limit, sentence, sizeof sentence);
        add(out, prefix, sentence);
    }
}

static void add_finding(const hn_option *option, unsigned finding, const char *prefix,
                        const char *sentence, text_out *out)
{
    if (option->findings & finding)
        add(out, prefix, sentence);
}

static void add_ruled_out(const hn_options *o, const hn_option *option, text_out *out)
{
    const hn_method *m = &o->plan->config.methods[option->method];
    char text[SENTENCE_MAX];

    if (option->findings & HN_FIND_WALL_TOO_THICK) {
        if (isnan(option->wall_mm))
            snprintf(text, sizeof text, "no wall of this method could carry the load");
        else
            snprintf(text, sizeof text, "a wall of %.1f mm is needed, %.1f mm is the largest made",
                     option->wall_mm, m->wall_max_mm);
        add(out, "ruled out: ", text);
    }
    if (option->findings & HN_FIND_OVAL) {
        snprintf(text, sizeof text,
                 "an ovality of %.1f %% is beyond the 10 %% up to which the wall can be designed",
                 option->wall_input.ovality_pct);
        add(out, "ruled out: ", text);
    }
    add_finding(option, HN_FIND_NO_PIPE, "ruled out: ",
                "no standard pipe is large enough for this section and flow", out);
    add_finding(option, HN_FIND_BORE_GONE, "ruled out: ", "the lining would fill the section", out);
    if (option->findings & HN_FIND_CAPACITY_SHORT) {
        snprintf(text, sizeof text,
                 "it would carry %.3f m3/s full, less than the flow that is required",
                 option->capacity_m3_per_s);
        add(out, "ruled out: ", text);
    }
}

static void add_cannot_tell(const hn_option *option, text_out *out)
{
    add_finding(option, HN_FIND_WALL_UNKNOWN, "cannot tell: ",
                "the wall needs the depth, the size and the shape", out);
    add_finding(option, HN_FIND_SIZE_UNKNOWN, "cannot tell: ",
                "the new pipe needs the size of the old one", out);
    add_finding(option, HN_FIND_NO_SCREENING_RULE, "cannot tell: ",
                "there is no screening rule for the wall in this shape", out);
    add_finding(option, HN_FIND_PRICE_UNKNOWN, "cannot tell: ",
                "the price needs the size, the depth and the length", out);
}

static void add_warnings(const hn_options *o, const hn_option *option, text_out *out)
{
    char text[SENTENCE_MAX];

    add_finding(option, HN_FIND_SPECIAL_DESIGN, "note: ",
                "not circular: screening thickness only, needs special design", out);
    if (option->findings & HN_FIND_CAPACITY_LOSS) {
        snprintf(text, sizeof text, "full-flow capacity falls to %.0f %%, the plan warns below %.0f %%",
                 100.0 * option->capacity_ratio, 100.0 - o->plan->capacity_loss_limit_pct);
        add(out, "note: ", text);
    }
    add_finding(option, HN_FIND_WEAK_IN_GROUT, "note: ",
                "cannot stand wet grout by itself, so it must be braced or filled with water while it "
                "is grouted: not priced",
                out);
    add_finding(option, HN_FIND_PRICE_BEYOND, "note: ",
                "the size or depth is outside the price table; its last step was drawn on", out);
    add_finding(option, HN_FIND_QUANTITY_UNKNOWN, "note: ",
                "a quantity is not known and not priced", out);
}

const char *hn_option_reason(const hn_options *o, const hn_option *option, size_t row, char *out,
                             size_t size)
{
    text_out text = {out, 0, size};

    out[0] = '\0';
    add_rules(o, option, row, 0, HN_VERDICT_RULED_OUT, "ruled out: ", &text);
    add_ruled_out(o, option, &text);
    add_rules(o, option, row, 1, HN_VERDICT_FITS, "cannot tell, a value is missing: ", &text);
    add_cannot_tell(option, &text);
    add_rules(o, option, row, 0, HN_VERDICT_AFTER_WORKS, "first: ", &text);
    add_rules(o, option, row, 0, HN_VERDICT_FITS, "note: ", &text);
    add_warnings(o, option, &text);
    if (text.used == 0)
        add(&text, "", "fits: no rule of this method is broken");
    return out;
}
