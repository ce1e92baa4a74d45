/* SPDX-License-Identifier: MIT */
/* What the checks share about a diagram, gathered once for all of them in near-linear time: which
 * terminals are one piece of metal, which can be connected by closing things, where power comes
 * from, the transformers' windings, and the way from each terminal back to its source. Private to
 * the checks; const once made, but for its store of texts. */
#pragma once

#include "checks/check.h"
#include "tables/colours.h"
#include "tables/conductor.h"
#include "tables/standard_ratings.h"

G_BEGIN_DECLS

/* Ways to look at the joins: what counts as connected. Conductors of known length are impedances
 * in the circuit; here they are metal like the others. */
typedef enum {
  NET_METAL,       /* conductors, splices and inside of devices: one piece of metal */
  NET_WIRE,        /* and bonds to earth */
  NET_CLOSED,      /* and everything that can be closed */
  NET_UNPROTECTED, /* NET_CLOSED without fuses and breakers */
  NET_ISOLATED,    /* NET_CLOSED without disconnects and whatever can be locked open */
  NET_WINDINGS,    /* NET_CLOSED through windings: what one bond grounds */
  NET_SHORT,       /* NET_WIRE, protection closed, contacts and switches as they now stand */
  NET_COUNT
} NetView;

/* Where a net's power comes from; flags. */
enum {
  FEED_LINE = 1,     /* an ungrounded line of a supply */
  FEED_RETURN = 2,   /* the grounded conductor of a supply or of an energized secondary */
  FEED_SECONDARY = 4 /* an ungrounded lead of an energized winding */
};

typedef struct {
  guint node;
  double volts; /* from the winding's common lead */
} SurveyLead;

typedef struct {
  guint core, device;
  bool secondary;
  GArray *leads; /* of SurveyLead, ascending volts */
  double span;   /* volts from first to last lead */
  guint first_segment;
} Winding;

typedef struct {
  guint device;
  GArray *primaries, *secondaries; /* of guint: indices of windings */
  bool landed;                     /* some conductor lands on the device */
  bool fed;                        /* by its primary */
  bool fed_backwards;              /* by a secondary only */
  int feeding;     /* winding with a fed pair of leads, or -1 (windings in series) */
  guint low, high; /* the pair: indices of leads of that winding */
} SurveyCore;

struct Survey {
  const CheckContext *context;
  CodeEdition edition;
  /* The solution to judge by: everything closed when that could be solved, else as drawn, else
   * NULL. */
  const Solution *volts;
  /* The solutions currents are judged by, the largest of them: usually that one alone; see
   * CheckContext.working_solution. */
  const Solution *amps[2];
  guint n_amps;
  guint n_nodes;
  guint *nets[NET_COUNT];   /* representative node of each node's net */
  guint8 *feed;             /* by NET_CLOSED representative */
  guint8 *line_unprotected; /* by representative of that view: holds an ungrounded supply line */
  guint8 *line_isolated;
  guint *landings; /* by node: conductor ends */
  guint8 *capped;  /* by NET_METAL representative: a closed end sits there */
  int *conductor_join, *conductor_impedance; /* by conductor; -1: none */
  guint *bundled;                            /* by conductor: see checks/wire.h */
  double ambient;                            /* the sheet's air, C */
  GArray *airs; /* enclosures with air of their own; private to wire.c */
  /* Two conductors of a supply, or two leads of a winding with volts between them, are one
   * NET_SHORT net: volts elsewhere say nothing until that is cleared. */
  bool shorted;
  /* A core saturates or a motor runs on one phase: amperes tell of that and of nothing else. */
  bool amps_mislead;
  GArray *windings;       /* of Winding */
  SurveyCore *cores;      /* by core */
  guint *segment_winding; /* by segment */
  int *winding_of;        /* by node: winding whose lead it is, or -1 */
  /* Tree of the strongest way from each node back to where its power comes from. */
  guint n_reached;
  guint *order;          /* reached nodes, sources first */
  guint *parent;         /* node; itself: a source; G_MAXUINT: not reached */
  guint *root;           /* the source; G_MAXUINT: not reached */
  int *parent_join;      /* join on the way to the parent; -1: a conductor's impedance */
  double *device_amps;   /* smallest protection on the way; INFINITY: none */
  int *guard;            /* that join, or -1 */
  int *nearest;          /* last protective join on the way, or -1 */
  double *circuit_volts; /* highest volts across anything from here on */
  bool *serves_motor;    /* a motor from here on */
  double *motor_amps;    /* nameplate amperes of the largest of them */
  GStringChunk *texts;
};

#define SURVEY_UNKNOWN_RATING 1e9 /* amperes: a device whose rating is not given */

Survey *survey_new(const CheckContext *context);
void survey_free(Survey *survey);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Survey, survey_free)

