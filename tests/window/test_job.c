/* SPDX-License-Identifier: MIT */
/* The whole job in the window, from an empty sheet to an exported one and back: a damper
 * controller on a roof unit of the greenhouse, fed from 480 V as measured. */
#include "drive.h"

#include "diagram/document_file.h"
#include "figure/figure.h"
#include "parts/catalog.h"
#include <complex.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

static GtkApplication *application;

static const Document *
document_of(DoorsheetWindow *window)
{
  return session_get_document(window_get_session(window));
}

static void
measure(DoorsheetWindow *window)
{
  drive_action(window, "start-supply");
  assert_string_equal(window_get_page(window), "measure");
  drive_settle();
  drive_type(window, "L1 to L2", "486");
  drive_type(window, "L2 to L3", "484 V");
  drive_type(window, "L3 to L1", "487");
  drive_type(window, "L1 to GND", "281");
  drive_type(window, "L2 to GND", "280");
  drive_type(window, "L3 to GND", "280");
  /* The unit was added for the person. */
  assert_string_equal(drive_text(window, "L1 to L2"), "486 V");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "480Y/277 V, 3-phase, grounded wye");
}

static void
place_parts(DoorsheetWindow *window)
{
  drive_place(window, "Disconnect", (Point){60, 40});
  drive_place(window, "Fuse", (Point){97.5, 40});
  drive_place(window, "Fuse", (Point){97.5, 60});
  drive_place(window, "Transformer", (Point){150, 40});
  drive_place(window, "Load", (Point){220, 40});
  drive_place(window, "Ground lug", (Point){170, 95});
}

static void
select_device(DoorsheetWindow *window, const char *id)
{
  session_select_device(window_get_session(window), id, false);
  drive_action_text(window, "page", "land");
  drive_settle();
}

static void
enter_nameplates(DoorsheetWindow *window)
{
  for (int fuse = 1; fuse <= 2; fuse++) {
    g_autofree char *id = g_strdup_printf("FU%d", fuse);
    select_device(window, id);
    drive_type(window, "Rating", "0.4");
    drive_type(window, "Interrupting rating", "200 kA");
  }
  select_device(window, "S1");
  drive_type(window, "Available fault current", "10 kA");
  select_device(window, "LD1");
  drive_type(window, "Accepts", "22..28");
  drive_type(window, "Power", "40 VA");
  drive_type(window, "Power factor", "0.9");
  select_device(window, "T1");
  drive_type(window, "Regulation", "8 %");
  drive_type(window, "No-load rise", "6");
}

/* The lead of the transformer with these volts, "T1.H4". New string. */
static char *
lead(DoorsheetWindow *window, const char *winding, double volts)
{
  const Device *device = document_find_device(document_of(window), "T1");
  for (guint t = 0; t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    if (terminal->row < 0)
      continue;
    guint row = (guint)terminal->row;
    int f = field_index(device->kind->row_fields, device->kind->n_row_fields, "volts");
    int w = field_index(device->kind->row_fields, device->kind->n_row_fields, "winding");
    const char *name =
        device->kind->row_fields[w].choices[device_row_choice(device, row, (guint)w)];
    if (strcmp(name, winding) == 0 &&
        fabs(device_row_number(device, row, (guint)f, -1) - volts) < 0.5)
      return g_strdup_printf("T1.%s", terminal->name);
  }
  fail_msg("the transformer has no %s lead of %g V", winding, volts);
  return NULL;
}

static void
cap_lead(DoorsheetWindow *window, const char *name)
{
  guint n = document_device_count(document_of(window));
  Point at = drive_terminal(window, name);
  /* Two grid steps outside the lead; the cap's own terminal may lie anywhere on it. */
  drive_place(window, "Cap", (Point){at.x - 10, at.y});
  g_autofree char *cap = g_strdup(document_device(document_of(window), n)->id);
  drive_action(window, "mirror");
  g_autofree char *terminal = g_strdup_printf("%s.1", cap);
  drive_land(window, name, terminal);
}

