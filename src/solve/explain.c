/* SPDX-License-Identifier: MIT */
#include "solve/explain.h"

#include "base/language.h"
#include "solve/explain_path.h"
#include <math.h>
#include <string.h>

typedef struct {
  const Circuit *circuit;
  const Solution *solution;
  CircuitView view;
  Explanation *out;
} Work;

/* ---------------------------------------------------------------------------- laws of branches */

static Phasor
net_volts(const Work *work, guint a, guint b)
{
  const Solution *s = work->solution;
  return s->net_volts[s->net_of_node[a]] - s->net_volts[s->net_of_node[b]];
}

/* Another conductor's current along the same line adds to the drop. */
static Phasor
coupled_drop(const Work *work, guint impedance)
{
  Phasor drop = 0;
  for (guint i = 0; i < work->view.n_couplings; i++) {
    const Coupling *coupling = &work->view.couplings[i];
    if (coupling->first == impedance)
      drop += coupling->z * work->solution->impedance_amps[coupling->second];
    else if (coupling->second == impedance)
      drop += coupling->z * work->solution->impedance_amps[coupling->first];
  }
  return drop;
}

/* Volts of the branch's a above its b, its current from a to b. */
static void
apply_law(const Work *work, ExplainStep *step, guint a, guint b)
{
  const Solution *s = work->solution;
  const CircuitView *view = &work->view;
  guint i = step->index;
  switch (step->branch) {
  case EXPLAIN_JOIN:
    step->amps = s->join_amps[i];
    break;
  case EXPLAIN_IMPEDANCE:
    step->amps = s->impedance_amps[i];
    if (!view_impedance_is_tie(&view->impedances[i]))
      step->lost = view->impedances[i].z * step->amps + coupled_drop(work, i);
    break;
  case EXPLAIN_SOURCE:
    step->amps = -s->source_amps[i];
    step->driving = view_emf(view, i);
    step->lost = view->sources[i].z * step->amps;
    break;
  case EXPLAIN_SEGMENT:
    step->amps = s->segment_amps[i];
    step->driving = view->segments[i].turns * s->core_flux[view->segments[i].core];
    step->lost = view->segments[i].z * step->amps;
    break;
  case EXPLAIN_LOAD:
    step->amps = s->load_amps[i];
    step->lost = view_load_is_port(view, i) ? net_volts(work, a, b)
                                            : step->amps / view_load_admittance(view, i);
    break;
  case EXPLAIN_COIL:
    step->amps = s->coil_amps[i];
    step->lost = step->amps / view_coil_admittance(view, i, s->coils[i].pulled_in);
    break;
  case EXPLAIN_MOTOR:
  case EXPLAIN_DELTA:
    step->lost = net_volts(work, a, b);
    break;
  }
}

static ExplainStep
step_of(const Work *work, const PathEdge *edge, guint from)
{
  ExplainStep step = {.branch = edge->branch, .index = edge->index, .from = from};
  bool forward = edge->a == from;
  step.to = forward ? edge->b : edge->a;
  apply_law(work, &step, edge->a, edge->b);
  if (!forward) {
    step.amps = -step.amps;
    step.driving = -step.driving;
    step.lost = -step.lost;
  }
  step.drop = step.driving + step.lost;
  return step;
}

/* --------------------------------------------------------------------------------------- words */

