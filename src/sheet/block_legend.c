/* SPDX-License-Identifier: MIT */
/* The legend: only colours, line styles and marks that the diagram uses, each drawn as it is in
 * the diagram. */
#include "sheet/block.h"

#include "base/language.h"
#include "tables/colours.h"

#include "figure/figure.h"
#include "pen/pen_record.h"
#include "sheet/fit_pen.h"
#include <string.h>

typedef enum {
  ENTRY_COLOUR,
  ENTRY_LINE,
  ENTRY_LANDING,
  ENTRY_SYMBOL,
  ENTRY_RED,
  ENTRY_BLACK
} EntryKind;

typedef struct {
  EntryKind kind;
  char *text;   /* as shown; owned */
  char *colour; /* as the document says it, of a colour; owned */
  Dash dash;
  Device *device; /* a symbol's example; one reference */
} Entry;

typedef struct {
  Block block;
  GArray *entries; /* of Entry */
} Legend;

#define SAMPLE_WIDTH 9.0
#define ENTRY_HEIGHT 5.5

static const char title[] = N_("Legend");

static void
entry_clear(Entry *entry)
{
  g_free(entry->text);
  g_free(entry->colour);
  g_clear_pointer(&entry->device, device_unref);
}

static bool
has_entry(const GArray *entries, EntryKind kind, const char *text)
{
  for (guint i = 0; i < entries->len; i++) {
    const Entry *entry = &g_array_index(entries, Entry, i);
    if (entry->kind == kind && strcmp(entry->text, text) == 0)
      return true;
  }
  return false;
}

static void
add_entry(GArray *entries, EntryKind kind, const char *text, Dash dash, const Device *device)
{
  g_autofree char *shown = kind == ENTRY_COLOUR ? wire_colour_text(text) : g_strdup(text);

  if (has_entry(entries, kind, shown))
    return;
  const Entry entry = {.kind = kind,
                       .text = g_steal_pointer(&shown),
                       .colour = kind == ENTRY_COLOUR ? g_strdup(text) : NULL,
                       .dash = dash,
                       .device = device != NULL ? device_ref(device) : NULL};
  g_array_append_val(entries, entry);
}

static void
add_conductors(GArray *entries, const Document *document)
{
  bool factory = false, field = false;

  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    const char *colour = conductor_text(conductor, CONDUCTOR_COLOUR);
    const bool is_field = conductor->values[CONDUCTOR_WIRING].choice == 1;
    if (colour[0] != '\0')
      add_entry(entries, ENTRY_COLOUR, colour, DASH_SOLID, NULL);
    field = field || is_field;
    factory = factory || !is_field;
  }
  if (factory)
    add_entry(entries, ENTRY_LINE, _("factory wiring"), DASH_SOLID, NULL);
  if (field)
    add_entry(entries, ENTRY_LINE, _("field wiring"), DASH_FIELD, NULL);
  if (factory || field)
    add_entry(entries, ENTRY_LANDING, _("landing"), DASH_SOLID, NULL);
}

static void
add_symbols(GArray *entries, const Document *document)
{
  static const PartRole roles[] = {ROLE_SPLICE, ROLE_CAP, ROLE_GROUND, ROLE_TEST_POINT};

  for (guint r = 0; r < G_N_ELEMENTS(roles); r++)
    for (guint i = 0; i < document_device_count(document); i++) {
      const Device *device = document_device(document, i);
      if (device->kind->role != roles[r])
        continue;
      g_autofree char *name = g_utf8_strdown(_(device->kind->title), -1);
      add_entry(entries, ENTRY_SYMBOL, name, DASH_SOLID, device);
      break;
    }
}

/* The numbered tags: which probe goes where. */
static void
add_points(GArray *entries, const Document *document)
{
  bool points = false;

  for (guint i = 0; i < document_measured_count(document); i++)
    points = points || measured_point(document_measured(document, i)) != NULL;
  if (!points)
    return;
  add_entry(entries, ENTRY_RED, _("test point, red probe"), DASH_SOLID, NULL);
  add_entry(entries, ENTRY_BLACK, _("test point, black probe"), DASH_SOLID, NULL);
}

static void
draw_colour(const char *name, Point left, Pen *pen)
{
  const Point right = {left.x + SAMPLE_WIDTH, left.y};
  PenColour base = {0}, tracer = {0};
  bool has_tracer = false;
  const PenStyle edge = {.width = 1.3, .ink = INK_LINE};

  pen_line(pen, left, right, &edge);
  if (!figure_colour(name, &base, &tracer, &has_tracer))
    return;
  const PenStyle core = {.width = 0.9, .ink = INK_COLOUR, .colour = base};
  const PenStyle stripe = {.width = 0.45, .ink = INK_COLOUR, .colour = tracer, .dash = DASH_FIELD};
  pen_line(pen, left, right, &core);
  if (has_tracer)
    pen_line(pen, left, right, &stripe);
}

/* The device's own symbol, shrunk into the sample's box where it is larger. */
static void
draw_symbol(const Device *device, Point left, Pen *pen)
{
  g_autoptr(Pen) record = pen_record_new();

  device->kind->draw(device, record);
  const Rect bounds = pen_record_bounds(record);
  if (rect_is_empty(bounds))
    return;
  const double wide = MAX(bounds.width, 0.1), high = MAX(bounds.height, 0.1);
  const double scale = MIN(1, MIN(SAMPLE_WIDTH / wide, (ENTRY_HEIGHT - 1) / high));
  const Point offset = {left.x + SAMPLE_WIDTH / 2 - scale * (bounds.x + bounds.width / 2),
                        left.y - scale * (bounds.y + bounds.height / 2)};
  g_autoptr(Pen) fit = fit_pen_new(pen, scale, offset, NULL);
  device->kind->draw(device, fit);
}

