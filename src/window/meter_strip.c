/* SPDX-License-Identifier: MIT */
/* The meter: two probes, a clamp round the selected conductor, a dial for volts, amperes and ohms,
 * large digits, and what they mean. On volts, locked out, the ohms stand beside. */
#include "desk/template.h"
#include "solve/meter.h"

#include "base/language.h"
#include "desk/tip.h"
#include "window/panels.h"
#include <math.h>
#include <string.h>

#define NAMES_MOST 4000
/* Corner studies for the expected range are solved in the strip only on sheets this small. */
#define RANGE_MOST 200

struct _MeterStrip {
  GtkBox parent;
  GtkDropDown *red, *black;
  char *dial; /* one of the words below; never NULL */
  GtkStringList *names;
  GtkLabel *digits, *word, *detail, *ohms;
  Session *session;
  guint names_hash;
  bool updating;
};

G_DEFINE_FINAL_TYPE(MeterStrip, meter_strip, GTK_TYPE_BOX)

enum { PROPERTY_DIAL = 1, PROPERTY_COUNT };
static GParamSpec *properties[PROPERTY_COUNT];

#define DIAL_VOLTS "volts"
#define DIAL_AMPS "amps"
#define DIAL_OHMS "ohms"

#define LIFTED _("lifted")
#define EARTH "GND"

static GtkDropDown *
picker(MeterStrip *strip, ProbeColour probe)
{
  return probe == PROBE_RED ? strip->red : strip->black;
}

static char *
name_of(const Landing *landing)
{
  if (landing == NULL)
    return g_strdup(LIFTED);
  return landing->device == NULL ? g_strdup(EARTH)
                                 : g_strdup_printf("%s.%s", landing->device, landing->terminal);
}

static guint
position(MeterStrip *strip, const char *name)
{
  guint n = g_list_model_get_n_items(G_LIST_MODEL(strip->names));
  for (guint i = 0; i < n; i++)
    if (strcmp(gtk_string_list_get_string(strip->names, i), name) == 0)
      return i;
  return 0;
}

static void
show_probes(MeterStrip *strip)
{
  strip->updating = true;
  for (int p = 0; p < 2; p++) {
    g_autofree char *name = name_of(session_get_probe(strip->session, (ProbeColour)p));
    gtk_drop_down_set_selected(picker(strip, (ProbeColour)p), position(strip, name));
  }
  strip->updating = false;
}

static void
refill(MeterStrip *strip)
{
  const Document *document = session_get_document(strip->session);
  g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
  g_ptr_array_add(names, g_strdup(LIFTED));
  g_ptr_array_add(names, g_strdup(EARTH));
  guint hash = 5381;
  for (guint i = 0; i < document_device_count(document) && names->len < NAMES_MOST; i++) {
    const Device *device = document_device(document, i);
    for (guint t = 0; t < device_terminal_count(device); t++) {
      char *name = g_strdup_printf("%s.%s", device->id, device_terminal(device, t)->name);
      hash = hash * 33 + g_str_hash(name);
      g_ptr_array_add(names, name);
    }
  }
  g_ptr_array_add(names, NULL);
  if (hash == strip->names_hash)
    return;
  strip->names_hash = hash;
  strip->updating = true;
  gtk_string_list_splice(strip->names, 0, g_list_model_get_n_items(G_LIST_MODEL(strip->names)),
                         (const char *const *)names->pdata);
  strip->updating = false;
  show_probes(strip);
}

static bool
is_exercise(MeterStrip *strip)
{
  return sheet_is_exercise(document_sheet(session_get_document(strip->session)));
}

/* What the program knows beyond the digits is not for a student. */
static const char *
known(MeterStrip *strip, const char *text)
{
  return is_exercise(strip) ? "" : text;
}

static void
show(MeterStrip *strip, const char *digits, const char *word, const char *detail)
{
  gtk_label_set_text(strip->digits, digits);
  gtk_label_set_text(strip->word, word);
  gtk_label_set_text(strip->detail, detail);
}