static void
land(DoorsheetWindow *window)
{
  g_autofree char *hot = lead(window, "primary", 480);
  g_autofree char *common = lead(window, "primary", 0);
  g_autofree char *other_240 = lead(window, "primary", 240);
  g_autofree char *other_208 = lead(window, "primary", 208);
  g_autofree char *x2 = lead(window, "secondary", 24);
  g_autofree char *x1 = lead(window, "secondary", 0);
  drive_land(window, "S1.L1", "DISC1.L1");
  drive_land(window, "S1.L2", "DISC1.L2");
  drive_land(window, "DISC1.T1", "FU1.1");
  drive_land(window, "DISC1.T2", "FU2.1");
  drive_land(window, "FU1.2", hot);
  drive_land(window, "FU2.2", common);
  drive_land(window, x2, "LD1.1");
  drive_land(window, x1, "LD1.2");
  drive_land(window, "S1.GND", "GRD1.1");
  drive_land(window, "T1.FRAME", "GRD1.1");
  cap_lead(window, other_240);
  cap_lead(window, other_208);
}

/* The middle of the longest stretch of the conductor that starts at the terminal. */
static Point
middle_of_conductor(const Document *document, const char *from)
{
  Point best = {0, 0};
  double longest = 0;
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *name =
        g_strdup_printf("%s.%s", conductor->from.device, conductor->from.terminal);
    if (strcmp(name, from) != 0)
      continue;
    g_autoptr(GArray) route = figure_route(document, conductor);
    for (guint s = 0; s + 1 < route->len; s++) {
      Point a = g_array_index(route, Point, s), b = g_array_index(route, Point, s + 1);
      if (point_distance(a, b) <= longest)
        continue;
      longest = point_distance(a, b);
      best = point_snap((Point){(a.x + b.x) / 2, (a.y + b.y) / 2});
    }
  }
  assert_true(longest > 5);
  return best;
}

/* Grounds the secondary by letting go on a conductor: that makes a splice. */
static void
splice(DoorsheetWindow *window)
{
  const Document *document = document_of(window);
  guint devices = document_device_count(document);
  g_autofree char *x1 = lead(window, "secondary", 0);
  session_select_nothing(window_get_session(window));
  Point on = middle_of_conductor(document, x1);
  drive_drag(window, drive_terminal(window, "GRD1.1"), on);
  assert_int_equal(document_device_count(document), devices + 1);
  assert_int_equal(document_device(document, devices)->kind->role, ROLE_SPLICE);
}

static void
assert_no_finding(const Inspection *inspection)
{
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    if (finding->signal != SIGNAL_NOTICE)
      fail_msg("%s: %s", finding->check, finding->message);
  }
}

static void
meter(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  drive_action(window, "energize");
  assert_true(session_get_energized(session));
  drive_action(window, "probe-red");
  drive_click(window, drive_terminal(window, "LD1.1"));
  drive_action(window, "probe-black");
  drive_click(window, drive_terminal(window, "LD1.2"));
  drive_settle();
  const Solution *solution = session_get_solution(session);
  assert_non_null(solution);
  Reading reading = solution_reading(
      solution, circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_RED)),
      circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_BLACK)));
  assert_int_equal(reading.state, READING_LIVE);
  /* 486 V on a 480 V lead, 24 V secondary with 6 % no-load rise, 8 % regulation at 40 of 75 VA:
   * the load sees between its rated volts and the open volts 24 * 486/480 * 1.06. */
  assert_true(cabs(reading.volts) > 24.0 && cabs(reading.volts) < 24 * 486.0 / 480 * 1.06);
  g_autofree char *digits = quantity_display(cabs(reading.volts), UNIT_VOLT, 4);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, digits);
  drive_action(window, "energize");
  drive_settle();
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "LOCKED OUT");
  reading = solution_reading(
      session_get_solution(session),
      circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_RED)), 0);
  assert_int_equal(reading.state, READING_DEAD);
}

static void
measured(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  drive_action(window, "energize");
  drive_action_text(window, "page", "read");
  drive_settle();
  /* A field beside each expected reading; one agrees, one differs. */
  drive_type(window, "As measured, LD1.1 to LD1.2", "24.6");
  drive_type(window, "As measured, FU1.1 to FU1.2", "486");
  drive_settle();
  assert_int_equal(document_measured_count(session_get_document(session)), 2);
  GtkWidget *root = GTK_WIDGET(window);
  drive_find(root, GTK_TYPE_LABEL, "\342\234\223 agrees");
  drive_find(root, GTK_TYPE_LABEL, "\342\234\227 486 V too high");
  drive_action(window, "energize");
}

