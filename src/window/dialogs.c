/* SPDX-License-Identifier: MIT */
#include "window/dialogs.h"

#include "base/language.h"

/* --- files --- */

typedef struct {
  DialogsFileDone done;
  gpointer data;
} FileAsk;

static void
on_file_response(GtkNativeDialog *dialog, int response, FileAsk *ask)
{
  g_autoptr(GFile) file = NULL;
  if (response == GTK_RESPONSE_ACCEPT)
    file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
  g_autofree char *path = file != NULL ? g_file_get_path(file) : NULL;
  gtk_native_dialog_hide(dialog);
  ask->done(path, ask->data);
  g_free(ask);
  g_object_unref(dialog);
}

void
dialogs_file(GtkWindow *parent, const DialogsFile *file, DialogsFileDone done, gpointer data)
{
  GtkFileChooserAction action =
      file->choose_folder ? GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER
      : file->save        ? GTK_FILE_CHOOSER_ACTION_SAVE
                          : GTK_FILE_CHOOSER_ACTION_OPEN;
  GtkFileChooserNative *dialog =
      gtk_file_chooser_native_new(file->title, parent, action, file->accept, _("Cancel"));
  if (file->folder != NULL) {
    g_autoptr(GFile) folder = g_file_new_for_path(file->folder);
    gtk_file_chooser_set_current_folder(GTK_FILE_CHOOSER(dialog), folder, NULL);
  }
  if (file->save && file->name != NULL)
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), file->name);
  if (file->patterns != NULL) {
    g_autoptr(GtkFileFilter) filter = gtk_file_filter_new();
    gtk_file_filter_set_name(filter, file->filter_title);
    for (guint i = 0; file->patterns[i] != NULL; i++)
      gtk_file_filter_add_pattern(filter, file->patterns[i]);
    gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(dialog), filter);
    g_autoptr(GtkFileFilter) all = gtk_file_filter_new();
    gtk_file_filter_set_name(all, _("All files"));
    gtk_file_filter_add_pattern(all, "*");
    gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(dialog), all);
  }
  FileAsk *ask = g_new0(FileAsk, 1);
  ask->done = done;
  ask->data = data;
  g_signal_connect(dialog, "response", G_CALLBACK(on_file_response), ask);
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

/* --- boxes --- */

static GtkWindow *
make_box(GtkWindow *parent, const char *title)
{
  GtkWindow *box = GTK_WINDOW(gtk_window_new());
  gtk_window_set_title(box, title);
  gtk_window_set_transient_for(box, parent);
  gtk_window_set_modal(box, TRUE);
  gtk_window_set_resizable(box, FALSE);
  gtk_window_set_destroy_with_parent(box, TRUE);
  gtk_widget_add_css_class(GTK_WIDGET(box), "question");
  GtkEventController *keys = gtk_shortcut_controller_new();
  gtk_shortcut_controller_add_shortcut(GTK_SHORTCUT_CONTROLLER(keys),
                                       gtk_shortcut_new(gtk_keyval_trigger_new(GDK_KEY_Escape, 0),
                                                        gtk_named_action_new("window.close")));
  gtk_widget_add_controller(GTK_WIDGET(box), keys);
  return box;
}

static GtkWidget *
make_content(GtkWindow *box, const char *heading, const char *text)
{
  GtkWidget *content = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
  GtkWidget *title = gtk_label_new(heading);
  gtk_label_set_wrap(GTK_LABEL(title), TRUE);
  gtk_label_set_max_width_chars(GTK_LABEL(title), 44);
  gtk_label_set_xalign(GTK_LABEL(title), 0);
  gtk_widget_add_css_class(title, "heading");
  gtk_box_append(GTK_BOX(content), title);
  if (text != NULL) {
    GtkWidget *body = gtk_label_new(text);
    gtk_label_set_wrap(GTK_LABEL(body), TRUE);
    gtk_label_set_max_width_chars(GTK_LABEL(body), 44);
    gtk_label_set_xalign(GTK_LABEL(body), 0);
    gtk_label_set_selectable(GTK_LABEL(body), FALSE);
    gtk_box_append(GTK_BOX(content), body);
  }
  gtk_window_set_child(box, content);
  return content;
}

typedef struct {
  DialogsAnswer answer;
  gpointer data;
  GtkWindow *box;
  bool answered;
} Ask;

static void
on_answer(GtkButton *button, Ask *ask)
{
  int index = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(button), "index"));
  DialogsAnswer answer = ask->answer;
  gpointer data = ask->data;
  ask->answered = true;
  gtk_window_destroy(ask->box);
  if (answer != NULL)
    answer(index, data);
}

static void
on_ask_gone(GtkWidget *box, Ask *ask)
{
  (void)box;
  if (!ask->answered && ask->answer != NULL)
    ask->answer(-1, ask->data);
  g_free(ask);
}

void
dialogs_ask(GtkWindow *parent, const char *heading, const char *text, const char *const *buttons,
            DialogsAnswer answer, gpointer data)
{
  GtkWindow *box = make_box(parent, "Doorsheet");
  GtkWidget *content = make_content(box, heading, text);
  GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_halign(row, GTK_ALIGN_END);
  Ask *ask = g_new0(Ask, 1);
  *ask = (Ask){.answer = answer, .data = data, .box = box};
  GtkWidget *usual = NULL;
  for (int i = 0; buttons[i] != NULL; i++) {
    usual = gtk_button_new_with_label(_(buttons[i]));
    g_object_set_data(G_OBJECT(usual), "index", GINT_TO_POINTER(i));
    g_signal_connect(usual, "clicked", G_CALLBACK(on_answer), ask);
    gtk_box_append(GTK_BOX(row), usual);
  }
  gtk_widget_add_css_class(usual, "suggested-action");
  gtk_box_append(GTK_BOX(content), row);
  g_signal_connect(box, "destroy", G_CALLBACK(on_ask_gone), ask);
  gtk_window_present(box);
  gtk_widget_grab_focus(usual);
}

