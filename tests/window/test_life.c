/* SPDX-License-Identifier: MIT */
/* The sheet's life outside the window: killed for real and got back, changed by others, read-only,
 * opened twice, dropped in. */
#include "drive.h"

#include "diagram/document_file.h"
#include "keep/recovery.h"
#include "parts/catalog.h"
#include "window/window_life.h"
#include "window/window_main.h"
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static GtkApplication *application;
static const char *program;
static char *folder;

static char *
in_folder(const char *name)
{
  return g_build_filename(folder, name, NULL);
}

static void
copy_sample(const char *path)
{
  g_autofree char *sample =
      g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples/pump-208.doorsheet", NULL);
  g_autofree char *text = NULL;
  gsize size;
  assert_true(g_file_get_contents(sample, &text, &size, NULL));
  g_remove(path);
  assert_true(g_file_set_contents(path, text, (gssize)size, NULL));
}

static const Document *
document_of(DoorsheetWindow *window)
{
  return session_get_document(window_get_session(window));
}

static void
retitle(DoorsheetWindow *window, const char *title)
{
  GError *error = NULL;
  Change *change = edit_set_sheet_field(document_of(window), false, "title", title, &error);
  assert_true(session_edit(window_get_session(window), change, error));
}

static const char *
title_of(const Document *document)
{
  return document_sheet(document)->values[SHEET_TITLE].text;
}

static void
wait_for(bool (*question)(gpointer), gpointer data, const char *what)
{
  gint64 end = g_get_monotonic_time() + 15 * G_USEC_PER_SEC;
  while (!question(data)) {
    if (g_get_monotonic_time() > end)
      fail_msg("waited in vain for %s", what);
    if (!g_main_context_iteration(NULL, FALSE))
      g_usleep(1000);
  }
}

static bool
has_notice(gpointer data)
{
  return gtk_widget_get_visible(GTK_WIDGET(window_get_notices(data)));
}

static bool
has_no_notice(gpointer data)
{
  return !has_notice(data);
}

static void
press_notice(DoorsheetWindow *window, const char *label)
{
  drive_press(GTK_WIDGET(window_get_notices(window)), label);
}

/* The box that asks something above the window. */
static GtkWidget *
question_of(DoorsheetWindow *window)
{
  GListModel *all = gtk_window_get_toplevels();
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkWindow) top = g_list_model_get_item(all, i);
    if (gtk_window_get_transient_for(top) == GTK_WINDOW(window))
      return GTK_WIDGET(top);
  }
  fail_msg("nothing is asked");
  return NULL;
}

static guint
windows_open(void)
{
  guint n = 0;
  for (GList *l = gtk_application_get_windows(application); l != NULL; l = l->next)
    n += DOORSHEET_IS_WINDOW(l->data);
  return n;
}

/* --- killed --- */

/* In a process of its own: opens the file (or not), edits, and is killed without warning. */
static int
be_the_victim(const char *path)
{
  application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  DoorsheetWindow *window = drive_window(application);
  if (*path != '\0')
    window_open(window, path);
  drive_action(window, "start-supply");
  retitle(window, "The edit in hand");
  kill(getpid(), SIGKILL); /* no main loop in between */
  return 1;
}

static void
assert_nothing_left(void)
{
  g_autoptr(GPtrArray) offers = recovery_offers();
  assert_int_equal(offers->len, 0);
}

/* The same, but it edits on and on, telling the number of devices after each edit, until somebody
 * kills it. */
static int
edit_until_killed(void)
{
  application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  const PartKind *lamp = part_catalog_find(document_catalog(document_of(window)), "lamp");
  for (guint n = 1; n < 400; n++) {
    Point at = {5.0 * (n % 40), 10.0 * (n / 40)};
    session_edit(session, edit_place(document_of(window), lamp, at, NULL), NULL);
    printf("%u\n", n);
    fflush(stdout);
    while (g_main_context_iteration(NULL, FALSE))
      ;
  }
  return 1;
}

