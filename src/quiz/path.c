/* SPDX-License-Identifier: MIT */
/* A set cover: the universe is what has to be ruled out (every row of the evidence but the fault's
 * own, and the sound diagram), the sets are the points with what each rules out. Branch on what the
 * fewest points rule out, by growing depth, so that the first cover found is a smallest one. */
#include "quiz/path.h"

#include "base/language.h"

typedef struct {
  guint n; /* words of a set */
  guint n_points;
  guint64 *rules;  /* n_points * n: what each point rules out */
  guint64 *wanted; /* what has to be ruled out by these points */
  guint from, to;  /* points that may be used */
  guint branches;
} Cover;

static guint
count_bits(const guint64 *set, guint n)
{
  guint count = 0;
  for (guint i = 0; i < n; i++)
    count += (guint)__builtin_popcountll(set[i]);
  return count;
}

static guint
count_common(const guint64 *a, const guint64 *b, guint n)
{
  guint count = 0;
  for (guint i = 0; i < n; i++)
    count += (guint)__builtin_popcountll(a[i] & b[i]);
  return count;
}

static const guint64 *
rules_of(const Cover *cover, guint point)
{
  return cover->rules + (gsize)point * cover->n;
}

static bool
has(const guint64 *set, guint bit)
{
  return (set[bit / 64] >> (bit % 64) & 1) != 0;
}

/* What is left to rule out that the fewest points rule out; G_MAXUINT: nothing is left. */
static guint
hardest(const Cover *cover, const guint64 *left)
{
  guint best = G_MAXUINT, fewest = G_MAXUINT;
  for (guint bit = 0; bit < cover->n * 64 && fewest > 1; bit++) {
    guint count = 0;
    if (!has(left, bit))
      continue;
    for (guint p = cover->from; p < cover->to && count < fewest; p++)
      count += has(rules_of(cover, p), bit);
    if (count < fewest) {
      fewest = count;
      best = bit;
    }
  }
  return best;
}

/* Whether `depth` more points can do it; chosen gets them. */
static bool
search(Cover *cover, const guint64 *left, guint depth, guint *chosen)
{
  guint bit = hardest(cover, left);
  if (bit == G_MAXUINT)
    return true;
  if (depth == 0 || ++cover->branches > PATH_MOST_BRANCHES)
    return false;
  guint total = count_bits(left, cover->n);
  g_autofree guint64 *rest = g_new(guint64, cover->n);
  for (guint p = cover->from; p < cover->to; p++) {
    if (!has(rules_of(cover, p), bit) ||
        (depth == 1 && count_common(rules_of(cover, p), left, cover->n) < total))
      continue;
    for (guint i = 0; i < cover->n; i++)
      rest[i] = left[i] & ~rules_of(cover, p)[i];
    chosen[depth - 1] = p;
    if (search(cover, rest, depth - 1, chosen))
      return true;
  }
  return false;
}

/* The point that rules out most of what is left; ties go to the first. */
static guint
best_point(const Cover *cover, const guint64 *left, guint *most)
{
  guint best = G_MAXUINT;
  *most = 0;
  for (guint p = cover->from; p < cover->to; p++) {
    guint count = count_common(rules_of(cover, p), left, cover->n);
    if (count > *most) {
      *most = count;
      best = p;
    }
  }
  return best;
}

static void
take_away(guint64 *left, const guint64 *rules, guint n)
{
  for (guint i = 0; i < n; i++)
    left[i] &= ~rules[i];
}

static bool
any(const guint64 *set, guint n)
{
  return count_bits(set, n) > 0;
}

