/* SPDX-License-Identifier: MIT */
#include "pen/pen_cairo.h"

#include "base/language.h"
#include "pen/pen_text.h"
#include <cairo-pdf.h>
#include <math.h>

typedef struct {
  Pen pen;
  cairo_t *cr;
  Palette palette;
  double hairline;  /* mm */
  bool greeks_text; /* bars for text too small to read: screen only */
  /* PDF and PNG only: */
  cairo_surface_t *surface;
  GByteArray *bytes; /* the caller's, filled by finish */
  GByteArray *draft; /* PDF as written so far: a failed file leaves bytes alone */
  double scale;      /* pixels a millimetre */
  guint pages;
} CairoPen;

static void
set_source(CairoPen *self, Ink ink, PenColour given)
{
  PenColour colour = palette_colour(self->palette, ink, given);
  cairo_set_source_rgb(self->cr, colour.red, colour.green, colour.blue);
}

/* Paints the current path. */
static void
paint(CairoPen *self, const PenStyle *stroke, const PenStyle *fill)
{
  if (fill != NULL) {
    set_source(self, fill->ink, fill->colour);
    if (stroke != NULL)
      cairo_fill_preserve(self->cr);
    else
      cairo_fill(self->cr);
  }
  if (stroke == NULL)
    return;
  double lengths[4];
  int n = (int)pen_dash_lengths(stroke->dash, lengths);
  set_source(self, stroke->ink, stroke->colour);
  cairo_set_line_width(self->cr, MAX(stroke->width, self->hairline));
  cairo_set_dash(self->cr, lengths, n, 0);
  /* Round ends meet cleanly at terminals, but would close the gaps of a dashed line. */
  cairo_set_line_cap(self->cr, n > 0 ? CAIRO_LINE_CAP_BUTT : CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join(self->cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke(self->cr);
}

static void
check(CairoPen *self)
{
  cairo_status_t status = cairo_status(self->cr);
  if (status != CAIRO_STATUS_SUCCESS && self->pen.status == NULL)
    pen_fail(&self->pen,
             g_error_new(PEN_ERROR, PEN_ERROR_OUTPUT, _("The picture could not be drawn: %s."),
                         cairo_status_to_string(status)));
}

static void
pen_cairo_line(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *stroke,
               const PenStyle *fill)
{
  CairoPen *self = (CairoPen *)pen;
  cairo_new_path(self->cr);
  for (guint i = 0; i < n; i++)
    cairo_line_to(self->cr, points[i].x, points[i].y);
  if (closed)
    cairo_close_path(self->cr);
  paint(self, stroke, fill);
}

static void
pen_cairo_arc(Pen *pen, Point centre, double radius, double from, double to, const PenStyle *stroke,
              const PenStyle *fill)
{
  CairoPen *self = (CairoPen *)pen;
  cairo_new_path(self->cr);
  cairo_arc(self->cr, centre.x, centre.y, radius, from * G_PI / 180, to * G_PI / 180);
  if (to - from >= 360)
    cairo_close_path(self->cr);
  paint(self, stroke, fill);
}

static void
pen_cairo_text(Pen *pen, Point at, const char *utf8, const TextStyle *style)
{
  CairoPen *self = (CairoPen *)pen;
  PangoLayout *layout = pen_text_layout(utf8, style);
  double width = pen_text_layout_width(layout);
  set_source(self, style->ink, (PenColour){0, 0, 0});
  if (self->greeks_text && style->height < 3 * self->hairline) {
    Rect box = pen_text_box(at, width, style);
    if (style->turns & 1)
      cairo_rectangle(self->cr, box.x + box.width * 0.4, box.y, box.width * 0.3, box.height);
    else
      cairo_rectangle(self->cr, box.x, box.y + box.height * 0.4, box.width, box.height * 0.3);
    cairo_fill(self->cr);
    return;
  }
  double start = style->align == TEXT_START ? 0 : style->align == TEXT_MIDDLE ? -width / 2 : -width;
  double baseline = pango_layout_get_baseline(layout) / (PEN_TEXT_SCALE * PANGO_SCALE);
  cairo_save(self->cr);
  cairo_translate(self->cr, at.x, at.y);
  if (style->turns & 3)
    cairo_rotate(self->cr, (style->turns & 3) * G_PI_2);
  cairo_translate(self->cr, start, -baseline);
  cairo_scale(self->cr, 1 / PEN_TEXT_SCALE, 1 / PEN_TEXT_SCALE);
  cairo_move_to(self->cr, 0, 0);
  pango_cairo_show_layout(self->cr, layout);
  cairo_restore(self->cr);
  cairo_new_path(self->cr);
}

static void
pen_cairo_begin_group(Pen *pen, const char *id, const char *title, const char *description)
{
  (void)id;
  (void)title;
  (void)description;
  check((CairoPen *)pen);
}

static void
pen_cairo_end_group(Pen *pen)
{
  (void)pen;
}

/* --- pages --- */

static void
fail_page(Pen *pen, const char *text)
{
  pen_fail(pen, g_error_new_literal(PEN_ERROR, PEN_ERROR_PAGE, text));
}

/* Pages on a caller's context: paper is filled, the caller decides what a page turn means. */
static void
context_begin_page(Pen *pen, double width, double height, const char *title)
{
  (void)title;
  CairoPen *self = (CairoPen *)pen;
  set_source(self, INK_PAPER, (PenColour){1, 1, 1});
  cairo_rectangle(self->cr, 0, 0, width, height);
  cairo_fill(self->cr);
}

static void
context_end_page(Pen *pen)
{
  check((CairoPen *)pen);
}

static void
png_begin_page(Pen *pen, double width, double height, const char *title)
{
  CairoPen *self = (CairoPen *)pen;
  if (self->pages++ > 0) {
    fail_page(pen, _("A PNG picture holds one page. Export the pages one by one, or as PDF."));
    return;
  }
  double across = ceil(width * self->scale), down = ceil(height * self->scale);
  if (!(across >= 1 && down >= 1 && across <= 20000 && down <= 20000)) {
    fail_page(pen, _("The PNG picture would be larger than 20000 pixels a side. Use fewer pixels a "
                     "millimetre."));
    return;
  }
  cairo_destroy(self->cr);
  cairo_surface_destroy(self->surface);
  self->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)across, (int)down);
  self->cr = cairo_create(self->surface);
  check(self);
  set_source(self, INK_PAPER, (PenColour){1, 1, 1});
  cairo_paint(self->cr); /* the whole last pixel too */
  cairo_scale(self->cr, self->scale, self->scale);
  context_begin_page(pen, width, height, title);
}

