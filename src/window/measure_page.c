/* SPDX-License-Identifier: MIT */
/* The six readings of a supply, and what system they say it is. */
#include "desk/template.h"
#include "window/panels.h"

#include "base/language.h"
#include <math.h>
#include <string.h>

#define READINGS 6

struct _MeasurePage {
  GtkBox parent;
  GtkWidget *nothing; /* no supply yet */
  GtkWidget *content;
  GtkDropDown *supplies;
  GtkStringList *supply_names;
  GtkWidget *readings;
  GtkLabel *system;
  GtkLabel *facts;
  GtkWidget *notes;
  GtkDrawingArea *phasors;
  Session *session;
  char *supply; /* id of the supply shown */
  FieldEntry *entries[READINGS];
  char *pairs[READINGS]; /* "L1 L2" */
  guint n_pairs;
  bool updating;
  SupplySystem derived;
  bool has_derived;
};

G_DEFINE_FINAL_TYPE(MeasurePage, measure_page, GTK_TYPE_BOX)

static const Device *
shown_supply(MeasurePage *page)
{
  return page->supply != NULL
             ? document_find_device(session_get_document(page->session), page->supply)
             : NULL;
}

/* --- readings are rows of the supply: between and value --- */

static bool
same_pair(const char *a, const char *b)
{
  if (strcmp(a, b) == 0)
    return true;
  g_auto(GStrv) p = g_strsplit(a, " ", 2), q = g_strsplit(b, " ", 2);
  return p[0] != NULL && p[1] != NULL && q[0] != NULL && q[1] != NULL && strcmp(p[0], q[1]) == 0 &&
         strcmp(p[1], q[0]) == 0;
}

static int
row_of_pair(const Device *device, const char *pair)
{
  int between = field_index(device->kind->row_fields, device->kind->n_row_fields, "between");
  for (guint r = 0; between >= 0 && r < device_row_count(device); r++)
    if (same_pair(device_row_text(device, r, (guint)between), pair))
      return (int)r;
  return -1;
}

static void
on_commit(FieldEntry *entry, const char *text, MeasurePage *page)
{
  const Device *device = shown_supply(page);
  const char *pair = g_object_get_data(G_OBJECT(entry), "pair");
  if (device == NULL)
    return;
  g_autoptr(GError) error = NULL;
  g_autoptr(Device) copy = device_copy(device);
  int row = row_of_pair(device, pair);
  bool ok = true;
  if (row < 0) {
    device_add_row(copy);
    row = (int)device_row_count(copy) - 1;
    ok = device_set_row(copy, (guint)row, "between", pair, &error);
  }
  ok = ok && device_set_row(copy, (guint)row, "value", text, &error) && device_derive(copy, &error);
  if (ok) {
    g_autofree char *title = g_strdup_printf(_("Reading %s"), pair);
    Change *change = change_new(title);
    change_device(change, device, copy);
    ok = session_try(page->session, change, &error);
  }
  if (!ok)
    field_entry_set_error(entry, error->message);
}

static void
add_reading(MeasurePage *page, const char *a, const char *b)
{
  if (page->n_pairs >= READINGS)
    return;
  const Device *device = shown_supply(page);
  int value = device != NULL
                  ? field_index(device->kind->row_fields, device->kind->n_row_fields, "value")
                  : -1;
  if (value < 0)
    return;
  char *pair = g_strdup_printf("%s %s", a, b);
  g_autofree char *title = g_strdup_printf(_("%s to %s"), a, b);
  GtkWidget *entry = field_entry_new(&device->kind->row_fields[value], title, false);
  g_object_set_data_full(G_OBJECT(entry), "pair", g_strdup(pair), g_free);
  g_signal_connect(entry, "commit", G_CALLBACK(on_commit), page);
  gtk_box_append(GTK_BOX(page->readings), entry);
  page->entries[page->n_pairs] = DOORSHEET_FIELD_ENTRY(entry);
  page->pairs[page->n_pairs++] = pair;
}

static void
rebuild_readings(MeasurePage *page)
{
  panel_clear(page->readings);
  for (guint i = 0; i < page->n_pairs; i++)
    g_clear_pointer(&page->pairs[i], g_free);
  page->n_pairs = 0;
  const Device *device = shown_supply(page);
  if (device == NULL)
    return;
  const char *lines[3] = {NULL};
  const char *earth = "GND", *neutral = NULL;
  guint n = 0;
  for (guint t = 0; t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    if (terminal->role == TERMINAL_LINE && n < 3)
      lines[n++] = terminal->name;
    else if (terminal->role == TERMINAL_EARTH)
      earth = terminal->name;
    else if (terminal->role == TERMINAL_NEUTRAL)
      neutral = terminal->name;
  }
  for (guint i = 0; n == 3 && i < 3; i++)
    add_reading(page, lines[i], lines[(i + 1) % 3]);
  if (n == 2)
    add_reading(page, lines[0], lines[1]);
  for (guint i = 0; i < n; i++)
    add_reading(page, lines[i], earth);
  if (n == 1 && neutral != NULL)
    add_reading(page, lines[0], neutral);
}

