/* SPDX-License-Identifier: MIT */
#include "grade/watch.h"

#include "base/language.h"
#include "grade/touch.h"

#include <math.h>
#include <string.h>

/* Below this a meter that is in order shows a dead conductor. */
#define DEAD_VOLTS 1.0
/* A reading that proves the meter. */
#define PROOF_VOLTS 10.0

/* A reading without volts since the last lock-out. */
typedef struct {
  Landing a, b;
  guint at;    /* index of its step */
  bool before; /* the meter had read a live source */
} Dead;

struct Watch {
  Attempt *attempt;
  Document *document;
  Circuit *live_circuit, *locked_circuit;
  Solution *live, *locked; /* NULL: cannot be solved */
  bool energized;
  GArray *dead;     /* of Dead */
  int proof;        /* index of the last step that read a live source; -1: none */
  GHashTable *told; /* "opens FU1" */
};

static void
dead_clear(gpointer data)
{
  Dead *dead = data;
  landing_clear(&dead->a);
  landing_clear(&dead->b);
}

static void
forget_circuits(Watch *watch)
{
  g_clear_pointer(&watch->live, solution_free);
  g_clear_pointer(&watch->locked, solution_free);
  g_clear_pointer(&watch->live_circuit, circuit_free);
  g_clear_pointer(&watch->locked_circuit, circuit_free);
  g_clear_pointer(&watch->document, document_free);
}

static void
look_at(Watch *watch, const Document *document)
{
  forget_circuits(watch);
  watch->document = document_snapshot(document);
  watch->live_circuit = circuit_build(watch->document, NULL);
  watch->live = solution_new(watch->live_circuit, NULL);
  const CircuitOptions locked = {.locked_out = true, .supply_scale = 1};
  watch->locked_circuit = circuit_build(watch->document, &locked);
  watch->locked = solution_new(watch->locked_circuit, NULL);
}

Watch *
watch_new(const Document *exercise, const char *student, const char *day)
{
  Watch *watch = g_new0(Watch, 1);
  watch->attempt = attempt_new(student, day);
  watch->dead = g_array_new(FALSE, FALSE, sizeof(Dead));
  g_array_set_clear_func(watch->dead, dead_clear);
  watch->proof = -1;
  watch->told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  look_at(watch, exercise);
  return watch;
}

void
watch_free(Watch *watch)
{
  if (watch == NULL)
    return;
  forget_circuits(watch);
  attempt_free(watch->attempt);
  g_array_unref(watch->dead);
  g_hash_table_unref(watch->told);
  g_free(watch);
}

Attempt *
watch_get_attempt(Watch *watch)
{
  return watch->attempt;
}

bool
watch_get_energized(const Watch *watch)
{
  return watch->energized;
}

/* --- readings --- */

static char *
point_name(const Landing *landing)
{
  return landing->device == NULL ? g_strdup("GND") : landing_dup_name(landing);
}

static const Solution *
solution_now(const Watch *watch)
{
  return watch->energized ? watch->live : watch->locked;
}

static void
remember_dead(Watch *watch, const Landing *a, const Landing *b)
{
  Dead dead = {.a = landing_make(a->device, a->terminal),
               .b = landing_make(b->device, b->terminal),
               .at = watch->attempt->steps->len - 1,
               .before = watch->proof >= 0};
  g_array_append_val(watch->dead, dead);
}

const AttemptStep *
watch_volts(Watch *watch, double seconds, const Landing *a, const Landing *b)
{
  const Solution *solution = solution_now(watch);
  MeterReading reading;
  if (solution == NULL)
    return NULL;
  guint from = circuit_node_of_landing(solution->circuit, a);
  guint to = circuit_node_of_landing(solution->circuit, b);
  if (from == G_MAXUINT || to == G_MAXUINT ||
      !meter_volts(solution->circuit, solution, from, to,
                   watch->energized ? METER_HIGH_IMPEDANCE : METER_LOW_IMPEDANCE, &reading, NULL))
    return NULL;
  g_autofree char *first = point_name(a), *second = point_name(b);
  g_autofree char *text = meter_reading_text(&reading);
  const AttemptStep *step = attempt_add_step(watch->attempt, STEP_VOLTS, seconds, watch->energized,
                                             first, second, text, NULL);
  bool reads = reading.state == METER_READS || reading.state == METER_SATURATED;
  if (reads && reading.value >= PROOF_VOLTS)
    watch->proof = (int)watch->attempt->steps->len - 1;
  else if (reading.state == METER_READS && reading.value < DEAD_VOLTS && !watch->energized)
    remember_dead(watch, a, b);
  return step;
}

