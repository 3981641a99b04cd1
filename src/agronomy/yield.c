/*
 * yield.c: weights and yields at a standard moisture, wet basis.
 *
 * Dry matter is kept: w (100 - m) = w' (100 - to). Trial yields take water shrink only, and credit grain drier than the
 * standard (Nielsen, R. L., Purdue Univ. Extension, converting wet corn weight to dry corn weight).
 */
#include <checkstrip/agronomy.h>

#include <math.h>

#define FT2_AN_ACRE 43560.0 /* international feet and acre: exact */

static bool is_moisture(double pct) { return pct >= 0 && pct < 100; }

double cks_at_moisture(double weight, double moisture_pct, double to_pct)
{
  if (!is_moisture(moisture_pct) || !is_moisture(to_pct)) return cks_missing();
  return weight * (100 - moisture_pct) / (100 - to_pct);
}

double cks_shrink_pct(double moisture_pct, double to_pct) { return 100 - cks_at_moisture(100, moisture_pct, to_pct); }

double cks_acres(double length_ft, double width_ft)
{
  return length_ft > 0 && width_ft > 0 ? length_ft * width_ft / FT2_AN_ACRE : cks_missing();
}

double cks_rows_width_ft(double n_rows, double row_spacing_in)
{
  return n_rows > 0 && row_spacing_in > 0 ? n_rows * row_spacing_in / 12 : cks_missing();
}

double cks_plot_yield(double weight_lb, double moisture_pct, double acres, const cks_crop *crop, double to_pct)
{
  if (!crop || !(weight_lb >= 0) || !(acres > 0)) return cks_missing();
  double standard = cks_is_missing(to_pct) ? crop->moisture_pct : to_pct;
  return cks_at_moisture(weight_lb, moisture_pct, standard) / crop->bushel_lb / acres;
}

double cks_days_between(double from, double to)
{
  return cks_is_missing(from) || cks_is_missing(to) ? cks_missing() : floor(to) - floor(from);
}