static guint
kill_while_it_edits(guint edits)
{
  const char *const arguments[] = {program, "--edits", "", NULL};
  g_autoptr(GSubprocess) child = g_subprocess_newv(arguments, G_SUBPROCESS_FLAGS_STDOUT_PIPE, NULL);
  assert_non_null(child);
  g_autoptr(GDataInputStream) told = g_data_input_stream_new(g_subprocess_get_stdout_pipe(child));
  guint last = 0;
  for (;;) {
    g_autofree char *line = g_data_input_stream_read_line(told, NULL, NULL, NULL);
    if (line == NULL)
      break; /* what it told before it died has been read */
    last = (guint)g_ascii_strtoull(line, NULL, 10);
    if (last == edits)
      g_subprocess_send_signal(child, SIGKILL);
  }
  g_subprocess_wait(child, NULL, NULL);
  assert_true(g_subprocess_get_if_signaled(child));
  return last;
}

static void
a_kill_at_any_moment_loses_nothing_told(void **state)
{
  (void)state;
  for (guint edits = 1; edits < 40; edits += 6) {
    guint last = kill_while_it_edits(edits);
    DoorsheetWindow *window = drive_window(application);
    window_life_offer(window);
    press_notice(window, "Recover");
    assert_in_range(document_device_count(document_of(window)), last, last + 1);
    drive_close(window);
    assert_nothing_left();
  }
}

static void
run_victim(const char *path)
{
  const char *const arguments[] = {program, "--victim", path, NULL};
  g_autoptr(GError) error = NULL;
  g_autoptr(GSubprocess) child = g_subprocess_newv(arguments, G_SUBPROCESS_FLAGS_NONE, &error);
  if (child == NULL)
    fail_msg("%s", error->message);
  g_subprocess_wait(child, NULL, NULL);
  assert_true(g_subprocess_get_if_signaled(child));
  assert_int_equal(g_subprocess_get_term_sig(child), SIGKILL);
}

static void
a_killed_window_comes_back(void **state)
{
  (void)state;
  run_victim("");
  DoorsheetWindow *window = drive_window(application);
  window_life_offer(window);
  assert_true(has_notice(window));
  assert_null(session_get_path(window_get_session(window)));
  /* By keyboard: the key that goes to the notices, then the button that has the focus. */
  drive_action(window, "focus-notices");
  GtkWidget *focus = gtk_window_get_focus(GTK_WINDOW(window));
  assert_true(GTK_IS_BUTTON(focus));
  assert_string_equal(gtk_button_get_label(GTK_BUTTON(focus)), "Recover");
  gtk_widget_activate(focus); /* as Enter does: the button shows itself pressed for a moment */
  wait_for(has_no_notice, window, "the notice to go");
  assert_string_equal(title_of(document_of(window)), "The edit in hand");
  assert_int_equal(document_device_count(document_of(window)), 1);
  assert_true(session_get_modified(window_get_session(window)));
  assert_false(has_notice(window));
  drive_close(window);
  assert_nothing_left();
}

static void
a_killed_file_comes_back_with_its_name(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("killed.doorsheet");
  copy_sample(path);
  g_autofree char *before = NULL, *after = NULL;
  g_file_get_contents(path, &before, NULL, NULL);
  run_victim(path);
  g_file_get_contents(path, &after, NULL, NULL);
  assert_string_equal(before, after); /* the file itself was never touched */
  DoorsheetWindow *window = drive_window(application);
  window_life_offer(window);
  press_notice(window, "Recover");
  assert_string_equal(session_get_path(window_get_session(window)), path);
  assert_string_equal(title_of(document_of(window)), "The edit in hand");
  drive_action(window, "save");
  drive_settle();
  g_autoptr(Document) saved = document_read(path, parts_catalog(), NULL);
  assert_string_equal(title_of(saved), "The edit in hand");
  assert_false(session_get_modified(window_get_session(window)));
  drive_close(window);
  assert_nothing_left();
}

static void
later_asks_again_and_thrown_away_is_gone(void **state)
{
  (void)state;
  run_victim("");
  DoorsheetWindow *window = drive_window(application);
  window_life_offer(window);
  press_notice(window, "Later");
  assert_false(has_notice(window));
  window_life_offer(window);
  assert_true(has_notice(window));
  press_notice(window, "Throw away");
  assert_nothing_left();
  drive_close(window);
}

