/* SPDX-License-Identifier: MIT */
/* The inside of the solver: what its own files share. Nothing outside this folder includes it,
 * except the tests that look at single steps.
 *
 *   view -> topology -> equations -> klu_solver -> newton   one solution of one state
 *   coils                                                    rounds over states
 *   currents, joints, trust                                  what the solution says, and its proof
 *
 * Unknowns: volts of every net that is no reference, per-unit flux of every core, then currents of
 * sources, transformer segments and impedances below BRANCH_OHMS. Currents of small impedances are
 * unknowns of their own because 1/z of a milliohm beside 1/z of a load loses most digits while the
 * residual still looks perfect. Rows and columns of dead islands do not exist: their volts are 0.
 */
#pragma once

#include "base/union_find.h"
#include "solve/solution.h"
#include "solve/solve_session.h"
#include <suitesparse/klu.h>

G_BEGIN_DECLS

#define SOLVE_ZERO_VOLTS                                                                           \
  1e-6 /* rounding of the largest systems stays far below, any real reading far above */
#define BRANCH_OHMS 1.0 /* impedances below it get a current unknown */

/* ---- view: a circuit's arrays as bare pointers --------------------------------------------- */
typedef struct {
  const Circuit *circuit;
  guint n_nodes, n_joins, n_impedances, n_sources, n_loads, n_cores, n_segments, n_coils, n_motors,
      n_couplings, n_deltas;
  const Join *joins;
  const Impedance *impedances;
  const Source *sources;
  const Load *loads;
  const Core *cores;
  const Segment *segments;
  const Coil *coils;
  const Motor *motors;
  const Coupling *couplings;
  const DeltaLoad *deltas;
  double scale;            /* of every electromotive force */
  bool loads_off;          /* loads, coils and motors are open */
  bool linear;             /* cores do not saturate, loads are impedances: for fault studies */
  double least_excitation; /* VA given to a core that has none and floats; 0 normally */
} CircuitView;

/* What coils and motors are doing. */
typedef struct {
  bool *pulled_in; /* per coil */
  bool *backwards; /* per motor */
} DiscreteState;

CircuitView view_of(const Circuit *circuit, bool linear);
Phasor view_emf(const CircuitView *view, guint source);
Phasor view_core_admittance(const CircuitView *view, guint core); /* unsaturated, VA */
bool view_core_saturates(const CircuitView *view, guint core);
Phasor view_load_admittance(const CircuitView *view, guint load); /* at rated volts */
Phasor view_coil_admittance(const CircuitView *view, guint coil, bool pulled_in);
bool view_impedance_is_tie(const Impedance *impedance);   /* zero ohm: merged like a join */
bool view_impedance_is_small(const Impedance *impedance); /* below BRANCH_OHMS */
bool view_impedance_conducts(const Impedance *impedance); /* finite */
bool view_load_is_port(const CircuitView *view, guint load);
/* Its admittance may exceed 1/BRANCH_OHMS: its current becomes an unknown. */
bool view_load_is_stiff(const CircuitView *view, guint load);
double view_load_stiffness(const CircuitView *view, guint load); /* that admittance, siemens */
bool view_load_conducts(const CircuitView *view, guint load);
bool view_coil_conducts(const CircuitView *view, guint coil);
bool view_motor_conducts(const CircuitView *view, guint motor);
/* The 3x3 admittance of a motor between its terminals and earth-free star, by rows. */
void view_motor_matrix(const Motor *motor, bool backwards, Phasor y[3][3]);
/* Line currents of a delta element per volt at a, b, c. A matrix from outside may be rounded, so
 * that its currents do not quite cancel; the rest returns through earth, or where the island floats
 * through c. */
void view_delta_matrix(const DeltaLoad *delta, bool floats, Phasor y[3][3]);

/* ---- topology: nets, islands, references --------------------------------------------------- */
typedef struct {
  guint n_nets, n_islands;
  guint *net_of_node; /* nets in order of their lowest node, so numbering is repeatable */
  guint *island_of_net;
  guint *reference;      /* per island: the net that counts as 0 V */
  bool *live, *grounded; /* per island */
  bool *closed;          /* per join */
  bool *source_out;      /* left out of the equations */
  bool *source_bad;      /* ...because an ideal source is shorted or fights another one */
  guint n_bad_sources;
} Topology;

void topology_build(Topology *topology, const CircuitView *view, const bool *closed);
void topology_clear(Topology *topology);
/* Fills closed[n_joins] for the state of the coils. */
void topology_joins(const CircuitView *view, const bool *pulled_in, bool *closed);

/* ---- port: what depends on the size of its own voltage -------------------------------------- */
typedef enum { PORT_POWER, PORT_CURRENT, PORT_SATURATION } PortKind;
typedef struct {
  PortKind kind;
  guint index;      /* load or core */
  int plus, minus;  /* unknowns whose difference is the port's voltage; -1: 0 V */
  double reference; /* volts (or per-unit flux) that scale the port */
  double low, high; /* window; knee of a core in low */
  Phasor power;     /* conj(S), or g - j b0 of a core */
  double rated;     /* rated volts, or extra susceptance of a saturated core */
  guint first_stamp;
} Port;

void port_from_load(Port *port, const Load *load);
void port_from_core(Port *port, const Core *core);
/* Admittance at |v| and its slope dy/d|v|; blend 0 = the reference impedance, 1 = the real law. */
void port_admittance(const Port *port, double volts, double blend, Phasor *y, Phasor *slope);

