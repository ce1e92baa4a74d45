/* SPDX-License-Identifier: MIT */
/* The dealing dialog: what it writes is what the command line writes, nothing is written over
 * unasked, and it can be stopped. */
#include "drive.h"

#include "command/command.h"
#include "diagram/document_file.h"
#include "lesson/deal_dialog.h"
#include "lesson/deal_form.h"
#include "lesson/deal_job.h"
#include "parts/catalog.h"
#include <glib/gstdio.h>
#include <string.h>

static GtkApplication *application;
static char *folder;

static char *
sample(const char *name)
{
  return g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", name, NULL);
}

static bool
is_dialog(gpointer item)
{
  return DOORSHEET_IS_DEAL_DIALOG(item) && gtk_widget_get_mapped(GTK_WIDGET(item));
}

static GtkWidget *
open_dialog(DoorsheetWindow *window)
{
  drive_action(window, "deal");
  drive_settle();
  GListModel *all = gtk_window_get_toplevels();
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkWidget) top = g_list_model_get_item(all, i);
    if (is_dialog(top))
      return top;
  }
  fail_msg("no dealing dialog");
  return NULL;
}

static GtkWidget *
find_type(GtkWidget *root, GType type)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE(root, type))
    return root;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    GtkWidget *found = find_type(child, type);
    if (found != NULL)
      return found;
  }
  return NULL;
}

/* The widget right of the title in the form's grid. */
static GtkWidget *
beside(GtkWidget *dialog, const char *title)
{
  GtkWidget *label = drive_find(dialog, GTK_TYPE_LABEL, title);
  GtkWidget *grid = gtk_widget_get_ancestor(label, GTK_TYPE_GRID);
  int column, row;
  gtk_grid_query_child(GTK_GRID(grid), label, &column, &row, NULL, NULL);
  return gtk_grid_get_child_at(GTK_GRID(grid), column + 1, row);
}

static void
write_in(GtkWidget *dialog, const char *title, const char *text)
{
  gtk_editable_set_text(GTK_EDITABLE(beside(dialog, title)), text);
}

static void
choose(GtkWidget *dialog, const char *title, guint entry)
{
  gtk_drop_down_set_selected(GTK_DROP_DOWN(beside(dialog, title)), entry);
}

static void
count(GtkWidget *dialog, const char *title, double value)
{
  gtk_spin_button_set_value(GTK_SPIN_BUTTON(beside(dialog, title)), value);
}

/* Until nothing is under way: the button that stops says "Close" again. */
static void
wait_for_end(GtkWidget *dialog)
{
  const gint64 end = g_get_monotonic_time() + 120 * G_USEC_PER_SEC;
  GtkWidget *progress = find_type(dialog, GTK_TYPE_PROGRESS_BAR);
  while (gtk_widget_get_visible(progress)) {
    assert_true(g_get_monotonic_time() < end);
    g_main_context_iteration(NULL, TRUE);
  }
  drive_settle();
}

/* --- folders compared --- */

static void
list_files(const char *path, const char *below, GPtrArray *names)
{
  g_autofree char *in = g_build_filename(path, below, NULL);
  g_autoptr(GDir) dir = g_dir_open(in, 0, NULL);
  assert_non_null(dir);
  for (const char *name; (name = g_dir_read_name(dir)) != NULL;) {
    g_autofree char *full = g_build_filename(in, name, NULL);
    g_autofree char *relative = g_build_filename(below, name, NULL);
    if (g_file_test(full, G_FILE_TEST_IS_DIR))
      list_files(path, relative, names);
    else
      g_ptr_array_add(names, g_steal_pointer(&relative));
  }
}

static int
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static GPtrArray *
files_of(const char *path)
{
  GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
  list_files(path, "", names);
  g_ptr_array_sort(names, compare_names);
  return names;
}

static void
assert_same_folders(const char *a, const char *b, guint files)
{
  g_autoptr(GPtrArray) one = files_of(a), two = files_of(b);
  assert_int_equal(one->len, files);
  assert_int_equal(two->len, files);
  for (guint i = 0; i < files; i++) {
    g_autofree char *first = g_build_filename(a, one->pdata[i], NULL);
    g_autofree char *second = g_build_filename(b, two->pdata[i], NULL);
    g_autofree char *left = NULL, *right = NULL;
    gsize left_size, right_size;
    assert_string_equal(one->pdata[i], two->pdata[i]);
    assert_true(g_file_get_contents(first, &left, &left_size, NULL));
    assert_true(g_file_get_contents(second, &right, &right_size, NULL));
    if (left_size != right_size || memcmp(left, right, left_size) != 0)
      fail_msg("%s differs", first);
  }
}

