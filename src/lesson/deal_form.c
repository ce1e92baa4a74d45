/* SPDX-License-Identifier: MIT */
#include "lesson/deal_form.h"

#include "base/language.h"
#include "lesson/pieces.h"

#include <string.h>

struct _DealForm {
  GtkBox parent;
  const Document *master;
  char *file; /* as the command line is given it */
  GtkGrid *grid;
  int row;
  GtkDropDown *source, *topic, *level, *difficulty, *paper;
  GtkSpinButton *versions, *faults;
  GtkEditable *seed, *lesson, *folder;
  GtkCheckButton *mono;
  GtkCheckButton *parts[5];
  GtkLabel *command;
};

G_DEFINE_FINAL_TYPE(DealForm, deal_form, GTK_TYPE_BOX)

static const struct {
  HandoutLeft part;
  const char *title;
} parts[] = {
    {HANDOUT_NO_SHEETS, N_("Student sheets, SVG and PDF")},
    {HANDOUT_NO_EXERCISE, N_("Exercises for the screen")},
    {HANDOUT_NO_KEY, N_("Answer keys, PDF")},
    {HANDOUT_NO_GRADING, N_("Grading sheet, CSV")},
    {HANDOUT_NO_PROOF, N_("Proof of fairness")},
};
G_STATIC_ASSERT(G_N_ELEMENTS(parts) == G_N_ELEMENTS(((DealForm *)NULL)->parts));

/* --- what is ordered --- */

enum { SOURCE_MARKED, SOURCE_CATALOGUE };

static bool
by_hand(DealForm *form)
{
  return gtk_drop_down_get_selected(form->source) == SOURCE_MARKED;
}

/* The first entry means any. */
static int
or_any(GtkDropDown *down)
{
  return (int)gtk_drop_down_get_selected(down) - 1;
}

static const char *
text_or_null(GtkEditable *editable)
{
  const char *text = gtk_editable_get_text(editable);
  return *text != '\0' ? text : NULL;
}

static bool
read_seed(DealForm *form, guint64 *seed)
{
  return g_ascii_string_to_unsigned(gtk_editable_get_text(form->seed), 10, 0, G_MAXUINT64, seed,
                                    NULL);
}

static const char *
chosen_paper(DealForm *form)
{
  guint at = gtk_drop_down_get_selected(form->paper);
  return at > 0 ? sheet_papers[at - 1].name : NULL;
}

static guint
left_out(DealForm *form)
{
  guint left = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
    if (!gtk_check_button_get_active(form->parts[i]))
      left |= (guint)parts[i].part;
  return left;
}

char *
deal_form_dup_folder(DealForm *form)
{
  return g_strstrip(g_strdup(gtk_editable_get_text(form->folder)));
}

bool
deal_form_is_complete(DealForm *form)
{
  guint64 seed;
  g_autofree char *folder = deal_form_dup_folder(form);
  return read_seed(form, &seed) && *folder != '\0' && left_out(form) != HANDOUT_NOTHING;
}

char *
deal_form_get(DealForm *form, DealOrder *order, HandoutOptions *options)
{
  *order = deal_order_default;
  *options = (HandoutOptions){
      .sheet = {.paper = chosen_paper(form),
                .palette = gtk_check_button_get_active(form->mono) ? PALETTE_MONO : PALETTE_LIGHT},
      .lesson = text_or_null(form->lesson),
      .left_out = left_out(form)};
  if (!read_seed(form, &order->seed))
    return g_strdup(_("The seed is a whole number: 7."));
  order->versions = (guint)gtk_spin_button_get_value_as_int(form->versions);
  order->faults = (guint)gtk_spin_button_get_value_as_int(form->faults);
  order->by_hand = by_hand(form);
  order->difficulty = or_any(form->difficulty);
  if (!order->by_hand) {
    order->topic = or_any(form->topic);
    order->level = (FaultLevel)gtk_drop_down_get_selected(form->level);
  }
  g_autofree char *folder = deal_form_dup_folder(form);
  if (!g_path_is_absolute(folder))
    return g_strdup(_("Write the whole path of the folder, or choose one."));
  return NULL;
}

/* --- the same on the command line --- */

static void
append_word(GString *line, const char *option, const char *value)
{
  g_autofree char *quoted =
      strpbrk(value, " \t'\"\\$`&;()<>|*?[]#~!{}") != NULL ? g_shell_quote(value) : g_strdup(value);
  g_string_append_printf(line, " %s%s%s", option, *option != '\0' ? " " : "", quoted);
}

static void
append_order(DealForm *form, GString *line, const DealOrder *order)
{
  if (order->by_hand)
    g_string_append(line, " --marked");
  if (order->topic >= 0)
    append_word(line, "--topic", fault_topic_word((FaultTopic)order->topic));
  if (order->level != deal_order_default.level)
    append_word(line, "--level", fault_level_word(order->level));
  if (order->difficulty >= 0)
    append_word(line, "--difficulty", fault_level_word((FaultLevel)order->difficulty));
  g_string_append_printf(line, " --faults %u --versions %u --seed %" G_GUINT64_FORMAT,
                         order->faults, order->versions, order->seed);
  if (text_or_null(form->lesson) != NULL)
    append_word(line, "--lesson", text_or_null(form->lesson));
  if (chosen_paper(form) != NULL)
    append_word(line, "--paper", chosen_paper(form));
  if (gtk_check_button_get_active(form->mono))
    g_string_append(line, " --mono");
}