static void
export_and_reopen(DoorsheetWindow *window)
{
  g_autofree char *folder = g_dir_make_tmp("doorsheet-job-XXXXXX", NULL);
  g_autofree char *svg = g_build_filename(folder, "sheet.svg", NULL);
  g_autoptr(GError) error = NULL;
  if (!window_export_to(window, svg, &error))
    fail_msg("%s", error->message);
  g_autoptr(Document) again = document_read(svg, parts_catalog(), &error);
  if (again == NULL)
    fail_msg("%s", error->message);
  assert_true(document_equal(again, document_of(window)));
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(svg, &text, NULL, NULL));
  assert_non_null(strstr(text, ">T1<"));
  g_autofree char *path = g_build_filename(folder, "sheet.doorsheet", NULL);
  assert_true(session_save(window_get_session(window), path, &error));
  assert_false(session_get_modified(window_get_session(window)));
  g_unlink(svg);
  g_unlink(path);
  g_rmdir(folder);
}

static void
the_whole_job(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  g_autoptr(Document) start = document_snapshot(document_of(window));
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "What is the job today?");
  measure(window);
  place_parts(window);
  enter_nameplates(window);
  land(window);
  /* Before the secondary is grounded the sheet says so. */
  drive_settle();
  bool told = false;
  const GPtrArray *findings = session_get_result(session)->inspection->findings;
  for (guint i = 0; i < findings->len; i++)
    told |= strcmp(((const Finding *)findings->pdata[i])->check, "secondary-not-grounded") == 0;
  assert_true(told);
  splice(window);
  drive_settle();
  assert_true(session_is_fresh(session));
  assert_no_finding(session_get_result(session)->inspection);
  meter(window);
  measured(window);
  export_and_reopen(window);

  g_autoptr(Document) end = document_snapshot(document_of(window));
  guint steps = 0;
  while (document_can_undo(document_of(window))) {
    drive_action(window, "undo");
    steps++;
  }
  assert_true(steps > 30);
  assert_true(document_equal(document_of(window), start));
  for (guint i = 0; i < steps; i++)
    drive_action(window, "redo");
  assert_true(document_equal(document_of(window), end));
  drive_action(window, "undo");
  drive_close(window); /* asks about the change */
}

static void
a_file_opens_and_complains_kindly(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  g_autofree char *path =
      g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", "damper-480.doorsheet", NULL);
  window_open(window, path);
  drive_settle();
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) same = document_read(path, parts_catalog(), &error);
  assert_non_null(same);
  assert_true(document_equal(same, document_of(window)));
  assert_false(session_get_modified(window_get_session(window)));
  /* A bad quantity stays in its field with a reason and changes nothing. */
  select_device(window, "FU1");
  drive_type(window, "Rating", "forty");
  assert_false(session_get_modified(window_get_session(window)));
  assert_string_equal(drive_text(window, "Rating"), "forty");
  GtkWidget *entry = drive_find(GTK_WIDGET(window), FIELD_ENTRY_TYPE, "Rating");
  assert_true(
      gtk_widget_has_css_class(field_entry_get_editor(DOORSHEET_FIELD_ENTRY(entry)), "error"));
  drive_type(window, "Rating", "0.5 A");
  assert_true(session_get_modified(window_get_session(window)));
  drive_action(window, "undo");
  assert_false(session_get_modified(window_get_session(window)));
  drive_close(window);
}

static void
findings_show_their_place(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_sample(application, "faulty-wrong-tap.doorsheet");
  Session *session = window_get_session(window);
  assert_string_equal(window_get_page(window), "check"); /* where this job stands */
  drive_action(window, "next-finding");
  drive_settle();
  const Finding *first = session_get_result(session)->inspection->findings->pdata[0];
  const GPtrArray *shown = session_get_shown(session);
  assert_int_equal(shown->len, first->places->len);
  for (guint i = 0; i < shown->len; i++)
    assert_string_equal(shown->pdata[i], first->places->pdata[i]);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, signal_word(first->signal));
  drive_close(window);
}