static void
pdf_begin_page(Pen *pen, double width, double height, const char *title)
{
  CairoPen *self = (CairoPen *)pen;
  const double points = 72 / 25.4;
  self->pages++;
  cairo_pdf_surface_set_size(self->surface, width * points, height * points);
  cairo_identity_matrix(self->cr);
  cairo_scale(self->cr, points, points);
  g_autofree char *label = title != NULL && *title != '\0'
                               ? pen_text_prepare(title)
                               : g_strdup_printf(_("Page %u"), self->pages);
  g_autofree char *link = g_strdup_printf("page=%u", self->pages);
  cairo_pdf_surface_add_outline(self->surface, CAIRO_PDF_OUTLINE_ROOT, label, link, 0);
  cairo_pdf_surface_set_page_label(self->surface, label);
  context_begin_page(pen, width, height, title);
}

static void
pdf_end_page(Pen *pen)
{
  CairoPen *self = (CairoPen *)pen;
  cairo_show_page(self->cr);
  check(self);
}

static void
pdf_begin_link(Pen *pen, guint page)
{
  /* The top of the page, wherever it ends up in the reader's window. */
  g_autofree char *to = g_strdup_printf("page=%u pos=[0 0]", page);
  cairo_tag_begin(((CairoPen *)pen)->cr, CAIRO_TAG_LINK, to);
}

static void
pdf_end_link(Pen *pen)
{
  cairo_tag_end(((CairoPen *)pen)->cr, CAIRO_TAG_LINK);
}

