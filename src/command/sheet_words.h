/* SPDX-License-Identifier: MIT */
/* Words about a sheet that several verbs take. NULL is what was not said, and fine. False after a
 * sentence in err. */
#pragma once

#include "sheet/sheet.h"

G_BEGIN_DECLS

/* "2026-11-25". */
bool sheet_words_date(const char *text, GString *err);
bool sheet_words_paper(const char *name, GString *err);
/* "en+es" is written "en-es" in a file. */
bool sheet_words_language(const char *name, SheetOptions *sheet, GString *err);

G_END_DECLS
