/* SPDX-License-Identifier: MIT */
#include "circuit/circuit.h"

#include "base/language.h"

#include "base/finding.h"

static void
contact_link_clear(gpointer data)
{
  ContactLink *link = data;
  g_clear_pointer(&link->designation, g_free);
}

Circuit *
circuit_new_bare(guint n_nodes)
{
  Circuit *circuit = g_new0(Circuit, 1);
  circuit->options.supply_scale = 1;
  circuit->n_nodes = MAX(n_nodes, 1);
  circuit->places = g_new(NodePlace, circuit->n_nodes);
  for (guint node = 0; node < circuit->n_nodes; node++)
    circuit->places[node] = (NodePlace){.device = G_MAXUINT, .terminal = G_MAXUINT};
  circuit->joins = g_array_new(FALSE, TRUE, sizeof(Join));
  circuit->impedances = g_array_new(FALSE, TRUE, sizeof(Impedance));
  circuit->sources = g_array_new(FALSE, TRUE, sizeof(Source));
  circuit->loads = g_array_new(FALSE, TRUE, sizeof(Load));
  circuit->cores = g_array_new(FALSE, TRUE, sizeof(Core));
  circuit->segments = g_array_new(FALSE, TRUE, sizeof(Segment));
  circuit->coils = g_array_new(FALSE, TRUE, sizeof(Coil));
  circuit->motors = g_array_new(FALSE, TRUE, sizeof(Motor));
  circuit->strays = g_array_new(FALSE, TRUE, sizeof(Stray));
  circuit->couplings = g_array_new(FALSE, TRUE, sizeof(Coupling));
  circuit->deltas = g_array_new(FALSE, TRUE, sizeof(DeltaLoad));
  circuit->supplies = g_array_new(FALSE, TRUE, sizeof(CircuitSupply));
  circuit->findings = g_ptr_array_new_with_free_func((GDestroyNotify)finding_free);
  circuit->contact_links = g_array_new(FALSE, TRUE, sizeof(ContactLink));
  g_array_set_clear_func(circuit->contact_links, contact_link_clear);
  return circuit;
}

void
circuit_free(Circuit *circuit)
{
  if (circuit == NULL)
    return;
  GArray *arrays[] = {circuit->joins,        circuit->impedances, circuit->sources,
                      circuit->loads,        circuit->cores,      circuit->segments,
                      circuit->coils,        circuit->motors,     circuit->strays,
                      circuit->couplings,    circuit->deltas,     circuit->supplies,
                      circuit->contact_links};
  for (gsize i = 0; i < G_N_ELEMENTS(arrays); i++)
    if (arrays[i] != NULL)
      g_array_unref(arrays[i]);
  g_ptr_array_unref(circuit->findings);
  g_free(circuit->places);
  g_free(circuit->first_node);
  /* The snapshot is const for everybody else; its owner may end it. */
  if (circuit->document != NULL)
    document_free((Document *)(guintptr)circuit->document);
  g_free(circuit);
}

guint
circuit_node(const Circuit *circuit, guint device, guint terminal)
{
  if (circuit->document == NULL || device >= document_device_count(circuit->document))
    return G_MAXUINT;
  if (terminal >= device_terminal_count(document_device(circuit->document, device)))
    return G_MAXUINT;
  return circuit->first_node[device] + terminal;
}

guint
circuit_node_of_landing(const Circuit *circuit, const Landing *landing)
{
  if (landing->device == NULL || g_str_equal(landing->device, "GND"))
    return 0;
  if (circuit->document == NULL || landing->terminal == NULL)
    return G_MAXUINT;
  int device = document_device_index(circuit->document, landing->device);
  if (device < 0)
    return G_MAXUINT;
  int terminal =
      device_terminal_index(document_device(circuit->document, (guint)device), landing->terminal);
  return terminal < 0 ? G_MAXUINT : circuit->first_node[device] + (guint)terminal;
}

char *
circuit_node_name(const Circuit *circuit, guint node)
{
  if (node == 0)
    return g_strdup("GND");
  if (node >= circuit->n_nodes || circuit->places[node].device == G_MAXUINT ||
      circuit->document == NULL)
    return g_strdup_printf(_("node %u"), node);
  NodePlace place = circuit->places[node];
  const Device *device = document_device(circuit->document, place.device);
  return g_strdup_printf("%s.%s", device->id, device_terminal(device, place.terminal)->name);
}

char *
circuit_owner_name(const Circuit *circuit, Owner owner)
{
  if (circuit->document == NULL)
    return g_strdup_printf(_("branch %u"), owner.index);
  if (owner.kind == OWNER_CONDUCTOR) {
    if (owner.index >= document_conductor_count(circuit->document))
      return g_strdup(_("conductor"));
    return conductor_dup_name(document_conductor(circuit->document, owner.index));
  }
  if (owner.index >= document_device_count(circuit->document))
    return g_strdup(_("device"));
  return g_strdup(document_device(circuit->document, owner.index)->id);
}
