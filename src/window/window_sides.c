/* SPDX-License-Identifier: MIT */
#include "window/window_sides.h"

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

WindowSides
window_sides_new(const WindowPlaces *places, Session *session)
{
  ensure_types();
  g_autoptr(GtkBuilder) builder =
      gtk_builder_new_from_resource("/org/doorsheet/Doorsheet/ui/window_sides.ui");
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
  gtk_box_append(places->shelf, GTK_WIDGET(sides.shelf));
  gtk_box_append(places->clipboard, GTK_WIDGET(gtk_builder_get_object(builder, "switcher")));
  gtk_box_append(places->clipboard, GTK_WIDGET(gtk_builder_get_object(builder, "view")));
  gtk_box_append(places->meter, GTK_WIDGET(sides.meter));
  return sides;
}
