/* SPDX-License-Identifier: MIT */
/* The meter and its dial, the probes, and the colours things are drawn in. */
#include "drive.h"

#include "canvas/canvas_private.h"
#include "canvas/verdict.h"
#include "figure/figure.h"
#include "solve/meter.h"
#include "window/panels.h"
#include <math.h>
#include <string.h>

static GtkApplication *application;

static DoorsheetWindow *
sample_sheet(const char *name)
{
  DoorsheetWindow *window = drive_sample(application, name);
  assert_true(session_is_fresh(window_get_session(window)));
  return window;
}

static void
a_clamp_goes_round_the_selected_conductor(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("sensor-208.doorsheet");
  Session *session = window_get_session(window);
  drive_action_text(window, "meter", "amps");
  drive_action(window, "energize");
  session_select_nothing(session);
  drive_settle();
  GtkWidget *root = GTK_WIDGET(window);
  drive_find(root, GTK_TYPE_LABEL, "Select one conductor: the clamp goes round it.");
  guint at = drive_conductor_from(window, "FU1", "2");
  session_select_conductor(session, document_conductor(drive_document(window), at)->key, false);
  drive_settle();
  /* The load is 20 VA behind a transformer on 208 V: about a tenth of an ampere, and at least a
   * twentieth whatever the losses. */
  const Solution *solution = session_get_solution(session);
  MeterReading reading;
  assert_true(meter_amps(solution->circuit, solution, (Owner){.kind = OWNER_CONDUCTOR, .index = at},
                         &reading, NULL));
  assert_int_equal(reading.state, METER_READS);
  assert_true(reading.value > 0.05 && reading.value < 0.3);
  g_autofree char *text = meter_reading_text(&reading);
  drive_find(root, GTK_TYPE_LABEL, text);
  drive_action(window, "energize"); /* locked out: nothing flows */
  drive_settle();
  solution = session_get_solution(session);
  assert_true(meter_amps(solution->circuit, solution, (Owner){.kind = OWNER_CONDUCTOR, .index = at},
                         &reading, NULL));
  assert_true(reading.value == 0);
  g_autofree char *none = meter_reading_text(&reading);
  drive_find(root, GTK_TYPE_LABEL, none);
  drive_action_text(window, "meter", "volts");
  drive_close(window);
}

static void
ohms_are_warned_of_while_live(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("sensor-208.doorsheet");
  Session *session = window_get_session(window);
  session_set_probe(session, PROBE_RED, "T1", "X1");
  session_set_probe(session, PROBE_BLACK, "T1", "X2");
  drive_action_text(window, "meter", "ohms");
  drive_action(window, "energize");
  drive_settle();
  GtkWidget *root = GTK_WIDGET(window);
  GtkWidget *word = drive_find(root, GTK_TYPE_LABEL, "LIVE: no ohms");
  assert_true(gtk_widget_has_css_class(word, "problem"));
  drive_action(window, "energize");
  drive_settle();
  assert_false(gtk_widget_has_css_class(word, "problem"));
  const Solution *solution = session_get_solution(session);
  MeterReading reading;
  guint a = circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_RED));
  guint b = circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_BLACK));
  assert_true(meter_ohms(solution->circuit, solution, a, b, &reading, NULL));
  assert_int_equal(reading.state, METER_READS);
  g_autofree char *text = meter_reading_text(&reading);
  drive_find(root, GTK_TYPE_LABEL, text);
  drive_close(window);
}

static void
probes_touch_conductors(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  const Conductor *conductor = document_conductor(drive_document(window), 0);
  g_autoptr(GArray) route = figure_route(drive_document(window), conductor);
  Point a = g_array_index(route, Point, 0), b = g_array_index(route, Point, 1);
  session_select_nothing(session);
  drive_action(window, "probe-red");
  drive_click(window, (Point){(a.x + b.x) / 2, (a.y + b.y) / 2});
  assert_false(canvas_is_busy(window_get_canvas(window)));
  const Landing *red = session_get_probe(session, PROBE_RED);
  assert_non_null(red);
  assert_string_equal(red->device, "FU1");
  assert_string_equal(red->terminal, "2");
  /* On nothing the probe stays in hand; on a terminal it goes there. */
  drive_action(window, "probe-black");
  drive_click(window, (Point){20, 150});
  assert_true(canvas_is_busy(window_get_canvas(window)));
  assert_null(session_get_probe(session, PROBE_BLACK));
  drive_click(window, drive_terminal(window, "LD1.2"));
  assert_string_equal(session_get_probe(session, PROBE_BLACK)->terminal, "2");
  /* By keyboard: the selected conductor. */
  session_select_conductor(session, conductor->key, false);
  drive_action(window, "probe-black");
  drive_key(window, GDK_KEY_Return, 0);
  assert_string_equal(session_get_probe(session, PROBE_BLACK)->device, "FU1");
  drive_close(window);
}

