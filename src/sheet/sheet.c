/* SPDX-License-Identifier: MIT */
#include "sheet/sheet.h"

#include "base/language.h"

#include "base/text.h"
#include "figure/figure.h"
#include "pen/pen_record.h"
#include "sheet/block.h"
#include "sheet/facts.h"
#include "sheet/fit_pen.h"
#include "sheet/sheet_private.h"
#include <math.h>
#include <string.h>

/* ANSI/ASME Y14.1 and ISO 216 sizes; label stock as sold for label printers. */
const Paper sheet_papers[] = {
    {"letter", 215.9, 279.4},
    {"legal", 215.9, 355.6},
    {"tabloid", 279.4, 431.8},
    {"a4", 210.0, 297.0},
    {"a3", 297.0, 420.0},
    {"label-4x6", 101.6, 152.4},
    {NULL, 0, 0},
};

#define FIGURE_MARGIN 1.5 /* round the figure's bounds, for line widths */
#define FIGURE_GAP 4.0    /* between the figure and what stands beside it */
#define SIDE_COLUMN 72.0  /* cautions beside the figure */
#define MOST_PAGES 20000
#define MOST_PARTS 4000

const Paper *
sheet_find_paper(const char *name)
{
  for (const Paper *paper = sheet_papers; paper->name != NULL; paper++)
    if (strcmp(paper->name, name) == 0)
      return paper;
  return NULL;
}

static const Paper *
choose_paper(const Document *document, const SheetOptions *options, GError **error)
{
  const SheetData *data = document_sheet(document);
  const char *const *choices = sheet_data_fields[SHEET_PAPER].choices;
  const char *name = options != NULL && options->paper != NULL
                         ? options->paper
                         : choices[data->values[SHEET_PAPER].choice];
  const Paper *paper = sheet_find_paper(name);

  if (paper == NULL)
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                _("There is no paper \"%s\". Choose letter, legal, tabloid, a4, a3 or label-4x6."),
                name);
  return paper;
}

static Units
choose_units(const Document *document, const SheetOptions *options)
{
  if (options != NULL && options->units != NULL)
    return strcmp(options->units, "metric") == 0 ? UNITS_METRIC : UNITS_IMPERIAL;
  return document_sheet(document)->values[SHEET_UNITS].choice == 1 ? UNITS_METRIC : UNITS_IMPERIAL;
}

/* Today unless the options name another one. New string. */
static char *
sheet_date(const SheetOptions *options)
{
  if (options != NULL && options->date != NULL)
    return g_strdup(options->date);
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  return g_date_time_format(now, "%Y-%m-%d");
}

/* The diagram in words, for those who cannot see it. New string. */
static char *
describe_diagram(const Document *document, GHashTable *descriptions)
{
  GString *text = g_string_new(NULL);

  g_string_append_printf(text, _("%u devices and %u conductors."), document_device_count(document),
                         document_conductor_count(document));
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    g_autofree char *id = g_strconcat("device-", device->id, NULL);
    const char *known = g_hash_table_lookup(descriptions, id);
    g_string_append_printf(text, "\n%s: %s", device->id, known != NULL ? known : "");
  }
  return g_string_free(text, FALSE);
}

/* --- the first page ------------------------------------------------------------------------- */

/* One way to share the first page between the figure and the blocks before `until`. */
typedef struct {
  Rect figure, blocks; /* blocks.width <= 0: none on this page */
  guint columns;
  guint until;
  double scale;
} Arrangement;

static guint
columns_for(double width)
{
  return width < 150 ? 1 : width < 300 ? 2 : 3;
}

static double
scale_into(const Sheet *sheet, Rect bounds, Rect room)
{
  const double across = room.width / MAX(bounds.width + 2 * FIGURE_MARGIN, 1);
  const double down = room.height / MAX(bounds.height + 2 * FIGURE_MARGIN, 1);
  return MAX(0.01, MIN(sheet->figure_scale, MIN(across, down)));
}

static bool
beside(Sheet *sheet, Rect area, Rect bounds, guint until, Arrangement *out)
{
  const double left = area.width - SIDE_COLUMN - FIGURE_GAP;

  *out = (Arrangement){.figure = {area.x, area.y, left, area.height},
                       .blocks = {area.x + left + FIGURE_GAP, area.y, SIDE_COLUMN, area.height},
                       .columns = 1,
                       .until = until};
  if (left < 60 || !flow_fits(sheet->flow, out->blocks, 1, until))
    return false;
  out->scale = scale_into(sheet, bounds, out->figure);
  return true;
}

