/*
 * summary.c: the words by which a row of a trial table is no plot but a mean, a total or a test of those above; common
 * practice of public trial reports, no source.
 */
#include "words.h"

#include <stddef.h>
#include <string.h>

enum { LONGEST_WORD = 24 };

/* A row that says nothing but these, one of the first line among them, is no plot. */
static const char means[] =
    "mean|means|average|averages|avg|ave|total|totals|subtotal|sum|median|minimum|maximum|overall|"
    "mittel|mittelwert|durchschnitt|moyenne|promedio";
static const char of_what[] =
    "grand|overall|trial|test|site|location|loc|farm|field|plot|plots|check|checks|ck|all|entry|"
    "entries|hybrid|hybrids|variety|varieties|rep|reps|replicate|replicates|block|blocks|year|"
    "season|nursery|experiment|treatment|of|the|for|at|and|by|der|de|die";
/* Written whole; digits may follow those that have a level of test. */
static const char tests[] =
    "cv|cvpercent|coefficientofvariation|sd|stddev|stdev|standarddeviation|standarderror|stderror|"
    "sed|sem|probf|prf|pf|pvalue|probability|significance|errordf";
static const char leveled[] = "lsd|msd|hsd";

static bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80; }

/* All letters of the text in one run. */
static size_t letters_of(const char *text, char *to, size_t room)
{
  size_t n = 0;
  for (; *text && n + 1 < room; text++)
    if (is_letter(*text)) to[n++] = *text;
  to[n] = '\0';
  return n;
}

cks_summary cks_words_summary(const char *text)
{
  char word[LONGEST_WORD + 1];
  bool digits = strpbrk(text, "0123456789") != NULL, mean = false, what = false, other = false;
  if (letters_of(text, word, sizeof word) && (cks_words_has(leveled, word) || (!digits && cks_words_has(tests, word))))
    return CKS_SUMMARY_YES;
  for (const char *at = text; *at;) {
    size_t n = 0;
    for (; is_letter(*at); at++)
      if (n < LONGEST_WORD) word[n++] = *at;
    if (!n) {
      at++;
      continue;
    }
    word[n] = '\0';
    bool is_mean = cks_words_has(means, word), is_what = cks_words_has(of_what, word);
    mean = mean || is_mean;
    what = what || (is_what && !is_mean);
    other = other || (!is_mean && !is_what);
  }
  if (!mean) return CKS_SUMMARY_NO;
  return other || (digits && !what) ? CKS_SUMMARY_MAYBE : CKS_SUMMARY_YES;
}
