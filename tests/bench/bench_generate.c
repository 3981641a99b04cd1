/*
 * bench_generate.c: writes a plot list of any size to standard output, the same bytes on every machine.
 *
 *     bench_generate LOCATIONS HYBRIDS REPS > FILE
 *
 * Columns: location, rep, plot, hybrid, yield, moisture, test weight, plant height; every hybrid once in every rep, in
 * an order drawn anew for each. Invented figures of usual size, integers throughout, so that no rounding differs.
 */
#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#define MOST_LOCATIONS 1000u
#define MOST_HYBRIDS   9999u /* plot numbers are rep * 10000 + place in the rep */
#define MOST_REPS      9u

/* SplitMix64, Steele, Lea & Flood 2014, OOPSLA (constants from memory). */
static uint64_t draw(uint64_t *state)
{
  uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15);
  z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
  z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
  return z ^ (z >> 31);
}

/* 0 .. n - 1; the bias of a remainder does not matter here. */
static uint32_t draw_below(uint64_t *state, uint32_t n) { return (uint32_t)(draw(state) % n); }

/* Nearly normal about 0 within +-2 * half: four uniform draws added; standard deviation 0.58 * half. */
static int32_t scatter(uint64_t *state, uint32_t half)
{
  uint32_t sum = 0;
  for (int i = 0; i < 4; i++) sum += draw_below(state, half + 1);
  return (int32_t)sum - 2 * (int32_t)half;
}

/* An order of 0 .. n - 1 (Fisher & Yates). */
static void shuffle(uint64_t *state, uint32_t n, uint32_t *order)
{
  for (uint32_t i = 0; i < n; i++) order[i] = i;
  for (uint32_t i = n; i > 1; i--) {
    uint32_t j = draw_below(state, i), kept = order[i - 1];
    order[i - 1] = order[j];
    order[j] = kept;
  }
}

static void write_tenths(int32_t tenths) { printf(",%" PRId32 ".%" PRId32, tenths / 10, tenths % 10); }

/* One rep of one location. merit: size n_hybrid, tenths of bu/ac. */
static void write_rep(uint64_t *state, uint32_t location, uint32_t rep, uint32_t n_hybrid, const int32_t *merit,
                      uint32_t *order)
{
  int32_t place = 700 + (int32_t)(location * 37 % 50) * 10; /* tenths of bu/ac */
  shuffle(state, n_hybrid, order);
  for (uint32_t i = 0; i < n_hybrid; i++) {
    uint32_t hybrid = order[i];
    printf("Place %" PRIu32 ",%" PRIu32 ",%" PRIu32 ",Bench %" PRIu32, location + 1, rep, rep * 10000 + i + 1,
           1000 + hybrid);
    write_tenths(place + merit[hybrid] + scatter(state, 140));
    write_tenths(145 + scatter(state, 8));
    write_tenths(585 + scatter(state, 8));
    printf(",%" PRId32 "\n", 46 + (int32_t)(hybrid % 9) - 4 + scatter(state, 3));
  }
}

/* A count of 1 to most, or 0 when the text is none. */
static uint32_t read_count(const char *text, uint32_t most)
{
  char *end;
  unsigned long n = strtoul(text, &end, 10);
  return *text && *end == '\0' && n <= most ? (uint32_t)n : 0;
}

int main(int argc, char **argv)
{
  uint64_t state = 2026;
  int32_t *merit = NULL;
  uint32_t *order = NULL;
  int exit_code = 2;
  uint32_t n_location = argc == 4 ? read_count(argv[1], MOST_LOCATIONS) : 0;
  uint32_t n_hybrid = argc == 4 ? read_count(argv[2], MOST_HYBRIDS) : 0;
  uint32_t n_rep = argc == 4 ? read_count(argv[3], MOST_REPS) : 0;

  if (!n_location || !n_hybrid || !n_rep) {
    fputs("usage: bench_generate LOCATIONS HYBRIDS REPS\n", stderr);
    goto done;
  }
  exit_code = 4;
  merit = malloc(n_hybrid * sizeof *merit);
  order = malloc(n_hybrid * sizeof *order);
  if (!merit || !order) goto done;
  for (uint32_t i = 0; i < n_hybrid; i++) merit[i] = scatter(&state, 60);

  puts("location,rep,plot,hybrid,yield (bu/ac),moisture (%),test weight (lb/bu),plant height (in)");
  for (uint32_t location = 0; location < n_location; location++) {
    for (uint32_t rep = 1; rep <= n_rep; rep++) write_rep(&state, location, rep, n_hybrid, merit, order);
  }
  if (fflush(stdout) == 0 && !ferror(stdout)) exit_code = 0;
done:
  free(order);
  free(merit);
  return exit_code;
}
