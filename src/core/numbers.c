/* numbers.c: missing values, numbers as printed text, and day numbers. */
#include <checkstrip/base.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Of 15 digits a difference of two means has lost two or three, and which way depends on the machine: a half is seen in 12. */
enum { SIGNIFICANT = 15, TRUSTED = 12, MOST_DECIMALS = 15 };
static const double LARGEST_PLAIN = 1e15; /* beyond it the 15 digits no longer reach the point */

bool cks_is_missing(double value) { return isnan(value); }
double cks_missing(void) { return NAN; }

/* The n significant digits of |value| as text, zeros up to 15, and the power of ten of the first: 92.25 -> "922500000000000", 1. */
static int significant_digits(char digits[SIGNIFICANT + 1], double value, int n)
{
  char text[CKS_NUMBER_TEXT];
  snprintf(text, sizeof text, "%.*e", n - 1, fabs(value)); /* d.dddde+xx */
  memset(digits, '0', SIGNIFICANT);
  digits[0] = text[0];
  memcpy(digits + 1, text + 2, (size_t)(n - 1));
  digits[SIGNIFICANT] = '\0';
  return atoi(strchr(text, 'e') + 1);
}

/* Adds one to the decimal digits digits[0..n); true when they overflow (all nines). */
static bool carry(char *digits, int n)
{
  while (n > 0 && digits[n - 1] == '9') digits[--n] = '0';
  if (n > 0) digits[n - 1]++;
  return n == 0;
}

const char *cks_print_number(char into[CKS_NUMBER_TEXT], double value, int decimals)
{
  if (cks_is_missing(value)) return into[0] = '\0', into;
  if (decimals < 0) decimals = 0;
  if (decimals > MOST_DECIMALS) decimals = MOST_DECIMALS;
  if (!(fabs(value) < LARGEST_PLAIN)) {
    snprintf(into, CKS_NUMBER_TEXT, "%.15g", value);
    return into;
  }
  char digits[SIGNIFICANT + 1];
  int power = significant_digits(digits, value, SIGNIFICANT);
  if (power + 1 + decimals < TRUSTED) power = significant_digits(digits, value, TRUSTED);
  int kept = power + 1 + decimals; /* digits that stay; the next one decides */
  if (kept < 0) {
    memset(digits, '0', SIGNIFICANT);
  } else if (kept < SIGNIFICANT) {
    bool up = digits[kept] >= '5';
    memset(digits + kept, '0', (size_t)(SIGNIFICANT - kept));
    if (up && carry(digits, kept)) {
      memmove(digits + 1, digits, SIGNIFICANT - 1);
      digits[0] = '1';
      power++;
    }
  }
  char *to = into;
  bool all_zero = strspn(digits, "0") == SIGNIFICANT;
  if (value < 0 && !all_zero) *to++ = '-';
  int whole = power < 0 ? 0 : power;
  for (int place = whole; place >= -decimals; place--) { /* place: power of ten of the digit to write */
    int at = power - place;
    if (place == -1) *to++ = '.';
    *to++ = at >= 0 && at < SIGNIFICANT ? digits[at] : '0';
  }
  *to = '\0';
  return into;
}

/* Days of the civil calendar by the era method: years begin in March, so the leap day is last. */
bool cks_day_number(int year, int month, int day, double *number)
{
  static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  if (month < 1 || month > 12 || day < 1 || day > days[month - 1] + (leap && month == 2)) return false;
  int64_t y = (int64_t)year - (month <= 2);
  int64_t era = (y >= 0 ? y : y - 399) / 400, of_era = y - era * 400;
  int64_t of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
  *number = (double)(era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468);
  return true;
}

void cks_day_date(double number, int *year, int *month, int *day)
{
  int64_t z = (int64_t)floor(number) + 719468;
  int64_t era = (z >= 0 ? z : z - 146096) / 146097, of_era = z - era * 146097;
  int64_t year_of_era = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
  int64_t of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  int64_t march_month = (5 * of_year + 2) / 153;
  *day = (int)(of_year - (153 * march_month + 2) / 5 + 1);
  *month = (int)(march_month < 10 ? march_month + 3 : march_month - 9);
  *year = (int)(year_of_era + era * 400 + (*month <= 2));
}

const char *cks_print_date(char into[CKS_NUMBER_TEXT], double number)
{
  if (cks_is_missing(number) || fabs(number) > 1e7) return into[0] = '\0', into;
  int year, month, day;
  cks_day_date(number, &year, &month, &day);
  snprintf(into, CKS_NUMBER_TEXT, "%04d-%02d-%02d", year, month, day);
  return into;
}

bool cks_day_read(const char *text, double *number)
{
  static const char shape[] = "dddd-dd-dd";
  int part[3] = {0}, at = 0;
  for (size_t i = 0; i < sizeof shape - 1; i++) {
    bool digit = text[i] >= '0' && text[i] <= '9';
    if (shape[i] == 'd' ? !digit : text[i] != shape[i]) return false;
    if (digit)
      part[at] = part[at] * 10 + (text[i] - '0');
    else
      at++;
  }
  return !text[sizeof shape - 1] && cks_day_number(part[0], part[1], part[2], number);
}