static char *
phasor_text(Phasor value, Unit unit)
{
  char *size = quantity_display(cabs(value), unit, 4);
  if (cabs(value) < 1e-6 || !isfinite(cabs(value)))
    return size;
  char degrees[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(degrees, sizeof degrees, "%.1f", carg(value) * 180 / G_PI);
  char *text = g_strdup_printf("%s at %s\u00b0", size, degrees);
  g_free(size);
  return text;
}

static char *
ohms_text(Phasor z)
{
  g_autofree char *r = quantity_display(creal(z), UNIT_OHM, 3);
  if (fabs(cimag(z)) < 1e-9)
    return g_steal_pointer(&r);
  g_autofree char *x = quantity_display(fabs(cimag(z)), UNIT_OHM, 3);
  return g_strdup_printf(
      cimag(z) < 0 ? _("%s and %s reactance (capacitive)") : _("%s and %s reactance"), r, x);
}

/* With a place for its name. */
static const char *
join_format(JoinRole role, bool closed)
{
  static const char *const words[] = {
      [JOIN_CONDUCTOR] = N_("%s, no size or length stated: taken without resistance"),
      [JOIN_SPLICE] = N_("splice %s"),
      [JOIN_BOND] = N_("bond to ground at %s"),
      [JOIN_DISCONNECT] = N_("switch %s, closed"),
      [JOIN_BREAKER] = N_("breaker %s, closed"),
      [JOIN_FUSE] = N_("fuse %s, closed"),
      [JOIN_CONTACT] = N_("contact %s, closed"),
      [JOIN_SWITCH] = N_("switch %s, closed"),
      [JOIN_INTERNAL] = N_("inside %s"),
  };
  static const char *const opened[] = {
      [JOIN_CONDUCTOR] = "%s",
      [JOIN_SPLICE] = N_("splice %s"),
      [JOIN_BOND] = N_("bond to ground at %s"),
      [JOIN_DISCONNECT] = N_("switch %s"),
      [JOIN_BREAKER] = N_("breaker %s"),
      [JOIN_FUSE] = N_("fuse %s"),
      [JOIN_CONTACT] = N_("contact %s"),
      [JOIN_SWITCH] = N_("switch %s"),
      [JOIN_INTERNAL] = N_("inside %s"),
  };
  return _(closed ? words[role] : opened[role]);
}

static char *
join_text(const Work *work, guint index)
{
  const Join *join = &work->view.joins[index];
  g_autofree char *owner = circuit_owner_name(work->circuit, join->owner);
  g_autofree char *text = language_fill(join_format(join->role, true), owner, NULL);
  return work->solution->join_split_assumed[index]
             ? g_strdup_printf(_("%s, one of several joints in parallel (equal shares assumed)"),
                               text)
             : g_steal_pointer(&text);
}

static char *
winding_text(const Work *work, const ExplainStep *step)
{
  const Segment *segment = &work->view.segments[step->index];
  g_autofree char *owner = circuit_owner_name(work->circuit, segment->owner);
  g_autofree char *rated = quantity_display(segment->rated_volts, UNIT_VOLT, 4);
  g_autofree char *turns = quantity_display(segment->turns, UNIT_VOLT, 5);
  g_autofree char *induced = phasor_text(step->driving, UNIT_VOLT);
  g_autofree char *lost = phasor_text(step->lost, UNIT_VOLT);
  g_autofree char *z = ohms_text(segment->z);
  char flux[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(flux, sizeof flux, "%.4f", cabs(work->solution->core_flux[segment->core]));
  return g_strdup_printf(_("%s winding of %s, %s on the nameplate: %s turned by %s of rated flux "
                           "induces %s; %s lost in %s"),
                         segment->secondary ? _("secondary") : _("primary"), owner, rated, turns,
                         flux, induced, lost, z);
}

static char *
source_text(const Work *work, const ExplainStep *step)
{
  const Source *source = &work->view.sources[step->index];
  g_autofree char *owner = circuit_owner_name(work->circuit, source->owner);
  g_autofree char *emf = phasor_text(step->driving, UNIT_VOLT);
  g_autofree char *z = ohms_text(source->z);
  if (source->z == 0)
    return g_strdup_printf(
        _("supply %s, %s by its readings, no fault current stated: taken without "
          "impedance"),
        owner, emf);
  g_autofree char *lost = phasor_text(step->lost, UNIT_VOLT);
  return g_strdup_printf(_("supply %s, %s by its readings; %s lost in its %s"), owner, emf, lost,
                         z);
}

static char *
what_text(const Work *work, const ExplainStep *step)
{
  const CircuitView *view = &work->view;
  guint i = step->index;
  Owner owner = {0};
  const char *word = "%s";
  switch (step->branch) {
  case EXPLAIN_JOIN:
    return join_text(work, i);
  case EXPLAIN_SEGMENT:
    return winding_text(work, step);
  case EXPLAIN_SOURCE:
    return source_text(work, step);
  case EXPLAIN_IMPEDANCE: {
    g_autofree char *name = circuit_owner_name(work->circuit, view->impedances[i].owner);
    g_autofree char *z = ohms_text(view->impedances[i].z);
    return g_strdup_printf("%s, %s", name, z);
  }
  case EXPLAIN_LOAD:
    owner = view->loads[i].owner;
    word = _("load %s");
    break;
  case EXPLAIN_COIL:
    owner = view->coils[i].owner;
    word =
        work->solution->coils[i].pulled_in ? _("coil, pulled in, of %s") : _("coil, let go, of %s");
    break;
  case EXPLAIN_MOTOR:
    owner = view->motors[i].owner;
    word = _("motor %s");
    break;
  case EXPLAIN_DELTA:
    owner = view->deltas[i].owner;
    word = _("load %s");
    break;
  }
  g_autofree char *name = circuit_owner_name(work->circuit, owner);
  return language_fill(word, name, NULL);
}

static char *
step_text(const Work *work, const ExplainStep *step)
{
  g_autofree char *from = circuit_node_name(work->circuit, step->from);
  g_autofree char *to = circuit_node_name(work->circuit, step->to);
  g_autofree char *what = what_text(work, step);
  g_autofree char *drop = phasor_text(step->drop, UNIT_VOLT);
  if (step->branch == EXPLAIN_MOTOR || step->branch == EXPLAIN_DELTA)
    return g_strdup_printf("%s - %s: %s (%s)", from, to, drop, what);
  g_autofree char *amps = phasor_text(step->amps, UNIT_AMPERE);
  return g_strdup_printf(_("%s - %s: %s, carrying %s (%s)"), from, to, drop, amps, what);
}

/* --------------------------------------------------------------------------------------- notes */

static void G_GNUC_PRINTF(2, 3) note(Work *work, const char *format, ...)
{
  va_list list;
  va_start(list, format);
  g_ptr_array_add(work->out->notes, g_strdup_vprintf(format, list));
  va_end(list);
}

/* What makes the flux of a core that the path passes: the volts and amperes of all its windings. */
static void
note_core(Work *work, guint core)
{
  const CircuitView *view = &work->view;
  g_autofree char *owner = circuit_owner_name(work->circuit, view->cores[core].owner);
  double flux = cabs(work->solution->core_flux[core]);
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(number, sizeof number, "%.4f", flux);
  g_autoptr(GString) windings = g_string_new(NULL);
  for (guint i = 0; i < view->n_segments; i++) {
    const Segment *segment = &view->segments[i];
    if (segment->core != core)
      continue;
    g_autofree char *a = circuit_node_name(work->circuit, segment->a);
    g_autofree char *b = circuit_node_name(work->circuit, segment->b);
    g_autofree char *volts =
        quantity_display(cabs(net_volts(work, segment->a, segment->b)), UNIT_VOLT, 4);
    g_autofree char *amps = quantity_display(cabs(work->solution->segment_amps[i]), UNIT_AMPERE, 3);
    g_string_append_printf(windings, "%s%s - %s %s, %s", windings->len > 0 ? "; " : "", a, b, volts,
                           amps);
  }
  note(work, _("Flux of %s: %s of rated, from all its windings: %s."), owner, number,
       windings->str);
  if (view_core_saturates(view, core) && flux > view->cores[core].knee)
    note(work,
         _("%s is saturated: the supply lies on too few turns. It draws many times its rated "
           "current, and how many depends on the iron; digits beyond the first mean nothing."),
         owner);
}

static void
note_cores(Work *work)
{
  g_autofree bool *done = g_new0(bool, MAX(work->view.n_cores, 1));
  for (guint i = 0; i < work->out->steps->len; i++) {
    const ExplainStep *step = &g_array_index(work->out->steps, ExplainStep, i);
    if (step->branch != EXPLAIN_SEGMENT)
      continue;
    guint core = work->view.segments[step->index].core;
    if (!done[core])
      note_core(work, core);
    done[core] = true;
  }
}

/* Names what is open on the way from a node to the marked ones. */
static void
note_open(Work *work, guint node, const bool *goal, const bool *blocked, const char *where)
{
  PathMap map;
  path_map_build(&map, &work->view, work->solution, true);
  g_autoptr(GArray) path = explain_path_find(&map, node, goal, blocked);
  g_autofree char *name = circuit_node_name(work->circuit, node);
  g_autoptr(GString) open = g_string_new(NULL);
  for (guint i = 0; path != NULL && i < path->len; i++) {
    const PathEdge *edge = &g_array_index(map.edges, PathEdge, g_array_index(path, guint, i));
    if (!edge->open)
      continue;
    const Join *join = &work->view.joins[edge->index];
    g_autofree char *owner = circuit_owner_name(work->circuit, join->owner);
    g_autofree char *text = language_fill(join_format(join->role, false), owner, NULL);
    g_string_append_printf(open, "%s%s", open->len > 0 ? ", " : "", text);
  }
  if (path == NULL)
    note(work, _("Nothing on the sheet leads from %s to %s, open or closed."), name, where);
  else if (open->len > 0)
    note(work, _("Open on the way from %s to %s: %s."), name, where, open->str);
  path_map_clear(&map);
}

/* What cuts a dead point off from every supply. Earth is a way back, not a way to a supply. */
static void
note_dead(Work *work, guint node)
{
  const CircuitView *view = &work->view;
  if (solution_same_net(work->solution, node, 0))
    return;
  bool any = false;
  g_autofree bool *goal = g_new0(bool, MAX(view->n_nodes, 1));
  g_autofree bool *earth = g_new0(bool, MAX(view->n_nodes, 1));
  for (guint i = 0; i < view->n_nodes; i++)
    earth[i] = solution_same_net(work->solution, i, 0);
  for (guint i = 0; i < view->n_sources; i++)
    if (view_emf(view, i) != 0) {
      any = true;
      goal[view->sources[i].a] = !earth[view->sources[i].a];
      goal[view->sources[i].b] = !earth[view->sources[i].b];
    }
  if (any)
    note_open(work, node, goal, earth, _("a supply"));
  else
    note(work, _("There is no supply with known volts on the sheet."));
}

static void
note_apart(Work *work, guint a, guint b)
{
  guint nodes[2] = {a, b};
  for (int k = 0; k < 2; k++) {
    guint island = work->solution->island_of_net[work->solution->net_of_node[nodes[k]]];
    const Island *part = &g_array_index(work->solution->islands, Island, island);
    g_autofree char *name = circuit_node_name(work->circuit, nodes[k]);
    if (part->live && !part->grounded)
      note(work,
           _("%s belongs to a live part that is grounded nowhere: its volts to anything outside "
             "that "
             "part are not fixed."),
           name);
    else if (!part->live)
      note_dead(work, nodes[k]);
  }
  g_autofree bool *goal = g_new0(bool, MAX(work->view.n_nodes, 1));
  g_autofree char *other = circuit_node_name(work->circuit, b);
  goal[b] = true;
  note_open(work, a, goal, NULL, other);
}

/* ----------------------------------------------------------------------------------------- out */

static void
step_clear(gpointer step)
{
  g_free(((ExplainStep *)step)->text);
}

static void
walk(Work *work, guint a, guint b)
{
  Explanation *out = work->out;
  g_autofree bool *goal = g_new0(bool, MAX(work->view.n_nodes, 1));
  PathMap map;
  goal[b] = true;
  path_map_build(&map, &work->view, work->solution, false);
  g_autoptr(GArray) path = explain_path_find(&map, a, goal, NULL);
  guint node = a;
  for (guint i = 0; path != NULL && i < path->len; i++) {
    ExplainStep step =
        step_of(work, &g_array_index(map.edges, PathEdge, g_array_index(path, guint, i)), node);
    step.text = step_text(work, &step);
    out->sum += step.drop;
    g_array_append_val(out->steps, step);
    node = step.to;
  }
  path_map_clear(&map);
  if (path != NULL && out->reading.state == READING_LIVE) {
    out->misfit = cabs(out->sum - out->reading.volts);
    note_cores(work);
  } else if (path == NULL) {
    note_apart(work, a, b);
  }
  if (out->reading.state == READING_DEAD && path != NULL)
    note_dead(work, a == 0 ? b : a);
}

Explanation *
solution_explain(const Circuit *circuit, const Solution *solution, guint a, guint b, GError **error)
{
  if (a >= circuit->n_nodes || b >= circuit->n_nodes) {
    g_set_error(
        error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
        _("One of the two points is not in the circuit; name two terminals, such as T1.X1."));
    return NULL;
  }
  Explanation *out = g_new0(Explanation, 1);
  out->a_name = circuit_node_name(circuit, a);
  out->b_name = circuit_node_name(circuit, b);
  out->reading = solution_reading(solution, a, b);
  out->trust = solution->trust;
  out->steps = g_array_new(FALSE, TRUE, sizeof(ExplainStep));
  g_array_set_clear_func(out->steps, step_clear);
  out->notes = g_ptr_array_new_with_free_func(g_free);
  Work work = {
      .circuit = circuit, .solution = solution, .view = view_of(circuit, false), .out = out};
  walk(&work, a, b);
  return out;
}

void
explanation_free(Explanation *explanation)
{
  if (explanation == NULL)
    return;
  g_free(explanation->a_name);
  g_free(explanation->b_name);
  g_array_unref(explanation->steps);
  g_ptr_array_unref(explanation->notes);
  g_free(explanation);
}

/* "1.2e-14", in every locale. New string. */
static char *
small_number(double value)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  return g_strdup(g_ascii_formatd(number, sizeof number, "%.1e", value));
}

static void
append_trust(GString *out, const Explanation *explanation)
{
  g_autofree char *backward = small_number(explanation->trust.backward_error);
  g_autofree char *power = small_number(explanation->trust.power_balance);
  g_autofree char *current = small_number(explanation->trust.current_balance);
  g_string_append_printf(
      out, _("  Trust: backward error %s, power balance %s, current balance %s, %u iterations\n"),
      backward, power, current, explanation->trust.iterations);
}

char *
explanation_text(const Explanation *explanation)
{
  GString *out = g_string_new(NULL);
  const Reading *reading = &explanation->reading;
  g_autofree char *volts = phasor_text(reading->volts, UNIT_VOLT);
  g_string_append_printf(out, "%s - %s: %s%s%s\n", explanation->a_name, explanation->b_name,
                         reading_state_word(reading->state),
                         reading->state == READING_LIVE ? ", " : "",
                         reading->state == READING_LIVE ? volts : "");
  for (guint i = 0; i < explanation->steps->len; i++)
    g_string_append_printf(out, "  %u. %s\n", i + 1,
                           g_array_index(explanation->steps, ExplainStep, i).text);
  if (explanation->steps->len > 0 && reading->state == READING_LIVE) {
    g_autofree char *sum = phasor_text(explanation->sum, UNIT_VOLT);
    g_autofree char *misfit = small_number(explanation->misfit);
    g_string_append_printf(out, _("  Sum of the steps: %s, off the reading by %s V\n"), sum,
                           misfit);
  }
  for (guint i = 0; i < explanation->notes->len; i++)
    g_string_append_printf(out, "  %s\n", (const char *)explanation->notes->pdata[i]);
  append_trust(out, explanation);
  return g_string_free(out, FALSE);
}
