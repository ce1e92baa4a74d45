/* SPDX-License-Identifier: MIT */
/* The sheet: pages composed from a document and its inspection, drawn through a pen, exported. */
#pragma once

#include "checks/check.h"
#include "pen/pen.h"
#include "pen/pen_cairo.h"
#include "solve/expected.h"

G_BEGIN_DECLS

typedef struct {
  const char *name;           /* "letter", "a4", "label-4x6" */
  double width_mm, height_mm; /* portrait */
} Paper;
extern const Paper sheet_papers[]; /* NULL name ends */
const Paper *sheet_find_paper(const char *name);

typedef struct {
  const char *paper;    /* NULL: the document's own */
  Palette palette;      /* PALETTE_LIGHT or PALETTE_MONO for output */
  const char *units;    /* "imperial" or "metric"; NULL: the document's own */
  const char *language; /* "en", "es", or "en-es": English, cautions in both; NULL: the document's
                           own, or where it says nothing what the thread speaks */
  const char *date;     /* "2026-11-25" shown as the date of checking; NULL: today */
} SheetOptions;

/* The language the sheet will have: whoever inspects the document in it spares composing a second
 * inspection. Static. */
const char *sheet_language(const Document *document, const SheetOptions *options);

typedef struct Sheet Sheet; /* composed pages; const after sheet_compose */
/* Keeps what it needs; document and inspection may go. */
Sheet *sheet_compose(const Inspection *inspection, const SheetOptions *options, GError **error);
void sheet_free(Sheet *sheet);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Sheet, sheet_free)
guint sheet_page_count(const Sheet *sheet);
void sheet_page_size(const Sheet *sheet, guint page, double *width_mm, double *height_mm);
/* Draws one page with begin_page/end_page. */
void sheet_draw_page(const Sheet *sheet, guint page, Pen *pen);

typedef enum { SHEET_SVG, SHEET_PDF, SHEET_PNG } SheetFormat;
/* By the extension; false when it is none of the three. */
bool sheet_format_from_name(const char *file_name, SheetFormat *out);
/* The file's bytes. png_pixels_per_mm: 0 means 8 (about 203 dots an inch). */
GBytes *sheet_export(const Sheet *sheet, SheetFormat format, double png_pixels_per_mm,
                     GError **error);

G_END_DECLS
