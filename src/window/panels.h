/* SPDX-License-Identifier: MIT */
/* The panels round the canvas: parts shelf, the clipboard's five pages, meter strip, start page.
 * Each follows a session; each is a template. */
#pragma once

#include "canvas/canvas.h"
#include "desk/field_entry.h"
#include "desk/theme.h"
#include "pen/pen_cairo.h"

G_BEGIN_DECLS

/* --- shelf.c: the kinds, in the order power flows --- */

#define SHELF_TYPE (shelf_get_type())
G_DECLARE_FINAL_TYPE(Shelf, shelf, DOORSHEET, SHELF, GtkBox)
void shelf_set_catalog(Shelf *shelf, PartCatalog catalog);
/* Only the kinds for which it gives true, and no own nameplates; NULL: all. After the catalog. */
void shelf_set_offers(Shelf *shelf, bool (*offers)(const PartKind *kind));

/* --- the clipboard --- */

#define MEASURE_PAGE_TYPE (measure_page_get_type())
G_DECLARE_FINAL_TYPE(MeasurePage, measure_page, DOORSHEET, MEASURE_PAGE, GtkBox)
void measure_page_set_session(MeasurePage *page, Session *session);

#define LAND_PAGE_TYPE (land_page_get_type())
G_DECLARE_FINAL_TYPE(LandPage, land_page, DOORSHEET, LAND_PAGE, GtkBox)
void land_page_set_session(LandPage *page, Session *session);

#define CHECK_PAGE_TYPE (check_page_get_type())
G_DECLARE_FINAL_TYPE(CheckPage, check_page, DOORSHEET, CHECK_PAGE, GtkBox)
void check_page_set_session(CheckPage *page, Session *session);
/* Chooses the next (or previous) finding. */
void check_page_step(CheckPage *page, int step);
/* Makes the edits that clear the chosen finding, or says why it cannot. */
void check_page_remedy(CheckPage *page);

#define READ_PAGE_TYPE (read_page_get_type())
G_DECLARE_FINAL_TYPE(ReadPage, read_page, DOORSHEET, READ_PAGE, GtkBox)
void read_page_set_session(ReadPage *page, Session *session);

#define POST_PAGE_TYPE (post_page_get_type())
G_DECLARE_FINAL_TYPE(PostPage, post_page, DOORSHEET, POST_PAGE, GtkBox)
void post_page_set_session(PostPage *page, Session *session);

/* --- meter_strip.c --- */

/* Property "dial": "volts" and "ohms" between the probes, "amps" round the selected conductor. */
#define METER_STRIP_TYPE (meter_strip_get_type())
G_DECLARE_FINAL_TYPE(MeterStrip, meter_strip, DOORSHEET, METER_STRIP, GtkBox)
void meter_strip_set_session(MeterStrip *strip, Session *session);

/* --- start_page.c: what an empty sheet offers --- */

#define START_PAGE_TYPE (start_page_get_type())
G_DECLARE_FINAL_TYPE(StartPage, start_page, DOORSHEET, START_PAGE, GtkBox)
/* Lists the samples, for which room is kept: after the window's first frame. */
void start_page_complete(StartPage *page);
/* The folder the shipped samples lie in, or NULL. New string. */
char *start_page_dup_samples(void);

G_END_DECLS
