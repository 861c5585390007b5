/* Observations as the camera recorded them, made fit to be graded: marks closed, codes
 * known, doubles out, distances brought onto the segment. */
#include "condition/observe_parts.h"
#include "condition/on_piece.h"

#include "base/alloc.h"
#include "base/dates.h"

#include <stdio.h>
#include <string.h>

static const char EN_CODES[] = "EN 13508-2";

/* ---- codes ---- */

typedef struct code_book {
    uint32_t *known; /* per text: bit of each source whose code set has it */
    uint32_t *finish, *abandoned;
} code_book;

static uint32_t sources_with(const hn_plan *plan, const char *code_set)
{
    uint32_t bits = 0;

    for (size_t s = 0; s < plan->observation_count; s++) {
        const char *set = plan->observations[s].code_set;

        if (strcmp(set ? set : EN_CODES, code_set) == 0)
            bits |= (uint32_t)1 << s;
    }
    return bits;
}

static hn_status book_init(const hn_observing *w, code_book *book, hn_error *err)
{
    size_t texts = hn_text_pool_count(w->o->texts);
    hn_status rc = HN_OK;

    book->known = hn_alloc(texts, sizeof *book->known);
    book->finish = hn_alloc(texts, sizeof *book->finish);
    book->abandoned = hn_alloc(texts, sizeof *book->abandoned);
    HN_TRY_ALLOC(book->known);
    HN_TRY_ALLOC(book->finish);
    HN_TRY_ALLOC(book->abandoned);
    for (size_t i = 0; i < w->plan->config.code_count; i++) {
        const hn_observation_code *c = &w->plan->config.codes[i];
        uint32_t id = hn_text_pool_find(w->o->texts, c->code, strlen(c->code));
        uint32_t bits = sources_with(w->plan, c->code_set);

        if (!id)
            continue;
        book->known[id] |= bits;
        book->finish[id] |= c->survey == HN_SURVEY_FINISH ? bits : 0;
        book->abandoned[id] |= c->survey == HN_SURVEY_ABANDONED ? bits : 0;
    }
out:
    return rc;
}

static void book_clear(code_book *book)
{
    hn_free(book->known);
    hn_free(book->finish);
    hn_free(book->abandoned);
}

static void know_codes(hn_observing *w, const code_book *book, size_t v)
{
    hn_observations *o = w->o;
    uint32_t bit = (uint32_t)1 << o->visits.source[v];
    size_t unknown = 0;
    char value[96] = "";

    for (size_t i = o->start[v]; i < o->start[v + 1]; i++) {
        if (book->known[o->code[i]] & bit)
            continue;
        o->flags[i] |= HN_OBS_UNKNOWN_CODE;
        if (unknown++ == 0)
            snprintf(value, sizeof value, "%.80s",
                     o->code[i] ? hn_observed_text(o, o->code[i]) : "(no code)");
    }
    hn_observe_found(w, HN_FOUND_UNKNOWN_CODE, v, unknown, value);
}

/* ---- defects that run on ---- */

static int is_open(const hn_observations *o, size_t i)
{
    return o->mark[i] != HN_MARK_NONE && isnan((double)o->to_m[i]) &&
           !(o->flags[i] & HN_OBS_MERGED);
}

static void close_marks(hn_observing *w, size_t v)
{
    hn_observations *o = w->o;
    size_t from = o->start[v], to = o->start[v + 1], open = 0;
    size_t begun[HN_MARK_END] = {0}; /* observation + 1 that waits for its end, by number */

    for (size_t i = from; i < to; i++) {
        const size_t number = o->mark[i] % HN_MARK_END, waiting = begun[number];

        if (o->mark[i] == HN_MARK_NONE)
            continue;
        if (o->mark[i] < HN_MARK_END) {
            begun[number] = i + 1;
        } else if (waiting && o->code[waiting - 1] == o->code[i]) {
            o->to_m[waiting - 1] = o->from_m[i];
            o->flags[i] |= HN_OBS_MERGED;
            begun[number] = 0;
        }
    }
    for (size_t i = from; i < to; i++)
        if (is_open(o, i)) {
            o->flags[i] |= HN_OBS_NOT_CLOSED;
            open++;
        }
    hn_observe_found(w, HN_FOUND_NOT_CLOSED, v, open, "");
}