static bool
below(Sheet *sheet, Rect area, Rect bounds, guint until, Arrangement *out)
{
  const guint columns = (guint)CLAMP(area.width / 62, 1, 4);
  double low = 0, high = area.height * 0.7;

  if (!flow_fits(sheet->flow, (Rect){area.x, area.y, area.width, high}, columns, until))
    return false;
  while (high - low > 0.5) {
    const double middle = (low + high) / 2;
    if (flow_fits(sheet->flow, (Rect){area.x, area.y, area.width, middle}, columns, until))
      high = middle;
    else
      low = middle;
  }
  high += 0.5;
  const double top = area.height - high - FIGURE_GAP;
  *out = (Arrangement){.figure = {area.x, area.y, area.width, top},
                       .blocks = {area.x, area.y + top + FIGURE_GAP, area.width, high},
                       .columns = columns,
                       .until = until};
  if (top < 40)
    return false;
  out->scale = scale_into(sheet, bounds, out->figure);
  return true;
}

/* The lowest letter of the diagram decides: none gets onto paper lower than the paper's lettering.
 * Diagrams letter at 2.5 mm, which makes 1:1 on a sheet and 1.4 on a label; names that a symbol has
 * had to write smaller enlarge the whole. */
static double
readable_scale(const Document *document, const Lettering *lettering)
{
  const FigureStyle style = {.labels = true, .as_printed = true};
  g_autoptr(Pen) record = pen_record_new();
  double lowest = PEN_LETTER_MM;

  figure_draw(record, document, &style);
  const GArray *items = pen_record_items(record);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT)
      lowest = MIN(lowest, item->height);
  }
  return lettering->body / lowest;
}

bool
sheet_figure_fits(const Document *document, const Frame *frame)
{
  const Rect bounds = rect_grow(figure_bounds(document), FIGURE_MARGIN);
  const Rect area = frame_area(frame);
  const double scale = readable_scale(document, &frame->lettering);

  return !rect_is_empty(figure_bounds(document)) && bounds.width * scale <= area.width &&
         bounds.height * scale <= area.height;
}

/* The arrangement that shows the figure largest; the earlier one of equals. */
static Arrangement
arrange(Sheet *sheet, Rect area, Rect bounds, guint key, bool legend)
{
  Arrangement best = {.figure = area, .scale = 0};
  Arrangement trial;

  for (guint until = key + (legend ? 1 : 0);; until--) {
    if (beside(sheet, area, bounds, until, &trial) && trial.scale > best.scale + 1e-9)
      best = trial;
    if (below(sheet, area, bounds, until, &trial) && trial.scale > best.scale + 1e-9)
      best = trial;
    if (until <= key)
      break;
  }
  return best;
}

static void
set_scale_text(Sheet *sheet)
{
  g_free(sheet->scale_text);
  sheet->scale_text = sheet->figure_scale > 1 + 1e-9
                          ? g_strdup_printf("%.0f %%", sheet->figure_scale * 100)
                          : g_strdup("1:1");
}

/* Where the canvas already lies right on the page it stays; else the figure is centred. */
static void
place_figure(Sheet *sheet, Rect bounds, const Arrangement *arrangement)
{
  const Rect room = arrangement->figure;
  const double scale = arrangement->scale;

  sheet->has_figure = true;
  if (scale <= 1 && rect_holds(room, rect_grow(bounds, FIGURE_MARGIN)))
    sheet->figure_offset = (Point){0, 0};
  else
    sheet->figure_offset =
        (Point){room.x + room.width / 2 - scale * (bounds.x + bounds.width / 2),
                room.y + room.height / 2 - scale * (bounds.y + bounds.height / 2)};
  set_scale_text(sheet);
}

/* A legend that found no room beside the figure goes where the next columns are, after the tables
 * over the whole width. */
static void
move_legend(Flow *flow)
{
  guint to = flow->next;

  while (to + 1 < flow->blocks->len && ((const Block *)flow->blocks->pdata[to + 1])->wide)
    to++;
  g_ptr_array_insert(flow->blocks, (gint)to, g_ptr_array_steal_index(flow->blocks, flow->next));
}