static void
show_range(MeterStrip *strip, const Solution *solution, guint a, guint b)
{
  ExpectedReading reading = {0};
  if (document_device_count(session_get_document(strip->session)) > RANGE_MOST ||
      !expected_reading_between(solution->circuit, solution, a, b, &expected_variation_default,
                                &reading, NULL))
    return;
  g_autofree char *range = quantity_display_range(reading.low, reading.high, UNIT_VOLT, 4);
  g_autofree char *text = g_strdup_printf(_("expect %s"), range);
  if (reading.state == READING_LIVE)
    gtk_label_set_text(strip->detail, text);
  expected_reading_clear(&reading);
}

/* Points without a fixed voltage to one another: what a high-impedance meter shows all the same. */
static void
show_loose(MeterStrip *strip, const Solution *solution, guint a, guint b, ReadingState state)
{
  MeterReading reading = {0};
  if (!meter_volts(solution->circuit, solution, a, b, METER_HIGH_IMPEDANCE, &reading, NULL)) {
    show(strip, "- - - V", reading_state_word(state), _("no reading can be told"));
    return;
  }
  g_autofree char *text = meter_reading_text(&reading);
  show(strip, text, reading.state == METER_GHOST ? _("ghost") : reading_state_word(state),
       reading.note[0] != '\0' ? reading.note : _("no fixed voltage between these points"));
}

/* A student sees digits and no more: no state, no range, no ohms beside. Locked out by a
 * low-impedance tester, as the log has it. */
static bool
show_plain(MeterStrip *strip, const Solution *solution, guint a, guint b)
{
  MeterReading reading = {0};
  if (!is_exercise(strip))
    return false;
  MeterInput input =
      session_get_energized(strip->session) ? METER_HIGH_IMPEDANCE : METER_LOW_IMPEDANCE;
  g_autofree char *text = meter_volts(solution->circuit, solution, a, b, input, &reading, NULL)
                              ? meter_reading_text(&reading)
                              : g_strdup("- - - V");
  show(strip, text, "", "");
  return true;
}

static void
show_volts(MeterStrip *strip, const Solution *solution, guint a, guint b)
{
  Reading reading = solution_reading(solution, a, b);
  g_autofree char *digits = quantity_display(cabs(reading.volts), UNIT_VOLT, 4);
  switch (reading.state) {
  case READING_LIVE:
    show(strip, digits, _("live"), "");
    show_range(strip, solution, a, b);
    break;
  case READING_DEAD:
    show(strip, digits, _("dead"),
         session_get_energized(strip->session) ? _("no source reaches it")
                                               : _("prove it with a tested meter"));
    break;
  case READING_FLOATING:
  case READING_UNDEFINED:
    show_loose(strip, solution, a, b, reading.state);
    break;
  }
}

static void
show_ohms(MeterStrip *strip, const Solution *solution, guint a, guint b)
{
  if (session_get_energized(strip->session)) {
    gtk_label_set_text(strip->ohms, _("Ohms only when locked out"));
    return;
  }
  MeterReading reading = {0};
  if (!meter_ohms(solution->circuit, solution, a, b, &reading, NULL)) {
    gtk_label_set_text(strip->ohms, "");
    return;
  }
  g_autofree char *text = reading.state == METER_REFUSED ? g_strdup(_("Live: no ohms here"))
                                                         : meter_reading_text(&reading);
  gtk_label_set_text(strip->ohms, text);
  tip_set(GTK_WIDGET(strip->ohms), reading.note);
}

/* The conductor the clamp goes round: the one that is selected. */
static const Conductor *
clamped(MeterStrip *strip, Owner *owner)
{
  guint n;
  const guint32 *keys = session_get_selected_conductors(strip->session, &n);
  const Document *document = session_get_document(strip->session);
  for (guint i = 0; n == 1 && i < document_conductor_count(document); i++)
    if (document_conductor(document, i)->key == keys[0]) {
      *owner = (Owner){.kind = OWNER_CONDUCTOR, .index = i};
      return document_conductor(document, i);
    }
  return NULL;
}

