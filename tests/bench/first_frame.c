/* SPDX-License-Identifier: MIT */
/* Linked into a program of which the start is measured, in front of gtk_window_present (the
 * linker's --wrap): the program runs as it always does until the display server has taken the
 * first frame of the first window it presents, says when that was and what it has cost, and ends.
 * DOORSHEET_FIRST_FRAME_HOLD: stays for so many milliseconds, for a picture of that frame.
 * DOORSHEET_FIRST_FRAME_CALM: waits until everything that comes in after it is there and drawn. */
#include <gtk/gtk.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

void __real_gtk_window_present(GtkWindow *window); /* the linker's names */
void __wrap_gtk_window_present(GtkWindow *window);

static gboolean
say_and_end(gpointer data)
{
  (void)data;
  gdk_display_sync(gdk_display_get_default());
  struct timespec own;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &own);
  printf("%.3f %.3f\n", (double)g_get_monotonic_time() / 1e3,
         1e3 * (double)own.tv_sec + (double)own.tv_nsec / 1e6);
  fflush(stdout);
  const char *hold = g_getenv("DOORSHEET_FIRST_FRAME_HOLD");
  if (hold != NULL)
    g_usleep(1000 * g_ascii_strtoull(hold, NULL, 10));
  _Exit(0);
}

/* Behind whatever else waits to be done. */
static void
on_painted(GdkFrameClock *clock, gpointer data)
{
  g_signal_handlers_disconnect_by_func(clock, on_painted, data);
  if (g_getenv("DOORSHEET_FIRST_FRAME_CALM") != NULL)
    g_idle_add_full(10 * G_PRIORITY_LOW, say_and_end, NULL, NULL);
  else
    say_and_end(NULL);
}

void
__wrap_gtk_window_present(GtkWindow *window)
{
  static bool is_watched;
  __real_gtk_window_present(window);
  GdkFrameClock *clock = gtk_widget_get_frame_clock(GTK_WIDGET(window));
  if (is_watched || clock == NULL)
    return;
  is_watched = true;
  g_signal_connect_after(clock, "after-paint", G_CALLBACK(on_painted), NULL);
}
