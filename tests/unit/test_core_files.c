/*
 * test_core_files.c: src/core/file.c: an output stands whole under its name or not at all; files are read, folders
 * refused.
 */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct {
  char folder[64], path[96], link[96];
} files;

static files files_new(void)
{
  files f = {.folder = "/tmp/checkstrip-test-XXXXXX"};
  if (!mkdtemp(f.folder)) fail_msg("no folder for temporary files");
  snprintf(f.path, sizeof f.path, "%s/out.csv", f.folder);
  snprintf(f.link, sizeof f.link, "%s/link.csv", f.folder);
  return f;
}

/* Fails when anything but out.csv and link.csv was left behind. */
static void files_remove(const files *f)
{
  unlink(f->link);
  unlink(f->path);
  if (rmdir(f->folder) != 0) fail_msg("a temporary file was left in %s", f->folder);
}

static void write_output(const char *path, const char *bytes, bool commit)
{
  cks_output *output = NULL;
  cks_error error = {0};
  if (cks_output_open(path, &output, &error) != CKS_OK) fail_msg("%s", error.text);
  cks_sink sink = cks_output_sink(output);
  assert_int_equal(sink.put(sink.to, bytes, strlen(bytes), &error), CKS_OK);
  assert_int_equal(cks_output_close(output, &error), CKS_OK);
  if (commit) assert_int_equal(cks_output_commit(output, &error), CKS_OK);
  cks_output_free(output);
}

static void assert_holds(const char *path, const char *bytes)
{
  char *text = test_read_file(path);
  assert_string_equal(text, bytes);
  free(text);
}

static mode_t mode_of(const char *path)
{
  struct stat about;
  assert_int_equal(stat(path, &about), 0);
  return about.st_mode & 07777;
}

static void output_when_committed_then_it_stands_whole_and_otherwise_nothing_does(void **state)
{
  (void)state;
  files f = files_new();
  write_output(f.path, "lost", false);
  assert_int_not_equal(access(f.path, F_OK), 0);
  write_output(f.path, "first", true);
  assert_holds(f.path, "first");
  write_output(f.path, "lost", false);
  assert_holds(f.path, "first");
  write_output(f.path, "second", true);
  assert_holds(f.path, "second");
  files_remove(&f);
}

static void output_when_a_file_is_replaced_then_its_mode_is_kept_and_a_new_one_has_the_umask(void **state)
{
  (void)state;
  files f = files_new();
  mode_t mask = umask(027);
  write_output(f.path, "first", true);
  assert_int_equal(mode_of(f.path), 0640);
  assert_int_equal(chmod(f.path, 0604), 0);
  write_output(f.path, "second", true);
  umask(mask);
  assert_int_equal(mode_of(f.path), 0604);
  files_remove(&f);
}

static void output_when_the_path_is_a_link_then_its_target_is_written(void **state)
{
  (void)state;
  files f = files_new();
  struct stat about;
  write_output(f.path, "first", true);
  assert_int_equal(symlink(f.path, f.link), 0);
  write_output(f.link, "second", true);
  assert_int_equal(lstat(f.link, &about), 0);
  assert_true(S_ISLNK(about.st_mode));
  assert_holds(f.path, "second");
  files_remove(&f);
}

static void output_when_it_cannot_be_written_then_the_reason_is_given(void **state)
{
  (void)state;
  files f = files_new();
  cks_output *output = NULL;
  cks_error folder = {0}, nowhere = {0}, full = {0};
  assert_int_equal(cks_output_open(f.folder, &output, &folder), CKS_IO);
  assert_null(output);
  assert_non_null(strstr(folder.text, "folder"));
  snprintf(f.link, sizeof f.link, "%s/none/out.csv", f.folder);
  assert_int_equal(cks_output_open(f.link, &output, &nowhere), CKS_IO);
  assert_null(output);
  if (access("/dev/full", W_OK) == 0) {
    assert_int_equal(cks_output_open("/dev/full", &output, &full), CKS_OK);
    cks_sink sink = cks_output_sink(output);
    sink.put(sink.to, "x", 1, NULL);
    assert_int_equal(cks_output_close(output, &full), CKS_IO);
    cks_output_free(output);
    assert_int_equal(access("/dev/full", W_OK), 0);
  }
  cks_output_free(NULL);
  files_remove(&f);
}

static void file_when_opened_then_its_bytes_come_and_a_folder_or_nothing_is_refused(void **state)
{
  (void)state;
  files f = files_new();
  cks_source source;
  cks_error folder = {0}, none = {0};
  char bytes[16];
  assert_int_equal(cks_file_open(f.folder, &source, &folder), CKS_IO);
  assert_non_null(strstr(folder.text, "folder"));
  assert_int_equal(cks_file_open(f.path, &source, &none), CKS_IO);
  assert_non_null(strstr(none.text, f.path));
  write_output(f.path, "0123456789", true);
  assert_int_equal(cks_file_open(f.path, &source, NULL), CKS_OK);
  assert_string_equal(source.name, f.path);
  assert_int_equal(source.read(source.from, bytes, 4), 4);
  assert_int_equal(source.read(source.from, bytes, sizeof bytes), 6);
  assert_memory_equal(bytes, "456789", 6);
  assert_int_equal(source.read(source.from, bytes, sizeof bytes), 0);
  cks_file_close(&source);
  cks_file_close(&source);
  files_remove(&f);
}

static void files_when_spelled_or_linked_otherwise_then_they_are_the_same(void **state)
{
  (void)state;
  files f = files_new();
  char other[128], missing[128];
  snprintf(other, sizeof other, "%s/./out.csv", f.folder);
  snprintf(missing, sizeof missing, "%s/none/out.csv", f.folder);
  assert_true(cks_file_same(f.path, other)); /* not there yet */
  assert_false(cks_file_same(f.path, f.link));
  assert_false(cks_file_same(f.path, missing));
  write_output(f.path, "plots", true);
  assert_true(cks_file_same(f.path, other));
  assert_false(cks_file_same(f.path, f.link));
  assert_int_equal(symlink(f.path, f.link), 0);
  assert_true(cks_file_same(f.link, other));
  assert_int_equal(unlink(f.link), 0);
  assert_int_equal(link(f.path, f.link), 0);
  assert_true(cks_file_same(f.link, other));
  assert_false(cks_file_same("/dev/null", "/dev/null")); /* nothing is lost there */
  files_remove(&f);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(output_when_committed_then_it_stands_whole_and_otherwise_nothing_does),
      cmocka_unit_test(output_when_a_file_is_replaced_then_its_mode_is_kept_and_a_new_one_has_the_umask),
      cmocka_unit_test(output_when_the_path_is_a_link_then_its_target_is_written),
      cmocka_unit_test(output_when_it_cannot_be_written_then_the_reason_is_given),
      cmocka_unit_test(file_when_opened_then_its_bytes_come_and_a_folder_or_nothing_is_refused),
      cmocka_unit_test(files_when_spelled_or_linked_otherwise_then_they_are_the_same),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