static void
show_amps(MeterStrip *strip, const Solution *solution)
{
  Owner owner;
  const Conductor *conductor = clamped(strip, &owner);
  MeterReading reading = {0};
  g_autoptr(GError) error = NULL;
  if (conductor == NULL) {
    show(strip, "- - - A", "", _("Select one conductor: the clamp goes round it."));
  } else if (!meter_amps(solution->circuit, solution, owner, &reading, &error)) {
    show(strip, "- - - A", "", known(strip, error->message));
  } else {
    g_autofree char *text = meter_reading_text(&reading);
    g_autofree char *name = conductor_dup_name(conductor);
    g_autofree char *word = g_strdup_printf(_("clamp round %s"), name);
    show(strip, text, word, known(strip, reading.note));
  }
}

/* An ohmmeter feeds its own current: on a live circuit it reads wrong and may be destroyed in the
 * hand (common practice, no source). */
static void
warn_of_ohms(MeterStrip *strip)
{
  show(strip, "- - - \342\204\246", _("LIVE: no ohms"),
       _("Never on a live circuit: lock out (F5), prove it dead, then measure."));
  gtk_widget_add_css_class(GTK_WIDGET(strip->word), "problem");
}

static void
show_only_ohms(MeterStrip *strip, const Solution *solution, guint a, guint b)
{
  MeterReading reading = {0};
  g_autoptr(GError) error = NULL;
  if (!meter_ohms(solution->circuit, solution, a, b, &reading, &error)) {
    show(strip, "- - - \342\204\246", "", known(strip, error->message));
  } else if (reading.state == METER_REFUSED) {
    warn_of_ohms(strip);
  } else {
    g_autofree char *text = meter_reading_text(&reading);
    show(strip, text, reading.state == METER_OPEN ? known(strip, _("open")) : "",
         known(strip, reading.note));
  }
}

static bool
dial_is(MeterStrip *strip, const char *dial)
{
  return strcmp(strip->dial, dial) == 0;
}

static void
show_between_probes(MeterStrip *strip, const Solution *solution)
{
  const char *nothing = dial_is(strip, DIAL_OHMS) ? "- - - \342\204\246" : "- - - V";
  const Landing *red = session_get_probe(strip->session, PROBE_RED);
  const Landing *black = session_get_probe(strip->session, PROBE_BLACK);
  if (red == NULL || black == NULL) {
    show(strip, nothing, "", _("Touch two points with the probes."));
    return;
  }
  guint a = circuit_node_of_landing(solution->circuit, red);
  guint b = circuit_node_of_landing(solution->circuit, black);
  if (a == G_MAXUINT || b == G_MAXUINT) {
    show(strip, nothing, "", _("A probe touches nothing."));
  } else if (dial_is(strip, DIAL_OHMS)) {
    show_only_ohms(strip, solution, a, b);
  } else if (!show_plain(strip, solution, a, b)) {
    show_volts(strip, solution, a, b);
    show_ohms(strip, solution, a, b);
  }
}

static void
refresh(MeterStrip *strip)
{
  if (strip->session == NULL)
    return;
  const Solution *solution = session_get_solution(strip->session);
  gtk_label_set_text(strip->ohms, "");
  gtk_widget_remove_css_class(GTK_WIDGET(strip->word), "problem");
  if (dial_is(strip, DIAL_OHMS) && session_get_energized(strip->session))
    warn_of_ohms(strip); /* before anything is touched */
  else if (solution == NULL)
    show(strip, "- - -", "",
         session_is_fresh(strip->session)
             ? known(strip, _("The circuit could not be solved: see Check."))
             : _("Solving"));
  else if (dial_is(strip, DIAL_AMPS))
    show_amps(strip, solution);
  else
    show_between_probes(strip, solution);
}

static void
on_changed(Session *session, MeterStrip *strip)
{
  (void)session;
  refill(strip);
}

static void
on_probes(Session *session, MeterStrip *strip)
{
  (void)session;
  show_probes(strip);
  refresh(strip);
}

static void
on_refresh(Session *session, MeterStrip *strip)
{
  (void)session;
  refresh(strip);
}

static void
on_selection(Session *session, MeterStrip *strip)
{
  (void)session;
  if (dial_is(strip, DIAL_AMPS))
    refresh(strip);
}

