/*
 * arena.c: memory that is taken piece by piece and freed all at once.
 *
 * Pieces are zeroed and aligned for any type. A failure is remembered, so that a builder of many small texts may ask
 * once at its end.
 */
#include <checkstrip/base.h>

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_BLOCK = 4096, LARGEST_BLOCK = 1 << 20 };

typedef struct block block;
struct block {
  block *next;
  size_t size, used;   /* bytes of data */
  max_align_t data[1]; /* size bytes */
};

struct cks_arena {
  block *newest;
  size_t next_size;
  bool failed;
};

static char empty_text[1];

cks_arena *cks_arena_new(void)
{
  cks_arena *arena = calloc(1, sizeof *arena);
  if (arena) arena->next_size = FIRST_BLOCK;
  return arena;
}

void cks_arena_free(cks_arena *arena)
{
  if (!arena) return;
  for (block *b = arena->newest, *next; b; b = next) {
    next = b->next;
    free(b);
  }
  free(arena);
}

static block *block_new(size_t size)
{
  if (size > SIZE_MAX - sizeof(block)) return NULL;
  block *b = calloc(1, offsetof(block, data) + size);
  if (b) b->size = size;
  return b;
}

void *cks_arena_take(cks_arena *arena, size_t count, size_t size)
{
  const size_t align = sizeof(max_align_t);
  void *piece = NULL;
  if (size && count > (SIZE_MAX - align) / size) goto done;
  size_t need = count * size;
  need = need ? (need + align - 1) / align * align : align;
  block *b = arena->newest;
  if (!b || b->size - b->used < need) {
    size_t ask = need > arena->next_size ? need : arena->next_size;
    block *fresh = block_new(ask);
    if (!fresh) goto done;
    if (arena->next_size < LARGEST_BLOCK) arena->next_size *= 2;
    fresh->next = b;
    arena->newest = b = fresh;
  }
  piece = (char *)b->data + b->used;
  b->used += need;
done:
  if (!piece) arena->failed = true;
  return piece;
}

char *cks_arena_text(cks_arena *arena, const char *text)
{
  size_t n = strlen(text) + 1;
  char *copy = cks_arena_take(arena, n, 1);
  return copy ? memcpy(copy, text, n) : empty_text;
}

char *cks_arena_format(cks_arena *arena, const char *format, ...)
{
  va_list arguments, again;
  va_start(arguments, format);
  va_copy(again, arguments);
  int n = vsnprintf(NULL, 0, format, arguments);
  char *text = n < 0 ? NULL : cks_arena_take(arena, (size_t)n + 1, 1);
  if (text) vsnprintf(text, (size_t)n + 1, format, again);
  va_end(again);
  va_end(arguments);
  return text ? text : empty_text;
}

cks_status cks_arena_status(const cks_arena *arena, cks_error *error)
{
  return arena->failed ? cks_error_nomem(error) : CKS_OK;
}