static void
every_edit_is_kept_until_it_is_saved(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  WindowLife *life = window_get_life(window);
  assert_null(window_life_settle(life)); /* nothing to lose yet */
  drive_action(window, "start-supply");
  g_autofree char *file = g_strdup(window_life_settle(life));
  assert_non_null(file);
  for (int i = 0; i < 5; i++) {
    g_autofree char *title = g_strdup_printf("Edit %d", i);
    retitle(window, title);
    g_autoptr(Document) kept = document_read(file, parts_catalog(), NULL); /* at once */
    assert_true(document_equal(kept, document_of(window)));
  }
  while (document_can_undo(document_of(window)))
    drive_action(window, "undo");
  assert_false(g_file_test(file, G_FILE_TEST_EXISTS)); /* back where it was */
  retitle(window, "Again");
  g_autofree char *path = in_folder("kept.doorsheet");
  window_save_as(window, path);
  assert_null(window_life_settle(life));
  drive_close(window);
  assert_nothing_left();
}

/* --- others --- */

static void
change_outside(const char *path, const char *title)
{
  g_autoptr(Document) document = document_read(path, parts_catalog(), NULL);
  assert_true(
      document_apply(document, edit_set_sheet_field(document, false, "title", title, NULL), NULL));
  assert_true(document_save(document, path, NULL));
}

static void
a_change_outside_is_told_and_loaded(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("outside.doorsheet");
  copy_sample(path);
  DoorsheetWindow *window = drive_open(application, path);
  change_outside(path, "Theirs");
  wait_for(has_notice, window, "a notice");
  press_notice(window, "Reload");
  assert_string_equal(title_of(document_of(window)), "Theirs");
  assert_false(session_get_modified(window_get_session(window)));
  retitle(window, "Mine");
  change_outside(path, "Theirs again");
  wait_for(has_notice, window, "a notice");
  press_notice(window, "Reload");
  assert_string_equal(title_of(document_of(window)), "Theirs again");
  drive_action(window, "undo"); /* nothing made here is lost */
  assert_string_equal(title_of(document_of(window)), "Mine");
  assert_true(session_get_modified(window_get_session(window)));
  drive_action(window, "redo");
  assert_false(session_get_modified(window_get_session(window)));
  /* Saving here is no change from outside. */
  retitle(window, "Saved here");
  drive_action(window, "save");
  gint64 end = g_get_monotonic_time() + 600 * 1000;
  while (g_get_monotonic_time() < end)
    drive_settle();
  assert_false(has_notice(window));
  drive_close(window);
}

static void
saving_never_writes_over_unasked(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("both.doorsheet");
  copy_sample(path);
  DoorsheetWindow *window = drive_open(application, path);
  retitle(window, "Mine");
  change_outside(path, "Theirs");
  drive_action(window, "save"); /* before the monitor has said a word */
  g_autoptr(Document) theirs = document_read(path, parts_catalog(), NULL);
  assert_string_equal(title_of(theirs), "Theirs");
  drive_press(question_of(window), "Cancel");
  assert_true(session_get_modified(window_get_session(window)));
  drive_action(window, "save");
  drive_press(question_of(window), "Write over it");
  g_autoptr(Document) mine = document_read(path, parts_catalog(), NULL);
  assert_string_equal(title_of(mine), "Mine");
  assert_false(session_get_modified(window_get_session(window)));
  /* Keep mine: decided, so that saving asks no more. */
  change_outside(path, "Theirs");
  wait_for(has_notice, window, "a notice");
  press_notice(window, "Keep mine");
  assert_true(session_get_modified(window_get_session(window)));
  drive_action(window, "save");
  drive_settle();
  g_autoptr(Document) kept = document_read(path, parts_catalog(), NULL);
  assert_string_equal(title_of(kept), "Mine");
  drive_close(window);
}

static void
a_deleted_file_is_told_and_saved_again(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("gone.doorsheet");
  copy_sample(path);
  DoorsheetWindow *window = drive_open(application, path);
  g_remove(path);
  wait_for(has_notice, window, "a notice");
  assert_true(session_get_modified(window_get_session(window)));
  assert_non_null(window_life_settle(window_get_life(window))); /* kept against a crash */
  press_notice(window, "Save it again");
  assert_true(g_file_test(path, G_FILE_TEST_IS_REGULAR));
  assert_false(session_get_modified(window_get_session(window)));
  drive_close(window);
  assert_nothing_left();
}

