/* SPDX-License-Identifier: MIT */
#include "circuit/build.h"

#include "base/language.h"
#include "circuit/strays.h"

#include "tables/conductor.h"
#include <math.h>

void
build_note(Stamp *stamp, const char *check, const char *title, Signal signal, char *take_message,
           char *take_remedy)
{
  Finding *finding = finding_new(check, title, signal, _("common practice, no source"),
                                 take_message, take_remedy, NULL);
  if (stamp->source != NULL)
    finding_add_place(finding, "%s", stamp->source->id);
  g_ptr_array_add(stamp->circuit->findings, finding);
}

/* ------------------------------------------------------------------------------------ devices */

static void
number_nodes(Circuit *circuit)
{
  guint n_devices = document_device_count(circuit->document);
  circuit->first_node = g_new(guint, MAX(n_devices, 1));
  guint next = 1;
  for (guint device = 0; device < n_devices; device++) {
    circuit->first_node[device] = next;
    next += device_terminal_count(document_device(circuit->document, device));
  }
  circuit->n_nodes = next;
  circuit->places = g_renew(NodePlace, circuit->places, next);
  circuit->places[0] = (NodePlace){.device = G_MAXUINT, .terminal = G_MAXUINT};
  for (guint device = 0; device < n_devices; device++) {
    guint n = device_terminal_count(document_device(circuit->document, device));
    for (guint terminal = 0; terminal < n; terminal++)
      circuit->places[circuit->first_node[device] + terminal] =
          (NodePlace){.device = device, .terminal = terminal};
  }
}

static void
stamp_device(Circuit *circuit, guint index)
{
  const Device *device = document_device(circuit->document, index);
  Stamp stamp = {.circuit = circuit, .device = index, .source = device};
  for (guint terminal = 0; terminal < device_terminal_count(device); terminal++)
    if (device_terminal(device, terminal)->role == TERMINAL_EARTH)
      stamp_join(&stamp, (int)terminal, STAMP_EARTH,
                 (Join){.role = JOIN_BOND, .closed = true, .owner.part = terminal});
  if (device->kind->stamp != NULL)
    device->kind->stamp(device, &stamp);
}

/* --------------------------------------------------------------------------------- conductors */

static double
supply_frequency(const Circuit *circuit)
{
  for (guint i = 0; i < circuit->supplies->len; i++) {
    double frequency = circuit_item(circuit->supplies, CircuitSupply, i)->frequency;
    if (frequency > 0)
      return frequency;
  }
  return 60;
}

/* 0 when size or length is not known: such a conductor is ideal. */
static Phasor
conductor_impedance(const Conductor *conductor, double frequency)
{
  const Value *gauge = &conductor->values[CONDUCTOR_GAUGE];
  const Value *length = &conductor->values[CONDUCTOR_LENGTH];
  if (!gauge->has_value || !length->has_value)
    return 0;
  double metres = quantity_in(length->low, UNIT_METRE);
  double celsius = BUILD_CONDUCTOR_CELSIUS;
  const Value *rating = &conductor->values[CONDUCTOR_TEMPERATURE];
  if (rating->has_value && quantity_in(rating->low, UNIT_CELSIUS) < celsius)
    celsius = quantity_in(rating->low, UNIT_CELSIUS);
  const Value *material = &conductor->values[CONDUCTOR_MATERIAL];
  Metal metal = material->has_value && material->choice == 1 ? METAL_ALUMINIUM : METAL_COPPER;
  double r = conductor_ohms_per_metre(gauge->low, metal, celsius) * metres;
  double x = conductor_reactance_per_metre(gauge->low, frequency) * metres;
  if (!isfinite(r) || !isfinite(x) || r <= 0 || x < 0)
    return 0;
  return CMPLX(r, x);
}

/* Order of the choices in conductor_fields: sound, loose, broken. */
static bool
conductor_is_sound(const Conductor *conductor)
{
  const Value *condition = &conductor->values[CONDUCTOR_CONDITION];
  return !condition->has_value || condition->choice == 0;
}