/* Runs what the dialog says the command line would be, with another folder. */
static void
run_command(GtkWidget *dialog, const char *into)
{
  g_autofree char *line =
      deal_form_dup_command(DOORSHEET_DEAL_FORM(find_type(dialog, DEAL_FORM_TYPE)));
  g_auto(GStrv) words = NULL;
  int n = 0;
  assert_non_null(line);
  assert_true(g_shell_parse_argv(line, &n, &words, NULL));
  assert_string_equal(words[n - 2], "-o");
  g_free(words[n - 1]);
  words[n - 1] = g_strdup(into);
  g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
  if (command_run(n, (const char *const *)words, out, err) != COMMAND_SOUND)
    fail_msg("%s: %s", line, err->str);
}

static void
marked_faults_are_dealt_as_by_the_command_line(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "lesson-taps.doorsheet");
  g_autofree char *here = g_build_filename(folder, "marked here", NULL);
  g_autofree char *there = g_build_filename(folder, "marked there", NULL);
  GtkWidget *dialog = open_dialog(window);
  count(dialog, "Versions", 3);
  write_in(dialog, "Seed", "7");
  write_in(dialog, "Folder", here);
  run_command(dialog, there);
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  assert_same_folders(here, there, 3 * 4 + 2);
  g_autofree char *text = g_strdup_printf("3 versions are dealt (3 easy). They are in %s.", here);
  drive_find(dialog, GTK_TYPE_LABEL, text);
  drive_find(dialog, GTK_TYPE_BUTTON, "Show the folder");
  drive_press(dialog, "Close");
  drive_close(window);
}

static void
the_catalogue_is_dealt_as_by_the_command_line(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "pump-208.doorsheet");
  g_autofree char *here = g_build_filename(folder, "dealt-here", NULL);
  g_autofree char *there = g_build_filename(folder, "dealt-there", NULL);
  GtkWidget *dialog = open_dialog(window);
  choose(dialog, "Faults from", 1);
  choose(dialog, "Topic", 1 + FAULT_PROTECTION);
  choose(dialog, "None harder than", FAULT_MEDIUM);
  choose(dialog, "Paper", 2);
  count(dialog, "Versions", 2);
  count(dialog, "Faults in each", 2);
  write_in(dialog, "Seed", "18446744073709551615");
  write_in(dialog, "Title of the lesson", "Fuses & breakers, \"first\" day");
  write_in(dialog, "Folder", here);
  run_command(dialog, there);
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  assert_same_folders(here, there, 2 * 4 + 2);
  drive_press(dialog, "Close");
  drive_close(window);
}

static void
nothing_is_written_over_unasked(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "lesson-taps.doorsheet");
  g_autofree char *here = g_build_filename(folder, "twice", NULL);
  g_autofree char *grading = g_build_filename(here, "grading.csv", NULL);
  assert_int_equal(g_mkdir(here, 0777), 0);
  assert_true(g_file_set_contents(grading, "mine", -1, NULL));
  GtkWidget *dialog = open_dialog(window);
  write_in(dialog, "Folder", here);
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  g_autofree char *kept = NULL, *replaced = NULL;
  assert_true(g_file_get_contents(grading, &kept, NULL, NULL));
  assert_string_equal(kept, "mine");
  g_autoptr(GPtrArray) alone = files_of(here);
  assert_int_equal(alone->len, 1); /* nor is anything written beside it */
  GtkWidget *over = drive_find(dialog, GTK_TYPE_BUTTON, "Write over what is there");
  /* Another order is asked about anew. */
  write_in(dialog, "Seed", "2");
  assert_false(gtk_widget_get_visible(over));
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  drive_press(dialog, "Write over what is there");
  wait_for_end(dialog);
  assert_true(g_file_get_contents(grading, &replaced, NULL, NULL));
  assert_string_not_equal(replaced, "mine");
  drive_press(dialog, "Close");
  drive_close(window);
}

static void
only_what_is_wanted_is_written(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "lesson-taps.doorsheet");
  g_autofree char *here = g_build_filename(folder, "some", NULL);
  GtkWidget *dialog = open_dialog(window);
  static const char *const off[] = {"Student sheets, SVG and PDF", "Answer keys, PDF",
                                    "Grading sheet, CSV", "Proof of fairness"};
  write_in(dialog, "Folder", here);
  for (gsize i = 0; i < G_N_ELEMENTS(off); i++) {
    GtkWidget *label = drive_find(dialog, GTK_TYPE_LABEL, off[i]);
    GtkWidget *check = gtk_widget_get_ancestor(label, GTK_TYPE_CHECK_BUTTON);
    gtk_check_button_set_active(GTK_CHECK_BUTTON(check), FALSE);
  }
  assert_null(deal_form_dup_command(DOORSHEET_DEAL_FORM(find_type(dialog, DEAL_FORM_TYPE))));
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  g_autoptr(GPtrArray) files = files_of(here);
  assert_int_equal(files->len, 1);
  assert_string_equal(files->pdata[0], "student/version-01.doorsheet");
  drive_press(dialog, "Close");
  drive_close(window);
}