static void
draw_sample(const Entry *entry, Point left, Pen *pen)
{
  const PenStyle line = {.width = 0.6, .ink = INK_LINE, .dash = entry->dash};
  const PenStyle fill = {.ink = INK_LINE};

  switch (entry->kind) {
  case ENTRY_COLOUR:
    draw_colour(entry->colour, left, pen);
    break;
  case ENTRY_LINE:
    pen_line(pen, left, (Point){left.x + SAMPLE_WIDTH, left.y}, &line);
    break;
  case ENTRY_LANDING:
    pen_line(pen, left, (Point){left.x + SAMPLE_WIDTH / 2, left.y}, &line);
    pen_circle(pen, (Point){left.x + SAMPLE_WIDTH / 2, left.y}, 0.7, NULL, &fill);
    break;
  case ENTRY_SYMBOL:
    draw_symbol(entry->device, left, pen);
    break;
  case ENTRY_RED:
  case ENTRY_BLACK:
    figure_draw_tag(pen, (Rect){left.x, left.y - FIGURE_TAG_MM / 2, SAMPLE_WIDTH, FIGURE_TAG_MM},
                    "TP1", entry->kind == ENTRY_RED);
    break;
  }
}

static TextStyle
text_style(const Block *block)
{
  return (TextStyle){.height = block->lettering.body, .ink = INK_LINE};
}

/* Whether an entry's text fits beside its sample in half the width. */
static bool
fits_half(const Legend *legend, guint i, double width)
{
  const TextStyle style = text_style(&legend->block);
  return pen_text_width(g_array_index(legend->entries, Entry, i).text, &style) <=
         width / 2 - SAMPLE_WIDTH - 3;
}

/* Short entries stand in pairs. The first entry of a slice; *n: how many it holds. */
static guint
slice_entries(const Legend *legend, guint slice, double width, guint *n)
{
  guint first = 0;

  for (guint s = 0;; s++) {
    const bool pair = first + 1 < legend->entries->len && fits_half(legend, first, width) &&
                      fits_half(legend, first + 1, width);
    *n = pair ? 2 : 1;
    if (s == slice)
      return first;
    first += *n;
  }
}

static guint
legend_count(Block *block, double width)
{
  const Legend *legend = (Legend *)block;
  guint slices = 0, n = 0;

  for (guint first = 0; first < legend->entries->len; slices++)
    first = slice_entries(legend, slices, width, &n) + n;
  return slices;
}

static double
legend_head_height(Block *block, double width)
{
  return block_title_height(_(title), width, &block->lettering);
}

static double
legend_slice_height(Block *block, guint slice, double width)
{
  const Legend *legend = (Legend *)block;
  const TextStyle style = text_style(block);
  guint n = 0;
  const guint first = slice_entries(legend, slice, width, &n);
  double height = ENTRY_HEIGHT;

  for (guint i = first; i < first + n; i++)
    height = MAX(height, block_text_height(width / n - SAMPLE_WIDTH - 3,
                                           g_array_index(legend->entries, Entry, i).text, &style));
  return height;
}

static double
legend_tail_height(Block *block)
{
  (void)block;
  return 0;
}

static void
legend_draw_head(Block *block, Point at, double width, bool continued, Pen *pen)
{
  block_draw_title(_(title), continued, at, width, true, &block->lettering, pen);
}

static void
legend_draw_slice(Block *block, guint slice, Point at, double width, Pen *pen)
{
  const Legend *legend = (Legend *)block;
  const TextStyle style = text_style(block);
  const double line = LINE_SPACING * block->lettering.body;
  guint n = 0;
  const guint first = slice_entries(legend, slice, width, &n);

  for (guint i = first; i < first + n; i++) {
    const Entry *entry = &g_array_index(legend->entries, Entry, i);
    const double x = at.x + (i - first) * width / n;
    draw_sample(entry, (Point){x + 0.5, at.y + ENTRY_HEIGHT / 2}, pen);
    block_text(pen, (Point){x + SAMPLE_WIDTH + 2.5, at.y + (ENTRY_HEIGHT - line) / 2},
               width / n - SAMPLE_WIDTH - 3, entry->text, &style);
  }
}

static void
legend_draw_tail(Block *block, Point at, double width, Pen *pen)
{
  (void)block;
  (void)at;
  (void)width;
  (void)pen;
}

static void
legend_free(Block *block)
{
  g_array_unref(((Legend *)block)->entries);
  g_free(block);
}

static const BlockClass legend_class = {
    .count = legend_count,
    .head_height = legend_head_height,
    .slice_height = legend_slice_height,
    .tail_height = legend_tail_height,
    .draw_head = legend_draw_head,
    .draw_slice = legend_draw_slice,
    .draw_tail = legend_draw_tail,
    .free = legend_free,
};

Block *
block_legend_new(const Document *document, const Lettering *lettering)
{
  Legend *legend = g_new0(Legend, 1);

  legend->block = (Block){.class_ = &legend_class, .lettering = *lettering, .whole = true};
  legend->entries = g_array_new(FALSE, FALSE, sizeof(Entry));
  g_array_set_clear_func(legend->entries, (GDestroyNotify)entry_clear);
  add_conductors(legend->entries, document);
  add_symbols(legend->entries, document);
  add_points(legend->entries, document);
  return &legend->block;
}
