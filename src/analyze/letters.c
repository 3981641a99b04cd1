/*
 * letters.c: see letters.h. A column is the set of the means that share one letter, a bit a mean.
 *
 * Insert: a column that holds two different means is split in two, each without one of them. Absorb: a column inside
 * another is dropped. Columns only shrink, and any two that are not different stay together in one, so the property
 * holds.
 */
#include "letters.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_COLUMNS = 128 }; /* on the way there may be more columns than letters at the end */

typedef struct {
  size_t n, n_word, n_column;
  uint64_t *bits; /* MOST_COLUMNS x n_word */
} columns;

static uint64_t *column(const columns *all, size_t c) { return all->bits + c * all->n_word; }
static bool has(const uint64_t *bits, size_t i) { return bits[i / 64] >> (i % 64) & 1; }
static void put(uint64_t *bits, size_t i) { bits[i / 64] |= UINT64_C(1) << (i % 64); }
static void take(uint64_t *bits, size_t i) { bits[i / 64] &= ~(UINT64_C(1) << (i % 64)); }

static bool inside(const uint64_t *a, const uint64_t *b, size_t n_word)
{
  for (size_t w = 0; w < n_word; w++)
    if (a[w] & ~b[w]) return false;
  return true;
}

/* Drops columns that lie inside another; of two equal ones the later. */
static void absorb(columns *all)
{
  size_t size = all->n_word * sizeof *all->bits;
  for (size_t c = all->n_column; c-- > 0;) {
    bool drop = false;
    for (size_t d = 0; d < all->n_column && !drop; d++)
      drop = d != c && inside(column(all, c), column(all, d), all->n_word);
    if (!drop) continue;
    memmove(column(all, c), column(all, c + 1), (all->n_column - c - 1) * size);
    all->n_column--;
  }
}

/* Splits what holds both i and j; false when there is no room. */
static bool insert(columns *all, size_t i, size_t j)
{
  size_t before = all->n_column;
  for (size_t c = 0; c < before; c++) {
    if (!has(column(all, c), i) || !has(column(all, c), j)) continue;
    if (all->n_column == MOST_COLUMNS) return false;
    memcpy(column(all, all->n_column), column(all, c), all->n_word * sizeof *all->bits);
    take(column(all, all->n_column++), i);
    take(column(all, c), j);
  }
  if (all->n_column > before) absorb(all);
  return true;
}

static bool insert_and_absorb(columns *all, cks_differ differ, const void *context)
{
  for (size_t i = 0; i < all->n; i++) put(column(all, 0), i);
  all->n_column = 1;
  for (size_t i = 0; i < all->n; i++)
    for (size_t j = i + 1; j < all->n; j++)
      if (differ(context, i, j) && !insert(all, i, j)) return false;
  return true;
}

/* Longest runs of neighbors that are not different. */
static bool sweep(columns *all, cks_differ differ, const void *context)
{
  size_t covered = 0; /* means before it are in a column */
  for (size_t first = 0; first < all->n && covered < all->n; first++) {
    size_t end = covered > first ? covered : first + 1;
    while (end < all->n && !differ(context, first, end)) end++;
    if (end <= covered) continue;
    if (all->n_column == MOST_COLUMNS) return false;
    for (size_t i = first; i < end; i++) put(column(all, all->n_column), i);
    all->n_column++;
    covered = end;
  }
  return true;
}

/* Columns in the order of their best mean, then of the next. */
static bool stands_before(const columns *all, size_t a, size_t b)
{
  for (size_t w = 0; w < all->n_word; w++) {
    uint64_t differ = column(all, a)[w] ^ column(all, b)[w];
    if (differ) return (column(all, a)[w] & (differ & (~differ + 1))) != 0;
  }
  return a < b;
}

static void write_letters(const columns *all, cks_arena *arena, const char **group)
{
  size_t rank[MOST_COLUMNS];
  for (size_t a = 0; a < all->n_column; a++) {
    rank[a] = 0;
    for (size_t b = 0; b < all->n_column; b++) rank[a] += b != a && stands_before(all, b, a);
  }
  for (size_t i = 0; i < all->n; i++) {
    bool used[CKS_MOST_LETTERS] = {false};
    for (size_t c = 0; c < all->n_column; c++) used[rank[c]] |= has(column(all, c), i);
    char text[CKS_MOST_LETTERS + 1];
    size_t n = 0;
    for (size_t k = 0; k < CKS_MOST_LETTERS; k++)
      if (used[k]) text[n++] = "abcdefghijklmnopqrstuvwxyz"[k];
    text[n] = '\0';
    group[i] = cks_arena_text(arena, text);
  }
}

cks_status cks_letters_assign(size_t n, bool runs, cks_differ differ, const void *context, cks_arena *arena,
                              const char **group, const char **why, cks_error *error)
{
  columns all = {.n = n, .n_word = n / 64 + 1};
  memset(group, 0, n * sizeof *group);
  *why = "";
  if (!runs && n > CKS_MOST_ABSORBED) {
    *why = "letters are given up to 200 hybrids when SEDs are unequal";
    return CKS_OK;
  }
  all.bits = calloc((MOST_COLUMNS + 1) * all.n_word, sizeof *all.bits);
  if (!all.bits) return cks_error_nomem(error);
  bool fits = runs ? sweep(&all, differ, context) : insert_and_absorb(&all, differ, context);
  if (fits && all.n_column <= CKS_MOST_LETTERS)
    write_letters(&all, arena, group);
  else
    *why = "more than 26 letters would be needed";
  free(all.bits);
  return cks_arena_status(arena, error);
}
