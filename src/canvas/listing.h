/* SPDX-License-Identifier: MIT */
/* The diagram as a list beside the sheet: what is drawn, in words, for a screen reader and for
 * everybody who would rather read. Choosing a row selects it on the sheet, and what is selected on
 * the sheet is chosen here. The keys of the sheet work on it (desk/keys.h), and:
 *
 *   Right, Left   open a device to its findings and terminals, close it
 *   Enter         a device: open or close; a terminal: land a conductor from it
 *   1, 2          the red, the black probe on the terminal
 *
 * Costs nothing while it is hidden. */
#pragma once

#include "canvas/session.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define LISTING_TYPE (listing_get_type())
G_DECLARE_FINAL_TYPE(Listing, listing, DOORSHEET, LISTING, GtkBox)

Listing *listing_new(Session *session); /* floating */
/* The keyboard goes to the chosen row, or to the first. */
void listing_focus(Listing *listing);

G_END_DECLS
