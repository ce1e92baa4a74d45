/* SPDX-License-Identifier: MIT */
/* The least a program with a window can be: what starting doorsheet is compared with. With an
 * argument it has the header bar that takes the place of the window manager's title, as doorsheet
 * has, with a title and the window's buttons. */
#include <gtk/gtk.h>

static gboolean has_header;

static void
on_activate(GtkApplication *application)
{
  GtkWidget *window = gtk_application_window_new(application);
  gtk_window_set_default_size(GTK_WINDOW(window), 1280, 860);
  if (has_header) {
    gtk_window_set_title(GTK_WINDOW(window), "Bare");
    gtk_window_set_titlebar(GTK_WINDOW(window), gtk_header_bar_new());
  }
  gtk_window_present(GTK_WINDOW(window));
}

int
main(int argc, char **argv)
{
  g_autoptr(GtkApplication) application =
      gtk_application_new("org.doorsheet.Bare", G_APPLICATION_DEFAULT_FLAGS);
  g_signal_connect(application, "activate", G_CALLBACK(on_activate), NULL);
  has_header = argc > 1;
  return g_application_run(G_APPLICATION(application), 1, argv);
}