/* --- what they say --- */

static void
add_note(MeasurePage *page, const char *word, const char *text)
{
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  gtk_widget_add_css_class(box, "note");
  gtk_box_append(GTK_BOX(box), panel_label(word, "heading"));
  gtk_box_append(GTK_BOX(box), panel_label(text, NULL));
  gtk_box_append(GTK_BOX(page->notes), box);
}

static void
show_system(MeasurePage *page)
{
  const SupplySystem *system = &page->derived;
  panel_clear(page->notes);
  gtk_widget_queue_draw(GTK_WIDGET(page->phasors));
  gtk_widget_set_visible(GTK_WIDGET(page->phasors), page->has_derived &&
                                                        system->class_ != SYSTEM_UNKNOWN &&
                                                        system->class_ != SYSTEM_IMPOSSIBLE);
  if (!page->has_derived)
    return;
  gtk_label_set_text(page->system,
                     system->name[0] != '\0' ? system->name : supply_class_title(system->class_));
  g_autoptr(GString) facts = g_string_new(NULL);
  g_string_append_printf(facts, _("%u of %u readings entered."), system->readings_given,
                         page->n_pairs);
  if (!isnan(system->unbalance)) {
    g_string_append_c(facts, '\n');
    g_autofree char *unbalance = number_fixed(100 * system->unbalance, 1);
    g_string_append_printf(facts, _("Unbalance %s %% of the mean (NEMA MG 1)."), unbalance);
  }
  if (!isnan(system->negative_sequence)) {
    g_string_append_c(facts, '\n');
    g_autofree char *negative = number_fixed(100 * system->negative_sequence, 1);
    g_string_append_printf(facts, _("Negative sequence %s %%."), negative);
  }
  if (system->readings_given > 3) {
    g_string_append_c(facts, '\n');
    g_autofree char *within = number_fixed(100 * system->residual, 1);
    g_string_append_printf(facts, _("The readings fit together within %s %%."), within);
  }
  gtk_label_set_text(page->facts, facts->str);
  if (system->problem[0] != '\0')
    add_note(page, _("These readings cannot all be right"), system->problem);
  if (system->ambiguity[0] != '\0')
    add_note(page, _("Measure next"), system->ambiguity);
  if (system->lost_phase)
    add_note(page, _("A phase is missing"),
             _("Two lines read alike or one reads nothing: look for an "
               "open fuse or a lost line before going on."));
}

static void
draw_phasor(cairo_t *cr, double complex p, const char *name, double scale, const PenColour *ink)
{
  double x = creal(p) * scale, y = -cimag(p) * scale, length = hypot(x, y);
  cairo_set_source_rgb(cr, ink->red, ink->green, ink->blue);
  cairo_set_line_width(cr, 2);
  cairo_move_to(cr, 0, 0);
  cairo_line_to(cr, x, y);
  cairo_stroke(cr);
  cairo_arc(cr, x, y, 3, 0, 2 * G_PI);
  cairo_fill(cr);
  double away = length > 1 ? 13 / length : 0;
  cairo_text_extents_t extents;
  cairo_text_extents(cr, name, &extents);
  cairo_move_to(cr, x + x * away - extents.width / 2, y + y * away + extents.height / 2);
  cairo_show_text(cr, name);
}

static void
on_draw(GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  MeasurePage *page = data;
  if (!page->has_derived)
    return;
  const SupplySystem *system = &page->derived;
  static const char *const names[] = {"L1", "L2", "L3"};
  guint n = page->n_pairs >= 6 ? 3 : page->n_pairs >= 3 ? 2 : 1;
  double most = 1;
  for (guint i = 0; i < n; i++)
    most = MAX(most, cabs(system->line_phasor[i]));
  double scale = (MIN(width, height) / 2.0 - 24) / most;
  Palette palette = theme_palette(GTK_WIDGET(area));
  PenColour line = palette_ink(palette, INK_LINE);
  PenColour faint = palette_ink(palette, INK_FAINT);
  cairo_translate(cr, width / 2.0, height / 2.0);
  cairo_set_font_size(cr, 12);
  cairo_set_source_rgb(cr, faint.red, faint.green, faint.blue);
  cairo_set_line_width(cr, 1);
  for (guint i = 0; n > 1 && i < n; i++) {
    double complex p = system->line_phasor[i];
    cairo_line_to(cr, creal(p) * scale, -cimag(p) * scale);
  }
  cairo_close_path(cr);
  cairo_stroke(cr);
  for (guint i = 0; i < n; i++)
    draw_phasor(cr, system->line_phasor[i], names[i], scale, &line);
  cairo_arc(cr, 0, 0, 3.5, 0, 2 * G_PI);
  cairo_set_source_rgb(cr, faint.red, faint.green, faint.blue);
  cairo_fill(cr);
}

/* --- following the session --- */