static guint
times_found(const Inspection *inspection, const Finding *like)
{
  guint times = 0;
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    times +=
        strcmp(finding->check, like->check) == 0 && strcmp(finding->message, like->message) == 0;
  }
  return times;
}

static GtkWidget *
find_list(GtkWidget *root)
{
  GtkWidget *found = GTK_IS_LIST_BOX(root) ? root : NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = find_list(child);
  return found;
}

static GtkListBoxRow *
row_of(DoorsheetWindow *window, guint at)
{
  GtkWidget *list = find_list(GTK_WIDGET(window_get_check_page(window)));
  return gtk_list_box_get_row_at_index(GTK_LIST_BOX(list), (int)at);
}

static GtkWidget *
find_button(GtkWidget *root)
{
  if (GTK_IS_BUTTON(root) && g_strcmp0(gtk_button_get_label(GTK_BUTTON(root)), "Do it") == 0)
    return root;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = find_button(child);
  return found;
}

/* By its button, or chosen with F8 and done with Ctrl+Enter's action. */
static void
press_remedy(DoorsheetWindow *window, guint at, bool by_action)
{
  GtkWidget *button = find_button(GTK_WIDGET(row_of(window, at)));
  assert_non_null(button);
  assert_true(gtk_widget_get_focusable(button));
  if (by_action) {
    for (guint i = 0; i <= at; i++)
      drive_action(window, "next-finding");
    drive_action(window, "remedy");
  } else
    g_signal_emit_by_name(button, "clicked");
}

/* Every finding of a sheet that can be cleared by edits: the button clears it, undo brings the
 * sheet back to the byte. Those that cannot have no button. Returns how many were cleared. */
static guint
try_remedies(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  guint tried = 0;
  for (guint i = 0; i < session_get_result(session)->inspection->findings->len; i++) {
    g_autoptr(SessionResult) before = session_result_ref(session_get_result(session));
    const Finding *finding = before->inspection->findings->pdata[i];
    bool offered = inspection_has_remedy(before->inspection, finding);
    assert_true((find_button(GTK_WIDGET(row_of(window, i))) != NULL) == offered);
    if (!offered)
      continue;
    g_autoptr(GBytes) was = document_write_memory(document_of(window));
    press_remedy(window, i, i % 2 == 1);
    drive_settle();
    assert_true(session_is_fresh(session));
    const Inspection *after = session_get_result(session)->inspection;
    assert_true(times_found(after, finding) < times_found(before->inspection, finding));
    g_autofree char *title = g_strdup_printf("Remedy: %s", finding->title);
    assert_string_equal(document_undo_title(document_of(window)), title);
    g_autoptr(GBytes) changed = document_write_memory(document_of(window));
    assert_false(g_bytes_equal(changed, was));
    drive_action(window, "undo");
    drive_settle();
    g_autoptr(GBytes) again = document_write_memory(document_of(window));
    assert_true(g_bytes_equal(again, was));
    after = session_get_result(session)->inspection;
    assert_int_equal(times_found(after, finding), times_found(before->inspection, finding));
    tried++;
  }
  return tried;
}

static void
remedies_are_done_by_a_button(void **state)
{
  (void)state;
  static const char *const names[] = {"faulty-wrong-tap.doorsheet", "faulty-not-grounded.doorsheet",
                                      "faulty-open-lead.doorsheet", "faulty-overload.doorsheet",
                                      "faulty-white-hot.doorsheet"};
  guint tried = 0;
  for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
    DoorsheetWindow *window = drive_sample(application, names[i]);
    drive_action_text(window, "page", "check");
    drive_settle();
    tried += try_remedies(window);
    drive_close(window);
  }
  print_message("%u remedies done and undone\n", tried);
  assert_true(tried >= 4);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_whole_job),
      cmocka_unit_test(a_file_opens_and_complains_kindly),
      cmocka_unit_test(findings_show_their_place),
      cmocka_unit_test(remedies_are_done_by_a_button),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
