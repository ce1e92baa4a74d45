/* SPDX-License-Identifier: MIT */
/* What the meter should read, and what it did read beside it. */
#include "base/language.h"
#include "base/text.h"
#include "canvas/study.h"
#include "canvas/verdict.h"
#include "desk/template.h"
#include "desk/tip.h"
#include "window/panels.h"
#include <math.h>

struct _ReadPage {
  GtkBox parent;
  GtkLabel *heading;
  GtkLabel *summary;
  GtkWidget *list;
  GtkWidget *suspects_box, *suspects;
  Session *session;
  Study *study;
  char *built_for;  /* the pairs listed */
  GPtrArray *lines; /* of Line */
  GtkButton *more;
  guint most; /* lines listed */
};

G_DEFINE_FINAL_TYPE(ReadPage, read_page, GTK_TYPE_BOX)

typedef struct {
  char *a, *b; /* "T1.X1", "GND" */
  GtkLabel *expected, *verdict;
  FieldEntry *entry;                      /* volts */
  GtkLabel *ohms_expected, *ohms_verdict; /* locked out; else NULL */
  FieldEntry *ohms;
} Line;

static void
line_free(gpointer data)
{
  Line *line = data;
  g_free(line->a);
  g_free(line->b);
  g_free(line);
}

static Landing
landing_of(const char *name)
{
  Landing landing = {0};
  if (!text_split_terminal(name, &landing.device, &landing.terminal))
    landing.terminal = g_strdup("GND");
  return landing;
}

typedef struct {
  Landing a, b;
} Pair;

static Pair
pair_of(const Line *line)
{
  return (Pair){landing_of(line->a), landing_of(line->b)};
}

static void
pair_clear(Pair *pair)
{
  landing_clear(&pair->a);
  landing_clear(&pair->b);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Pair, pair_clear)

static MeasuredState
state_of(ReadPage *page)
{
  return session_get_energized(page->session) ? MEASURED_ENERGIZED : MEASURED_LOCKED_OUT;
}

static void
on_commit(FieldEntry *entry, const char *text, ReadPage *page)
{
  const Line *line = g_object_get_data(G_OBJECT(entry), "line");
  g_auto(Pair) pair = pair_of(line);
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  g_autofree char *date = g_date_time_format(now, "%Y-%m-%d");
  g_autoptr(GError) error = NULL;
  MeasuredField field = entry == line->ohms ? MEASURED_OHMS : MEASURED_VALUE;
  Change *change = edit_note_reading(session_get_document(page->session), &pair.a, &pair.b,
                                     state_of(page), field, text, date, &error);
  if (change != NULL)
    session_try(page->session, change, &error);
  if (error != NULL)
    field_entry_set_error(entry, error->message);
}

static void
on_probe(GtkButton *button, ReadPage *page)
{
  g_auto(Pair) pair = pair_of(g_object_get_data(G_OBJECT(button), "line"));
  session_set_probe(page->session, PROBE_RED, pair.a.device, pair.a.terminal);
  session_set_probe(page->session, PROBE_BLACK, pair.b.device, pair.b.terminal);
}

/* Reading after reading: Enter goes on to the next line, unless what was typed is refused. */
static void
on_entered(GtkEntry *editor, ReadPage *page)
{
  if (gtk_widget_has_css_class(GTK_WIDGET(editor), "error"))
    return;
  bool ohms = GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(editor), "field")) == MEASURED_OHMS;
  for (guint i = 0; i + 1 < page->lines->len; i++) {
    const Line *line = page->lines->pdata[i], *next = page->lines->pdata[i + 1];
    FieldEntry *mine = ohms ? line->ohms : line->entry, *theirs = ohms ? next->ohms : next->entry;
    if (mine != NULL && theirs != NULL && field_entry_get_editor(mine) == GTK_WIDGET(editor))
      gtk_widget_grab_focus(field_entry_get_editor(theirs));
  }
}

