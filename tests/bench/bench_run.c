/*
 * bench_run.c: runs one command with its output thrown away and prints what it took, on one line: wall seconds, peak
 * KB.
 *
 *     bench_run COMMAND [ARGUMENT]...
 *
 * Exit code: the command's own; 126 when it cannot be started or was killed. The peak is the kernel's ru_maxrss; it is
 * never below this wrapper's own size, which loads the same libraries as an empty command does.
 */
#define _DEFAULT_SOURCE /* wait4 */
#include <fcntl.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>

#define CANNOT_RUN 126

extern char **environ;

static double seconds_between(const struct timespec *from, const struct timespec *to)
{
  return (double)(to->tv_sec - from->tv_sec) + (double)(to->tv_nsec - from->tv_nsec) * 1e-9;
}

/* Starts the command with standard output on /dev/null; an errno, 0 when it runs. */
static int start(char **command, pid_t *child)
{
  posix_spawn_file_actions_t actions;
  int problem = posix_spawn_file_actions_init(&actions);
  if (problem) return problem;
  problem = posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
  if (!problem) problem = posix_spawnp(child, command[0], &actions, NULL, command, environ);
  posix_spawn_file_actions_destroy(&actions);
  return problem;
}

int main(int argc, char **argv)
{
  struct timespec before, after;
  struct rusage used;
  pid_t child;
  int state, problem;

  if (argc < 2) {
    fputs("usage: bench_run COMMAND [ARGUMENT]...\n", stderr);
    return 2;
  }
  clock_gettime(CLOCK_MONOTONIC, &before);
  problem = start(argv + 1, &child);
  if (problem) {
    fprintf(stderr, "%s: %s\n", argv[1], strerror(problem));
    return CANNOT_RUN;
  }
  if (wait4(child, &state, 0, &used) != child) {
    perror("wait4");
    return CANNOT_RUN;
  }
  clock_gettime(CLOCK_MONOTONIC, &after);
  printf("%.6f %jd\n", seconds_between(&before, &after), (intmax_t)used.ru_maxrss);
  return WIFEXITED(state) ? WEXITSTATUS(state) : CANNOT_RUN;
}
