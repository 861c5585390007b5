#include "run/state.h"

#include "run/source_hash.h"

#include <stdio.h>
#include <string.h>

void hn_state_progress(hn_state *s, double share_of_stage)
{
    if (s->options && s->options->progress)
        s->options->progress(s->options->progress_context, s->stage_name,
                             s->share_done + s->share_stage * share_of_stage);
}

hn_source_note *hn_state_note_source(hn_state *s, const hn_source *source)
{
    hn_source_note *note;

    if (s->source_count == HN_SOURCES_MAX)
        return NULL;
    note = &s->sources[s->source_count++];
    snprintf(note->key, sizeof note->key, "%s", source->key);
    hn_source_shown(source->from, note->shown, sizeof note->shown);
    if (source->layer)
        snprintf(note->layer, sizeof note->layer, "%s", source->layer);
    hn_source_hash_begin(s, note, source->from);
    return note;
}
