/* SPDX-License-Identifier: MIT */
/* What the meter should read, and what it did read beside it. */
#include "base/text.h"
#include "window/panels.h"
#include <math.h>

struct _ReadPage {
  GtkBox parent;
  GtkLabel *heading;
  GtkLabel *summary;
  GtkWidget *list;
  Session *session;
  char *built_for;  /* the pairs listed */
  GPtrArray *lines; /* of Line */
};

G_DEFINE_FINAL_TYPE(ReadPage, read_page, GTK_TYPE_BOX)

typedef struct {
  char *a, *b; /* "T1.X1", "GND" */
  GtkLabel *expected, *verdict;
  FieldEntry *entry; /* NULL: locked out */
} Line;

static void
line_free(gpointer data)
{
  Line *line = data;
  g_free(line->a);
  g_free(line->b);
  g_free(line);
}

/* A digital meter shows up to about a volt on dead conductors and rounds its last digit (common
 * practice, no source): so much outside the expected range is no difference. */
#define METER_VOLTS 1.0
#define METER_SHARE 0.01

static bool
agrees(double measured, double low, double high)
{
  double slack = MAX(METER_VOLTS, METER_SHARE * high);
  return measured >= low - slack && measured <= high + slack;
}

static bool
is_end(const Landing *landing, const char *name)
{
  if (landing->device == NULL)
    return g_strcmp0(name, "GND") == 0;
  g_autofree char *own = g_strdup_printf("%s.%s", landing->device, landing->terminal);
  return g_strcmp0(own, name) == 0;
}

static const Measured *
find_measured(ReadPage *page, const char *a, const char *b)
{
  const Document *document = session_get_document(page->session);
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    if ((is_end(&measured->a, a) && is_end(&measured->b, b)) ||
        (is_end(&measured->a, b) && is_end(&measured->b, a)))
      return measured;
  }
  return NULL;
}

static Landing
landing_of(const char *name)
{
  Landing landing = {0};
  if (!text_split_terminal(name, &landing.device, &landing.terminal))
    landing.terminal = g_strdup("GND");
  return landing;
}

static void
on_commit(FieldEntry *entry, const char *text, ReadPage *page)
{
  const Line *line = g_object_get_data(G_OBJECT(entry), "line");
  Landing a = landing_of(line->a), b = landing_of(line->b);
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  g_autofree char *date = g_date_time_format(now, "%Y-%m-%d");
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_measured(session_get_document(page->session), &a, &b, text,
                                     text != NULL ? date : NULL, &error);
  if (change != NULL)
    session_try(page->session, change, &error);
  if (error != NULL)
    field_entry_set_error(entry, error->message);
  g_free(a.device);
  g_free(a.terminal);
  g_free(b.device);
  g_free(b.terminal);
}

static void
on_probe(GtkButton *button, ReadPage *page)
{
  const Line *line = g_object_get_data(G_OBJECT(button), "line");
  Landing a = landing_of(line->a), b = landing_of(line->b);
  session_set_probe(page->session, PROBE_RED, a.device, a.terminal);
  session_set_probe(page->session, PROBE_BLACK, b.device, b.terminal);
  g_free(a.device);
  g_free(a.terminal);
  g_free(b.device);
  g_free(b.terminal);
}

