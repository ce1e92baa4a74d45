/* SPDX-License-Identifier: MIT */
#include "lesson/deal_dialog.h"

#include "base/language.h"
#include "lesson/deal_form.h"
#include "lesson/deal_job.h"
#include "lesson/pieces.h"

struct _DealDialog {
  GtkWindow parent;
  Document *master;
  const DealDialogHost *host;
  DealForm *form;
  DealJob *job; /* NULL: nothing is under way */
  GtkWidget *deal, *cancel, *replace, *show;
  GtkProgressBar *progress;
  GtkLabel *trouble;
  GtkBox *outcome;
  char *written; /* folder of the set that was written last */
};

G_DEFINE_FINAL_TYPE(DealDialog, deal_dialog, GTK_TYPE_WINDOW)

/* --- what comes of it --- */

static void
show_state(DealDialog *dialog)
{
  bool busy = dialog->job != NULL;
  gtk_widget_set_sensitive(GTK_WIDGET(dialog->form), !busy);
  gtk_widget_set_visible(GTK_WIDGET(dialog->progress), busy);
  gtk_widget_set_sensitive(dialog->deal, !busy && deal_form_is_complete(dialog->form));
  gtk_button_set_label(GTK_BUTTON(dialog->cancel), busy ? _("Stop") : _("Close"));
  gtk_widget_set_visible(dialog->show, !busy && dialog->written != NULL);
}

static void
show_trouble(DealDialog *dialog, const char *text)
{
  gtk_label_set_text(dialog->trouble, text != NULL ? text : "");
  gtk_widget_set_visible(GTK_WIDGET(dialog->trouble), text != NULL);
}

static void
clear_outcome(DealDialog *dialog)
{
  pieces_clear(dialog->outcome);
  show_trouble(dialog, NULL);
  gtk_widget_set_visible(dialog->replace, FALSE);
  g_clear_pointer(&dialog->written, g_free);
}

static char *
count_text(FaultLevel level, guint n)
{
  switch (level) {
  case FAULT_EASY:
    return g_strdup_printf(_("%u easy"), n);
  case FAULT_MEDIUM:
    return g_strdup_printf(_("%u medium"), n);
  case FAULT_HARD:
    break;
  }
  return g_strdup_printf(_("%u hard"), n);
}

/* "3 easy, 1 hard". New string. */
static char *
counts_text(const Deal *deal)
{
  guint counts[FAULT_HARD + 1] = {0};
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < deal->versions->len; i++)
    counts[((const DealtVersion *)deal->versions->pdata[i])->difficulty]++;
  for (guint i = 0; i <= FAULT_HARD; i++) {
    g_autofree char *one = count_text((FaultLevel)i, counts[i]);
    if (counts[i] > 0)
      g_string_append_printf(text, "%s%s", text->len > 0 ? ", " : "", one);
  }
  return g_string_free(text, FALSE);
}

/* Reasons told; the file of proofs has them all. */
#define REASONS_MOST 6

static void
show_outcome(DealDialog *dialog, const Deal *deal)
{
  guint n = deal->versions->len;
  g_autofree char *counts = counts_text(deal);
  g_autofree char *done =
      g_strdup_printf(language_plural("%u version is dealt (%s). It is in %s.",
                                      "%u versions are dealt (%s). They are in %s.", n),
                      n, counts, dialog->written);
  g_autofree char *set = g_strdup_printf(_("Set %.12s"), deal->digest);
  gtk_box_append(dialog->outcome, pieces_label(done, "heading"));
  gtk_box_append(dialog->outcome, pieces_label(set, "dim-label"));
  for (guint i = 0; i < MIN(deal->refusals->len, REASONS_MOST); i++) {
    const DealRefusal *refusal = deal->refusals->pdata[i];
    g_autofree char *text =
        g_strdup_printf(language_plural("%u was drawn and not dealt: %s",
                                        "%u were drawn and not dealt: %s", refusal->count),
                        refusal->count, refusal->why);
    gtk_box_append(dialog->outcome, pieces_label(text, NULL));
  }
  if (deal->refusals->len > REASONS_MOST)
    gtk_box_append(dialog->outcome,
                   pieces_label(_("Other reasons stand in fairness.txt."), "dim-label"));
}

static char *
progress_text(HandoutStage stage, guint done, guint total)
{
  switch (stage) {
  case HANDOUT_TRYING:
    return g_strdup_printf(_("Trying every fault of the catalogue: %u of %u"), done, total);
  case HANDOUT_DEALING:
    return g_strdup_printf(_("Dealing: version %u of %u"), done, total);
  case HANDOUT_WRITING:
    break;
  }
  return g_strdup_printf(_("Writing: version %u of %u"), done, total);
}

