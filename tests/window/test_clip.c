/* SPDX-License-Identifier: MIT */
/* Copying from one process to another through the display, as two programs of the same person do:
 * this program starts itself again as the other one.
 *
 *   test-window-clip                      the tests
 *   test-window-clip copy TYPE FILE       offers everything in FILE (TYPE only, or "all"), says
 *                                         "ready", and ends when its input ends
 *   test-window-clip paste COUNT FILE     pastes until there are COUNT devices, saves to FILE */
#include "drive.h"

#include "diagram/document_file.h"
#include "parts/catalog.h"
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static GtkApplication *application;
static const char *program;

#define WAIT_SECONDS 30

/* --- the other program --- */

static void
on_written(GObject *source, GAsyncResult *result, gpointer data)
{
  if (!gdk_content_provider_write_mime_type_finish(GDK_CONTENT_PROVIDER(source), result, NULL))
    g_error("cannot write what was copied");
  *(bool *)data = true;
}

/* One form of what is selected, and nothing else. */
static GdkContentProvider *
only(DoorsheetWindow *window, const char *type)
{
  g_autoptr(GdkContentProvider) all = window_copy_provider(window_get_session(window));
  g_autoptr(GOutputStream) stream = g_memory_output_stream_new_resizable();
  bool done = false;
  gdk_content_provider_write_mime_type_async(all, type, stream, G_PRIORITY_DEFAULT, NULL,
                                             on_written, &done);
  while (!done)
    g_main_context_iteration(NULL, TRUE);
  g_output_stream_close(stream, NULL, NULL);
  g_autoptr(GBytes) bytes = g_memory_output_stream_steal_as_bytes(G_MEMORY_OUTPUT_STREAM(stream));
  return gdk_content_provider_new_for_bytes(type, bytes);
}

static gboolean
on_input(GIOChannel *channel, GIOCondition condition, gpointer data)
{
  (void)channel;
  (void)condition;
  *(bool *)data = true;
  return G_SOURCE_REMOVE;
}

static int
copy_for_others(const char *type, const char *file)
{
  DoorsheetWindow *window = drive_open(application, file);
  drive_action(window, "select-all");
  if (strcmp(type, "all") == 0)
    drive_action(window, "copy");
  else {
    g_autoptr(GdkContentProvider) provider = only(window, type);
    gdk_clipboard_set_content(gtk_widget_get_clipboard(GTK_WIDGET(window)), provider);
  }
  drive_settle();
  puts("ready");
  fflush(stdout);
  bool ended = false;
  g_autoptr(GIOChannel) input = g_io_channel_unix_new(0);
  g_io_add_watch(input, G_IO_IN | G_IO_HUP, on_input, &ended);
  while (!ended)
    g_main_context_iteration(NULL, TRUE);
  return 0;
}

static bool
wait_for_devices(DoorsheetWindow *window, guint n)
{
  gint64 end = g_get_monotonic_time() + WAIT_SECONDS * G_TIME_SPAN_SECOND;
  while (document_device_count(drive_document(window)) != n && g_get_monotonic_time() < end)
    drive_settle();
  return document_device_count(drive_document(window)) == n;
}

static int
paste_from_others(const char *count, const char *file)
{
  DoorsheetWindow *window = drive_window(application);
  drive_action(window, "paste");
  if (!wait_for_devices(window, (guint)atoi(count)))
    return 1;
  return session_save(window_get_session(window), file, NULL) ? 0 : 1;
}

/* --- the tests --- */

static char *
dup_sample(const char *name)
{
  return g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", name, NULL);
}

static GSubprocess *
start(const char *role, const char *what, const char *file)
{
  g_autoptr(GError) error = NULL;
  GSubprocess *other =
      g_subprocess_new(G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error,
                       program, role, what, file, NULL);
  if (other == NULL)
    fail_msg("%s", error->message);
  return other;
}

static void
on_line(GObject *source, GAsyncResult *result, gpointer data)
{
  g_autofree char *line =
      g_data_input_stream_read_line_finish(G_DATA_INPUT_STREAM(source), result, NULL, NULL);
  *(int *)data = g_strcmp0(line, "ready") == 0 ? 1 : -1;
}

static void
wait_until_ready(GSubprocess *other)
{
  g_autoptr(GDataInputStream) lines = g_data_input_stream_new(g_subprocess_get_stdout_pipe(other));
  int said = 0;
  g_data_input_stream_read_line_async(lines, G_PRIORITY_DEFAULT, NULL, on_line, &said);
  while (said == 0)
    g_main_context_iteration(NULL, TRUE);
  assert_int_equal(said, 1);
}

static void
on_ended(GObject *source, GAsyncResult *result, gpointer data)
{
  (void)source;
  (void)result;
  *(bool *)data = true;
}