/* Which devices stand on which page of a diagram that is cut into parts. */
static Block *
parts_block(const Sheet *sheet)
{
  static const TableColumn columns[] = {{.title = N_("Page")}, {.title = N_("Shows")}};
  Table *table = table_new(g_strdup(_("Diagram")),
                           tiling_count(sheet->tiling) > 1
                               ? g_strdup(_("\"103 to 3/B1\" at a cut: wire 103 goes on on page 3 "
                                            "in zone B1."))
                               : NULL,
                           columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < tiling_count(sheet->tiling); i++) {
    g_autofree char *devices = tiling_devices(sheet->tiling, sheet->document, i);
    table_add(table, g_strdup_printf("%u", i + 2),
              g_strdup(devices[0] != '\0' ? devices : _("conductors")));
  }
  return block_table_new(table, &sheet->frame.lettering);
}

/* Cautions and what follows on the first page, the diagram on the next ones. */
static bool
compose_parts(Sheet *sheet, Rect area, Rect bounds, guint key)
{
  sheet->tiling =
      tiling_new(sheet->document, bounds, &sheet->frame, sheet->figure_scale, MOST_PARTS);
  if (sheet->tiling == NULL)
    return false;
  if (!sheet->frame.label || tiling_count(sheet->tiling) > 1)
    g_ptr_array_insert(sheet->flow->blocks, (gint)key, parts_block(sheet));
  sheet->has_figure = true;
  set_scale_text(sheet);
  flow_fill(sheet->flow, 0, area, columns_for(area.width), G_MAXUINT, true);
  sheet->pages = 1 + tiling_count(sheet->tiling);
  return true;
}

static bool
compose_first_page(Sheet *sheet, guint key, bool legend, GError **error)
{
  const Rect area = frame_area(&sheet->frame);
  const Rect figure = figure_bounds(sheet->document);
  const Rect bounds =
      sheet->overlay.draw != NULL ? rect_union(figure, sheet->overlay.bounds) : figure;

  sheet->pages = 1;
  if (rect_is_empty(bounds) || !sheet->shows_figure) {
    flow_fill(sheet->flow, 0, area, columns_for(area.width), G_MAXUINT, true);
    return true;
  }
  sheet->figure_scale = readable_scale(sheet->document, &sheet->frame.lettering);
  const Arrangement arrangement = arrange(sheet, area, bounds, key, legend);
  /* A label's first page is for its cautions. */
  if (sheet->frame.label || arrangement.scale < sheet->figure_scale - 1e-9) {
    if (compose_parts(sheet, area, bounds, key))
      return true;
    g_set_error(
        error, G_FILE_ERROR, G_FILE_ERROR_NOSPC,
        _("The diagram would take more than %d pages of this paper. Choose a larger paper."),
        MOST_PARTS);
    return false;
  }
  place_figure(sheet, bounds, &arrangement);
  if (arrangement.blocks.width > 0)
    flow_fill(sheet->flow, 0, arrangement.blocks, arrangement.columns, arrangement.until, false);
  if (legend && sheet->flow->next == key)
    move_legend(sheet->flow);
  return true;
}

static bool
compose_pages(Sheet *sheet, GError **error)
{
  Flow *flow = sheet->flow;
  bool stuck = false;

  while (!flow_done(flow) && !stuck && sheet->pages < MOST_PAGES) {
    const guint before = flow->fragments->len;
    const Rect area = frame_area(&sheet->frame);
    flow_fill(flow, sheet->pages, area, columns_for(area.width), G_MAXUINT, true);
    stuck = flow->fragments->len == before;
    sheet->pages++;
  }
  if (flow_done(flow) && !flow->overflowed)
    return true;
  if (sheet->pages >= MOST_PAGES)
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOSPC,
                _("The sheet would take more than %d pages. Choose a larger paper."), MOST_PAGES);
  else
    g_set_error_literal(error, G_FILE_ERROR, G_FILE_ERROR_NOSPC,
                        _("The sheet does not fit this paper without cutting a text off. Choose a "
                          "larger paper, or shorten the longest text of the title block."));
  return false;
}

/* Takes what the contents give away. */
static void
prepare(Sheet *sheet, const Document *document, const SheetContents *contents, const Paper *paper,
        const SheetOptions *options)
{
  const SheetData *data = document_sheet(document);
  const bool landscape = data->values[SHEET_ORIENTATION].choice == 1;

  sheet->width = landscape ? paper->height_mm : paper->width_mm;
  sheet->height = landscape ? paper->width_mm : paper->height_mm;
  const bool label = MIN(sheet->width, sheet->height) < 150;
  sheet->frame =
      (Frame){.width = sheet->width,
              .height = sheet->height,
              .label = label,
              .lettering = label ? (Lettering){3.5, 5, 5, true} : (Lettering){2.5, 3.5, 5, false},
              .units = choose_units(document, options),
              .title = sheet->title};
  sheet->shows_figure =
      !label || contents->label_figure || sheet_figure_fits(document, &sheet->frame);
  sheet->scale_text = g_strdup("-");
  sheet->flow = flow_new(frame_area(&sheet->frame).height);
}