static void
on_picked(GtkDropDown *list, GParamSpec *property, MeterStrip *strip)
{
  (void)property;
  guint at = gtk_drop_down_get_selected(list);
  if (strip->updating || strip->session == NULL || at == GTK_INVALID_LIST_POSITION)
    return;
  ProbeColour probe = list == strip->red ? PROBE_RED : PROBE_BLACK;
  const char *name = gtk_string_list_get_string(strip->names, at);
  g_auto(GStrv) parts = g_strsplit(name, ".", 2);
  if (strcmp(name, LIFTED) == 0)
    session_set_probe(strip->session, probe, NULL, NULL);
  else if (strcmp(name, EARTH) == 0)
    session_set_probe(strip->session, probe, NULL, EARTH);
  else
    session_set_probe(strip->session, probe, parts[0], parts[1]);
}

void
meter_strip_set_session(MeterStrip *strip, Session *session)
{
  strip->session = g_object_ref(session);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), strip, 0);
  g_signal_connect_object(session, "probes", G_CALLBACK(on_probes), strip, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), strip, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_refresh), strip, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_refresh), strip, 0);
  refill(strip);
  refresh(strip);
}

static void
meter_strip_dispose(GObject *object)
{
  g_clear_object(&DOORSHEET_METER_STRIP(object)->session);
  G_OBJECT_CLASS(meter_strip_parent_class)->dispose(object);
}

static void
meter_strip_finalize(GObject *object)
{
  g_free(DOORSHEET_METER_STRIP(object)->dial);
  G_OBJECT_CLASS(meter_strip_parent_class)->finalize(object);
}

static void
meter_strip_get_property(GObject *object, guint id, GValue *value, GParamSpec *spec)
{
  if (id == PROPERTY_DIAL)
    g_value_set_string(value, DOORSHEET_METER_STRIP(object)->dial);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID(object, id, spec);
}

static void
meter_strip_set_property(GObject *object, guint id, const GValue *value, GParamSpec *spec)
{
  static const char *const dials[] = {DIAL_VOLTS, DIAL_AMPS, DIAL_OHMS, NULL};
  MeterStrip *strip = DOORSHEET_METER_STRIP(object);
  const char *dial = id == PROPERTY_DIAL ? g_value_get_string(value) : NULL;
  if (id != PROPERTY_DIAL)
    G_OBJECT_WARN_INVALID_PROPERTY_ID(object, id, spec);
  if (dial == NULL || !g_strv_contains(dials, dial) || dial_is(strip, dial))
    return;
  g_free(strip->dial);
  strip->dial = g_strdup(dial);
  refresh(strip);
  g_object_notify_by_pspec(object, spec);
}

static void
meter_strip_class_init(MeterStripClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = meter_strip_dispose;
  G_OBJECT_CLASS(class)->finalize = meter_strip_finalize;
  G_OBJECT_CLASS(class)->get_property = meter_strip_get_property;
  G_OBJECT_CLASS(class)->set_property = meter_strip_set_property;
  properties[PROPERTY_DIAL] =
      g_param_spec_string("dial", NULL, NULL, DIAL_VOLTS,
                          G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY);
  g_object_class_install_properties(G_OBJECT_CLASS(class), PROPERTY_COUNT, properties);
  template_set(widget_class, "meter_strip.ui");
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, red);
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, black);
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, names);
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, digits);
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, word);
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, detail);
  gtk_widget_class_bind_template_child(widget_class, MeterStrip, ohms);
  gtk_widget_class_bind_template_callback(widget_class, on_picked);
}

static void
meter_strip_init(MeterStrip *strip)
{
  strip->dial = g_strdup(DIAL_VOLTS);
  gtk_widget_init_template(GTK_WIDGET(strip));
  for (int p = 0; p < 2; p++) {
    GtkExpression *text = gtk_property_expression_new(GTK_TYPE_STRING_OBJECT, NULL, "string");
    gtk_drop_down_set_expression(picker(strip, (ProbeColour)p), text);
    gtk_drop_down_set_enable_search(picker(strip, (ProbeColour)p), TRUE);
    gtk_expression_unref(text);
  }
}
