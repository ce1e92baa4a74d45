/* SPDX-License-Identifier: MIT */
/* The diagram as a list: what its rows say, that list and sheet follow each other, that an edit
 * touches only the rows it changed, and that thousands of devices cost no more than what is on the
 * screen. */
#include "drive.h"

#include "canvas/listing.h"
#include "canvas/listing_rows.h"
#include <string.h>

static GtkApplication *application;

static GtkWidget *
first_of(GtkWidget *widget, GType type)
{
  if (g_type_is_a(G_OBJECT_TYPE(widget), type))
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    GtkWidget *found = first_of(child, type);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static guint
count_of(GtkWidget *widget, GType type)
{
  guint n = g_type_is_a(G_OBJECT_TYPE(widget), type);
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    n += count_of(child, type);
  return n;
}

static GtkListView *
shown_list(DoorsheetWindow *window)
{
  if (first_of(GTK_WIDGET(window), LISTING_TYPE) == NULL ||
      !gtk_widget_get_mapped(first_of(GTK_WIDGET(window), LISTING_TYPE)))
    drive_action(window, "list");
  drive_settle();
  GtkWidget *view = first_of(GTK_WIDGET(window), GTK_TYPE_LIST_VIEW);
  assert_non_null(view);
  assert_true(gtk_widget_get_mapped(view));
  return GTK_LIST_VIEW(view);
}

static GtkSingleSelection *
chosen_of(GtkListView *view)
{
  return GTK_SINGLE_SELECTION(gtk_list_view_get_model(view));
}

static ListingRows *
rows_of(GtkListView *view)
{
  return DOORSHEET_LISTING_ROWS(gtk_single_selection_get_model(chosen_of(view)));
}

static void
assert_row(ListingRows *rows, guint at, const char *wanted)
{
  const ListingRow *row = listing_rows_get(rows, at);
  assert_non_null(row);
  g_autofree char *text = listing_rows_dup_text(rows, row);
  if (strstr(text, wanted) == NULL)
    fail_msg("row %u says \"%s\", not \"%s\"", at, text, wanted);
}

/* Two fuses, a load, a conductor; nothing selected. */
static DoorsheetWindow *
small_sheet(void)
{
  DoorsheetWindow *window = drive_small_sheet(application);
  session_select_nothing(window_get_session(window));
  return window;
}

typedef struct {
  guint signals, removed, added;
} Tally;

static void
on_items(GListModel *model, guint at, guint removed, guint added, Tally *tally)
{
  (void)model;
  (void)at;
  tally->signals++;
  tally->removed += removed;
  tally->added += added;
}

static void
rows_say_what_is_drawn(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  ListingRows *rows = rows_of(shown_list(window));
  GListModel *model = G_LIST_MODEL(rows);
  assert_int_equal(g_list_model_get_n_items(model), 3);
  assert_row(rows, 0, "FU1, Fuse");
  assert_row(rows, 1, "FU2, Fuse");
  assert_row(rows, 2, "LD1, Load");
  guint fu1, landing;
  assert_true(listing_rows_find_device(rows, "FU1", &fu1));
  listing_rows_set_open(rows, fu1, true);
  guint key = document_conductor(drive_document(window), 0)->key;
  assert_true(listing_rows_find_conductor(rows, key, &landing));
  assert_row(rows, landing, "2, ");
  assert_row(rows, landing, "to LD1.1 by ");
  assert_row(rows, landing - 1, "1, ");
  assert_row(rows, landing - 1, "nothing landed");
  assert_int_equal(listing_rows_get(rows, landing + 1)->kind, LISTING_DEVICE);
  listing_rows_set_open(rows, fu1, false);
  assert_int_equal(g_list_model_get_n_items(model), 3);
  drive_close(window);
}

/* A finding of a device is a row with the words of the clipboard, and goes when it is cleared. */
static void
findings_come_and_go(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "faulty-wrong-tap.doorsheet");
  Session *session = window_get_session(window);
  ListingRows *rows = rows_of(shown_list(window));
  guint at;
  assert_true(listing_rows_find_device(rows, "T1", &at));
  assert_row(rows, at, "2 findings, the gravest a DANGER");
  listing_rows_set_open(rows, at, true);
  const ListingRow *first = listing_rows_get(rows, at + 1);
  assert_int_equal(first->kind, LISTING_FINDING);
  const GPtrArray *findings = session_get_result(session)->inspection->findings;
  guint told = 0;
  for (guint i = 0; i < findings->len; i++) {
    const Finding *finding = findings->pdata[i];
    told += strstr(first->finding, finding->message) != NULL;
  }
  assert_int_equal(told, 1);
  /* The remedy of the gravest one at the transformer clears both. */
  drive_action(window, "next-finding");
  drive_action(window, "next-finding");
  drive_action(window, "remedy");
  drive_settle();
  assert_int_equal(listing_rows_get(rows, at + 1)->kind, LISTING_LANDING);
  g_autofree char *text = listing_rows_dup_text(rows, listing_rows_get(rows, at));
  assert_null(strstr(text, "finding"));
  drive_close(window);
}