Sheet *
sheet_compose_contents(const Document *document, const SheetContents *contents,
                       const SheetOptions *options, GError **error)
{
  g_autoptr(Sheet) sheet = g_new0(Sheet, 1);
  const Paper *paper = choose_paper(document, options, error);
  guint key = 0;
  bool legend = false;

  sheet->document = document_snapshot(document);
  sheet->language = language_now();
  sheet->palette = options != NULL ? options->palette : PALETTE_LIGHT;
  sheet->date = sheet_date(options);
  sheet->title = contents->title;
  sheet->descriptions = contents->descriptions;
  sheet->alternative = contents->alternative;
  sheet->overlay = contents->overlay;
  sheet->embeds = contents->embeds;
  sheet->quiet = contents->quiet;
  if (paper == NULL)
    return NULL;
  prepare(sheet, document, contents, paper, options);
  const Rect area = frame_area(&sheet->frame);
  const guint columns = columns_for(area.width);
  contents->add(sheet->flow, &sheet->frame,
                (area.width - (columns - 1) * FLOW_COLUMN_GAP) / columns, &key, &legend,
                contents->data);
  if (!compose_first_page(sheet, key, legend, error) || !compose_pages(sheet, error))
    return NULL;
  return g_steal_pointer(&sheet);
}

/* The language of the sheet; *second: the one cautions stand in too, or NULL. */
static const char *
choose_language(const Document *document, const SheetOptions *options, const char **second)
{
  const Value *value = &document_sheet(document)->values[SHEET_LANGUAGE];
  g_autofree char *own =
      value->has_value ? value_dup_text(value, &sheet_data_fields[SHEET_LANGUAGE]) : NULL;
  const char *wanted = options != NULL && options->language != NULL ? options->language : own;

  *second = NULL;
  if (g_strcmp0(wanted, "en-es") == 0) {
    *second = "es";
    return "en";
  }
  for (guint i = 0; wanted != NULL && i < language_count(); i++)
    if (strcmp(wanted, language_code(i)) == 0)
      return language_code(i);
  return language_now();
}

const char *
sheet_language(const Document *document, const SheetOptions *options)
{
  const char *second = NULL;
  return choose_language(document, options, &second);
}

static Sheet *
compose_door(const Inspection *inspection, const SheetOptions *options, const char *second,
             GError **error)
{
  g_autoptr(Landings) landings = landings_new(inspection->document);
  g_autofree char *date = sheet_date(options);
  GHashTable *descriptions = facts_descriptions(inspection, landings);
  const DoorContents door = {inspection, landings, second};
  const SheetContents contents = {
      .title = title_data_new(inspection, date),
      .add = contents_add_door,
      .data = &door,
      .descriptions = descriptions,
      .alternative = describe_diagram(inspection->document, descriptions),
      .embeds = true,
  };

  return sheet_compose_contents(inspection->document, &contents, options, error);
}

Sheet *
sheet_compose(const Inspection *inspection, const SheetOptions *options, GError **error)
{
  const char *second = NULL;
  const char *language = choose_language(inspection->document, options, &second);
  const char *before = language_choose(language);
  g_autoptr(Inspection) own = NULL;

  /* Findings are sentences: they are found again in the sheet's language. */
  if (strcmp(inspection->language, language) != 0)
    own = inspection_new(inspection->document);
  Sheet *sheet = compose_door(own != NULL ? own : inspection, options, second, error);
  language_choose(before);
  return sheet;
}

void
sheet_free(Sheet *sheet)
{
  if (sheet == NULL)
    return;
  document_free(sheet->document);
  g_free(sheet->date);
  title_data_free(sheet->title);
  tiling_free(sheet->tiling);
  flow_free(sheet->flow);
  g_free(sheet->scale_text);
  g_clear_pointer(&sheet->descriptions, g_hash_table_unref);
  g_free(sheet->alternative);
  if (sheet->overlay.free_data != NULL)
    sheet->overlay.free_data(sheet->overlay.data);
  g_free(sheet);
}

guint
sheet_page_count(const Sheet *sheet)
{
  return sheet->pages;
}

void
sheet_page_size(const Sheet *sheet, guint page, double *width_mm, double *height_mm)
{
  (void)page; /* all alike */
  *width_mm = sheet->width;
  *height_mm = sheet->height;
}
