/* SPDX-License-Identifier: MIT */
/* Enclosures: an outline drawn round devices, and what goes with it when it is moved. */
#include "diagram/edit_private.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

/* Room between an outline and what it holds, grid steps; its title needs more above. */
#define MARGIN_STEPS 2
#define TITLE_STEPS 3

static bool
is_outline(const Device *device)
{
  return device->kind->role == ROLE_OUTLINE;
}

static Rect
outline_box(const Device *outline)
{
  Rect own = {0, 0, device_number_named(outline, "width", 0),
              device_number_named(outline, "height", 0)};
  return placement_apply_rect(outline->placement, own);
}

/* A device is where its own zero point is, as the checks have it; an outline has to lie in it
 * wholly, or a large one would go with a small one at its corner. */
static bool
holds(Rect box, const Device *outline, const Device *device)
{
  if (device == outline)
    return false;
  return is_outline(device) ? rect_holds(box, outline_box(device))
                            : rect_contains(box, device->placement.at);
}

char **
edit_with_contents(const Document *document, const char *const *ids)
{
  g_autoptr(GPtrArray) all = g_ptr_array_new();
  g_autoptr(GHashTable) there = g_hash_table_new(g_str_hash, g_str_equal);
  for (; ids != NULL && *ids != NULL; ids++)
    if (g_hash_table_add(there, (gpointer)(gintptr)*ids))
      g_ptr_array_add(all, g_strdup(*ids));
  /* What an outline holds goes behind the list, so that outlines within outlines are met too. */
  for (guint i = 0; i < all->len; i++) {
    const Device *outline = document_find_device(document, all->pdata[i]);
    if (outline == NULL || !is_outline(outline))
      continue;
    Rect box = outline_box(outline);
    for (guint d = 0; d < document_device_count(document); d++) {
      const Device *device = document_device(document, d);
      if (holds(box, outline, device) && g_hash_table_add(there, device->id))
        g_ptr_array_add(all, g_strdup(device->id));
    }
  }
  g_ptr_array_add(all, NULL);
  return (char **)g_ptr_array_free(g_steal_pointer(&all), FALSE);
}

static const PartKind *
outline_kind(const Document *document)
{
  for (PartCatalog kind = document_catalog(document); *kind != NULL; kind++)
    if ((*kind)->role == ROLE_OUTLINE)
      return *kind;
  return NULL;
}

static double
grid_down(double value)
{
  return floor(value / GRID_STEP_MM) * GRID_STEP_MM;
}

static bool
set_size(Device *outline, const char *field, double size, GError **error)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(number, sizeof number, "%.4g", size);
  g_autofree char *text = g_strconcat(number, " mm", NULL);
  return device_set(outline, field, text, error);
}

Change *
edit_group(const Document *document, const char *const *ids, Rect around, char **id, GError **error)
{
  const PartKind *kind = outline_kind(document);
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  if (kind == NULL || devices->len == 0) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE,
                _("nothing is selected: select the devices of one enclosure first"));
    return NULL;
  }
  for (guint i = 0; i < devices->len; i++)
    around = rect_include(around, ((Device *)devices->pdata[i])->placement.at);
  double left = grid_down(around.x) - MARGIN_STEPS * GRID_STEP_MM;
  double top = grid_down(around.y) - TITLE_STEPS * GRID_STEP_MM;
  double right = -grid_down(-around.x - around.width) + MARGIN_STEPS * GRID_STEP_MM;
  double bottom = -grid_down(-around.y - around.height) + MARGIN_STEPS * GRID_STEP_MM;
  g_autofree char *own_id = document_free_id(document, kind->designation);
  g_autoptr(Device) outline = device_new(kind, own_id);
  outline->placement.at = edit_place_point((Point){left, top});
  if (!set_size(outline, "width", right - left, error) ||
      !set_size(outline, "height", bottom - top, error))
    return NULL;
  device_derive(outline, NULL);
  g_autofree char *title = edit_title(EDIT_GROUP, devices);
  Change *change = change_new(title);
  change_device(change, NULL, outline);
  if (id != NULL)
    *id = g_steal_pointer(&own_id);
  return change;
}

Change *
edit_ungroup(const Document *document, const char *const *ids, GError **error)
{
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  g_autoptr(GPtrArray) outlines = g_ptr_array_new();
  for (guint i = 0; i < devices->len; i++)
    if (is_outline(devices->pdata[i]))
      g_ptr_array_add(outlines, devices->pdata[i]);
  if (outlines->len == 0) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE,
                _("no outline is selected: click its dashed line first"));
    return NULL;
  }
  g_autofree char *title = edit_title(EDIT_UNGROUP, outlines);
  Change *change = change_new(title);
  for (guint i = 0; i < outlines->len; i++)
    change_device(change, outlines->pdata[i], NULL);
  return change;
}
