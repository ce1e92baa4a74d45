/* SPDX-License-Identifier: MIT */
/* Rows of the page on which faults are marked: what the catalogue can do at a place, and what is
 * marked already. */
#pragma once

#include "lesson/deal_study.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

/* What is pointed at, of the scene's document. G_MAXUINT everywhere: the whole sheet. */
typedef struct {
  guint device, conductor;
  guint node; /* a terminal; then the device does not count */
} DealWhere;
#define DEAL_WHERE_ALL ((DealWhere){G_MAXUINT, G_MAXUINT, G_MAXUINT})
bool deal_rows_fits(const DealScene *scene, const DealChoice *choice, const DealWhere *where);
/* Whether title, place, check or name of the fault hold all the words. */
bool deal_rows_matches(const DealChoice *choice, const char *words);

/* number: of its mark, 0: not marked. The row carries the choice's index. */
GtkWidget *deal_rows_choice(const DealScene *scene, guint index, guint number);
guint deal_rows_choice_of(GtkListBoxRow *row);

typedef struct {
  guint number; /* from 1 */
  const Intended *intended;
  const DealScene *scene;      /* nullable */
  const DealtVersion *alone;   /* judged by itself; nullable */
  bool known;                  /* the scene says where faults fit */
  bool may_remove;
  GCallback go, remove; /* (GtkButton *, data); the button carries the number */
  gpointer data;
} DealMarked;
GtkWidget *deal_rows_marked(const DealMarked *marked);
guint deal_rows_number_of(GtkWidget *button);
/* "lead-left-open: what was done"; the name alone when the catalogue has none such. */
const char *deal_rows_title(const char *fault);

/* Where the flag of a place stands; false when the sheet has nothing of that name. */
bool deal_rows_place_point(const Document *document, const char *place, Point *at);

/* One line of a proof: met, not met, or not judged. */
GtkWidget *deal_rows_condition(FairCondition condition, const FairProof *proof);

G_END_DECLS
