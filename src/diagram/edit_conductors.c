/* SPDX-License-Identifier: MIT */
/* Landing conductors, routing them, and noting what the meter showed. */
#include "diagram/edit_private.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

Change *
edit_land(const Document *document, const Landing *from, const Landing *to, GError **error)
{
  if (!edit_check_landing(document, from, error) || !edit_check_landing(document, to, error) ||
      !edit_check_pair(document, from, to, NULL, error))
    return NULL;
  g_autoptr(Conductor) conductor =
      conductor_new(from->device, from->terminal, to->device, to->terminal);
  g_autofree char *from_name = landing_dup_name(from);
  g_autofree char *to_name = landing_dup_name(to);
  g_autofree char *title = g_strdup_printf(_("Land %s on %s"), from_name, to_name);
  Change *change = change_new(title);
  change_conductor(change, NULL, conductor);
  return change;
}

Change *
edit_reland(const Document *document, guint32 key, bool from_end, const Landing *to, GError **error)
{
  const Conductor *before = edit_find_conductor(document, key, error);
  if (before == NULL || !edit_check_landing(document, to, error) ||
      !edit_check_pair(document, from_end ? &before->to : &before->from, to, before, error))
    return NULL;
  g_autoptr(Conductor) after = conductor_copy(before);
  Landing *end = from_end ? &after->from : &after->to;
  Landing moved = landing_make(to->device, to->terminal);
  landing_clear(end);
  *end = moved;
  g_autofree char *name = conductor_dup_name(before);
  g_autofree char *to_name = landing_dup_name(to);
  g_autofree char *title = g_strdup_printf(_("Move %s to %s"), name, to_name);
  Change *change = change_new(title);
  if (!conductor_equal(before, after))
    change_conductor(change, before, after);
  return change;
}

/* --- splicing into a conductor --- */

static const PartKind *
splice_kind(const Document *document)
{
  for (PartCatalog kind = document_catalog(document); *kind != NULL; kind++)
    if ((*kind)->role == ROLE_SPLICE)
      return *kind;
  return NULL;
}

/* The three ends take the splice's terminals in turn; the last one holds what is left over. */
static Landing
splice_landing(const Device *splice, guint end)
{
  guint terminal = MIN(end, device_terminal_count(splice) - 1);
  return landing_make(splice->id, device_terminal(splice, terminal)->name);
}

/* Where a conductor is cut: how many bends come before, and which share of its drawn length. */
typedef struct {
  guint bends;
  double share;
} Cut;

static Cut
find_cut(const Document *document, const Conductor *conductor, Point at)
{
  g_autoptr(GArray) path = g_array_new(FALSE, FALSE, sizeof(Point));
  const Device *device;
  guint terminal;
  if (!document_resolve(document, &conductor->from, &device, &terminal))
    return (Cut){0, 0.5};
  Point point = device_terminal_point(device, terminal);
  g_array_append_val(path, point);
  if (conductor->via->len > 0)
    g_array_append_vals(path, conductor->via->data, conductor->via->len);
  if (document_resolve(document, &conductor->to, &device, &terminal)) {
    point = device_terminal_point(device, terminal);
    g_array_append_val(path, point);
  }
  const Point *points = (const Point *)(gpointer)path->data;
  Cut cut = {0, 0.5};
  double before = 0.0, total = 0.0, nearest = (double)INFINITY;
  for (guint i = 0; i + 1 < path->len; i++) {
    double distance = point_segment_distance(at, points[i], points[i + 1]);
    if (distance < nearest) {
      nearest = distance;
      cut.bends = i;
      before = total + point_distance(points[i], at);
    }
    total += point_distance(points[i], points[i + 1]);
  }
  if (total > 0.0)
    cut.share = CLAMP(before / total, 0.0, 1.0);
  return cut;
}

