/* SPDX-License-Identifier: MIT */
/* A sheet's pages as the bytes of a file. */
#include "sheet/sheet.h"

#include "base/language.h"

#include "diagram/document_file.h"
#include "pen/pen_svg.h"
#include "sheet/sheet_private.h"
#include <math.h>
#include <string.h>
#include <zlib.h>

#define PNG_PIXELS_PER_MM 8.0
#define PNG_MOST_PIXELS 20000

bool
sheet_format_from_name(const char *file_name, SheetFormat *out)
{
  static const struct {
    const char *ending;
    SheetFormat format;
  } endings[] = {{".svg", SHEET_SVG}, {".pdf", SHEET_PDF}, {".png", SHEET_PNG}};
  g_autofree char *lower = g_ascii_strdown(file_name, -1);

  for (guint i = 0; i < G_N_ELEMENTS(endings); i++)
    if (g_str_has_suffix(lower, endings[i].ending)) {
      *out = endings[i].format;
      return true;
    }
  return false;
}

/* The document's file without its XML declaration, which may stand only at the very beginning.
 * New string. */
static char *
metadata_text(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size = 0;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autofree char *text = g_strndup(data, size);
  const char *start = text;

  if (g_str_has_prefix(text, "<?xml")) {
    const char *end = strstr(text, "?>");
    if (end != NULL)
      start = end + 2;
  }
  while (g_ascii_isspace(*start))
    start++;
  return g_strdup(start);
}

/* "MAU-2, Condensate pump add-on, sheet E-104". New string. */
static char *
whole_title(const Sheet *sheet)
{
  return g_strdup_printf(_("%s, %s, sheet %s"), sheet->title->tag, sheet->title->title,
                         sheet->title->number);
}

static bool
draw_all(const Sheet *sheet, Pen *pen, GError **error)
{
  for (guint i = 0; i < sheet->pages; i++)
    sheet_draw_page(sheet, i, pen);
  return pen_finish(pen, error);
}

static bool
export_svg(const Sheet *sheet, GByteArray *bytes, GError **error)
{
  g_autofree char *metadata = sheet->embeds ? metadata_text(sheet->document) : NULL;
  g_autofree char *title = whole_title(sheet);
  g_autoptr(Pen) pen = pen_svg_new(bytes, sheet->palette, title, sheet->alternative, metadata);

  return draw_all(sheet, pen, error);
}

static bool
export_pdf(const Sheet *sheet, GByteArray *bytes, GError **error)
{
  g_autofree char *title = whole_title(sheet);
  g_autofree char *date = g_strconcat(sheet->date, "T00:00:00Z", NULL);
  g_autoptr(Pen) pen =
      pen_pdf_new(bytes, sheet->palette, title, sheet->title->author, sheet->title->checked, date);

  return draw_all(sheet, pen, error);
}

static cairo_status_t
append_bytes(void *closure, const unsigned char *data, unsigned int length)
{
  g_byte_array_append(closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

/* PNG specification, second edition (ISO/IEC 15948), 11.3.5.3: pixels a metre across and down and
 * the unit, before the first IDAT. Cairo writes none, and a page without it is printed at whatever
 * size the reader's program thinks of. */
static void
insert_resolution(GByteArray *bytes, double pixels_per_mm)
{
  enum { SIGNATURE = 8, HEADER = 4 + 4 + 13 + 4, DATA = 9 }; /* a header chunk is always as long */
  const guint32 per_metre = GUINT32_TO_BE((guint32)lround(pixels_per_mm * 1000));
  const guint32 length = GUINT32_TO_BE((guint32)DATA);
  guint8 chunk[4 + 4 + DATA + 4] = "....pHYs";
  const guint at = SIGNATURE + HEADER;

  memcpy(chunk, &length, 4);
  memcpy(chunk + 8, &per_metre, 4);
  memcpy(chunk + 12, &per_metre, 4);
  chunk[16] = 1; /* the metre */
  const guint32 sum = GUINT32_TO_BE((guint32)crc32(0, chunk + 4, 4 + DATA));
  memcpy(chunk + 17, &sum, 4);
  const guint before = bytes->len;
  g_byte_array_set_size(bytes, before + sizeof chunk);
  memmove(bytes->data + at + sizeof chunk, bytes->data + at, before - at);
  memcpy(bytes->data + at, chunk, sizeof chunk);
}

/* Pages one below the other in one picture, as in the SVG. */
static bool
export_png(const Sheet *sheet, GByteArray *bytes, double pixels_per_mm, GError **error)
{
  const double wide = ceil(sheet->width * pixels_per_mm);
  const double high = ceil(sheet->height * pixels_per_mm);

  if (wide > PNG_MOST_PIXELS || high * sheet->pages > PNG_MOST_PIXELS) {
    g_set_error(
        error, G_FILE_ERROR, G_FILE_ERROR_NOSPC,
        _("A PNG of %u pages at this resolution would be larger than %d pixels. Ask for fewer "
          "dots an inch, or write a PDF."),
        sheet->pages, PNG_MOST_PIXELS);
    return false;
  }
  cairo_surface_t *surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)wide, (int)high * (int)sheet->pages);
  cairo_t *cr = cairo_create(surface);
  bool good = true;

  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  for (guint i = 0; good && i < sheet->pages; i++) {
    cairo_save(cr);
    cairo_translate(cr, 0, high * i);
    cairo_scale(cr, pixels_per_mm, pixels_per_mm);
    g_autoptr(Pen) pen = pen_cairo_new(cr, sheet->palette, 1 / pixels_per_mm);
    sheet_draw_page(sheet, i, pen);
    good = pen_finish(pen, error);
    cairo_restore(cr);
  }
  if (good &&
      cairo_surface_write_to_png_stream(surface, append_bytes, bytes) != CAIRO_STATUS_SUCCESS) {
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOMEM,
                _("The PNG could not be made: not enough memory. Ask for fewer dots an inch."));
    good = false;
  }
  if (good)
    insert_resolution(bytes, pixels_per_mm);
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  return good;
}

GBytes *
sheet_export(const Sheet *sheet, SheetFormat format, double png_pixels_per_mm, GError **error)
{
  GByteArray *bytes = g_byte_array_new();
  const char *before = language_choose(sheet->language);
  bool good = false;

  switch (format) {
  case SHEET_SVG:
    good = export_svg(sheet, bytes, error);
    break;
  case SHEET_PDF:
    good = export_pdf(sheet, bytes, error);
    break;
  case SHEET_PNG:
    good = export_png(sheet, bytes, png_pixels_per_mm > 0 ? png_pixels_per_mm : PNG_PIXELS_PER_MM,
                      error);
    break;
  }
  language_choose(before);
  if (good)
    return g_byte_array_free_to_bytes(bytes);
  g_byte_array_unref(bytes);
  return NULL;
}
