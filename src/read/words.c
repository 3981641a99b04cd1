/*
 * words.c: the vocabulary of headings, from the facts of the roles, and what is close to one of its words.
 *
 * Words are compared without case, spaces and punctuation: letters, digits and all bytes of non-ASCII characters but
 * the no-break space count. Close: optimal string alignment (edit distance with swaps of neighbors; Damerau 1964).
 */
#include "read.h"

#include <stdlib.h>
#include <string.h>

enum { SHORTEST_NEAR = 4, LONGER = 7, LONGEST_NEAR = 40 };

size_t cks_word_fold(char *into, const char *text, size_t n)
{
  size_t used = 0;
  for (size_t i = 0; i < n && used <= CKS_HEADING_LONGEST; i++) {
    unsigned char c = (unsigned char)text[i];
    if (c == 0xC2 && i + 1 < n && (unsigned char)text[i + 1] == 0xA0) {
      i++;
      continue;
    }
    if (c >= 'A' && c <= 'Z') c = (unsigned char)(c - 'A' + 'a');
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c >= 0x80) {
      if (used == CKS_HEADING_LONGEST) {
        used = 0;
        break;
      }
      into[used++] = (char)c;
    }
  }
  into[used] = '\0';
  return used;
}

bool cks_word_same(const char *a, const char *b)
{
  char folded_a[CKS_HEADING_LONGEST + 1], folded_b[CKS_HEADING_LONGEST + 1];
  size_t n = cks_word_fold(folded_a, a, strlen(a));
  return n && n == cks_word_fold(folded_b, b, strlen(b)) && !memcmp(folded_a, folded_b, n);
}

/* The first role that claims a word keeps it. */
static cks_status add_word(cks_vocabulary *vocabulary, const char *text, size_t n, cks_role role, cks_error *error)
{
  char folded[CKS_HEADING_LONGEST + 1];
  cks_id id;
  size_t length = cks_word_fold(folded, text, n), before = vocabulary->word.n;
  if (!length) return CKS_OK;
  cks_status status = cks_names_add(&vocabulary->word, folded, length, &id, error);
  if (status != CKS_OK || vocabulary->word.n == before) return status;
  if (id >= vocabulary->n_role) {
    size_t size = vocabulary->n_role ? vocabulary->n_role * 2 : 256;
    cks_role *grown = realloc(vocabulary->role, size * sizeof *grown);
    if (!grown) return cks_error_nomem(error);
    vocabulary->role = grown;
    vocabulary->n_role = size;
  }
  vocabulary->role[id] = role;
  return CKS_OK;
}

/* A weather file says where and when, and nothing of plots: there "date" is the day and "name" no hybrid. */
static bool is_of(cks_words_of of, cks_role role)
{
  bool weather = cks_role_find(role)->role_class == CKS_CLASS_WEATHER;
  return of == CKS_WORDS_ANY ||
         (of == CKS_WORDS_PLOTS ? !weather : weather || role == CKS_ROLE_LOCATION || role == CKS_ROLE_YEAR);
}

cks_status cks_vocabulary_init(cks_vocabulary *vocabulary, cks_words_of of, cks_error *error)
{
  *vocabulary = (cks_vocabulary){0};
  cks_status status = CKS_OK;
  for (int pass = 0; pass < 2; pass++) { /* keys and labels come before any synonym */
    for (int role = 0; role < CKS_ROLE_COUNT && status == CKS_OK; role++) {
      const cks_role_fact *fact = cks_role_find((cks_role)role);
      if (cks_role_is_asked((cks_role)role) || !is_of(of, (cks_role)role)) continue;
      if (pass == 0) {
        status = add_word(vocabulary, fact->key, strlen(fact->key), (cks_role)role, error);
        if (status == CKS_OK) status = add_word(vocabulary, fact->label, strlen(fact->label), (cks_role)role, error);
        continue;
      }
      for (const char *word = fact->synonyms; *word && status == CKS_OK;) {
        size_t n = strcspn(word, "|");
        status = add_word(vocabulary, word, n, (cks_role)role, error);
        word += n + (word[n] == '|');
      }
    }
  }
  if (status != CKS_OK) cks_vocabulary_release(vocabulary);
  return status;
}

void cks_vocabulary_release(cks_vocabulary *vocabulary)
{
  cks_names_release(&vocabulary->word);
  free(vocabulary->role);
  *vocabulary = (cks_vocabulary){0};
}

bool cks_vocabulary_find(const cks_vocabulary *vocabulary, const char *text, size_t n, cks_role *role)
{
  char folded[CKS_HEADING_LONGEST + 1];
  size_t length = cks_word_fold(folded, text, n);
  cks_id id = length ? cks_names_find(&vocabulary->word, folded, length) : CKS_NONE;
  if (id != CKS_NONE) *role = vocabulary->role[id];
  return id != CKS_NONE;
}

static size_t least(size_t a, size_t b, size_t c) { return a < b ? (a < c ? a : c) : b < c ? b : c; }

/* Optimal string alignment of a and b (both at most LONGEST_NEAR long), or limit + 1 as soon as it must be more. */
static size_t distance(const char *a, size_t n_a, const char *b, size_t n_b, size_t limit)
{
  size_t rows[3][LONGEST_NEAR + 1]; /* of the last two letters of a and the present one */
  for (size_t j = 0; j <= n_b; j++) rows[0][j] = j;
  for (size_t i = 1; i <= n_a; i++) {
    size_t *now = rows[i % 3], *last = rows[(i + 2) % 3], *before = rows[(i + 1) % 3];
    size_t smallest = now[0] = i;
    for (size_t j = 1; j <= n_b; j++) {
      now[j] = least(last[j] + 1, now[j - 1] + 1, last[j - 1] + (a[i - 1] != b[j - 1]));
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && before[j - 2] + 1 < now[j])
        now[j] = before[j - 2] + 1;
      if (now[j] < smallest) smallest = now[j];
    }
    if (smallest > limit) return limit + 1;
  }
  return rows[n_a % 3][n_b];
}

bool cks_vocabulary_near(const cks_vocabulary *vocabulary, const char *text, size_t n, cks_role *role)
{
  char folded[CKS_HEADING_LONGEST + 1];
  size_t length = cks_word_fold(folded, text, n), best = SIZE_MAX;
  if (length < SHORTEST_NEAR || length > LONGEST_NEAR) return false;
  for (cks_id id = 0; id < vocabulary->word.n; id++) {
    const char *word = cks_names_text(&vocabulary->word, id);
    size_t n_word = strlen(word), shorter = n_word < length ? n_word : length;
    size_t limit = shorter < SHORTEST_NEAR ? 0 : shorter < LONGER ? 1 : 2;
    if (cks_role_find(vocabulary->role[id])->role_class == CKS_CLASS_LOOK) continue; /* "rate" is no slip for "date" */
    if (limit == 1 && word[0] != folded[0]) continue; /* 'Grange' is no slip of 'range' */
    if (!limit || n_word > LONGEST_NEAR || n_word > length + limit || length > n_word + limit) continue;
    size_t steps = distance(folded, length, word, n_word, limit);
    if (steps > limit || steps >= best) continue;
    best = steps;
    *role = vocabulary->role[id];
  }
  return best != SIZE_MAX;
}
