/* SPDX-License-Identifier: MIT */
/* What an empty sheet offers the three people: the measured supply, a sound sample to draft from,
 * and a faulty one to find. */
#include "desk/template.h"
#include "window/panels.h"

#include "base/language.h"
#include <string.h>

struct _StartPage {
  GtkBox parent;
  GtkWidget *sound;
  GtkWidget *faulty;
  GtkLabel *technician_text, *designer_text, *instructor_text;
};

G_DEFINE_FINAL_TYPE(StartPage, start_page, GTK_TYPE_BOX)

#ifndef DOORSHEET_SAMPLES
#define DOORSHEET_SAMPLES "/usr/share/doorsheet/samples"
#endif

char *
start_page_dup_samples(void)
{
  const char *given = g_getenv("DOORSHEET_SAMPLES");
  if (given != NULL && g_file_test(given, G_FILE_TEST_IS_DIR))
    return g_strdup(given);
  if (g_file_test(DOORSHEET_SAMPLES, G_FILE_TEST_IS_DIR))
    return g_strdup(DOORSHEET_SAMPLES);
#ifdef DOORSHEET_SOURCE_SAMPLES
  if (g_file_test(DOORSHEET_SOURCE_SAMPLES, G_FILE_TEST_IS_DIR))
    return g_strdup(DOORSHEET_SOURCE_SAMPLES);
#endif
  return NULL;
}

static int
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static GPtrArray *
list_samples(const char *folder, bool faulty)
{
  GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
  g_autofree char *sub = g_build_filename(folder, faulty ? "faulty" : "sound", NULL);
  bool has_sub = g_file_test(sub, G_FILE_TEST_IS_DIR);
  const char *from = has_sub ? sub : folder;
  g_autoptr(GDir) dir = g_dir_open(from, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
    bool is_faulty =
        has_sub ? faulty : strstr(name, "fault") != NULL || strstr(name, "bad") != NULL;
    bool is_lesson = g_str_has_prefix(name, "lesson-"); /* opened from, or dealt by, a teacher */
    if (g_str_has_suffix(name, ".doorsheet") && !is_lesson && is_faulty == faulty)
      g_ptr_array_add(names, g_build_filename(from, name, NULL));
  }
  g_ptr_array_sort(names, compare_names);
  return names;
}

#define SAMPLES_MOST 7

static void
fill(GtkWidget *box, const char *folder, bool faulty)
{
  g_autoptr(GPtrArray) names = folder != NULL ? list_samples(folder, faulty) : g_ptr_array_new();
  for (guint i = 0; i < MIN(names->len, SAMPLES_MOST); i++) {
    const char *path = names->pdata[i];
    g_autofree char *base = g_path_get_basename(path);
    base[strlen(base) - strlen(".doorsheet")] = '\0';
    g_strdelimit(base, "-_", ' ');
    base[0] = g_ascii_toupper(base[0]);
    GtkWidget *button = gtk_button_new_with_label(base);
    GtkWidget *label = gtk_button_get_child(GTK_BUTTON(button));
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_widget_add_css_class(button, "flat");
    gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.open-sample");
    gtk_actionable_set_action_target(GTK_ACTIONABLE(button), "s", path);
    gtk_box_append(GTK_BOX(box), button);
  }
  if (names->len == 0)
    gtk_box_append(GTK_BOX(box), panel_label(_("The samples are not installed."), "dim-label"));
}

#define LINE_CHARACTERS 22
#define WIDE_CHARACTERS 28 /* beside a button */

/* A label that wraps by itself is laid out for one width after another until the page around it
 * has found its own, hundreds of times in the first frame. */
static void
break_lines(GtkLabel *label, glong most)
{
  g_auto(GStrv) words = g_strsplit(gtk_label_get_label(label), " ", -1);
  g_autoptr(GString) text = g_string_new(NULL);
  glong column = 0;
  for (guint i = 0; words[i] != NULL; i++) {
    glong length = g_utf8_strlen(words[i], -1);
    bool breaks = column > 0 && column + 1 + length > most;
    if (i > 0)
      g_string_append_c(text, breaks ? '\n' : ' ');
    g_string_append(text, words[i]);
    column = breaks ? length : column + 1 + length;
  }
  gtk_label_set_label(label, text->str);
}

static void
start_page_class_init(StartPageClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  template_set(widget_class, "start_page.ui");
  gtk_widget_class_bind_template_child(widget_class, StartPage, sound);
  gtk_widget_class_bind_template_child(widget_class, StartPage, faulty);
  gtk_widget_class_bind_template_child(widget_class, StartPage, technician_text);
  gtk_widget_class_bind_template_child(widget_class, StartPage, designer_text);
  gtk_widget_class_bind_template_child(widget_class, StartPage, instructor_text);
}

static void
start_page_init(StartPage *page)
{
  gtk_widget_init_template(GTK_WIDGET(page));
  break_lines(page->technician_text, WIDE_CHARACTERS);
  break_lines(page->designer_text, LINE_CHARACTERS);
  break_lines(page->instructor_text, LINE_CHARACTERS);
}

void
start_page_complete(StartPage *page)
{
  g_autofree char *folder = start_page_dup_samples();
  fill(page->sound, folder, false);
  fill(page->faulty, folder, true);
}
