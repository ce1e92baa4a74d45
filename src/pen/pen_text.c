/* SPDX-License-Identifier: MIT */
#include "pen/pen_text.h"

#include <math.h>
#include <string.h>

/* DejaVu Sans, in units of its em (2048): height of "H", ascender and descender with a little air.
 * tests/pen/test_text.c measures the glyphs against these. */
#define CAP_HEIGHT (1493.0 / 2048.0)
#define ASCENT (1556.0 / 2048.0)
#define DESCENT (483.0 / 2048.0)

#define CACHE_GENERATION 2048
#define CACHE_LONGEST_TEXT 256

typedef struct {
  char *text;
  double height;
  bool bold, italic;
} LayoutKey;

typedef struct {
  PangoFontMap *map;
  PangoContext *context;
  GHashTable *young, *old; /* LayoutKey * -> PangoLayout *: two generations stand in for an LRU */
  PangoLayout *loose;      /* the last one too long to keep */
} TextEngine;

static guint
layout_key_hash(gconstpointer data)
{
  const LayoutKey *key = data;
  return g_str_hash(key->text) ^ g_double_hash(&key->height) ^ (key->bold ? 0x9e3779b9u : 0) ^
         (key->italic ? 0x7f4a7c15u : 0);
}

static gboolean
layout_key_equal(gconstpointer a, gconstpointer b)
{
  const LayoutKey *left = a, *right = b;
  return !(left->height < right->height) && !(left->height > right->height) &&
         left->bold == right->bold && left->italic == right->italic &&
         strcmp(left->text, right->text) == 0;
}

static void
layout_key_free(gpointer data)
{
  LayoutKey *key = data;
  g_free(key->text);
  g_free(key);
}

static GHashTable *
cache_new(void)
{
  return g_hash_table_new_full(layout_key_hash, layout_key_equal, layout_key_free, g_object_unref);
}

static void
engine_free(gpointer data)
{
  TextEngine *engine = data;
  g_hash_table_unref(engine->young);
  g_hash_table_unref(engine->old);
  g_clear_object(&engine->loose);
  g_object_unref(engine->context);
  g_object_unref(engine->map);
  g_free(engine);
}

static TextEngine *
engine_get(void)
{
  static GPrivate engines = G_PRIVATE_INIT(engine_free);
  TextEngine *engine = g_private_get(&engines);
  if (engine != NULL)
    return engine;
  engine = g_new0(TextEngine, 1);
  engine->map = pango_cairo_font_map_new();
  engine->context = pango_font_map_create_context(engine->map);
  cairo_font_options_t *options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(engine->context, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(engine->context, FALSE);
  pango_context_set_base_dir(engine->context, PANGO_DIRECTION_LTR);
  pango_context_set_language(engine->context, pango_language_from_string("en"));
  engine->young = cache_new();
  engine->old = cache_new();
  g_private_set(&engines, engine);
  return engine;
}

double
pen_text_em(const TextStyle *style)
{
  return style->height / CAP_HEIGHT;
}

void
pen_text_extents(const TextStyle *style, double *above, double *below)
{
  *above = pen_text_em(style) * ASCENT;
  *below = pen_text_em(style) * DESCENT;
}

/* Overrides and isolates let a text draw over its neighbours or hide what it says. */
static bool
is_direction_control(gunichar c)
{
  return (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0x200e ||
         c == 0x200f || c == 0x061c;
}

static bool
is_non_character(gunichar c)
{
  return (c >= 0xfdd0 && c <= 0xfdef) || (c & 0xfffe) == 0xfffe;
}

char *
pen_text_prepare(const char *utf8)
{
  g_autofree char *valid = g_utf8_make_valid(utf8, -1);
  GString *out = g_string_sized_new(strlen(valid));
  guint count = 0;
  for (const char *p = valid; *p != '\0'; p = g_utf8_next_char(p)) {
    gunichar c = g_utf8_get_char(p);
    if (c == '\n' || c == '\t' || c == '\r' || c == 0x2028 || c == 0x2029 || c == 0x85)
      c = ' ';
    if (c < 0x20 || (c >= 0x7f && c < 0xa0) || is_direction_control(c) || is_non_character(c))
      continue;
    if (++count > PEN_TEXT_LONGEST) {
      g_string_append(out, "…");
      break;
    }
    g_string_append_unichar(out, c);
  }
  return g_string_free(out, FALSE);
}

static PangoLayout *
layout_make(TextEngine *engine, const char *text, const TextStyle *style)
{
  PangoLayout *layout = pango_layout_new(engine->context);
  PangoFontDescription *font = pango_font_description_new();
  pango_font_description_set_family_static(font, "DejaVu Sans");
  pango_font_description_set_weight(font, style->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_style(font, style->italic ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
  pango_font_description_set_absolute_size(font, pen_text_em(style) * PEN_TEXT_SCALE * PANGO_SCALE);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
  pango_layout_set_auto_dir(layout, FALSE);
  pango_layout_set_single_paragraph_mode(layout, TRUE);
  pango_layout_set_text(layout, text, -1);
  return layout;
}

PangoLayout *
pen_text_layout(const char *prepared, const TextStyle *style)
{
  TextEngine *engine = engine_get();
  if (strlen(prepared) > CACHE_LONGEST_TEXT) {
    g_clear_object(&engine->loose);
    engine->loose = layout_make(engine, prepared, style);
    return engine->loose;
  }
  LayoutKey probe = {(char *)(gintptr)prepared, style->height, style->bold, style->italic};
  PangoLayout *layout = g_hash_table_lookup(engine->young, &probe);
  if (layout != NULL)
    return layout;
  layout = g_hash_table_lookup(engine->old, &probe);
  layout = layout != NULL ? g_object_ref(layout) : layout_make(engine, prepared, style);
  if (g_hash_table_size(engine->young) >= CACHE_GENERATION) {
    g_hash_table_unref(engine->old);
    engine->old = engine->young;
    engine->young = cache_new();
  }
  LayoutKey *key = g_memdup2(&probe, sizeof probe);
  key->text = g_strdup(prepared);
  g_hash_table_insert(engine->young, key, layout);
  return layout;
}

double
pen_text_layout_width(PangoLayout *layout)
{
  int width = 0;
  pango_layout_get_size(layout, &width, NULL);
  return width / (PEN_TEXT_SCALE * PANGO_SCALE);
}

bool
pen_text_has_font(void)
{
  static gsize known = 0; /* 1: yes, 2: no */
  if (g_once_init_enter(&known)) {
    TextStyle style = {.height = 2.5};
    PangoLayout *layout = pen_text_layout("Ag01", &style);
    g_once_init_leave(&known, pango_layout_get_unknown_glyphs_count(layout) == 0 ? 1 : 2);
  }
  return known == 1;
}

double
pen_text_width(const char *utf8, const TextStyle *style)
{
  if (utf8 == NULL || *utf8 == '\0' || !isfinite(style->height) || style->height <= 0)
    return 0;
  g_autofree char *prepared = pen_text_prepare(utf8);
  return pen_text_layout_width(pen_text_layout(prepared, style));
}

Rect
pen_text_box(Point at, double width, const TextStyle *style)
{
  double above, below;
  pen_text_extents(style, &above, &below);
  double start = style->align == TEXT_START ? 0 : style->align == TEXT_MIDDLE ? -width / 2 : -width;
  Rect own = {start, -above, width, above + below};
  return placement_apply_rect((Placement){.at = at, .turns = style->turns & 3}, own);
}