static FieldEntry *
add_measured(ReadPage *page, GtkWidget *box, Line *line, MeasuredField field, const char *title)
{
  FieldEntry *entry = DOORSHEET_FIELD_ENTRY(field_entry_new(&measured_fields[field], title, true));
  GtkWidget *editor = field_entry_get_editor(entry);
  if (field == MEASURED_OHMS)
    field_entry_set_word(entry, "OL", "40 Mohm");
  gtk_widget_set_hexpand(GTK_WIDGET(entry), FALSE);
  gtk_widget_set_hexpand(editor, FALSE);
  gtk_widget_set_valign(GTK_WIDGET(entry), GTK_ALIGN_CENTER);
  gtk_editable_set_width_chars(GTK_EDITABLE(editor), 9);
  gtk_entry_set_placeholder_text(GTK_ENTRY(editor),
                                 field == MEASURED_OHMS ? _("ohms, or OL") : _("measured"));
  g_object_set_data(G_OBJECT(entry), "line", line);
  g_signal_connect(entry, "commit", G_CALLBACK(on_commit), page);
  g_object_set_data(G_OBJECT(editor), "field", GUINT_TO_POINTER(field));
  g_signal_connect_after(editor, "activate", G_CALLBACK(on_entered), page);
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(entry));
  return entry;
}

static GtkLabel *
add_verdict(GtkWidget *box)
{
  GtkWidget *label = panel_label("", NULL);
  gtk_box_append(GTK_BOX(box), label);
  return GTK_LABEL(label);
}

static void
add_ohms(ReadPage *page, GtkWidget *box, Line *line, const char *pair)
{
  GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *expected = panel_label("", "dim-label");
  gtk_widget_set_hexpand(expected, TRUE);
  gtk_box_append(GTK_BOX(row), expected);
  line->ohms_expected = GTK_LABEL(expected);
  line->ohms_verdict = add_verdict(row);
  g_autofree char *title = g_strdup_printf(_("Ohms measured, %s"), pair);
  line->ohms = add_measured(page, row, line, MEASURED_OHMS, title);
  gtk_box_append(GTK_BOX(box), row);
}

static void
add_line(ReadPage *page, const ExpectedReading *reading)
{
  Line *line = g_new0(Line, 1);
  line->a = g_strdup(reading->a_name);
  line->b = g_strdup(reading->b_name);
  g_ptr_array_add(page->lines, line);
  g_autofree char *pair = g_strdup_printf(_("%s to %s"), line->a, line->b);

  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  gtk_widget_add_css_class(box, "reading");
  GtkWidget *top = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *name = gtk_button_new_with_label(pair);
  gtk_widget_add_css_class(name, "flat");
  gtk_widget_add_css_class(name, "pair");
  gtk_widget_set_halign(name, GTK_ALIGN_START);
  gtk_widget_set_hexpand(name, TRUE);
  tip_set(name, _("Touch these two points with the probes"));
  g_object_set_data(G_OBJECT(name), "line", line);
  g_signal_connect(name, "clicked", G_CALLBACK(on_probe), page);
  if (reading->point != NULL)
    gtk_box_append(GTK_BOX(top), panel_label(reading->point, "test-point"));
  line->expected = GTK_LABEL(gtk_label_new(NULL));
  gtk_widget_add_css_class(GTK_WIDGET(line->expected), "numeric");
  gtk_box_append(GTK_BOX(top), name);
  gtk_box_append(GTK_BOX(top), GTK_WIDGET(line->expected));
  gtk_box_append(GTK_BOX(box), top);

  GtkWidget *low = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *purpose = panel_label(reading->purpose, "dim-label");
  gtk_widget_set_hexpand(purpose, TRUE);
  gtk_box_append(GTK_BOX(low), purpose);
  line->verdict = add_verdict(low);
  g_autofree char *title =
      g_strdup_printf(reading->locked_out ? _("Proved dead, %s") : _("As measured, %s"), pair);
  line->entry = add_measured(page, low, line, MEASURED_VALUE, title);
  gtk_box_append(GTK_BOX(box), low);
  if (reading->locked_out)
    add_ohms(page, box, line, pair);
  gtk_box_append(GTK_BOX(page->list), box);
}

