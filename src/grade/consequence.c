/* SPDX-License-Identifier: MIT */
#include "grade/consequence.h"

#include "base/language.h"
#include "base/quantity.h"
#include "diagram/edit.h"

#include <math.h>

#define ROUNDS_MOST 12

static void
consequence_free(gpointer data)
{
  Consequence *consequence = data;
  g_free(consequence->place);
  g_free(consequence->text);
  g_free(consequence);
}

static void
add(GPtrArray *list, ConsequenceKind kind, Signal signal, char *take_place, char *take_text)
{
  for (guint i = 0; i < list->len; i++) {
    const Consequence *other = list->pdata[i];
    if (other->kind == kind && g_strcmp0(other->place, take_place) == 0) {
      g_free(take_place);
      g_free(take_text);
      return;
    }
  }
  Consequence *consequence = g_new0(Consequence, 1);
  *consequence = (Consequence){kind, signal, take_place, take_text};
  g_ptr_array_add(list, consequence);
}

const char *
consequence_word(ConsequenceKind kind)
{
  static const char *const words[] = {
      [CONSEQUENCE_SHOCK] = "shock",   [CONSEQUENCE_ARC] = "arc",
      [CONSEQUENCE_OPENS] = "opens",   [CONSEQUENCE_OVEREXCITED] = "overexcited",
      [CONSEQUENCE_BURNS] = "burns",   [CONSEQUENCE_OVERHEATS] = "overheats",
      [CONSEQUENCE_STALLS] = "stalls",
  };
  return kind <= CONSEQUENCE_STALLS ? words[kind] : "";
}

static char *
amps_text(double amps)
{
  return isfinite(amps) ? quantity_display(amps, UNIT_AMPERE, 3)
                        : g_strdup(_("all the current the supply can deliver"));
}

static bool
opens_by_itself(const Join *join)
{
  return join->role == JOIN_FUSE || join->role == JOIN_BREAKER;
}

/* Times its rating that a closed fuse or breaker carries; 0 for other joins. */
static double
overload(const Solution *solution, guint index)
{
  const Join *join = circuit_item(solution->circuit->joins, Join, index);
  if (!opens_by_itself(join) || !solution->join_closed[index] || join->rated_amps <= 0)
    return 0;
  return cabs(solution->join_amps[index]) / join->rated_amps;
}

static void
find_opening(GPtrArray *list, const Solution *solution)
{
  const Circuit *circuit = solution->circuit;
  bool dead_short = false, opens = false;
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    double times = overload(solution, i);
    dead_short |= solution->join_closed[i] && !isfinite(cabs(solution->join_amps[i]));
    if (times < CONSEQUENCE_OVERLOAD)
      continue;
    opens = true;
    g_autofree char *amps = amps_text(cabs(solution->join_amps[i]));
    g_autofree char *rated = quantity_display(join->rated_amps, UNIT_AMPERE, 3);
    char *owner = circuit_owner_name(circuit, join->owner);
    char *text =
        g_strdup_printf(join->role == JOIN_FUSE ? _("%s opens: %s flows through a fuse of %s.")
                                                : _("%s trips: %s flows through a breaker of %s."),
                        owner, amps, rated);
    add(list, CONSEQUENCE_OPENS, times > 5 ? SIGNAL_DANGER : SIGNAL_WARNING, owner, text);
  }
  if ((dead_short || solution->n_bad_sources > 0) && !opens)
    add(list, CONSEQUENCE_ARC, SIGNAL_DANGER, g_strdup(""),
        g_strdup(_("A short that no fuse or breaker on this sheet opens: an arc, until protection "
                   "farther upstream opens.")));
}

static void
find_cores(GPtrArray *list, const Solution *solution)
{
  const Circuit *circuit = solution->circuit;
  for (guint i = 0; i < circuit->cores->len; i++) {
    const Core *core = circuit_item(circuit->cores, Core, i);
    double flux = cabs(solution->core_flux[i]);
    if (core->knee <= 0 || flux <= core->knee)
      continue;
    char *owner = circuit_owner_name(circuit, core->owner);
    char *text =
        g_strdup_printf(_("%s is overexcited: its core is driven above its knee at %.0f %% "
                          "of rated flux. It hums, gets hot and burns out."),
                        owner, 100 * flux);
    add(list, CONSEQUENCE_OVEREXCITED, SIGNAL_DANGER, owner, text);
  }
}

static void
find_windings(GPtrArray *list, const Solution *solution)
{
  const Circuit *circuit = solution->circuit;
  for (guint i = 0; i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    double amps = cabs(solution->segment_amps[i]);
    if (segment->rated_amps <= 0 || amps <= CONSEQUENCE_OVERLOAD * segment->rated_amps)
      continue;
    char *owner = circuit_owner_name(circuit, segment->owner);
    g_autofree char *text = amps_text(amps);
    g_autofree char *rated = quantity_display(segment->rated_amps, UNIT_AMPERE, 3);
    add(list, CONSEQUENCE_OVERHEATS, SIGNAL_WARNING, owner,
        g_strdup_printf(_("%s overheats: %s flows in a winding made for %s."), owner, text, rated));
  }
}

