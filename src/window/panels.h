/* SPDX-License-Identifier: MIT */
/* The panels round the canvas: parts shelf, the clipboard's five pages, meter strip, start page,
 * and the one-property editor they are built from. Each follows a session; each is a template. */
#pragma once

#include "canvas/canvas.h"
#include "desk/theme.h"
#include "pen/pen_cairo.h"

G_BEGIN_DECLS

/* --- field_entry.c: one property, by its FieldSpec --- */

#define FIELD_ENTRY_TYPE (field_entry_get_type())
G_DECLARE_FINAL_TYPE(FieldEntry, field_entry, DOORSHEET, FIELD_ENTRY, GtkBox)
/* Signal "commit" (const char *text): the user is done with a new text; NULL: back to the default.
 * The receiver applies it and answers with field_entry_set_error when it cannot.
 * compact: no title beside it, complaints as a tooltip (in tables). title NULL: the field's own. */
GtkWidget *field_entry_new(const FieldSpec *field, const char *title, bool compact);
/* Shows the value unless the user is typing. */
void field_entry_set_value(FieldEntry *entry, const Value *value);
void field_entry_set_error(FieldEntry *entry, const char *message); /* NULL: none */
const FieldSpec *field_entry_get_field(FieldEntry *entry);
GtkWidget *field_entry_get_editor(FieldEntry *entry); /* the entry, list or switch inside */

/* --- shelf.c: the kinds, in the order power flows --- */

#define SHELF_TYPE (shelf_get_type())
G_DECLARE_FINAL_TYPE(Shelf, shelf, DOORSHEET, SHELF, GtkBox)
void shelf_set_catalog(Shelf *shelf, PartCatalog catalog);

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
/* The folder the shipped samples lie in, or NULL. New string. */
char *start_page_dup_samples(void);

/* Empties a box, list or grid made in code. */
void panel_clear(GtkWidget *container);
/* A label for panels: left, wrapping, with a style class (nullable). */
GtkWidget *panel_label(const char *text, const char *style_class);

G_END_DECLS