/* ---- doubles and overlaps ---- */

/* How many rows back one looks: a visit of a mapping gone wrong may hold every row of
 * the file. (local rule) */
enum { LOOK_BACK = 200 };

static int same_number(float a, float b)
{
    return a == b || (isnan((double)a) && isnan((double)b));
}

static int is_double(const hn_observations *o, size_t a, size_t b)
{
    return o->code[a] == o->code[b] && o->ch1[a] == o->ch1[b] && o->ch2[a] == o->ch2[b] &&
           same_number(o->from_m[a], o->from_m[b]) && same_number(o->to_m[a], o->to_m[b]) &&
           same_number(o->q1[a], o->q1[b]) && same_number(o->q2[a], o->q2[b]) &&
           o->clock_from[a] == o->clock_from[b] && o->clock_to[a] == o->clock_to[b] &&
           o->mark[a] == o->mark[b] && !(o->flags[a] & HN_OBS_DUPLICATE);
}

static double end_of(const hn_observations *o, size_t i)
{
    return isnan((double)o->to_m[i]) ? (double)o->from_m[i] : (double)o->to_m[i];
}

static int overlaps(const hn_observations *o, size_t a, size_t b)
{
    return o->code[a] == o->code[b] && o->ch1[a] == o->ch1[b] &&
           !((o->flags[a] | o->flags[b]) & (HN_OBS_MERGED | HN_OBS_DUPLICATE)) &&
           (double)o->from_m[b] < end_of(o, a);
}

/* Rows lie along the pipe: what overlaps b begins before it. */
static void compare_rows(hn_observing *w, size_t v)
{
    hn_observations *o = w->o;
    size_t doubles = 0, overlapping = 0;
    char value[96];

    for (size_t b = o->start[v] + 1; b < o->start[v + 1]; b++) {
        int found = 0;
        const size_t first = b - o->start[v] > LOOK_BACK ? b - LOOK_BACK : o->start[v];

        for (size_t a = b; a-- > first && same_number(o->from_m[a], o->from_m[b]);)
            if (is_double(o, a, b) && !(o->flags[b] & (HN_OBS_DUPLICATE | HN_OBS_MERGED))) {
                o->flags[b] |= HN_OBS_DUPLICATE;
                doubles++;
            }
        for (size_t a = first; a < b && !found; a++)
            found = overlaps(o, a, b);
        overlapping += (size_t)found;
    }
    snprintf(value, sizeof value, "%zu observations", doubles);
    hn_observe_found(w, HN_FOUND_DUPLICATE, v, doubles, value);
    snprintf(value, sizeof value, "%zu observations", overlapping);
    hn_observe_found(w, HN_FOUND_OVERLAP, v, overlapping, value);
}

/* ---- lengths ---- */

static void read_survey(hn_observing *w, const code_book *book, size_t v)
{
    hn_observations *o = w->o;
    uint32_t bit = (uint32_t)1 << o->visits.source[v];
    size_t record = w->record_of[v];

    for (size_t i = o->start[v]; i < o->start[v + 1]; i++) {
        if (book->abandoned[o->code[i]] & bit)
            o->visits.complete[v] = 0;
        if (book->finish[o->code[i]] & bit && o->visits.complete[v] != 0) {
            o->visits.complete[v] = 1;
            o->surveyed_m[v] = (double)o->from_m[i];
        }
    }
    if (isnan(o->surveyed_m[v]) && w->record_of[v] != UINT32_MAX && o->visits.complete[v] != 0 &&
        w->inspections->complete[record] == 1)
        o->surveyed_m[v] = w->inspections->length_seen_m[record];
}

/* How far the camera came at least: the length surveyed, or the farthest observation. */
static double seen_m(const hn_observations *o, size_t v)
{
    double farthest_m = (double)NAN;

    if (!isnan(o->surveyed_m[v]))
        return o->surveyed_m[v];
    for (size_t i = o->start[v]; i < o->start[v + 1]; i++)
        farthest_m = fmax(farthest_m, fmax((double)o->from_m[i], end_of(o, i)));
    return farthest_m;
}