static void
complain_of_ohms(Watch *watch, double seconds, const char *first, const char *second)
{
  g_autofree char *place = g_strdup_printf("%s, %s", first, second);
  g_autofree char *text = g_strdup_printf(
      watch->energized ? _("Ohms from %s to %s with the switch energized: the meter may burst.")
                       : _("Ohms from %s to %s, which are live although locked out."),
      first, second);
  attempt_add_error(watch->attempt, SAFETY_OHMS_LIVE, seconds, place, text);
}

const AttemptStep *
watch_ohms(Watch *watch, double seconds, const Landing *a, const Landing *b)
{
  const Solution *solution = solution_now(watch);
  MeterReading reading = {.state = METER_REFUSED, .unit = UNIT_OHM};
  g_autofree char *first = point_name(a), *second = point_name(b);
  if (!watch->energized) {
    if (solution == NULL)
      return NULL;
    guint from = circuit_node_of_landing(solution->circuit, a);
    guint to = circuit_node_of_landing(solution->circuit, b);
    if (from == G_MAXUINT || to == G_MAXUINT ||
        !meter_ohms(solution->circuit, solution, from, to, &reading, NULL))
      return NULL;
  }
  bool refused = watch->energized || reading.state == METER_REFUSED;
  g_autofree char *text = refused ? g_strdup(_("nothing: live")) : meter_reading_text(&reading);
  if (refused)
    complain_of_ohms(watch, seconds, first, second);
  return attempt_add_step(watch->attempt, STEP_OHMS, seconds, watch->energized, first, second, text,
                          NULL);
}

const AttemptStep *
watch_amps(Watch *watch, double seconds, guint32 key)
{
  const Solution *solution = solution_now(watch);
  for (guint i = 0; solution != NULL && i < document_conductor_count(watch->document); i++) {
    const Conductor *conductor = document_conductor(watch->document, i);
    MeterReading reading;
    if (conductor->key != key)
      continue;
    const Owner owner = {.kind = OWNER_CONDUCTOR, .index = i};
    if (!meter_amps(solution->circuit, solution, owner, &reading, NULL))
      return NULL;
    g_autofree char *name = conductor_dup_name(conductor);
    g_autofree char *text = meter_reading_text(&reading);
    return attempt_add_step(watch->attempt, STEP_AMPS, seconds, watch->energized, name, NULL, text,
                            NULL);
  }
  return NULL;
}

/* --- the switch --- */

/* Takes out of the list what was told before; logs the rest. */
static void
log_consequences(Watch *watch, double seconds, GPtrArray *list)
{
  for (guint i = 0; i < list->len;) {
    const Consequence *consequence = list->pdata[i];
    char *key = g_strdup_printf("%s %s", consequence_word(consequence->kind), consequence->place);
    if (!g_hash_table_add(watch->told, key)) {
      g_ptr_array_remove_index(list, i);
      continue;
    }
    attempt_add_step(watch->attempt, STEP_CONSEQUENCE, seconds, true, consequence->place,
                     consequence_word(consequence->kind), NULL, consequence->text);
    attempt_add_error(watch->attempt, SAFETY_CONSEQUENCE, seconds, consequence->place,
                      consequence->text);
    i++;
  }
}

static GPtrArray *
power_does(Watch *watch, double seconds)
{
  if (!watch->energized || watch->live == NULL)
    return g_ptr_array_new();
  GPtrArray *list = consequences_new(watch->live_circuit, watch->live);
  log_consequences(watch, seconds, list);
  return list;
}

GPtrArray *
watch_energize(Watch *watch, double seconds)
{
  if (watch->energized)
    return g_ptr_array_new();
  watch->energized = true;
  attempt_add_step(watch->attempt, STEP_ENERGIZE, seconds, true, NULL, NULL, NULL, NULL);
  return power_does(watch, seconds);
}

void
watch_lock_out(Watch *watch, double seconds)
{
  if (!watch->energized)
    return;
  watch->energized = false;
  g_array_set_size(watch->dead, 0); /* what was dead has been live since */
  attempt_add_step(watch->attempt, STEP_LOCK_OUT, seconds, false, NULL, NULL, NULL, NULL);
}

/* --- what is touched --- */

/* Some line of a supply is live while locked out: a source to prove the meter on. */
static bool
offers_live_source(const Watch *watch)
{
  for (guint node = 1; watch->locked != NULL && node < watch->locked_circuit->n_nodes; node++) {
    Reading reading = solution_to_earth(watch->locked, node);
    if (reading.state == READING_LIVE && cabs(reading.volts) >= PROOF_VOLTS)
      return true;
  }
  return false;
}