/* ---- equations: numbering, pattern, values --------------------------------------------------- */
typedef struct {
  int n;                                                              /* unknowns */
  int *net_row, *core_row, *source_row, *segment_row, *impedance_row; /* -1: no unknown */
  int *load_row; /* current of a stiff load; -1; the volts of a stiff port come next */
  guint n_stamps;
  int *slot;     /* of each stamp: its place in ax */
  int *ap, *ai;  /* compressed columns */
  Phasor *fixed; /* values without ports */
  Phasor *ax;    /* values with ports */
  Phasor *b;     /* right-hand side */
  Port *ports;
  guint n_ports;
} Equations;

void equations_build(Equations *equations, const CircuitView *view, const Topology *topology,
                     const DiscreteState *state);
/* Same pattern, new values. */
void equations_refill(Equations *equations, const CircuitView *view, const Topology *topology,
                      const DiscreteState *state);
/* ax = fixed + ports at the given admittances (n_ports; may be NULL when there are none). */
void equations_set_ports(Equations *equations, const Phasor *y);
void equations_clear(Equations *equations);
Phasor equations_port_volts(const Port *port, const Phasor *x);
/* residual = b - ax x. */
void equations_subtract(const Equations *equations, const Phasor *b, const Phasor *x,
                        Phasor *residual);
/* The same, and the largest component over |ax||x| + |b|, guarded: the backward error. */
double equations_residual(const Equations *equations, const Phasor *b, const Phasor *x,
                          Phasor *residual);

/* ---- klu_solver ------------------------------------------------------------------------------ */
typedef struct {
  klu_common common;
  klu_symbolic *symbolic;
  klu_numeric *numeric;
  Phasor *work; /* n, for refinement */
  int n;
  bool careful; /* the fast settings were not good enough for this matrix */
} KluSolver;

void klu_solver_init(KluSolver *klu);
/* Orders a new pattern. */
bool klu_solver_analyze(KluSolver *klu, Equations *equations);
/* Factors ax, reusing the last pivots when it can. */
bool klu_solver_factor(KluSolver *klu, Equations *equations);
void klu_solver_forget(KluSolver *klu);           /* the next factor chooses pivots afresh */
void klu_solver_solve(KluSolver *klu, Phasor *b); /* in place, without refinement */
/* x = ax \ b with refinement; returns the componentwise backward error, INFINITY on failure. */
double klu_solver_refined(KluSolver *klu, Equations *equations, Phasor *x);
void klu_solver_clear(KluSolver *klu);

/* ---- newton ---------------------------------------------------------------------------------- */
typedef struct {
  double backward_error;
  guint iterations, krylov, homotopies;
  bool unsettled; /* not singular, but no iteration settled */
} NewtonReport;

/* Solves for x; false when the equations are singular or no iteration settled. */
bool newton_solve(Equations *equations, KluSolver *klu, Phasor *x, NewtonReport *report);
/* d with d + apply(d) = d0 by GMRES over the real numbers; apply is linear over the reals only. */
typedef void (*GmresApply)(void *data, const Phasor *in, Phasor *out);
guint gmres_solve(guint n, const Phasor *d0, Phasor *d, double tolerance, GmresApply apply,
                  void *data);

/* ---- solve_session ----------------------------------------------------------------------------
 */
struct SolveSession {
  CircuitView view;
  Topology topology;
  Equations equations;
  KluSolver klu;
  Phasor *x;
  NewtonReport report;
  GArray *key; /* guints that determine the pattern; empty: nothing to reuse */
  bool built;
  guint rebuilds, refills; /* for tests and the benchmark */
};

/* One solution of one discrete state into session->x. */
bool session_solve_state(SolveSession *session, const DiscreteState *state, GError **error);
/* Takes up a circuit. reuse: keep the pattern when this circuit's is the same as the last one's,
 * and note this one's for the next time. */
void session_start(SolveSession *session, const Circuit *circuit, bool linear, bool reuse);
void session_init(SolveSession *session);
void session_clear(SolveSession *session);
Phasor session_net_volts(const SolveSession *session, guint net);
Phasor session_volts(const SolveSession *session, guint a, guint b); /* 0 across islands */

/* Settles coils and contacts, fills a Solution and judges it. NULL with error. */
Solution *session_finish(SolveSession *session, const Solution *before, GError **error);

/* ---- coils ------------------------------------------------------------------------------------
 */
/* Solves until contacts and coils agree. states: n_coils, filled. */
bool coils_settle(SolveSession *session, DiscreteState *state, CoilState *states, guint *rounds,
                  GError **error);
/* One allocation; cold, or as `before` (may be NULL) ended for coils and motors it also had. */
void discrete_state_init(DiscreteState *state, const CircuitView *view, const Solution *before);
void discrete_state_clear(DiscreteState *state);

/* ---- the ohmmeter ------------------------------------------------------------------------------
 */
/* Only joins and resistances; motors have a star point each behind the circuit's own nodes. */
Circuit *meter_network_new(const Circuit *circuit, const Solution *solution, bool with_loads);
bool meter_node_is_live(const Solution *solution, guint node);

/* ---- currents, joints, trust -------------------------------------------------------------------
 */
void currents_fill(const SolveSession *session, const DiscreteState *state, Solution *solution);
void joints_fill(const CircuitView *view, const Topology *topology, Solution *solution);
/* Measures the balances of a solution from its public numbers alone. */
void trust_measure(const CircuitView *view, Solution *solution);
bool trust_judge(Trust *trust, GError **error);

/* Arrays sized for the circuit, nets and islands filled in, everything else 0. */
Solution *solution_alloc(const CircuitView *view, const Topology *topology);

G_END_DECLS
