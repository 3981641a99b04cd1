/* file.c: paths to sources and outputs. An output appears under its name whole or not at all. */
#include <checkstrip/file.h>

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct cks_output {
  char *path;    /* where it goes, links followed */
  char *scratch; /* the temporary file beside it; path itself when written straight */
  FILE *stream;  /* NULL once closed */
  bool straight; /* no regular file: no temporary name, no rename */
  bool committed;
};

static ptrdiff_t read_stream(void *from, char *bytes, size_t n)
{
  size_t got = fread(bytes, 1, n, from);
  return got < n && ferror((FILE *)from) ? -1 : (ptrdiff_t)got;
}

cks_status cks_file_open(const char *path, cks_source *source, cks_error *error)
{
  *source = (cks_source){0};
  struct stat about;
  FILE *stream = fopen(path, "rb");
  if (!stream) return cks_error_set(error, CKS_IO, "cannot open '%s': %s", path, strerror(errno));
  if (fstat(fileno(stream), &about) == 0 && S_ISDIR(about.st_mode)) {
    fclose(stream);
    return cks_error_set(error, CKS_IO, "'%s' is a folder; name the files in it (%s/*.csv)", path, path);
  }
  *source = (cks_source){path, read_stream, stream};
  return CKS_OK;
}

void cks_file_close(cks_source *source)
{
  if (source->from) fclose(source->from);
  *source = (cks_source){0};
}

/* The folder that a path lies in, as stat() sees it; *name: what stands behind it. */
static bool folder_of(const char *path, struct stat *about, const char **name)
{
  const char *slash = strrchr(path, '/');
  char folder[PATH_MAX];
  size_t n = slash ? (size_t)(slash - path) + 1 : 0; /* with the slash, so that "/" stays */
  *name = path + n;
  if (n >= sizeof folder) return false;
  memcpy(folder, path, n);
  folder[n] = '\0';
  return stat(n ? folder : ".", about) == 0;
}

bool cks_file_same(const char *a, const char *b)
{
  struct stat first, second;
  const char *first_name, *second_name;
  bool has_a = stat(a, &first) == 0, has_b = stat(b, &second) == 0;
  if (has_a != has_b) return false;
  if (has_a && !(S_ISREG(first.st_mode) && S_ISREG(second.st_mode))) return false;
  if (!has_a &&
      !(folder_of(a, &first, &first_name) && folder_of(b, &second, &second_name) && !strcmp(first_name, second_name)))
    return !strcmp(a, b);
  return first.st_dev == second.st_dev && first.st_ino == second.st_ino;
}

static cks_status failed(cks_error *error, const char *doing, const char *path, int why)
{
  return cks_error_set(error, CKS_IO, "cannot %s '%s': %s", doing, path, strerror(why));
}

static char *join(const char *a, const char *b)
{
  char *text = malloc(strlen(a) + strlen(b) + 1);
  return text ? strcat(strcpy(text, a), b) : NULL;
}

/* A temporary file with the mode that path has, or that the umask gives. */
static cks_status open_scratch(cks_output *output, const struct stat *about, cks_error *error)
{
  output->scratch = join(output->path, ".XXXXXX");
  if (!output->scratch) return cks_error_nomem(error);
  int file = mkstemp(output->scratch);
  if (file < 0) {
    int why = errno;
    free(output->scratch);
    output->scratch = NULL;
    return failed(error, "write beside", output->path, why);
  }
  mode_t mask = umask(0);
  umask(mask);
  fchmod(file, about ? about->st_mode & 07777 : 0666 & ~mask);
  output->stream = fdopen(file, "wb");
  if (output->stream) return CKS_OK;
  close(file);
  return cks_error_nomem(error);
}

cks_status cks_output_open(const char *path, cks_output **out, cks_error *error)
{
  *out = NULL;
  cks_status status = CKS_OK;
  struct stat about;
  cks_output *output = calloc(1, sizeof *output);
  if (!output) return cks_error_nomem(error);
  bool exists = stat(path, &about) == 0;
  output->path = exists ? realpath(path, NULL) : join(path, "");
  if (!output->path) {
    status = cks_error_nomem(error);
  } else if (exists && S_ISDIR(about.st_mode)) {
    status = cks_error_set(error, CKS_IO, "cannot write '%s': it is a folder", path);
  } else if (exists && !S_ISREG(about.st_mode)) {
    output->straight = true;
    output->stream = fopen(output->path, "wb");
    if (!output->stream) status = failed(error, "write", path, errno);
  } else {
    status = open_scratch(output, exists ? &about : NULL, error);
  }
  if (status == CKS_OK)
    *out = output;
  else
    cks_output_free(output);
  return status;
}

static cks_status put_stream(void *to, const char *bytes, size_t n, cks_error *error)
{
  FILE *stream = to;
  return fwrite(bytes, 1, n, stream) == n ? CKS_OK : cks_error_set(error, CKS_IO, "cannot write: %s", strerror(errno));
}

cks_sink cks_output_sink(cks_output *output) { return (cks_sink){put_stream, output->stream}; }
const char *cks_output_scratch(const cks_output *output) { return output->straight ? output->path : output->scratch; }

cks_status cks_output_close(cks_output *output, cks_error *error)
{
  if (!output->stream) return CKS_OK;
  bool arrived = !ferror(output->stream) && fflush(output->stream) == 0;
  int why = errno;
  if (fclose(output->stream) != 0 && arrived) arrived = false, why = errno;
  output->stream = NULL;
  return arrived ? CKS_OK : failed(error, "write", output->path, why);
}

cks_status cks_output_commit(cks_output *output, cks_error *error)
{
  if (!output->straight && rename(output->scratch, output->path) != 0)
    return failed(error, "write", output->path, errno);
  output->committed = true;
  return CKS_OK;
}

void cks_output_free(cks_output *output)
{
  if (!output) return;
  if (output->stream) fclose(output->stream);
  if (output->scratch && !output->committed) unlink(output->scratch);
  free(output->scratch);
  free(output->path);
  free(output);
}

cks_sink cks_file_stdout(void) { return (cks_sink){put_stream, stdout}; }

cks_status cks_file_flush_stdout(cks_error *error)
{
  return fflush(stdout) == 0 && !ferror(stdout)
             ? CKS_OK
             : cks_error_set(error, CKS_IO, "cannot write the results to standard output: %s", strerror(errno));
}