/* A smallest cover of `wanted`, or a greedy one; false in *exact then. Array of guint. */
static GArray *
cover_wanted(Cover *cover, bool *exact)
{
  GArray *points = g_array_new(FALSE, FALSE, sizeof(guint));
  guint chosen[PATH_EXACT_STEPS];
  cover->branches = 0;
  for (guint depth = 0; depth <= PATH_EXACT_STEPS; depth++)
    if (search(cover, cover->wanted, depth, chosen)) {
      g_array_append_vals(points, chosen, any(cover->wanted, cover->n) ? depth : 0);
      /* A search that was broken off at a lesser depth proves nothing. */
      *exact = *exact && cover->branches <= PATH_MOST_BRANCHES;
      return points;
    }
  *exact = false;
  g_autofree guint64 *left = g_memdup2(cover->wanted, cover->n * sizeof *left);
  guint most;
  for (guint p; (p = best_point(cover, left, &most)) != G_MAXUINT;) {
    g_array_append_val(points, p);
    take_away(left, rules_of(cover, p), cover->n);
  }
  return points;
}

/* --- the path --- */

typedef struct {
  const Evidence *evidence;
  const EvidenceCell *actual;
  MeasuringPath *path;
  Cover cover;
  guint64 *left; /* not ruled out by the steps so far */
} Finder;

/* Bit r: row r; the last bit: the sound diagram. */
static void
fill_rules(Finder *finder)
{
  const Evidence *evidence = finder->evidence;
  Cover *cover = &finder->cover;
  guint rows = evidence_row_count(evidence);
  for (guint p = 0; p < cover->n_points; p++)
    for (guint r = 0; r <= rows; r++) {
      const EvidenceCell *cells =
          r < rows ? evidence_row(evidence, r)->cells : evidence_sound(evidence);
      if (has(finder->left, r) && evidence_differs(&finder->actual[p], &cells[p]))
        cover->rules[(gsize)p * cover->n + r / 64] |= G_GUINT64_CONSTANT(1) << (r % 64);
    }
}

static guint
first_look(const Evidence *evidence)
{
  guint p = 0;
  while (p < evidence_point_count(evidence) && !evidence_is_look(evidence_point(evidence, p)->way))
    p++;
  return p;
}

/* Adds a cover's points as steps, those that rule out most first. */
static void
add_steps(Finder *finder, const GArray *points)
{
  Cover *cover = &finder->cover;
  g_autofree bool *taken = g_new0(bool, MAX(points->len, 1));
  for (guint i = 0; i < points->len; i++) {
    guint best = 0, most = 0;
    bool any_left = false;
    for (guint k = 0; k < points->len; k++) {
      guint p = g_array_index(points, guint, k);
      guint count = count_common(rules_of(cover, p), finder->left, cover->n);
      if (taken[k] || (any_left && count <= most))
        continue;
      any_left = true;
      most = count;
      best = k;
    }
    taken[best] = true;
    guint p = g_array_index(points, guint, best);
    PathStep step = {p, evidence_sound(finder->evidence)[p], finder->actual[p], most};
    g_array_append_val(finder->path->steps, step);
    take_away(finder->left, rules_of(cover, p), cover->n);
  }
}

/* Covers all that the points from..to can rule out of what is left. */
static void
cover_range(Finder *finder, guint from, guint to)
{
  Cover *cover = &finder->cover;
  cover->from = from;
  cover->to = to;
  for (guint i = 0; i < cover->n; i++) {
    guint64 can = 0;
    for (guint p = from; p < to; p++)
      can |= rules_of(cover, p)[i];
    cover->wanted[i] = finder->left[i] & can;
  }
  g_autoptr(GArray) points = cover_wanted(cover, &finder->path->exact);
  add_steps(finder, points);
}

static bool
is_masked(const Finder *finder)
{
  for (guint p = 0; p < finder->cover.n_points; p++)
    if (evidence_point(finder->evidence, p)->way == EVIDENCE_VOLTS &&
        evidence_differs(&finder->actual[p], &evidence_sound(finder->evidence)[p]))
      return false;
  return true;
}

