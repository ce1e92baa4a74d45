/* SPDX-License-Identifier: MIT */
/* Every pair of colours of style.css, under GTK's light, dark and high contrast themes, by the
 * formula of WCAG 2.1 (relative luminance and contrast ratio): text 4.5:1 (1.4.3, level AA), in
 * high contrast 7:1 (1.4.6, level AAA). The inks of the canvas are judged in tests/pen and, with
 * the insulation colours, here: lines 3:1 (1.4.11). */
#include "drive.h"

#include "figure/figure.h"
#include <math.h>
#include <string.h>

static GtkApplication *application;

static double
channel(double value)
{
  return value <= 0.03928 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4);
}

static double
contrast(GdkRGBA a, GdkRGBA b)
{
  double one = 0.2126 * channel(a.red) + 0.7152 * channel(a.green) + 0.0722 * channel(a.blue);
  double two = 0.2126 * channel(b.red) + 0.7152 * channel(b.green) + 0.0722 * channel(b.blue);
  return (MAX(one, two) + 0.05) / (MIN(one, two) + 0.05);
}

static GdkRGBA
over(GdkRGBA ink, GdkRGBA ground, double opacity)
{
  float o = (float)opacity * ink.alpha;
  return (GdkRGBA){o * ink.red + (1 - o) * ground.red, o * ink.green + (1 - o) * ground.green,
                   o * ink.blue + (1 - o) * ground.blue, 1};
}

/* The value of a property of a rule, or NULL. "color" is not the end of "background-color". */
static char *
property(const char *body, const char *name)
{
  g_autofree char *pattern = g_strdup_printf("(?:^|[;{\\s])%s:\\s*([^;]+)", name);
  g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
  g_autoptr(GMatchInfo) match = NULL;
  return g_regex_match(regex, body, 0, &match) ? g_match_info_fetch(match, 1) : NULL;
}

typedef struct {
  const char *theme;
  bool dark;
  double least;
} Theme;

static const Theme themes[] = {{"Default", false, 4.5},
                               {"Default", true, 4.5},
                               {"HighContrast", false, 7},
                               {"HighContrast", true, 7}};

static bool
colour_of(GtkWidget *widget, const char *text, GdkRGBA *out)
{
  g_autofree char *stripped = g_strstrip(g_strdup(text));
  if (stripped[0] == '@')
    return gtk_style_context_lookup_color(gtk_widget_get_style_context(widget), stripped + 1, out);
  g_auto(GStrv) words = g_strsplit(stripped, " ", 2);
  return gdk_rgba_parse(out, words[0]);
}

static void
judge(const Theme *theme, const char *selector, double ratio, guint *wrong)
{
  /* The safety red of ANSI Z535.1 is what it is; its letters are large by weight. */
  double least = strcmp(selector, ".signal-danger") == 0 ? 4.5 : theme->least;
  if (ratio >= least)
    return;
  print_error("%s%s: %s has only %.2f:1, not %.1f:1\n", theme->theme, theme->dark ? " dark" : "",
              selector, ratio, least);
  (*wrong)++;
}

/* One rule: its own pair, or its text faded or coloured on the theme's ground. */
static guint
judge_rule(const Theme *theme, GtkWidget *widget, const char *selector, const char *body,
           guint *wrong)
{
  GdkRGBA text, ground, colour, fill;
  assert_true(colour_of(widget, "@theme_fg_color", &text));
  assert_true(colour_of(widget, "@theme_bg_color", &ground));
  g_autofree char *fade = property(body, "opacity"), *ink = property(body, "color"),
                  *own = property(body, "background"), *flat = property(body, "background-color");
  const char *behind = own != NULL ? own : flat;
  bool filled = behind != NULL && colour_of(widget, behind, &fill) && fill.alpha >= 1;
  bool inked = ink != NULL && colour_of(widget, ink, &colour);
  if (filled && !inked && strcmp(behind, "@theme_bg_color") != 0 && behind[0] == '#')
    fail_msg("%s has a ground of its own, but the theme's ink", selector);
  double opacity = fade != NULL ? g_ascii_strtod(fade, NULL) : 1;
  if (!inked && fade == NULL)
    return 0;
  GdkRGBA on = filled ? fill : ground;
  judge(theme, selector, contrast(over(inked ? colour : text, on, opacity), on), wrong);
  return 1;
}

