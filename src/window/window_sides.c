/* SPDX-License-Identifier: MIT */
#include "window/window_sides.h"

#include "base/language.h"
#include "desk/template.h"
#include "desk/tip.h"
#include "grade/repair.h"
#include "window/window_main.h"

static void
ensure_types(void)
{
  g_type_ensure(SHELF_TYPE);
  g_type_ensure(MEASURE_PAGE_TYPE);
  g_type_ensure(LAND_PAGE_TYPE);
  g_type_ensure(CHECK_PAGE_TYPE);
  g_type_ensure(READ_PAGE_TYPE);
  g_type_ensure(POST_PAGE_TYPE);
  g_type_ensure(METER_STRIP_TYPE);
}

void
window_sides_follow(const WindowSides *sides)
{
  bool exercise = exercise_page_is_active(sides->exercise_page);
  shelf_set_offers(sides->shelf, exercise ? repair_offers : NULL);
  static const char *const names[] = {"measure", "land", "check", "read", "post", "exercise"};
  if (exercise)
    gtk_stack_set_visible_child_name(sides->pages, "exercise");
  for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
    GtkWidget *child = gtk_stack_get_child_by_name(sides->pages, names[i]);
    gtk_stack_page_set_visible(gtk_stack_get_page(sides->pages, child),
                               exercise == (child == GTK_WIDGET(sides->exercise_page)));
  }
  gtk_stack_page_set_visible(gtk_stack_get_page(sides->pages, GTK_WIDGET(sides->deal_page)),
                             !exercise && deal_page_is_wanted(sides->deal_page));
}

WindowSides
window_sides_new(const WindowPlaces *places, Session *session)
{
  ensure_types();
  g_autoptr(GtkBuilder) builder = template_builder_new("window_sides.ui");
#define TAKE(name) .name = (gpointer)gtk_builder_get_object(builder, #name)
  WindowSides sides = {TAKE(shelf),      TAKE(pages),     TAKE(measure_page), TAKE(land_page),
                       TAKE(check_page), TAKE(read_page), TAKE(post_page),    TAKE(meter)};
#undef TAKE
  shelf_set_catalog(sides.shelf, document_catalog(session_get_document(session)));
  measure_page_set_session(sides.measure_page, session);
  land_page_set_session(sides.land_page, session);
  check_page_set_session(sides.check_page, session);
  read_page_set_session(sides.read_page, session);
  post_page_set_session(sides.post_page, session);
  meter_strip_set_session(sides.meter, session);
  sides.exercise_page = exercise_page_new(session, GTK_WIDGET(sides.meter));
  GtkStackPage *exercise =
      gtk_stack_add_titled(sides.pages, GTK_WIDGET(sides.exercise_page), "exercise", _("Exercise"));
  gtk_stack_page_set_visible(exercise, FALSE);
  sides.deal_page = deal_page_new(session, places->canvas);
  GtkStackPage *lesson =
      gtk_stack_add_titled(sides.pages, GTK_WIDGET(sides.deal_page), "lesson", _("Lesson"));
  gtk_stack_page_set_visible(lesson, FALSE);
  gtk_box_append(places->shelf, GTK_WIDGET(sides.shelf));
  gtk_box_append(places->clipboard, GTK_WIDGET(gtk_builder_get_object(builder, "switcher")));
  gtk_box_append(places->clipboard, GTK_WIDGET(gtk_builder_get_object(builder, "view")));
  gtk_box_append(places->meter, GTK_WIDGET(sides.meter));
  return sides;
}

/* --- the header --- */

typedef struct {
  const char *child, *tooltip;
} HeaderChild;

static const HeaderChild header_children[] = {
    {"header", NULL},
    {"open", N_("Open a sheet (Ctrl+O)")},
    {"recent", N_("Sheets opened lately")},
    {"save", N_("Save (Ctrl+S)")},
    {"undo", N_("Undo (Ctrl+Z)")},
    {"redo", N_("Redo (Ctrl+Shift+Z)")},
    {"menu", N_("Menu")},
    {"locked", N_("Locked out: what the meter should read with the disconnect open (F5)")},
    {"energized", N_("Energized: what the meter should read live (F5)")},
};

void
window_header_bind(GtkWidgetClass *class)
{
  for (guint i = 0; i < G_N_ELEMENTS(header_children); i++)
    gtk_widget_class_bind_template_child_full(class, header_children[i].child, FALSE, 0);
}

/* Each tooltip asks the display server where the pointer is and waits for the answer; each menu is
 * a popover with all its rows; the window's buttons wait for the icon theme to be read. */
GMenu *
window_header_complete(GtkWidget *window)
{
  GType type = G_OBJECT_TYPE(window);
#define CHILD(name) ((gpointer)gtk_widget_get_template_child(GTK_WIDGET(window), type, name))
  gtk_header_bar_set_show_title_buttons(CHILD("header"), TRUE);
  gtk_window_set_icon_name(GTK_WINDOW(window), WINDOW_APPLICATION_ID);
  for (guint i = 0; i < G_N_ELEMENTS(header_children); i++)
    if (header_children[i].tooltip != NULL)
      tip_set(CHILD(header_children[i].child), _(header_children[i].tooltip));
  g_autoptr(GtkBuilder) builder = template_builder_new("window_menus.ui");
  GMenuModel *recent = G_MENU_MODEL(gtk_builder_get_object(builder, "recent_menu"));
  gtk_menu_button_set_menu_model(CHILD("recent"), recent);
  gtk_menu_button_set_menu_model(CHILD("menu"),
                                 G_MENU_MODEL(gtk_builder_get_object(builder, "main_menu")));
#undef CHILD
  return G_MENU(recent);
}