static void
find_burning(GPtrArray *list, const Solution *solution, guint a, guint b, double most, Owner owner)
{
  Reading reading = solution_reading(solution, a, b);
  if (most <= 0 || reading.state != READING_LIVE ||
      cabs(reading.volts) <= CONSEQUENCE_OVERVOLTAGE * most)
    return;
  char *name = circuit_owner_name(solution->circuit, owner);
  g_autofree char *volts = quantity_display(cabs(reading.volts), UNIT_VOLT, 3);
  g_autofree char *limit = quantity_display(most, UNIT_VOLT, 3);
  add(list, CONSEQUENCE_BURNS, SIGNAL_DANGER, name,
      g_strdup_printf(_("%s burns out: it gets %s and takes at most %s."), name, volts, limit));
}

static void
find_motors(GPtrArray *list, const Solution *solution)
{
  const Circuit *circuit = solution->circuit;
  for (guint i = 0; i < circuit->motors->len; i++) {
    const Motor *motor = circuit_item(circuit->motors, Motor, i);
    char *owner = circuit_owner_name(circuit, motor->owner);
    double most = 0, least = INFINITY;
    for (guint k = 0; k < 3; k++) {
      most = fmax(most, cabs(solution->motor_amps[3 * i + k]));
      least = fmin(least, cabs(solution->motor_amps[3 * i + k]));
    }
    /* One line without current: two phases carry it all. */
    if (most > 0 && least < 0.02 * most)
      add(list, CONSEQUENCE_STALLS, SIGNAL_WARNING, owner,
          g_strdup_printf(_("%s runs on one phase: it hums, does not start and overheats."),
                          owner));
    else if (solution->motor_backwards[i])
      add(list, CONSEQUENCE_STALLS, SIGNAL_WARNING, owner,
          g_strdup_printf(_("%s turns the wrong way."), owner));
    else
      g_free(owner);
  }
}

static void
find_frames(GPtrArray *list, const Solution *solution)
{
  const Circuit *circuit = solution->circuit;
  for (guint node = 1; node < circuit->n_nodes && circuit->document != NULL; node++) {
    const NodePlace *place = &circuit->places[node];
    if (place->device == G_MAXUINT)
      continue;
    const Device *device = document_device(circuit->document, place->device);
    if (device_terminal(device, place->terminal)->role != TERMINAL_FRAME)
      continue;
    Reading reading = solution_to_earth(solution, node);
    if (reading.state != READING_LIVE || cabs(reading.volts) <= CONSEQUENCE_SHOCK_VOLTS)
      continue;
    char *name = circuit_node_name(circuit, node);
    g_autofree char *volts = quantity_display(cabs(reading.volts), UNIT_VOLT, 3);
    add(list, CONSEQUENCE_SHOCK, SIGNAL_DANGER, name,
        g_strdup_printf(_("%s stands at %s to ground: whoever touches the metal gets a shock."),
                        name, volts));
  }
}

static gint
by_gravity(gconstpointer a, gconstpointer b)
{
  const Consequence *one = *(Consequence *const *)a, *two = *(Consequence *const *)b;
  if (one->signal != two->signal)
    return (gint)one->signal - (gint)two->signal;
  return (gint)one->kind - (gint)two->kind;
}

GPtrArray *
consequences_new(const Circuit *circuit, const Solution *solution)
{
  GPtrArray *list = g_ptr_array_new_with_free_func(consequence_free);
  find_opening(list, solution);
  find_cores(list, solution);
  find_windings(list, solution);
  for (guint i = 0; i < circuit->loads->len; i++) {
    const Load *load = circuit_item(circuit->loads, Load, i);
    find_burning(list, solution, load->a, load->b, load->accepts_high, load->owner);
  }
  for (guint i = 0; i < circuit->coils->len; i++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, i);
    find_burning(list, solution, coil->a, coil->b, coil->rated_volts, coil->owner);
  }
  find_motors(list, solution);
  find_frames(list, solution);
  g_ptr_array_sort(list, by_gravity);
  return list;
}

/* The device of the most overloaded fuse or breaker; NULL: none carries too much. */
static const Device *
first_to_open(const Document *document)
{
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solution_new(circuit, NULL);
  double worst = CONSEQUENCE_OVERLOAD;
  int index = -1;
  for (guint i = 0; solution != NULL && i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    double times = overload(solution, i);
    /* Both stand at infinity in a dead short: the smaller one is the faster. */
    bool smaller = index >= 0 && !isfinite(times) && !isfinite(worst) &&
                   join->rated_amps < circuit_item(circuit->joins, Join, (guint)index)->rated_amps;
    if ((times > worst || smaller) && join->owner.kind == OWNER_DEVICE) {
      worst = times;
      index = (int)i;
    }
  }
  if (index < 0)
    return NULL;
  guint owner = circuit_item(circuit->joins, Join, (guint)index)->owner.index;
  return document_device(document, owner);
}

Change *
consequences_damage(const Document *document)
{
  g_autoptr(Document) copy = document_snapshot(document);
  g_autoptr(GPtrArray) opened = g_ptr_array_new_with_free_func(g_free);
  for (guint round = 0; round < ROUNDS_MOST; round++) {
    const Device *device = first_to_open(copy);
    if (device == NULL || device->kind->operate_field == NULL)
      break;
    char *id = g_strdup(device->id);
    g_ptr_array_add(opened, id);
    Change *change = edit_operate(copy, id, NULL);
    if (change == NULL || !document_apply(copy, change, NULL))
      return NULL;
  }
  if (opened->len == 0)
    return NULL;
  Change *change = change_new(_("Protection opens"));
  for (guint i = 0; i < opened->len; i++) {
    const Device *before = document_find_device(document, opened->pdata[i]);
    const Device *after = document_find_device(copy, opened->pdata[i]);
    if (before != after)
      change_device(change, before, after);
  }
  return change;
}
