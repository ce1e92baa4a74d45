/* SPDX-License-Identifier: MIT */
#include "lesson/exercise_repairs.h"

#include "base/language.h"
#include "desk/field_entry.h"
#include "grade/repair.h"
#include "grade/touch.h"
#include "handout/seen.h"
#include "lesson/pieces.h"

#include <string.h>

struct ExerciseRepairs {
  Session *session;
  GtkBox *nameplate, *entries, *buttons;
  GtkLabel *title;
  char *built_for;    /* what the entries are of; NULL: nothing */
  GPtrArray *widgets; /* of FieldEntry *, borrowed */
};

/* What one thing is selected; both NULL: not one. */
typedef struct {
  const Device *device;
  const Conductor *conductor;
} Chosen;

static Chosen
chosen(Session *session)
{
  guint n;
  const Document *document = session_get_document(session);
  const guint32 *keys = session_get_selected_conductors(session, &n);
  guint devices = session_get_selected_device_count(session);
  Chosen it = {NULL, NULL};
  if (devices == 1 && n == 0)
    it.device = document_find_device(document, session_get_selected_devices(session)[0]);
  else if (devices == 0 && n == 1)
    it.conductor = document_find_conductor(document, keys[0]);
  return it;
}

char *
exercise_repairs_dup_place(Session *session)
{
  Chosen it = chosen(session);
  const Document *document = session_get_document(session);
  if (it.device != NULL)
    return g_strdup(it.device->id);
  if (it.conductor == NULL)
    return NULL;
  const char *number = conductor_text(it.conductor, CONDUCTOR_NUMBER);
  guint alike = 0;
  for (guint i = 0; *number != '\0' && i < document_conductor_count(document); i++)
    alike += strcmp(conductor_text(document_conductor(document, i), CONDUCTOR_NUMBER), number) == 0;
  if (alike <= 1)
    return conductor_dup_name(it.conductor);
  g_autofree char *from = landing_dup_name(&it.conductor->from);
  g_autofree char *to = landing_dup_name(&it.conductor->to);
  return g_strdup_printf("conductor %s-%s", from, to);
}

/* --- the nameplate --- */

static void
add_line(ExerciseRepairs *repairs, const char *title, const char *text)
{
  g_autofree char *line = g_strdup_printf("%s: %s", title, text);
  gtk_box_append(repairs->nameplate, pieces_label(line, NULL));
}

/* One row of a nameplate in one line: "H2 primary 208 V brown". New string; NULL: nothing in it but
 * its name. */
static char *
row_text(const PartKind *kind, const Value *row)
{
  g_autoptr(GString) text = g_string_new(NULL);
  guint n = 0;
  for (guint f = 0; f < kind->n_row_fields; f++) {
    g_autofree char *value =
        row[f].has_value ? value_dup_text(&row[f], &kind->row_fields[f]) : NULL;
    if (value != NULL)
      g_string_append_printf(text, "%s%s", n++ > 0 ? "  " : "", value);
  }
  return n > 1 ? g_strdup(text->str) : NULL;
}

/* What is printed on it and is no entry below. */
static void
show_nameplate(ExerciseRepairs *repairs, const Device *device)
{
  const PartKind *kind = device->kind;
  for (guint i = 0; i < kind->n_fields; i++) {
    const FieldSpec *field = &kind->fields[i];
    bool state =
        g_strcmp0(field->name, kind->operate_field) == 0 && touch_concealed_field(device) == (int)i;
    /* A supply has no nameplate: what somebody wrote down of it, and no more. */
    bool told = kind->role == ROLE_SUPPLY ? device->values[i].is_set : device->values[i].has_value;
    if (!told || repair_may_differ(device, i) || state || strcmp(field->name, "designation") == 0)
      continue;
    g_autofree char *text = value_dup_text(&device->values[i], field);
    if (text != NULL && *text != '\0')
      add_line(repairs, _(field->title), text);
  }
  for (guint r = 0; r < device_row_count(device); r++) {
    g_autofree char *text = row_text(kind, device_row(device, r));
    if (text != NULL)
      gtk_box_append(repairs->nameplate, pieces_label(text, "nameplate-row"));
  }
}

