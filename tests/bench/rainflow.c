/* Four-point rainflow with a from-to histogram and the places of the turning points: the same rule as src/numeric/closeCycles.ts,
   written as a C programmer would write it, in one fused loop. Reads doubles from a file; prints million samples per second,
   of processor time and by the clock. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define CLASSES 64
static double *value;
static double *place;
static double histogram[CLASSES * CLASSES];
static double low, high, per_unit;
static long closed, outside;
static double largest, largest_at;

static inline int class_of(double v) { return (int)((v - low) * per_unit); }

static inline void take(double from, double to, double at) {
  double range = from > to ? from - to : to - from;
  closed++;
  if (range > largest) { largest = range; largest_at = at; }
  if (from < low || from >= high || to < low || to >= high) { outside++; return; }
  histogram[class_of(from) * CLASSES + class_of(to)]++;
}

static long count(const double *x, long n) {
  long depth = 0, last_at = 0;
  double last = x[0];
  int direction = 0;
  for (long i = 1; i < n; i++) {
    double v = x[i];
    if (v > last) {
      if (direction < 0) {
        while (depth >= 3 && value[depth - 1] < value[depth - 3] && last < value[depth - 2]) { take(value[depth - 2], value[depth - 1], place[depth - 1]); depth -= 2; }
        value[depth] = last; place[depth++] = last_at;
      } else if (direction == 0) { value[depth] = last; place[depth++] = last_at; }
      direction = 1; last = v; last_at = i;
    } else if (v < last) {
      if (direction > 0) {
        while (depth >= 3 && value[depth - 1] >= value[depth - 3] && last >= value[depth - 2]) { take(value[depth - 2], value[depth - 1], place[depth - 1]); depth -= 2; }
        value[depth] = last; place[depth++] = last_at;
      } else if (direction == 0) { value[depth] = last; place[depth++] = last_at; }
      direction = -1; last = v; last_at = i;
    }
  }
  return depth + 1;
}

/* Million samples per second on a clock, best of the rounds. */
static double rate(const double *x, long n, int rounds, clockid_t clock, long *residue) {
  double best = 1e9;
  for (int r = 0; r < rounds; r++) {
    struct timespec a, b;
    closed = outside = 0; largest = -1;
    for (int i = 0; i < CLASSES * CLASSES; i++) histogram[i] = 0;
    clock_gettime(clock, &a);
    *residue = count(x, n);
    clock_gettime(clock, &b);
    double t = b.tv_sec - a.tv_sec + 1e-9 * (b.tv_nsec - a.tv_nsec);
    if (t < best) best = t;
  }
  return n / best / 1e6;
}

/* Arguments: file of doubles, low, high, rounds, and how often the signal is put behind itself for the count by the clock. */
int main(int argc, char **argv) {
  if (argc < 6) return 2;
  FILE *f = fopen(argv[1], "rb");
  if (!f) return 2;
  low = atof(argv[2]); high = atof(argv[3]); per_unit = CLASSES / (high - low);
  int rounds = atoi(argv[4]); long copies = atol(argv[5]);
  fseek(f, 0, SEEK_END); long n = ftell(f) / 8; rewind(f);
  double *x = malloc(copies * n * 8); value = malloc(copies * n * 8 + 64); place = malloc(copies * n * 8 + 64);
  if (fread(x, 8, n, f) != (size_t)n) return 2;
  for (long k = 1; k < copies; k++) memcpy(x + k * n, x, n * 8);
  long residue = 0, rest = 0;
  double by_clock = rate(x, copies * n, 4, CLOCK_MONOTONIC, &rest);
  double of_processor = rate(x, n, rounds, CLOCK_PROCESS_CPUTIME_ID, &residue);
  printf("{\"rate\": %.3f, \"byClock\": %.3f, \"closed\": %ld, \"residue\": %ld, \"outside\": %ld}\n", of_processor, by_clock, closed, residue, outside);
  return 0;
}