static cairo_status_t
append_bytes(void *closure, const unsigned char *data, unsigned length)
{
  g_byte_array_append(closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

static void
png_finish(Pen *pen)
{
  CairoPen *self = (CairoPen *)pen;
  check(self);
  if (pen->status != NULL)
    return;
  if (self->pages == 0) {
    fail_page(pen, _("There is no page to draw."));
    return;
  }
  cairo_status_t status =
      cairo_surface_write_to_png_stream(self->surface, append_bytes, self->bytes);
  if (status != CAIRO_STATUS_SUCCESS)
    pen_fail(pen,
             g_error_new(PEN_ERROR, PEN_ERROR_OUTPUT, _("The PNG picture could not be made: %s."),
                         cairo_status_to_string(status)));
}

static void
pdf_finish(Pen *pen)
{
  CairoPen *self = (CairoPen *)pen;
  check(self);
  if (pen->status == NULL && self->pages == 0)
    fail_page(pen, _("There is no page to draw."));
  cairo_surface_finish(self->surface);
  cairo_status_t status = cairo_surface_status(self->surface);
  if (status != CAIRO_STATUS_SUCCESS && pen->status == NULL)
    pen_fail(pen, g_error_new(PEN_ERROR, PEN_ERROR_OUTPUT, _("The PDF could not be made: %s."),
                              cairo_status_to_string(status)));
  if (pen->status == NULL)
    g_byte_array_append(self->bytes, self->draft->data, self->draft->len);
}

static void
pen_cairo_finish(Pen *pen)
{
  check((CairoPen *)pen);
}

static void
pen_cairo_free(Pen *pen)
{
  CairoPen *self = (CairoPen *)pen;
  cairo_destroy(self->cr);
  if (self->surface != NULL) {
    cairo_surface_finish(self->surface);
    cairo_surface_destroy(self->surface);
  }
  if (self->draft != NULL)
    g_byte_array_unref(self->draft);
  if (self->bytes != NULL)
    g_byte_array_unref(self->bytes);
  g_free(self);
}

static CairoPen *
cairo_pen_new(const PenBackEnd *back_end, Palette palette, cairo_t *take_cr)
{
  CairoPen *self = g_new0(CairoPen, 1);
  pen_init(&self->pen, back_end);
  self->palette = palette;
  self->cr = take_cr;
  return self;
}

#define DRAWING                                                                                    \
  .line = pen_cairo_line, .arc = pen_cairo_arc, .text = pen_cairo_text,                            \
  .begin_group = pen_cairo_begin_group, .end_group = pen_cairo_end_group, .free = pen_cairo_free

Pen *
pen_cairo_new(cairo_t *cr, Palette palette, double hairline_mm)
{
  static const PenBackEnd back_end = {DRAWING, .begin_page = context_begin_page,
                                      .end_page = context_end_page, .finish = pen_cairo_finish};
  CairoPen *self = cairo_pen_new(&back_end, palette, cairo_reference(cr));
  self->hairline = hairline_mm > 0 ? hairline_mm : 0;
  self->greeks_text = true;
  return &self->pen;
}

static void
set_metadata(cairo_surface_t *surface, cairo_pdf_metadata_t which, const char *text)
{
  if (text == NULL || *text == '\0')
    return;
  g_autofree char *clean = pen_text_prepare(text);
  cairo_pdf_surface_set_metadata(surface, which, clean);
}

Pen *
pen_pdf_new(GByteArray *bytes, Palette palette, const char *title, const char *author,
            const char *subject, const char *date)
{
  static const PenBackEnd back_end = {DRAWING,
                                      .begin_page = pdf_begin_page,
                                      .end_page = pdf_end_page,
                                      .begin_link = pdf_begin_link,
                                      .end_link = pdf_end_link,
                                      .finish = pdf_finish,
                                      .needs_page = true,
                                      .needs_all_glyphs = true};
  GByteArray *draft = g_byte_array_new();
  /* A4 until the first page says its size. */
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(append_bytes, draft, 595, 842);
  CairoPen *self = cairo_pen_new(&back_end, palette, cairo_create(surface));
  self->surface = surface;
  self->draft = draft;
  self->bytes = g_byte_array_ref(bytes);
  set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
  set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, author);
  set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, subject);
  set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Doorsheet " DOORSHEET_VERSION);
  set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
  set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, date);
  check(self);
  return &self->pen;
}

Pen *
pen_png_new(GByteArray *bytes, Palette palette, double pixels_per_mm)
{
  static const PenBackEnd back_end = {DRAWING,
                                      .begin_page = png_begin_page,
                                      .end_page = context_end_page,
                                      .finish = png_finish,
                                      .needs_page = true,
                                      .needs_all_glyphs = true};
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 1, 1);
  CairoPen *self = cairo_pen_new(&back_end, palette, cairo_create(surface));
  self->surface = surface;
  self->bytes = g_byte_array_ref(bytes);
  if (!(pixels_per_mm > 0)) {
    fail_page(&self->pen, _("A PNG picture needs a number of pixels a millimetre above 0."));
    return &self->pen;
  }
  self->scale = pixels_per_mm;
  self->hairline = 1 / pixels_per_mm;
  return &self->pen;
}
