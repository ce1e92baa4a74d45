/* SPDX-License-Identifier: MIT */
/* The least a program with a window can be: what starting doorsheet is compared with. */
#include <gtk/gtk.h>

static void
on_activate(GtkApplication *application)
{
  GtkWidget *window = gtk_application_window_new(application);
  gtk_window_set_default_size(GTK_WINDOW(window), 1280, 860);
  gtk_window_present(GTK_WINDOW(window));
}

int
main(int argc, char **argv)
{
  g_autoptr(GtkApplication) application =
      gtk_application_new("org.doorsheet.Bare", G_APPLICATION_DEFAULT_FLAGS);
  g_signal_connect(application, "activate", G_CALLBACK(on_activate), NULL);
  return g_application_run(G_APPLICATION(application), argc, argv);
}