/* Told apart by mark and words, not by colour alone. */
static int
set_verdict(GtkLabel *label, Verdict verdict, const char *words)
{
  static const char *const marks[] = {"", "\342\234\223 ", "\342\234\227 "};
  g_autofree char *text = g_strdup_printf("%s%s", marks[verdict], words);
  gtk_label_set_text(label, text);
  gtk_widget_remove_css_class(GTK_WIDGET(label), "agrees");
  gtk_widget_remove_css_class(GTK_WIDGET(label), "differs");
  if (verdict != VERDICT_NONE)
    gtk_widget_add_css_class(GTK_WIDGET(label), verdict == VERDICT_AGREES ? "agrees" : "differs");
  return verdict == VERDICT_AGREES ? 1 : verdict == VERDICT_DIFFERS ? -1 : 0;
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
  g_auto(Pair) pair = pair_of(line);
  const Measured *measured =
      document_find_measured(session_get_document(page->session), &pair.a, &pair.b, state_of(page));
  Value none = {0};
  if (line->ohms != NULL)
    field_entry_set_value(line->ohms, measured != NULL ? &measured->values[MEASURED_OHMS] : &none);
  field_entry_set_value(line->entry, measured != NULL ? &measured->values[MEASURED_VALUE] : &none);
  if (measured == NULL || !measured->values[MEASURED_VALUE].has_value)
    return set_verdict(line->verdict, VERDICT_NONE, "");
  double volts =
      value_number(&measured->values[MEASURED_VALUE], &measured_fields[MEASURED_VALUE], 0);
  g_autofree char *words = NULL;
  Verdict verdict = verdict_of_volts(reading, volts, &words);
  return set_verdict(line->verdict, verdict, words);
}

/* --- what takes longer than a frame --- */

static void
fill_ohms(ReadPage *page, const GArray *ohms)
{
  for (guint i = 0; ohms != NULL && i < MIN(ohms->len, page->lines->len); i++) {
    Line *line = page->lines->pdata[i];
    const MeterReading *expected = &g_array_index(ohms, MeterReading, i);
    if (line->ohms == NULL)
      return; /* energized meanwhile */
    g_autofree char *reading = expected->state == METER_REFUSED ? g_strdup(_("live: no ohms"))
                                                                : meter_reading_text(expected);
    g_autofree char *text = g_strdup_printf(_("Ohms: expect %s"), reading);
    gtk_label_set_text(line->ohms_expected, text);
    tip_set(GTK_WIDGET(line->ohms_expected), expected->note);
    g_auto(Pair) pair = pair_of(line);
    const Measured *measured = document_find_measured(session_get_document(page->session), &pair.a,
                                                      &pair.b, MEASURED_LOCKED_OUT);
    Verdict verdict = VERDICT_NONE;
    g_autofree char *words = NULL;
    if (measured != NULL && measured->values[MEASURED_OHMS].has_value)
      verdict = verdict_of_ohms(
          expected,
          value_number(&measured->values[MEASURED_OHMS], &measured_fields[MEASURED_OHMS], 0),
          &words);
    set_verdict(line->ohms_verdict, verdict, words != NULL ? words : "");
  }
}

static void
on_suspect(GtkButton *button, ReadPage *page)
{
  g_autoptr(GPtrArray) places = g_ptr_array_new_with_free_func(g_free);
  g_auto(GStrv) names = g_strsplit(g_object_get_data(G_OBJECT(button), "place"), ", ", -1);
  for (guint i = 0; names[i] != NULL; i++)
    g_ptr_array_add(places, g_strdup(names[i]));
  session_show_places(page->session, places);
}

static void
add_suspect(ReadPage *page, const Suspect *suspect, guint rank)
{
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  g_autofree char *title =
      g_strdup_printf("%u. %s: %s", rank, suspect->place, _(suspect->fault->title));
  gtk_box_append(GTK_BOX(box), panel_label(title, "finding-title"));
  gtk_box_append(GTK_BOX(box), panel_label(suspect->sentence, "dim-label"));
  GtkWidget *button = gtk_button_new();
  gtk_button_set_child(GTK_BUTTON(button), box);
  gtk_widget_add_css_class(button, "flat");
  gtk_widget_add_css_class(button, "suspect");
  tip_set(button, _("Show this place on the sheet"));
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
                                 GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, suspect->sentence, -1);
  g_object_set_data_full(G_OBJECT(button), "place", g_strdup(suspect->place), g_free);
  g_signal_connect(button, "clicked", G_CALLBACK(on_suspect), page);
  gtk_box_append(GTK_BOX(page->suspects), button);
}

static void
on_studied(const StudyAnswer *answer, gpointer data)
{
  ReadPage *page = data;
  panel_clear(page->suspects);
  gtk_widget_set_visible(page->suspects_box, answer->suspects != NULL);
  for (guint i = 0; answer->suspects != NULL && i < answer->suspects->len; i++)
    add_suspect(page, answer->suspects->pdata[i], i + 1);
  if (answer->suspects != NULL && answer->suspects->len == 0)
    gtk_box_append(GTK_BOX(page->suspects),
                   panel_label(_("No single fault of the catalogue explains these readings: look "
                                 "for two faults at once, or measure again."),
                               NULL));
  fill_ohms(page, answer->ohms);
}

