/* SPDX-License-Identifier: MIT */
#include "desk/field_entry.h"

#include "base/language.h"

#include "desk/swatch.h"
#include "desk/template.h"
#include "desk/tip.h"
#include "desk/typed.h"
#include <string.h>

struct _FieldEntry {
  GtkBox parent;
  GtkWidget *line; /* title and editor side by side */
  GtkLabel *title;
  GtkLabel *problem;
  const FieldSpec *field;
  GtkWidget *editor;
  char *shown;                   /* the committed text */
  const char *word, *word_value; /* nullable */
  bool compact;
  bool optional; /* a list whose first entry means "not stated" */
  bool updating;
  FieldEntryCheck check; /* nullable */
  gpointer check_data;
};

G_DEFINE_FINAL_TYPE(FieldEntry, field_entry, GTK_TYPE_BOX)

static guint commit_event, judged_event;

void
panel_clear(GtkWidget *container)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child(container)) != NULL)
    gtk_widget_unparent(child);
}

GtkWidget *
panel_label(const char *text, const char *style_class)
{
  GtkWidget *label = gtk_label_new(text);
  gtk_label_set_xalign(GTK_LABEL(label), 0);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_wrap_mode(GTK_LABEL(label), PANGO_WRAP_WORD_CHAR);
  if (style_class != NULL)
    gtk_widget_add_css_class(label, style_class);
  return label;
}

void
field_entry_set_error(FieldEntry *entry, const char *message)
{
  bool wrong = message != NULL;
  if (wrong)
    gtk_widget_add_css_class(entry->editor, "error");
  else
    gtk_widget_remove_css_class(entry->editor, "error");
  gtk_label_set_text(entry->problem, wrong ? message : "");
  gtk_widget_set_visible(GTK_WIDGET(entry->problem), wrong && !entry->compact);
  tip_set(entry->editor, wrong ? message : _(entry->field->help));
  gtk_accessible_update_state(GTK_ACCESSIBLE(entry->editor), GTK_ACCESSIBLE_STATE_INVALID,
                              wrong ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE,
                              -1);
  gtk_accessible_update_property(GTK_ACCESSIBLE(entry->editor), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                 wrong ? message : _(entry->field->help), -1);
  g_signal_emit(entry, judged_event, 0, message);
}

/* What was typed as a file would write it, or NULL with error: it can mean two things. */
static char *
read_typed(const FieldEntry *entry, const char *text, GError **error)
{
  g_autofree char *stripped = g_strstrip(g_strdup(text));
  if (entry->word != NULL && g_ascii_strcasecmp(stripped, entry->word) == 0)
    return g_strdup(entry->word_value);
  return typed_text(entry->field, text, error);
}

static bool
acceptable(const FieldEntry *entry, const char *text, GError **error)
{
  Value value;
  value_init_defaults(&value, entry->field, 1);
  bool ok = value_set_text(&value, entry->field, *text != '\0' ? text : NULL, error);
  value_clear_all(&value, 1);
  if (!ok || entry->check == NULL)
    return ok;
  return entry->check(DOORSHEET_FIELD_ENTRY((gpointer)(guintptr)entry), *text != '\0' ? text : NULL,
                      entry->check_data, error);
}

/* As the file would write it when it is good; NULL with error. */
static char *
judge(const FieldEntry *entry, GError **error)
{
  const char *typed = gtk_editable_get_text(GTK_EDITABLE(entry->editor));
  g_autofree char *text = read_typed(entry, typed, error);
  if (text == NULL)
    return NULL;
  bool unchanged = g_strcmp0(text, entry->shown) == 0; /* what is there is not judged again */
  return unchanged || acceptable(entry, text, error) ? g_steal_pointer(&text) : NULL;
}

static void
commit(FieldEntry *entry, const char *text)
{
  if (g_strcmp0(text, entry->shown) == 0)
    return;
  g_autofree char *before = g_steal_pointer(&entry->shown);
  entry->shown = g_strdup(text);
  /* The receiver may rebuild the panel that holds this entry. */
  g_object_ref(entry);
  g_signal_emit(entry, commit_event, 0, *text != '\0' ? text : NULL);
  if (gtk_widget_has_css_class(entry->editor, "error")) { /* refused: Escape gets the old one */
    g_free(entry->shown);
    entry->shown = g_steal_pointer(&before);
  }
  g_object_unref(entry);
}

