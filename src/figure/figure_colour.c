/* SPDX-License-Identifier: MIT */
#include "figure/figure_draw.h"

#include <string.h>

/* How insulation looks in daylight, by eye (common practice, no source): saturated enough to be
 * told apart in a 0.5 mm line. */
static const struct {
  const char *name;
  PenColour colour;
} colours[] = {
    {"black", {0.07, 0.07, 0.07}},  {"white", {1.00, 1.00, 1.00}},  {"red", {0.80, 0.06, 0.10}},
    {"blue", {0.05, 0.30, 0.75}},   {"orange", {0.96, 0.49, 0.05}}, {"yellow", {1.00, 0.84, 0.00}},
    {"brown", {0.45, 0.26, 0.12}},  {"green", {0.05, 0.52, 0.20}},  {"grey", {0.55, 0.57, 0.59}},
    {"violet", {0.48, 0.20, 0.65}}, {"pink", {0.96, 0.56, 0.68}},   {"tan", {0.82, 0.68, 0.48}},
    {"bare", {0.78, 0.47, 0.25}},
};

const char *const figure_colour_names[] = {"black",  "white", "red",   "blue", "orange",
                                           "yellow", "brown", "green", "grey", "violet",
                                           "pink",   "tan",   "bare",  NULL};

/* Other words people write for the same. */
static const struct {
  const char *word, *name;
} synonyms[] = {{"gray", "grey"}, {"purple", "violet"}, {"copper", "bare"}};

static bool
find_colour(const char *word, gsize length, PenColour *out)
{
  g_autofree char *stripped = g_strndup(word, length);
  g_strstrip(stripped);
  g_autofree char *lower = g_ascii_strdown(stripped, -1);
  const char *name = lower;
  for (guint i = 0; i < G_N_ELEMENTS(synonyms); i++)
    if (strcmp(lower, synonyms[i].word) == 0)
      name = synonyms[i].name;
  for (guint i = 0; i < G_N_ELEMENTS(colours); i++)
    if (strcmp(name, colours[i].name) == 0) {
      *out = colours[i].colour;
      return true;
    }
  return false;
}

bool
figure_colour(const char *name, PenColour *base, PenColour *tracer, bool *has_tracer)
{
  *has_tracer = false;
  if (name == NULL || *name == '\0')
    return false;
  const char *slash = strchr(name, '/');
  if (!find_colour(name, slash != NULL ? (gsize)(slash - name) : strlen(name), base))
    return false;
  *tracer = *base;
  if (slash == NULL)
    return true;
  *has_tracer = find_colour(slash + 1, strlen(slash + 1), tracer);
  return *has_tracer;
}

/* As marked on wire lists (common practice, no source). */
static const char *
short_word(const char *word, gsize length)
{
  static const char *const codes[][2] = {
      {"black", "BLK"},  {"white", "WHT"}, {"red", "RED"},   {"blue", "BLU"}, {"orange", "ORG"},
      {"yellow", "YEL"}, {"brown", "BRN"}, {"green", "GRN"}, {"grey", "GRY"}, {"violet", "VIO"},
      {"pink", "PNK"},   {"tan", "TAN"},   {"bare", "BARE"}};
  PenColour colour, wanted;
  if (!find_colour(word, length, &wanted))
    return NULL;
  for (guint i = 0; i < G_N_ELEMENTS(codes); i++)
    if (find_colour(codes[i][0], strlen(codes[i][0]), &colour) &&
        memcmp(&colour, &wanted, sizeof colour) == 0)
      return codes[i][1];
  return NULL;
}

char *
figure_colour_code(const char *name)
{
  PenColour base, tracer;
  bool has_tracer;
  if (!figure_colour(name, &base, &tracer, &has_tracer))
    return NULL;
  const char *slash = strchr(name, '/');
  const char *first = short_word(name, slash != NULL ? (gsize)(slash - name) : strlen(name));
  if (!has_tracer)
    return g_strdup(first);
  return g_strconcat(first, "/", short_word(slash + 1, strlen(slash + 1)), NULL);
}