static void
read_only_opens_and_asks_for_another_name(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("read-only.doorsheet");
  copy_sample(path);
  g_chmod(path, 0444);
  g_autofree char *before = NULL, *after = NULL;
  g_file_get_contents(path, &before, NULL, NULL);
  DoorsheetWindow *window = drive_open(application, path);
  assert_true(has_notice(window));
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "read-only.doorsheet, read-only");
  retitle(window, "Changed");
  window_save_as(window, path); /* the same name chosen in spite of it */
  drive_press(question_of(window), "Close");
  g_file_get_contents(path, &after, NULL, NULL);
  assert_string_equal(before, after);
  assert_true(session_get_modified(window_get_session(window)));
  g_autofree char *other = in_folder("writable.doorsheet");
  window_save_as(window, other);
  assert_string_equal(session_get_path(window_get_session(window)), other);
  assert_false(has_notice(window));
  drive_close(window);
  /* A folder that may not be written to. */
  g_autofree char *closed = in_folder("closed/sheet.doorsheet");
  g_autofree char *closed_folder = g_path_get_dirname(closed);
  g_mkdir(closed_folder, 0755);
  copy_sample(closed);
  g_chmod(closed_folder, 0555);
  window = drive_open(application, closed);
  assert_true(has_notice(window));
  g_chmod(closed_folder, 0755);
  window_life_check(window_get_life(window)); /* the permission came meanwhile */
  assert_false(has_notice(window));
  drive_close(window);
}

/* --- windows --- */

static void
a_file_has_one_window(void **state)
{
  (void)state;
  g_autofree char *a = in_folder("a.doorsheet");
  g_autofree char *b = in_folder("b.doorsheet");
  g_autofree char *link = in_folder("link.doorsheet");
  copy_sample(a);
  copy_sample(b);
  assert_int_equal(symlink(a, link), 0);
  GFile *files[] = {g_file_new_for_path(a), g_file_new_for_path(b), g_file_new_for_path(link)};
  g_application_open(G_APPLICATION(application), files, 3, "");
  drive_settle();
  assert_int_equal(windows_open(), 2);
  DoorsheetWindow *window = NULL, *other = NULL;
  for (GList *l = gtk_application_get_windows(application); l != NULL; l = l->next)
    if (strcmp(session_get_path(window_get_session(l->data)), a) == 0)
      window = l->data;
    else
      other = l->data;
  assert_non_null(window);
  assert_non_null(other);
  retitle(window, "Only here");
  assert_string_not_equal(title_of(document_of(other)), "Only here");
  window_save_as(window, b); /* open in the other window */
  drive_press(question_of(window), "Close");
  assert_string_equal(session_get_path(window_get_session(window)), a);
  window_open(other, a);
  assert_int_equal(windows_open(), 2);
  drive_close(window);
  drive_close(other);
  for (int i = 0; i < 3; i++)
    g_object_unref(files[i]);
}

static guint
menu_length(DoorsheetWindow *window, char **first)
{
  GtkWidget *button =
      GTK_WIDGET(gtk_widget_get_template_child(GTK_WIDGET(window), WINDOW_TYPE, "recent"));
  GMenuModel *menu = gtk_menu_button_get_menu_model(GTK_MENU_BUTTON(button));
  if (!g_menu_model_get_item_attribute(menu, 0, G_MENU_ATTRIBUTE_LABEL, "s", first))
    *first = NULL;
  return (guint)g_menu_model_get_n_items(menu);
}

static void
sheets_opened_lately_are_listed_in_every_window(void **state)
{
  (void)state;
  g_autofree char *a = in_folder("first_sheet.doorsheet"), *b = in_folder("second.doorsheet");
  copy_sample(a);
  copy_sample(b);
  DoorsheetWindow *window = drive_open(application, a), *other = drive_open(application, b);
  g_autofree char *first = NULL, *theirs = NULL, *again = NULL;
  guint n = menu_length(window, &first);
  assert_true(n >= 2);
  assert_string_equal(first, "second.doorsheet"); /* opened in the other window */
  assert_int_equal(menu_length(other, &theirs), n);
  g_auto(GStrv) paths = settings_dup_recent();
  assert_string_equal(paths[0], b);
  assert_string_equal(paths[1], a);
  /* Opened again, one goes to the top and stands there once; a menu shows "_" when it is doubled.
   */
  drive_close(window);
  window = drive_open(application, a);
  assert_int_equal(menu_length(other, &again), n);
  assert_string_equal(again, "first__sheet.doorsheet");
  g_remove(b); /* what is gone is no longer offered */
  g_auto(GStrv) left = settings_dup_recent();
  assert_string_equal(left[0], a);
  assert_false(g_strv_contains((const char *const *)left, b));
  drive_close(window);
  drive_close(other);
}

