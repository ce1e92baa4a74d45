/* SPDX-License-Identifier: MIT */
/* Contrast by the formula of WCAG 2.1, success criterion 1.4.3 and its definition of relative
 * luminance: level AA asks 4.5:1 for text. */
#include "pen/pen_cairo.h"
#include "torture.h"

static double
channel(double value)
{
  return value <= 0.03928 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4);
}

static double
contrast(PenColour a, PenColour b)
{
  double one = 0.2126 * channel(a.red) + 0.7152 * channel(a.green) + 0.0722 * channel(a.blue);
  double two = 0.2126 * channel(b.red) + 0.7152 * channel(b.green) + 0.0722 * channel(b.blue);
  return (MAX(one, two) + 0.05) / (MIN(one, two) + 0.05);
}

static void
formula_matches_known_pairs(void **state)
{
  (void)state;
  /* WCAG: black on white is 21:1; #767676 on white is the well-known 4.54:1. */
  assert_near(contrast((PenColour){0, 0, 0}, (PenColour){1, 1, 1}), 21, 1e-9);
  double grey = 0x76 / 255.0;
  assert_near(contrast((PenColour){grey, grey, grey}, (PenColour){1, 1, 1}), 4.54, 0.005);
}

static void
text_can_be_read(void **state)
{
  (void)state;
  static const struct {
    Ink ink, ground;
  } pairs[] = {
      {INK_LINE, INK_PAPER},
      {INK_FAINT, INK_PAPER},
      {INK_ACCENT, INK_PAPER},
      {INK_LIVE, INK_PAPER},
      {INK_ON_SIGNAL_DARK, INK_DANGER},
      {INK_ON_SIGNAL_DARK, INK_NOTICE},
      {INK_ON_SIGNAL_LIGHT, INK_WARNING},
      {INK_ON_SIGNAL_LIGHT, INK_CAUTION},
  };
  for (int palette = 0; palette < PALETTE_COUNT; palette++)
    for (guint i = 0; i < G_N_ELEMENTS(pairs); i++) {
      double ratio = contrast(palette_ink((Palette)palette, pairs[i].ink),
                              palette_ink((Palette)palette, pairs[i].ground));
      double least = palette == PALETTE_CONTRAST ? 7 : 4.5; /* 1.4.6, level AAA */
      if (ratio < least)
        fail_msg("palette %d: ink %d on %d has only %.2f:1", palette, pairs[i].ink, pairs[i].ground,
                 ratio);
    }
}

static void
mono_is_black_and_paper(void **state)
{
  (void)state;
  for (int ink = 0; ink < INK_COUNT; ink++) {
    PenColour c = palette_ink(PALETTE_MONO, (Ink)ink);
    double sum = c.red + c.green + c.blue;
    assert_true(sum <= 0 || sum >= 3);
  }
  PenColour white = palette_colour(PALETTE_MONO, INK_COLOUR, (PenColour){1, 1, 1});
  PenColour brown = palette_colour(PALETTE_MONO, INK_COLOUR, (PenColour){0.5, 0.3, 0.1});
  assert_true(white.red >= 1 && brown.red <= 0);
  PenColour given = palette_colour(PALETTE_DARK, INK_COLOUR, (PenColour){0.5, 0.3, 0.1});
  assert_near(given.green, 0.3, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(formula_matches_known_pairs),
      cmocka_unit_test(text_can_be_read),
      cmocka_unit_test(mono_is_black_and_paper),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
