/* SPDX-License-Identifier: MIT */
/* Commands on conductors and probes, each without a mouse. */
#include "window/window.h"

#define COMMAND(name)                                                                              \
  static void name(GSimpleAction *action G_GNUC_UNUSED, GVariant *parameter G_GNUC_UNUSED,         \
                   gpointer data)

COMMAND(do_land)
{
  canvas_land(window_get_canvas(DOORSHEET_WINDOW(data)));
}

COMMAND(do_land_from)
{
  canvas_land_from(window_get_canvas(DOORSHEET_WINDOW(data)),
                   g_variant_get_string(parameter, NULL));
}

COMMAND(do_next_conductor)
{
  canvas_walk_conductor(window_get_canvas(DOORSHEET_WINDOW(data)), 1);
}

COMMAND(do_previous_conductor)
{
  canvas_walk_conductor(window_get_canvas(DOORSHEET_WINDOW(data)), -1);
}

COMMAND(do_reland)
{
  canvas_reland(window_get_canvas(DOORSHEET_WINDOW(data)), false);
}

COMMAND(do_reland_start)
{
  canvas_reland(window_get_canvas(DOORSHEET_WINDOW(data)), true);
}

COMMAND(do_bend)
{
  canvas_bend(window_get_canvas(DOORSHEET_WINDOW(data)));
}

COMMAND(do_straighten)
{
  canvas_straighten(window_get_canvas(DOORSHEET_WINDOW(data)));
}

COMMAND(do_extend_next)
{
  canvas_extend(window_get_canvas(DOORSHEET_WINDOW(data)), 1);
}

COMMAND(do_extend_previous)
{
  canvas_extend(window_get_canvas(DOORSHEET_WINDOW(data)), -1);
}

COMMAND(do_probe_red)
{
  canvas_take_probe(window_get_canvas(DOORSHEET_WINDOW(data)), PROBE_RED);
}

COMMAND(do_probe_black)
{
  canvas_take_probe(window_get_canvas(DOORSHEET_WINDOW(data)), PROBE_BLACK);
}

void
window_conductors_init(DoorsheetWindow *window)
{
  static const GActionEntry entries[] = {
      {.name = "land", .activate = do_land},
      {.name = "land-from", .activate = do_land_from, .parameter_type = "s"},
      {.name = "next-conductor", .activate = do_next_conductor},
      {.name = "previous-conductor", .activate = do_previous_conductor},
      {.name = "reland", .activate = do_reland},
      {.name = "reland-start", .activate = do_reland_start},
      {.name = "bend", .activate = do_bend},
      {.name = "straighten", .activate = do_straighten},
      {.name = "extend-next", .activate = do_extend_next},
      {.name = "extend-previous", .activate = do_extend_previous},
      {.name = "probe-red", .activate = do_probe_red},
      {.name = "probe-black", .activate = do_probe_black},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
}