static void
add_conductor(Circuit *circuit, guint index, double frequency)
{
  const Conductor *conductor = document_conductor(circuit->document, index);
  guint a = circuit_node_of_landing(circuit, &conductor->from);
  guint b = circuit_node_of_landing(circuit, &conductor->to);
  if (a == G_MAXUINT || b == G_MAXUINT)
    return;
  Owner owner = {.kind = OWNER_CONDUCTOR, .index = index};
  bool sound = conductor_is_sound(conductor);
  Phasor z = sound && a != b ? conductor_impedance(conductor, frequency) : 0;
  if (z != 0) {
    Impedance impedance = {.a = a, .b = b, .z = z, .role = IMPEDANCE_CONDUCTOR, .owner = owner};
    g_array_append_val(circuit->impedances, impedance);
  } else {
    Join join = {
        .a = a, .b = b, .role = JOIN_CONDUCTOR, .closed = sound, .coil = -1, .owner = owner};
    g_array_append_val(circuit->joins, join);
  }
}

/* ----------------------------------------------------------------------------------- contacts */

static GHashTable *
coils_by_designation(const Circuit *circuit)
{
  /* Keys are borrowed from the document; the first coil of a name counts. Ids are entered after
   * all designations, so that a designation wins over another device's id. */
  GHashTable *coils = g_hash_table_new(g_str_hash, g_str_equal);
  for (int pass = 0; pass < 2; pass++)
    for (guint i = 0; i < circuit->coils->len; i++) {
      const Coil *coil = circuit_item(circuit->coils, Coil, i);
      const Device *device = document_device(circuit->document, coil->owner.index);
      const char *name = pass == 0 ? device_designation(device) : device->id;
      if (!g_hash_table_contains(coils, name))
        g_hash_table_insert(coils, (gpointer)(guintptr)name, GUINT_TO_POINTER(i));
    }
  return coils;
}

static void
note_missing_coil(Circuit *circuit, const Join *join, const char *designation)
{
  const Device *device = document_device(circuit->document, join->owner.index);
  Stamp stamp = {.circuit = circuit, .device = join->owner.index, .source = device};
  build_note(
      &stamp, "contact-without-coil", _("Contact without its coil"), SIGNAL_CAUTION,
      g_strdup_printf(_("The contact of %s belongs to coil %s, which is not on the sheet. It "
                        "is taken as drawn: %s."),
                      device->id, designation, join->closed ? _("closed") : _("open")),
      g_strdup_printf(_("Place a relay with the designation %s, or correct the name."),
                      designation));
}

void
build_link_contacts(Circuit *circuit)
{
  if (circuit->contact_links->len == 0 || circuit->document == NULL) {
    g_array_set_size(circuit->contact_links, 0);
    return;
  }
  g_autoptr(GHashTable) coils = coils_by_designation(circuit);
  for (guint i = 0; i < circuit->contact_links->len; i++) {
    const ContactLink *link = circuit_item(circuit->contact_links, ContactLink, i);
    Join *join = circuit_item(circuit->joins, Join, link->join);
    gpointer coil = NULL;
    if (g_hash_table_lookup_extended(coils, link->designation, NULL, &coil))
      join->coil = GPOINTER_TO_INT(coil);
    else
      note_missing_coil(circuit, join, link->designation);
  }
  g_array_set_size(circuit->contact_links, 0);
}

/* -------------------------------------------------------------------------------------- build */

Circuit *
circuit_build(const Document *document, const CircuitOptions *options)
{
  Circuit *circuit = circuit_new_bare(1);
  if (options != NULL)
    circuit->options = *options;
  if (!isfinite(circuit->options.supply_scale) || circuit->options.supply_scale <= 0)
    circuit->options.supply_scale = 1;
  circuit->document = document_snapshot(document);
  number_nodes(circuit);
  for (guint device = 0; device < document_device_count(circuit->document); device++)
    stamp_device(circuit, device);
  build_link_contacts(circuit);
  double frequency = supply_frequency(circuit);
  for (guint i = 0; i < document_conductor_count(circuit->document); i++)
    add_conductor(circuit, i, frequency);
  strays_of_conductors(circuit);
  return circuit;
}
