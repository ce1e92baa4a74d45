/* SPDX-License-Identifier: MIT */
/* The window in Spanish: no English word on any page of any sample but those its user wrote, and
 * room for all of it in a window of 1024 by 700. */
#include "../window/drive.h"
#include "po.h"

#include "base/language.h"
#include "desk/keys.h"
#include "desk/preferences_window.h"
#include "desk/template.h"
#include "parts/catalog.h"
#include "window/window_main.h"
#include <string.h>

#define WIDTH 1024
#define HEIGHT 700

static GtkApplication *application;
static GHashTable *english, *own;

/* The place of a fault is named as in a file: "CR1, normally-open". */
static void
blank_file_words(char *text)
{
  PartCatalog catalog = parts_catalog();
  for (guint k = 0; catalog[k] != NULL; k++)
    for (guint f = 0; f < catalog[k]->n_fields; f++) {
      const char *const *choices = catalog[k]->fields[f].choices;
      for (guint c = 0; choices != NULL && choices[c] != NULL; c++) {
        char *at = strchr(choices[c], '-') != NULL ? strstr(text, choices[c]) : NULL;
        if (at != NULL)
          memset(at, ' ', strlen(choices[c]));
      }
    }
}

/* GTK says these itself, in the language of the locale it was started in. */
static const char *const of_gtk[] = {"Clear entry", "(None)",     "Alt+Up",
                                     "Alt+Down",    "Alt+Delete", NULL};

static void
check_text(const char *text, const char *where)
{
  if (text != NULL && g_strv_contains(of_gtk, text))
    return;
  g_autofree char *shown = g_strdup(text != NULL ? text : "");
  blank_file_words(shown);
  g_autofree char *word = po_find_english(shown, english, own);
  if (word != NULL)
    fail_msg("%s: \"%s\" is English: %s", where, word, text);
}

static guint texts_seen;

static void
check_list(GListModel *model, const char *where)
{
  for (guint i = 0; i < g_list_model_get_n_items(model); i++) {
    g_autoptr(GObject) item = g_list_model_get_item(model, i);
    if (GTK_IS_STRING_OBJECT(item))
      check_text(gtk_string_object_get_string(GTK_STRING_OBJECT(item)), where);
  }
}

static void
check_menu(GMenuModel *menu, const char *where)
{
  for (int i = 0; menu != NULL && i < g_menu_model_get_n_items(menu); i++) {
    g_autofree char *label = NULL;
    g_menu_model_get_item_attribute(menu, i, G_MENU_ATTRIBUTE_LABEL, "s", &label);
    check_text(label, where);
    static const char *const links[] = {G_MENU_LINK_SECTION, G_MENU_LINK_SUBMENU};
    for (guint k = 0; k < G_N_ELEMENTS(links); k++) {
      g_autoptr(GMenuModel) below = g_menu_model_get_item_link(menu, i, links[k]);
      check_menu(below, where);
    }
  }
}

static void
check_widget(GtkWidget *widget, const char *where)
{
  if (GTK_IS_LABEL(widget)) {
    check_text(gtk_label_get_text(GTK_LABEL(widget)), where);
    texts_seen++;
  }
  if (GTK_IS_ENTRY(widget))
    check_text(gtk_entry_get_placeholder_text(GTK_ENTRY(widget)), where);
  if (GTK_IS_SEARCH_ENTRY(widget)) {
    g_autofree char *text = NULL;
    g_object_get(widget, "placeholder-text", &text, NULL);
    check_text(text, where);
  }
  if (GTK_IS_DROP_DOWN(widget))
    check_list(gtk_drop_down_get_model(GTK_DROP_DOWN(widget)), where);
  if (GTK_IS_MENU_BUTTON(widget))
    check_menu(gtk_menu_button_get_menu_model(GTK_MENU_BUTTON(widget)), where);
  check_text(gtk_widget_get_tooltip_text(widget), where);
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    check_widget(child, where);
}

