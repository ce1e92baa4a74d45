/* SPDX-License-Identifier: MIT */
/* The diagram as a list for a label: every conductor once, in the order power takes. */
#include "base/language.h"
#include "sheet/facts.h"

typedef struct {
  const Inspection *inspection;
  Table *table;
  GHashTable *reached; /* id of a device -> itself */
  GQueue waiting;      /* of const char *: ids of devices whose conductors are still to be listed */
  bool *listed;        /* by conductor */
} Walk;

/* Power does not come through the ground: its conductors are listed where they come from. */
static void
reach(Walk *walk, const char *id)
{
  const Device *device = id != NULL ? document_find_device(walk->inspection->document, id) : NULL;

  if (device != NULL && device->kind->role == ROLE_GROUND)
    return;
  if (id != NULL && g_hash_table_add(walk->reached, (gpointer)(guintptr)id))
    g_queue_push_tail(&walk->waiting, (gpointer)(guintptr)id);
}

static char *
end_text(const Landing *landing)
{
  return landing->device == NULL ? g_strdup("GND")
                                 : g_strdup_printf("%s.%s", landing->device, landing->terminal);
}

static void
add_row(Walk *walk, guint index, bool backwards)
{
  const Inspection *inspection = walk->inspection;
  const Conductor *conductor = document_conductor(inspection->document, index);
  const Landing *from = backwards ? &conductor->to : &conductor->from;
  const Landing *to = backwards ? &conductor->from : &conductor->to;
  const guint node = circuit_node_of_landing(inspection->circuit, from);
  Reading reading = {.state = READING_UNDEFINED};

  if (inspection->solution != NULL && node != G_MAXUINT)
    reading = solution_to_earth(inspection->solution, node);
  table_add(walk->table, g_strdup(conductor_text(conductor, CONDUCTOR_NUMBER)), end_text(from),
            end_text(to), facts_volts(inspection, reading));
  walk->listed[index] = true;
  reach(walk, to->device);
}

/* Conductors of the devices reached, until no new device is. */
static void
follow(Walk *walk)
{
  const Document *document = walk->inspection->document;

  while (!g_queue_is_empty(&walk->waiting)) {
    const char *id = g_queue_pop_head(&walk->waiting);
    for (guint i = 0; i < document_conductor_count(document); i++) {
      const Conductor *conductor = document_conductor(document, i);
      if (walk->listed[i])
        continue;
      if (g_strcmp0(conductor->from.device, id) == 0)
        add_row(walk, i, false);
      else if (g_strcmp0(conductor->to.device, id) == 0)
        add_row(walk, i, true);
    }
  }
}

Table *
facts_connections_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {{.title = N_("Wire")},
                                        {.title = N_("From")},
                                        {.title = N_("To")},
                                        {.title = N_("To ground"), .numeric = true}};
  const Document *document = inspection->document;
  const guint n = document_conductor_count(document);

  if (n == 0)
    return NULL;
  Walk walk = {.inspection = inspection,
               .table = table_new(g_strdup(_("Connections, from the supply on")), NULL, columns,
                                  G_N_ELEMENTS(columns)),
               .reached = g_hash_table_new(g_str_hash, g_str_equal),
               .waiting = G_QUEUE_INIT,
               .listed = g_new0(bool, n)};
  for (guint d = 0; d < document_device_count(document); d++)
    if (document_device(document, d)->kind->role == ROLE_SUPPLY)
      reach(&walk, document_device(document, d)->id);
  follow(&walk);
  for (guint i = 0; i < n; i++) /* parts that no supply reaches */
    if (!walk.listed[i]) {
      add_row(&walk, i, false);
      reach(&walk, document_conductor(document, i)->from.device);
      follow(&walk);
    }
  g_hash_table_unref(walk.reached);
  g_free(walk.listed);
  return walk.table;
}
