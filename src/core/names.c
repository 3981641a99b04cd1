/*
 * names.c: an interner: each text is kept once and has an id, in the order first seen; and the order for people.
 */
#include <checkstrip/base.h>

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_SLOTS = 64, FIRST_BYTES = 1024 };

void cks_names_release(cks_names *names)
{
  free(names->text);
  free(names->at);
  free(names->slot);
  *names = (cks_names){0};
}

const char *cks_names_text(const cks_names *names, cks_id id)
{
  return id < names->n ? names->text + names->at[id] : "";
}

/* FNV-1a, 64 bits, folded. */
static size_t hash(const char *text, size_t n)
{
  uint64_t h = 14695981039346656037u;
  for (size_t i = 0; i < n; i++) h = (h ^ (unsigned char)text[i]) * 1099511628211u;
  return (size_t)(h ^ (h >> 32));
}

/* The slot that holds text, or the free one where it belongs. n_slot is a power of two and never full. */
static size_t slot_of(const cks_names *names, const char *text, size_t n)
{
  size_t mask = names->n_slot - 1, i = hash(text, n) & mask;
  while (names->slot[i] != CKS_NONE) {
    const char *other = names->text + names->at[names->slot[i]];
    if (!strncmp(other, text, n) && !other[n]) break;
    i = (i + 1) & mask;
  }
  return i;
}

cks_id cks_names_find(const cks_names *names, const char *text, size_t n)
{
  return names->n_slot ? names->slot[slot_of(names, text, n)] : CKS_NONE;
}

static bool grow_slots(cks_names *names)
{
  size_t n_slot = names->n_slot ? names->n_slot * 2 : FIRST_SLOTS;
  cks_id *slot = malloc(n_slot * sizeof *slot);
  if (!slot) return false;
  memset(slot, 0xff, n_slot * sizeof *slot); /* CKS_NONE everywhere */
  free(names->slot);
  names->slot = slot;
  names->n_slot = n_slot;
  for (size_t id = 0; id < names->n; id++) {
    const char *text = names->text + names->at[id];
    slot[slot_of(names, text, strlen(text))] = (cks_id)id;
  }
  return true;
}

static bool grow_texts(cks_names *names, size_t n)
{
  if (names->size - names->used < n + 1) {
    size_t size = names->size ? names->size * 2 : FIRST_BYTES;
    while (size - names->used < n + 1) size *= 2;
    char *text = realloc(names->text, size);
    if (!text) return false;
    names->text = text;
    names->size = size;
  }
  if (names->n == names->n_at) {
    size_t n_at = names->n_at ? names->n_at * 2 : FIRST_SLOTS;
    uint32_t *at = realloc(names->at, n_at * sizeof *at);
    if (!at) return false;
    names->at = at;
    names->n_at = n_at;
  }
  return true;
}

cks_status cks_names_add(cks_names *names, const char *text, size_t n, cks_id *id, cks_error *error)
{
  if ((names->n + 1) * 2 > names->n_slot && !grow_slots(names)) return cks_error_nomem(error);
  size_t i = slot_of(names, text, n);
  if (names->slot[i] == CKS_NONE) {
    if (n >= UINT32_MAX - names->used || names->n >= CKS_NONE - 1)
      return cks_error_set(error, CKS_LIMIT, "more than 4 GiB of different names");
    if (!grow_texts(names, n)) return cks_error_nomem(error);
    memcpy(names->text + names->used, text, n);
    names->text[names->used + n] = '\0';
    names->at[names->n] = (uint32_t)names->used;
    names->used += n + 1;
    names->slot[i] = (cks_id)names->n++;
  }
  *id = names->slot[i];
  return CKS_OK;
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static int fold(char c) { return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : (unsigned char)c; }

/* Compares the runs of digits that begin at *a and *b by their number and steps over them. */
static int compare_digits(const char **a, const char **b)
{
  while (**a == '0') ++*a;
  while (**b == '0') ++*b;
  int first = 0;
  while (is_digit(**a) && is_digit(**b)) {
    if (!first) first = **a - **b;
    ++*a;
    ++*b;
  }
  return is_digit(**a) ? 1 : is_digit(**b) ? -1 : first;
}

int cks_names_compare(const char *a, const char *b)
{
  const char *whole_a = a, *whole_b = b;
  int order = 0;
  while (!order && (*a || *b)) {
    if (is_digit(*a) && is_digit(*b))
      order = compare_digits(&a, &b);
    else if ((order = fold(*a) - fold(*b)) == 0)
      a++, b++;
  }
  return order ? order : strcmp(whole_a, whole_b);
}

void cks_names_fold(const char *text, size_t n, char into[CKS_NAMES_FOLDED])
{
  size_t used = 0;
  uint64_t whole = 14695981039346656037U; /* FNV-1a of all that is folded */
  for (size_t i = 0; i < n; i++) {
    unsigned char c = (unsigned char)text[i];
    if (!isalnum(c) && c < 0x80 && !strchr("+./&#'", c)) continue;
    whole = (whole ^ (uint64_t)tolower(c)) * 1099511628211U;
    if (used < CKS_NAMES_FOLDED) into[used++] = (char)tolower(c);
  }
  if (used < CKS_NAMES_FOLDED)
    into[used] = '\0';
  else
    snprintf(into + CKS_NAMES_FOLDED - 17, 17, "%016" PRIx64, whole);
}

const char *cks_names_stem(const char *path, size_t *n)
{
  const char *slash = strrchr(path, '/'), *base = slash ? slash + 1 : path, *point = strrchr(base, '.');
  *n = point && point > base ? (size_t)(point - base) : strlen(base);
  return base;
}

/* Double quotes serve in every shell; single ones where a sign in the text has a meaning within double ones. */
const char *cks_shell_word(char into[CKS_SHELL_WORD], const char *text)
{
  enum { LONGEST = 200 };
  bool plain = !strpbrk(text, "\"$`\\!");
  char mark = plain ? '"' : '\'';
  size_t length = strlen(text), n = length, used = 0;
  into[used++] = mark;
  while (n > LONGEST || (n && n < length && ((unsigned char)text[n] & 0xC0) == 0x80)) n--; /* not within a character */
  for (size_t i = 0; i < n; i++) {
    static const char apart[] = "'\\'";
    if (text[i] == '\'' && !plain) {
      memcpy(into + used, apart, sizeof apart - 1);
      used += sizeof apart - 1;
    }
    into[used++] = text[i];
  }
  into[used++] = mark;
  into[used] = '\0';
  return into;
}
