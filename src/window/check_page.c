/* SPDX-License-Identifier: MIT */
/* Findings with the signal panels of ANSI Z535.4: word, colour and, above NOTICE, the triangle.
 * Choosing one shows its place on the sheet; where the edits that clear it can be computed, a
 * button makes them. */
#include "desk/template.h"
#include "window/panels.h"

#include "base/language.h"
#include "desk/tip.h"
#include <string.h>

struct _CheckPage {
  GtkBox parent;
  GtkLabel *summary;
  GtkLabel *trouble;
  GtkWidget *list;
  GtkButton *more;
  Session *session;
  guint most; /* findings listed */
  bool filling;
};

/* A row takes about a millisecond to make and show: a frame or two of them come at once. */
#define FINDINGS_FIRST 50
#define FINDINGS_MORE 100

G_DEFINE_FINAL_TYPE(CheckPage, check_page, GTK_TYPE_BOX)

static const char *
signal_class(Signal signal)
{
  static const char *const classes[] = {
      [SIGNAL_DANGER] = "signal-danger",
      [SIGNAL_WARNING] = "signal-warning",
      [SIGNAL_CAUTION] = "signal-caution",
      [SIGNAL_NOTICE] = "signal-notice",
  };
  return classes[signal];
}

static void
draw_triangle(GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  (void)area;
  bool dark_panel = GPOINTER_TO_INT(data) == SIGNAL_DANGER;
  double w = width - 1, h = height - 1;
  /* The safety alert symbol: a triangle with an exclamation mark. */
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_width(cr, 1.5);
  cairo_move_to(cr, w / 2 + 0.5, 1.5);
  cairo_line_to(cr, w - 0.5, h - 0.5);
  cairo_line_to(cr, 1.5, h - 0.5);
  cairo_close_path(cr);
  if (dark_panel)
    cairo_set_source_rgb(cr, 1, 1, 1);
  else
    cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_fill_preserve(cr);
  cairo_stroke(cr);
  if (dark_panel)
    cairo_set_source_rgb(cr, 0.75, 0.06, 0.12);
  else
    cairo_set_source_rgb(cr, 1, 0.85, 0.1);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_width(cr, 2);
  cairo_move_to(cr, w / 2 + 0.5, h * 0.40);
  cairo_line_to(cr, w / 2 + 0.5, h * 0.66);
  cairo_stroke(cr);
  cairo_arc(cr, w / 2 + 0.5, h * 0.82, 1.1, 0, 2 * G_PI);
  cairo_fill(cr);
}

static GtkWidget *
signal_panel(Signal signal)
{
  GtkWidget *panel = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  gtk_widget_add_css_class(panel, "signal");
  gtk_widget_add_css_class(panel, signal_class(signal));
  gtk_widget_set_halign(panel, GTK_ALIGN_START);
  if (signal != SIGNAL_NOTICE) {
    GtkWidget *triangle = gtk_drawing_area_new();
    gtk_drawing_area_set_content_width(GTK_DRAWING_AREA(triangle), 17);
    gtk_drawing_area_set_content_height(GTK_DRAWING_AREA(triangle), 15);
    gtk_widget_set_valign(triangle, GTK_ALIGN_CENTER);
    gtk_drawing_area_set_draw_func(GTK_DRAWING_AREA(triangle), draw_triangle,
                                   GINT_TO_POINTER(signal), NULL);
    gtk_box_append(GTK_BOX(panel), triangle);
  }
  gtk_box_append(GTK_BOX(panel), gtk_label_new(signal_word(signal)));
  return panel;
}

static char *
join_places(const Finding *finding)
{
  g_autoptr(GString) text = g_string_new(NULL);
  for (guint i = 0; i < finding->places->len; i++)
    g_string_append_printf(text, "%s%s", i > 0 ? ", " : "", (char *)finding->places->pdata[i]);
  return g_string_free(g_steal_pointer(&text), FALSE);
}