/* The widest way down, for whoever has to find what is too wide. */
static void
tell_widest(GtkWidget *widget, GtkOrientation orientation)
{
  GtkWidget *widest = NULL;
  int most = 0;
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    int least = 0;
    gtk_widget_measure(child, orientation, -1, &least, NULL, NULL, NULL);
    if (gtk_widget_get_visible(child) && least > most && !GTK_IS_NATIVE(child)) {
      most = least;
      widest = child;
    }
    if (gtk_widget_get_visible(child) && least > 60)
      print_message("    %s %s %d\n", G_OBJECT_TYPE_NAME(child), gtk_widget_get_name(child), least);
  }
  if (widest == NULL)
    return;
  print_message("%s %d %s\n", G_OBJECT_TYPE_NAME(widest), most,
                GTK_IS_LABEL(widest) ? gtk_label_get_text(GTK_LABEL(widest)) : "");
  tell_widest(widest, orientation);
}

static void
check_size(DoorsheetWindow *window, const char *where)
{
  int least = 0;
  gtk_widget_measure(GTK_WIDGET(window), GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
  if (least > WIDTH)
    tell_widest(GTK_WIDGET(window), GTK_ORIENTATION_HORIZONTAL);
  if (least > WIDTH)
    fail_msg("%s: the window needs %d pixels of width", where, least);
  gtk_widget_measure(GTK_WIDGET(window), GTK_ORIENTATION_VERTICAL, WIDTH, &least, NULL, NULL, NULL);
  if (least > HEIGHT)
    tell_widest(GTK_WIDGET(window), GTK_ORIENTATION_VERTICAL);
  if (least > HEIGHT)
    fail_msg("%s: the window needs %d pixels of height", where, least);
}

static void
add_fields(const FieldSpec *fields, guint n, const Value *values)
{
  for (guint i = 0; i < n; i++)
    if ((fields[i].type == FIELD_TEXT || fields[i].type == FIELD_NAME) && values[i].is_set &&
        values[i].text != NULL && !fields[i].is_colour)
      po_add_words(own, values[i].text);
}

/* What the user of this sheet wrote is his own in every language. */
static void
take_own_words(const Document *document)
{
  const SheetData *data = document_sheet(document);
  add_fields(sheet_data_fields, SHEET_FIELD_COUNT, data->values);
  add_fields(equipment_fields, EQUIPMENT_FIELD_COUNT, data->equipment);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    add_fields(device->kind->fields, device->kind->n_fields, device->values);
    for (guint r = 0; r < device_row_count(device); r++)
      add_fields(device->kind->row_fields, device->kind->n_row_fields, device_row(device, r));
  }
}

/* Also takes the names of the files as words: the start page lists them. */
static GPtrArray *
samples(void)
{
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", NULL);
  GPtrArray *paths = g_ptr_array_new_with_free_func(g_free);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir))
    if (g_str_has_suffix(name, ".doorsheet")) {
      g_ptr_array_add(paths, g_build_filename(folder, name, NULL));
      po_add_words(own, name);
    }
  assert_true(paths->len > 10);
  return paths;
}

static void
walk_pages(DoorsheetWindow *window, const char *what)
{
  static const char *const pages[] = {"measure", "land", "check", "read", "post", "lesson"};
  for (guint p = 0; p < G_N_ELEMENTS(pages); p++) {
    g_autofree char *where = g_strdup_printf("%s, %s", what, pages[p]);
    window_show_page(window, pages[p]);
    drive_settle();
    check_widget(GTK_WIDGET(window), where);
    check_size(window, where);
  }
}

static void
an_empty_window_is_spanish(void **state)
{
  g_autoptr(GPtrArray) paths = samples();
  DoorsheetWindow *window = drive_window(application);
  (void)state;
  texts_seen = 0;
  assert_true(paths->len > 0);
  walk_pages(window, "empty");
  assert_true(texts_seen > 100);
  drive_close(window);
}