static void
colours_follow_the_theme(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Canvas *canvas = window_get_canvas(window);
  drive_settle();
  assert_false(theme_dark(GTK_WIDGET(window)));
  assert_int_equal(canvas_palette(canvas), PALETTE_LIGHT);
  g_object_set(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", TRUE, NULL);
  for (int i = 0; i < 10; i++) /* colours may fade over */
    drive_settle();
  assert_int_equal(theme_palette(GTK_WIDGET(window)), PALETTE_DARK);
  assert_int_equal(canvas_palette(canvas), PALETTE_DARK);
  g_object_set(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", FALSE, NULL);
  for (int i = 0; i < 10; i++)
    drive_settle();
  assert_int_equal(canvas_palette(canvas), PALETTE_LIGHT);
  drive_close(window);
}

/* What is measured beside what is expected: the words say which way and how far. */
static void
verdicts_have_words(void **state)
{
  (void)state;
  static const struct {
    ReadingState state;
    double low, high, measured;
    Verdict verdict;
    const char *words;
  } volts[] = {
      {READING_LIVE, 111.6, 133.6, 120, VERDICT_AGREES, "agrees"},
      {READING_LIVE, 111.6, 133.6, 110.4, VERDICT_AGREES, "agrees"}, /* within the meter's own */
      {READING_LIVE, 111.6, 133.6, 100, VERDICT_DIFFERS, "11.6 V too low"},
      {READING_LIVE, 111.6, 133.6, 240, VERDICT_DIFFERS, "106 V too high"},
      {READING_LIVE, 111.6, 133.6, 0.3, VERDICT_DIFFERS, "dead, expected live"},
      {READING_DEAD, 0, 0, 0.4, VERDICT_AGREES, "agrees"},
      {READING_DEAD, 0, 0, 277, VERDICT_DIFFERS, "live, expected dead"},
      {READING_FLOATING, 0, 0, 40, VERDICT_NONE, "no fixed value to compare with"},
  };
  for (guint i = 0; i < G_N_ELEMENTS(volts); i++) {
    const ExpectedReading expected = {
        .state = volts[i].state, .low = volts[i].low, .high = volts[i].high};
    g_autofree char *words = NULL;
    assert_int_equal(verdict_of_volts(&expected, volts[i].measured, &words), volts[i].verdict);
    assert_string_equal(words, volts[i].words);
  }
  static const struct {
    MeterState state;
    double expected, measured;
    Verdict verdict;
  } ohms[] = {
      {METER_READS, 12, 14, VERDICT_AGREES},    {METER_READS, 0, 0.8, VERDICT_AGREES},
      {METER_READS, 12, 60, VERDICT_DIFFERS},   {METER_READS, 12, 1, VERDICT_DIFFERS},
      {METER_READS, 12, 40e6, VERDICT_DIFFERS}, {METER_OPEN, 0, 40e6, VERDICT_AGREES},
      {METER_OPEN, 0, 12, VERDICT_DIFFERS},     {METER_OPEN, 0, 5e6, VERDICT_AGREES},
      {METER_REFUSED, 0, 12, VERDICT_NONE},
  };
  for (guint i = 0; i < G_N_ELEMENTS(ohms); i++) {
    const MeterReading expected = {.state = ohms[i].state, .value = ohms[i].expected};
    g_autofree char *words = NULL;
    assert_int_equal(verdict_of_ohms(&expected, ohms[i].measured, &words), ohms[i].verdict);
  }
}

/* What the probes touch is pinned under a number, unpinned by the same command, and undone. */
static void
probes_are_pinned(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  drive_action(window, "pin"); /* nothing is touched: nothing is pinned */
  assert_int_equal(document_measured_count(drive_document(window)), 0);
  session_set_probe(session, PROBE_RED, "FU1", "2");
  session_set_probe(session, PROBE_BLACK, NULL, "GND");
  drive_action(window, "pin");
  drive_settle();
  assert_int_equal(document_measured_count(drive_document(window)), 1);
  assert_string_equal(measured_point(document_measured(drive_document(window), 0)), "TP1");
  drive_action_text(window, "page", "read");
  drive_settle();
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "TP1");
  drive_action(window, "pin");
  drive_settle();
  assert_int_equal(document_measured_count(drive_document(window)), 0);
  drive_action(window, "undo");
  assert_string_equal(measured_point(document_measured(drive_document(window), 0)), "TP1");
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_clamp_goes_round_the_selected_conductor),
      cmocka_unit_test(ohms_are_warned_of_while_live),
      cmocka_unit_test(probes_touch_conductors),
      cmocka_unit_test(colours_follow_the_theme),
      cmocka_unit_test(verdicts_have_words),
      cmocka_unit_test(probes_are_pinned),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