static void
list_and_sheet_follow_each_other(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  GtkListView *view = shown_list(window);
  GtkSingleSelection *chosen = chosen_of(view);
  gtk_single_selection_set_selected(chosen, 1);
  assert_string_equal(session_get_selected_devices(session)[0], "FU2");
  session_select_device(session, "LD1", false);
  assert_int_equal(gtk_single_selection_get_selected(chosen), 2);
  guint32 key = document_conductor(drive_document(window), 0)->key;
  session_select_conductor(session, key, false);
  const ListingRow *row = gtk_single_selection_get_selected_item(chosen);
  assert_int_equal(row->conductor, key);
  session_select_nothing(session);
  assert_int_equal(gtk_single_selection_get_selected(chosen), GTK_INVALID_LIST_POSITION);
  guint at;
  assert_true(listing_rows_find_conductor(rows_of(view), key, &at));
  gtk_single_selection_set_selected(chosen, at);
  guint n;
  assert_int_equal(session_get_selected_conductors(session, &n)[0], key);
  assert_int_equal(n, 1);
  drive_close(window);
}

/* Rows that stay are the same objects, and what the list hears of is only what changed. */
static void
an_edit_changes_only_its_rows(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  ListingRows *rows = rows_of(shown_list(window));
  guint at;
  assert_true(listing_rows_find_device(rows, "LD1", &at));
  listing_rows_set_open(rows, at, true);
  ListingRow *first = listing_rows_get(rows, 0), *load = listing_rows_get(rows, at);
  Tally tally = {0};
  g_signal_connect(rows, "items-changed", G_CALLBACK(on_items), &tally);
  session_select_device(session, "FU2", false);
  drive_action(window, "delete");
  drive_settle();
  assert_int_equal(tally.removed - tally.added, 1);
  assert_ptr_equal(listing_rows_get(rows, 0), first);
  assert_true(listing_rows_find_device(rows, "LD1", &at));
  assert_ptr_equal(listing_rows_get(rows, at), load);
  assert_true(load->open);
  drive_action(window, "undo");
  drive_settle();
  assert_int_equal(tally.removed, tally.added);
  assert_row(rows, 1, "FU2, Fuse");
  drive_close(window);
}

/* A sheet of so many ground lugs in one edit. Not inspected: this is about the list. */
static void
place_many(Session *session, guint n)
{
  session_set_held(session, true);
  PartCatalog catalog = document_catalog(session_get_document(session));
  const PartKind *kind = part_catalog_find(catalog, "ground");
  assert_non_null(kind);
  Change *change = change_new("many");
  for (guint i = 0; i < n; i++) {
    g_autofree char *id = g_strdup_printf("GRD%u", i + 1);
    g_autoptr(Device) device = device_new(kind, id);
    device->placement.at =
        (Point){10 + 20.0 * (i % 100), 10 + 20.0 * (i / 100)}; /* apart: labels fit */
    change_device(change, NULL, device);
  }
  assert_true(session_edit(session, change, NULL));
}

static void
thousands_cost_what_is_seen(void **state)
{
  (void)state;
  const guint most = 10000;
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  place_many(session, most);
  GtkListView *view = shown_list(window);
  GListModel *model = G_LIST_MODEL(rows_of(view));
  assert_int_equal(g_list_model_get_n_items(model), most);
  /* GTK keeps about two hundred rows round what is seen. */
  assert_true(count_of(GTK_WIDGET(view), GTK_TYPE_LABEL) < 300);
  Tally tally = {0};
  g_signal_connect(model, "items-changed", G_CALLBACK(on_items), &tally);
  session_select_device(session, "GRD9000", false);
  drive_action(window, "delete");
  drive_settle();
  assert_int_equal(tally.removed, 1);
  assert_int_equal(tally.added, 0);
  drive_close(window);
}

static void
hidden_it_does_nothing(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  GtkListView *view = shown_list(window);
  GListModel *model = G_LIST_MODEL(rows_of(view));
  drive_action(window, "list"); /* the keyboard is there: folds it away */
  drive_settle();
  assert_false(gtk_widget_get_mapped(GTK_WIDGET(view)));
  Tally tally = {0};
  g_signal_connect(model, "items-changed", G_CALLBACK(on_items), &tally);
  session_select_device(session, "FU2", false);
  drive_action(window, "delete");
  drive_settle();
  assert_int_equal(tally.signals, 0);
  shown_list(window);
  assert_int_equal(g_list_model_get_n_items(model), 2);
  assert_row(rows_of(view), 1, "LD1, Load");
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rows_say_what_is_drawn),
      cmocka_unit_test(findings_come_and_go),
      cmocka_unit_test(list_and_sheet_follow_each_other),
      cmocka_unit_test(an_edit_changes_only_its_rows),
      cmocka_unit_test(thousands_cost_what_is_seen),
      cmocka_unit_test(hidden_it_does_nothing),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