/* Both parts together stay as long as the conductor was, to a hundredth of its unit. */
static void
share_length(const Conductor *whole, Conductor *first, Conductor *second, double share)
{
  const Value *length = &whole->values[CONDUCTOR_LENGTH];
  if (!length->is_set)
    return;
  const FieldSpec *field = &conductor_fields[CONDUCTOR_LENGTH];
  Quantity near = length->low, far = length->low;
  near.value = round(length->low.value * share * 100.0) / 100.0;
  far.value = round((length->low.value - near.value) * 1e9) / 1e9;
  g_autofree char *near_text = quantity_format(near);
  g_autofree char *far_text = quantity_format(far);
  value_set_text(&first->values[CONDUCTOR_LENGTH], field, near_text, NULL);
  value_set_text(&second->values[CONDUCTOR_LENGTH], field, far_text, NULL);
}

static void
split_conductor(const Document *document, const Conductor *whole, const Device *splice, Point at,
                Change *change)
{
  Cut cut = find_cut(document, whole, at);
  g_autoptr(Conductor) first = conductor_copy(whole);
  g_autoptr(Conductor) second = conductor_copy(whole);
  second->key = 0;
  landing_clear(&first->to);
  first->to = splice_landing(splice, 0);
  landing_clear(&second->from);
  second->from = splice_landing(splice, 1);
  g_array_set_size(first->via, cut.bends);
  if (cut.bends > 0)
    g_array_remove_range(second->via, 0, cut.bends);
  share_length(whole, first, second, cut.share);
  change_conductor(change, whole, first);
  change_conductor(change, NULL, second);
}

static bool
check_branch(const Conductor *conductor, const Landing *from, GError **error)
{
  if (!landing_equal(from, &conductor->from) && !landing_equal(from, &conductor->to))
    return true;
  g_autofree char *name = conductor_dup_name(conductor);
  g_autofree char *terminal = landing_dup_name(from);
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING, _("%s already lands on %s"), name,
              terminal);
  return false;
}

Change *
edit_land_on_conductor(const Document *document, const Landing *from, guint32 key, Point at,
                       GError **error)
{
  const Conductor *whole = edit_find_conductor(document, key, error);
  if (whole == NULL || !edit_check_landing(document, from, error) ||
      !check_branch(whole, from, error))
    return NULL;
  const PartKind *kind = splice_kind(document);
  if (kind == NULL) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING,
                _("there is no splice among the parts; land on a terminal instead"));
    return NULL;
  }
  g_autofree char *id = document_free_id(document, kind->designation);
  g_autoptr(Device) splice = device_new(kind, id);
  splice->placement.at = edit_place_point(at);
  if (device_terminal_count(splice) == 0) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING, _("the splice has no terminals"));
    return NULL;
  }
  g_autofree char *from_name = landing_dup_name(from);
  g_autofree char *name = conductor_dup_name(whole);
  g_autofree char *title = g_strdup_printf(_("Splice %s into %s"), from_name, name);
  Change *change = change_new(title);
  change_device(change, NULL, splice);
  split_conductor(document, whole, splice, splice->placement.at, change);
  Landing end = splice_landing(splice, 2);
  g_autoptr(Conductor) branch =
      conductor_new(from->device, from->terminal, end.device, end.terminal);
  landing_clear(&end);
  change_conductor(change, NULL, branch);
  return change;
}

Change *
edit_set_via(const Document *document, guint32 key, const Point *via, guint n)
{
  const Conductor *before = document_find_conductor(document, key);
  if (before == NULL)
    return change_new(_("Route conductor"));
  g_autofree char *name = conductor_dup_name(before);
  g_autofree char *title = g_strdup_printf(_("Route %s"), name);
  Change *change = change_new(title);
  g_autoptr(Conductor) after = conductor_copy(before);
  g_array_set_size(after->via, 0);
  for (guint i = 0; i < MIN(n, DOCUMENT_MAX_BENDS); i++) {
    Point point = edit_place_point(via[i]);
    g_array_append_val(after->via, point);
  }
  if (!conductor_equal(before, after))
    change_conductor(change, before, after);
  return change;
}