/* --- entries --- */

static void
on_commit(FieldEntry *entry, const char *text, ExerciseRepairs *repairs)
{
  Chosen it = chosen(repairs->session);
  const Document *document = session_get_document(repairs->session);
  const char *name = field_entry_get_field(entry)->name;
  GError *error = NULL;
  Change *change = NULL;
  if (it.device != NULL)
    change = edit_set_field(document, it.device->id, name, text, &error);
  else if (it.conductor != NULL)
    change = edit_set_conductor_field(document, it.conductor->key, name, text, &error);
  if (change != NULL)
    session_try(repairs->session, change, &error);
  if (error != NULL)
    field_entry_set_error(entry, error->message);
  g_clear_error(&error);
}

static void
add_entry(ExerciseRepairs *repairs, const FieldSpec *field)
{
  GtkWidget *entry = field_entry_new(field, NULL, false);
  g_signal_connect(entry, "commit", G_CALLBACK(on_commit), repairs);
  gtk_box_append(repairs->entries, entry);
  g_ptr_array_add(repairs->widgets, entry);
}

static void
build_entries(ExerciseRepairs *repairs, Chosen it)
{
  pieces_clear(repairs->entries);
  g_ptr_array_set_size(repairs->widgets, 0);
  for (guint i = 0; it.device != NULL && i < it.device->kind->n_fields; i++)
    if (repair_may_differ(it.device, i))
      add_entry(repairs, &it.device->kind->fields[i]);
  for (guint i = 0; it.conductor != NULL && i < CONDUCTOR_FIELD_COUNT; i++)
    if (repair_conductor_may_differ((ConductorField)i))
      add_entry(repairs, &conductor_fields[i]);
}

static void
fill_entries(ExerciseRepairs *repairs, Chosen it)
{
  for (guint i = 0; i < repairs->widgets->len; i++) {
    FieldEntry *entry = repairs->widgets->pdata[i];
    const FieldSpec *field = field_entry_get_field(entry);
    const Value *value = it.device != NULL ? &it.device->values[field - it.device->kind->fields]
                                           : &it.conductor->values[field - conductor_fields];
    field_entry_set_value(entry, value);
    field_entry_set_error(entry, NULL);
  }
}

/* --- buttons --- */

/* A sound one in place of the selected: same ratings, whole inside. */
static void
on_replace(GtkButton *button, ExerciseRepairs *repairs)
{
  (void)button;
  Chosen it = chosen(repairs->session);
  const Document *document = session_get_document(repairs->session);
  g_autofree char *place = exercise_repairs_dup_place(repairs->session);
  GError *error = NULL;
  Change *change = NULL;
  if (it.device != NULL && touch_concealed_field(it.device) >= 0)
    change = edit_set_field(document, it.device->id, it.device->kind->operate_field, NULL, &error);
  else if (it.conductor != NULL)
    change = edit_set_conductor_field(document, it.conductor->key,
                                      conductor_fields[CONDUCTOR_CONDITION].name, NULL, &error);
  if (change != NULL && change_is_empty(change))
    session_say(repairs->session, _("%s was sound: nothing is different now."), place);
  session_edit(repairs->session, change, error);
}

static void
on_operate(GtkButton *button, ExerciseRepairs *repairs)
{
  (void)button;
  Chosen it = chosen(repairs->session);
  GError *error = NULL;
  if (it.device == NULL)
    return;
  Change *change = edit_operate(session_get_document(repairs->session), it.device->id, &error);
  session_edit(repairs->session, change, error);
}