char *
deal_form_dup_command(DealForm *form)
{
  DealOrder order;
  HandoutOptions options;
  g_autofree char *why = deal_form_get(form, &order, &options);
  if (why != NULL || options.left_out != 0)
    return NULL;
  g_autofree char *folder = deal_form_dup_folder(form);
  GString *line = g_string_new("doorsheet quiz");
  append_word(line, "", form->file);
  append_order(form, line, &order);
  append_word(line, "-o", folder);
  return g_string_free(line, FALSE);
}

static void
on_changed(DealForm *form)
{
  guint64 seed;
  if (form->command == NULL)
    return; /* still being built */
  gtk_widget_set_sensitive(GTK_WIDGET(form->topic), !by_hand(form));
  gtk_widget_set_sensitive(GTK_WIDGET(form->level), !by_hand(form));
  if (read_seed(form, &seed))
    gtk_widget_remove_css_class(GTK_WIDGET(form->seed), "error");
  else
    gtk_widget_add_css_class(GTK_WIDGET(form->seed), "error");
  g_autofree char *command = deal_form_dup_command(form);
  g_autofree char *text =
      command != NULL ? g_strdup_printf(_("The same on the command line: %s"), command) : NULL;
  gtk_label_set_text(form->command, text != NULL ? text : "");
  gtk_widget_set_visible(GTK_WIDGET(form->command), text != NULL);
  g_signal_emit_by_name(form, "changed");
}

/* --- building --- */

static void
follow(DealForm *form, gpointer widget, const char *signal)
{
  g_signal_connect_swapped(widget, signal, G_CALLBACK(on_changed), form);
}

/* A title and its widget; column 0 or 2. Enter never deals by accident: the button does. */
static void
attach(DealForm *form, const char *title, GtkWidget *widget, int column, int width)
{
  GtkWidget *label = gtk_label_new(title);
  gtk_label_set_xalign(GTK_LABEL(label), 0);
  gtk_widget_add_css_class(label, "field-title");
  pieces_name(widget, title);
  gtk_widget_set_hexpand(widget, TRUE);
  gtk_grid_attach(form->grid, label, column, form->row, 1, 1);
  gtk_grid_attach(form->grid, widget, column + 1, form->row, width, 1);
}

static GtkDropDown *
add_drop_down(DealForm *form, const char *title, const char *const *entries, int column, int width)
{
  GtkWidget *down = gtk_drop_down_new_from_strings(entries);
  attach(form, title, down, column, width);
  follow(form, down, "notify::selected");
  return GTK_DROP_DOWN(down);
}

static GtkSpinButton *
add_spin(DealForm *form, const char *title, double most, int column)
{
  GtkWidget *spin = gtk_spin_button_new_with_range(1, most, 1);
  gtk_spin_button_set_numeric(GTK_SPIN_BUTTON(spin), TRUE);
  attach(form, title, spin, column, 1);
  follow(form, spin, "value-changed");
  return GTK_SPIN_BUTTON(spin);
}

static GtkEditable *
add_entry(DealForm *form, const char *title, const char *text, int width)
{
  GtkWidget *entry = gtk_entry_new();
  gtk_editable_set_text(GTK_EDITABLE(entry), text);
  attach(form, title, entry, 0, width);
  follow(form, entry, "changed");
  return GTK_EDITABLE(entry);
}

static void
add_source(DealForm *form)
{
  static const char *const levels[] = {N_("easy"), N_("medium"), N_("hard")};
  const char *topics[] = {_("Any"),        _("Supply"),    _("Taps"),
                          _("Loads"),      _("Control"),   _("Protection"),
                          _("Conductors"), _("Grounding"), NULL};
  G_STATIC_ASSERT(G_N_ELEMENTS(topics) == FAULT_TOPIC_COUNT + 2);
  const char *up_to[] = {_(levels[0]), _(levels[1]), _(levels[2]), NULL};
  const char *found[] = {_("Any"), _(levels[0]), _(levels[1]), _(levels[2]), NULL};
  guint marked = document_intended_count(form->master);
  g_autofree char *hand =
      g_strdup_printf(language_plural("%u marked fault", "%u marked faults", marked), marked);
  const char *sources[] = {hand, _("The whole catalogue"), NULL};
  form->source = add_drop_down(form, _("Faults from"), sources, 0, 1);
  form->topic = add_drop_down(form, _("Topic"), topics, 2, 1);
  form->row++;
  form->level = add_drop_down(form, _("None harder than"), up_to, 0, 1);
  form->difficulty = add_drop_down(form, _("To find, as measured"), found, 2, 1);
  form->row++;
  gtk_drop_down_set_selected(form->level, FAULT_HARD);
  gtk_drop_down_set_selected(form->source, marked > 0 ? SOURCE_MARKED : SOURCE_CATALOGUE);
}

