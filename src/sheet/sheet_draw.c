/* SPDX-License-Identifier: MIT */
/* A composed page, drawn. */
#include "base/language.h"
#include "figure/figure.h"
#include "pen/pen_record.h"
#include "sheet/fit_pen.h"
#include "sheet/sheet_private.h"
#include <string.h>

/* What lies over the diagram, then the end of its group. Takes the fitting pen. */
static void
end_figure(const Sheet *sheet, Pen *take_fit, Pen *pen)
{
  g_autoptr(GError) error = NULL;

  if (sheet->overlay.draw != NULL)
    sheet->overlay.draw(take_fit, sheet->overlay.data);
  if (!pen_finish(take_fit, &error))
    pen_fail(pen, g_steal_pointer(&error));
  pen_free(take_fit);
  pen_end_group(pen);
}

static void
draw_figure(const Sheet *sheet, Pen *pen)
{
  const FigureStyle style = {.labels = true, .as_printed = true};
  Pen *fit = fit_pen_new(pen, sheet->figure_scale, sheet->figure_offset, sheet->descriptions);

  if (sheet->quiet)
    fit_pen_set_quiet(fit);
  pen_begin_group(pen, "diagram", _("Diagram"), sheet->alternative);
  figure_draw(fit, sheet->document, &style);
  end_figure(sheet, fit, pen);
}

/* Whose part of the diagram is drawn. */
typedef struct {
  const Sheet *sheet;
  guint part;
} PartPage;

static FitPart
choose_part(const char *id, gpointer data)
{
  const PartPage *page = data;
  const Device *device = g_str_has_prefix(id, "device-")
                             ? document_find_device(page->sheet->document, id + strlen("device-"))
                             : NULL;

  if (device == NULL || device->kind->role == ROLE_OUTLINE ||
      tiling_splits(page->sheet->tiling, device))
    return FIT_CUT;
  return tiling_part_of_device(page->sheet->tiling, device) == page->part ? FIT_WHOLE : FIT_NONE;
}

/* The figure as far as this part shows it, and what lies over it. */
static void
draw_window(const Sheet *sheet, guint part, Pen *pen)
{
  const FigureStyle style = {.labels = true, .as_printed = true};
  const Rect window = tiling_window(sheet->tiling, part);
  PartPage page = {sheet, part};
  Pen *fit = fit_pen_new(pen, sheet->figure_scale, tiling_offset(sheet->tiling, part),
                         sheet->descriptions);

  fit_pen_set_window(fit, window, choose_part, &page);
  if (sheet->quiet)
    fit_pen_set_quiet(fit);
  pen_begin_group(pen, "diagram", _("Part of the diagram"), part == 0 ? sheet->alternative : NULL);
  figure_draw_within(fit, sheet->document, &style, window);
  end_figure(sheet, fit, pen);
}

/* Where a part has texts, in page millimetres. Of Rect. */
static GArray *
texts_of_part(const Sheet *sheet, guint part)
{
  g_autoptr(Pen) record = pen_record_new();
  GArray *texts = g_array_new(FALSE, FALSE, sizeof(Rect));

  draw_window(sheet, part, record);
  for (guint i = 0; i < pen_record_items(record)->len; i++) {
    const RecordItem *item = &g_array_index(pen_record_items(record), RecordItem, i);
    if (item->kind == RECORD_TEXT)
      g_array_append_val(texts, item->bounds);
  }
  return texts;
}

static void
draw_part(const Sheet *sheet, guint part, Pen *pen)
{
  g_autoptr(GArray) texts = texts_of_part(sheet, part);

  draw_window(sheet, part, pen);
  tiling_draw_references(sheet->tiling, part, &sheet->frame, 2, texts, pen);
}

void
sheet_draw_page(const Sheet *sheet, guint page, Pen *pen)
{
  const guint parts = sheet->tiling != NULL ? tiling_count(sheet->tiling) : 0;
  const bool shows_part = page > 0 && page <= parts;
  const bool shows_figure = sheet->tiling != NULL ? shows_part : page == 0;
  const FramePage frame_page = {
      .page = page, .pages = sheet->pages, .scale = shows_figure ? sheet->scale_text : "-"};
  const char *before = language_choose(sheet->language);
  g_autofree char *title =
      g_strdup_printf(_("%s, page %u of %u"), sheet->title->number, page + 1, sheet->pages);

  pen_begin_page(pen, sheet->width, sheet->height, title);
  frame_draw(&sheet->frame, &frame_page, pen);
  if (shows_part)
    draw_part(sheet, page - 1, pen);
  else if (shows_figure && sheet->has_figure)
    draw_figure(sheet, pen);
  flow_draw_page(sheet->flow, page, pen);
  pen_end_page(pen);
  language_choose(before);
}
