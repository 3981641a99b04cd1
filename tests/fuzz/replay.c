/* replay.c: feeds each file named on the command line to a fuzz entry, where no fuzzer is at hand. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static int replay(const char *path)
{
  int failed = 1;
  uint8_t *bytes = NULL;
  FILE *file = fopen(path, "rb");
  long size = -1;
  if (file && fseek(file, 0, SEEK_END) == 0) size = ftell(file);
  if (size < 0 || fseek(file, 0, SEEK_SET) != 0) goto done;
  bytes = malloc((size_t)size + 1);
  if (!bytes || fread(bytes, 1, (size_t)size, file) != (size_t)size) goto done;
  failed = LLVMFuzzerTestOneInput(bytes, (size_t)size);
done:
  if (failed) fprintf(stderr, "cannot replay '%s'\n", path);
  if (file) fclose(file);
  free(bytes);
  return failed;
}

int main(int argc, char **argv)
{
  int failed = 0;
  for (int i = 1; i < argc; i++) failed += replay(argv[i]) != 0;
  printf("%d replayed, %d failed\n", argc - 1, failed);
  return failed ? 1 : 0;
}