static void
on_progress(HandoutStage stage, guint done, guint total, gpointer data)
{
  DealDialog *dialog = data;
  if (total == 0) {
    gtk_progress_bar_pulse(dialog->progress);
    return;
  }
  g_autofree char *text = progress_text(stage, done, total);
  gtk_progress_bar_set_text(dialog->progress, text);
  gtk_progress_bar_set_fraction(dialog->progress, MIN(1.0, (double)done / total));
}

static void
on_done(const Deal *deal, const GError *error, gpointer data)
{
  DealDialog *dialog = data;
  g_clear_pointer(&dialog->job, deal_job_free);
  if (deal != NULL) {
    dialog->written = deal_form_dup_folder(dialog->form);
    show_outcome(dialog, deal);
  } else if (g_error_matches(error, G_IO_ERROR, G_IO_ERROR_CANCELLED)) {
    show_trouble(dialog, _("Stopped. Versions that were written before stay in the folder."));
  } else {
    show_trouble(dialog, error->message);
    gtk_widget_set_visible(dialog->replace,
                           g_error_matches(error, HANDOUT_ERROR, HANDOUT_ERROR_EXISTS));
  }
  show_state(dialog);
  gtk_widget_grab_focus(dialog->written != NULL                   ? dialog->show
                        : gtk_widget_get_visible(dialog->replace) ? dialog->replace
                                                                  : dialog->deal);
}

/* --- buttons --- */

static void
start(DealDialog *dialog, bool replace)
{
  DealOrder order;
  HandoutOptions options;
  g_autofree char *why = deal_form_get(dialog->form, &order, &options);
  if (dialog->job != NULL)
    return;
  clear_outcome(dialog);
  if (why != NULL) {
    show_trouble(dialog, why);
    return;
  }
  options.replace = replace;
  g_autofree char *folder = deal_form_dup_folder(dialog->form);
  gtk_progress_bar_set_text(dialog->progress, _("Checking the sheet"));
  gtk_progress_bar_set_fraction(dialog->progress, 0);
  dialog->job =
      deal_job_new(dialog->master, &order, folder, &options, on_progress, on_done, dialog);
  show_state(dialog);
  gtk_widget_grab_focus(dialog->cancel);
}

static void
on_deal(DealDialog *dialog)
{
  start(dialog, false);
}

static void
on_replace(DealDialog *dialog)
{
  start(dialog, true);
}

static void
on_cancel(DealDialog *dialog)
{
  if (dialog->job != NULL)
    deal_job_cancel(dialog->job);
  else
    gtk_window_close(GTK_WINDOW(dialog));
}

static void
on_show(DealDialog *dialog)
{
  if (dialog->written != NULL)
    dialog->host->show_folder(GTK_WINDOW(dialog), dialog->written);
}

static void
on_chosen(const char *path, gpointer data)
{
  g_autoptr(DealDialog) dialog = data;
  if (path != NULL && dialog->host != NULL && dialog->form != NULL)
    deal_form_set_folder(dialog->form, path);
}

static void
on_choose(DealDialog *dialog)
{
  g_autofree char *folder = deal_form_dup_folder(dialog->form);
  bool there = g_file_test(folder, G_FILE_TEST_IS_DIR);
  g_autofree char *above = there ? NULL : g_path_get_dirname(folder);
  dialog->host->choose_folder(GTK_WINDOW(dialog), there ? folder : above, on_chosen,
                              g_object_ref(dialog));
}

static void
on_form(DealDialog *dialog)
{
  if (dialog->job != NULL)
    return;
  if (gtk_widget_get_visible(dialog->replace)) { /* it was about another order */
    show_trouble(dialog, NULL);
    gtk_widget_set_visible(dialog->replace, FALSE);
  }
  show_state(dialog);
}

/* --- object --- */

static void
deal_dialog_dispose(GObject *object)
{
  DealDialog *dialog = DOORSHEET_DEAL_DIALOG(object);
  g_clear_pointer(&dialog->job, deal_job_free);
  g_clear_pointer(&dialog->master, document_free);
  g_clear_pointer(&dialog->written, g_free);
  dialog->form = NULL;
  G_OBJECT_CLASS(deal_dialog_parent_class)->dispose(object);
}

static void
deal_dialog_class_init(DealDialogClass *class)
{
  G_OBJECT_CLASS(class)->dispose = deal_dialog_dispose;
}

