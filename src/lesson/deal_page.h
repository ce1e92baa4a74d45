/* SPDX-License-Identifier: MIT */
/* The clipboard's page for an instructor: faults are marked on a sound sheet, judged at once, and
 * looked at in a preview. A mark is an edit of the document (<expected-fault>) like any other; the
 * sheet itself stays sound. Flags on the canvas carry the numbers of the list.
 *
 * Signals: "deal": the dealing dialog is asked for;
 *          "preview": a preview began or ended. */
#pragma once

#include "canvas/canvas.h"
#include "lesson/deal_study.h"

G_BEGIN_DECLS

#define DEAL_PAGE_TYPE (deal_page_get_type())
G_DECLARE_FINAL_TYPE(DealPage, deal_page, DOORSHEET, DEAL_PAGE, GtkBox)

DealPage *deal_page_new(Session *session, Canvas *canvas);

/* The keyboard goes to what can be marked at the terminal pointed at, else at what is selected. */
void deal_page_begin(DealPage *page);
/* Waits until it is known what the faults do. What is marked must be possible, else the page says
 * why not. */
void deal_page_set_preview(DealPage *page, bool on);
/* Somebody has looked at the page, or the sheet has marks: it has a place on the clipboard. */
bool deal_page_is_wanted(DealPage *page);
void deal_page_want(DealPage *page);
const DealAnswer *deal_page_get_answer(DealPage *page); /* for tests; borrowed */

G_END_DECLS