static void
show_text(FieldEntry *entry, const char *text)
{
  bool is_word = entry->word != NULL && strcmp(text, entry->word_value) == 0;
  entry->updating = true;
  gtk_editable_set_text(GTK_EDITABLE(entry->editor), is_word ? entry->word : text);
  entry->updating = false;
}

static void
commit_entry(FieldEntry *entry)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *text = judge(entry, &error);
  if (text == NULL) {
    field_entry_set_error(entry, error->message);
    return;
  }
  field_entry_set_error(entry, NULL);
  if (strcmp(text, gtk_editable_get_text(GTK_EDITABLE(entry->editor))) != 0)
    show_text(entry, text); /* with its unit */
  commit(entry, text);
}

static void
on_text(GtkEditable *editable, FieldEntry *entry)
{
  (void)editable;
  if (entry->updating)
    return;
  g_autoptr(GError) error = NULL;
  g_autofree char *text = judge(entry, &error);
  field_entry_set_error(entry, text != NULL ? NULL : error->message);
}

static void
on_activate(GtkEntry *editor, FieldEntry *entry)
{
  (void)editor;
  commit_entry(entry);
}

static void
on_focus_leave(GtkEventControllerFocus *focus, FieldEntry *entry)
{
  (void)focus;
  if (!gtk_widget_in_destruction(GTK_WIDGET(entry)) && gtk_widget_get_root(entry->editor) != NULL)
    commit_entry(entry);
}

static gboolean
on_key(GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, FieldEntry *entry)
{
  (void)keys;
  (void)code;
  (void)state;
  if (key != GDK_KEY_Escape)
    return FALSE;
  show_text(entry, entry->shown != NULL ? entry->shown : "");
  field_entry_set_error(entry, NULL);
  return TRUE;
}

static GtkWidget *
make_text(FieldEntry *entry)
{
  GtkWidget *editor = gtk_entry_new();
  gtk_editable_set_width_chars(GTK_EDITABLE(editor), entry->compact ? 5 : 10);
  gtk_editable_set_max_width_chars(GTK_EDITABLE(editor), entry->compact ? 6 : 14);
  if (entry->compact)
    gtk_widget_add_css_class(editor, "compact");
  if (entry->field->unit != UNIT_NONE) {
    g_autofree char *hint = g_strdup_printf(_("in %s"), unit_symbol(entry->field->unit));
    gtk_entry_set_placeholder_text(GTK_ENTRY(editor),
                                   entry->compact ? unit_symbol(entry->field->unit) : hint);
  }
  if (entry->field->is_colour)
    swatch_attach(GTK_ENTRY(editor));
  g_signal_connect(editor, "changed", G_CALLBACK(on_text), entry);
  g_signal_connect(editor, "activate", G_CALLBACK(on_activate), entry);
  GtkEventController *focus = gtk_event_controller_focus_new();
  g_signal_connect(focus, "leave", G_CALLBACK(on_focus_leave), entry);
  gtk_widget_add_controller(editor, focus);
  GtkEventController *keys = gtk_event_controller_key_new();
  g_signal_connect(keys, "key-pressed", G_CALLBACK(on_key), entry);
  gtk_widget_add_controller(editor, keys);
  return editor;
}

static void
on_choice(GtkDropDown *list, GParamSpec *property, FieldEntry *entry)
{
  (void)property;
  if (entry->updating)
    return;
  guint at = gtk_drop_down_get_selected(list);
  if (entry->optional && at == 0)
    commit(entry, "");
  else if (at != GTK_INVALID_LIST_POSITION)
    commit(entry, entry->field->choices[at - (entry->optional ? 1 : 0)]);
}

static GtkWidget *
make_list(FieldEntry *entry)
{
  entry->optional = entry->field->initial == NULL && !entry->field->required;
  GtkStringList *words = gtk_string_list_new(NULL);
  if (entry->optional)
    gtk_string_list_append(words, _("not stated"));
  for (guint i = 0; entry->field->choices[i] != NULL; i++) {
    /* The file's own word, or what it is called in the language of the window. */
    const char *choice = entry->field->choices[i], *called = _(choice);
    g_autofree char *word =
        called == choice ? g_strdelimit(g_strdup(choice), "-", ' ') : g_strdup(called);
    gtk_string_list_append(words, word);
  }
  GtkWidget *list = gtk_drop_down_new(G_LIST_MODEL(words), NULL);
  if (entry->compact)
    gtk_widget_add_css_class(list, "compact");
  g_signal_connect(list, "notify::selected", G_CALLBACK(on_choice), entry);
  return list;
}