static void
find_derived(MeasurePage *page)
{
  page->has_derived = false;
  const SessionResult *result = session_get_result(page->session);
  if (!session_is_fresh(page->session) || result->inspection->circuit == NULL ||
      page->supply == NULL)
    return;
  const Circuit *circuit = result->inspection->circuit;
  int index = document_device_index(session_get_document(page->session), page->supply);
  for (guint i = 0; i < circuit->supplies->len; i++) {
    const CircuitSupply *supply = &g_array_index(circuit->supplies, CircuitSupply, i);
    if ((int)supply->device == index) {
      page->derived = supply->system;
      page->has_derived = true;
    }
  }
}

static void
on_inspected(Session *session, MeasurePage *page)
{
  (void)session;
  find_derived(page);
  show_system(page);
}

static void
refresh_values(MeasurePage *page)
{
  const Device *device = shown_supply(page);
  if (device == NULL)
    return;
  int value = field_index(device->kind->row_fields, device->kind->n_row_fields, "value");
  for (guint i = 0; i < page->n_pairs; i++) {
    int row = row_of_pair(device, page->pairs[i]);
    Value none = {0};
    const Value *values = row >= 0 ? device_row(device, (guint)row) : NULL;
    field_entry_set_value(page->entries[i], values != NULL ? &values[value] : &none);
  }
}

static void
choose_supply(MeasurePage *page, const char *id)
{
  g_free(page->supply);
  page->supply = g_strdup(id);
  rebuild_readings(page);
  refresh_values(page);
  on_inspected(page->session, page);
}

static void
on_changed(Session *session, MeasurePage *page)
{
  const Document *document = session_get_document(session);
  g_autoptr(GPtrArray) ids = g_ptr_array_new();
  /* An exercise: what its supply delivers is for the student's meter. */
  bool exercise = sheet_is_exercise(document_sheet(document));
  for (guint i = 0; i < document_device_count(document) && !exercise; i++)
    if (document_device(document, i)->kind->role == ROLE_SUPPLY)
      g_ptr_array_add(ids, document_device(document, i)->id);
  gtk_widget_set_visible(page->nothing, ids->len == 0);
  gtk_widget_set_visible(page->content, ids->len > 0);
  gtk_widget_set_visible(GTK_WIDGET(page->supplies), ids->len > 1);
  guint at = 0;
  for (guint i = 0; i < ids->len; i++)
    if (g_strcmp0(ids->pdata[i], page->supply) == 0)
      at = i;
  g_ptr_array_add(ids, NULL);
  page->updating = true;
  gtk_string_list_splice(page->supply_names, 0,
                         g_list_model_get_n_items(G_LIST_MODEL(page->supply_names)),
                         (const char *const *)ids->pdata);
  gtk_drop_down_set_selected(page->supplies, at);
  page->updating = false;
  const Device *before = shown_supply(page);
  const char *id = ids->pdata[at];
  /* Another supply or other terminals make another list of readings. */
  guint lines = before != NULL ? device_terminal_count(before) : 0;
  guint shown = GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(page), "terminals"));
  if (g_strcmp0(id, page->supply) != 0 || lines != shown)
    choose_supply(page, id);
  else
    refresh_values(page);
  const Device *now = shown_supply(page);
  g_object_set_data(G_OBJECT(page), "terminals",
                    GUINT_TO_POINTER(now != NULL ? device_terminal_count(now) : 0));
}

static void
on_supply_chosen(GtkDropDown *list, GParamSpec *property, MeasurePage *page)
{
  (void)property;
  guint at = gtk_drop_down_get_selected(list);
  if (page->updating || at == GTK_INVALID_LIST_POSITION)
    return;
  choose_supply(page, gtk_string_list_get_string(page->supply_names, at));
}

void
measure_page_set_session(MeasurePage *page, Session *session)
{
  page->session = g_object_ref(session);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), page, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_inspected), page, 0);
  on_changed(session, page);
}

static void
measure_page_dispose(GObject *object)
{
  MeasurePage *page = DOORSHEET_MEASURE_PAGE(object);
  for (guint i = 0; i < page->n_pairs; i++)
    g_clear_pointer(&page->pairs[i], g_free);
  page->n_pairs = 0;
  g_clear_pointer(&page->supply, g_free);
  g_clear_object(&page->session);
  G_OBJECT_CLASS(measure_page_parent_class)->dispose(object);
}

static void
measure_page_class_init(MeasurePageClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = measure_page_dispose;
  template_set(widget_class, "measure_page.ui");
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, nothing);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, content);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, supplies);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, supply_names);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, readings);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, system);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, facts);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, notes);
  gtk_widget_class_bind_template_child(widget_class, MeasurePage, phasors);
  gtk_widget_class_bind_template_callback(widget_class, on_supply_chosen);
}

static void
measure_page_init(MeasurePage *page)
{
  gtk_widget_init_template(GTK_WIDGET(page));
  gtk_drawing_area_set_draw_func(page->phasors, on_draw, page, NULL);
}