/* Length of what this visit surveyed, a segment or a piece of it. */
static hn_status find_stretch(hn_observing *w, size_t v, double *length_m, hn_error *err)
{
    const int32_t row = w->o->row[v];
    hn_stretch s;
    char value[96];

    *length_m = row >= 0 ? hn_f64(w->table, HN_COL_LENGTH_M, (size_t)row) : (double)NAN;
    if (row < 0 || !hn_pieces_find(&w->table->pieces, w->o->visits.segment[v]))
        return HN_OK;
    s = hn_stretch_of(w->table, w->plan, w->o->visits.segment[v], (size_t)row, seen_m(w->o, v));
    if (!s.is_piece)
        return HN_OK;
    *length_m = s.length_m;
    snprintf(value, sizeof value, "%.48s: %.2f to %.2f m",
             hn_text_pool_get(w->table->texts, w->o->visits.segment[v]), s.begin_m,
             s.begin_m + s.length_m);
    hn_observe_found(w, HN_FOUND_ON_PIECE, v, w->o->start[v + 1] - w->o->start[v], value);
    return hn_observations_on_piece(
        w->o, (hn_visit_piece){(uint32_t)v, (float)s.begin_m, (float)s.length_m}, err);
}

static void scale_distances(hn_observing *w, size_t v, double length_m)
{
    hn_observations *o = w->o;
    char value[96];

    if (!(o->surveyed_m[v] > 0.0) || !(length_m > 0.0))
        return;
    if (!hn_lengths_differ(w->plan, o->surveyed_m[v], length_m)) {
        o->scale[v] = length_m / o->surveyed_m[v];
        return;
    }
    snprintf(value, sizeof value, "surveyed %.2f m, segment %.2f m", o->surveyed_m[v], length_m);
    hn_observe_found(w, HN_FOUND_LENGTH_DIFFERS, v, 1, value);
}

static void look_at_places(hn_observing *w, size_t v, double length_m)
{
    hn_observations *o = w->o;
    size_t beyond = 0, nowhere = 0;
    char value[96];

    for (size_t i = o->start[v]; i < o->start[v + 1]; i++) {
        double end_m = fmax((double)o->from_m[i], end_of(o, i)) * o->scale[v];

        nowhere += isnan((double)o->from_m[i]);
        if (!(end_m > length_m) || !hn_lengths_differ(w->plan, end_m, length_m))
            continue;
        o->flags[i] |= HN_OBS_BEYOND;
        if (beyond++ == 0)
            snprintf(value, sizeof value, "at %.2f m of %.2f m", end_m, length_m);
    }
    hn_observe_found(w, HN_FOUND_BEYOND, v, beyond, value);
    snprintf(value, sizeof value, "%zu observations", nowhere);
    hn_observe_found(w, HN_FOUND_NO_DISTANCE, v, nowhere, value);
}

static void look_at_date(hn_observing *w, size_t v, size_t row)
{
    hn_observations *o = w->o;
    double built = (double)hn_f32(w->table, HN_COL_YEAR_BUILT, row);
    char value[HN_DATE_TEXT];

    if (o->visits.date[v] == HN_I32_MISSING || !(hn_date_year(o->visits.date[v]) < floor(built)))
        return;
    hn_date_text(o->visits.date[v], value);
    hn_observe_found(w, HN_FOUND_BEFORE_BUILT, v, o->start[v + 1] - o->start[v], value);
}

hn_status hn_observe_lines(hn_observing *w, hn_error *err)
{
    code_book book = {NULL, NULL, NULL};
    hn_status rc = HN_OK;

    HN_TRY(book_init(w, &book, err));
    for (size_t v = 0; v < w->o->visits.count; v++) {
        int32_t row = w->o->row[v];
        double length_m;

        know_codes(w, &book, v);
        close_marks(w, v);
        compare_rows(w, v);
        read_survey(w, &book, v);
        HN_TRY(find_stretch(w, v, &length_m, err));
        scale_distances(w, v, length_m);
        look_at_places(w, v, length_m);
        if (row >= 0)
            look_at_date(w, v, (size_t)row);
    }
out:
    book_clear(&book);
    return rc;
}