static void
add_line(ReadPage *page, const ExpectedReading *reading)
{
  Line *line = g_new0(Line, 1);
  line->a = g_strdup(reading->a_name);
  line->b = g_strdup(reading->b_name);
  g_ptr_array_add(page->lines, line);
  g_autofree char *pair = g_strdup_printf("%s to %s", line->a, line->b);

  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  gtk_widget_add_css_class(box, "reading");
  GtkWidget *top = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *name = gtk_button_new_with_label(pair);
  gtk_widget_add_css_class(name, "flat");
  gtk_widget_add_css_class(name, "pair");
  gtk_widget_set_halign(name, GTK_ALIGN_START);
  gtk_widget_set_hexpand(name, TRUE);
  gtk_widget_set_tooltip_text(name, "Touch these two points with the probes");
  g_object_set_data(G_OBJECT(name), "line", line);
  g_signal_connect(name, "clicked", G_CALLBACK(on_probe), page);
  line->expected = GTK_LABEL(gtk_label_new(NULL));
  gtk_widget_add_css_class(GTK_WIDGET(line->expected), "numeric");
  gtk_box_append(GTK_BOX(top), name);
  gtk_box_append(GTK_BOX(top), GTK_WIDGET(line->expected));
  gtk_box_append(GTK_BOX(box), top);

  GtkWidget *low = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *purpose = panel_label(reading->purpose, "dim-label");
  gtk_widget_set_hexpand(purpose, TRUE);
  gtk_box_append(GTK_BOX(low), purpose);
  line->verdict = GTK_LABEL(gtk_label_new(NULL));
  gtk_box_append(GTK_BOX(low), GTK_WIDGET(line->verdict));
  if (!reading->locked_out) {
    g_autofree char *title = g_strdup_printf("As measured, %s", pair);
    GtkWidget *entry = field_entry_new(&measured_fields[MEASURED_VALUE], title, true);
    gtk_widget_set_hexpand(entry, FALSE);
    gtk_widget_set_hexpand(field_entry_get_editor(DOORSHEET_FIELD_ENTRY(entry)), FALSE);
    gtk_editable_set_width_chars(GTK_EDITABLE(field_entry_get_editor(DOORSHEET_FIELD_ENTRY(entry))),
                                 9);
    gtk_entry_set_placeholder_text(GTK_ENTRY(field_entry_get_editor(DOORSHEET_FIELD_ENTRY(entry))),
                                   "measured");
    g_object_set_data(G_OBJECT(entry), "line", line);
    g_signal_connect(entry, "commit", G_CALLBACK(on_commit), page);
    gtk_box_append(GTK_BOX(low), entry);
    line->entry = DOORSHEET_FIELD_ENTRY(entry);
  }
  gtk_box_append(GTK_BOX(box), low);
  gtk_box_append(GTK_BOX(page->list), box);
}

static void
set_verdict(Line *line, const char *text, const char *style)
{
  gtk_label_set_text(line->verdict, text);
  gtk_widget_remove_css_class(GTK_WIDGET(line->verdict), "agrees");
  gtk_widget_remove_css_class(GTK_WIDGET(line->verdict), "differs");
  if (style != NULL)
    gtk_widget_add_css_class(GTK_WIDGET(line->verdict), style);
}

/* Returns -1 differs, 1 agrees, 0 not measured. */
static int
fill_line(ReadPage *page, Line *line, const ExpectedReading *reading)
{
  g_autofree char *range = NULL;
  if (reading->saturated) /* no digits that only the iron knows */
    range = expected_reading_text(reading, 4);
  else if (reading->state == READING_LIVE || reading->state == READING_DEAD)
    range = reading->high - reading->low > 0.05
                ? quantity_display_range(reading->low, reading->high, UNIT_VOLT, 4)
                : quantity_display(reading->volts, UNIT_VOLT, 4);
  else
    range = g_strdup(reading_state_word(reading->state));
  gtk_label_set_text(line->expected, range);
  set_verdict(line, "", NULL);
  if (line->entry == NULL)
    return 0;
  const Measured *measured = find_measured(page, line->a, line->b);
  Value none = {0};
  field_entry_set_value(line->entry, measured != NULL ? &measured->values[MEASURED_VALUE] : &none);
  if (measured == NULL || !measured->values[MEASURED_VALUE].has_value)
    return 0;
  double volts =
      value_number(&measured->values[MEASURED_VALUE], &measured_fields[MEASURED_VALUE], 0);
  bool fixed = reading->state == READING_LIVE || reading->state == READING_DEAD;
  if (fixed && agrees(volts, reading->low, reading->high)) {
    set_verdict(line, "\342\234\223 agrees", "agrees");
    return 1;
  }
  set_verdict(line, "\342\234\227 differs", "differs");
  return -1;
}