static void
on_take_off(GtkButton *button, ExerciseRepairs *repairs)
{
  (void)button;
  guint n;
  const guint32 *keys = session_get_selected_conductors(repairs->session, &n);
  session_edit(repairs->session,
               edit_delete(session_get_document(repairs->session),
                           session_get_selected_devices(repairs->session), keys, n),
               NULL);
}

static void
build_buttons(ExerciseRepairs *repairs, Chosen it)
{
  pieces_clear(repairs->buttons);
  bool concealed = it.device != NULL && touch_concealed_field(it.device) >= 0;
  if (it.conductor != NULL || concealed)
    pieces_button(repairs->buttons, _("Replace what is selected"), G_CALLBACK(on_replace), repairs);
  if (it.device != NULL && it.device->kind->operate_field != NULL && !concealed)
    pieces_button(repairs->buttons, _("Throw its handle"), G_CALLBACK(on_operate), repairs);
  if (it.conductor != NULL || (it.device != NULL && repair_offers(it.device->kind)))
    pieces_button(repairs->buttons, _("Take it off"), G_CALLBACK(on_take_off), repairs);
}

/* --- together --- */

static char *
title_of(Chosen it, const char *place)
{
  if (it.device != NULL)
    return g_strdup_printf("%s, %s", device_designation(it.device), _(it.device->kind->title));
  if (it.conductor == NULL)
    return g_strdup(_("Select one device or conductor: its nameplate and what can be done with it "
                      "show here."));
  g_autofree char *from = landing_dup_name(&it.conductor->from);
  g_autofree char *to = landing_dup_name(&it.conductor->to);
  return g_strdup_printf(_("%s, from %s to %s"), place, from, to);
}

void
exercise_repairs_show(ExerciseRepairs *repairs)
{
  Chosen it = chosen(repairs->session);
  g_autofree char *place = exercise_repairs_dup_place(repairs->session);
  g_autofree char *title = title_of(it, place);
  gtk_label_set_text(repairs->title, title);
  if (place != NULL)
    gtk_widget_add_css_class(GTK_WIDGET(repairs->title), "place");
  else
    gtk_widget_remove_css_class(GTK_WIDGET(repairs->title), "place");
  pieces_clear(repairs->nameplate);
  if (it.device != NULL) {
    /* The rule of the paper holds here too. */
    g_autoptr(Document) seen = seen_document(session_get_document(repairs->session));
    show_nameplate(repairs, document_find_device(seen, it.device->id));
  }
  g_autofree char *key =
      it.conductor != NULL ? g_strdup_printf("conductor %u", it.conductor->key) : g_strdup(place);
  if (g_strcmp0(key, repairs->built_for) != 0) {
    build_entries(repairs, it);
    build_buttons(repairs, it);
    g_free(repairs->built_for);
    repairs->built_for = g_steal_pointer(&key);
  }
  fill_entries(repairs, it);
}

ExerciseRepairs *
exercise_repairs_new(GtkBox *into, Session *session)
{
  ExerciseRepairs *repairs = g_new0(ExerciseRepairs, 1);
  repairs->session = g_object_ref(session);
  repairs->widgets = g_ptr_array_new();
  gtk_box_append(into, pieces_label(_("Nameplate and repairs"), "heading"));
  repairs->title = GTK_LABEL(pieces_label("", "place"));
  gtk_box_append(into, GTK_WIDGET(repairs->title));
  repairs->nameplate = pieces_column(into);
  repairs->entries = pieces_column(into);
  repairs->buttons = pieces_column(into);
  gtk_box_append(into, pieces_label(_("Drag a conductor's end to land it elsewhere, or a terminal "
                                      "to another to land a new one. Caps, splices and grounds "
                                      "are on the shelf."),
                                    "dim-label"));
  return repairs;
}

void
exercise_repairs_free(ExerciseRepairs *repairs)
{
  if (repairs == NULL)
    return;
  g_ptr_array_unref(repairs->widgets);
  g_free(repairs->built_for);
  g_object_unref(repairs->session);
  g_free(repairs);
}
