/* SPDX-License-Identifier: MIT */
/* What each check looks at, by which formula and which rows of which table, from which source, and
 * what it cannot see. The command line and the manual's chapter are made from the same table. */
#pragma once

#include "checks/check.h"

G_BEGIN_DECLS

/* Appends rows of a published table as the program uses them, one a line. */
typedef void (*ExplainRows)(GString *text);

typedef struct {
  const char *check;
  const char *formula;  /* with units; a sentence where nothing is computed */
  const char *remedy;   /* what carrying out its remedy does; NULL: it takes a person */
  const char *editions; /* NULL: the 2020 and 2023 editions agree, or no code is involved */
  const char *unseen;   /* what a diagram cannot tell: look for yourself; NULL */
  ExplainRows rows[3];  /* NULL: none */
} CheckExplanation;
/* One for each check of checks_table, in its order; ends with check NULL. */
extern const CheckExplanation explain_table[];
/* NULL: no such check. */
const CheckExplanation *check_explanation(const char *check);

typedef enum { EXPLAIN_PLAIN, EXPLAIN_MARKDOWN } ExplainForm;
/* All about one check; ends in a newline. New string. */
char *check_explain(const Check *check, ExplainForm form);
/* The manual's chapter: every check by topic. New string. */
char *check_explain_all(ExplainForm form);

/* explain_rows.c */
void explain_rows_air(GString *text);
void explain_rows_ampacity(GString *text);
void explain_rows_bundle(GString *text);
void explain_rows_class2(GString *text);
void explain_rows_colours(GString *text);
void explain_rows_grounding(GString *text);
void explain_rows_protection(GString *text);
void explain_rows_small(GString *text);
void explain_rows_standard(GString *text);
void explain_rows_supply(GString *text);
void explain_rows_systems(GString *text);
void explain_rows_taps(GString *text);

G_END_DECLS