static void
errors_stand_where_they_are_made(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "lesson-taps.doorsheet");
  GtkWidget *dialog = open_dialog(window);
  GtkWidget *deal = drive_find(dialog, GTK_TYPE_BUTTON, "Deal");
  write_in(dialog, "Seed", "seven");
  assert_false(gtk_widget_get_sensitive(deal));
  write_in(dialog, "Seed", "7");
  assert_true(gtk_widget_get_sensitive(deal));
  write_in(dialog, "Folder", "somewhere");
  drive_press(dialog, "Deal");
  drive_find(dialog, GTK_TYPE_LABEL, "Write the whole path of the folder, or choose one.");
  /* More versions than four marks give, and a folder that cannot be. */
  g_autofree char *many = g_build_filename(folder, "many", NULL);
  write_in(dialog, "Folder", many);
  count(dialog, "Versions", 9);
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  assert_false(g_file_test(many, G_FILE_TEST_EXISTS));
  g_autofree char *file = g_build_filename(folder, "a-file", NULL);
  g_autofree char *inside = g_build_filename(file, "set", NULL);
  assert_true(g_file_set_contents(file, "", 0, NULL));
  count(dialog, "Versions", 1);
  write_in(dialog, "Folder", inside);
  drive_press(dialog, "Deal");
  wait_for_end(dialog);
  g_autofree char *why =
      g_strdup_printf("%s: the folder cannot be made: Not a directory. Choose another.", inside);
  drive_find(dialog, GTK_TYPE_LABEL, why);
  drive_press(dialog, "Close");
  drive_close(window);
}

typedef struct {
  bool ended, cancelled;
} End;

static void
on_end(const Deal *deal, const GError *error, gpointer data)
{
  End *end = data;
  end->ended = true;
  end->cancelled = deal == NULL && g_error_matches(error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

static void
dealing_is_stopped_and_leaves_the_main_loop_free(void **state)
{
  (void)state;
  g_autofree char *path = sample("pump-208.doorsheet");
  g_autofree char *into = g_build_filename(folder, "stopped", NULL);
  g_autoptr(Document) master = document_read(path, parts_catalog(), NULL);
  DealOrder order = deal_order_default;
  const HandoutOptions options = {0};
  End end = {0};
  order.versions = 500; /* pairs enough that no machine is done with them at once */
  order.faults = 2;
  DealJob *job = deal_job_new(master, &order, into, &options, NULL, on_end, &end);
  guint turns = 0;
  for (const gint64 until = g_get_monotonic_time() + 100 * 1000; g_get_monotonic_time() < until;
       turns++)
    g_main_context_iteration(NULL, FALSE);
  assert_false(end.ended);
  assert_true(turns > 100); /* nothing of it runs here */
  deal_job_cancel(job);
  while (!end.ended)
    g_main_context_iteration(NULL, TRUE);
  assert_true(end.cancelled);
  assert_false(g_file_test(into, G_FILE_TEST_EXISTS));
  deal_job_free(job);
  /* Freed while it runs: nobody is called. */
  end.ended = false;
  job = deal_job_new(master, &order, into, &options, NULL, on_end, &end);
  deal_job_free(job);
  for (const gint64 until = g_get_monotonic_time() + G_USEC_PER_SEC;
       g_get_monotonic_time() < until;)
    g_main_context_iteration(NULL, FALSE);
  assert_false(end.ended);
}

static void
a_stopped_dialog_says_so_and_closes(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "pump-208.doorsheet");
  g_autofree char *into = g_build_filename(folder, "dialog-stopped", NULL);
  GtkWidget *dialog = open_dialog(window);
  count(dialog, "Versions", 400);
  choose(dialog, "Faults from", 1);
  count(dialog, "Faults in each", 2);
  write_in(dialog, "Folder", into);
  drive_press(dialog, "Deal");
  drive_press(dialog, "Stop");
  wait_for_end(dialog);
  drive_find(dialog, GTK_TYPE_LABEL,
             "Stopped. Versions that were written before stay in the folder.");
  drive_press(dialog, "Deal");
  g_object_add_weak_pointer(G_OBJECT(dialog), (gpointer *)&dialog);
  gtk_window_close(GTK_WINDOW(dialog)); /* while it deals */
  drive_settle();
  assert_null(dialog);
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  folder = g_dir_make_tmp("doorsheet-dealing-XXXXXX", NULL);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(marked_faults_are_dealt_as_by_the_command_line),
      cmocka_unit_test(the_catalogue_is_dealt_as_by_the_command_line),
      cmocka_unit_test(nothing_is_written_over_unasked),
      cmocka_unit_test(only_what_is_wanted_is_written),
      cmocka_unit_test(errors_stand_where_they_are_made),
      cmocka_unit_test(dealing_is_stopped_and_leaves_the_main_loop_free),
      cmocka_unit_test(a_stopped_dialog_says_so_and_closes),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_autofree char *quoted = g_shell_quote(folder);
  g_autofree char *command = g_strdup_printf("rm -r %s", quoted);
  failed += g_spawn_command_line_sync(command, NULL, NULL, NULL, NULL) ? 0 : 1;
  g_free(folder);
  g_object_unref(application);
  return failed;
}