static void
on_switch(GtkSwitch *toggle, GParamSpec *property, FieldEntry *entry)
{
  (void)property;
  if (!entry->updating)
    commit(entry, gtk_switch_get_active(toggle) ? "yes" : "no");
}

static GtkWidget *
make_switch(FieldEntry *entry)
{
  GtkWidget *toggle = gtk_switch_new();
  gtk_widget_set_halign(toggle, GTK_ALIGN_START);
  gtk_widget_set_valign(toggle, GTK_ALIGN_CENTER);
  g_signal_connect(toggle, "notify::active", G_CALLBACK(on_switch), entry);
  return toggle;
}

GtkWidget *
field_entry_new(const FieldSpec *field, const char *title, bool compact)
{
  FieldEntry *entry = g_object_new(FIELD_ENTRY_TYPE, NULL);
  entry->field = field;
  entry->compact = compact;
  if (field->type == FIELD_CHOICE)
    entry->editor = make_list(entry);
  else if (field->type == FIELD_BOOLEAN)
    entry->editor = make_switch(entry);
  else
    entry->editor = make_text(entry);
  gtk_widget_set_hexpand(entry->editor, TRUE);
  tip_set(entry->editor, _(field->help));
  gtk_box_append(GTK_BOX(entry->line), entry->editor);
  const char *name = title != NULL ? title : _(field->title);
  gtk_label_set_text(entry->title, name);
  gtk_widget_set_visible(GTK_WIDGET(entry->title), !compact);
  /* One name only: with both a label beside it and a label of its own, assistive technology would
   * hear the name twice. */
  if (compact)
    gtk_accessible_update_property(GTK_ACCESSIBLE(entry->editor), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   name, -1);
  else
    gtk_label_set_mnemonic_widget(entry->title, entry->editor);
  gtk_accessible_update_property(GTK_ACCESSIBLE(entry->editor), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                 _(field->help), -1);
  return GTK_WIDGET(entry);
}

void
field_entry_set_value(FieldEntry *entry, const Value *value)
{
  g_autofree char *text = value_dup_text(value, entry->field);
  const char *now = text != NULL ? text : "";
  if (g_strcmp0(now, entry->shown) == 0 && entry->field->type != FIELD_CHOICE)
    return;
  g_free(entry->shown);
  entry->shown = g_strdup(now);
  if (GTK_IS_EDITABLE(entry->editor)) {
    show_text(entry, now);
    field_entry_set_error(entry, NULL);
    return;
  }
  entry->updating = true;
  if (GTK_IS_SWITCH(entry->editor))
    gtk_switch_set_active(GTK_SWITCH(entry->editor), value->has_value && value->choice != 0);
  else if (value->has_value)
    gtk_drop_down_set_selected(GTK_DROP_DOWN(entry->editor),
                               (guint)value->choice + (entry->optional ? 1 : 0));
  else
    gtk_drop_down_set_selected(GTK_DROP_DOWN(entry->editor), 0);
  entry->updating = false;
}

void
field_entry_set_check(FieldEntry *entry, FieldEntryCheck check, gpointer data)
{
  entry->check = check;
  entry->check_data = data;
}

void
field_entry_set_word(FieldEntry *entry, const char *word, const char *value)
{
  entry->word = word;
  entry->word_value = value;
}

const FieldSpec *
field_entry_get_field(FieldEntry *entry)
{
  return entry->field;
}

GtkWidget *
field_entry_get_editor(FieldEntry *entry)
{
  return entry->editor;
}

static void
field_entry_finalize(GObject *object)
{
  g_free(DOORSHEET_FIELD_ENTRY(object)->shown);
  G_OBJECT_CLASS(field_entry_parent_class)->finalize(object);
}

static void
field_entry_class_init(FieldEntryClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->finalize = field_entry_finalize;
  template_set(widget_class, "field_entry.ui");
  gtk_widget_class_bind_template_child(widget_class, FieldEntry, line);
  gtk_widget_class_bind_template_child(widget_class, FieldEntry, title);
  gtk_widget_class_bind_template_child(widget_class, FieldEntry, problem);
  judged_event = g_signal_new("judged", FIELD_ENTRY_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                              G_TYPE_NONE, 1, G_TYPE_STRING);
  commit_event = g_signal_new("commit", FIELD_ENTRY_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                              G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
field_entry_init(FieldEntry *entry)
{
  gtk_widget_init_template(GTK_WIDGET(entry));
}