static void
carry_out(CheckPage *page, guint at)
{
  Session *session = page->session;
  if (!session_is_fresh(session)) {
    session_say(session, _("The sheet has just changed: wait for the new findings."));
    return;
  }
  g_autoptr(SessionResult) result = session_result_ref(session_get_result(session));
  const Inspection *inspection = result->inspection;
  if (at >= inspection->findings->len)
    return;
  /* The row goes with its finding, and the focus would go with the row. */
  GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(page));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus(root) : NULL;
  bool inside = focus != NULL && gtk_widget_is_ancestor(focus, page->list);
  GError *error = NULL;
  Change *change = inspection_remedy(inspection, inspection->findings->pdata[at], &error);
  if (!session_edit(session, change, error))
    return;
  session_say(session, _("%s. Ctrl+Z takes it back."),
              document_undo_title(session_get_document(session)));
  GtkListBoxRow *next = gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), (int)at);
  if (next == NULL)
    next = gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), 0);
  if (inside && next != NULL)
    gtk_widget_grab_focus(GTK_WIDGET(next));
}

static void
on_remedy(GtkWidget *button, CheckPage *page)
{
  GtkWidget *row = gtk_widget_get_ancestor(button, GTK_TYPE_LIST_BOX_ROW);
  carry_out(page, (guint)gtk_list_box_row_get_index(GTK_LIST_BOX_ROW(row)));
}

static GtkWidget *
remedy_button(CheckPage *page, const Finding *finding)
{
  GtkWidget *button = gtk_button_new_with_label(_("Do it"));
  gtk_widget_set_halign(button, GTK_ALIGN_START);
  gtk_widget_add_css_class(button, "do-it");
  g_autofree char *name = g_strdup_printf(_("Do it: %s"), finding->remedy);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  tip_set(button, _("Makes this edit on the sheet; undo takes it back"));
  g_signal_connect_object(button, "clicked", G_CALLBACK(on_remedy), page, 0);
  return button;
}

static GtkWidget *
make_row(CheckPage *page, const Inspection *inspection, const Finding *finding)
{
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 3);
  GtkWidget *top = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  g_autofree char *places = join_places(finding);
  gtk_box_append(GTK_BOX(top), signal_panel(finding->signal));
  GtkWidget *place = panel_label(places, "place");
  gtk_widget_set_hexpand(place, TRUE);
  gtk_box_append(GTK_BOX(top), place);
  gtk_box_append(GTK_BOX(box), top);
  gtk_box_append(GTK_BOX(box), panel_label(finding->title, "finding-title"));
  gtk_box_append(GTK_BOX(box), panel_label(finding->message, NULL));
  g_autofree char *remedy = g_strdup_printf(_("Do: %s"), finding->remedy);
  gtk_box_append(GTK_BOX(box), panel_label(remedy, "remedy"));
  if (inspection_has_remedy(inspection, finding))
    gtk_box_append(GTK_BOX(box), remedy_button(page, finding));
  gtk_box_append(GTK_BOX(box), panel_label(finding->source, "source"));
  GtkWidget *row = gtk_list_box_row_new();
  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), box);
  g_autofree char *name =
      g_strdup_printf("%s. %s. %s", signal_word(finding->signal), finding->title, places);
  g_autofree char *text = g_strdup_printf("%s %s", finding->message, remedy);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                 GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
  g_object_set_data_full(G_OBJECT(row), "places", g_ptr_array_ref(finding->places),
                         (GDestroyNotify)g_ptr_array_unref);
  return row;
}

static void
show_summary(CheckPage *page, const GPtrArray *findings)
{
  guint counts[4] = {0};
  for (guint i = 0; i < findings->len; i++)
    counts[((const Finding *)findings->pdata[i])->signal]++;
  g_autoptr(GString) text = g_string_new(NULL);
  for (int s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++)
    if (counts[s] > 0)
      g_string_append_printf(text, "%s%u %s", text->len > 0 ? ", " : "", counts[s],
                             signal_word((Signal)s));
  if (document_device_count(session_get_document(page->session)) == 0)
    g_string_assign(text, _("Nothing to check yet. Put devices on the sheet first."));
  else if (text->len == 0)
    g_string_assign(text, _("Nothing found. This is not an approval: prove it with the meter."));
  gtk_label_set_text(page->summary, text->str);
}

/* An exercise: findings are what the student is to find. */
static bool
put_away(CheckPage *page)
{
  return page->session != NULL &&
         sheet_is_exercise(document_sheet(session_get_document(page->session)));
}

/* --- the list, kept up to date row by row --- */

