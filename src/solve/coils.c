/* SPDX-License-Identifier: MIT */
/* Coils and the contacts they work, and the direction motors turn, by rounds: solve, let every
 * coil decide, move the contacts, solve again. A state met twice is a cycle. Moving all at once
 * makes a sound interlock look like a buzzer, so a cycle is tried again one coil at a time: when
 * that settles it was a race, when it does not something chatters. */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

#define BACKWARDS_RATIO 1.05 /* the other sequence must be clearly the stronger */

typedef struct {
  SolveSession *session;
  guint n_coils, n; /* coils, then motors */
  bool *now, *wanted;
  GByteArray *history; /* states met, n bytes each */
  guint rounds;
} Rounds;

/* The coil of the same device, by its id where there are documents: indices shift with edits. */
static bool
same_coil(const CircuitView *view, guint i, const CircuitView *old, guint k)
{
  const Owner *owner = &view->coils[i].owner, *other = &old->coils[k].owner;
  const Document *document = view->circuit->document, *earlier = old->circuit->document;
  if (owner->kind != other->kind || owner->part != other->part)
    return false;
  if (document == NULL || earlier == NULL || owner->kind != OWNER_DEVICE)
    return owner->index == other->index;
  return strcmp(document_device(document, owner->index)->id,
                document_device(earlier, other->index)->id) == 0;
}

void
discrete_state_init(DiscreteState *state, const CircuitView *view, const Solution *before)
{
  state->pulled_in = g_new0(bool, MAX((gsize)view->n_coils + view->n_motors, 1));
  state->backwards = state->pulled_in + view->n_coils;
  if (before == NULL)
    return;
  CircuitView old = view_of(before->circuit, false);
  for (guint i = 0; i < view->n_coils; i++)
    /* Usually at the same place; an edit may have shifted it. */
    for (guint j = 0; j < old.n_coils; j++) {
      guint k = (i + j) % old.n_coils;
      if (same_coil(view, i, &old, k)) {
        state->pulled_in[i] = before->coils[k].pulled_in;
        break;
      }
    }
}

void
discrete_state_clear(DiscreteState *state)
{
  g_free(state->pulled_in);
  *state = (DiscreteState){0};
}

static bool
coil_wants(const SolveSession *session, guint i, bool pulled_in)
{
  const Coil *coil = &session->view.coils[i];
  double volts = cabs(session_volts(session, coil->a, coil->b));
  return pulled_in ? volts >= coil->drop_out && volts > 0 : volts >= coil->pick_up && volts > 0;
}

static bool
motor_wants(const SolveSession *session, guint i, bool backwards)
{
  const Motor *motor = &session->view.motors[i];
  const Phasor turn = CMPLX(-0.5, 0.86602540378443864676);
  Phasor b = session_volts(session, motor->b, motor->a);
  Phasor c = session_volts(session, motor->c, motor->a);
  double first = cabs(turn * b + conj(turn) * c), second = cabs(conj(turn) * b + turn * c);
  return backwards ? !(first > BACKWARDS_RATIO * second) && second > 0
                   : second > BACKWARDS_RATIO * first;
}

/* Solves the state `now` and fills `wanted`. */
static bool
solve_round(Rounds *r, GError **error)
{
  DiscreteState state = {.pulled_in = r->now, .backwards = r->now + r->n_coils};
  if (!session_solve_state(r->session, &state, error))
    return false;
  r->rounds++;
  for (guint i = 0; i < r->n_coils; i++)
    r->wanted[i] = coil_wants(r->session, i, r->now[i]);
  for (guint i = r->n_coils; i < r->n; i++)
    r->wanted[i] = motor_wants(r->session, i - r->n_coils, r->now[i]);
  return true;
}

static bool
settled(const Rounds *r)
{
  return memcmp(r->now, r->wanted, r->n * sizeof *r->now) == 0;
}

/* Index of a state met before with the same mark, or -1; remembers it when new. */
static int
met_before(Rounds *r, guint8 mark)
{
  guint stride = r->n + 1;
  guint count = r->history->len / stride;
  for (guint k = 0; k < count; k++) {
    const guint8 *state = r->history->data + (gsize)k * stride;
    bool same = state[r->n] == mark;
    for (guint i = 0; i < r->n && same; i++)
      same = state[i] == (guint8)r->now[i];
    if (same)
      return (int)k;
  }
  for (guint i = 0; i < r->n; i++) {
    guint8 bit = r->now[i];
    g_byte_array_append(r->history, &bit, 1);
  }
  g_byte_array_append(r->history, &mark, 1);
  return -1;
}

/* What moved between the states from `start` on. */
static void
toggling(const Rounds *r, int start, bool *toggles)
{
  guint stride = r->n + 1;
  const guint8 *first = r->history->data + (gsize)start * stride;
  for (gsize at = (gsize)(start + 1) * stride; at < r->history->len; at += stride)
    for (guint i = 0; i < r->n; i++)
      toggles[i] |= r->history->data[at + i] != first[i];
}

/* All at once. Returns the start of the cycle, -1 when settled, -2 on error. */
static int
rounds_together(Rounds *r, GError **error)
{
  guint most = 4 * r->n + 50;
  for (;;) {
    if (!solve_round(r, error))
      return -2;
    if (settled(r))
      return -1;
    int start = met_before(r, 0);
    if (start >= 0 || r->rounds > most)
      return MAX(start, 0);
    memcpy(r->now, r->wanted, r->n * sizeof *r->now);
  }
}

/* One change a round, taking turns, from the state the cycle began with. */
static int
rounds_one_by_one(Rounds *r, GError **error)
{
  guint turn = 0, most = r->rounds + 8 * r->n + 100;
  g_byte_array_set_size(r->history, 0);
  for (;;) {
    if (!solve_round(r, error))
      return -2;
    if (settled(r))
      return -1;
    int start = met_before(r, (guint8)turn);
    if (start >= 0 || r->rounds > most)
      return MAX(start, 0);
    while (r->now[turn % r->n] == r->wanted[turn % r->n])
      turn++;
    turn %= r->n;
    r->now[turn] = r->wanted[turn];
    turn = (turn + 1) % r->n;
  }
}

static bool
settle(Rounds *r, bool *races, bool *chatters, GError **error)
{
  int start = rounds_together(r, error);
  if (start >= 0) {
    toggling(r, start, races);
    start = rounds_one_by_one(r, error);
  }
  if (start >= 0) {
    toggling(r, start, chatters);
    for (guint i = 0; i < r->n; i++)
      races[i] &= !chatters[i];
  }
  return start != -2;
}

bool
coils_settle(SolveSession *session, DiscreteState *state, CoilState *states, guint *rounds,
             GError **error)
{
  guint n_coils = session->view.n_coils, n = n_coils + session->view.n_motors;
  Rounds r = {.session = session, .n_coils = n_coils, .n = n, .now = state->pulled_in};
  bool *flags = g_new0(bool, 3 * (gsize)MAX(n, 1));
  r.wanted = flags;
  r.history = g_byte_array_new();
  bool *races = flags + n, *chatters = races + n;
  bool solved = settle(&r, races, chatters, error);
  for (guint i = 0; i < n_coils; i++)
    states[i] =
        (CoilState){.coil = i, .pulled_in = r.now[i], .chatters = chatters[i], .race = races[i]};
  *rounds = r.rounds;
  g_byte_array_unref(r.history);
  g_free(flags);
  return solved;
}