static bool
proves(const Watch *watch, const Dead *dead, guint node)
{
  guint a = circuit_node_of_landing(watch->locked_circuit, &dead->a);
  guint b = circuit_node_of_landing(watch->locked_circuit, &dead->b);
  if (a == G_MAXUINT || b == G_MAXUINT || solution_same_net(watch->locked, a, b))
    return false;
  return solution_same_net(watch->locked, a, node) || solution_same_net(watch->locked, b, node);
}

bool
watch_is_verified(Watch *watch, const Landing *terminal, bool *proved)
{
  guint node =
      watch->locked != NULL ? circuit_node_of_landing(watch->locked_circuit, terminal) : G_MAXUINT;
  bool verified = false, offered = offers_live_source(watch);
  *proved = false;
  for (guint i = 0; node != G_MAXUINT && i < watch->dead->len; i++) {
    const Dead *dead = &g_array_index(watch->dead, Dead, i);
    if (!proves(watch, dead, node))
      continue;
    verified = true;
    *proved |= !offered || (dead->before && watch->proof > (int)dead->at);
  }
  return verified;
}

/* Volts to ground of a terminal while locked out; 0 where it is dead. */
static double
volts_left(const Watch *watch, guint node)
{
  Reading reading = solution_to_earth(watch->locked, node);
  return reading.state == READING_LIVE ? cabs(reading.volts) : 0;
}

static bool
judge_one(Watch *watch, double seconds, const Landing *terminal, const char *what)
{
  guint node = circuit_node_of_landing(watch->locked_circuit, terminal);
  if (node == G_MAXUINT || solution_same_net(watch->locked, node, 0))
    return false; /* bonded to ground: nothing to prove */
  g_autofree char *name = point_name(terminal);
  bool proved;
  if (volts_left(watch, node) > DEAD_VOLTS) {
    g_autofree char *volts = quantity_display(volts_left(watch, node), UNIT_VOLT, 3);
    g_autofree char *text = g_strdup_printf(
        _("%s: %s stands at %s to ground although the switch is locked out."), what, name, volts);
    attempt_add_error(watch->attempt, SAFETY_TOUCHED_LIVE, seconds, name, text);
  } else if (!watch_is_verified(watch, terminal, &proved)) {
    g_autofree char *text = g_strdup_printf(
        _("%s: nobody measured that %s is dead since it was locked out."), what, name);
    attempt_add_error(watch->attempt, SAFETY_NOT_VERIFIED, seconds, name, text);
  } else if (!proved) {
    g_autofree char *text = g_strdup_printf(
        _("%s: %s read dead, but the meter was not proved on a live source before and after."),
        what, name);
    attempt_add_error(watch->attempt, SAFETY_METER_NOT_PROVED, seconds, name, text);
  } else
    return false;
  return true;
}

/* One error for each thing done, however many terminals it touches. */
static void
judge_touch(Watch *watch, double seconds, const Touch *touch)
{
  if (watch->energized) {
    g_autofree char *text = g_strdup_printf(_("%s: with the switch energized."), touch->text);
    attempt_add_error(watch->attempt, SAFETY_WORKED_ENERGIZED, seconds, touch->place, text);
    return;
  }
  for (guint i = 0; watch->locked != NULL && i < touch->terminals->len; i++)
    if (judge_one(watch, seconds, &g_array_index(touch->terminals, Landing, i), touch->text))
      return;
}

GPtrArray *
watch_changed(Watch *watch, double seconds, const Document *document, bool by_itself)
{
  g_autoptr(GPtrArray) touches = touches_new(watch->document, document);
  for (guint i = 0; i < touches->len && !by_itself; i++) {
    const Touch *touch = touches->pdata[i];
    attempt_add_step(watch->attempt, touch->kind, seconds, watch->energized, touch->place, NULL,
                     NULL, touch->text);
    if (touch->kind != STEP_OPERATE)
      judge_touch(watch, seconds, touch);
  }
  look_at(watch, document);
  if (touches->len == 0)
    return g_ptr_array_new();
  return power_does(watch, seconds);
}

/* --- answers --- */

void
watch_name(Watch *watch, double seconds, const char *place, const char *fault, const char *title)
{
  attempt_add_answer(watch->attempt, place, fault);
  attempt_add_step(watch->attempt, STEP_NAME, seconds, watch->energized, place, fault, NULL, title);
}

void
watch_take_back(Watch *watch, guint answer)
{
  attempt_remove_answer(watch->attempt, answer);
}