/* What a finding is about: it stays chosen though its numbers change. New string. */
static char *
dup_identity(const Finding *finding)
{
  g_autofree char *places = join_places(finding);
  return g_strdup_printf("%s\n%s", finding->check, places);
}

/* All that its row says. New string. */
static char *
dup_content(const Inspection *inspection, const Finding *finding)
{
  g_autofree char *identity = dup_identity(finding);
  return g_strdup_printf("%d%d\n%s\n%s\n%s", (int)finding->signal,
                         inspection_has_remedy(inspection, finding), identity, finding->message,
                         finding->remedy);
}

static GtkListBoxRow *
row_at(CheckPage *page, guint at)
{
  return gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), (int)at);
}

static bool
row_says(GtkListBoxRow *row, const char *content)
{
  return row != NULL && g_strcmp0(g_object_get_data(G_OBJECT(row), "content"), content) == 0;
}

/* An edit changes a few findings of many: rows that say the same before and behind these stay, and
 * with them the choice, the keyboard and the place the list is scrolled to. */
static void
fill_list(CheckPage *page, const Inspection *inspection, guint n)
{
  g_autoptr(GPtrArray) contents = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; i < n; i++)
    g_ptr_array_add(contents, dup_content(inspection, inspection->findings->pdata[i]));
  guint before = 0, head = 0, tail = 0;
  while (row_at(page, before) != NULL)
    before++;
  while (head < MIN(n, before) && row_says(row_at(page, head), contents->pdata[head]))
    head++;
  while (tail < MIN(n, before) - head &&
         row_says(row_at(page, before - 1 - tail), contents->pdata[n - 1 - tail]))
    tail++;
  for (guint i = head; i < before - tail; i++)
    gtk_list_box_remove(GTK_LIST_BOX(page->list), GTK_WIDGET(row_at(page, head)));
  for (guint i = head; i < n - tail; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    GtkWidget *row = make_row(page, inspection, finding);
    g_object_set_data_full(G_OBJECT(row), "content", g_strdup(contents->pdata[i]), g_free);
    g_object_set_data_full(G_OBJECT(row), "identity", dup_identity(finding), g_free);
    gtk_list_box_insert(GTK_LIST_BOX(page->list), row, (int)i);
  }
}

/* The chosen finding has other numbers now: it stays chosen. */
static void
choose_again(CheckPage *page, const char *identity, bool focused)
{
  if (identity == NULL || gtk_list_box_get_selected_row(GTK_LIST_BOX(page->list)) != NULL)
    return;
  GtkListBoxRow *row;
  for (guint i = 0; (row = row_at(page, i)) != NULL; i++)
    if (strcmp(g_object_get_data(G_OBJECT(row), "identity"), identity) == 0) {
      gtk_list_box_select_row(GTK_LIST_BOX(page->list), row);
      if (focused)
        gtk_widget_grab_focus(GTK_WIDGET(row));
      return;
    }
}

static void
show_list(CheckPage *page, const Inspection *inspection)
{
  guint all = inspection->findings->len;
  if (all <= FINDINGS_FIRST)
    page->most = FINDINGS_FIRST;
  guint n = MIN(all, page->most);
  GtkListBoxRow *chosen = gtk_list_box_get_selected_row(GTK_LIST_BOX(page->list));
  g_autofree char *identity =
      chosen != NULL ? g_strdup(g_object_get_data(G_OBJECT(chosen), "identity")) : NULL;
  bool focused = chosen != NULL && gtk_widget_has_focus(GTK_WIDGET(chosen));
  page->filling = true;
  fill_list(page, inspection, n);
  choose_again(page, identity, focused);
  page->filling = false;
  gtk_widget_set_visible(page->list, n > 0);
  gtk_widget_set_visible(GTK_WIDGET(page->more), all > n);
  g_autofree char *text =
      g_strdup_printf(_("Show more: %u of %u are listed, the gravest first"), n, all);
  gtk_button_set_label(page->more, text);
}

static void
clear_list(CheckPage *page)
{
  GtkWidget *row;
  page->filling = true;
  while ((row = gtk_widget_get_first_child(page->list)) != NULL)
    gtk_list_box_remove(GTK_LIST_BOX(page->list), row);
  page->filling = false;
}

