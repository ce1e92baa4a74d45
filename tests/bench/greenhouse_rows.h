/* SPDX-License-Identifier: MIT */
/* Documents of any size for benchmarks and limits: greenhouse bays, each a supply with a
 * transformer add-on, ten devices a bay, laid out in rows far beyond the sheet. */
#pragma once

#include "diagram/document.h"

/* devices: how many, rounded up to whole bays of ten. Aborts when a field is refused: the bench
 * would measure something else. */
Document *greenhouse_rows(PartCatalog catalog, guint devices);