MeasuringPath *
path_find(const Evidence *evidence, const EvidenceCell *actual, guint answer)
{
  guint rows = evidence_row_count(evidence), n = rows / 64 + 1;
  MeasuringPath *path = g_new0(MeasuringPath, 1);
  path->steps = g_array_new(FALSE, FALSE, sizeof(PathStep));
  path->same = g_array_new(FALSE, FALSE, sizeof(guint));
  path->exact = true;
  Finder finder = {.evidence = evidence, .actual = actual, .path = path};
  finder.cover.n = n;
  finder.cover.n_points = evidence_point_count(evidence);
  finder.cover.rules = g_new0(guint64, (gsize)n * finder.cover.n_points + 1);
  finder.cover.wanted = g_new0(guint64, n);
  finder.left = g_new0(guint64, n);
  for (guint r = 0; r <= rows; r++)
    if (r == rows || evidence_row(evidence, r)->answer != answer)
      finder.left[r / 64] |= G_GUINT64_CONSTANT(1) << (r % 64);
  fill_rules(&finder);
  guint looks = first_look(evidence);
  if (evidence_told(evidence, actual, evidence_sound(evidence), false))
    cover_range(&finder, 0, looks);
  path->measurements = path->steps->len;
  cover_range(&finder, looks, finder.cover.n_points);
  for (guint r = 0; r <= rows; r++)
    if (has(finder.left, r))
      g_array_append_val(path->same, r);
  path->masked = is_masked(&finder);
  path->difficulty = path_rate(evidence, path, 1);
  g_free(finder.cover.rules);
  g_free(finder.cover.wanted);
  g_free(finder.left);
  return path;
}

void
measuring_path_free(MeasuringPath *path)
{
  if (path == NULL)
    return;
  g_array_unref(path->steps);
  g_array_unref(path->same);
  g_free(path);
}

#define MANY_POINTS 40

FaultLevel
path_rate(const Evidence *evidence, const MeasuringPath *path, guint faults)
{
  guint points = (path->measurements >= 2) + (path->measurements >= 4) + path->masked;
  bool other = false; /* more than a voltmeter */
  for (guint i = 0; i < path->measurements; i++)
    other = other || evidence_point(evidence, g_array_index(path->steps, PathStep, i).point)->way !=
                         EVIDENCE_VOLTS;
  points += other + (faults - 1);
  guint volts = 0;
  for (guint p = 0; p < evidence_point_count(evidence); p++)
    volts += evidence_point(evidence, p)->way == EVIDENCE_VOLTS;
  points += volts > MANY_POINTS;
  return points <= 1 ? FAULT_EASY : points <= 3 ? FAULT_MEDIUM : FAULT_HARD;
}

char *
path_step_text(const Evidence *evidence, const PathStep *step)
{
  const EvidencePoint *point = evidence_point(evidence, step->point);
  g_autofree char *actual = evidence_cell_text(&step->actual);
  g_autofree char *sound = evidence_cell_text(&step->sound);
  switch (point->way) {
  case EVIDENCE_VOLTS:
    return g_strdup_printf(_("Volts, energized, %s: %s; the sound diagram gives %s."), point->name,
                           actual, sound);
  case EVIDENCE_AMPS:
    return g_strdup_printf(_("Amperes, energized, %s: %s; the sound diagram gives %s."),
                           point->name, actual, sound);
  case EVIDENCE_DEAD:
    return g_strdup_printf(_("Volts, locked out, %s: %s; the sound diagram gives %s."), point->name,
                           actual, sound);
  case EVIDENCE_OHMS:
    return g_strdup_printf(_("Ohms, locked out, %s: %s; the sound diagram gives %s."), point->name,
                           actual, sound);
  case EVIDENCE_LOOK_DEVICE:
  case EVIDENCE_LOOK_CONDUCTOR:
  case EVIDENCE_WAY_COUNT:
    break;
  }
  if (evidence_differs(&step->actual, &step->sound))
    return g_strdup_printf(_("Look at %s: it is not as it should be."), point->name);
  return g_strdup_printf(_("Look at %s: it is as it should be."), point->name);
}
