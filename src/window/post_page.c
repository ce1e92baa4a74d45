/* SPDX-License-Identifier: MIT */
/* What the printed sheet says of itself, and the ways out: export and print. */
#include "desk/template.h"
#include "window/panels.h"

struct _PostPage {
  GtkBox parent;
  GtkWidget *title_block;
  GtkWidget *equipment;
  Session *session;
  FieldEntry *sheet_entries[SHEET_FIELD_COUNT];
  FieldEntry *equipment_entries[EQUIPMENT_FIELD_COUNT];
};

G_DEFINE_FINAL_TYPE(PostPage, post_page, GTK_TYPE_BOX)

static void
on_commit(FieldEntry *entry, const char *text, PostPage *page)
{
  bool equipment = gtk_widget_is_ancestor(GTK_WIDGET(entry), page->equipment);
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(session_get_document(page->session), equipment,
                                        field_entry_get_field(entry)->name, text, &error);
  if (change != NULL)
    session_try(page->session, change, &error);
  if (error != NULL)
    field_entry_set_error(entry, error->message);
}

static FieldEntry *
add(PostPage *page, GtkWidget *box, const FieldSpec *field)
{
  GtkWidget *entry = field_entry_new(field, NULL, false);
  g_signal_connect(entry, "commit", G_CALLBACK(on_commit), page);
  gtk_box_append(GTK_BOX(box), entry);
  return DOORSHEET_FIELD_ENTRY(entry);
}

static void
on_changed(Session *session, PostPage *page)
{
  const SheetData *data = document_sheet(session_get_document(session));
  if (page->sheet_entries[0] == NULL)
    return; /* not shown yet */
  for (int f = 0; f < SHEET_FIELD_COUNT; f++)
    field_entry_set_value(page->sheet_entries[f], &data->values[f]);
  for (int f = 0; f < EQUIPMENT_FIELD_COUNT; f++)
    field_entry_set_value(page->equipment_entries[f], &data->equipment[f]);
}

void
post_page_set_session(PostPage *page, Session *session)
{
  page->session = g_object_ref(session);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), page, 0);
}

/* The fields are made when the page is first shown: the job starts on another one, and the window
 * is there sooner. */
static void
post_page_map(GtkWidget *widget)
{
  PostPage *page = DOORSHEET_POST_PAGE(widget);
  if (page->sheet_entries[0] == NULL && page->session != NULL) {
    for (int f = 0; f < SHEET_FIELD_COUNT; f++)
      page->sheet_entries[f] = add(page, page->title_block, &sheet_data_fields[f]);
    for (int f = 0; f < EQUIPMENT_FIELD_COUNT; f++)
      page->equipment_entries[f] = add(page, page->equipment, &equipment_fields[f]);
    on_changed(page->session, page);
  }
  GTK_WIDGET_CLASS(post_page_parent_class)->map(widget);
}

static void
post_page_dispose(GObject *object)
{
  g_clear_object(&DOORSHEET_POST_PAGE(object)->session);
  G_OBJECT_CLASS(post_page_parent_class)->dispose(object);
}

static void
post_page_class_init(PostPageClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = post_page_dispose;
  widget_class->map = post_page_map;
  template_set(widget_class, "post_page.ui");
  gtk_widget_class_bind_template_child(widget_class, PostPage, title_block);
  gtk_widget_class_bind_template_child(widget_class, PostPage, equipment);
}

static void
post_page_init(PostPage *page)
{
  gtk_widget_init_template(GTK_WIDGET(page));
}