static void
on_another(DealForm *form)
{
  g_autofree char *seed = g_strdup_printf("%u", g_random_int());
  gtk_editable_set_text(form->seed, seed);
}

static void
add_counts(DealForm *form)
{
  form->versions = add_spin(form, _("Versions"), DEAL_MOST_VERSIONS, 0);
  form->faults = add_spin(form, _("Faults in each"), DEAL_MOST_FAULTS, 2);
  form->row++;
  form->seed = add_entry(form, _("Seed"), "1", 1);
  GtkWidget *another = gtk_button_new_with_label(_("Another seed"));
  gtk_widget_set_tooltip_text(another, _("The same seed deals the same set on every machine"));
  g_signal_connect_swapped(another, "clicked", G_CALLBACK(on_another), form);
  gtk_grid_attach(form->grid, another, 2, form->row++, 2, 1);
}

static void
add_sheet(DealForm *form)
{
  const SheetData *data = document_sheet(form->master);
  form->lesson = add_entry(form, _("Title of the lesson"), "", 3);
  const char *title = data->values[SHEET_TITLE].text;
  gtk_entry_set_placeholder_text(GTK_ENTRY(form->lesson),
                                 title != NULL && *title != '\0' ? title : _("As on the sheet"));
  form->row++;
  g_autoptr(GPtrArray) papers = g_ptr_array_new();
  g_ptr_array_add(papers, (gpointer)(guintptr)_("As the sheet"));
  for (const Paper *paper = sheet_papers; paper->name != NULL; paper++)
    g_ptr_array_add(papers, (gpointer)(guintptr)paper->name);
  g_ptr_array_add(papers, NULL);
  form->paper = add_drop_down(form, _("Paper"), (const char *const *)papers->pdata, 0, 1);
  form->mono = GTK_CHECK_BUTTON(gtk_check_button_new_with_label(_("Black ink only")));
  follow(form, form->mono, "toggled");
  gtk_grid_attach(form->grid, GTK_WIDGET(form->mono), 2, form->row++, 2, 1);
}

static void
on_choose(DealForm *form)
{
  g_signal_emit_by_name(form, "choose");
}

static void
add_output(DealForm *form, const char *name, const char *folder)
{
  g_autofree char *stem = g_strdup(name);
  char *dot = strrchr(stem, '.');
  if (dot != NULL && dot != stem)
    *dot = '\0';
  g_autofree char *leaf = g_strconcat(stem, "-exercises", NULL);
  g_autofree char *path = g_build_filename(folder != NULL ? folder : g_get_home_dir(), leaf, NULL);
  form->folder = add_entry(form, _("Folder"), path, 2);
  GtkWidget *choose = gtk_button_new_with_label(_("Choose\342\200\246"));
  g_signal_connect_swapped(choose, "clicked", G_CALLBACK(on_choose), form);
  gtk_grid_attach(form->grid, choose, 3, form->row++, 1, 1);
  for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
    form->parts[i] = GTK_CHECK_BUTTON(gtk_check_button_new_with_label(_(parts[i].title)));
    gtk_check_button_set_active(form->parts[i], TRUE);
    follow(form, form->parts[i], "toggled");
    gtk_grid_attach(form->grid, GTK_WIDGET(form->parts[i]), i % 2 == 0 ? 0 : 2,
                    form->row + (int)(i / 2), 2, 1);
  }
  form->row += (int)(G_N_ELEMENTS(parts) + 1) / 2;
}

void
deal_form_set_folder(DealForm *form, const char *path)
{
  gtk_editable_set_text(form->folder, path);
}

/* --- object --- */

static void
deal_form_finalize(GObject *object)
{
  g_free(DOORSHEET_DEAL_FORM(object)->file);
  G_OBJECT_CLASS(deal_form_parent_class)->finalize(object);
}

static void
deal_form_class_init(DealFormClass *class)
{
  G_OBJECT_CLASS(class)->finalize = deal_form_finalize;
  static const char *const names[] = {"changed", "choose"};
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
    g_signal_new(names[i], DEAL_FORM_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
deal_form_init(DealForm *form)
{
  gtk_orientable_set_orientation(GTK_ORIENTABLE(form), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing(GTK_BOX(form), 8);
  form->grid = GTK_GRID(gtk_grid_new());
  gtk_grid_set_column_spacing(form->grid, 10);
  gtk_grid_set_row_spacing(form->grid, 6);
  gtk_box_append(GTK_BOX(form), GTK_WIDGET(form->grid));
}

DealForm *
deal_form_new(const Document *master, const char *name, const char *folder)
{
  DealForm *form = g_object_new(DEAL_FORM_TYPE, NULL);
  form->master = master;
  form->file = folder != NULL ? g_build_filename(folder, name, NULL) : g_strdup(name);
  add_source(form);
  add_counts(form);
  add_sheet(form);
  add_output(form, name, folder);
  GtkWidget *command = pieces_label("", "dim-label");
  gtk_label_set_selectable(GTK_LABEL(command), TRUE);
  gtk_box_append(GTK_BOX(form), command);
  form->command = GTK_LABEL(command);
  on_changed(form);
  return form;
}