static void
every_sample_is_spanish(void **state)
{
  g_autoptr(GPtrArray) paths = samples();
  (void)state;
  for (guint i = 0; i < paths->len; i++) {
    DoorsheetWindow *window = drive_window(application);
    Session *session = window_get_session(window);
    window_open(window, paths->pdata[i]);
    drive_settle();
    const Document *document = session_get_document(session);
    take_own_words(document);
    session_set_energized(session, i % 2 == 0);
    drive_settle();
    walk_pages(window, paths->pdata[i]);
    /* The nameplate of every device of every third sample. */
    window_show_page(window, "land");
    for (guint d = 0; i % 3 == 0 && d < document_device_count(document); d++) {
      session_select_device(session, document_device(document, d)->id, false);
      drive_settle();
      check_widget(GTK_WIDGET(window), document_device(document, d)->id);
      check_size(window, document_device(document, d)->id);
    }
    drive_close(window);
  }
}

static void
preferences_and_keys_are_spanish(void **state)
{
  DoorsheetWindow *window = drive_window(application);
  PreferencesWindow *preferences = preferences_window_new(GTK_WINDOW(window));
  (void)state;
  gtk_window_present(GTK_WINDOW(preferences));
  drive_settle();
  g_hash_table_add(own, g_strdup("english")); /* a language is called in itself */
  check_widget(GTK_WIDGET(preferences), "preferences");
  g_hash_table_remove(own, "english");
  gtk_window_destroy(GTK_WINDOW(preferences));
  guint n;
  const KeysRow *rows = keys_table(&n);
  for (guint i = 0; i < n; i++) {
    check_text(_(rows[i].section), "keys");
    check_text(_(rows[i].what), "keys");
    if (rows[i].keys != NULL)
      check_text(_(rows[i].keys), "keys");
  }
  drive_close(window);
}

/* What is marked is translated, entities and all; what is not stays to the letter. */
static void
templates_are_translated(void **state)
{
  static const char before[] =
      "<a name=\"x\"><!-- Save --><p name=\"label\" translatable=\"yes\">Save</p>"
      "<p translatable=\"yes\">Tom &amp; Jerry &lt;3</p><p>Save</p>"
      "<p translatable=\"yes\"></p></a>";
  static const char after[] =
      "<a name=\"x\"><!-- Save --><p name=\"label\" translatable=\"yes\">Guardar</p>"
      "<p translatable=\"yes\">Tom &amp; Jerry &lt;3</p><p>Save</p>"
      "<p translatable=\"yes\"></p></a>";
  (void)state;
  g_autofree char *translated = template_translate(before, strlen(before));
  assert_string_equal(translated, after);
  g_autofree char *cut = template_translate(before, 30); /* broken off anywhere: no harm */
  assert_int_equal(strlen(cut), 30);
  g_autofree char *nothing = template_translate("", 0);
  assert_string_equal(nothing, "");
}

int
main(void)
{
  g_autofree char *po = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "ui/po/es.po", NULL);
  g_autoptr(GPtrArray) catalogue = po_read(po);
  english = po_english_words(catalogue);
  own = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  language_set_default("es");
  application = drive_application();
  /* Sizes are those of the program's own style. */
  g_autoptr(GtkCssProvider) css = gtk_css_provider_new();
  gtk_css_provider_load_from_resource(css, "/org/doorsheet/Doorsheet/style.css");
  gtk_style_context_add_provider_for_display(gdk_display_get_default(), GTK_STYLE_PROVIDER(css),
                                             GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(templates_are_translated),
      cmocka_unit_test(an_empty_window_is_spanish),
      cmocka_unit_test(preferences_and_keys_are_spanish),
      cmocka_unit_test(every_sample_is_spanish),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  g_hash_table_unref(own);
  g_hash_table_unref(english);
  return failed;
}
