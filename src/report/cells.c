/* cells.c: see cells.h. */
#include "cells.h"

#include "words.h"

#include <math.h>

static const double SMALLEST_P = 0.001; /* below it the text says so and no digit pretends to be known */
enum { MOST_DECIMALS = 6 };

cks_cell cks_cell_missing(void)
{
  return (cks_cell){.value = cks_missing(), .text = "\xE2\x80\x94", .kind = CKS_CELL_MISSING};
}

cks_cell cks_cell_none(void) { return (cks_cell){.value = cks_missing(), .text = "", .kind = CKS_CELL_NOT_APPLICABLE}; }

cks_cell cks_cell_number(cks_draft *draft, double value, int digits)
{
  char text[CKS_NUMBER_TEXT];
  if (!isfinite(value)) return cks_cell_missing();
  return (cks_cell){.value = value,
                    .text = cks_arena_text(draft->arena, cks_print_number(text, value, digits)),
                    .kind = CKS_CELL_NUMBER,
                    .digits = (int8_t)digits};
}

cks_cell cks_cell_given(cks_draft *draft, double value, int digits)
{
  return cks_is_missing(value) ? cks_cell_none() : cks_cell_number(draft, value, digits);
}

cks_cell cks_cell_hybrid(cks_draft *draft, cks_id hybrid)
{
  cks_cell cell = cks_cell_text(cks_words_hybrid(draft, hybrid));
  cell.marks = draft->results->hybrid[hybrid].check ? CKS_MARK_CHECK : 0;
  return cell;
}

cks_cell cks_cell_mean(cks_draft *draft, const cks_hybrid_result *line, int digits)
{
  return !line                        ? cks_cell_missing()
         : cks_is_missing(line->mean) ? cks_cell_none()
                                      : cks_cell_number(draft, line->mean, digits);
}

cks_cell cks_cell_count(cks_draft *draft, size_t count) { return cks_cell_number(draft, (double)count, 0); }

cks_cell cks_cell_text(const char *text)
{
  return (cks_cell){.value = cks_missing(), .text = text, .kind = *text ? CKS_CELL_TEXT : CKS_CELL_EMPTY};
}

cks_cell cks_cell_figure(cks_draft *draft, double value, int figures)
{
  if (!isfinite(value)) return cks_cell_none();
  int power = value == 0 ? 0 : (int)floor(log10(fabs(value)));
  int digits = figures - 1 - power;
  return cks_cell_number(draft, value, digits < 0 ? 0 : digits > MOST_DECIMALS ? MOST_DECIMALS : digits);
}

cks_cell cks_cell_df(cks_draft *draft, double df)
{
  if (!isfinite(df)) return cks_cell_none();
  return cks_cell_number(draft, df, fabs(df - round(df)) < 1e-6 ? 0 : 1);
}

cks_cell cks_cell_p(cks_draft *draft, double p)
{
  if (!isfinite(p)) return cks_cell_none();
  cks_cell cell = cks_cell_number(draft, p, 3);
  if (p < SMALLEST_P) cell.text = "<0.001";
  return cell;
}

void cks_cell_put(cks_report_table *table, size_t row, size_t column, cks_cell cell)
{
  if (table) table->cell[row * table->n_column + column] = cell;
}
