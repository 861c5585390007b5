/* optimise/forms.h - what each of the two forms answers; model.h asks through model_ask.c. */
#ifndef HN_OPTIMISE_FORMS_H
#define HN_OPTIMISE_FORMS_H

#include "optimise/model.h"

size_t hn_list_reduced(const hn_model *model, const hn_row_prices *prices, size_t item,
                       double *reduced);
size_t hn_list_uses(const hn_model *model, size_t item, size_t alternative, hn_choice_use *uses);
void hn_list_forced(const hn_model *model, double *forced, double *scratch);
void hn_list_close(hn_model *model, const double *most, const double *forced, double *scratch);

size_t hn_table_reduced(const hn_model *model, const hn_row_prices *prices, size_t item,
                        double *reduced);
size_t hn_table_uses(const hn_model *model, size_t item, size_t alternative, hn_choice_use *uses);
void hn_table_forced(const hn_model *model, double *forced);
HN_MUST_CHECK hn_status hn_table_close(hn_model *model, const double *most, const double *forced,
                                       hn_error *err);

#endif