/* --- folders --- */

void
dialogs_show_folder(GtkWindow *parent, const char *path)
{
  static const char *const buttons[] = {N_("Close"), NULL};
  g_autoptr(GError) error = NULL;
  g_autofree char *uri = g_filename_to_uri(path, NULL, &error);
  if (uri != NULL && g_app_info_launch_default_for_uri(uri, NULL, &error))
    return;
  g_autofree char *text = g_strdup_printf(
      _("The folder is %s. No file manager could be asked to show it: %s"), path, error->message);
  dialogs_ask(parent, _("The folder cannot be shown here"), text, buttons, NULL, NULL);
}

/* --- a word --- */

typedef struct {
  DialogsFileDone done;
  gpointer data;
  GtkWindow *box;
  GtkWidget *entry;
  bool answered;
} WordAsk;

static void
on_word(GtkWidget *source, WordAsk *ask)
{
  (void)source;
  g_autofree char *word = g_strstrip(g_strdup(gtk_editable_get_text(GTK_EDITABLE(ask->entry))));
  DialogsFileDone done = ask->done;
  gpointer data = ask->data;
  ask->answered = true;
  gtk_window_destroy(ask->box);
  done(word, data);
}

static void
on_word_gone(GtkWidget *box, WordAsk *ask)
{
  (void)box;
  if (!ask->answered)
    ask->done(NULL, ask->data);
  g_free(ask);
}

void
dialogs_word(GtkWindow *parent, const char *heading, const char *accept, DialogsFileDone done,
             gpointer data)
{
  const DialogsName name = {.heading = heading, .accept = accept};
  dialogs_name(parent, &name, done, data);
}

void
dialogs_name(GtkWindow *parent, const DialogsName *name, DialogsFileDone done, gpointer data)
{
  const char *heading = name->heading;
  GtkWindow *box = make_box(parent, heading);
  GtkWidget *content = make_content(box, heading, name->text);
  WordAsk *ask = g_new0(WordAsk, 1);
  *ask = (WordAsk){.done = done, .data = data, .box = box, .entry = gtk_entry_new()};
  gtk_editable_set_width_chars(GTK_EDITABLE(ask->entry), 28);
  gtk_accessible_update_property(GTK_ACCESSIBLE(ask->entry), GTK_ACCESSIBLE_PROPERTY_LABEL, heading,
                                 -1);
  if (name->proposal != NULL)
    gtk_editable_set_text(GTK_EDITABLE(ask->entry), name->proposal);
  GtkWidget *button = gtk_button_new_with_label(name->accept);
  gtk_widget_set_halign(button, GTK_ALIGN_END);
  gtk_widget_add_css_class(button, "suggested-action");
  gtk_box_append(GTK_BOX(content), ask->entry);
  gtk_box_append(GTK_BOX(content), button);
  g_signal_connect(ask->entry, "activate", G_CALLBACK(on_word), ask);
  g_signal_connect(button, "clicked", G_CALLBACK(on_word), ask);
  g_signal_connect(box, "destroy", G_CALLBACK(on_word_gone), ask);
  gtk_window_present(box);
  gtk_widget_grab_focus(ask->entry); /* selects what is in it */
}

/* --- shortcuts --- */

void
dialogs_shortcuts(GtkWindow *parent, const DialogsShortcut *shortcuts)
{
  GtkWindow *box = make_box(parent, _("Keyboard"));
  gtk_window_set_resizable(box, TRUE);
  gtk_window_set_default_size(box, 640, 560);
  GtkWidget *scrolled = gtk_scrolled_window_new();
  gtk_accessible_update_property(GTK_ACCESSIBLE(scrolled), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 _("All keys"), -1);
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scrolled), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  GtkWidget *grid = gtk_grid_new();
  gtk_widget_add_css_class(grid, "shortcuts");
  gtk_grid_set_column_spacing(GTK_GRID(grid), 18);
  gtk_grid_set_row_spacing(GTK_GRID(grid), 5);
  const char *section = NULL;
  int row = 0;
  for (const DialogsShortcut *s = shortcuts; s->section != NULL; s++) {
    if (s->section != section) {
      GtkWidget *title = gtk_label_new(s->section);
      gtk_label_set_xalign(GTK_LABEL(title), 0);
      gtk_widget_add_css_class(title, "section");
      gtk_grid_attach(GTK_GRID(grid), title, 0, row++, 2, 1);
      section = s->section;
    }
    GtkWidget *keys = gtk_label_new(s->keys), *what = gtk_label_new(s->what);
    gtk_label_set_xalign(GTK_LABEL(keys), 0);
    gtk_label_set_xalign(GTK_LABEL(what), 0);
    gtk_label_set_wrap(GTK_LABEL(what), TRUE);
    gtk_widget_set_hexpand(what, TRUE);
    gtk_widget_add_css_class(keys, "keys");
    gtk_grid_attach(GTK_GRID(grid), keys, 0, row, 1, 1);
    gtk_grid_attach(GTK_GRID(grid), what, 1, row++, 1, 1);
  }
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scrolled), grid);
  gtk_window_set_child(box, scrolled);
  gtk_window_present(box);
}