static char *
pairs_of(const GArray *readings)
{
  g_autoptr(GString) text = g_string_new(NULL);
  for (guint i = 0; readings != NULL && i < readings->len; i++) {
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    g_string_append_printf(text, "%s %s %d;", reading->a_name, reading->b_name,
                           reading->locked_out);
  }
  return g_string_free(g_steal_pointer(&text), FALSE);
}

/* Long sheets list the first so many; the command line lists all. */
#define LINES_MOST 150

static void
refresh(Session *session, ReadPage *page)
{
  if (!session_is_fresh(session))
    return;
  const SessionResult *result = session_get_result(session);
  bool energized = session_get_energized(session);
  const GArray *readings = energized ? result->expected : result->expected_locked;
  guint n = readings != NULL ? MIN(readings->len, LINES_MOST) : 0;
  g_autofree char *now = pairs_of(readings);
  if (g_strcmp0(now, page->built_for) != 0) {
    panel_clear(page->list);
    g_ptr_array_set_size(page->lines, 0);
    for (guint i = 0; i < n; i++)
      add_line(page, &g_array_index(readings, ExpectedReading, i));
    g_free(page->built_for);
    page->built_for = g_steal_pointer(&now);
  }
  guint agree = 0, differ = 0, live = 0;
  for (guint i = 0; i < n; i++) {
    int verdict =
        fill_line(page, page->lines->pdata[i], &g_array_index(readings, ExpectedReading, i));
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    live += reading->state == READING_LIVE && reading->high > METER_VOLTS;
    agree += verdict > 0;
    differ += verdict < 0;
  }
  gtk_label_set_text(page->heading,
                     energized ? "Expected when energized" : "Expected when locked out");
  g_autofree char *text =
      n == 0      ? g_strdup("Land the circuit first: then the sheet says what the meter should "
                                  "read, and where.")
      : energized ? g_strdup_printf("%u of %u measured, %u differ. Type what your meter shows.",
                                    agree + differ, n, differ)
      : live > 0
          ? g_strdup_printf("%u of %u stay LIVE when locked out: the line side, or fed another "
                            "way. Prove each point dead with a tested meter before you touch it.",
                            live, n)
          : g_strdup("Prove each point dead with a tested meter before you touch it.");
  gtk_label_set_text(page->summary, text);
}

void
read_page_set_session(ReadPage *page, Session *session)
{
  page->session = g_object_ref(session);
  g_signal_connect_object(session, "inspected", G_CALLBACK(refresh), page, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(refresh), page, 0);
  refresh(session, page);
}

static void
read_page_dispose(GObject *object)
{
  ReadPage *page = DOORSHEET_READ_PAGE(object);
  g_clear_pointer(&page->built_for, g_free);
  g_clear_object(&page->session);
  G_OBJECT_CLASS(read_page_parent_class)->dispose(object);
}

static void
read_page_finalize(GObject *object)
{
  g_ptr_array_unref(DOORSHEET_READ_PAGE(object)->lines);
  G_OBJECT_CLASS(read_page_parent_class)->finalize(object);
}

static void
read_page_class_init(ReadPageClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = read_page_dispose;
  G_OBJECT_CLASS(class)->finalize = read_page_finalize;
  gtk_widget_class_set_template_from_resource(widget_class,
                                              "/org/doorsheet/Doorsheet/ui/read_page.ui");
  gtk_widget_class_bind_template_child(widget_class, ReadPage, heading);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, summary);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, list);
}

static void
read_page_init(ReadPage *page)
{
  page->lines = g_ptr_array_new_with_free_func(line_free);
  gtk_widget_init_template(GTK_WIDGET(page));
}
