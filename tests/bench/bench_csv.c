/*
 * bench_csv.c: the yardstick for reading: a bare libcsv parse of a file, 64 KB at a time, that only counts.
 *
 *     bench_csv FILE       prints the rows and the cells
 */
#include <csv.h>
#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>

#define PIECE 65536

typedef struct {
  uint64_t n_cell, n_row;
} count;

static void on_cell(void *cell, size_t n, void *to)
{
  (void)cell;
  (void)n;
  ((count *)to)->n_cell++;
}

static void on_row(int end, void *to)
{
  (void)end;
  ((count *)to)->n_row++;
}

int main(int argc, char **argv)
{
  static char bytes[PIECE];
  struct csv_parser parser = {0};
  count seen = {0, 0};
  FILE *file = NULL;
  size_t n;
  int exit_code = 4;

  if (argc != 2) {
    fputs("usage: bench_csv FILE\n", stderr);
    return 2;
  }
  if (csv_init(&parser, 0)) goto done;
  file = fopen(argv[1], "rb");
  if (!file) {
    perror(argv[1]);
    goto done;
  }
  while ((n = fread(bytes, 1, PIECE, file)) > 0) {
    if (csv_parse(&parser, bytes, n, on_cell, on_row, &seen) != n) {
      fprintf(stderr, "%s: %s\n", argv[1], csv_strerror(csv_error(&parser)));
      goto done;
    }
  }
  if (ferror(file) || csv_fini(&parser, on_cell, on_row, &seen)) goto done;
  printf("%" PRIu64 " rows, %" PRIu64 " cells\n", seen.n_row, seen.n_cell);
  exit_code = 0;
done:
  if (file) fclose(file);
  csv_free(&parser);
  return exit_code;
}