static void
on_inspected(Session *session, CheckPage *page)
{
  const SessionResult *result = session_get_result(session);
  if (!session_is_fresh(session))
    return;
  const Inspection *inspection = result->inspection;
  if (put_away(page)) {
    clear_list(page);
    gtk_label_set_text(page->summary, "");
    gtk_widget_set_visible(GTK_WIDGET(page->trouble), FALSE);
    gtk_widget_set_visible(GTK_WIDGET(page->more), FALSE);
    return;
  }
  show_list(page, inspection);
  show_summary(page, inspection->findings);
  gtk_widget_set_visible(GTK_WIDGET(page->trouble), inspection->error != NULL);
  if (inspection->error != NULL)
    gtk_label_set_text(page->trouble, inspection->error->message);
}

static void
on_more(GtkButton *button, CheckPage *page)
{
  (void)button;
  page->most += FINDINGS_MORE;
  on_inspected(page->session, page);
}

static void
on_changed(Session *session, CheckPage *page)
{
  (void)page;
  if (session_get_shown(session)->len > 0)
    session_show_places(session, NULL);
}

static void
on_row_selected(GtkListBox *list, GtkListBoxRow *row, CheckPage *page)
{
  (void)list;
  if (!page->filling)
    session_show_places(page->session,
                        row != NULL ? g_object_get_data(G_OBJECT(row), "places") : NULL);
}

static int
last_index(CheckPage *page)
{
  GtkWidget *last = gtk_widget_get_last_child(page->list);
  return last != NULL ? gtk_list_box_row_get_index(GTK_LIST_BOX_ROW(last)) : 0;
}

void
check_page_step(CheckPage *page, int step)
{
  if (put_away(page))
    return;
  GtkListBoxRow *chosen = gtk_list_box_get_selected_row(GTK_LIST_BOX(page->list));
  int at = chosen != NULL ? gtk_list_box_row_get_index(chosen) + step : step > 0 ? 0 : -1;
  GtkListBoxRow *next = gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), at);
  if (next == NULL && step > 0 && gtk_widget_get_visible(GTK_WIDGET(page->more))) {
    on_more(page->more, page);
    next = gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), at);
  }
  if (next == NULL && step < 0)
    next = gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), last_index(page));
  if (next == NULL)
    next = gtk_list_box_get_row_at_index(GTK_LIST_BOX(page->list), 0);
  if (next != NULL) {
    gtk_list_box_select_row(GTK_LIST_BOX(page->list), next);
    gtk_widget_grab_focus(GTK_WIDGET(next));
  }
}

void
check_page_remedy(CheckPage *page)
{
  if (put_away(page))
    return;
  GtkListBoxRow *chosen = gtk_list_box_get_selected_row(GTK_LIST_BOX(page->list));
  if (chosen == NULL)
    session_say(page->session, _("Choose a finding first: F8 goes to the next one."));
  else
    carry_out(page, (guint)gtk_list_box_row_get_index(chosen));
}

void
check_page_set_session(CheckPage *page, Session *session)
{
  page->session = g_object_ref(session);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_inspected), page, 0);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), page, 0);
  on_inspected(session, page);
}

static void
check_page_dispose(GObject *object)
{
  CheckPage *page = DOORSHEET_CHECK_PAGE(object);
  page->filling = true; /* rows that go must not be shown any more */
  g_clear_object(&page->session);
  G_OBJECT_CLASS(check_page_parent_class)->dispose(object);
}

static void
check_page_class_init(CheckPageClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = check_page_dispose;
  template_set(widget_class, "check_page.ui");
  gtk_widget_class_bind_template_child(widget_class, CheckPage, summary);
  gtk_widget_class_bind_template_child(widget_class, CheckPage, trouble);
  gtk_widget_class_bind_template_child(widget_class, CheckPage, list);
  gtk_widget_class_bind_template_child(widget_class, CheckPage, more);
  gtk_widget_class_bind_template_callback(widget_class, on_more);
  gtk_widget_class_bind_template_callback(widget_class, on_row_selected);
}

static void
check_page_init(CheckPage *page)
{
  page->most = FINDINGS_FIRST;
  gtk_widget_init_template(GTK_WIDGET(page));
}
