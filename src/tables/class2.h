/* SPDX-License-Identifier: MIT */
/* Limits of class 2 alternating-current power sources.
 *
 * Source: NFPA 70 Chapter 9 Table 11(A) and notes; UL 5085-3 for transformers. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef struct {
  bool inherently_limited;
  double over_volts, to_volts; /* over < V <= to */
  double max_va;               /* output with the protector bypassed; 0: not limited so */
  double max_amps;             /* short-circuit current; negative: -n means n / V */
  double max_device_amps;      /* protector; 0: none needed; negative: -n means n / V */
  double nameplate_va;         /* largest marked VA; negative: -n means n x V */
  double nameplate_amps;       /* largest marked amperes; negative: -n means n / V */
} Class2Row;
const Class2Row *class2_rows(guint *n);

typedef struct {
  double max_va, max_amps, max_device_amps, nameplate_va, nameplate_amps; /* 0: no such limit */
} Class2Limit;
/* False: no class 2 source of that kind at that voltage. */
bool class2_limit(bool inherently_limited, double volts, Class2Limit *limit);

G_END_DECLS