static GtkWidget *
add_button(DealDialog *dialog, GtkWidget *row, const char *text, GCallback callback)
{
  GtkWidget *button = gtk_button_new_with_label(text);
  g_signal_connect_swapped(button, "clicked", callback, dialog);
  gtk_box_append(GTK_BOX(row), button);
  return button;
}

static void
deal_dialog_init(DealDialog *dialog)
{
  gtk_window_set_modal(GTK_WINDOW(dialog), TRUE);
  gtk_window_set_destroy_with_parent(GTK_WINDOW(dialog), TRUE);
  gtk_widget_add_css_class(GTK_WIDGET(dialog), "dealing");
  GtkEventController *keys = gtk_shortcut_controller_new();
  gtk_shortcut_controller_add_shortcut(GTK_SHORTCUT_CONTROLLER(keys),
                                       gtk_shortcut_new(gtk_keyval_trigger_new(GDK_KEY_Escape, 0),
                                                        gtk_named_action_new("window.close")));
  gtk_widget_add_controller(GTK_WIDGET(dialog), keys);
}

static void
build_outcome(DealDialog *dialog, GtkBox *box)
{
  dialog->progress = GTK_PROGRESS_BAR(gtk_progress_bar_new());
  gtk_progress_bar_set_show_text(dialog->progress, TRUE);
  pieces_name(GTK_WIDGET(dialog->progress), _("Dealing"));
  gtk_box_append(box, GTK_WIDGET(dialog->progress));
  dialog->trouble = GTK_LABEL(pieces_label("", "problem"));
  gtk_box_append(box, GTK_WIDGET(dialog->trouble));
  dialog->outcome = pieces_column(box);
}

static void
build_buttons(DealDialog *dialog, GtkBox *box)
{
  GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_halign(row, GTK_ALIGN_END);
  dialog->cancel = add_button(dialog, row, _("Close"), G_CALLBACK(on_cancel));
  dialog->show = add_button(dialog, row, _("Show the folder"), G_CALLBACK(on_show));
  dialog->replace = add_button(dialog, row, _("Write over what is there"), G_CALLBACK(on_replace));
  dialog->deal = add_button(dialog, row, _("Deal"), G_CALLBACK(on_deal));
  gtk_widget_add_css_class(dialog->replace, "destructive-action");
  gtk_widget_add_css_class(dialog->deal, "suggested-action");
  gtk_widget_set_visible(dialog->replace, FALSE);
  gtk_box_append(box, row);
}

static void
build(DealDialog *dialog)
{
  GtkWidget *all = gtk_box_new(GTK_ORIENTATION_VERTICAL, 10);
  GtkWidget *scrolled = gtk_scrolled_window_new();
  GtkWidget *inner = gtk_box_new(GTK_ORIENTATION_VERTICAL, 10);
  gtk_box_append(GTK_BOX(inner), pieces_label(_("Deal exercises"), "heading"));
  gtk_box_append(GTK_BOX(inner), GTK_WIDGET(dialog->form));
  build_outcome(dialog, GTK_BOX(inner));
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scrolled), inner);
  pieces_name(scrolled, _("Choices for dealing"));
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scrolled), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height(GTK_SCROLLED_WINDOW(scrolled), TRUE);
  gtk_widget_set_vexpand(scrolled, TRUE);
  gtk_box_append(GTK_BOX(all), scrolled);
  build_buttons(dialog, GTK_BOX(all));
  gtk_window_set_child(GTK_WINDOW(dialog), all);
}

DealDialog *
deal_dialog_show(GtkWindow *parent, const Document *master, const char *name, const char *folder,
                 const DealDialogHost *host)
{
  DealDialog *dialog = g_object_new(DEAL_DIALOG_TYPE, "transient-for", parent, NULL);
  gtk_window_set_title(GTK_WINDOW(dialog), _("Deal exercises"));
  gtk_window_set_default_size(GTK_WINDOW(dialog), 640, 600);
  dialog->host = host;
  dialog->master = document_snapshot(master);
  dialog->form = deal_form_new(dialog->master, name, folder);
  build(dialog);
  g_signal_connect_object(dialog->form, "changed", G_CALLBACK(on_form), dialog, G_CONNECT_SWAPPED);
  g_signal_connect_object(dialog->form, "choose", G_CALLBACK(on_choose), dialog, G_CONNECT_SWAPPED);
  show_trouble(dialog, NULL);
  show_state(dialog);
  gtk_window_present(GTK_WINDOW(dialog));
  return dialog;
}
