/* SPDX-License-Identifier: MIT */
/* Published networks as text: rows of elements (data.csv) and of expected quantities
 * (expected.csv). Both are comma-separated with a heading row; lines starting with # are remarks;
 * a field may be quoted. Fields nodes and values hold several items separated by semicolons.
 *
 * data.csv: case, kind, name, nodes, values. Node 0 is ground.
 *   vsrc    p;n          volts rms; degrees (ideal)
 *   tie     p;n          ideal connection
 *   zline   near1..m;far1..m  impedance matrix in ohms, lower triangle by rows, r;x pairs
 *   imp, zload  p;n      r;x ohms
 *   adm     p;n          g;b siemens
 *   pload   p;n          P;Q;nominal V, constant power
 *   iload   p;n          P;Q at nominal V;nominal V, constant current and power factor
 *   wind    p;n          rated volts (= turns);r;x ohms; name T:w, same T = same core; p is marked
 *   core    -            reference volts;g;b siemens: magnetizing branch of core T
 *   ydelta  a;b;c        3x3 by rows, g;b pairs: line currents from Vab, Vbc, Vca
 *
 * expected.csv: case, quantity, type, spec, mag, deg, tol_mag, tol_deg, solved_mag, solved_deg.
 *   V  p;n               voltage            E  T:w      voltage of a winding's ideal part
 *   D  name#i            drop along conductor i
 *   I  name, name#i      near to far, into the marked end, into the first node; - reverses, ; sums
 *   S  p;n@current       P and Q (in the columns mag and deg); also the name of an element
 *   SP                   as S, P only
 *   NV a;b;c             NEMA unbalance of three line-line voltages, per cent
 *   NI i;j;k             NEMA unbalance of three currents, per cent */
#pragma once

#include "solve/solution.h"
#include <stdio.h>

G_BEGIN_DECLS

typedef struct Table Table; /* a comma-separated file with headings */
Table *table_read(const char *path, GError **error);
void table_free(Table *table);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Table, table_free)
guint table_length(const Table *table);
const char *table_get(const Table *table, guint row, const char *column); /* "" when missing */

typedef struct Network Network; /* one case as a circuit, with its names */
Network *network_new(const Table *data, const char *case_name, GError **error);
void network_free(Network *network);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Network, network_free)
Circuit *network_circuit(Network *network);

/* One quantity of a solution. Type S: P + j Q; SP, NV, NI: a real number. */
bool network_quantity(const Network *network, const Solution *solution, const char *type,
                      const char *spec, Phasor *value, GError **error);

typedef struct {
  guint quantities, failed;
  guint beside_print; /* agree with the exact solution but not with the printed digits */
} NetworkTally;
/* Solves every case of data and compares; `report` gets one line a quantity (NULL: none). A
 * quantity passes within the tolerance of the print, or when it equals the exact solution given
 * (solved_*) to its last digit. False with error when a file cannot be read. */
bool network_compare(const char *data_path, const char *expected_path, FILE *report,
                     NetworkTally *tally, GError **error);

G_END_DECLS
