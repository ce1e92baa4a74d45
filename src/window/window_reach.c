/* SPDX-License-Identifier: MIT */
/* Commands that take the keyboard from one part of the window to another, so that nobody has to
 * Tab through everything in between. */
#include "base/language.h"
#include "canvas/listing.h"
#include "window/window.h"

#define COMMAND(name)                                                                              \
  static void name(GSimpleAction *action G_GNUC_UNUSED, GVariant *parameter G_GNUC_UNUSED,         \
                   gpointer data)

COMMAND(do_focus_canvas)
{
  gtk_widget_grab_focus(GTK_WIDGET(window_get_canvas(DOORSHEET_WINDOW(data))));
}

COMMAND(do_focus_notices)
{
  DoorsheetWindow *window = DOORSHEET_WINDOW(data);
  if (!notice_bar_focus(window_get_notices(window)))
    window_say(window, _("There is no notice."));
}

COMMAND(do_focus_page)
{
  DoorsheetWindow *window = DOORSHEET_WINDOW(data);
  window_show_page(window, window_get_page(window)); /* unfolds the clipboard */
  window_focus_page(window);
}

COMMAND(do_focus_shelf)
{
  window_focus_shelf(DOORSHEET_WINDOW(data));
}

/* --- the diagram as a list, between the parts shelf and the sheet: made when first asked for ---
 */

#define LISTING_WIDTH 300

static Listing *
listing_of(DoorsheetWindow *window)
{
  Listing *listing = g_object_get_data(G_OBJECT(window), "listing");
  if (listing != NULL)
    return listing;
  listing = listing_new(window_get_session(window));
  gtk_widget_set_size_request(GTK_WIDGET(listing), LISTING_WIDTH, -1);
  GtkWidget *middle =
      gtk_widget_get_ancestor(GTK_WIDGET(window_get_canvas(window)), GTK_TYPE_OVERLAY);
  gtk_box_insert_child_after(GTK_BOX(gtk_widget_get_parent(middle)), GTK_WIDGET(listing),
                             gtk_widget_get_prev_sibling(middle));
  g_object_set_data(G_OBJECT(window), "listing", listing);
  gtk_widget_set_visible(GTK_WIDGET(listing), FALSE);
  return listing;
}

/* Shows it and takes the keyboard there; folds it away when the keyboard is there already. */
COMMAND(do_list)
{
  DoorsheetWindow *window = DOORSHEET_WINDOW(data);
  GtkWidget *listing = GTK_WIDGET(listing_of(window));
  GtkWidget *focus = gtk_window_get_focus(GTK_WINDOW(window));
  bool show = !gtk_widget_get_visible(listing) ||
              (focus != NULL && !gtk_widget_is_ancestor(focus, listing) &&
               document_device_count(session_get_document(window_get_session(window))) > 0);
  if (!show)
    gtk_widget_grab_focus(GTK_WIDGET(window_get_canvas(window)));
  gtk_widget_set_visible(listing, show);
  if (show)
    listing_focus(DOORSHEET_LISTING(listing));
  GAction *self = g_action_map_lookup_action(G_ACTION_MAP(window), "list");
  g_simple_action_set_state(G_SIMPLE_ACTION(self), g_variant_new_boolean(show));
}

void
window_reach_init(DoorsheetWindow *window)
{
  static const GActionEntry entries[] = {
      {.name = "focus-canvas", .activate = do_focus_canvas},
      {.name = "focus-notices", .activate = do_focus_notices},
      {.name = "focus-page", .activate = do_focus_page},
      {.name = "focus-shelf", .activate = do_focus_shelf},
      {.name = "list", .activate = do_list, .state = "false"},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
}
