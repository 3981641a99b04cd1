/* nearest.c: the word that was probably meant, by edit distance (Levenshtein). */
#include <checkstrip/base.h>

#include <string.h>

enum { LONGEST = 40 };

static size_t smallest(size_t a, size_t b, size_t c) { return a < b ? (a < c ? a : c) : (b < c ? b : c); }

static size_t distance(const char *a, const char *b)
{
  size_t row[LONGEST + 1], n = strlen(a), m = strlen(b);
  if (n > LONGEST || m > LONGEST) return LONGEST;
  for (size_t j = 0; j <= m; j++) row[j] = j;
  for (size_t i = 1; i <= n; i++) {
    size_t diagonal = row[0];
    row[0] = i;
    for (size_t j = 1; j <= m; j++) {
      size_t above = row[j];
      row[j] = smallest(above + 1, row[j - 1] + 1, diagonal + (a[i - 1] != b[j - 1]));
      diagonal = above;
    }
  }
  return row[m];
}

const char *cks_nearest(const char *text, const char *const *words, size_t n)
{
  const char *nearest = NULL;
  size_t best = strlen(text) / 3 + 1; /* one slip in three letters */
  for (size_t i = 0; i < n; i++) {
    size_t d = distance(text, words[i]);
    if (d <= best && (!nearest || d < best)) nearest = words[i], best = d;
  }
  return nearest;
}