static void
a_file_can_be_dropped_in(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("dropped.doorsheet");
  copy_sample(path);
  DoorsheetWindow *window = drive_window(application);
  GObject *drop = NULL;
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(GTK_WIDGET(window));
  for (guint i = 0; i < g_list_model_get_n_items(all) && drop == NULL; i++) {
    g_autoptr(GObject) one = g_list_model_get_item(all, i);
    drop = GTK_IS_DROP_TARGET(one) ? one : NULL;
  }
  assert_non_null(drop);
  g_autoptr(GFile) file = g_file_new_for_path(path);
  g_auto(GValue) value = G_VALUE_INIT;
  g_value_init(&value, GDK_TYPE_FILE_LIST);
  g_value_take_boxed(&value, gdk_file_list_new_from_array(&file, 1));
  gboolean taken = FALSE;
  g_signal_emit_by_name(drop, "drop", &value, 10.0, 10.0, &taken);
  drive_settle();
  assert_true(taken);
  assert_string_equal(session_get_path(window_get_session(window)), path);
  drive_close(window);
}

static void
an_svg_is_a_diagram_without_a_file(void **state)
{
  (void)state;
  g_autofree char *sheet = in_folder("to-svg.doorsheet");
  g_autofree char *svg = in_folder("panel.svg");
  copy_sample(sheet);
  DoorsheetWindow *window = drive_open(application, sheet);
  assert_true(window_export_to(window, svg, NULL));
  drive_close(window);
  window = drive_open(application, svg);
  assert_null(session_get_path(window_get_session(window)));
  g_autoptr(Document) same = document_read(sheet, parts_catalog(), NULL);
  assert_int_equal(document_device_count(document_of(window)), document_device_count(same));
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "panel.svg");
  g_autofree char *before = NULL, *after = NULL;
  g_file_get_contents(svg, &before, NULL, NULL);
  retitle(window, "Changed");
  g_autofree char *saved = in_folder("panel.doorsheet");
  window_save_as(window, saved);
  g_file_get_contents(svg, &after, NULL, NULL);
  assert_string_equal(before, after);
  assert_string_equal(session_get_path(window_get_session(window)), saved);
  drive_close(window);
}

int
main(int argc, char **argv)
{
  program = argv[0];
  if (argc == 3 && strcmp(argv[1], "--victim") == 0)
    return be_the_victim(argv[2]);
  if (argc == 3 && strcmp(argv[1], "--edits") == 0)
    return edit_until_killed();
  if (!gtk_init_check())
    return g_getenv("CI") != NULL ? 1 : DRIVE_SKIP;
  folder = g_dir_make_tmp("doorsheet-life-XXXXXX", NULL);
  application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_killed_window_comes_back),
      cmocka_unit_test(a_killed_file_comes_back_with_its_name),
      cmocka_unit_test(a_kill_at_any_moment_loses_nothing_told),
      cmocka_unit_test(later_asks_again_and_thrown_away_is_gone),
      cmocka_unit_test(every_edit_is_kept_until_it_is_saved),
      cmocka_unit_test(a_change_outside_is_told_and_loaded),
      cmocka_unit_test(saving_never_writes_over_unasked),
      cmocka_unit_test(a_deleted_file_is_told_and_saved_again),
      cmocka_unit_test(read_only_opens_and_asks_for_another_name),
      cmocka_unit_test(a_file_has_one_window),
      cmocka_unit_test(sheets_opened_lately_are_listed_in_every_window),
      cmocka_unit_test(a_file_can_be_dropped_in),
      cmocka_unit_test(an_svg_is_a_diagram_without_a_file),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  g_free(folder);
  return failed;
}