/* The other program needs this one while it pastes: what is copied is asked for only then. */
static void
wait_until_ended(GSubprocess *other)
{
  bool ended = false;
  g_output_stream_close(g_subprocess_get_stdin_pipe(other), NULL, NULL);
  g_subprocess_wait_async(other, NULL, on_ended, &ended);
  while (!ended)
    g_main_context_iteration(NULL, TRUE);
  assert_true(g_subprocess_get_successful(other));
}

/* Contents without the sheet's own data, which a copy leaves behind. */
static void
assert_same_diagram(const Document *pasted, const Document *copied)
{
  assert_int_equal(document_device_count(pasted), document_device_count(copied));
  assert_int_equal(document_conductor_count(pasted), document_conductor_count(copied));
  for (guint i = 0; i < document_device_count(copied); i++)
    assert_true(device_equal(document_device(pasted, i), document_device(copied, i)));
  for (guint i = 0; i < document_conductor_count(copied); i++)
    assert_true(conductor_equal(document_conductor(pasted, i), document_conductor(copied, i)));
}

static void
another_program_copies_and_this_one_pastes(void **state)
{
  (void)state;
  static const char *const types[] = {"all", "application/x-doorsheet", "image/svg+xml",
                                      "text/plain;charset=utf-8"};
  g_autofree char *file = dup_sample("pump-208.doorsheet");
  g_autoptr(Document) copied = document_read(file, parts_catalog(), NULL);
  for (guint i = 0; i < G_N_ELEMENTS(types); i++) {
    g_autoptr(GSubprocess) other = start("copy", types[i], file);
    wait_until_ready(other);
    DoorsheetWindow *window = drive_window(application);
    g_autoptr(Document) before = document_snapshot(drive_document(window));
    drive_action(window, "paste");
    if (!wait_for_devices(window, document_device_count(copied)))
      fail_msg("%s did not arrive", types[i]);
    assert_same_diagram(drive_document(window), copied);
    drive_one_step(window, before);
    drive_close(window);
    wait_until_ended(other);
  }
}

static void
this_one_copies_and_another_pastes(const char *file)
{
  g_autofree char *folder = g_dir_make_tmp("doorsheet-clip-XXXXXX", NULL);
  g_autofree char *saved = g_build_filename(folder, "pasted.doorsheet", NULL);
  DoorsheetWindow *window = drive_open(application, file);
  drive_action(window, "select-all");
  drive_action(window, "copy");
  drive_settle();
  g_autofree char *count = g_strdup_printf("%u", document_device_count(drive_document(window)));
  g_autoptr(GSubprocess) other = start("paste", count, saved);
  wait_until_ended(other);
  g_autoptr(Document) pasted = document_read(saved, parts_catalog(), NULL);
  assert_non_null(pasted);
  assert_same_diagram(pasted, drive_document(window));
  drive_close(window);
  g_remove(saved);
  g_rmdir(folder);
}

static void
a_sheet_goes_over(void **state)
{
  (void)state;
  g_autofree char *file = dup_sample("damper-480.doorsheet");
  this_one_copies_and_another_pastes(file);
}

/* More than one piece of the display's protocol holds (256 kB without extensions). */
static void
a_large_sheet_goes_over(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-clip-XXXXXX", NULL);
  g_autofree char *file = g_build_filename(folder, "large.doorsheet", NULL);
  g_autoptr(Document) large = document_new(parts_catalog());
  Change *change = change_new("Many");
  const PartKind *fuse = part_catalog_find(parts_catalog(), "fuse");
  for (int i = 0; i < 3600; i++) {
    g_autofree char *id = g_strdup_printf("FU%d", i + 1);
    g_autoptr(Device) device = device_new(fuse, id);
    device->placement.at = (Point){(i % 50) * 30.0, (i / 50) * 20.0};
    assert_true(device_set(device, "rating", "0.5 A", NULL));
    assert_true(device_set(device, "interrupting", "200 kA", NULL));
    change_device(change, NULL, device);
  }
  assert_true(document_apply(large, change, NULL));
  assert_true(document_save(large, file, NULL));
  GStatBuf status;
  assert_int_equal(g_stat(file, &status), 0);
  assert_true(status.st_size > 262144);
  this_one_copies_and_another_pastes(file);
  g_remove(file);
  g_rmdir(folder);
}

int
main(int argc, char **argv)
{
  program = argv[0];
  application = drive_application();
  if (argc == 4)
    return strcmp(argv[1], "copy") == 0 ? copy_for_others(argv[2], argv[3])
                                        : paste_from_others(argv[2], argv[3]);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(another_program_copies_and_this_one_pastes),
      cmocka_unit_test(a_sheet_goes_over),
      cmocka_unit_test(a_large_sheet_goes_over),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