static void
use_theme(const Theme *theme)
{
  GtkSettings *settings = gtk_settings_get_default();
  g_object_set(settings, "gtk-theme-name", theme->theme, "gtk-application-prefer-dark-theme",
               theme->dark, NULL);
  drive_settle();
}

static void
texts_can_be_read(void **state)
{
  (void)state;
  g_autoptr(GBytes) css = g_resources_lookup_data("/org/doorsheet/Doorsheet/style.css", 0, NULL);
  assert_non_null(css);
  g_autofree char *text = g_strndup(g_bytes_get_data(css, NULL), g_bytes_get_size(css));
  g_autoptr(GRegex) comments = g_regex_new("/\\*.*?\\*/", G_REGEX_DOTALL, 0, NULL);
  g_autofree char *plain = g_regex_replace_literal(comments, text, -1, 0, "", 0, NULL);
  g_auto(GStrv) rules = g_strsplit(plain, "}", -1);
  DoorsheetWindow *window = drive_window(application);
  guint wrong = 0;
  for (guint t = 0; t < G_N_ELEMENTS(themes); t++) {
    use_theme(&themes[t]);
    guint judged = 0;
    for (guint r = 0; rules[r] != NULL; r++) {
      char *body = strchr(rules[r], '{');
      if (body == NULL)
        continue;
      g_autofree char *selector = g_strstrip(g_strndup(rules[r], (gsize)(body - rules[r])));
      judged += judge_rule(&themes[t], GTK_WIDGET(window), selector, body, &wrong);
    }
    assert_true(judged >= 15); /* the sheet was read */
  }
  use_theme(&themes[0]);
  drive_close(window);
  assert_int_equal(wrong, 0);
}

static GdkRGBA
rgba(PenColour colour)
{
  return (GdkRGBA){(float)colour.red, (float)colour.green, (float)colour.blue, 1};
}

/* Insulation is a core between two lines of ink: whatever its colour, the conductor stands out
 * from the paper, and the core from the paper or from its own outline. */
static void
insulation_can_be_seen(void **state)
{
  (void)state;
  for (int p = 0; p < PALETTE_COUNT; p++)
    for (guint i = 0; figure_colour_names[i] != NULL; i++) {
      PenColour base, tracer;
      bool has_tracer;
      assert_true(figure_colour(figure_colour_names[i], &base, &tracer, &has_tracer));
      GdkRGBA core = rgba(palette_colour((Palette)p, INK_COLOUR, base));
      GdkRGBA paper = rgba(palette_ink((Palette)p, INK_PAPER));
      GdkRGBA line = rgba(palette_ink((Palette)p, INK_LINE));
      assert_true(contrast(line, paper) >= 3);
      if (MAX(contrast(core, paper), contrast(core, line)) < 3)
        fail_msg("%s in palette %d is lost", figure_colour_names[i], p);
    }
}

/* Reduced motion and high contrast are taken from the system's settings. */
static void
the_system_is_followed(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  GtkWidget *canvas = GTK_WIDGET(window_get_canvas(window));
  assert_false(theme_contrast());
  assert_int_equal(theme_palette(canvas), PALETTE_LIGHT);
  use_theme(&themes[1]);
  assert_int_equal(theme_palette(canvas), PALETTE_DARK);
  use_theme(&themes[2]);
  assert_true(theme_contrast());
  assert_int_equal(theme_palette(canvas), PALETTE_CONTRAST);
  use_theme(&themes[3]);
  assert_true(theme_contrast());
  assert_true(theme_dark(canvas));
  use_theme(&themes[0]);
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(texts_can_be_read),
      cmocka_unit_test(insulation_can_be_seen),
      cmocka_unit_test(the_system_is_followed),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