static char *
pairs_of(const GArray *readings)
{
  g_autoptr(GString) text = g_string_new(NULL);
  for (guint i = 0; readings != NULL && i < readings->len; i++) {
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    g_string_append_printf(text, "%s %s %s %d;", reading->a_name, reading->b_name,
                           reading->point != NULL ? reading->point : "", reading->locked_out);
  }
  return g_string_free(g_steal_pointer(&text), FALSE);
}

/* A line takes about a millisecond to make: long sheets list so many, and more when asked. */
#define LINES_FIRST 60
#define LINES_MORE 100

/* An exercise: what is expected, and what explains the readings, is what the student is to find.
 * The page is out of reach then, and holds nothing all the same. */
static bool
put_away(Session *session, ReadPage *page)
{
  if (!sheet_is_exercise(document_sheet(session_get_document(session))))
    return false;
  panel_clear(page->list);
  g_ptr_array_set_size(page->lines, 0);
  g_clear_pointer(&page->built_for, g_free);
  gtk_label_set_text(page->heading, "");
  gtk_label_set_text(page->summary, "");
  gtk_widget_set_visible(GTK_WIDGET(page->more), FALSE);
  gtk_widget_set_visible(page->suspects_box, FALSE);
  return true;
}

/* Makes the lines that are to be listed and not there yet; how many there are. */
static guint
list_lines(ReadPage *page, const GArray *readings)
{
  guint all = readings != NULL ? readings->len : 0;
  guint n = MIN(all, page->most);
  for (guint i = page->lines->len; i < n; i++)
    add_line(page, &g_array_index(readings, ExpectedReading, i));
  gtk_widget_set_visible(GTK_WIDGET(page->more), all > n);
  g_autofree char *text = g_strdup_printf(_("Show more: %u of %u are listed"), n, all);
  gtk_button_set_label(page->more, text);
  return n;
}

static void
refresh(Session *session, ReadPage *page)
{
  if (put_away(session, page) || !session_is_fresh(session))
    return;
  const SessionResult *result = session_get_result(session);
  bool energized = session_get_energized(session);
  const GArray *readings = energized ? result->expected : result->expected_locked;
  g_autofree char *now = pairs_of(readings);
  if (g_strcmp0(now, page->built_for) != 0) {
    panel_clear(page->list);
    g_ptr_array_set_size(page->lines, 0);
    page->most = LINES_FIRST;
    g_free(page->built_for);
    page->built_for = g_steal_pointer(&now);
  }
  guint n = list_lines(page, readings);
  guint agree = 0, differ = 0, live = 0;
  for (guint i = 0; i < n; i++) {
    int verdict =
        fill_line(page, page->lines->pdata[i], &g_array_index(readings, ExpectedReading, i));
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    live += reading->state == READING_LIVE && reading->high > VERDICT_VOLTS;
    agree += verdict > 0;
    differ += verdict < 0;
  }
  gtk_label_set_text(page->heading,
                     energized ? _("Expected when energized") : _("Expected when locked out"));
  g_autofree char *text =
      n == 0      ? g_strdup(_("Land the circuit first: then the sheet says what the meter should "
                                    "read, and where."))
      : energized ? g_strdup_printf(_("%u of %u measured, %u differ. Type what your meter shows."),
                                    agree + differ, n, differ)
      : live > 0  ? g_strdup_printf(
                        _("%u of %u stay LIVE when locked out: the line side, or fed another "
                           "way. Prove each point dead with a tested meter before you touch it."),
                        live, n)
                 : g_strdup(_("Prove each point dead with a tested meter before you touch it."));
  gtk_label_set_text(page->summary, text);
  study_ask(page->study, session_get_result(session), page->most);
}

static void
on_more(GtkButton *button, ReadPage *page)
{
  (void)button;
  page->most += LINES_MORE;
  refresh(page->session, page);
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
  g_clear_pointer(&page->study, study_free);
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
  template_set(widget_class, "read_page.ui");
  gtk_widget_class_bind_template_child(widget_class, ReadPage, heading);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, summary);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, list);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, more);
  gtk_widget_class_bind_template_callback(widget_class, on_more);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, suspects_box);
  gtk_widget_class_bind_template_child(widget_class, ReadPage, suspects);
}

static void
read_page_init(ReadPage *page)
{
  page->lines = g_ptr_array_new_with_free_func(line_free);
  page->study = study_new(on_studied, page);
  gtk_widget_init_template(GTK_WIDGET(page));
}
