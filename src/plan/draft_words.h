/* plan/draft_words.h - what field names and coded values tend to mean.
 *
 * Trade words and common abbreviations, English with some German and French.
 * Common practice, no source: each guess is shown to the user as a guess.
 */
#ifndef HN_PLAN_DRAFT_WORDS_H
#define HN_PLAN_DRAFT_WORDS_H

#include <stddef.h>

/* What a word of a field name may stand for. */
typedef enum hn_word_class {
    HN_WORD_NONE, /* ends a list */
    HN_WORD_UP,
    HN_WORD_DOWN,
    HN_WORD_NODE,
    HN_WORD_ID,
    HN_WORD_PIPE,
    HN_WORD_ROW_ID,
    HN_WORD_INVERT,
    HN_WORD_GROUND,
    HN_WORD_LEVEL,
    HN_WORD_DEPTH,
    HN_WORD_SIZE,
    HN_WORD_HEIGHT,
    HN_WORD_MATERIAL,
    HN_WORD_TYPE,
    HN_WORD_SHAPE,
    HN_WORD_YEAR,
    HN_WORD_BUILT,
    HN_WORD_LINED,
    HN_WORD_LENGTH,
    HN_WORD_SLOPE,
    HN_WORD_CONDITION,
    HN_WORD_GRADE,
    HN_WORD_SERVICE,
    HN_WORD_INSPECTION,
    HN_WORD_STREET,
    HN_WORD_NAME,
    HN_WORD_DUTY,
    HN_WORD_STATUS,
    HN_WORD_OWNER,
    HN_WORD_DISTRICT,
    HN_WORD_SURFACE,
    HN_WORD_SOIL,
    HN_WORD_LATERAL,
    HN_WORD_MANHOLE,
    HN_WORD_DRAWN,
    HN_WORD_CLASSES
} hn_word_class;

/* 1 when one of the words of a field name stands for the class. Words end at
 * anything that is no letter or digit and where a small letter meets a
 * capital. A name of ten letters may be cut short (dBase), so that its last
 * word may be only the beginning of one. */
int hn_name_has_word(const char *field_name, hn_word_class word);

/* Our name for a value of a source, or NULL: materials as in
 * config/materials.csv, shapes as in table/codes.h, duties foul, combined,
 * storm. Case and blanks around the value do not count. */
const char *hn_material_of_value(const char *value);
const char *hn_shape_of_value(const char *value);
const char *hn_duty_of_value(const char *value);

#endif