/* Steps of survey_new. */
void survey_nets(Survey *survey);     /* survey.c */
void survey_windings(Survey *survey); /* survey_windings.c */
void survey_feeds(Survey *survey);    /* survey_feeds.c */
void survey_paths(Survey *survey);    /* survey_paths.c */
void survey_raceways(Survey *survey); /* wire.c */

static inline bool
survey_same(const Survey *survey, NetView view, guint a, guint b)
{
  return survey->nets[view][a] == survey->nets[view][b];
}
/* Whether the joins that are closed connect two conductors of a supply or the ends of a stretch of
 * winding. */
bool survey_circuit_shorted(const Circuit *circuit, const bool *join_closed);
/* Two nodes of a winding or a supply in one net that should have volts between them. */
bool survey_leads_shorted(const Survey *survey, const Winding *winding, guint *first,
                          guint *second);
bool survey_supply_shorted(const Survey *survey, const CircuitSupply *supply, guint *first,
                           guint *second);
/* Flags of the net a node can be connected to. */
static inline guint8
survey_feed(const Survey *survey, guint node)
{
  return survey->feed[survey->nets[NET_CLOSED][node]];
}
/* Whether a node can be connected to earth. */
static inline bool
survey_grounded(const Survey *survey, guint node)
{
  return survey_same(survey, NET_CLOSED, node, 0);
}
/* A conductor, splice or inside of a device that conducts. A loose landing does, now and then: the
 * circuit as drawn takes it for open, the question what the wiring may do for closed. */
bool survey_join_is_metal(const Document *document, const Join *join);
/* Positive and negative sequence of the volts at a three-phase motor, times 3. */
void survey_sequences(const Solution *solution, const Motor *motor, double *positive,
                      double *negative);
bool survey_single_phased(const Solution *solution, const Motor *motor);
/* The line is the supply's grounded conductor: corner of a delta, or one of two wires. */
bool survey_line_is_grounded(const CircuitSupply *supply, int line);
/* Ungrounded and with power. */
bool survey_hot(const Survey *survey, guint node);

/* Magnitude of the volts between two nodes, or of one to earth; 0 unless a meter would show them.
 */
double survey_between(const Survey *survey, guint a, guint b);
double survey_to_earth(const Survey *survey, guint node);
/* Most amperes through a conductor or a join with everything on that can be on at once; INFINITY in
 * a dead short, NAN when there is no solution. */
double survey_conductor_amps(const Survey *survey, guint conductor);
double survey_join_amps(const Survey *survey, guint join);
/* Rated current of the pair of primary leads in use; NAN. */
double survey_primary_amps(const Survey *survey, guint core);
/* Core whose winding a node's power comes from; -1: a supply, or none. */
int survey_source_core(const Survey *survey, guint node);
/* Volt-amperes all secondaries of a core deliver with everything on. Only with survey->volts. */
double survey_delivered(const Survey *survey, guint core);
double survey_segment_amps(const Survey *survey, guint segment);
/* Volts of the pair of leads in use. */
double survey_pair_volts(const Survey *survey, guint core);
const SurveyLead *survey_lead(const Winding *winding, guint index);
const Winding *survey_winding(const Survey *survey, guint index);
const Device *survey_device(const Survey *survey, guint node);
const Terminal *survey_terminal(const Survey *survey, guint node);
/* A yes/no field by name; false when the kind has none. */
bool survey_flag(const Device *device, const char *field);

/* Whether a node's power comes from a class 2 transformer. */
bool survey_class2(const Survey *survey, guint node);
/* The frame of an outline on the sheet. */
Rect survey_outline_box(const Device *outline);

/* Texts for messages; live as long as the survey. */
const char *survey_keep(const Survey *survey, char *take_text);
const char *survey_show(const Survey *survey, double value, Unit unit);
#define VOLTS(value) survey_show(survey, (value), UNIT_VOLT)
#define AMPS(value) survey_show(survey, (value), UNIT_AMPERE)
#define VA(value) survey_show(survey, (value), UNIT_VOLT_AMPERE)
#define PERCENT(value) survey_show(survey, (value), UNIT_PERCENT)
/* A sentence that ends in what to do: the part before the last full stop inside it, and the part
 * behind; otherwise stays what it is when there is only one sentence. */
void survey_split_advice(const Survey *survey, const char *text, const char *otherwise,
                         const char **why, const char **advice);
const char *survey_node_name(const Survey *survey, guint node); /* "T1.H2" */
const char *survey_device_name(const Survey *survey, guint device);
const char *survey_owner_name(const Survey *survey, Owner owner);
const char *survey_conductor_name(const Survey *survey, guint conductor);
const char *survey_size(const Survey *survey, Quantity size); /* "14 AWG" */

G_END_DECLS
